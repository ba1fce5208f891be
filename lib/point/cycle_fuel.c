/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fuel of a cycle: each circuit's is one column with inertia; a bled well with one outlet moves too, the others answer
 * at once. */
#include "point/fuel_columns.h"

#include "base/base.h"

#include <string.h>

#define GAIN_IMBALANCE 1e-9
#define MOST_GAIN 20.0
#define MOST_FUEL_KEPT 1e-3 /* share of it */

const jw_column_row jw_column_rows[JW_COLUMNS] = {
    [JW_MAIN] = {jw_carburetor_main,
                 {JW_AT_NOZZLE},
                 offsetof(jw_carburetor_flow, main),
                 offsetof(jw_cycle, main_kg_s),
                 offsetof(jw_cycle_trace, main_kg_s)},
    [JW_PILOT] = {jw_carburetor_pilot,
                  {JW_AT_MANIFOLD, JW_AT_MANIFOLD, JW_AT_PORTS},
                  offsetof(jw_carburetor_flow, pilot),
                  offsetof(jw_cycle, pilot_kg_s),
                  offsetof(jw_cycle_trace, pilot_kg_s)},
    [JW_POWER] =
        {jw_carburetor_power, {JW_AT_POWER}, offsetof(jw_carburetor_flow, power), offsetof(jw_cycle, power_kg_s), 0},
    [JW_ENRICHENER] = {jw_carburetor_enrichener,
                       {JW_AT_MANIFOLD},
                       offsetof(jw_carburetor_flow, enrichener),
                       offsetof(jw_cycle, enrichener_kg_s),
                       0},
};

static const jw_circuit_flow *steady_flow(const jw_carburetor_flow *all, int name)
{
	return (const jw_circuit_flow *)(const void *)((const char *)all + jw_column_rows[name].steady);
}

/* ---- without inertia, and the steady circuits to compare with ---- */

static jw_fuel_ends ends_at(const jw_columns *all, const jw_air_moment *m)
{
	const jw_cycle_air *a = all->air;
	return (jw_fuel_ends){.path = {.box_pa = a->box_pa,
	                               .mouth_pa = m->mouth_pa,
	                               .throat_pa = m->nozzle_pa,
	                               .throat_steady_pa = m->nozzle_pa,
	                               .plate_pa = m->plate_pa,
	                               .lift_m = m->lift_m},
	                      .ambient_pa = a->air->pressure_pa,
	                      .manifold_pa = m->manifold_pa,
	                      .controls = a->controls,
	                      .main_gain = 1.0,
	                      .fuel = all->of[JW_MAIN].branch.ends.fuel,
	                      .air = a->gas};
}

static jw_status follow_at_once(jw_columns *all, jw_cycle_trace *trace, jw_error *error)
{
	jw_carburetor_flow found;
	jw_status all_status = JW_OK;
	for (int n = 0; n <= JW_CYCLE_NODES; n++) {
		jw_fuel_ends ends = ends_at(all, &all->air->node[n]);
		jw_status status = jw_carburetor_fuel_near(all->carburetor, &ends, n > 0 ? &found : NULL, &found, error);
		if (status < 0)
			return status;
		all_status |= status;
		double flow[JW_COLUMNS];
		for (int i = 0; i < JW_COLUMNS; i++)
			flow[i] = steady_flow(&found, i)->fuel_kg_s;
		jw_columns_note(all, trace, n, flow, flow, 0.0);
		for (int i = 0; i < JW_COLUMNS && n < JW_CYCLE_NODES; i++) {
			all->mean[i] += flow[i] / JW_CYCLE_NODES;
			all->bleeds[i] += jw_circuit_air(steady_flow(&found, i)) / JW_CYCLE_NODES;
		}
	}
	return all_status;
}

typedef struct gain_search {
	jw_columns *all;
	double depression_pa, wanted;
} gain_search;

static double steady_main(const jw_columns *all, double nozzle_pa)
{
	jw_branch main = all->of[JW_MAIN].branch;
	jw_circuit_flow flow = {0};
	main.ends.outlet[0] = (jw_outlet){jw_carburetor_annulus(all->carburetor, all->air->lift_m), nozzle_pa};
	jw_circuit_near(&main.circuit, &main.ends, NAN, &flow, NULL);
	return flow.fuel_kg_s;
}

static double gain_excess(double gain, void *context)
{
	const gain_search *s = context;
	double flow = steady_main(s->all, s->all->air->box_pa - gain * s->depression_pa);
	return (flow - s->wanted) / (flow + s->wanted);
}

/* Gain on the steady depression that would draw as much main fuel; 1 where none flows. */
static double gain_for(jw_columns *all, double depression_pa, double wanted)
{
	gain_search s = {all, depression_pa, wanted};
	double most = fmin(MOST_GAIN, 0.45 * all->air->box_pa / depression_pa);
	jw_guess gain = {0.0, most, fmin(1.5, 0.5 * most), 0.3};
	if (!(wanted > 0.0) || jw_rising_root(gain_excess, &s, &gain, GAIN_IMBALANCE, NULL) < 0)
		return 1.0;
	return gain.x;
}

/* ---- set-up ---- */

static int takes_fuel(const jw_circuit *c)
{
	return c->fuel_jet.diameter_m > 0.0 && c->fuel_coefficient > 0.0;
}

static jw_fuel_column column_of(const jw_cycle_air *a, const jw_carburetor *carburetor, const jw_branch *branch)
{
	double factor = a->options.column_factor, bore_m = carburetor->main_column_bore_m, open = 0.0;
	const jw_orifice *jet = &branch->circuit.fuel_jet;
	jw_fuel_column c = {.branch = *branch, .followed = 1, .root = 30.0, .well = {branch->ends.bowl_pa - 500.0, NAN}};
	for (int k = 0; k < branch->ends.outlets; k++)
		open += branch->ends.outlet[k].effective_area_m2;
	c.flows = open > 0.0 && takes_fuel(&branch->circuit);
	if (!c.flows)
		return c;
	/* Nobody states the columns of the other circuits: as long and wide as the main one's. */
	double column = carburetor->main_column_m / (0.25 * JW_PI * jw_square(bore_m));
	c.inertance = factor * (column + jet->length_m / jw_orifice_area(jet));
	c.bled = branch->ends.outlets == 1 && branch->circuit.air_jet.diameter_m > 0.0;
	if (c.bled)
		c.bled_well = jw_bled_well_of(&branch->circuit, &branch->ends, bore_m, factor);
	return c;
}

static void set_up(jw_columns *all, const jw_liquid_flow *fuel)
{
	all->power_share = jw_power_share(all->carburetor, all->air->lift_m);
	all->of[JW_MAIN].branch.ends.fuel = *fuel;
	jw_air_moment usual = all->air->node[0];
	usual.lift_m = all->air->lift_m;
	jw_fuel_ends ends = ends_at(all, &usual);
	for (int i = 0; i < JW_COLUMNS; i++) {
		jw_branch branch = jw_column_rows[i].branch(all->carburetor, &ends);
		all->of[i] = column_of(all->air, all->carburetor, &branch);
	}
	if (all->carburetor->pilot_from_main_well && !takes_fuel(&all->of[JW_MAIN].branch.circuit))
		all->of[JW_PILOT].flows = 0;
}

static void start_well(const jw_fuel_column *c, const jw_circuit_flow *steady, double *y)
{
	if (!c->bled)
		return;
	y[JW_WELL_OUT] = fmax(steady->outlet_kg_s[0], 0.0);
	if (steady->fuel_kg_s > 0.0)
		y[JW_WELL_LIQUID] = jw_bled_well_holds(&c->bled_well, &c->branch.ends, steady->quality);
	else if (!(steady->branch_kg_s > 0.0))
		y[JW_WELL_LIQUID] = jw_bled_well_at_rest(&c->bled_well, &c->branch.circuit, &c->branch.ends);
}

/* Where steady circuits would stand between the mean pressures. */
static void start(jw_columns *all, double *flow)
{
	memset(flow, 0, JW_COLUMN_UNKNOWNS * sizeof *flow);
	jw_air_moment mean = {.lift_m = all->air->lift_m};
	for (int n = 0; n < JW_CYCLE_NODES; n++) {
		mean.mouth_pa += all->air->node[n].mouth_pa / JW_CYCLE_NODES;
		mean.nozzle_pa += all->air->node[n].nozzle_pa / JW_CYCLE_NODES;
		mean.plate_pa += all->air->node[n].plate_pa / JW_CYCLE_NODES;
		mean.manifold_pa += all->air->node[n].manifold_pa / JW_CYCLE_NODES;
	}
	jw_fuel_ends ends = ends_at(all, &mean);
	jw_carburetor_flow found = {0};
	jw_carburetor_fuel_near(all->carburetor, &ends, NULL, &found, NULL);
	for (int i = 0; i < JW_COLUMNS; i++) {
		flow[i] = all->of[i].flows ? steady_flow(&found, i)->fuel_kg_s : 0.0;
		start_well(&all->of[i], steady_flow(&found, i), &flow[JW_WELL(i)]);
	}
	if (all->carburetor->pilot_from_main_well)
		flow[JW_MAIN] += flow[JW_PILOT];
	memcpy(all->mean, flow, sizeof all->mean);
}

/* ---- all together ---- */

/* Share of what is drawn that does not leave by the outlets. */
static double fuel_kept(const jw_columns *all)
{
	double drawn = jw_columns_draw(all), left = 0.0;
	for (int i = 0; i < JW_COLUMNS; i++)
		left += all->left[i];
	double most = fmax(drawn, left);
	return most > 0.0 ? (drawn - left) / most : 0.0;
}

static jw_status follow_columns(jw_columns *all, jw_cycle *cycle, jw_error *error)
{
	double flow[JW_COLUMN_UNKNOWNS], *mean = all->mean;
	start(all, flow);
	jw_status status = jw_columns_settle(all, &cycle->trace, flow, error);
	cycle->fuel_error = fuel_kept(all);
	/* A pilot fed from a well without air jet, whose level is not followed, may ask for more than comes. */
	if (status >= 0 && !(fabs(cycle->fuel_error) <= MOST_FUEL_KEPT))
		return jw_fail(error, JW_E_NO_CONVERGENCE, "fuel balance", cycle->fuel_error, -MOST_FUEL_KEPT, MOST_FUEL_KEPT);
	if (all->carburetor->pilot_from_main_well)
		mean[JW_MAIN] = fmax(mean[JW_MAIN] - mean[JW_PILOT], 0.0);
	return status;
}

static void tell_fuel(jw_columns *all, jw_cycle *cycle)
{
	const jw_cycle_air *a = all->air;
	double behind;
	for (int i = 0; i < JW_COLUMNS; i++) {
		*jw_double_at(cycle, jw_column_rows[i].mean) = all->mean[i];
		cycle->fuel_kg_s += all->mean[i];
		cycle->air_kg_s += all->bleeds[i];
	}
	jw_gas_downstream_pressure(a->throat_m2, &a->gas, a->box_pa, a->mean_kg_s, &behind);
	cycle->steady_depression_pa = a->box_pa - behind;
	cycle->main_gain =
	    cycle->steady_depression_pa > 0.0 ? gain_for(all, cycle->steady_depression_pa, cycle->main_kg_s) : 1.0;
}

jw_status jw_cycle_columns(const jw_cycle_air *a, const jw_carburetor *calibrated, const jw_liquid_flow *fuel,
                           jw_cycle *cycle, jw_error *error)
{
	jw_columns all = {.air = a, .carburetor = calibrated, .node_s = a->period_s / JW_CYCLE_NODES};
	set_up(&all, fuel);
	jw_status status = a->options.column_factor > 0.0 ? follow_columns(&all, cycle, error)
	                                                  : follow_at_once(&all, &cycle->trace, error);
	if (status < 0)
		return status;
	tell_fuel(&all, cycle);
	return status & ~(JW_W_NEAR_THRESHOLD | JW_W_NO_FUEL);
}

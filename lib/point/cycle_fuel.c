/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "point/cycle.h"

#include "base/base.h"
#include "solve/anderson.h"

#include <string.h>

/* Each circuit's fuel is one column with inertia; a bled well with one outlet moves too, the others answer at once.
 * Stepped by the second-order pair of Ascher, Ruuth and Spiteri (Implicit-explicit Runge-Kutta methods for
 * time-dependent partial differential equations, Appl. Numer. Math. 25, 1997; their 2,2,2): the flow out of a well,
 * which as air answers within microseconds and as fuel within a millisecond, backwards, the rest forwards. At low
 * speed a step lies between two nodes, whose pressures are interpolated. */

/* Of emulsion and of air an outlet takes very different flows: a step in which it turns round is taken in parts. */
#define PARTS_OF_A_TURN 8
#define BACKWARDS (1.0 - 0.70710678118654752440) /* share of the step in each of its two stages */
#define AT_FIRST (1.0 - 0.5 / BACKWARDS)         /* weight of the rates at the step's start */
/* Steps, the shorter of both: less than any column takes to answer. The rough ones serve while a cycle still leads so
 * far from where it began. */
typedef struct steps {
	int nodes;
	double longest_s;
} steps;
static const steps rough = {4, 0.5e-3}, fine = {2, 0.125e-3};
#define ROUGHLY_SETTLED 1e-3
/* Where so many cycles do not settle, the choice between whole steps and parts swings with the state: finer steps swing
 * less. */
#define CYCLES_A_FINENESS 25
#define FINEST 8
#define SETTLED 1e-5
/* Most that mixing may multiply or divide what a cycle ends with: near its threshold a circuit turns over. */
#define MOST_MIXED 2.0
#define GREATEST_ROOT 1e3 /* of a jet's drop, root Pa */
#define JET_IMBALANCE 1e-8
#define GAIN_IMBALANCE 1e-9
#define MOST_GAIN 20.0

typedef enum end_name { AT_NOZZLE, AT_PLATE, AT_MANIFOLD } end_name;

typedef enum column_name { MAIN, PILOT, POWER, ENRICHENER, COLUMNS } column_name;

/* Flow of each column, then what moves in the well of each. */
#define UNKNOWNS (COLUMNS + COLUMNS * JW_WELL_UNKNOWNS)
#define WELL(column) (COLUMNS + (column)*JW_WELL_UNKNOWNS)

/* Where the outlets of each circuit open, in the order in which the carburetor lists them. */
static const end_name outlets[COLUMNS][JW_PILOT_OUTLETS] = {
    [MAIN] = {AT_NOZZLE},
    [PILOT] = {AT_MANIFOLD, AT_MANIFOLD, AT_PLATE},
    [POWER] = {AT_NOZZLE},
    [ENRICHENER] = {AT_MANIFOLD},
};

typedef struct columns {
	const jw_cycle_air *air;
	const jw_carburetor *carburetor;
	jw_fuel_column of[COLUMNS];
	double node_s; /* from one node to the next */
	steps steps;
	int fineness; /* parts of such a step */
	jw_status status;
} columns;

/* Where they stand, how fast that changes, and what has passed each jet since the cycle began, kg. */
typedef struct course {
	double y[UNKNOWNS], rate[UNKNOWNS], passed[COLUMNS];
} course;

/* ---- the momentum of one column ---- */

static double jet_excess(double root, void *context)
{
	const jw_fuel_column *c = context;
	double flow = 0.0;
	jw_liquid_mass_flow(&c->at.circuit.fuel_jet, &c->at.ends.fuel, root * root, &flow);
	return (flow - c->asked) / (flow + c->asked);
}

/* Drop at the jet that a flow of fuel makes. */
static double jet_drop(jw_fuel_column *c, double kg_s)
{
	if (!(kg_s > 0.0))
		return 0.0;
	c->asked = kg_s / c->at.circuit.fuel_coefficient;
	jw_guess root = {0.0, GREATEST_ROOT, c->root, 0.5 / c->root};
	if (jw_rising_root(jet_excess, c, &root, JET_IMBALANCE, NULL) >= 0)
		c->root = fmax(root.x, 1e-3);
	return jw_square(root.x);
}

static double pressure_at(const jw_air_moment *m, end_name where)
{
	return where == AT_NOZZLE ? m->nozzle_pa : where == AT_PLATE ? m->plate_pa : m->manifold_pa;
}

/* Pressure in the well while the column brings so much. */
static double well_at(columns *all, column_name name, double kg_s, double step_s, double *y, const jw_air_moment *m,
                      double *rate)
{
	jw_fuel_column *c = &all->of[name];
	jw_circuit_flow flow;
	for (int i = 0; i < c->at.ends.outlets; i++)
		c->at.ends.outlet[i].pressure_pa = pressure_at(m, outlets[name][i]);
	if (name == MAIN && all->air->moves)
		c->at.ends.outlet[0].effective_area_m2 = jw_carburetor_annulus(all->carburetor, m->lift_m);
	if (c->bled)
		return jw_bled_well_step(&c->moving, &c->at.circuit, &c->at.ends, kg_s, step_s, &y[WELL(name)],
		                         &rate[WELL(name) + JW_WELL_LIQUID]);
	jw_status status = jw_circuit_driven(&c->at.circuit, &c->at.ends, kg_s, &c->well, &flow, NULL);
	all->status = jw_both(all->status, status & ~JW_W_NO_FUEL);
	return c->well.well_pa;
}

double jw_fuel_column_rate(jw_fuel_column *c, double feed_pa, double well_pa, double kg_s)
{
	double head = c->at.ends.fuel.density_kg_m3 * JW_GRAVITY * c->at.circuit.bleed_depth_m;
	double rate = (feed_pa + head - well_pa - jet_drop(c, kg_s)) / c->inertance;
	/* A meniscus that runs back and comes again has no memory of its way: fuel stops at its jet. */
	return kg_s > 0.0 || rate > 0.0 ? rate : 0.0;
}

/* Rates of all columns and wells at one moment, after the flows out of wells have made a step that ends there. A pilot
 * that is fed from the main well takes its fuel out of what the main jet brings. */
static void rates(columns *all, double step_s, double *y, const jw_air_moment *m, double *rate)
{
	memset(rate, 0, UNKNOWNS * sizeof *rate);
	int nested = all->carburetor->pilot_from_main_well;
	double main_well = all->of[MAIN].at.ends.bowl_pa;
	for (int i = 0; i < COLUMNS; i++) {
		jw_fuel_column *c = &all->of[i];
		double feed = c->at.ends.bowl_pa;
		if (!c->moves || !c->flows)
			continue;
		double left = i == MAIN && nested ? y[MAIN] - y[PILOT] : y[i];
		if (!c->bled)
			left = fmax(left, 0.0);
		double well = well_at(all, (column_name)i, left, step_s, y, m, rate);
		if (i == MAIN)
			main_well = well;
		if (i == PILOT && nested)
			feed = jw_branch_feed(&all->of[MAIN].at.circuit, &all->of[MAIN].at.ends, main_well);
		rate[i] = jw_fuel_column_rate(c, feed, well, y[i]);
	}
}

/* ---- a cycle ---- */

/* Pressures at a place between two nodes. */
static jw_air_moment moment_between(const jw_cycle_air *a, double place)
{
	int node = (int)fmin(place, JW_CYCLE_NODES - 1);
	const jw_air_moment *from = &a->node[node], *to = from + 1;
	double share = place - node;
	return (jw_air_moment){.nozzle_pa = from->nozzle_pa + share * (to->nozzle_pa - from->nozzle_pa),
	                       .plate_pa = from->plate_pa + share * (to->plate_pa - from->plate_pa),
	                       .manifold_pa = from->manifold_pa + share * (to->manifold_pa - from->manifold_pa),
	                       .lift_m = from->lift_m + share * (to->lift_m - from->lift_m)};
}

/* No fuel flows back past a jet, and no well holds less than none. */
static void keep_positive(double *y)
{
	for (int i = 0; i < COLUMNS; i++) {
		y[i] = fmax(y[i], 0.0);
		y[WELL(i) + JW_WELL_LIQUID] = fmax(y[WELL(i) + JW_WELL_LIQUID], 0.0);
	}
}

/* \param place of its start among the nodes, \param nodes that it spans */
static void step(columns *all, double place, double nodes, course *c)
{
	double within[UNKNOWNS], there[UNKNOWNS], rate[UNKNOWNS];
	double step_s = nodes * all->node_s, stage_s = BACKWARDS * step_s;
	jw_air_moment at = moment_between(all->air, place + BACKWARDS * nodes);
	for (int i = 0; i < UNKNOWNS; i++)
		within[i] = c->y[i] + stage_s * c->rate[i];
	keep_positive(within);
	rates(all, stage_s, within, &at, rate);
	for (int i = 0; i < UNKNOWNS; i++)
		there[i] = c->y[i] + step_s * (AT_FIRST * c->rate[i] + (1.0 - AT_FIRST) * rate[i]);
	for (int i = 0; i < COLUMNS; i++) {
		int out = WELL(i) + JW_WELL_OUT;
		there[out] = c->y[out] + (1.0 - BACKWARDS) / BACKWARDS * (within[out] - c->y[out]);
	}
	keep_positive(there);
	at = moment_between(all->air, place + nodes);
	rates(all, stage_s, there, &at, c->rate);
	for (int i = 0; i < COLUMNS; i++)
		c->passed[i] += 0.5 * step_s * (c->y[i] + there[i]);
	memcpy(c->y, there, sizeof there);
}

/* Whether the flow out of a well that moves has turned round. */
static int turned(const columns *all, const double *from, const double *to)
{
	for (int i = 0; i < COLUMNS; i++)
		if (all->of[i].moves && all->of[i].bled &&
		    (from[WELL(i) + JW_WELL_OUT] < 0.0) != (to[WELL(i) + JW_WELL_OUT] < 0.0))
			return 1;
	return 0;
}

static void step_carefully(columns *all, double place, double nodes, course *c)
{
	const course before = *c;
	step(all, place, nodes, c);
	if (!turned(all, before.y, c->y))
		return;
	*c = before;
	for (int k = 0; k < PARTS_OF_A_TURN; k++)
		step(all, place + nodes * k / PARTS_OF_A_TURN, nodes / PARTS_OF_A_TURN, c);
}

/* At a share of the way from one set of flows to the next. */
static void note(const columns *all, jw_cycle_trace *trace, int node, const double *from, const double *to,
                 double share)
{
	if (all->of[MAIN].moves)
		trace->main_kg_s[node] = from[MAIN] + share * (to[MAIN] - from[MAIN]);
	if (all->of[PILOT].moves)
		trace->pilot_kg_s[node] = from[PILOT] + share * (to[PILOT] - from[PILOT]);
}

/* Steps flows and wells through one cycle; what passed comes as means. */
static void cycle_through(columns *all, double *y, double *mean, jw_cycle_trace *trace)
{
	int parts = all->fineness * (int)ceil(all->steps.nodes * all->node_s / all->steps.longest_s);
	course c = {.passed = {0}};
	memcpy(c.y, y, sizeof c.y);
	note(all, trace, 0, c.y, c.y, 0.0);
	rates(all, 0.0, c.y, &all->air->node[0], c.rate);
	for (int node = 0; node < JW_CYCLE_NODES; node += all->steps.nodes) {
		const course before = c;
		for (int k = 0; k < parts; k++)
			step_carefully(all, node + (double)k / parts * all->steps.nodes, (double)all->steps.nodes / parts, &c);
		for (int n = 1; n <= all->steps.nodes; n++)
			note(all, trace, node + n, before.y, c.y, (double)n / all->steps.nodes);
	}
	memcpy(y, c.y, sizeof c.y);
	for (int i = 0; i < COLUMNS; i++)
		if (all->of[i].moves)
			mean[i] = c.passed[i] / all->air->period_s;
}

/* How far a cycle leads from where it began, in shares of what flows and of what the wells hold. */
static double off_by(const columns *all, const double *before, const double *after, const double *mean)
{
	double most = 0.0;
	for (int i = 0; i < COLUMNS; i++) {
		if (!all->of[i].moves)
			continue;
		int well = WELL(i) + JW_WELL_LIQUID;
		double holds = all->of[MAIN].at.ends.fuel.density_kg_m3 * all->of[i].moving.volume_m3;
		most = fmax(most, fabs(after[i] - before[i]) / (mean[i] + 1e-9));
		if (all->of[i].bled)
			most = fmax(most, fabs(after[well] - before[well]) / holds);
	}
	return most;
}

static double kept_near(double mixed, double image)
{
	double least = fmin(image / MOST_MIXED, image * MOST_MIXED), most = fmax(image / MOST_MIXED, image * MOST_MIXED);
	return jw_clamp(mixed, least, most);
}

/* Of the columns that move. */
static jw_status settle(columns *all, double *mean, jw_cycle_trace *trace, double *y, jw_error *error)
{
	jw_anderson mixing = {.unknowns = UNKNOWNS};
	double before[UNKNOWNS], x[UNKNOWNS], image[UNKNOWNS], scale[UNKNOWNS], change = INFINITY;
	for (int i = 0; i < COLUMNS; i++) {
		scale[i] = scale[WELL(i) + JW_WELL_OUT] = 1e-6 + y[i];
		scale[WELL(i) + JW_WELL_LIQUID] = 1e-9 + y[WELL(i) + JW_WELL_LIQUID];
	}
	all->steps = rough;
	for (all->fineness = 1; all->fineness <= FINEST; all->fineness *= 2) {
		mixing.trials = 0;
		for (int n = 0; n < CYCLES_A_FINENESS; n++) {
			memcpy(before, y, sizeof before);
			if (change < ROUGHLY_SETTLED)
				all->steps = fine;
			cycle_through(all, y, mean, trace);
			if (all->status < 0)
				return jw_fail(error, all->status, "fuel column", n, 0, CYCLES_A_FINENESS);
			change = off_by(all, before, y, mean);
			if (change < SETTLED && all->steps.nodes == fine.nodes)
				return JW_OK;
			for (int i = 0; i < UNKNOWNS; i++) {
				x[i] = before[i] / scale[i];
				image[i] = y[i] / scale[i];
			}
			jw_anderson_next(&mixing, x, image, x);
			for (int i = 0; i < UNKNOWNS; i++)
				y[i] = kept_near(x[i], image[i]) * scale[i];
		}
	}
	return jw_fail(error, JW_E_NO_CONVERGENCE, "fuel column", change, 0, SETTLED);
}

/* One circuit after the other, but main and pilot together where one feeds the other. */
static jw_status settle_all(columns *all, double *mean, jw_cycle_trace *trace, double *y, jw_error *error)
{
	jw_status status = JW_OK;
	memset(mean, 0, COLUMNS * sizeof *mean);
	for (int first = 0; first < COLUMNS && status >= 0; first++) {
		int nested = all->carburetor->pilot_from_main_well;
		for (int i = 0; i < COLUMNS; i++)
			all->of[i].moves = i == first || (nested && first == MAIN && i == PILOT);
		if (!(nested && first == PILOT))
			status = settle(all, mean, trace, y, error);
	}
	return status;
}

/* ---- without inertia, and the steady circuits to compare with ---- */

static jw_fuel_ends ends_at(const columns *all, const jw_air_moment *m)
{
	const jw_cycle_air *a = all->air;
	return (jw_fuel_ends){.path = {.box_pa = a->box_pa,
	                               .mouth_pa = a->box_pa,
	                               .throat_pa = m->nozzle_pa,
	                               .throat_steady_pa = m->nozzle_pa,
	                               .plate_pa = m->plate_pa,
	                               .lift_m = m->lift_m},
	                      .ambient_pa = a->air->pressure_pa,
	                      .manifold_pa = m->manifold_pa,
	                      .controls = a->controls,
	                      .main_gain = 1.0,
	                      .fuel = all->of[MAIN].at.ends.fuel,
	                      .air = a->gas};
}

static jw_status follow_at_once(const columns *all, double *mean, jw_cycle_trace *trace, jw_error *error)
{
	jw_carburetor_flow found;
	jw_status all_status = JW_OK;
	memset(mean, 0, COLUMNS * sizeof *mean);
	for (int n = 0; n <= JW_CYCLE_NODES; n++) {
		jw_fuel_ends ends = ends_at(all, &all->air->node[n]);
		jw_status status = jw_carburetor_fuel_near(all->carburetor, &ends, n > 0 ? &found : NULL, &found, error);
		if (status < 0)
			return status;
		all_status |= status & ~JW_W_NO_FUEL;
		const double flow[COLUMNS] = {found.main.fuel_kg_s, found.pilot.fuel_kg_s, found.power.fuel_kg_s,
		                              found.enrichener.fuel_kg_s};
		note(all, trace, n, flow, flow, 0.0);
		for (int i = 0; i < COLUMNS && n < JW_CYCLE_NODES; i++)
			mean[i] += flow[i] / JW_CYCLE_NODES;
	}
	return all_status;
}

typedef struct gain_search {
	columns *all;
	double depression_pa, wanted;
} gain_search;

static double steady_main(const columns *all, double nozzle_pa)
{
	jw_branch main = all->of[MAIN].at;
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
static double gain_for(columns *all, double depression_pa, double wanted)
{
	gain_search s = {all, depression_pa, wanted};
	double most = fmin(MOST_GAIN, 0.45 * all->air->box_pa / depression_pa);
	jw_guess gain = {0.0, most, fmin(1.5, 0.5 * most), 0.3};
	if (!(wanted > 0.0) || jw_rising_root(gain_excess, &s, &gain, GAIN_IMBALANCE, NULL) < 0)
		return 1.0;
	return gain.x;
}

/* ---- all together ---- */

static void set_up(columns *all, const jw_cycle_air *a, const jw_carburetor *c, const jw_liquid_flow *fuel)
{
	double bowl = c->bowl.vent == JW_VENT_AIRBOX ? a->box_pa : a->air->pressure_pa;
	all->of[MAIN].at.ends.fuel = *fuel;
	jw_air_moment usual = a->node[0];
	usual.lift_m = a->lift_m;
	jw_fuel_ends ends = ends_at(all, &usual);
	all->of[MAIN].at = jw_carburetor_main(c, &ends, bowl, a->node[0].nozzle_pa);
	all->of[PILOT].at = jw_carburetor_pilot(c, &ends, bowl);
	all->of[POWER].at = jw_carburetor_power(c, &ends, bowl, a->node[0].nozzle_pa);
	all->of[ENRICHENER].at = jw_carburetor_enrichener(c, &ends, bowl);
	/* Nobody states the columns of the other circuits: as long and wide as the main one's. */
	double column_m = a->options.column_factor * c->main_column_m / (0.25 * JW_PI * jw_square(c->main_column_bore_m));
	for (int i = 0; i < COLUMNS; i++) {
		jw_fuel_column *at = &all->of[i];
		const jw_orifice *jet = &at->at.circuit.fuel_jet;
		double open = 0.0;
		for (int k = 0; k < at->at.ends.outlets; k++)
			open += at->at.ends.outlet[k].effective_area_m2;
		at->flows = open > 0.0 && jet->diameter_m > 0.0 && at->at.circuit.fuel_coefficient > 0.0;
		at->inertance = at->flows ? column_m + a->options.column_factor * jet->length_m / jw_orifice_area(jet) : 0.0;
		at->bled = at->flows && at->at.ends.outlets == 1 && at->at.circuit.air_jet.diameter_m > 0.0;
		if (at->bled)
			at->moving =
			    jw_bled_well_of(&at->at.circuit, &at->at.ends, c->main_column_bore_m, a->options.column_factor);
		at->moves = 1;
		at->root = 30.0;
		at->well = (jw_well_near){bowl - 500.0, NAN};
	}
}

static void start_well(const jw_fuel_column *c, const jw_circuit_flow *steady, double *y)
{
	if (!c->bled)
		return;
	y[JW_WELL_OUT] = fmax(steady->outlet_kg_s[0], 0.0);
	y[JW_WELL_LIQUID] = steady->fuel_kg_s > 0.0 ? jw_bled_well_holds(&c->moving, &c->at.ends, steady->quality)
	                                            : jw_bled_well_full(&c->moving, &c->at.circuit, &c->at.ends);
}

/* Where steady circuits would stand between the mean pressures. */
static void start(const columns *all, double *flow)
{
	memset(flow, 0, UNKNOWNS * sizeof *flow);
	jw_air_moment mean = {.lift_m = all->air->lift_m};
	for (int n = 0; n < JW_CYCLE_NODES; n++) {
		mean.nozzle_pa += all->air->node[n].nozzle_pa / JW_CYCLE_NODES;
		mean.plate_pa += all->air->node[n].plate_pa / JW_CYCLE_NODES;
		mean.manifold_pa += all->air->node[n].manifold_pa / JW_CYCLE_NODES;
	}
	jw_fuel_ends ends = ends_at(all, &mean);
	jw_carburetor_flow found = {0};
	jw_carburetor_fuel_near(all->carburetor, &ends, NULL, &found, NULL);
	flow[MAIN] = found.main.fuel_kg_s + (all->carburetor->pilot_from_main_well ? found.pilot.fuel_kg_s : 0.0);
	flow[PILOT] = found.pilot.fuel_kg_s;
	flow[POWER] = found.power.fuel_kg_s;
	flow[ENRICHENER] = found.enrichener.fuel_kg_s;
	start_well(&all->of[MAIN], &found.main, &flow[WELL(MAIN)]);
	start_well(&all->of[ENRICHENER], &found.enrichener, &flow[WELL(ENRICHENER)]);
}

jw_status jw_cycle_columns(const jw_cycle_air *a, const jw_carburetor *calibrated, const jw_liquid_flow *fuel,
                           jw_cycle *cycle, jw_error *error)
{
	columns all = {.air = a, .carburetor = calibrated, .node_s = a->period_s / JW_CYCLE_NODES};
	double mean[COLUMNS], flow[UNKNOWNS];
	set_up(&all, a, calibrated, fuel);
	jw_status status;
	if (a->options.column_factor > 0.0) {
		start(&all, flow);
		status = settle_all(&all, mean, &cycle->trace, flow, error);
		if (calibrated->pilot_from_main_well)
			mean[MAIN] = fmax(mean[MAIN] - mean[PILOT], 0.0);
	} else {
		status = follow_at_once(&all, mean, &cycle->trace, error);
	}
	if (status < 0)
		return status;
	cycle->main_kg_s = mean[MAIN];
	cycle->pilot_kg_s = mean[PILOT];
	cycle->power_kg_s = mean[POWER];
	cycle->enrichener_kg_s = mean[ENRICHENER];
	cycle->fuel_kg_s = mean[MAIN] + mean[PILOT] + mean[POWER] + mean[ENRICHENER];
	double behind;
	jw_gas_downstream_pressure(a->throat_m2, &a->gas, a->box_pa, a->mean_kg_s, &behind);
	cycle->steady_depression_pa = a->box_pa - behind;
	cycle->main_gain =
	    cycle->steady_depression_pa > 0.0 ? gain_for(&all, cycle->steady_depression_pa, cycle->main_kg_s) : 1.0;
	return status | (all.status & ~JW_W_NEAR_THRESHOLD);
}

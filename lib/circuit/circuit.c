/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/circuit.h>

#include "base/base.h"
#include "solve/root.h"

#define GRAVITY 9.80665
#define ROOT_TOLERANCE_PA 1e-6
/* Below twice the lift a little more signal is much more fuel. */
#define NEAR_THRESHOLD 2.0

/* One circuit while it is solved: what stays fixed, then what the last trial pressure gave. */
typedef struct trial {
	const jw_circuit *circuit;
	const jw_circuit_ends *ends;
	double fuel_top_pa;    /* well pressure at which the fuel jet stops */
	double liquid_head_pa; /* bleed to outlet, full of fuel */
	double bled_head_pa;   /* the same, fully bled */
	double fuel, bleed;    /* kg/s in */
	double out[JW_OUTLETS], total_in, total_out;
	double quality;
	jw_status status;
} trial;

/* Density of what rises when fuel jet and bleed see one drop: geometry alone, so that it cannot upset the root. */
static double bled_density(const jw_circuit *c, const jw_circuit_ends *ends)
{
	double air_density = ends->air_pa / (ends->air.gas_constant_j_kg_k * ends->air.temperature_k);
	double air_volume = jw_orifice_area(&c->air_jet) * sqrt(ends->fuel.density_kg_m3 / air_density);
	double fuel_volume = jw_orifice_area(&c->fuel_jet);
	double total = air_volume + fuel_volume;
	if (!(total > 0.0))
		return ends->fuel.density_kg_m3;
	return (air_density * air_volume + ends->fuel.density_kg_m3 * fuel_volume) / total;
}

/* The ramp is as long as twice its height, so pressure less head always rises with pressure. */
static double head_at(const trial *t, double well_pa)
{
	double fall = t->liquid_head_pa - t->bled_head_pa;
	if (!(fall > 0.0))
		return t->liquid_head_pa;
	double uncovered = jw_clamp((t->ends->air_pa - well_pa) / (2.0 * fall), 0.0, 1.0);
	return t->liquid_head_pa - fall * uncovered;
}

/* Well pressure at which well less head equals a given pressure: the ramp inverted. */
static double well_for(const trial *t, double outlet_pa)
{
	double fall = t->liquid_head_pa - t->bled_head_pa;
	double covered = outlet_pa + t->liquid_head_pa;
	if (!(fall > 0.0) || covered >= t->ends->air_pa)
		return covered;
	double bled = outlet_pa + t->bled_head_pa;
	if (bled <= t->ends->air_pa - 2.0 * fall)
		return bled;
	return 2.0 * covered - t->ends->air_pa;
}

static void feeds_at(trial *t, double well_pa)
{
	const jw_circuit_ends *ends = t->ends;
	t->fuel = t->bleed = 0.0;
	if (well_pa < t->fuel_top_pa)
		t->status |= jw_liquid_mass_flow(&t->circuit->fuel_jet, &ends->fuel, t->fuel_top_pa - well_pa, &t->fuel);
	if (well_pa < ends->air_pa)
		t->status |= jw_gas_orifice_flow(&t->circuit->air_jet, &ends->air, ends->air_pa, well_pa, &t->bleed);
	t->fuel *= t->circuit->fuel_coefficient;
}

/* All flows at a trial pressure; the same code serves the search and the answer. */
static void flows_at(trial *t, double well_pa)
{
	const jw_circuit_ends *ends = t->ends;
	t->status = JW_OK;
	feeds_at(t, well_pa);
	double inside_pa = well_pa - head_at(t, well_pa);
	double drawn_in = 0.0;
	for (int i = 0; i < ends->outlets; i++) {
		const jw_outlet *o = &ends->outlet[i];
		t->out[i] = 0.0;
		if (o->pressure_pa > inside_pa) {
			t->status |= jw_gas_mass_flow(o->effective_area_m2, &ends->air, o->pressure_pa, inside_pa, &t->out[i]);
			drawn_in += t->out[i];
			t->out[i] = -t->out[i];
		}
	}
	t->total_in = t->fuel + t->bleed + drawn_in;
	t->quality = t->total_in > 0.0 ? (t->bleed + drawn_in) / t->total_in : 1.0;
	jw_emulsion emulsion = {t->quality, ends->fuel.density_kg_m3,
	                        ends->air.gas_constant_j_kg_k * ends->air.temperature_k};
	t->total_out = 0.0;
	for (int i = 0; i < ends->outlets; i++) {
		const jw_outlet *o = &ends->outlet[i];
		if (o->pressure_pa < inside_pa) {
			t->status |= jw_emulsion_mass_flow(o->effective_area_m2, &emulsion, inside_pa, o->pressure_pa, &t->out[i]);
			t->total_out += t->out[i];
		}
	}
}

/* Falls from 1 (all in, nothing out) to -1. Given flow against capacity: mass in less mass out would not be monotone.
 */
static double imbalance(double well_pa, void *context)
{
	trial *t = context;
	flows_at(t, well_pa);
	double sum = t->total_in + t->total_out;
	return sum > 0.0 ? (t->total_in - t->total_out) / sum : 0.0;
}

static double least_outlet(const jw_circuit_ends *ends)
{
	double least = INFINITY;
	for (int i = 0; i < ends->outlets; i++)
		if (ends->outlet[i].effective_area_m2 > 0.0)
			least = fmin(least, ends->outlet[i].pressure_pa);
	return least;
}

/* Highest pressure that any feed can hold up in the well. */
static double highest_feed(const trial *t)
{
	double highest = 0.0;
	if (t->circuit->fuel_jet.diameter_m > 0.0 && t->circuit->fuel_coefficient > 0.0)
		highest = t->fuel_top_pa;
	if (t->circuit->air_jet.diameter_m > 0.0)
		highest = fmax(highest, t->ends->air_pa);
	for (int i = 0; i < t->ends->outlets; i++)
		if (t->ends->outlet[i].effective_area_m2 > 0.0)
			highest = fmax(highest, well_for(t, t->ends->outlet[i].pressure_pa));
	return highest;
}

static jw_status check_ends(const jw_circuit *circuit, const jw_circuit_ends *ends, jw_error *error)
{
	if (ends->outlets < 0 || ends->outlets > JW_OUTLETS)
		return jw_fail(error, JW_E_RANGE, "outlets", ends->outlets, 0, JW_OUTLETS);
	jw_status status = jw_check_range("bowl_pa", ends->bowl_pa, 1e3, 1e6, error);
	if (status == JW_OK)
		status = jw_check_range("air_pa", ends->air_pa, 1e3, 1e6, error);
	if (status == JW_OK)
		status = jw_check_range("fuel_coefficient", circuit->fuel_coefficient, 0.0, 100.0, error);
	for (int i = 0; status == JW_OK && i < ends->outlets; i++)
		status = jw_check_range("outlet_pa", ends->outlet[i].pressure_pa, 1e2, 1e6, error);
	return status;
}

jw_status jw_circuit_solve(const jw_circuit *circuit, const jw_circuit_ends *ends, jw_circuit_flow *flow,
                           jw_error *error)
{
	jw_status status = check_ends(circuit, ends, error);
	if (status < 0)
		return status;
	double rise = fmax(circuit->outlet_height_m + circuit->bleed_depth_m, 0.0);
	trial t = {
	    .circuit = circuit,
	    .ends = ends,
	    .fuel_top_pa = ends->bowl_pa + ends->fuel.density_kg_m3 * GRAVITY * circuit->bleed_depth_m,
	    .liquid_head_pa = ends->fuel.density_kg_m3 * GRAVITY * rise,
	    .bled_head_pa = bled_density(circuit, ends) * GRAVITY * rise,
	};
	double lift_pa = ends->fuel.density_kg_m3 * GRAVITY * circuit->outlet_height_m;
	double low = well_for(&t, least_outlet(ends)), high = highest_feed(&t), well = low;
	*flow = (jw_circuit_flow){.well_pa = fmin(high, fmax(low, t.fuel_top_pa)), .quality = 1.0};
	if (!(low < high))
		return JW_W_NO_FUEL;

	status = jw_root(imbalance, &t, low, high, ROOT_TOLERANCE_PA, &well, error);
	if (status < 0)
		return status;
	flows_at(&t, well);
	/* The last rounding of the root goes to the outlets, so that mass closes. */
	double share = t.total_out > 0.0 ? t.total_in / t.total_out : 0.0;
	flow->fuel_kg_s = t.fuel;
	flow->bleed_kg_s = t.bleed;
	flow->well_pa = well;
	flow->quality = t.quality;
	for (int i = 0; i < ends->outlets; i++)
		flow->outlet_kg_s[i] = t.out[i] > 0.0 ? t.out[i] * share : t.out[i];
	status |= t.status;
	if (!(flow->fuel_kg_s > 0.0))
		status |= JW_W_NO_FUEL;
	else if (lift_pa > 0.0 && ends->bowl_pa - least_outlet(ends) < NEAR_THRESHOLD * lift_pa)
		status |= JW_W_NEAR_THRESHOLD;
	/* Fuel stands in the air passage as high as the well presses above the air: flooded where that is above the outlet. */
	if (circuit->outlet_height_m < 0.0 || (t.liquid_head_pa > 0.0 && well - ends->air_pa > t.liquid_head_pa))
		status |= JW_W_FLOODED;
	return status;
}

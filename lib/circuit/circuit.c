/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/air.h>
#include <jetwright/circuit.h>

#include "base/base.h"
#include "circuit/near.h"
#include "flow/check.h"
#include "solve/root.h"

#include <string.h>

/* What enters the well less what leaves it, over their sum. */
#define IMBALANCE 1e-10
/* The same where fuel is given from moment to moment. */
#define DRIVEN_IMBALANCE 1e-8
/* Of a drilled passage, where only a guess is wanted. */
#define ROUGH_COEFFICIENT 0.75
/* Below twice the lift a little more signal is much more fuel. */
#define NEAR_THRESHOLD 2.0

/* Stands where a bowl is not read. */
#define ANY_BOWL_PA 1e5

/* One circuit while it is solved: what stays fixed, then what the last trial pressure gave. */
typedef struct trial {
	const jw_circuit *circuit;
	const jw_circuit_ends *ends;
	double fuel_top_pa;    /* well pressure at which the fuel jet stops */
	double highest_pa;     /* well pressure that no feed exceeds: depressions count from here */
	double most_pa;        /* depression at which no outlet is left below */
	double given;          /* fuel that comes whatever the well's pressure, kg/s; not a number: what the jet passes */
	double liquid_head_pa; /* bleed to outlet, full of fuel */
	double bled_head_pa;   /* the same, fully bled */
	double fuel, bleed;    /* kg/s in */
	double drawn;          /* kg/s that the branch takes */
	double branch_well_pa; /* of the branch, where the next trial's search begins */
	double out[JW_OUTLETS], total_in, total_out;
	double quality;
	jw_status status;
} trial;

/* Share of the volume that is liquid in a column that an air jet bleeds. One figure for all jets: if the weight
 * followed the bores, a larger fuel jet could lean the mixture, or a larger air jet richen it, by the column alone. */
#define BLED_LIQUID 0.05

/* Weight of the column once bled, as a share of the liquid's; without an air jet it stays liquid. */
static double bled_share(const jw_circuit *c)
{
	return c->air_jet.diameter_m > 0.0 ? BLED_LIQUID : 1.0;
}

static int takes_fuel(const jw_circuit *c)
{
	return c->fuel_jet.diameter_m > 0.0 && c->fuel_coefficient > 0.0;
}

/* From bleed to outlet. A well whose jet is shut is dry: nothing weighs on its air. */
static double column_height(const jw_circuit *c)
{
	return takes_fuel(c) ? fmax(c->outlet_height_m + c->bleed_depth_m, 0.0) : 0.0;
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

jw_status jw_driven_bleed(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa, double *kg_s)
{
	jw_status status = jw_gas_orifice_flow(&circuit->air_jet, &ends->air, ends->air_pa, well_pa, kg_s);
	double creeping = JW_LEAST_REYNOLDS * 0.25 * JW_PI * circuit->air_jet.diameter_m * ends->air.viscosity_pa_s;
	return status >= 0 && *kg_s < creeping ? jw_of_little(status) : status;
}

static void feeds_at(trial *t, double depression_pa)
{
	const jw_circuit_ends *ends = t->ends;
	double fuel_drop = depression_pa - (t->highest_pa - t->fuel_top_pa);
	double air_drop = depression_pa - (t->highest_pa - ends->air_pa), well_pa = ends->air_pa - air_drop;
	const int driven = t->given >= 0.0;
	t->fuel = driven ? t->given : 0.0;
	t->bleed = 0.0;
	if (!driven && fuel_drop > 0.0) {
		t->status |= jw_liquid_mass_flow(&t->circuit->fuel_jet, &ends->fuel, fuel_drop, &t->fuel);
		t->fuel *= t->circuit->fuel_coefficient;
	}
	if (air_drop > 0.0)
		t->status |= driven ? jw_driven_bleed(t->circuit, ends, well_pa, &t->bleed)
		                    : jw_gas_orifice_flow(&t->circuit->air_jet, &ends->air, ends->air_pa, well_pa, &t->bleed);
}

double jw_circuit_air(const jw_circuit_flow *flow)
{
	double air = flow->bleed_kg_s;
	for (int i = 0; i < JW_OUTLETS; i++)
		if (flow->outlet_kg_s[i] < 0.0)
			air -= flow->outlet_kg_s[i];
	return air;
}

double jw_branch_feed(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa)
{
	return well_pa - ends->fuel.density_kg_m3 * JW_GRAVITY * circuit->bleed_depth_m;
}

/* What a nested circuit takes out of this well. */
static double drawn_by_branch(trial *t, double well_pa)
{
	const jw_branch *branch = t->ends->branch;
	if (!branch)
		return 0.0;
	jw_circuit_ends ends = branch->ends;
	jw_circuit_flow flow;
	ends.bowl_pa = jw_branch_feed(t->circuit, t->ends, well_pa);
	ends.branch = NULL;
	if (jw_circuit_near(&branch->circuit, &ends, t->branch_well_pa, &flow, NULL) < 0)
		return 0.0;
	t->branch_well_pa = flow.well_pa;
	return flow.fuel_kg_s;
}

/* What comes into the well that the branch leaves there, and how much of it is gas. */
static void take_in(trial *t, double drawn_in)
{
	t->total_in = fmax(t->fuel - t->drawn, 0.0) + t->bleed + drawn_in;
	t->quality = t->total_in > 0.0 ? (t->bleed + drawn_in) / t->total_in : 1.0;
}

/* All flows at a trial depression of the well; the same code serves the search and the answer. */
static void flows_at(trial *t, double depression_pa)
{
	const jw_circuit_ends *ends = t->ends;
	double well_pa = t->highest_pa - depression_pa;
	t->status = JW_OK;
	feeds_at(t, depression_pa);
	t->drawn = drawn_by_branch(t, well_pa);
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
	take_in(t, drawn_in);
	jw_emulsion emulsion = {t->quality, ends->fuel.density_kg_m3,
	                        ends->air.gas_constant_j_kg_k * ends->air.temperature_k, t->circuit->slip};
	t->total_out = 0.0;
	for (int i = 0; i < ends->outlets; i++) {
		const jw_outlet *o = &ends->outlet[i];
		if (o->pressure_pa < inside_pa) {
			t->status |= jw_emulsion_mass_flow(o->effective_area_m2, &emulsion, inside_pa, o->pressure_pa, &t->out[i]);
			t->total_out += t->out[i];
		}
	}
	if (t->given >= 0.0 && well_pa > ends->air_pa && t->circuit->air_jet.diameter_m > 0.0) {
		/* A pulse drives the well's content back through the air jet, or the swing would pump the well up. */
		double back = 0.0, area = ROUGH_COEFFICIENT * jw_orifice_area(&t->circuit->air_jet);
		t->status |= jw_emulsion_mass_flow(area, &emulsion, well_pa, ends->air_pa, &back);
		t->bleed = -back;
		t->total_out += back;
	}
}

/* The unknown x, 0..1, is the tangent of half the angle whose sine is the root of the depression's share of the
 * greatest one: there the flow in, that goes with the root of the depression, is nearly a straight line at 0, and the
 * flow out, that goes with the root of the rest, at 1. */
static double depression_of(double x, const trial *t)
{
	return t->most_pa * jw_square(2.0 * x / (1.0 + x * x));
}

static double unknown_of(double share)
{
	return sqrt(share) / (1.0 + sqrt(1.0 - share));
}

/* Rises from -1 (all out, nothing in) to 1. Given flow against capacity: mass in less mass out would not be monotone.
 */
static double imbalance(double x, void *context)
{
	trial *t = context;
	flows_at(t, depression_of(x, t));
	if (t->drawn > t->fuel) /* a branch may take no more fuel than comes: the well falls until it does not */
		return -1.0 - (t->drawn - t->fuel) / t->drawn; /* a step: near zero it would pass for the root */
	double sum = t->total_in + t->total_out;
	return sum > 0.0 ? (t->total_in - t->total_out) / sum : 0.0;
}

static double least_own_outlet(const jw_circuit_ends *ends)
{
	double least = INFINITY;
	for (int i = 0; i < ends->outlets; i++)
		if (ends->outlet[i].effective_area_m2 > 0.0)
			least = fmin(least, ends->outlet[i].pressure_pa);
	return least;
}

static double least_outlet(const jw_circuit_ends *ends)
{
	const double own = least_own_outlet(ends);
	return ends->branch ? fmin(own, least_outlet(&ends->branch->ends)) : own;
}

/* Highest pressure that any feed can hold up in the well. */
static double highest_feed(const trial *t)
{
	double highest = 0.0;
	if (takes_fuel(t->circuit))
		highest = t->fuel_top_pa;
	if (t->circuit->air_jet.diameter_m > 0.0)
		highest = fmax(highest, t->ends->air_pa);
	for (int i = 0; i < t->ends->outlets; i++)
		if (t->ends->outlet[i].effective_area_m2 > 0.0)
			highest = fmax(highest, well_for(t, t->ends->outlet[i].pressure_pa));
	return highest;
}

/* Where the well stands if gas did not expand, coefficients were one and heads nothing: then quality does not depend on
 * the depression, and both flows go with the root of their drops. As a share of the greatest depression. */
static double rough_share(const trial *t)
{
	const jw_circuit *c = t->circuit;
	const jw_circuit_ends *ends = t->ends;
	double gas_density = ends->air_pa / (ends->air.gas_constant_j_kg_k * ends->air.temperature_k);
	double air_area = ROUGH_COEFFICIENT * jw_orifice_area(&c->air_jet), out_area = 0.0;
	for (int i = 0; i < ends->outlets; i++) {
		int feeds = t->highest_pa - ends->outlet[i].pressure_pa < 0.5 * t->most_pa;
		*(feeds ? &air_area : &out_area) += ends->outlet[i].effective_area_m2;
	}
	double fuel_area = ROUGH_COEFFICIENT * c->fuel_coefficient * jw_orifice_area(&c->fuel_jet);
	double fuel = fuel_area * sqrt(ends->fuel.density_kg_m3), air = air_area * sqrt(gas_density);
	double volume = fuel / ends->fuel.density_kg_m3 + air / gas_density;
	double against = (fuel + air) * volume; /* squared areas, times density and volume that are one */
	double share = jw_square(out_area) / (jw_square(out_area) + against);
	return share > 0.0 && share < 1.0 ? share : 0.5;
}

/* Both ends are known: nothing enters at a depression of 0, nothing leaves at the greatest. In between, flows that go
 * with the roots of their drops give the slope. */
static jw_guess guess_well(const trial *t, double well_pa)
{
	double known = (t->highest_pa - well_pa) / t->most_pa; /* not a number where none is known */
	double x = unknown_of(known > 0.0 && known < 1.0 ? known : rough_share(t));
	return (jw_guess){0.0, 1.0, x, 0.5 * (1.0 + x * x) / (x * (1.0 - x * x))};
}

static jw_status check_ends(const jw_circuit *circuit, const jw_circuit_ends *ends, jw_error *error)
{
	if (ends->outlets < 0 || ends->outlets > JW_OUTLETS)
		return jw_fail(error, JW_E_RANGE, "outlets", ends->outlets, 0, JW_OUTLETS);
	jw_status status = jw_check_range("bowl_pa", ends->bowl_pa, 1e3, 1e6, error);
	if (status == JW_OK)
		status = jw_check_range("air_pa", ends->air_pa, 1e3, 1e6, error);
	if (status == JW_OK)
		status = jw_check_liquid(&ends->fuel, error);
	if (status == JW_OK)
		status = jw_check_range("fuel_coefficient", circuit->fuel_coefficient, 0.0, 1000.0, error);
	for (int i = 0; status == JW_OK && i < ends->outlets; i++)
		status = jw_check_range("outlet_pa", ends->outlet[i].pressure_pa, 1e2, 1e6, error);
	return status;
}

/* What a set-up has behind it when it gets to jw_circuit_near, a caller from outside has not. */
static jw_status check_parts(const jw_circuit *c, const jw_circuit_ends *ends, jw_error *error)
{
	const jw_bound bounds[] = {
	    {"fuel_jet.diameter_m", c->fuel_jet.diameter_m, 0.0, 0.1},
	    {"fuel_jet.length_m", c->fuel_jet.length_m, 0.0, 1.0},
	    {"fuel_jet.coefficient", c->fuel_jet.coefficient, 0.0, 10.0},
	    {"air_jet.diameter_m", c->air_jet.diameter_m, 0.0, 0.1},
	    {"air_jet.length_m", c->air_jet.length_m, 0.0, 1.0},
	    {"air_jet.coefficient", c->air_jet.coefficient, 0.0, 10.0},
	    {"bleed_depth_m", c->bleed_depth_m, -1.0, 1.0},
	    {"outlet_height_m", c->outlet_height_m, -1.0, 1.0},
	    {"temperature_k", ends->air.temperature_k, 100.0, 1000.0},
	    {"gas_constant_j_kg_k", ends->air.gas_constant_j_kg_k, 10.0, 1e4},
	    {"viscosity_pa_s", ends->air.viscosity_pa_s, 1e-7, 1e-3},
	};
	jw_status status = jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
	for (int i = 0; status == JW_OK && i < ends->outlets && i < JW_OUTLETS; i++)
		status = jw_check_range("effective_area_m2", ends->outlet[i].effective_area_m2, 0.0, 1e-2, error);
	return status;
}

/* The same of what draws from the well; what stands on its bowl is not read. */
static jw_status check_branch(const jw_branch *branch, jw_error *error)
{
	if (branch->ends.branch)
		return jw_fail(error, JW_E_ARGUMENT, "branch.ends.branch", 1, 0, 0);
	jw_circuit_ends ends = branch->ends;
	ends.bowl_pa = ANY_BOWL_PA;
	jw_status status = check_parts(&branch->circuit, &ends, error);
	return status < 0 ? status : check_ends(&branch->circuit, &ends, error);
}

static int is_lower(const jw_outlet *a, const jw_outlet *b)
{
	if (!(a->effective_area_m2 > 0.0 && b->effective_area_m2 > 0.0))
		return a->effective_area_m2 > b->effective_area_m2;
	return a->pressure_pa < b->pressure_pa;
}

/* What comes passes an outlet so wide that the drop it takes is lost in rounding, whichever way rounding has it. */
static void pass_undriven(trial *t)
{
	int lowest = 0;
	double drawn_in = 0.0;
	for (int i = 1; i < t->ends->outlets; i++)
		if (is_lower(&t->ends->outlet[i], &t->ends->outlet[lowest]))
			lowest = i;
	t->out[lowest] = 0.0;
	for (int i = 0; i < t->ends->outlets; i++)
		drawn_in -= t->out[i];
	take_in(t, drawn_in);
	t->out[lowest] = t->total_out = t->total_in;
}

/* Nothing rises to the outlets, or what does is lost in rounding: what comes is what the branch takes. */
static void pass_to_branch(trial *t)
{
	t->fuel = t->drawn;
	t->bleed = t->total_in = 0.0;
	memset(t->out, 0, sizeof t->out);
}

static void tell_flow(trial *t, double well_pa, jw_circuit_flow *flow)
{
	if (!(t->total_out > 0.0)) {
		if (t->ends->branch)
			pass_to_branch(t);
		else
			pass_undriven(t);
	}
	/* The last rounding of the root goes to the outlets, so that mass closes. */
	double share = t->total_out > 0.0 ? t->total_in / t->total_out : 0.0;
	flow->fuel_kg_s = t->fuel;
	flow->bleed_kg_s = t->bleed;
	flow->branch_kg_s = t->drawn;
	flow->well_pa = well_pa;
	flow->quality = t->quality;
	for (int i = 0; i < t->ends->outlets; i++)
		flow->outlet_kg_s[i] = t->out[i] > 0.0 ? t->out[i] * share : t->out[i];
}

/* Whether little pulls on this circuit's own fuel: of the signal at its outlets, what the branch's share through the
 * jet leaves. That share loses more than can be spared where it is more than the jet passes by that. */
static int is_near_start(const trial *t, const jw_circuit_flow *flow, double lift_pa)
{
	const double spare = t->ends->bowl_pa - least_own_outlet(t->ends) - NEAR_THRESHOLD * lift_pa;
	double passed = 0.0;
	if (spare < 0.0)
		return 1;
	if (flow->branch_kg_s > 0.0)
		jw_liquid_mass_flow(&t->circuit->fuel_jet, &t->ends->fuel, spare, &passed);
	return flow->branch_kg_s > t->circuit->fuel_coefficient * passed;
}

static jw_status warnings_of(const trial *t, const jw_circuit_flow *flow)
{
	const jw_circuit_ends *ends = t->ends;
	double lift_pa = ends->fuel.density_kg_m3 * JW_GRAVITY * t->circuit->outlet_height_m;
	jw_status status = t->status;
	if (!(flow->fuel_kg_s > 0.0))
		status |= JW_W_NO_FUEL;
	else if (flow->fuel_kg_s > flow->branch_kg_s && lift_pa > 0.0 && is_near_start(t, flow, lift_pa))
		status |= JW_W_NEAR_THRESHOLD;
	/* Fuel stands in the air passage as high as the well presses above the air; flooded above the outlet. */
	if (t->circuit->outlet_height_m < 0.0 ||
	    (t->liquid_head_pa > 0.0 && flow->well_pa - ends->air_pa > t->liquid_head_pa))
		status |= JW_W_FLOODED;
	return status;
}

jw_status jw_circuit_solve(const jw_circuit *circuit, const jw_circuit_ends *ends, jw_circuit_flow *flow,
                           jw_error *error)
{
	jw_status status = check_parts(circuit, ends, error);
	if (status == JW_OK && ends->branch)
		status = check_branch(ends->branch, error);
	return status < 0 ? status : jw_circuit_near(circuit, ends, NAN, flow, error);
}

jw_status jw_circuit_near(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa, jw_circuit_flow *flow,
                          jw_error *error)
{
	jw_status status = check_ends(circuit, ends, error);
	if (status < 0)
		return status;
	double rise = column_height(circuit);
	trial t = {
	    .circuit = circuit,
	    .ends = ends,
	    .fuel_top_pa = ends->bowl_pa + ends->fuel.density_kg_m3 * JW_GRAVITY * circuit->bleed_depth_m,
	    .liquid_head_pa = ends->fuel.density_kg_m3 * JW_GRAVITY * rise,
	    .bled_head_pa = bled_share(circuit) * ends->fuel.density_kg_m3 * JW_GRAVITY * rise,
	    .branch_well_pa = NAN,
	    .given = NAN,
	};
	double low = well_for(&t, least_outlet(ends));
	t.highest_pa = highest_feed(&t);
	const jw_circuit_flow still = {.well_pa = fmin(t.highest_pa, fmax(low, t.fuel_top_pa)), .quality = 1.0};
	if (!(low < t.highest_pa)) {
		*flow = still;
		return JW_W_NO_FUEL;
	}

	t.most_pa = t.highest_pa - low;
	jw_guess guess = guess_well(&t, well_pa);
	status = jw_rising_root(imbalance, &t, &guess, IMBALANCE, NULL);
	if (status < 0)
		return jw_fail(error, status, "well", t.highest_pa, low, t.highest_pa);
	*flow = still;
	if (guess.x == guess.low) /* feeds that vanish beside the rounding of the outlet's drop */
		return JW_W_NO_FUEL;
	tell_flow(&t, t.highest_pa - depression_of(guess.x, &t), flow);
	return status | warnings_of(&t, flow);
}

/* Pressure at which the outlets let a flow of liquid out, above the highest of them. */
static double pressed_out(const jw_circuit_ends *ends, double kg_s)
{
	double area = 0.0;
	for (int i = 0; i < ends->outlets; i++)
		area += ends->outlet[i].effective_area_m2;
	return area > 0.0 ? jw_square(kg_s / area) / (2.0 * ends->fuel.density_kg_m3) : 0.0;
}

double jw_circuit_head(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa)
{
	double head = ends->fuel.density_kg_m3 * JW_GRAVITY * column_height(circuit);
	trial t = {.ends = ends, .liquid_head_pa = head, .bled_head_pa = bled_share(circuit) * head};
	return head_at(&t, well_pa);
}

jw_status jw_circuit_driven(const jw_circuit *circuit, const jw_circuit_ends *ends, double fuel_kg_s,
                            jw_well_near *near, jw_circuit_flow *flow, jw_error *error)
{
	double head = ends->fuel.density_kg_m3 * JW_GRAVITY * column_height(circuit);
	trial t = {
	    .circuit = circuit,
	    .ends = ends,
	    .liquid_head_pa = head,
	    .bled_head_pa = bled_share(circuit) * head,
	    .branch_well_pa = NAN,
	    .given = fuel_kg_s,
	};
	double low = well_for(&t, least_outlet(ends));
	if (circuit->air_jet.diameter_m > 0.0) /* it lets out too */
		low = fmin(low, ends->air_pa);
	t.highest_pa = highest_feed(&t) + pressed_out(ends, fuel_kg_s);
	t.most_pa = t.highest_pa - low;
	*flow = (jw_circuit_flow){.well_pa = low, .quality = 1.0};
	if (!(t.most_pa > 0.0)) {
		near->well_pa = low;
		return JW_W_NO_FUEL;
	}
	jw_guess guess = guess_well(&t, near->well_pa);
	if (near->slope > 0.0)
		guess.slope = near->slope;
	jw_status status = jw_rising_root(imbalance, &t, &guess, DRIVEN_IMBALANCE, NULL);
	if (status < 0)
		return jw_fail(error, status, "well", t.highest_pa, low, t.highest_pa);
	flow->fuel_kg_s = fuel_kg_s;
	flow->bleed_kg_s = t.bleed;
	flow->well_pa = t.highest_pa - depression_of(guess.x, &t);
	*near = (jw_well_near){flow->well_pa, guess.slope};
	flow->quality = t.quality;
	memcpy(flow->outlet_kg_s, t.out, sizeof t.out);
	return t.status;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Steps the fuel columns through one cycle. */
#include "point/fuel_columns.h"

#include "base/base.h"

#include <string.h>

/* The second-order pair of Ascher, Ruuth and Spiteri (Implicit-explicit Runge-Kutta methods for time-dependent partial
 * differential equations, Appl. Numer. Math. 25, 1997; their 2,2,2): the flow out of a well, which as air answers
 * within microseconds and as fuel within a millisecond, backwards, the rest forwards. At low speed a step lies between
 * two nodes, whose pressures are interpolated. */
#define BACKWARDS (1.0 - 0.70710678118654752440) /* share of the step in each of its two stages */
#define AT_FIRST (1.0 - 0.5 / BACKWARDS)         /* weight of the rates at the step's start */
/* Of emulsion and of air an outlet takes very different flows: a step in which it turns round is taken in parts. */
#define PARTS_OF_A_TURN 8
#define GREATEST_ROOT 1e3 /* of a jet's drop, root Pa */
#define JET_IMBALANCE 1e-8

/* Where they stand, how fast that changes, and what has passed each jet and has left by its outlets since the cycle
 * began, and the air that came out of wells that move, kg. */
typedef struct course {
	double y[JW_COLUMN_UNKNOWNS], rate[JW_COLUMN_UNKNOWNS], passed[JW_COLUMNS], left[JW_COLUMNS], bleeds[JW_COLUMNS];
} course;

/* ---- the momentum of one column ---- */

static double jet_excess(double root, void *context)
{
	const jw_fuel_column *c = context;
	double flow = 0.0;
	jw_liquid_mass_flow(&c->branch.circuit.fuel_jet, &c->branch.ends.fuel, root * root, &flow);
	return (flow - c->asked) / (flow + c->asked);
}

/* Drop at the jet that a flow of fuel makes. */
static jw_status jet_drop(jw_fuel_column *c, double kg_s, double *drop_pa)
{
	*drop_pa = 0.0;
	if (!(kg_s > 0.0))
		return JW_OK;
	c->asked = kg_s / c->branch.circuit.fuel_coefficient;
	jw_guess root = {0.0, GREATEST_ROOT, c->root, 0.5 / c->root};
	jw_status status = jw_rising_root(jet_excess, c, &root, JET_IMBALANCE, NULL);
	if (status < 0)
		return status;
	c->root = fmax(root.x, 1e-3);
	*drop_pa = jw_square(root.x);
	return JW_OK;
}

static double pressure_at(const jw_columns *all, const jw_air_moment *m, jw_outlet_place where)
{
	switch (where) {
	case JW_AT_NOZZLE:
		return m->nozzle_pa;
	case JW_AT_POWER:
		return jw_power_pa(all->carburetor, all->power_share, m->mouth_pa, m->nozzle_pa, m->plate_pa);
	case JW_AT_PORTS:
		return jw_ports_at_nozzle(all->carburetor) ? m->nozzle_pa : m->plate_pa;
	default:
		return m->manifold_pa;
	}
}

void jw_column_outlets(jw_columns *all, int column, const jw_air_moment *moment)
{
	jw_fuel_column *c = &all->of[column];
	for (int i = 0; i < c->branch.ends.outlets; i++)
		c->branch.ends.outlet[i].pressure_pa = pressure_at(all, moment, jw_column_rows[column].outlet[i]);
	if (column == JW_MAIN && all->air->moves)
		c->branch.ends.outlet[0].effective_area_m2 = jw_carburetor_annulus(all->carburetor, moment->lift_m);
}

/* Pressure in the well while so much fuel comes. */
static jw_status well_at(jw_fuel_column *c, double kg_s, double step_s, double *y, double *well_pa, double *fills_kg_s)
{
	jw_circuit_flow flow;
	if (c->bled)
		return jw_bled_well_step(&c->bled_well, &c->branch.circuit, &c->branch.ends, kg_s, step_s, y, well_pa,
		                         fills_kg_s);
	jw_status status = jw_circuit_driven(&c->branch.circuit, &c->branch.ends, kg_s, &c->well, &flow, NULL);
	*well_pa = c->well.well_pa;
	return status;
}

jw_status jw_fuel_column_rate(jw_fuel_column *c, double feed_pa, double well_pa, double kg_s, double *rate)
{
	double head = c->branch.ends.fuel.density_kg_m3 * JW_GRAVITY * c->branch.circuit.bleed_depth_m, drop;
	jw_status status = jet_drop(c, kg_s, &drop);
	*rate = (feed_pa + head - well_pa - drop) / c->inertance;
	/* A meniscus that runs back and comes again has no memory of its way: fuel stops at its jet. */
	if (!(kg_s > 0.0 || *rate > 0.0))
		*rate = 0.0;
	return status;
}

/* Fuel that comes into the well of a column, kg/s: what the jet brings but for what the pilot draws from there. */
static double into_well(const jw_columns *all, int name, const double *y)
{
	double comes = jw_is_drawn_from(all, name) ? y[JW_MAIN] - y[JW_PILOT] : y[name];
	return all->of[name].bled ? comes : fmax(comes, 0.0);
}

/* Rates of all columns and wells at one moment, after the flows out of wells have made a step that ends there. A pilot
 * that is fed from the main well takes its fuel out of what the main jet brings. */
static void rates(jw_columns *all, double step_s, double *y, const jw_air_moment *m, double *rate)
{
	memset(rate, 0, JW_COLUMN_UNKNOWNS * sizeof *rate);
	int nested = all->carburetor->pilot_from_main_well;
	double main_well = all->of[JW_MAIN].branch.ends.bowl_pa;
	for (int i = 0; i < JW_COLUMNS; i++) {
		jw_fuel_column *c = &all->of[i];
		double feed = c->branch.ends.bowl_pa;
		if (!c->followed || !c->flows)
			continue;
		jw_column_outlets(all, i, m);
		double well = c->branch.ends.bowl_pa;
		jw_status status =
		    well_at(c, into_well(all, i, y), step_s, &y[JW_WELL(i)], &well, &rate[JW_WELL(i) + JW_WELL_LIQUID]);
		if (i == JW_MAIN)
			main_well = well;
		if (i == JW_PILOT && nested)
			feed = jw_branch_feed(&all->of[JW_MAIN].branch.circuit, &all->of[JW_MAIN].branch.ends, main_well);
		status = jw_both(status, jw_fuel_column_rate(c, feed, well, y[i], &rate[i]));
		all->status = jw_both(all->status, y[i] < all->mean[i] ? jw_of_little(status) : status);
	}
}

/* ---- a cycle ---- */

/* Pressures at a place between two nodes. */
static jw_air_moment moment_between(const jw_cycle_air *a, double place)
{
	int node = (int)fmin(place, JW_CYCLE_NODES - 1);
	const jw_air_moment *from = &a->node[node], *to = from + 1;
	double share = place - node;
	return (jw_air_moment){.mouth_pa = from->mouth_pa + share * (to->mouth_pa - from->mouth_pa),
	                       .nozzle_pa = from->nozzle_pa + share * (to->nozzle_pa - from->nozzle_pa),
	                       .plate_pa = from->plate_pa + share * (to->plate_pa - from->plate_pa),
	                       .manifold_pa = from->manifold_pa + share * (to->manifold_pa - from->manifold_pa),
	                       .lift_m = from->lift_m + share * (to->lift_m - from->lift_m)};
}

/* No fuel flows back past a jet. */
static void keep_positive(double *y)
{
	for (int i = 0; i < JW_COLUMNS; i++)
		y[i] = fmax(y[i], 0.0);
}

/* What passes jets and outlets in a time, by the weights that move the wells' content. */
static void count(const jw_columns *all, const double *y, const double *rate, double seconds, course *c)
{
	for (int i = 0; i < JW_COLUMNS; i++) {
		double leaves = into_well(all, i, y) - rate[JW_WELL(i) + JW_WELL_LIQUID];
		c->passed[i] += seconds * y[i];
		c->left[i] += seconds * leaves;
		c->bleeds[i] += seconds * (y[JW_WELL(i) + JW_WELL_OUT] - leaves);
	}
}

static int turns(double from, double to)
{
	return (from < 0.0) != (to < 0.0);
}

/* \param place of its start among the nodes, \param nodes that it spans
 * \return whether the flow out of a well turned round */
static int step(jw_columns *all, double place, double nodes, course *c)
{
	int turned = 0;
	double within[JW_COLUMN_UNKNOWNS], there[JW_COLUMN_UNKNOWNS], rate[JW_COLUMN_UNKNOWNS];
	double step_s = nodes * all->node_s, stage_s = BACKWARDS * step_s;
	jw_air_moment at = moment_between(all->air, place + BACKWARDS * nodes);
	for (int i = 0; i < JW_COLUMN_UNKNOWNS; i++)
		within[i] = c->y[i] + stage_s * c->rate[i];
	keep_positive(within);
	rates(all, stage_s, within, &at, rate);
	count(all, c->y, c->rate, AT_FIRST * step_s, c);
	count(all, within, rate, (1.0 - AT_FIRST) * step_s, c);
	for (int i = 0; i < JW_COLUMN_UNKNOWNS; i++)
		there[i] = c->y[i] + step_s * (AT_FIRST * c->rate[i] + (1.0 - AT_FIRST) * rate[i]);
	for (int i = 0; i < JW_COLUMNS; i++) {
		int out = JW_WELL(i) + JW_WELL_OUT;
		there[out] = c->y[out] + (1.0 - BACKWARDS) / BACKWARDS * (within[out] - c->y[out]);
	}
	keep_positive(there);
	at = moment_between(all->air, place + nodes);
	rates(all, stage_s, there, &at, c->rate);
	for (int out = JW_WELL(0) + JW_WELL_OUT; out < JW_COLUMN_UNKNOWNS; out += JW_WELL_UNKNOWNS)
		turned |= turns(c->y[out], within[out]) | turns(within[out], there[out]);
	memcpy(c->y, there, sizeof there);
	return turned;
}

static void step_carefully(jw_columns *all, double place, double nodes, course *c)
{
	const course before = *c;
	if (!step(all, place, nodes, c))
		return;
	*c = before;
	for (int k = 0; k < PARTS_OF_A_TURN; k++)
		step(all, place + nodes * k / PARTS_OF_A_TURN, nodes / PARTS_OF_A_TURN, c);
}

void jw_columns_note(const jw_columns *all, jw_cycle_trace *trace, int node, const double *from, const double *to,
                     double share)
{
	for (int i = 0; i < JW_COLUMNS; i++)
		if (all->of[i].followed && jw_column_rows[i].trace)
			jw_double_at(trace, jw_column_rows[i].trace)[node] = from[i] + share * (to[i] - from[i]);
}

/* Over the cycle that it ran through. */
static void take_means(jw_columns *all, const course *c)
{
	for (int i = 0; i < JW_COLUMNS; i++) {
		if (!all->of[i].followed)
			continue;
		all->mean[i] = c->passed[i] / all->air->period_s;
		all->left[i] = c->left[i] / all->air->period_s;
		if (all->of[i].bled)
			all->bleeds[i] = c->bleeds[i] / all->air->period_s;
	}
}

void jw_columns_cycle(jw_columns *all, const jw_fuel_steps *steps, double *y, jw_cycle_trace *trace)
{
	const jw_cycle_options *o = &all->air->options;
	double longest_s = steps->longest_s * fmin(o->column_factor, 1.0);
	int parts = steps->parts * o->fuel_parts * (int)ceil(steps->nodes * all->node_s / longest_s);
	course c = {.passed = {0}};
	all->status = JW_OK;
	memcpy(c.y, y, sizeof c.y);
	jw_columns_note(all, trace, 0, c.y, c.y, 0.0);
	rates(all, 0.0, c.y, &all->air->node[0], c.rate);
	for (int node = 0; node < JW_CYCLE_NODES; node += steps->nodes) {
		const course before = c;
		for (int k = 0; k < parts; k++)
			step_carefully(all, node + (double)k / parts * steps->nodes, (double)steps->nodes / parts, &c);
		for (int n = 1; n <= steps->nodes; n++)
			jw_columns_note(all, trace, node + n, before.y, c.y, (double)n / steps->nodes);
	}
	memcpy(y, c.y, sizeof c.y);
	take_means(all, &c);
}

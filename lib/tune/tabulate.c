/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/tune.h>

#include "base/base.h"
#include "solve/root.h"

#include <stdlib.h>

#define SPEEDS 8
#define ABOVE_FULL 1.1 /* the greatest speed over that of the usual points */
/* Closest together where the throttle opens and the mean-value model errs most. */
static const double openings[] = {0.0, 0.03, 0.07, 0.13, 0.22, 0.36, 0.6, 1.0};
enum { OPENINGS = sizeof openings / sizeof *openings };

/* How far each factor may go from 1 either way, as a ratio; a factor that is not fixed stays within. */
#define REACH_AIR 10.0
#define REACH_MAIN 50.0
#define REACH_PILOT 5.0
#define IMBALANCE 1e-7
/* Where the factor at the end of its reach misses by more, it is not what is amiss. */
#define MISSED 0.1
/* Of all fuel: so little from the main circuit fixes no factor. */
#define LITTLE 0.01
/* Pilot and main circuit feed on each other where one is fed from the other's well. */
#define ROUNDS 2
/* Openings at each speed whose cycle must repeat itself. */
#define LEAST_KNOWN 4

/* One node while its factors are sought. */
typedef struct node {
	jw_setup setup; /* with a table of this node alone */
	const jw_air *air;
	jw_point point;
	jw_pulse_factor_kind sought;
	double wanted, excess;
	jw_status status;
} node;

static double flow_of(const jw_mixture *m, jw_pulse_factor_kind which)
{
	switch (which) {
	case JW_PULSE_AIR:
		return m->plate_kg_s + m->leak_kg_s;
	case JW_PULSE_MAIN:
		return m->flow.main.fuel_kg_s;
	case JW_PULSE_POWER:
		return m->flow.power.fuel_kg_s;
	default:
		return m->flow.pilot.fuel_kg_s;
	}
}

static double excess(double log_factor, void *context)
{
	node *n = context;
	jw_mixture m;
	n->setup.pulses.factor[n->sought][0] = exp(log_factor);
	jw_status status = jw_mixture_at(&n->setup, n->air, &n->point, &m, NULL);
	if (status < 0) {
		n->status = status;
		return NAN;
	}
	double flow = flow_of(&m, n->sought);
	return n->excess = (flow - n->wanted) / (flow + n->wanted);
}

/* The factor with which the mean-value model gives what the cycle gave; where none does it stays. */
static jw_status seek(node *n, jw_pulse_factor_kind which, double wanted, double reach, jw_error *error)
{
	double *factor = &n->setup.pulses.factor[which][0], before = *factor;
	jw_guess guess = {log(before / reach), log(before * reach), log(before), 0.3};
	n->sought = which;
	n->wanted = wanted;
	if (!(wanted > 0.0))
		return JW_OK;
	jw_status status = jw_rising_root(excess, n, &guess, IMBALANCE, error);
	*factor = fabs(n->excess) < MISSED ? exp(guess.x) : before;
	return n->status < 0 ? n->status : status;
}

static jw_status solve_node(node *n, jw_cycle *c, jw_pulse_table *table, int place, jw_error *error)
{
	n->setup.pulses.nodes = 0; /* its search starts from the mean-value answer */
	n->status = JW_OK;
	jw_status status = jw_cycle_at(&n->setup, n->air, &n->point, NULL, c, error);
	if (status < 0)
		return status;
	double(*factor)[JW_PULSE_NODES] = n->setup.pulses.factor;
	n->setup.pulses.nodes = 1;
	n->setup.pulses.speed_rev_s[0] = n->point.speed_rev_s;
	n->setup.pulses.throttle[0] = n->point.throttle;
	factor[JW_PULSE_AIR][0] = factor[JW_PULSE_PILOT][0] = 1.0;
	factor[JW_PULSE_THROAT][0] = c->pulse.throat;
	factor[JW_PULSE_MAIN][0] = factor[JW_PULSE_POWER][0] = c->pulse.throat;
	status = seek(n, JW_PULSE_AIR, c->plate_kg_s + c->leak_kg_s, REACH_AIR, error);
	const double least = LITTLE * c->fuel_kg_s;
	for (int i = 0; i < ROUNDS && status >= 0; i++) {
		status = seek(n, JW_PULSE_MAIN, c->main_kg_s > least ? c->main_kg_s : 0.0, REACH_MAIN, error);
		if (status >= 0)
			status = seek(n, JW_PULSE_PILOT, c->pilot_kg_s, REACH_PILOT, error);
	}
	if (status >= 0)
		status = seek(n, JW_PULSE_POWER, c->power_kg_s > least ? c->power_kg_s : 0.0, REACH_MAIN, error);
	for (int i = 0; i < JW_PULSE_FACTORS; i++)
		table->factor[i][place] = factor[i][0];
	return status;
}

/* A cycle that does not repeat itself gives no factor: those of the nearest openings at that speed stand in. */
static void bridge(jw_pulse_table *t, const int *known, int place)
{
	const int row = place / OPENINGS * OPENINGS;
	int below = place, above = place;
	while (below >= row && !known[below])
		below--;
	while (above < row + OPENINGS && !known[above])
		above++;
	if (below < row)
		below = above;
	if (above >= row + OPENINGS)
		above = below;
	for (int f = 0; f < JW_PULSE_FACTORS; f++)
		t->factor[f][place] = sqrt(t->factor[f][below] * t->factor[f][above]);
}

static jw_status fill_gaps(jw_pulse_table *t, const int *known, int *bridged, jw_error *error)
{
	*bridged = 0;
	for (int row = 0; row < SPEEDS; row++) {
		int found = 0;
		for (int i = 0; i < OPENINGS; i++)
			found += known[row * OPENINGS + i];
		if (found < LEAST_KNOWN)
			return jw_fail(error, JW_E_NO_CONVERGENCE, "speed_rev_s", t->speed_rev_s[row * OPENINGS], 0, 0);
		*bridged += OPENINGS - found;
	}
	for (int i = 0; i < t->nodes; i++)
		if (!known[i])
			bridge(t, known, i);
	return JW_OK;
}

static jw_status solve_nodes(node *n, jw_cycle *c, double lowest, double highest, jw_pulse_table *table, int *bridged,
                             jw_error *error)
{
	jw_status status = JW_OK;
	jw_pulse_table found = {.nodes = SPEEDS * OPENINGS};
	int known[JW_PULSE_NODES] = {0};
	for (int i = 0; i < found.nodes && status >= 0; i++) {
		n->point = (jw_point){.speed_rev_s = lowest * pow(highest / lowest, i / OPENINGS / (SPEEDS - 1.0)),
		                      .throttle = openings[i % OPENINGS]};
		found.speed_rev_s[i] = n->point.speed_rev_s;
		found.throttle[i] = n->point.throttle;
		status = solve_node(n, c, &found, i, error);
		known[i] = status >= 0;
		if (status == JW_E_NO_CONVERGENCE)
			status = JW_OK;
	}
	if (status >= 0)
		status = fill_gaps(&found, known, bridged, error);
	if (status < 0)
		return status;
	*table = found;
	return JW_OK;
}

jw_status jw_pulses_tabulate(const jw_setup *setup, const jw_air *air, jw_pulse_table *table, int *bridged,
                             jw_error *error)
{
	double lowest = INFINITY, highest = 0.0;
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		lowest = fmin(lowest, setup->range[i].speed_rev_s);
		highest = fmax(highest, setup->range[i].speed_rev_s);
	}
	highest = fmax(ABOVE_FULL * highest, 1.5 * lowest);
	node *n = calloc(1, sizeof *n);
	jw_cycle *c = calloc(1, sizeof *c);
	jw_status status = JW_E_MEMORY;
	int gaps = 0;
	if (n && c) {
		n->setup = *setup;
		n->setup.coefficient.air = 1.0;
		n->air = air;
		status = solve_nodes(n, c, lowest, highest, table, &gaps, error);
	} else {
		jw_fail(error, JW_E_MEMORY, "pulses", sizeof *n, 0, 0);
	}
	if (status >= 0 && bridged)
		*bridged = gaps;
	free(n);
	free(c);
	return status;
}

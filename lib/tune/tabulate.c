/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/tune.h>

#include "base/base.h"
#include "carburetor/near.h"
#include "solve/root.h"

#include <stdlib.h>

#define SPEEDS 12
#define ABOVE_FULL 1.1 /* the greatest speed over that of the usual points */
/* Closest together where circuits begin to flow. */
static const double openings[] = {0.0, 0.003, 0.01, 0.02, 0.035, 0.056, 0.085, 0.13, 0.2, 0.31, 0.47, 0.7, 1.0};
enum { OPENINGS = sizeof openings / sizeof *openings };
_Static_assert(SPEEDS *OPENINGS <= JW_PULSE_NODES, "the table holds them");

/* How far a factor is sought. */
#define LEAST_AIR 0.1
#define MOST_AIR 10.0
#define LEAST_PILOT 0.05
#define LEAST_PULL 1e-6 /* over the depression at mean flow, as the others */
#define MOST_PULL 300.0
#define MOST_LIFT_PA 10e3
#define IMBALANCE 1e-7
/* Where the factor at the end of its reach misses by more, it is not what is amiss. */
#define MISSED 0.1
/* Of all fuel: less is none. */
#define LITTLE 1e-4
/* Pilot and main circuit feed on each other where one is fed from the other's well. */
#define ROUNDS 2
#define HALVINGS 50
/* Openings at each speed whose cycle must repeat itself. */
#define LEAST_KNOWN 6

/* One node while its factors are sought. */
typedef struct node {
	jw_setup setup; /* with a table of this node alone */
	const jw_air *air;
	jw_point point;
	jw_mixture mixture;
	jw_pulse_factor_kind sought;
	double beside; /* what the factor is more than what is sought */
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

static double *factor_of(node *n, jw_pulse_factor_kind which)
{
	return &n->setup.pulses.factor[which][0];
}

static double flow_at(node *n, jw_pulse_factor_kind which, double factor)
{
	*factor_of(n, which) = factor;
	jw_status status = jw_mixture_at(&n->setup, n->air, &n->point, &n->mixture, NULL);
	if (status < 0)
		n->status = status;
	return status < 0 ? NAN : flow_of(&n->mixture, which);
}

static double excess(double log_factor, void *context)
{
	node *n = context;
	double flow = flow_at(n, n->sought, n->beside + exp(log_factor));
	return n->excess = (flow - n->wanted) / (flow + n->wanted);
}

/* The factor with which the mean-value model gives what the cycle gave; where none does it stays. */
static jw_status seek(node *n, jw_pulse_factor_kind which, double wanted, double beside, double least, double most,
                      jw_error *error)
{
	double before = *factor_of(n, which);
	jw_guess guess = {log(least), log(most), log(jw_clamp(before - beside, least, most)), 0.3};
	n->sought = which;
	n->wanted = wanted;
	n->beside = beside;
	jw_status status = jw_rising_root(excess, n, &guess, IMBALANCE, error);
	*factor_of(n, which) = fabs(n->excess) < MISSED ? beside + exp(guess.x) : before;
	return n->status < 0 ? n->status : status;
}

/* Of the nozzle's pull, what the outlet feels whose factor this is. */
static double share_of(const node *n, jw_pulse_factor_kind which)
{
	return which == JW_PULSE_POWER ? jw_power_share(&n->setup.carburetor, n->mixture.path.lift_m) : 1.0;
}

/* At the outlet, Pa, by the mean-value model. */
static double steady_pull(const node *n, jw_pulse_factor_kind which)
{
	return jw_steady_pull(&n->mixture.path, share_of(n, which));
}

/* Pull from which a circuit brings fuel, Pa; 0 where any does, or none. */
static double lift_of(node *n, jw_pulse_factor_kind which)
{
	double low = log(LEAST_PULL), high = log(MOST_PULL);
	if (!(flow_at(n, which, MOST_PULL) > 0.0) || flow_at(n, which, LEAST_PULL) > 0.0)
		return 0.0;
	for (int i = 0; i < HALVINGS; i++) {
		double middle = 0.5 * (low + high);
		*(flow_at(n, which, exp(middle)) > 0.0 ? &high : &low) = middle;
	}
	return fmin(exp(high) * steady_pull(n, which), MOST_LIFT_PA);
}

/* Its lift, and the pull above it; of a circuit that brings nothing, how far the crests stay below. */
static jw_status seek_pull(node *n, jw_pulse_factor_kind lift, jw_pulse_factor_kind above, double wanted, double least,
                           double crest_pa, jw_error *error)
{
	*factor_of(n, lift) = 0.0;
	*factor_of(n, lift) = lift_of(n, above);
	const double over = share_of(n, above) * crest_pa - *factor_of(n, lift);
	*factor_of(n, above) = jw_clamp(over / steady_pull(n, above), -MOST_PULL, 0.0);
	return wanted > least ? seek(n, above, wanted, 0.0, LEAST_PULL, MOST_PULL, error) : n->status;
}

/* What the mean-value model brings too much is a share of its flow, what it brings too little an additional pull. */
static jw_status seek_pilot(node *n, double wanted, double least, jw_error *error)
{
	double flow = flow_at(n, JW_PULSE_PILOT, 1.0);
	if (n->status < 0 || !(wanted > least))
		return n->status;
	return flow > wanted ? seek(n, JW_PULSE_PILOT, wanted, 0.0, LEAST_PILOT, 1.0, error)
	                     : seek(n, JW_PULSE_PILOT, wanted, 1.0, LEAST_PULL, MOST_PULL, error);
}

static double crest_of(const jw_cycle *c)
{
	double least = c->box_pa;
	for (int i = 0; i < JW_CYCLE_NODES; i++)
		least = fmin(least, c->trace.nozzle_pa[i]);
	return c->box_pa - least;
}

static jw_status solve_node(node *n, jw_cycle *c, jw_pulse_table *table, int place, jw_error *error)
{
	n->setup.pulses.nodes = 0; /* its search starts from the mean-value answer */
	n->status = JW_OK;
	jw_status status = jw_cycle_at(&n->setup, n->air, &n->point, NULL, c, error);
	if (status < 0)
		return status;
	n->setup.pulses =
	    (jw_pulse_table){.nodes = 1, .speed_rev_s = {n->point.speed_rev_s}, .throttle = {n->point.throttle}};
	*factor_of(n, JW_PULSE_AIR) = *factor_of(n, JW_PULSE_PILOT) = 1.0;
	*factor_of(n, JW_PULSE_THROAT) = c->pulse.throat;
	status = seek(n, JW_PULSE_AIR, c->plate_kg_s + c->leak_kg_s, 0.0, LEAST_AIR, MOST_AIR, error);
	const double least = LITTLE * c->fuel_kg_s, crest = crest_of(c);
	for (int i = 0; i < ROUNDS && status >= 0; i++) {
		status = seek_pull(n, JW_PULSE_MAIN_LIFT, JW_PULSE_MAIN, c->main_kg_s, least, crest, error);
		if (status >= 0)
			status = seek_pilot(n, c->pilot_kg_s, least, error);
	}
	if (status >= 0 && n->setup.carburetor.power_outlet_m > 0.0)
		status = seek_pull(n, JW_PULSE_POWER_LIFT, JW_PULSE_POWER, c->power_kg_s, least, crest, error);
	for (int i = 0; i < JW_PULSE_FACTORS; i++)
		table->factor[i][place] = n->setup.pulses.factor[i][0];
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
		t->factor[f][place] = 0.5 * (t->factor[f][below] + t->factor[f][above]);
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
	jw_status status;
	int gaps = 0;
	if (n && c) {
		n->setup = *setup;
		n->setup.coefficient.air = 1.0;
		n->air = air;
		status = solve_nodes(n, c, lowest, highest, table, &gaps, error);
	} else {
		status = jw_no_memory(error, "pulses");
	}
	if (status >= 0 && bridged)
		*bridged = gaps;
	free(n);
	free(c);
	return status;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: jetwright_beside_changes [--table] [ENGINE]
 * Whether a change does to the mixture what the cycle-resolved form says: how far the mean-value model's ratio of phi
 * after to phi before lies from the cycle's, as a difference of natural logarithms, over the six ranges of the bundled
 * engines: median, and what nine in ten stay within. Of one engine, both logarithms at each range. --table: with the
 * table of pulse factors that each engine's cycle gives before the change. Else it ends with 1 where a median lies
 * higher than when it was last measured. */
#include "engine.h"
#include <jetwright/tune.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = ENGINES * JW_RANGE_COUNT };

#define MEMBER(member) offsetof(jw_setup, member)

/* A member of the set-up that is multiplied and shifted, or another air. */
static const struct change {
	const char *name;
	size_t member;
	double times, more;
	double air_pa, air_k; /* 0: its own */
	double most;          /* median, as measured and rounded up */
} changes[] = {
    {"air of 2000 m", .times = 1, .air_pa = 79.5e3, .air_k = 293.15, .most = 0.005},
    {"17 K hotter air", .times = 1, .air_pa = 101325, .air_k = 310, .most = 0.005},
    {"main jet +5 %", MEMBER(carburetor.main.fuel_jet.diameter_m), 1.05, .most = 0.004},
    {"pilot jet +5 %", MEMBER(carburetor.pilot.fuel_jet.diameter_m), 1.05, .most = 0.003},
    {"needle 0.5 mm up", MEMBER(carburetor.needle.raised_m), 1, 0.5e-3, .most = 0.001},
    {"fuel level -2 mm", MEMBER(carburetor.bowl.level_error_m), 1, -2e-3, .most = 0.006},
    {"filter loss x4", MEMBER(carburetor.intake.loss_pa), 4, .most = 0.009},
    {"leak of 1.5 mm", MEMBER(leak_m), 0, 1.5e-3, .most = 0.004},
    {"main air jet -20 %", MEMBER(carburetor.main.air_jet.diameter_m), 0.8, .most = 0.015},
    {"bore +5 %", MEMBER(engine.bore_m), 1.05, .most = 0.013},
};

static void make(const struct change *c, jw_setup *setup, jw_air *air)
{
	double *member = (double *)(void *)((char *)setup + c->member);
	*member = c->times * *member + c->more;
	if (c->air_pa > 0.0)
		jw_air_from_humidity(c->air_pa, c->air_k, 0.5, air, NULL);
}

enum { CHANGES = sizeof changes / sizeof *changes };

static double by_mean(const jw_setup *s, const jw_air *air, const jw_point *point)
{
	jw_mixture m;
	return jw_mixture_at(s, air, point, &m, NULL) >= 0 ? log(m.phi) : NAN;
}

static double by_cycle(const jw_setup *s, const jw_air *air, const jw_point *point)
{
	static jw_cycle c;
	return jw_cycle_at(s, air, point, NULL, &c, NULL) >= 0 ? log(c.phi) : NAN;
}

/* ln phi of an engine at its six ranges by either model; not a number where it gives none. */
typedef struct ranges {
	double mean[JW_RANGE_COUNT], cycle[JW_RANGE_COUNT];
} ranges;

static ranges solve(const jw_setup *s, const jw_air *air)
{
	ranges r;
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		r.mean[i] = by_mean(s, air, &s->range[i]);
		r.cycle[i] = by_cycle(s, air, &s->range[i]);
	}
	return r;
}

/* By how much one change moves them. */
static ranges moved(const jw_setup *sound, const jw_air *air, const ranges *before, const struct change *change)
{
	jw_setup changed = *sound;
	jw_air other = *air;
	make(change, &changed, &other);
	ranges r = solve(&changed, &other);
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		r.mean[i] -= before->mean[i];
		r.cycle[i] -= before->cycle[i];
	}
	return r;
}

/* How far apart the models lie, of one change over all engines; a range that either gives no number for is left out. */
typedef struct apart {
	double off[MOST];
	int count;
} apart;

static void add(apart *a, const ranges *r)
{
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		double off = fabs(r->mean[i] - r->cycle[i]);
		if (isfinite(off))
			a->off[a->count++] = off;
	}
}

static int in_order(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* \return whether the median is no higher than it was */
static int summarize(const struct change *change, apart *a)
{
	if (a->count == 0)
		return 0;
	qsort(a->off, (size_t)a->count, sizeof *a->off, in_order);
	printf("%-20s %.4f  %.4f  %d\n", change->name, a->off[a->count / 2], a->off[a->count * 9 / 10], a->count);
	return a->off[a->count / 2] <= change->most;
}

static void print_moved(const struct change *change, const ranges *r)
{
	printf("%-20s", change->name);
	for (int i = 0; i < JW_RANGE_COUNT; i++)
		printf("  %+.3f %+.3f", r->mean[i], r->cycle[i]);
	printf("\n");
}

/* \return whether the engine could be read */
static int take(const char *name, int tabled, int print, apart all[])
{
	jw_setup setup;
	jw_air air;
	if (!engine_load(name, &setup, &air))
		return 0;
	if (tabled && jw_pulses_tabulate(&setup, &air, &setup.pulses, NULL, NULL) < 0)
		return 0;
	ranges before = solve(&setup, &air);
	for (int i = 0; i < CHANGES; i++) {
		ranges r = moved(&setup, &air, &before, &changes[i]);
		add(&all[i], &r);
		if (print)
			print_moved(&changes[i], &r);
	}
	return 1;
}

int main(int arguments, char **argument)
{
	static apart all[CHANGES];
	int tabled = arguments > 1 && !strcmp(argument[1], "--table"), ok = 1;
	if (arguments > 1 + tabled)
		return !take(argument[1 + tabled], tabled, 1, all);
	for (int e = 0; e < ENGINES; e++)
		ok &= take(engines[e], tabled, 0, all);
	printf("%-20s median  nine in ten  ranges\n", "");
	for (int i = 0; i < CHANGES; i++)
		ok &= summarize(&changes[i], &all[i]) || tabled;
	return !ok;
}

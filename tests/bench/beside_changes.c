/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: jetwright_beside_changes [ENGINE]
 * Whether a change does to the mixture what the cycle-resolved form says: how far the mean-value model's ratio of phi
 * after to phi before lies from the cycle's, as a difference of natural logarithms, over the six ranges of the bundled
 * engines: median, and what nine in ten stay within. Of one engine, both logarithms at each range. Ends with 1 where a
 * median lies higher than when it was last measured. */
#include "engine.h"
#include <jetwright/cycle.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const engines[] = {"courier-150", "moped-50",     "trail-250", "pump-200", "estate-1100",
                                      "twin-480",    "cruiser-1200", "four-600",  "kart-125"};

enum { ENGINES = sizeof engines / sizeof *engines, MOST = ENGINES * JW_RANGE_COUNT };

static void thin_air(jw_setup *s, jw_air *air)
{
	(void)s;
	jw_air_from_humidity(79.5e3, 293.15, 0.5, air, NULL);
}
static void hot_air(jw_setup *s, jw_air *air)
{
	(void)s;
	jw_air_from_humidity(101325.0, 310.0, 0.5, air, NULL);
}
static void bigger_main(jw_setup *s, jw_air *air)
{
	(void)air;
	s->carburetor.main.fuel_jet.diameter_m *= 1.05;
}
static void bigger_pilot(jw_setup *s, jw_air *air)
{
	(void)air;
	s->carburetor.pilot.fuel_jet.diameter_m *= 1.05;
}
static void raised_needle(jw_setup *s, jw_air *air)
{
	(void)air;
	s->carburetor.needle.raised_m += 0.5e-3;
}
static void low_level(jw_setup *s, jw_air *air)
{
	(void)air;
	s->carburetor.bowl.level_error_m -= 2e-3;
}
static void clogged_filter(jw_setup *s, jw_air *air)
{
	(void)air;
	s->carburetor.intake.loss_pa *= 4.0;
}
static void leak(jw_setup *s, jw_air *air)
{
	(void)air;
	s->leak_m = 1.5e-3;
}
static void smaller_air_jet(jw_setup *s, jw_air *air)
{
	(void)air;
	s->carburetor.main.air_jet.diameter_m *= 0.8;
}
static void wider_bore(jw_setup *s, jw_air *air)
{
	(void)air;
	s->engine.bore_m *= 1.05;
}

static const struct change {
	const char *name;
	void (*make)(jw_setup *, jw_air *);
	double most; /* median, as measured */
} changes[] = {
    {"air of 2000 m", thin_air, 0.006},
    {"17 K hotter air", hot_air, 0.006},
    {"main jet +5 %", bigger_main, 0.005},
    {"pilot jet +5 %", bigger_pilot, 0.004},
    {"needle 0.5 mm up", raised_needle, 0.002},
    {"fuel level -2 mm", low_level, 0.007},
    {"filter loss x4", clogged_filter, 0.008},
    {"leak of 1.5 mm", leak, 0.004},
    {"main air jet -20 %", smaller_air_jet, 0.016},
    {"bore +5 %", wider_bore, 0.016},
};

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

/* Of one change at the six ranges; a range that either model gives no number for is left out. \return how many stay */
static int compare(const jw_setup *sound, const jw_air *air, const struct change *change, double mean[], double cycle[])
{
	jw_setup changed = *sound;
	jw_air other = *air;
	int count = 0;
	change->make(&changed, &other);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const jw_point *point = &sound->range[r];
		mean[count] = by_mean(&changed, &other, point) - by_mean(sound, air, point);
		cycle[count] = by_cycle(&changed, &other, point) - by_cycle(sound, air, point);
		count += isfinite(mean[count]) && isfinite(cycle[count]);
	}
	return count;
}

static int in_order(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* \return whether the median is no higher than it was */
static int summarize(const struct change *change)
{
	double off[MOST];
	int count = 0;
	for (int e = 0; e < ENGINES; e++) {
		jw_setup setup;
		jw_air air;
		double mean[JW_RANGE_COUNT + 1], cycle[JW_RANGE_COUNT + 1];
		int ranges = engine_load(engines[e], &setup, &air) ? compare(&setup, &air, change, mean, cycle) : 0;
		for (int i = 0; i < ranges; i++)
			off[count++] = fabs(mean[i] - cycle[i]);
	}
	if (count == 0)
		return 0;
	qsort(off, (size_t)count, sizeof *off, in_order);
	printf("%-20s %.4f  %.4f  %d\n", change->name, off[count / 2], off[count * 9 / 10], count);
	return off[count / 2] <= change->most;
}

static int detail(const char *name)
{
	jw_setup setup;
	jw_air air;
	if (!engine_load(name, &setup, &air))
		return 1;
	for (int i = 0; i < CHANGES; i++) {
		double mean[JW_RANGE_COUNT + 1], cycle[JW_RANGE_COUNT + 1];
		int ranges = compare(&setup, &air, &changes[i], mean, cycle);
		printf("%-20s", changes[i].name);
		for (int r = 0; r < ranges; r++)
			printf("  %+.3f %+.3f", mean[r], cycle[r]);
		printf("\n");
	}
	return 0;
}

int main(int arguments, char **argument)
{
	int ok = 1;
	if (arguments > 1)
		return detail(argument[1]);
	printf("%-20s median  nine in ten  ranges\n", "");
	for (int i = 0; i < CHANGES; i++)
		ok &= summarize(&changes[i]);
	return !ok;
}

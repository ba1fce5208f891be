/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: jetwright_cycle_map ENGINE...
 * How far the mean-value model lies from the cycle, by formulas and with the table that `fit --cycle` makes: at points
 * spread over the map, the same whatever the table's nodes, and amid those, where it is worst. As JSON. */
#include "cycle_error.h"
#include "engine.h"
#include <jetwright/jetwright.h>
#include <math.h>
#include <stdio.h>

enum { SPREAD = 100 };
static const char *const words[ERRORS] = {"air", "main", "power", "pilot", "lambda"};

typedef struct sums {
	double square[ERRORS], worst[ERRORS];
	int points[ERRORS];
} sums;

static int add(const jw_setup *s, const jw_air *air, const jw_point *point, const jw_cycle *c, sums *e)
{
	jw_mixture m;
	if (jw_mixture_at(s, air, point, &m, NULL) < 0)
		return 0;
	double error[ERRORS];
	cycle_error(&m, c, error);
	for (int i = 0; i < ERRORS; i++) {
		if (!isfinite(error[i])) /* no fuel: no lambda */
			continue;
		e->square[i] += error[i] * error[i];
		e->worst[i] = fabs(error[i]) > fabs(e->worst[i]) ? error[i] : e->worst[i];
		e->points[i]++;
	}
	return 1;
}

static void print_sums(const char *key, const sums *e)
{
	printf(", \"%s\": {", key);
	for (int i = 0; i < ERRORS; i++)
		printf("%s\"%s\": {\"rms\": %.4f, \"worst\": %.4f, \"points\": %d}", i > 0 ? ", " : "", words[i],
		       sqrt(e->square[i] / e->points[i]), e->worst[i], e->points[i]);
	printf("}");
}

static int openings_of(const jw_pulse_table *t)
{
	int openings = 1;
	while (openings < t->nodes && t->speed_rev_s[openings] == t->speed_rev_s[0])
		openings++;
	return openings;
}

/* Halton's sequence to a base: a spread without gaps. */
static double spread(int i, int base)
{
	double sum = 0, share = 1;
	for (; i > 0; i /= base)
		sum += (share /= base) * (i % base);
	return sum;
}

/* Closer where the throttle opens. */
static jw_point spread_point(const jw_pulse_table *t, int i)
{
	const double lowest = t->speed_rev_s[0], highest = t->speed_rev_s[t->nodes - 1], opening = spread(i + 1, 3);
	return (jw_point){lowest * pow(highest / lowest, spread(i + 1, 2)), opening * opening, 0};
}

static jw_point amid_nodes(const jw_pulse_table *t, int i)
{
	const int openings = openings_of(t), node = i / (openings - 1) * openings + i % (openings - 1);
	return (jw_point){sqrt(t->speed_rev_s[node] * t->speed_rev_s[node + openings]),
	                  0.5 * (t->throttle[node] + t->throttle[node + 1]), 0};
}

/* Both ways at each point whose cycle settles. */
static int compare(const char *where, jw_point (*point_of)(const jw_pulse_table *t, int i), int points,
                   const jw_setup *plain, const jw_setup *tabled, const jw_air *air)
{
	static jw_cycle c;
	sums formulas = {0}, table = {0};
	int ok = 1;
	for (int i = 0; i < points; i++) {
		const jw_point point = point_of(&tabled->pulses, i);
		if (jw_cycle_at(plain, air, &point, NULL, &c, NULL) >= 0)
			ok &= add(plain, air, &point, &c, &formulas) && add(tabled, air, &point, &c, &table);
	}
	printf(",\n \"%s\": {\"points\": %d", where, points);
	print_sums("formulas", &formulas);
	print_sums("table", &table);
	printf("}");
	return ok;
}

static int map(const char *name, const jw_setup *plain, const jw_air *air)
{
	static jw_setup tabled;
	int bridged;
	tabled = *plain;
	if (jw_pulses_tabulate(plain, air, &tabled.pulses, &bridged, NULL) < 0)
		return 0;
	const int nodes = tabled.pulses.nodes, openings = openings_of(&tabled.pulses);
	printf("{\"engine\": \"%s\", \"nodes\": %d, \"bridged\": %d", name, nodes, bridged);
	int ok = compare("spread", spread_point, SPREAD, plain, &tabled, air);
	ok &= compare("amid", amid_nodes, (nodes / openings - 1) * (openings - 1), plain, &tabled, air);
	printf("}");
	return ok;
}

int main(int arguments, char **argument)
{
	int ok = arguments > 1;
	printf("[");
	for (int i = 1; i < arguments; i++) {
		jw_setup setup;
		jw_air air;
		if (!engine_load(argument[i], &setup, &air))
			return 1;
		printf(i > 1 ? ",\n" : "");
		ok &= map(argument[i], &setup, &air);
	}
	printf("]\n");
	return !ok;
}

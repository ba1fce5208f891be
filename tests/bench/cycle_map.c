/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: jetwright_cycle_map ENGINE...
 * How far the mean-value model lies from the cycle, by formulas and with the table that `fit --cycle` makes: amid the
 * nodes of the table, where it is worst. As JSON. */
#include "cycle_error.h"
#include "engine.h"
#include <jetwright/jetwright.h>
#include <math.h>
#include <stdio.h>

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

static int map(const char *name, const jw_setup *plain, const jw_air *air)
{
	static jw_setup tabled;
	static jw_cycle c;
	sums formulas = {0}, table = {0};
	int bridged, ok = 1;
	tabled = *plain;
	if (jw_pulses_tabulate(plain, air, &tabled.pulses, &bridged, NULL) < 0)
		return 0;
	const jw_pulse_table *t = &tabled.pulses;
	const int openings = openings_of(t);
	for (int i = 0; i + openings < t->nodes; i++) {
		if (i % openings == openings - 1)
			continue;
		const jw_point amid = {sqrt(t->speed_rev_s[i] * t->speed_rev_s[i + openings]),
		                       0.5 * (t->throttle[i] + t->throttle[i + 1]), 0};
		if (jw_cycle_at(plain, air, &amid, NULL, &c, NULL) < 0)
			continue; /* does not settle */
		ok &= add(plain, air, &amid, &c, &formulas) && add(&tabled, air, &amid, &c, &table);
	}
	printf("{\"engine\": \"%s\", \"bridged\": %d", name, bridged);
	print_sums("formulas", &formulas);
	print_sums("table", &table);
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

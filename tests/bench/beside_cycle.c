/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: jetwright_beside_cycle [--quick]
 * How far the mean-value model lies from the cycle-resolved form: natural logarithm of one over the other, rms and
 * worst, for each bundled engine over speeds and openings (--quick: its six ranges). Ends with 1 where a point is not
 * solved, or, with --quick, where a quantity lies farther off than when it was last measured. */
#include "engine.h"
#include <jetwright/cycle.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const double openings[] = {0.0, 0.04, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0};

enum { OPENINGS = sizeof openings / sizeof *openings, SPEEDS = 5, POINTS = SPEEDS * OPENINGS };

/* Plates hardly open do not let an engine turn faster than that: the first speeds of the map. */
#define NEARLY_SHUT 0.05
#define SPEEDS_NEARLY_SHUT 3
/* A main circuit that brings less of the fuel by either model is not compared. */
#define LEAST_SHARE 0.1

enum { THROAT, PLATE, AIR, MAIN, PHI, QUANTITIES };

static const struct quantity {
	const char *name;
	double most; /* rms over all engines with --quick, as measured */
} quantities[QUANTITIES] = {[THROAT] = {"throat factor", 0.52},
                            [PLATE] = {"plate factor", 0.53},
                            [AIR] = {"air", 0.19},
                            [MAIN] = {"main fuel", 0.35},
                            [PHI] = {"phi", 0.23}};

static double of_account(double part, double whole)
{
	return part > LEAST_SHARE * whole ? part : 0.0;
}

static void fill_mean(const jw_mixture *m, double value[QUANTITIES])
{
	value[THROAT] = m->pulse.throat;
	value[PLATE] = m->pulse.plate;
	value[AIR] = m->plate_kg_s + m->leak_kg_s;
	value[MAIN] = of_account(m->flow.main.fuel_kg_s, m->fuel_kg_s);
	value[PHI] = m->phi;
}

static void fill_cycle(const jw_cycle *c, double value[QUANTITIES])
{
	value[THROAT] = c->pulse.throat;
	value[PLATE] = c->pulse.plate;
	value[AIR] = c->plate_kg_s + c->leak_kg_s;
	value[MAIN] = of_account(c->main_kg_s, c->fuel_kg_s);
	value[PHI] = c->phi;
}

/* Of one quantity over some points; one model alone gives nothing to compare. */
typedef struct score {
	double squares, worst;
	int compared, cycle_alone, mean_alone;
} score;

static void add(score *s, double mean, double cycle)
{
	if (mean > 0.0 && cycle > 0.0) {
		double off = log(mean / cycle);
		s->squares += off * off;
		s->worst = fabs(off) > fabs(s->worst) ? off : s->worst;
		s->compared++;
	}
	s->cycle_alone += cycle > 0.0 && !(mean > 0.0);
	s->mean_alone += mean > 0.0 && !(cycle > 0.0);
}

static double rms(const score *s)
{
	return s->compared > 0 ? sqrt(s->squares / s->compared) : 0.0;
}

static void print_scores(const char *name, const score *s)
{
	printf("%-13s", name);
	for (int q = 0; q < QUANTITIES; q++)
		printf("  %5.3f %+6.2f %2d %d", rms(&s[q]), s[q].worst, s[q].cycle_alone, s[q].mean_alone);
	printf("\n");
}

/* Speeds from idle to full throttle in equal ratios, by openings. \return how many */
static int lay_map(const jw_setup *s, jw_point *point)
{
	double slowest = s->range[JW_IDLE].speed_rev_s, fastest = s->range[JW_FULL].speed_rev_s;
	int count = 0;
	for (int i = 0; i < SPEEDS; i++)
		for (int k = 0; k < OPENINGS; k++)
			if (openings[k] > NEARLY_SHUT || i < SPEEDS_NEARLY_SHUT)
				point[count++] = (jw_point){slowest * pow(fastest / slowest, i / (SPEEDS - 1.0)), openings[k], 0.0};
	return count;
}

static int compare(const jw_setup *setup, const jw_air *air, const jw_point *point, score *one, score *all)
{
	static jw_cycle cycle;
	jw_mixture mean;
	jw_status status = jw_mixture_at(setup, air, point, &mean, NULL);
	if (status >= 0)
		status = jw_cycle_at(setup, air, point, NULL, &cycle, NULL);
	if (status < 0) {
		fprintf(stderr, "%s at %.4g rev/s, throttle %g\n", jw_status_name(status), point->speed_rev_s, point->throttle);
		return 0;
	}
	double by_mean[QUANTITIES], by_cycle[QUANTITIES];
	fill_mean(&mean, by_mean);
	fill_cycle(&cycle, by_cycle);
	for (int q = 0; q < QUANTITIES; q++) {
		add(&one[q], by_mean[q], by_cycle[q]);
		add(&all[q], by_mean[q], by_cycle[q]);
	}
	return 1;
}

static int compare_engine(const char *name, int quick, score *all)
{
	jw_setup setup;
	jw_air air;
	jw_point map[POINTS];
	score one[QUANTITIES] = {0};
	if (!engine_load(name, &setup, &air))
		return 0;
	const jw_point *point = quick ? setup.range : map;
	int count = quick ? JW_RANGE_COUNT : lay_map(&setup, map), ok = 1;
	for (int i = 0; i < count; i++)
		ok &= compare(&setup, &air, &point[i], one, all);
	print_scores(name, one);
	return ok;
}

int main(int arguments, char **argument)
{
	int quick = arguments > 1 && !strcmp(argument[1], "--quick"), ok = 1;
	score all[QUANTITIES] = {0};
	printf("rms, worst, points at which the cycle alone or the mean-value model alone has any\n%-13s", "");
	for (int q = 0; q < QUANTITIES; q++)
		printf("  %-17s", quantities[q].name);
	printf("\n");
	for (int e = 0; e < ENGINES; e++)
		ok &= compare_engine(engines[e], quick, all);
	print_scores("all", all);
	for (int q = 0; q < QUANTITIES && quick; q++)
		ok &= rms(&all[q]) <= quantities[q].most;
	return !ok;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Measures the figures of README.md beside this file. */
#include "network.h"
#include "point/members.h"

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define ENGINE "profiles/engines/courier-150.yaml"
#define LIBRARY "profiles"
#define FIGURES 48
/* Whatever else the machine does only adds: the least of several rounds counts. */
#define ROUNDS 20
#define NETWORKS_PER_POINT 20
#define MAP_POINTS 300

static const char *const cases[] = {"stood-five-months", "flat-at-full-throttle", "open-filter-fitted"};

typedef struct figure {
	char name[64];
	double value; /* NAN where the measured call failed */
} figure;

typedef struct bench {
	const jw_profile *profile;
	const jw_setup *setup;
	const jw_air *air;
	network at[JW_RANGE_COUNT];
	jw_mixture neighbour[JW_RANGE_COUNT];
	int quick;
	figure figures[FIGURES];
	int count;
	double sum; /* of all results, so that none can be left out */
} bench;

static double seconds(clockid_t clock)
{
	struct timespec now;
	clock_gettime(clock, &now);
	return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Of all threads, in user and kernel. */
static double processor_s(void)
{
	return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

static void add_figure(bench *b, const char *name, const char *of, double value)
{
	figure *f = &b->figures[b->count++];
	snprintf(f->name, sizeof f->name, "%s%s%s", name, *of ? "_" : "", of);
	for (char *c = f->name; *c; c++)
		*c = *c == '-' ? '_' : *c;
	f->value = value;
}

/* ---- what is timed: returns 0 where it fails ---- */

typedef int work(bench *b);

static int points(bench *b)
{
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		jw_mixture m;
		if (jw_mixture_at(b->setup, b->air, &b->setup->range[i], &m, NULL) < 0)
			return 0;
		b->sum += m.phi;
	}
	return 1;
}

/* From answers a hundredth of speed and throttle away, as in a map of a hundred by a hundred. */
static int near_points(bench *b)
{
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		jw_mixture m;
		if (jw_mixture_near(b->setup, b->air, &b->setup->range[i], &b->neighbour[i], &m, NULL) < 0)
			return 0;
		b->sum += m.phi;
	}
	return 1;
}

static int networks(bench *b)
{
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		network_flow flow;
		network_evaluate(&b->at[i], &flow);
		b->sum += flow.plate_kg_s + flow.main.outlet_kg_s[0] + flow.pilot.outlet_kg_s[0];
	}
	return 1;
}

static int load(bench *b)
{
	jw_faults faults;
	jw_profile *profile;
	if (jw_profile_load(ENGINE, LIBRARY, &profile, &faults) < 0)
		return 0;
	b->sum += jw_profile_setup(profile)->coefficient.main;
	jw_profile_free(profile);
	return 1;
}

static int calibrate(bench *b)
{
	jw_calibration result;
	if (jw_calibrate(b->setup, jw_profile_baseline(b->profile), &result, NULL) < 0)
		return 0;
	b->sum += result.coefficient.main;
	return 1;
}

static int fuel(bench *b)
{
	jw_fuel_state state;
	if (jw_fuel_at(&b->setup->fuel, 293.15, &state, NULL) < 0)
		return 0;
	b->sum += state.density_kg_m3;
	return 1;
}

static double time_s(bench *b, work *measured, int repeats)
{
	double start = processor_s();
	for (int i = 0; i < repeats; i++)
		if (!measured(b))
			return NAN;
	return (processor_s() - start) / repeats;
}

/* fmin would drop a failure. */
static double least(double a, double b)
{
	return b < a || isnan(b) ? b : a;
}

static double least_s(bench *b, work *measured, int repeats)
{
	double best = INFINITY;
	for (int i = 0; i < (b->quick ? 1 : ROUNDS); i++)
		best = least(best, time_s(b, measured, repeats));
	return best;
}

/* ---- figures ---- */

/* Side by side in the same rounds, so that both see the same machine. */
static void point_cost(bench *b)
{
	int repeats = b->quick ? 20 : 300;
	double point = INFINITY, near = INFINITY, net = INFINITY;
	for (int i = 0; i < (b->quick ? 2 : ROUNDS); i++) {
		point = least(point, time_s(b, points, repeats));
		near = least(near, time_s(b, near_points, repeats));
		net = least(net, time_s(b, networks, NETWORKS_PER_POINT * repeats));
	}
	add_figure(b, "point_cost_ratio", "", point / net);
	add_figure(b, "near_cost_ratio", "", near / net);
	add_figure(b, "point_us", "", 1e6 * point / JW_RANGE_COUNT);
	add_figure(b, "near_us", "", 1e6 * near / JW_RANGE_COUNT);
	add_figure(b, "network_us", "", 1e6 * net / JW_RANGE_COUNT);
}

static double explain_ms(const char *name, int rounds)
{
	char path[128];
	jw_faults faults;
	jw_case_file *file;
	snprintf(path, sizeof path, LIBRARY "/cases/%s.yaml", name);
	if (jw_case_load(path, LIBRARY, &file, &faults) < 0)
		return NAN;
	double best = INFINITY;
	for (int i = 0; i < rounds; i++) {
		jw_report *report;
		double start = processor_s();
		jw_status status = jw_explain(jw_profile_setup(jw_case_profile(file)), jw_case_evidence(file), &report, NULL);
		best = least(best, status < 0 ? NAN : processor_s() - start);
		if (status >= 0)
			jw_report_free(report);
	}
	jw_case_free(file);
	return 1e3 * best;
}

static void explain_cost(bench *b)
{
	double each[sizeof cases / sizeof *cases], most = 0.0;
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		each[i] = explain_ms(cases[i], b->quick ? 1 : 10);
		most = -least(-most, -each[i]);
	}
	add_figure(b, "explain_cpu_ms", "", most);
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
		add_figure(b, "explain_cpu_ms", cases[i], each[i]);
}

/* Every `step`-th row of a map over speed, a row each, and throttle, from `first`. */
typedef struct strip {
	const jw_setup *setup;
	const jw_air *air;
	int rows, columns, first, step, failed;
	jw_point *points;
	jw_mixture *mixtures;
	double sum;
} strip;

static void *map(void *context)
{
	strip *s = context;
	for (int row = s->first; row < s->rows; row += s->step) {
		for (int column = 0; column < s->columns; column++)
			s->points[column] = (jw_point){.speed_rev_s = 25.0 + 125.0 * row / (s->rows - 1),
			                               .throttle = (double)column / (s->columns - 1)};
		if (jw_mixture_map(s->setup, s->air, s->points, (size_t)s->columns, s->mixtures, NULL, NULL) < 0)
			s->failed = 1;
		for (int column = 0; column < s->columns; column++)
			s->sum += s->mixtures[column].phi;
	}
	return NULL;
}

static int map_together(bench *b, int rows, int columns, int threads)
{
	strip strips[2];
	pthread_t thread[2];
	int failed = 0;
	for (int i = 0; i < threads; i++) {
		strips[i] = (strip){.setup = b->setup,
		                    .air = b->air,
		                    .rows = rows,
		                    .columns = columns,
		                    .first = i,
		                    .step = threads,
		                    .points = calloc((size_t)columns, sizeof(jw_point)),
		                    .mixtures = calloc((size_t)columns, sizeof(jw_mixture))};
		if (pthread_create(&thread[i], NULL, map, &strips[i]))
			abort();
	}
	for (int i = 0; i < threads; i++) {
		pthread_join(thread[i], NULL);
		failed |= strips[i].failed;
		b->sum += strips[i].sum;
		free(strips[i].points);
		free(strips[i].mixtures);
	}
	return !failed;
}

typedef struct map_time {
	double cpu, wall; /* s, the least so far */
} map_time;

static void time_map(bench *b, int rows, int columns, int threads, map_time *best)
{
	double cpu = processor_s(), wall = seconds(CLOCK_MONOTONIC);
	int good = map_together(b, rows, columns, threads);
	best->cpu = least(best->cpu, good ? processor_s() - cpu : NAN);
	best->wall = least(best->wall, good ? seconds(CLOCK_MONOTONIC) - wall : NAN);
}

/* For profilers: MAP_POINTS a time. */
static int map_points(bench *b)
{
	return map_together(b, MAP_POINTS / 100, 100, 1);
}

/* The whole map in one thread and in two, and a quarter of its rows, by turns with the network. Threads share processor
 * time but not wall time; the profile is only read. */
static void map_cost(bench *b)
{
	int rows = b->quick ? 8 : 100, columns = b->quick ? 10 : 100;
	map_time one = {INFINITY, INFINITY}, two = one, quarter = one;
	double net = INFINITY;
	for (int round = 0; round < (b->quick ? 2 : 10); round++) {
		time_map(b, rows, columns, 1, &one);
		time_map(b, rows, columns, 2, &two);
		time_map(b, rows / 4, columns, 1, &quarter);
		net = least(net, time_s(b, networks, b->quick ? 100 : 5000) / JW_RANGE_COUNT);
	}
	add_figure(b, "map_cost_ratio", "", one.cpu / (rows * columns) / net);
	add_figure(b, "map_us_per_point", "", 1e6 * one.cpu / (rows * columns));
	add_figure(b, "map_quarter_us_per_point", "", 1e6 * quarter.cpu / (rows / 4 * columns));
	add_figure(b, "map_two_thread_speedup", "", one.wall / two.wall);
}

static void small_costs(bench *b)
{
	add_figure(b, "profile_load_ms", "", 1e3 * least_s(b, load, b->quick ? 1 : 10));
	add_figure(b, "calibrate_ms", "", 1e3 * least_s(b, calibrate, b->quick ? 1 : 10));
	add_figure(b, "fuel_at_ns", "", 1e9 * least_s(b, fuel, b->quick ? 1000 : 20000));
}

static void baseline(bench *b)
{
	const jw_calibration *c = jw_profile_calibration(b->profile);
	add_figure(b, "coefficient", "main", c->coefficient.main);
	add_figure(b, "coefficient", "needle", c->coefficient.needle);
	add_figure(b, "coefficient", "pilot", c->coefficient.pilot);
	for (int i = 0; i < JW_RANGE_COUNT; i++)
		add_figure(b, "lambda_uncalibrated", jw_range_name((jw_range)i), c->lambda_uncalibrated[i]);
}

/* ---- for a second solver ---- */

/* Every number of the set-up, air, fuel and the six points, with the answers: what scipy_points.py solves again. */
static void describe(const bench *b, double point_us)
{
	size_t count;
	const jw_member_row *rows = jw_setup_members(&count);
	printf("{\"setup\": {");
	for (size_t i = 0; i < count; i++) {
		double value;
		memcpy(&value, (const char *)b->setup + rows[i].offset, sizeof value);
		printf("\"%s\": %.17g,\n", rows[i].field, value);
	}
	const jw_carburetor *c = &b->setup->carburetor;
	for (int i = 0; i < c->ports; i++)
		printf("\"port%d\": [%.17g, %.17g],\n", i, c->port[i].diameter_m, c->port[i].position_m);
	printf("\"ports\": %d, \"strokes\": %d, \"cylinders\": %d},\n", c->ports, b->setup->engine.strokes,
	       b->setup->engine.cylinders);
	printf("\"gas\": [%.17g, %.17g, %.17g], \"pressure_pa\": %.17g, \"dry\": %.17g, \"density_kg_m3\": %.17g,\n",
	       b->air->temperature_k, b->air->gas_constant_j_kg_k, b->air->viscosity_pa_s, b->air->pressure_pa,
	       b->air->dry_fraction, b->air->density_kg_m3);
	jw_fuel_state fuel = {0};
	jw_fuel_at(&b->setup->fuel, b->air->temperature_k + b->setup->bowl_heating_k, &fuel, NULL);
	printf("\"fuel\": [%.17g, %.17g, %.17g], \"point_us\": %.17g, \"points\": [", fuel.density_kg_m3,
	       fuel.viscosity_m2_s, fuel.stoichiometric_afr, point_us);
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		const jw_point *at = &b->setup->range[i];
		double ve = 0.0;
		jw_volumetric_efficiency(&b->setup->engine, at->speed_rev_s, &ve);
		printf("%s{\"speed\": %.17g, \"throttle\": %.17g, \"ve\": %.17g, \"phi\": %.17g, \"manifold_pa\": %.17g}",
		       i ? ",\n" : "", at->speed_rev_s, at->throttle, ve, b->at[i].answer.phi, b->at[i].answer.manifold_pa);
	}
	printf("]}\n");
}

static void (*const groups[])(bench *b) = {point_cost, explain_cost, small_costs, map_cost, baseline};

/* ---- the program ---- */

/* 1 where every figure is a number. */
static int print(const bench *b, int json)
{
	int finite = 1;
	for (int i = 0; i < b->count; i++) {
		const figure *f = &b->figures[i];
		finite &= isfinite(f->value) != 0;
		printf(json ? "%s\"%s\": " : "%s%-42s ", !json ? "" : i ? ",\n\t" : "{\n\t", f->name);
		if (isfinite(f->value))
			printf("%.6g%s", f->value, json ? "" : "\n");
		else
			printf("null%s", json ? "" : "\n");
	}
	printf(json ? "\n}\n" : "");
	return finite;
}

static int prepare(bench *b, jw_profile **profile)
{
	jw_faults faults;
	if (jw_profile_load(ENGINE, LIBRARY, profile, &faults) < 0) {
		fprintf(stderr, "%s: %s\n", ENGINE, faults.count ? faults.item[0].message : "not loaded");
		return 0;
	}
	b->profile = *profile;
	b->setup = jw_profile_setup(*profile);
	b->air = &jw_profile_baseline(*profile)->air;
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		jw_point beside = b->setup->range[i];
		beside.speed_rev_s *= 1.01;
		beside.throttle += beside.throttle < 0.5 ? 0.01 : -0.01;
		if (!network_prepare(b->setup, b->air, &b->setup->range[i], &b->at[i]) ||
		    jw_mixture_at(b->setup, b->air, &beside, &b->neighbour[i], NULL) < 0) {
			fprintf(stderr, "%s: the orifices do not pass what the answer says\n", jw_range_name((jw_range)i));
			return 0;
		}
	}
	return 1;
}

int main(int count, char **word)
{
	bench b = {0};
	jw_profile *profile = NULL;
	int json = 0, times = 0, good;
	int told = 0;
	work *only = NULL;
	for (int i = 1; i < count; i++) {
		if (!strcmp(word[i], "--json"))
			json = 1;
		else if (!strcmp(word[i], "--quick"))
			b.quick = 1;
		else if (!strcmp(word[i], "--describe"))
			told = 1;
		else if (!strcmp(word[i], "--only") && i + 2 < count) {
			only = !strcmp(word[i + 1], "point")     ? points
			       : !strcmp(word[i + 1], "near")    ? near_points
			       : !strcmp(word[i + 1], "map")     ? map_points
			       : !strcmp(word[i + 1], "network") ? networks
			                                         : NULL;
			times = atoi(word[i + 2]);
			i += 2;
		} else {
			fprintf(stderr,
			        "usage: jetwright_bench [--json] [--quick] [--describe] [--only point|near|map|network COUNT]\n");
			return 2;
		}
	}
	good = prepare(&b, &profile);
	if (good && only)
		good = time_s(&b, only, times) >= 0.0;
	if (good && told)
		describe(&b, 1e6 * least_s(&b, points, b.quick ? 20 : 300) / JW_RANGE_COUNT);
	only = told ? points : only;
	for (size_t i = 0; good && !only && i < sizeof groups / sizeof *groups; i++)
		groups[i](&b);
	if (good && !only)
		good = print(&b, json);
	jw_profile_free(profile);
	return good && isfinite(b.sum) ? 0 : 1;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: jetwright_cycle_bench [--quick | --times]
 * Points over the crank angle, finely, with everything that their equations need, for scipy_cycle.py; and the processor
 * time of one with usual options. --times: that of every bundled engine at its six ranges, as the table of README.md.
 */
#include "carburetor/near.h"
#include "engine.h"
#include "engine/cycle.h"
#include "point/members.h"

#include <jetwright/jetwright.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

static const struct {
	const char *engine;
	jw_range range;
} cases[] = {{"courier-150", JW_FULL}, {"kart-125", JW_FULL},    {"courier-150", JW_QUARTER},
             {"courier-150", JW_IDLE}, {"trail-250", JW_IDLE},   {"trail-250", JW_QUARTER},
             {"trail-250", JW_HALF},   {"cruiser-1200", JW_FULL}};

enum { CASES = sizeof cases / sizeof *cases, ROUNDS = 20 };

static double processor_ms(void)
{
	struct timespec now;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
	return (double)now.tv_sec * 1e3 + (double)now.tv_nsec * 1e-6;
}

static double least_ms(const jw_setup *setup, const jw_air *air, const jw_point *point, int rounds)
{
	static jw_cycle cycle;
	double least = INFINITY;
	for (int i = 0; i < rounds; i++) {
		double from = processor_ms();
		if (jw_cycle_at(setup, air, point, NULL, &cycle, NULL) < 0)
			return NAN;
		least = fmin(least, processor_ms() - from);
	}
	return least;
}

static void print_setup(const jw_setup *setup, const jw_air *air)
{
	size_t count;
	const jw_member_row *row = jw_setup_members(&count);
	for (size_t i = 0; i < count; i++) {
		double value;
		memcpy(&value, (const char *)setup + row[i].offset, sizeof value);
		printf("\"%s\": %.17g, ", row[i].field, value);
	}
	printf("\"strokes\": %d, \"cylinders\": %d, \"air.pressure_pa\": %.17g, \"air.temperature_k\": %.17g, "
	       "\"air.gas_constant_j_kg_k\": "
	       "%.17g, \"air.density_kg_m3\": %.17g, ",
	       setup->engine.strokes, setup->engine.cylinders, air->pressure_pa, air->temperature_k,
	       air->gas_constant_j_kg_k, air->density_kg_m3);
}

static void print_cam(const jw_breathing *b)
{
	printf("\"cam\": [");
	for (int i = 0; i < b->cam_points; i++)
		printf("%s[%.17g, %.17g]", i > 0 ? ", " : "", b->cam_rad[i], b->cam_lift_m[i]);
	printf("], ");
}

/* Behind the exhaust valve at the mean flow; it goes with the square. */
static double exhaust_pa(const jw_engine *e, const jw_air *air, double kg_s)
{
	double full = 0;
	for (int i = 0; i < e->ve_points; i++)
		full = fmax(full, e->ve[i] * air->density_kg_m3 * jw_displacement(e) * e->ve_speed_rev_s[i] * 2 / e->strokes);
	return air->pressure_pa + e->exhaust_back_pa * (kg_s / full) * (kg_s / full);
}

static void print_trace(const char *key, const double *trace)
{
	printf("\"%s\": [", key);
	for (int n = 0; n <= JW_CYCLE_NODES; n++)
		printf("%s%.17g", n > 0 ? ", " : "", trace[n]);
	printf("], ");
}

/* What the columns of main and pilot circuit lie between, and what they bring. */
static void print_fuel(const jw_setup *s, const jw_air *air, double throttle, const jw_cycle *c)
{
	jw_fuel_state fuel = {0};
	const jw_fuel_ends ends = {.controls = {.throttle = throttle}};
	const jw_branch pilot = jw_carburetor_pilot(&s->carburetor, &ends);
	jw_fuel_at(&s->fuel, air->temperature_k + s->bowl_heating_k, &fuel, NULL);
	printf("\"fuel.density_kg_m3\": %.17g, \"fuel.viscosity_m2_s\": %.17g, \"air.viscosity_pa_s\": %.17g, ",
	       fuel.density_kg_m3, fuel.viscosity_m2_s, air->viscosity_pa_s);
	printf("\"annulus_m2\": %.17g, \"main_kg_s\": %.17g, ",
	       s->coefficient.needle * s->carburetor.needle.coefficient * jw_needle_area(&s->carburetor.needle, c->lift_m),
	       c->main_kg_s);
	printf("\"pilot_outlets_m2\": [");
	for (int i = 0; i < pilot.ends.outlets; i++)
		printf("%s%.17g", i > 0 ? ", " : "", pilot.ends.outlet[i].effective_area_m2);
	printf("], \"ports_at_nozzle\": %d, \"pilot_kg_s\": %.17g, ", jw_ports_at_nozzle(&s->carburetor), c->pilot_kg_s);
	print_trace("nozzle", c->trace.nozzle_pa);
	print_trace("manifold", c->trace.manifold_pa);
	print_trace("air_flow", c->trace.air_kg_s);
}

static int print_case(const char *engine, jw_range range, int rounds)
{
	/* The fuel's steps are of second order, but for where a flow stops between them. */
	static const jw_cycle_options fine = {
	    .relative = 1e-10, .settled = 1e-8, .relaxation_rad = 0.25 * JW_PI / 180, .fuel_parts = 64};
	static jw_cycle c, coarse;
	jw_setup setup;
	jw_air air;
	if (!engine_load(engine, &setup, &air))
		return 0;
	const jw_point *point = &setup.range[range];
	jw_cycle_options whole = fine;
	whole.fuel_parts = 1;
	int ok = jw_cycle_at(&setup, &air, point, &fine, &c, NULL) >= 0 &&
	         jw_cycle_at(&setup, &air, point, &whole, &coarse, NULL) >= 0;
	double ms = least_ms(&setup, &air, point, rounds);
	setup.engine.breathing = jw_breathing_usual(&setup.engine);
	printf("{\"engine\": \"%s\", \"range\": \"%s\", ", engine, jw_range_name(range));
	print_setup(&setup, &air);
	print_cam(&setup.engine.breathing);
	print_fuel(&setup, &air, point->throttle, &c);
	printf("\"whole_steps\": {\"main_kg_s\": %.17g, \"pilot_kg_s\": %.17g}, ", coarse.main_kg_s, coarse.pilot_kg_s);
	printf("\"speed_rev_s\": %.17g, \"relaxation_rad\": %.17g, \"plate_m2\": %.17g, \"throat_m2\": %.17g, ",
	       point->speed_rev_s, fine.relaxation_rad, jw_carburetor_plate(&setup.carburetor, point->throttle),
	       setup.carburetor.throat.coefficient * jw_slide_area(&setup.carburetor.throat, &setup.carburetor.slide,
	                                                           c.lift_m + setup.carburetor.slide.cutaway_m));
	printf(
	    "\"air_kg_s\": %.17g, \"manifold_closing_pa\": %.17g, \"residual\": %.17g, \"nozzle_pa\": %.17g, \"box_pa\": "
	    "%.17g, \"cycles\": %d, \"exhaust_pa\": %.17g, \"usual_ms\": %.4g}",
	    c.plate_kg_s + c.leak_kg_s, c.closing_pa, c.residual, c.nozzle_pa, c.box_pa, c.cycles,
	    exhaust_pa(&setup.engine, &air, c.plate_kg_s + c.leak_kg_s), ms);
	return ok && isfinite(ms);
}

static int print_times(const char *engine)
{
	jw_setup setup;
	jw_air air;
	if (!engine_load(engine, &setup, &air))
		return 0;
	printf("| `%s`", engine);
	int ok = 1;
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		double ms = least_ms(&setup, &air, &setup.range[range], ROUNDS);
		printf(" | %.1f", ms);
		ok &= isfinite(ms) != 0;
	}
	printf(" |\n");
	return ok;
}

static int print_all_times(void)
{
	int ok = 1;
	printf("| ms |");
	for (int range = 0; range < JW_RANGE_COUNT; range++)
		printf(" %s |", jw_range_name((jw_range)range));
	printf("\n| --- | --- | --- | --- | --- | --- | --- |\n");
	for (int i = 0; i < ENGINES; i++)
		ok &= print_times(engines[i]);
	return ok;
}

int main(int arguments, char **argument)
{
	if (arguments > 1 && !strcmp(argument[1], "--times"))
		return !print_all_times();
	int quick = arguments > 1 && !strcmp(argument[1], "--quick"), ok = 1;
	printf("[");
	for (int i = 0; i < CASES; i++) {
		printf(i > 0 ? ",\n" : "");
		ok &= print_case(cases[i].engine, cases[i].range, quick ? 2 : ROUNDS);
	}
	printf("]\n");
	return !ok;
}

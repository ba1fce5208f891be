/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of the pulse's factors from cycles that are made up: what it finds is then known beforehand, and some can
 * fail. The linker lets every call of jw_cycle_at pass here (--wrap), which other tests do not notice. */
#include "bundled.h"
#include "near.h"

#include <jetwright/jetwright.h>
#include <string.h>

enum { SPEEDS = 12, OPENINGS = 13, NODES = SPEEDS * OPENINGS };

static struct {
	int on;
	jw_status fails[NODES];
	int asked;
	jw_mixture wanted[NODES];
} made;

jw_status __real_jw_cycle_at(const jw_setup *setup, const jw_air *air, const jw_point *point,
                             const jw_cycle_options *options, jw_cycle *cycle, jw_error *error);
jw_status __wrap_jw_cycle_at(const jw_setup *setup, const jw_air *air, const jw_point *point,
                             const jw_cycle_options *options, jw_cycle *cycle, jw_error *error);

/* At each node others: the air by -10 to 10 %, pulls of 1.2 to 3 times that at mean flow, a pilot that is given a share
 * or pulled more. */
static void factors_of(int node, double factor[JW_PULSE_FACTORS])
{
	const double pilot = 0.7 + 0.15 * (node % 4);
	const double all[JW_PULSE_FACTORS] = {
	    [JW_PULSE_AIR] = 0.9 + 0.02 * (node % 11),
	    [JW_PULSE_THROAT] = 1.2 + 0.1 * (node % 9),
	    [JW_PULSE_MAIN] = 1.2 + 0.2 * (node % 10),
	    [JW_PULSE_POWER] = 1.4 + 0.2 * (node % 8),
	    [JW_PULSE_PILOT] = pilot,
	};
	memcpy(factor, all, sizeof all);
}

/* What the mean-value model gives with factors of its own. */
static jw_mixture pulsed(const jw_setup *setup, const jw_air *air, const jw_point *point, const double *factor)
{
	static jw_setup s;
	s = *setup;
	s.pulses = (jw_pulse_table){.nodes = 1, .speed_rev_s = {point->speed_rev_s}, .throttle = {point->throttle}};
	for (int f = 0; f < JW_PULSE_FACTORS; f++)
		s.pulses.factor[f][0] = factor[f];
	return mixture_of(&s, air, point);
}

jw_status __wrap_jw_cycle_at(const jw_setup *setup, const jw_air *air, const jw_point *point,
                             const jw_cycle_options *options, jw_cycle *cycle, jw_error *error)
{
	if (!made.on)
		return __real_jw_cycle_at(setup, air, point, options, cycle, error);
	const int node = made.asked++;
	cr_assert(node < NODES);
	if (made.fails[node]) {
		*error = (jw_error){.status = made.fails[node], .field = "planted"};
		return made.fails[node];
	}
	double factor[JW_PULSE_FACTORS];
	factors_of(node, factor);
	const jw_mixture m = made.wanted[node] = pulsed(setup, air, point, factor);
	*cycle = (jw_cycle){.plate_kg_s = m.plate_kg_s,
	                    .leak_kg_s = m.leak_kg_s,
	                    .main_kg_s = m.flow.main.fuel_kg_s,
	                    .pilot_kg_s = m.flow.pilot.fuel_kg_s,
	                    .power_kg_s = m.flow.power.fuel_kg_s,
	                    .fuel_kg_s = m.fuel_kg_s,
	                    .pulse.throat = factor[JW_PULSE_THROAT]};
	return JW_OK;
}

static jw_status tabulate(const jw_setup *setup, jw_pulse_table *table, int *bridged, jw_error *error)
{
	const jw_air air = mild_air();
	made.on = 1;
	made.asked = 0;
	return jw_pulses_tabulate(setup, &air, table, bridged, error);
}

#define NO_FLOW 1e-9 /* kg/s */

static void expect_flow(const char *engine, int node, const char *flow, double found, double wanted, double all)
{
	cr_expect(fabs(found - wanted) <= 1e-5 * all + NO_FLOW, "%s, node %d: %s %g, made up %g", engine, node, flow, found,
	          wanted);
}

/* Whatever was made up of air, main, pilot and power fuel, the table gives it again. */
Test(tabulate_made, gives_back_what_was_made_up)
{
	static const char *const engines[] = {"courier-150", "estate-1100", "kart-125"};
	static jw_setup s;
	const jw_air air = mild_air();
	for (size_t e = 0; e < sizeof engines / sizeof *engines; e++) {
		int bridged = -1;
		jw_error error = {0};
		s = bundled(engines[e]);
		static jw_pulse_table table;
		cr_assert(tabulate(&s, &table, &bridged, &error) >= 0, "%s: %s", engines[e], error.field);
		cr_expect_eq(bridged, 0);
		cr_expect_eq(made.asked, NODES);
		s.coefficient.air = 1;
		for (int i = 0; i < table.nodes; i++) {
			const jw_point point = {table.speed_rev_s[i], table.throttle[i], 0};
			double factor[JW_PULSE_FACTORS];
			for (int f = 0; f < JW_PULSE_FACTORS; f++)
				factor[f] = table.factor[f][i];
			const jw_mixture now = pulsed(&s, &air, &point, factor), *then = &made.wanted[i];
			const double fuel = then->fuel_kg_s;
			expect_flow(engines[e], i, "air", now.plate_kg_s, then->plate_kg_s, then->plate_kg_s);
			expect_flow(engines[e], i, "main", now.flow.main.fuel_kg_s, then->flow.main.fuel_kg_s, fuel);
			expect_flow(engines[e], i, "pilot", now.flow.pilot.fuel_kg_s, then->flow.pilot.fuel_kg_s, fuel);
			expect_flow(engines[e], i, "power", now.flow.power.fuel_kg_s, then->flow.power.fuel_kg_s, fuel);
		}
	}
}

static double middle(const jw_pulse_table *t, int factor, int first, int second)
{
	return 0.5 * (t->factor[factor][first] + t->factor[factor][second]);
}

/* A cycle that does not settle gives no factor: it has those of the nearest openings at its speed, and of no other. */
Test(tabulate_made, bridges_what_does_not_settle)
{
	static jw_setup s;
	static jw_pulse_table whole, gaps;
	/* Alone; two beside each other; the first and the last of a speed. */
	static const struct {
		int missing, below, above;
	} rows[] = {{5, 4, 6}, {15, 14, 17}, {16, 14, 17}, {26, 27, 27}, {27 + 24, 26 + 24, 26 + 24}};
	int bridged = -1;
	s = bundled("pump-200");
	cr_assert(tabulate(&s, &whole, NULL, NULL) >= 0);
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
		made.fails[rows[i].missing] = JW_E_NO_CONVERGENCE;
	jw_error error;
	cr_assert(tabulate(&s, &gaps, &bridged, &error) >= 0);
	cr_expect_eq(bridged, sizeof rows / sizeof *rows);
	cr_expect_eq(gaps.nodes, NODES);
	for (int f = 0; f < JW_PULSE_FACTORS; f++) {
		for (int i = 0; i < NODES; i++)
			if (!made.fails[i])
				cr_expect_eq(gaps.factor[f][i], whole.factor[f][i], "%d, node %d", f, i);
		for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
			cr_expect_eq(gaps.factor[f][rows[i].missing], middle(&whole, f, rows[i].below, rows[i].above),
			             "%d, node %d", f, rows[i].missing);
	}
	for (int i = 0; i < NODES; i++)
		cr_expect(gaps.speed_rev_s[i] == whole.speed_rev_s[i] && gaps.throttle[i] == whole.throttle[i]);
}

/* Six openings at each speed are enough, five are not; any other failure ends it at once. Then nothing is changed. */
Test(tabulate_made, asks_for_six_at_each_speed)
{
	static jw_setup s;
	static jw_pulse_table whole, table, untouched;
	int bridged = -1;
	jw_error error = {0};
	s = bundled("pump-200");
	cr_assert(tabulate(&s, &whole, NULL, NULL) >= 0);
	for (int i = 0; i < OPENINGS - 6; i++)
		made.fails[3 * OPENINGS + 2 * i % OPENINGS] = JW_E_NO_CONVERGENCE;
	cr_expect(tabulate(&s, &table, &bridged, &error) >= 0);
	cr_expect_eq(bridged, OPENINGS - 6);
	made.fails[3 * OPENINGS + 1] = made.fails[3 * OPENINGS + 3] = JW_E_NO_CONVERGENCE;
	memset(&table, 0, sizeof table);
	bridged = -1;
	cr_expect_eq(tabulate(&s, &table, &bridged, &error), JW_E_NO_CONVERGENCE);
	cr_expect_str_eq(error.field, "speed_rev_s");
	cr_expect_eq(error.value, whole.speed_rev_s[3 * OPENINGS]);
	cr_expect(!memcmp(&table, &untouched, sizeof table));
	cr_expect_eq(bridged, -1);
	made.fails[7] = JW_E_RANGE;
	cr_expect_eq(tabulate(&s, &table, &bridged, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "planted");
	cr_expect_eq(made.asked, 8);
	cr_expect(!memcmp(&table, &untouched, sizeof table));
}

/* Speeds in equal steps of their logarithm from the slowest usual point to a tenth above the fastest. */
Test(tabulate_made, covers_what_the_engine_turns)
{
	static jw_setup s;
	static jw_pulse_table t;
	s = bundled("pump-200");
	double lowest = INFINITY, highest = 0;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		lowest = fmin(lowest, s.range[r].speed_rev_s);
		highest = fmax(highest, s.range[r].speed_rev_s);
	}
	cr_assert(tabulate(&s, &t, NULL, NULL) >= 0);
	JW_NEAR_REL(t.speed_rev_s[0], lowest, 1e-12);
	JW_NEAR_REL(t.speed_rev_s[NODES - 1], 1.1 * highest, 1e-12);
	for (int i = OPENINGS; i < NODES; i++) {
		cr_expect_eq(t.throttle[i], t.throttle[i - OPENINGS]);
		JW_NEAR_REL(t.speed_rev_s[i] / t.speed_rev_s[i - OPENINGS], pow(1.1 * highest / lowest, 1.0 / (SPEEDS - 1)),
		            1e-12);
	}
	for (int i = 1; i < OPENINGS; i++)
		cr_expect_gt(t.throttle[i], t.throttle[i - 1]);
	cr_expect(t.throttle[0] == 0 && t.throttle[OPENINGS - 1] == 1);
}

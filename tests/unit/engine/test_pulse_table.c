/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Interpolation in the table of the pulse's factors. */
#include "near.h"
#include <jetwright/engine.h>

enum { SPEEDS = 5, OPENINGS = 6 };
static const double openings[OPENINGS] = {0, 0.05, 0.15, 0.3, 0.6, 1};

/* Each factor by a law of its own. */
static jw_pulse_table filled(double (*law)(int factor, double speed, double throttle))
{
	jw_pulse_table t = {.nodes = SPEEDS * OPENINGS};
	for (int i = 0; i < t.nodes; i++) {
		t.speed_rev_s[i] = 20 + 30 * (i / OPENINGS);
		t.throttle[i] = openings[i % OPENINGS];
		for (int f = 0; f < JW_PULSE_FACTORS; f++)
			t.factor[f][i] = law(f, t.speed_rev_s[i], t.throttle[i]);
	}
	return t;
}

static double smooth(int factor, double speed, double throttle)
{
	return 1 + 0.3 * factor + sin(0.01 * speed + factor) * throttle * throttle / (0.2 + throttle);
}

/* Straight in what each is interpolated in: of either sign but for lifts, the pilot's on both sides of 1. */
static double straight(int factor, double speed, double throttle)
{
	const double x = 0.1 * factor + 0.004 * speed - 0.8 * throttle;
	switch (factor) {
	case JW_PULSE_MAIN_LIFT:
	case JW_PULSE_POWER_LIFT:
		return 100 + x;
	case JW_PULSE_MAIN:
	case JW_PULSE_POWER:
		return x * fabs(x);
	case JW_PULSE_PILOT:
		return x <= 0 ? exp(x) : 1 + x * x;
	default:
		return exp(x);
	}
}

static double rising(int factor, double speed, double throttle)
{
	return 1 + factor + (throttle > 0.2 ? 8 : 0) + (speed > 100 ? 20 : 0);
}

Test(pulse_table, nodes_come_back)
{
	jw_pulse_table t = filled(smooth);
	for (int i = 0; i < t.nodes; i++) {
		double factor[JW_PULSE_FACTORS];
		cr_assert_eq(jw_pulse_table_at(&t, t.speed_rev_s[i], t.throttle[i], factor), JW_OK);
		for (int f = 0; f < JW_PULSE_FACTORS; f++)
			JW_NEAR_REL(factor[f], t.factor[f][i], 1e-14);
	}
}

Test(pulse_table, what_is_straight_stays_straight)
{
	jw_pulse_table t = filled(straight);
	for (double speed = 20; speed <= 140; speed += 7.3)
		for (double throttle = 0; throttle <= 1; throttle += 0.043) {
			double factor[JW_PULSE_FACTORS];
			cr_assert_eq(jw_pulse_table_at(&t, speed, throttle, factor), JW_OK);
			for (int f = 0; f < JW_PULSE_FACTORS; f++)
				JW_NEAR_ABS(factor[f], straight(f, speed, throttle), 1e-12);
		}
}

/* What rises from node to node rises between them, and leaves the nodes' range nowhere. */
Test(pulse_table, does_not_overshoot)
{
	jw_pulse_table t = filled(rising);
	for (double speed = 20; speed <= 140; speed += 3.1) {
		double last = 0;
		for (double throttle = 0; throttle <= 1; throttle += 0.01) {
			double factor[JW_PULSE_FACTORS];
			jw_pulse_table_at(&t, speed, throttle, factor);
			cr_expect(factor[0] >= last * (1 - 1e-14), "%g rev/s, %g: %g after %g", speed, throttle, factor[0], last);
			cr_expect(factor[0] >= 1 - 1e-12 && factor[0] <= 29 + 1e-12);
			last = factor[0];
		}
	}
}

/* Neither value nor slope leaps at a node. */
Test(pulse_table, is_smooth)
{
	jw_pulse_table t = filled(smooth);
	const double h = 1e-5;
	for (int k = 1; k < OPENINGS - 1; k++) {
		double at[3][JW_PULSE_FACTORS], slope[2];
		for (int i = 0; i < 3; i++)
			jw_pulse_table_at(&t, 77, openings[k] + (i - 1) * h, at[i]);
		for (int i = 0; i < 2; i++)
			slope[i] = (at[i + 1][1] - at[i][1]) / h;
		cr_expect(fabs(slope[1] - slope[0]) < 2e-3 * (fabs(slope[0]) + 0.1), "%g: %g, %g", openings[k], slope[0],
		          slope[1]);
	}
}

Test(pulse_table, is_held_beyond_its_edges)
{
	jw_pulse_table t = filled(smooth);
	double edge[JW_PULSE_FACTORS], beyond[JW_PULSE_FACTORS];
	jw_pulse_table_at(&t, 20, 0.4, edge);
	cr_expect_eq(jw_pulse_table_at(&t, 5, 0.4, beyond), JW_W_EXTRAPOLATED);
	JW_NEAR_REL(beyond[2], edge[2], 1e-15);
	jw_pulse_table_at(&t, 140, 0.4, edge);
	cr_expect_eq(jw_pulse_table_at(&t, 500, 0.4, beyond), JW_W_EXTRAPOLATED);
	JW_NEAR_REL(beyond[2], edge[2], 1e-15);
}

Test(pulse_table, may_be_a_single_node_or_row)
{
	jw_pulse_table one = {
	    .nodes = 1, .speed_rev_s = {50}, .throttle = {0.5}, .factor = {{2}, {3}, {4}, {5}, {6}, {7}, {8}}};
	double factor[JW_PULSE_FACTORS];
	cr_expect_eq(jw_pulse_table_at(&one, 50, 0.5, factor), JW_OK);
	JW_NEAR_REL(factor[JW_PULSE_PILOT], 8, 1e-15);
	jw_pulse_table row = {
	    .nodes = 2, .speed_rev_s = {50, 50}, .throttle = {0, 1}, .factor = {{1, 4}, {1, 4}, {}, {}, {}, {}, {1, 4}}};
	jw_pulse_table_at(&row, 50, 0.5, factor);
	JW_NEAR_REL(factor[0], 2, 1e-14);
}

/* Between uneven nodes as SciPy 1.10 has it (PchipInterpolator): the nearer chord weighs more. */
Test(pulse_table, slopes_are_those_of_fritsch_and_butland)
{
	const double speeds[] = {13, 22, 36, 60}, logs[] = {0.2, 0.5, 0.6, 1.1};
	const double between[][2] = {{25, 0.5295159335710796}, {29, 0.5537503217346653}, {33, 0.5755355201939796}};
	jw_pulse_table t = {.nodes = 4};
	for (int i = 0; i < 4; i++) {
		t.speed_rev_s[i] = speeds[i], t.throttle[i] = 0.5;
		for (int f = 0; f < JW_PULSE_FACTORS; f++)
			t.factor[f][i] = exp(logs[i]);
	}
	for (int i = 0; i < 3; i++) {
		double factor[JW_PULSE_FACTORS];
		cr_assert_eq(jw_pulse_table_at(&t, between[i][0], 0.5, factor), JW_OK);
		JW_NEAR_ABS(log(factor[JW_PULSE_AIR]), between[i][1], 1e-12);
	}
}

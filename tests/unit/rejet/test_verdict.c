/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a mixture means for the engine, and whether the first-order rule serves. */
#include "bundled.h"
#include "diagnose/want.h"
#include "rejetted.h"

/* The bore of one jet a multiple of what it was. */
static jw_rejet_answer with_jet(const jw_setup *s, jw_part part, double factor)
{
	const jw_air air = mild_air();
	jw_rejet_change change = brass_of(s);
	change.part[part] *= factor;
	const jw_rejet_request request = {.setup = s, .air = &air, .change = &change, .changes = 1, .anchored = 1};
	return rejetted(&request);
}

Test(verdict, has_a_word)
{
	static const char *const words[JW_REJET_VERDICT_COUNT] = {"runs",       "rich_rough",    "rich_misfires",
	                                                          "lean_rough", "lean_misfires", "dangerous"};
	for (int v = 0; v < JW_REJET_VERDICT_COUNT; v++)
		cr_expect_str_eq(jw_rejet_verdict_name((jw_rejet_verdict)v), words[v]);
	cr_expect_null(jw_rejet_verdict_name(JW_REJET_VERDICT_COUNT));
	cr_expect_null(jw_rejet_verdict_name((jw_rejet_verdict)-1));
}

/* As the pilot jet shrinks idle passes every verdict of a range without danger, in their order, each between the limits
 * that a usual engine has (want.h). */
Test(verdict, of_idle_follows_the_pilot_jet)
{
	const jw_setup s = bundled("courier-150");
	static const jw_rejet_verdict order[] = {JW_REJET_RICH_MISFIRES, JW_REJET_RICH_ROUGH, JW_REJET_RUNS,
	                                         JW_REJET_LEAN_ROUGH, JW_REJET_LEAN_MISFIRES};
	static const jw_want from[] = {JW_WANT_RICH_STOP, JW_WANT_RICH_LIMIT, JW_WANT_RICH_ROUGH, JW_WANT_LEAN_ROUGH,
	                               JW_WANT_LEAN_LIMIT};
	int at = 0, passed = 1;
	for (double factor = 1.6; factor > 0.6; factor *= 0.98) {
		const jw_rejet_answer a = with_jet(&s, JW_PART_PILOT_JET, factor);
		const double lambda = 1 / a.range[JW_IDLE].after.phi;
		while (at < 4 && a.range[JW_IDLE].becomes != order[at]) {
			at++;
			passed++;
		}
		cr_assert_eq(a.range[JW_IDLE].becomes, order[at], "%.3f: %d", factor, (int)a.range[JW_IDLE].becomes);
		cr_expect(at == 0 || lambda >= jw_wanted(JW_IDLE, from[at]).lambda, "%.3f: %g", factor, lambda);
		cr_expect(at == 4 || lambda <= jw_wanted(JW_IDLE, from[at + 1]).lambda, "%.3f: %g", factor, lambda);
		cr_expect_eq(a.range[JW_IDLE].danger, 0.0);
		cr_expect_eq(a.range[JW_IDLE].was, JW_REJET_RUNS);
	}
	cr_expect_eq(passed, 5);
}

/* At full throttle there is no lean verdict but danger, from one chance in twenty of lambda above 1; at just that
 * lambda it is one in two. */
Test(verdict, of_full_throttle_is_danger_before_it_is_lean)
{
	cr_expect(jw_rejet_danger_lambda(JW_FULL) == 1.0 && jw_rejet_danger_lambda(JW_THREE_QUARTER) == 1.05);
	cr_expect(jw_rejet_danger_lambda(JW_HALF) == 0 && jw_rejet_danger_lambda(JW_IDLE) == 0);
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		double before = -1;
		int dangers = 0;
		for (double factor = 1.1; factor > 0.75; factor *= 0.97) {
			const jw_rejet_answer a = with_jet(&s, JW_PART_MAIN_JET, factor);
			const jw_rejet_range *full = &a.range[JW_FULL];
			cr_expect(full->danger >= before, "%s %.3f", bundled_names[b], factor);
			cr_expect_eq(full->becomes == JW_REJET_DANGEROUS, full->danger >= JW_REJET_DANGER);
			cr_expect_eq(full->danger > 0.5, full->after.phi < 1, "%s %.3f", bundled_names[b], factor);
			/* as many of its standard deviations away, Abramowitz and Stegun, 26.2.29 */
			JW_NEAR_ABS(full->danger, 0.5 * erfc(log(full->after.phi) / full->relative_after / sqrt(2)), 1e-9);
			before = full->danger;
			dangers += full->becomes == JW_REJET_DANGEROUS;
		}
		cr_expect(dangers > 2, "%s", bundled_names[b]);
	}
}

/* With lambda known to a tenth it may well lie above 1, but an engine that ran right is in no danger by what makes it
 * richer; leaner, it is. */
Test(verdict, of_an_engine_that_ran_right_is_danger_only_where_it_grows_leaner)
{
	const jw_air air = mild_air();
	jw_setup s = bundled("pump-200");
	s.uncertainty.main = 0.1;
	for (int leaner = 0; leaner < 2; leaner++) {
		const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = air.pressure_pa * (leaner ? 1.06 : 0.94)};
		const jw_rejet_request request = {.setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1};
		const jw_rejet_answer a = rejetted(&request);
		cr_expect(a.range[JW_FULL].danger > JW_REJET_DANGER, "%g", a.range[JW_FULL].danger);
		cr_expect_eq(a.range[JW_FULL].becomes == JW_REJET_DANGEROUS, leaner);
	}
}

/* Half the speed leaves a quarter of the pull, and the nozzle stands twice as high: less than twice what lifts fuel. */
Test(rule, does_not_serve_where_fuel_is_hardly_lifted)
{
	const jw_air air = mild_air();
	const jw_rejet_change thin = {.kind = JW_REJET_PRESSURE, .value = 90e3};
	jw_setup s = bundled("kart-125");
	jw_rejet_request request = {.setup = &s, .air = &air, .change = &thin, .changes = 1, .anchored = 1};
	cr_expect_eq(rejetted(&request).rule.reason, JW_RULE_APPLIES);
	s.range[JW_FULL].speed_rev_s *= 0.5;
	s.carburetor.main.outlet_height_m *= 2;
	const jw_rejet_answer a = rejetted(&request);
	cr_expect_eq(a.rule.reason, JW_RULE_WEAK_PULL);
	cr_expect(a.range[JW_FULL].after.flow.depression_pa < 2 * 750 * 9.80665 * s.carburetor.main.outlet_height_m);
}

/* A floating slide at its stop is a fixed throat; at 0.7 of that speed it floats. */
Test(rule, does_not_serve_where_the_slide_floats)
{
	const jw_air air = mild_air();
	const jw_rejet_change thin = {.kind = JW_REJET_PRESSURE, .value = 90e3};
	jw_setup s = bundled("twin-480");
	jw_rejet_request request = {.setup = &s, .air = &air, .change = &thin, .changes = 1, .anchored = 1};
	const jw_rejet_answer up = rejetted(&request);
	cr_expect_eq(up.rule.reason, JW_RULE_APPLIES);
	cr_expect(up.rule.stop_before && up.rule.stop_after);
	s.range[JW_FULL].speed_rev_s *= 0.7;
	const jw_rejet_answer a = rejetted(&request);
	cr_expect_eq(a.rule.reason, JW_RULE_SLIDE_FLOATS);
	cr_expect(!a.rule.stop_before && !a.rule.stop_after);
	cr_expect(a.range[JW_FULL].after.path.lift_m < 0.99 * s.carburetor.throat.bore_m);
}

/* Thinner air pulls a floating slide less: from its stop it can only sink, and with denser air it comes back. */
Test(rule, tells_a_slide_that_leaves_its_stop)
{
	const jw_air dense = mild_air(), thin = air_of(95.5e3, 293.15, 0.5);
	const jw_rejet_change up = {.kind = JW_REJET_PRESSURE, .value = thin.pressure_pa},
	                      down = {.kind = JW_REJET_PRESSURE, .value = dense.pressure_pa};
	const jw_setup s = scooter();
	const jw_rejet_request climbs = {.setup = &s, .air = &dense, .change = &up, .changes = 1, .anchored = 1},
	                       descends = {.setup = &s, .air = &thin, .change = &down, .changes = 1, .anchored = 1};
	const jw_rejet_answer a = rejetted(&climbs), b = rejetted(&descends);
	cr_expect(a.rule.stop_before && !a.rule.stop_after && a.rule.reason == JW_RULE_SLIDE_FLOATS);
	cr_expect(!b.rule.stop_before && b.rule.stop_after && b.rule.reason == JW_RULE_SLIDE_FLOATS);
	JW_NEAR_REL(a.range[JW_FULL].before.path.lift_m, s.carburetor.throat.bore_m, 1e-9);
	cr_expect_lt(a.range[JW_FULL].after.path.lift_m, 0.9 * s.carburetor.throat.bore_m);
	JW_NEAR_REL(b.range[JW_FULL].before.path.lift_m, a.range[JW_FULL].after.path.lift_m, 1e-3);
}

/* A fixed throat has no slide at a stop. */
Test(rule, knows_of_no_stop_in_a_fixed_throat)
{
	const jw_air air = mild_air();
	const jw_rejet_change thin = {.kind = JW_REJET_PRESSURE, .value = 90e3};
	const jw_setup s = bundled("pump-200");
	const jw_rejet_request request = {.setup = &s, .air = &air, .change = &thin, .changes = 1, .anchored = 1};
	const jw_rejet_answer a = rejetted(&request);
	cr_expect(!a.rule.stop_before && !a.rule.stop_after);
}

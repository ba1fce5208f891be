/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a mixture means for the engine, how sure it is, whether the first-order rule serves, and what is at hand. */
#include "bundled.h"
#include "diagnose/want.h"
#include "rejetted.h"

/* The bore of one jet a multiple of what it was. */
static jw_rejet_change other_jet(const jw_setup *s, jw_part part, double factor)
{
	jw_rejet_change brass = {.kind = JW_REJET_BRASS};
	for (int p = 0; p < JW_PART_COUNT; p++)
		brass.part[p] = jw_part_value(s, (jw_part)p);
	brass.part[part] *= factor;
	return brass;
}

static jw_rejet_answer with_jet(const jw_setup *s, jw_part part, double factor)
{
	const jw_air air = mild_air();
	const jw_rejet_change change = other_jet(s, part, factor);
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
			/* as many standard deviations of the change away, Abramowitz and Stegun, 26.2.29 */
			JW_NEAR_ABS(full->danger, 0.5 * erfc(log(full->after.phi) / full->relative_change / sqrt(2)), 1e-9);
			before = full->danger;
			dangers += full->becomes == JW_REJET_DANGEROUS;
		}
		cr_expect(dangers > 2, "%s", bundled_names[b]);
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
	cr_expect_eq(rejetted(&request).rule.reason, JW_RULE_APPLIES);
	s.range[JW_FULL].speed_rev_s *= 0.7;
	const jw_rejet_answer a = rejetted(&request);
	cr_expect_eq(a.rule.reason, JW_RULE_SLIDE_FLOATS);
	cr_expect(a.range[JW_FULL].after.path.lift_m < 0.99 * s.carburetor.throat.bore_m);
}

/* What nobody measured adds doubt, each by its square; a mixture that nobody knows to be right is less sure than one
 * that is known. */
Test(doubt, grows_with_what_nobody_measured)
{
	const jw_air air = mild_air();
	const jw_setup s = bundled("courier-150");
	const jw_unmeasured unmeasured[] = {
	    {.key = "filter", .offset = offsetof(jw_setup, carburetor.intake.loss_pa), .count = 1, .relative = 0.2},
	    {.key = "throat", .offset = offsetof(jw_setup, carburetor.throat.bore_m), .count = 1, .relative = 0.01}};
	const jw_rejet_change change[] = {{.kind = JW_REJET_FILTER, .value = 4 * s.carburetor.intake.loss_pa},
	                                  {.kind = JW_REJET_PRESSURE, .value = 70e3}};
	jw_rejet_request request = {.setup = &s, .air = &air, .change = change, .changes = 2, .anchored = 1};
	double variance[4];
	for (int set = 0; set < 4; set++) {
		request.unmeasured = set == 2 ? unmeasured + 1 : unmeasured;
		request.unmeasureds = set == 3 ? 2 : set > 0;
		variance[set] = pow(rejetted(&request).range[JW_FULL].relative_change, 2);
	}
	cr_expect(variance[1] > 1.05 * variance[0] && variance[2] > 1.02 * variance[0], "%g %g %g", variance[0],
	          variance[1], variance[2]);
	JW_NEAR_REL(variance[3] - variance[0], variance[1] + variance[2] - 2 * variance[0], 0.05);

	const double known = rejetted(&request).range[JW_FULL].relative_before;
	request.anchored = 0;
	cr_expect(rejetted(&request).range[JW_FULL].relative_before > 1.1 * known);
	request.unmeasureds = JW_UNMEASURED + 1;
	jw_rejet_answer untouched;
	cr_expect_eq(jw_rejet(&request, &untouched, NULL), JW_E_RANGE);
}

/* By the usual step of the header: 2.5 % of a bore, half a millimetre of needle, an eighth of a turn, half of it either
 * way. */
Test(choice, tells_what_a_usual_step_of_each_part_does)
{
	const jw_air air = mild_air();
	const jw_setup s = bundled("trail-250");
	const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = 90e3};
	const jw_rejet_request request = {
	    .setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1, .grooves = {5, 2, 0.6e-3}};
	const jw_rejet_answer a = rejetted(&request);
	const double step[JW_PART_COUNT] = {[JW_PART_MAIN_JET] = 0.025 * jw_part_value(&s, JW_PART_MAIN_JET),
	                                    [JW_PART_PILOT_JET] = 0.025 * jw_part_value(&s, JW_PART_PILOT_JET),
	                                    [JW_PART_NEEDLE_POSITION] = 0.5e-3,
	                                    [JW_PART_MIXTURE_SCREW] = 0.125};
	jw_setup chosen = a.setup;
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (a.choice.piece[p].sought)
			cr_assert(jw_part_set(&chosen, (jw_part)p, a.choice.piece[p].chosen, NULL) >= 0);
	int told = 0;
	for (int p = 0; p < JW_PART_COUNT; p++) {
		if (!a.choice.piece[p].sought)
			continue;
		jw_setup more = chosen, less = chosen;
		jw_part_set(&more, (jw_part)p, a.choice.piece[p].chosen + 0.5 * step[p], NULL);
		jw_part_set(&less, (jw_part)p, a.choice.piece[p].chosen - 0.5 * step[p], NULL);
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			JW_NEAR_ABS(a.choice.piece[p].effect[r],
			            log(phi_at(&more, &a.air, (jw_range)r) / phi_at(&less, &a.air, (jw_range)r)), 1e-6);
		told++;
	}
	cr_expect_eq(told, 4);
	cr_expect(a.choice.piece[JW_PART_MAIN_JET].effect[JW_FULL] > 0.01);
}

/* The fitted jet among those of the set counts once, one that is none of them besides; a needle hangs in one of its
 * grooves; with any bore at hand there is nothing to count. */
Test(choice, counts_what_is_at_hand)
{
	const jw_air air = mild_air();
	const jw_setup s = bundled("trail-250");
	const double main_m = jw_part_value(&s, JW_PART_MAIN_JET), pilot_m = jw_part_value(&s, JW_PART_PILOT_JET);
	jw_jet_set jets = {.mains = 3, .pilots = 2};
	for (int i = 0; i < 3; i++)
		jets.main[i].bore_m = main_m * (0.95 + 0.05 * i);
	for (int i = 0; i < 2; i++)
		jets.pilot[i].bore_m = pilot_m * (0.9 + 0.2 * i);
	jw_rejet_request request = {.setup = &s, .air = &air, .anchored = 1, .jets = &jets, .grooves = {5, 2, 0.6e-3}};
	jw_rejet_answer a = rejetted(&request);
	cr_expect_eq(a.choice.piece[JW_PART_MAIN_JET].at_hand, 3);
	cr_expect_eq(a.choice.piece[JW_PART_PILOT_JET].at_hand, 3);
	cr_expect_eq(a.choice.piece[JW_PART_NEEDLE_POSITION].at_hand, 5);
	cr_expect_eq(a.choice.piece[JW_PART_MAIN_JET].place, 1);
	cr_expect_eq(a.choice.piece[JW_PART_PILOT_JET].place, -1);
	cr_expect_eq(a.choice.piece[JW_PART_NEEDLE_POSITION].place, 2);

	/* the cost as the header states it, with the parts that were not moved */
	double cost = 0;
	for (int p = 0; p < JW_PART_COUNT; p++)
		cost += JW_REJET_STAY * (a.choice.piece[p].chosen != a.choice.piece[p].was);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const double off = fabs(log(a.choice.phi[r] / a.choice.target[r])) / jw_rejet_tolerance((jw_range)r);
		cost += off <= 2 ? off * off : 4 * off - 4;
	}
	JW_NEAR_ABS(a.choice.cost, cost, 1e-9);
	request.jets = NULL;
	a = rejetted(&request);
	cr_expect_eq(a.choice.piece[JW_PART_MAIN_JET].at_hand, 1);
	cr_expect_eq(a.choice.piece[JW_PART_PILOT_JET].at_hand, 1);
}

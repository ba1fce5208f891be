/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/cause.h"
#include "diagnose/evidence.h"
#include "diagnose/remedy.h"
#include "diagnose/tests.h"
#include "engine.h"
#include <string.h>

/* p = 0.5, 0.3, 0.2 and costs 10, 2, 5: the order by cost over probability is B, A, C, and costs 2 + 0.7 10 + 0.2 5
 * (Kalagnanam and Henrion, UAI 1988, the rule; numbers constructed). No other order is cheaper. */
Test(actions, cost_over_probability)
{
	static const double p[] = {0.5, 0.3, 0.2}, cost[] = {10, 2, 5};
	static const int orders[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
	double least = jw_expected_minutes(p, cost, 3);
	JW_NEAR_REL(least, 10.0, 1e-12);
	for (int k = 0; k < 6; k++) {
		double left = 1, sum = 0, p_in[3], cost_in[3];
		for (int i = 0; i < 3; i++) {
			p_in[i] = p[orders[k][i]];
			cost_in[i] = cost[orders[k][i]];
			sum += left * cost_in[i];
			left -= p_in[i];
		}
		JW_NEAR_REL(jw_minutes_in_order(p_in, cost_in, 3), sum, 1e-12);
		cr_expect(sum >= least - 1e-12, "order %d", k);
	}
	cr_expect(jw_minutes_in_order(p, cost, -1) == 0 && jw_expected_minutes(p, cost, -1) == 0);
	cr_expect(jw_expected_minutes(p, cost, 0) == 0 && jw_expected_minutes(p, cost, 1000) == 0);
}

/* Every test answers a word of the vocabulary, takes time and says how to stay whole. */
Test(actions, tests)
{
	int found = 0;
	for (int i = 0; i < jw_evidence_kind_count(); i++) {
		const jw_test_info *test = jw_test_of(i);
		if (!test)
			continue;
		found++;
		cr_expect_str_eq(test->evidence, jw_evidence_kind_at(i)->id);
		cr_expect(test->minutes > 0 && *test->text && *test->caution, "%s", test->evidence);
	}
	cr_expect(found == 50, "%d", found);
	cr_expect(jw_test_of(-1) == NULL);
}

/* Fewest minutes first; what is answered is not tested again, nor what the opposite of an answer would tell. */
Test(actions, of_a_case)
{
	jw_setup setup = scooter();
	jw_case known = {.air = mild_air()};
	see(&known, "flat", JW_FULL);
	see(&known, "spark_weak", JW_IDLE);
	see(&known, "bowl_fills_freely", JW_FULL);
	jw_report *report = explained(&setup, &known);
	double last = 0;
	int tests = 0, repairs = 0;
	for (int i = 0; i < jw_report_actions(report); i++) {
		const jw_action *action = jw_report_action(report, i);
		cr_expect(action->expected_minutes >= last && action->expected_minutes >= action->minutes);
		last = action->expected_minutes;
		cr_expect((action->cause < 0) != (action->evidence < 0));
		tests += action->evidence >= 0;
		repairs += action->cause >= 0;
		if (action->evidence >= 0) {
			const char *id = jw_evidence_kind_at(action->evidence)->id;
			cr_expect(action->yes > 0 && action->yes < 1, "%s: %g", id, action->yes);
			double sum = 0, then = action->minutes;
			for (int k = 0; k < action->outcomes; k++) {
				const jw_outcome *outcome = &action->outcome[k];
				sum += outcome->probability;
				then += outcome->probability * outcome->expected_minutes;
				cr_expect(jw_evidence_kind_at(outcome->evidence) != NULL && outcome->answer != JW_UNKNOWN);
				cr_expect(outcome->rises.cause < 0 || outcome->rises.after > outcome->rises.before, "%s", id);
				cr_expect(outcome->falls.cause < 0 || outcome->falls.after < outcome->falls.before, "%s", id);
			}
			cr_expect(action->outcomes >= 2 && sum > 0.97 && sum < 1 + 1e-9, "%s: %g", id, sum);
			JW_NEAR_REL(then, action->expected_minutes, 0.03);
			cr_expect(action->information_bit >= 0);
			cr_expect(strcmp(id, "bowl_fills_freely") != 0);
			cr_expect(strcmp(id, "spark_strong") != 0, "asked, though the spark is known to be weak");
			cr_expect(strcmp(id, "outside_fuel_fires") != 0, "asked of an engine that runs");
		} else
			cr_expect(action->mends > 0 && action->mends < 1);
	}
	int possible = 0;
	for (int t = 0; t < jw_test_count(); t++)
		possible += jw_test_possible(&setup, &known, jw_test_row_at(t));
	cr_expect(tests == possible && tests > 20, "%d of %d", tests, possible);
	cr_expect(repairs > 0);
	cr_expect(jw_report_action(report, -1) == NULL && jw_report_action(report, jw_report_actions(report)) == NULL);
	jw_report_free(report);
}

static double unnamed(const jw_report *report)
{
	int i = 0;
	while (jw_report_hypothesis(report, i)->kind != JW_HYPOTHESIS_OTHER)
		i++;
	return jw_report_hypothesis(report, i)->probability;
}

static double alone(const jw_report *report, const char *cause)
{
	for (int i = 0; i < jw_report_hypotheses(report); i++) {
		const jw_hypothesis *h = jw_report_hypothesis(report, i);
		if (h->kind == JW_HYPOTHESIS_CAUSES && h->cause[0] == jw_cause_find(cause) && h->cause[1] < 0)
			return h->probability;
	}
	return 0;
}

/* How likely a test's yes is, and how likely on an engine with one cause, by Bayes' rule: what is unnamed takes its own
 * likelihood over the whole. */
typedef struct weighed {
	double yes, of_cause;
} weighed;

static weighed weigh(const jw_setup *setup, const jw_case *known, const jw_report *report, const char *id,
                     const char *cause)
{
	jw_case more = *known;
	see(&more, id, JW_FULL);
	jw_report *then = explained(setup, &more);
	const double yes = unnamed(report) * jw_likelihood_other(&more.evidence[known->evidences]) / unnamed(then);
	const weighed w = {yes, yes * alone(then, cause) / alone(report, cause)};
	jw_report_free(then);
	return w;
}

static double foretold(const jw_report *report, const char *id)
{
	for (int i = 0; i < jw_report_actions(report); i++) {
		const jw_action *action = jw_report_action(report, i);
		for (int k = 0; action->cause < 0 && k < action->outcomes; k++)
			if (action->outcome[k].evidence == jw_evidence_kind_find(id) && action->outcome[k].answer == JW_YES)
				return action->outcome[k].probability;
	}
	cr_assert_fail("%s is not foretold", id);
	return 0;
}

/* Of an engine whose supply may fall short, a test is foretold as weighing its result comes to (pairs of causes, which
 * a forecast takes by their plainer member, set them apart by less than 0.06); and no enrichener helps where no more
 * fuel comes. */
Test(actions, of_an_engine_that_may_starve)
{
	static const char *const engines[] = {"courier-150", "pump-200", "estate-1100", "twin-480"};
	for (int e = 0; e < 4; e++) {
		const jw_setup setup = bundled(engines[e]);
		jw_case known = {.air = mild_air(), .history = {.months_standing = 1}};
		see(&known, "cuts_out", JW_FULL);
		see(&known, "fades_under_load", JW_FULL);
		see(&known, "flat", JW_FULL);
		jw_report *report = explained(&setup, &known);
		const weighed eased = weigh(&setup, &known, report, "easing_throttle_helps", "fuel_supply_restricted");
		const weighed enriched = weigh(&setup, &known, report, "enrichener_helps", "fuel_supply_restricted");
		JW_NEAR_ABS(foretold(report, "easing_throttle_helps"), eased.yes, 0.06);
		cr_expect(enriched.of_cause < 0.165 && enriched.of_cause < 0.65 * enriched.yes, "%s: %g of %g", engines[e],
		          enriched.of_cause, enriched.yes);
		jw_report_free(report);
	}
}

/* What a test means for yes and no: what leads after the likeliest result of either kind, which need not be the last. A
 * reading that stands out is a yes, to whichever side. */
Test(actions, yes_and_no_lead_where_they_say)
{
	static const char *const complaints[] = {"does_not_start", "hunts", "flat"};
	const jw_setup setup = scooter();
	int not_last = 0, both_sides = 0;
	for (size_t k = 0; k < sizeof complaints / sizeof *complaints; k++) {
		jw_case known = flat_case();
		see(&known, complaints[k], JW_FULL);
		jw_report *report = explained(&setup, &known);
		for (int i = 0; i < jw_report_actions(report); i++) {
			const jw_action *a = jw_report_action(report, i);
			const jw_outcome *likeliest[2] = {NULL, NULL};
			double yes = 0;
			int sides = 0;
			for (int o = 0; a->cause < 0 && o < a->outcomes; o++) {
				const jw_outcome *seen = &a->outcome[o];
				const int is_yes = seen->evidence == a->evidence && seen->answer == JW_YES;
				if (!likeliest[is_yes] || seen->probability > likeliest[is_yes]->probability)
					likeliest[is_yes] = seen;
				yes += is_yes ? seen->probability : 0;
				sides += seen->side != 0;
			}
			if (!likeliest[0] || !likeliest[1])
				continue;
			const char *id = jw_evidence_kind_at(a->evidence)->id;
			JW_NEAR_REL(a->yes, yes, 1e-12);
			cr_expect_eq(a->if_yes, likeliest[1]->leads, "%s", id);
			cr_expect_eq(a->if_no, likeliest[0]->leads, "%s", id);
			const jw_outcome *last = &a->outcome[a->outcomes - 1];
			not_last += likeliest[0] != last && likeliest[0]->leads != last->leads;
			both_sides += sides == 2;
		}
		jw_report_free(report);
	}
	cr_expect(not_last > 0 && both_sides > 0, "%d and %d", not_last, both_sides);
}

/* Where one cheap look settles the matter, it comes before any repair; where the matter is settled, the repair does. */
Test(actions, test_or_repair)
{
	jw_setup setup = scooter();
	jw_case open = {.air = mild_air()}, settled;
	see(&open, "does_not_start", JW_IDLE);
	see(&open, "cranks_well", JW_IDLE);
	settled = open;
	see(&settled, "spark_none", JW_IDLE);
	see(&settled, "outside_fuel_changes_nothing", JW_IDLE);
	see(&settled, "compression_good", JW_IDLE);
	jw_report *before = explained(&setup, &open), *after = explained(&setup, &settled);
	cr_expect(jw_report_action(before, 0)->evidence >= 0);
	const jw_action *best = jw_report_action(after, 0);
	cr_assert(best->cause >= 0, "%s", jw_evidence_kind_at(best->evidence)->id);
	cr_expect_str_eq(jw_cause_at(best->cause)->id, "spark_missing");
	cr_expect(best->expected_minutes < jw_report_action(before, 0)->expected_minutes);
	jw_report_free(before);
	jw_report_free(after);
}

static int proposes(const jw_report *report, const char *seen)
{
	for (int i = 0; i < jw_report_actions(report); i++) {
		const jw_evidence_kind *kind = jw_evidence_kind_at(jw_report_action(report, i)->evidence);
		if (kind && strcmp(kind->id, seen) == 0)
			return 1;
	}
	return 0;
}

/* A cause leads after a result where it is likelier than that nothing is wrong, and than what is unnamed; of an engine
 * that runs well mostly none does. */
Test(actions, mostly_nothing_leads_on_a_sound_engine)
{
	jw_setup setup = scooter();
	jw_case known = {.air = mild_air()};
	int none = 0;
	see(&known, "idles_well", JW_IDLE);
	see(&known, "runs_well", JW_HALF);
	see(&known, "runs_well", JW_FULL);
	jw_report *report = explained(&setup, &known);
	for (int i = 0; i < jw_report_actions(report); i++) {
		const jw_action *action = jw_report_action(report, i);
		for (int k = 0; action->cause < 0 && k < action->outcomes; k++) {
			const jw_outcome *outcome = &action->outcome[k];
			none += outcome->leads < 0;
			cr_expect(outcome->leads < 0 ? outcome->probability_then == 0 : outcome->probability_then > 0.1, "%s: %g",
			          jw_evidence_kind_at(outcome->evidence)->id, outcome->probability_then);
		}
	}
	cr_expect(none > 20, "%d", none);
	jw_report_free(report);
}

/* A test is proposed with its tool or where no tool is named; hand tools are always there. */
Test(actions, tools_at_hand)
{
	static const struct {
		jw_tool tool;
		int named, compression, spark;
	} rows[] = {{JW_TOOL_NONE, 0, 1, 1},
	            {JW_TOOL_NONE, 1, 0, 0},
	            {JW_TOOL_COMPRESSION_GAUGE, 1, 1, 0},
	            {JW_TOOL_SPARK_TESTER, 1, 0, 1}};
	jw_setup setup = scooter();
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_case known = {.air = mild_air()};
		see(&known, "does_not_start", JW_IDLE);
		known.tools[rows[i].tool] = rows[i].named;
		jw_report *report = explained(&setup, &known);
		cr_expect_eq(proposes(report, "compression_good"), rows[i].compression, "row %zu", i);
		cr_expect_eq(proposes(report, "spark_strong"), rows[i].spark, "row %zu", i);
		cr_expect(proposes(report, "bowl_fills_freely"), "row %zu", i);
		jw_report_free(report);
	}
	cr_expect_str_eq(jw_tool_name(JW_TOOL_SPRAY), "spray");
	cr_expect(!jw_tool_name(JW_TOOL_COUNT));
}

/* Of the scooter, where one thing is seen. */
static int proposes_where(const char *seen, jw_range range, const char *test)
{
	const jw_setup setup = scooter();
	jw_case known = {.air = mild_air()};
	see(&known, seen, range);
	jw_report *report = explained(&setup, &known);
	const int is_proposed = proposes(report, test);
	jw_report_free(report);
	return is_proposed;
}

/* Fuel is sprayed in where an engine does not start, and is not flooded. */
Test(actions, no_fuel_where_it_does_harm)
{
	static const struct {
		const char *seen;
		int sprayed;
	} rows[] = {{"does_not_start", 1},    {"coughs_only", 1},      {"fuel_in_oil", 0},   {"plug_wet", 0},
	            {"one_cylinder_dead", 0}, {"fades_under_load", 0}, {"dies_when_hot", 0}, {"fuel_overflows", 0}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
		cr_expect_eq(proposes_where(rows[i].seen, JW_IDLE, "outside_fuel_fires"), rows[i].sprayed, "%s", rows[i].seen);
}

/* Nobody looks whether an engine cranks that runs, unless it starts badly. */
Test(actions, cranking_is_of_starting)
{
	static const struct {
		const char *seen;
		int cranked;
	} rows[] = {{"does_not_start", 1}, {"pings", 0}, {"flat", 0}, {"hard_to_start_hot", 1}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		cr_expect_eq(proposes_where(rows[i].seen, JW_FULL, "cranks_well"), rows[i].cranked, "%s", rows[i].seen);
		cr_expect_eq(proposes_where(rows[i].seen, JW_FULL, "battery_low"), rows[i].cranked, "%s", rows[i].seen);
	}
}

/* What the table tells of a cause and a thing seen it tells once: of two rows the second would be dead. */
Test(actions, nothing_is_told_twice)
{
	const char *cause, *seen, *other, *again;
	for (int i = 0; jw_told_entry(i, &cause, &seen); i++) {
		int ranges = 0;
		for (int k = 0; jw_told_entry(k, &other, &again); k++)
			ranges += strcmp(cause, other) == 0 && strcmp(seen, again) == 0;
		cr_expect(ranges == 1 || jw_evidence_kind_at(jw_evidence_kind_find(seen))->takes_range, "%s: %s", cause, seen);
	}
}

/* Words by which tests are left out are words of the vocabulary. */
Test(actions, words_that_rule_tests_out)
{
	for (int t = 0; t < jw_test_count(); t++) {
		const jw_test_row *row = jw_test_row_at(t);
		for (int i = 0; i < 3 && row->unless[i]; i++)
			cr_expect(jw_evidence_kind_find(row->unless[i]) >= 0, "%s: %s", row->info.evidence, row->unless[i]);
	}
	for (int i = 0; jw_test_word(i); i++)
		cr_expect(jw_evidence_kind_find(jw_test_word(i)) >= 0, "%s", jw_test_word(i));
	cr_expect(jw_test_word(20) != NULL);
}

/* An enrichener that a timer works cannot be opened by hand for a trial; nobody covers an intake under load. */
Test(actions, what_is_worked_by_hand)
{
	jw_setup setup = scooter();
	const jw_timer timers[] = {{0}, {80, 60, 300, 330}};
	for (int i = 0; i < 2; i++) {
		setup.carburetor.timer = timers[i];
		jw_case known = {.air = mild_air()};
		see(&known, "flat", JW_HALF);
		jw_report *report = explained(&setup, &known);
		cr_expect_eq(proposes(report, "enrichener_helps"), i == 0);
		cr_expect(!proposes(report, "covering_intake_helps"));
		jw_report_free(report);
		known.evidence[0].range = JW_OFF_IDLE;
		report = explained(&setup, &known);
		cr_expect(proposes(report, "covering_intake_helps"));
		jw_report_free(report);
	}
}

static const jw_action *repair_of(const jw_report *report, const char *cause)
{
	for (int i = 0; i < jw_report_actions(report); i++)
		if (jw_report_action(report, i)->cause == jw_cause_find(cause))
			return jw_report_action(report, i);
	return NULL;
}

/* One job may mend several causes: then it is worth doing though none of them is likely by itself. */
Test(actions, remedies)
{
	const int overhaul = jw_cause_find("passages_varnished");
	cr_expect(jw_remedy_mends(overhaul, jw_cause_find("main_jet_restricted")));
	cr_expect(jw_remedy_mends(overhaul, jw_cause_find("float_level_low")));
	cr_expect(!jw_remedy_mends(jw_cause_find("main_jet_restricted"), overhaul));
	cr_expect(!jw_remedy_mends(overhaul, jw_cause_find("air_leak")));
	cr_expect(jw_remedy_mends(jw_cause_find("needle_too_low"), jw_cause_find("needle_too_high")));
	cr_expect(!jw_remedy_mends(-1, 0) && !jw_remedy_mends(0, jw_cause_count()) && jw_remedy_holds(-1) == 0);
	for (int c = 0; c < jw_cause_count(); c++)
		cr_expect(jw_remedy_mends(c, c) && jw_remedy_holds(c) > 0.5 && jw_remedy_holds(c) < 1, "%s",
		          jw_cause_at(c)->id);
	jw_setup setup = scooter();
	jw_case known = {.air = mild_air(), .history = {.months_standing = 10}};
	see(&known, "starts_only_with_enrichener", JW_IDLE);
	see(&known, "hesitates", JW_HALF);
	jw_report *report = explained(&setup, &known);
	const jw_action *all = repair_of(report, "passages_varnished");
	cr_assert(all);
	cr_expect(all->mends > probability_of(report, "passages_varnished") + 0.2);
	cr_expect((repair_of(report, "idle_mixture_screw_lean") != NULL) +
	                  (repair_of(report, "idle_mixture_screw_rich") != NULL) <
	              2,
	          "one job, told once");
	jw_report_free(report);
}

/* What the list of remedies says of the causes is about causes that exist. */
Test(actions, remedies_of_known_causes)
{
	const char *remedy, *cause;
	int entries = 0;
	for (; jw_remedy_entry(entries, &remedy, &cause); entries++)
		cr_expect(jw_cause_find(remedy) >= 0 && jw_cause_find(cause) >= 0, "%s mends %s", remedy, cause);
	cr_expect(entries > 0);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the trade goes about an engine that does not start: common practice, no source. */
#include "engine.h"
#include <string.h>

/* In daily use. */
static jw_case not_starting(void)
{
	jw_case known = {.air = mild_air()};
	see(&known, "does_not_start", JW_IDLE);
	see(&known, "cranks_well", JW_IDLE);
	return known;
}

/* Place among the tests that are proposed, the best 0; -1: none of them. */
static int place_of_test(const jw_report *report, const char *id)
{
	int place = 0;
	for (int i = 0; i < jw_report_actions(report); i++) {
		const jw_action *action = jw_report_action(report, i);
		if (action->evidence < 0)
			continue;
		if (strcmp(jw_evidence_kind_at(action->evidence)->id, id) == 0)
			return place;
		place++;
	}
	return -1;
}

static const jw_outcome *outcome_of(const jw_report *report, const char *test, const char *seen, jw_answer answer)
{
	for (int i = 0; i < jw_report_actions(report); i++) {
		const jw_action *action = jw_report_action(report, i);
		if (action->evidence != jw_evidence_kind_find(test))
			continue;
		for (int k = 0; k < action->outcomes; k++)
			if (action->outcome[k].evidence == jw_evidence_kind_find(seen) && action->outcome[k].answer == answer)
				return &action->outcome[k];
	}
	return NULL;
}

/* Outside fuel and spark are looked at first, before anything is taken apart. */
Test(triage, outside_fuel_and_spark_first)
{
	jw_setup setup = scooter();
	jw_case known = not_starting();
	jw_report *report = explained(&setup, &known);
	cr_expect(jw_report_action(report, 0)->evidence >= 0);
	cr_expect(place_of_test(report, "outside_fuel_fires") < 3, "%d", place_of_test(report, "outside_fuel_fires"));
	cr_expect(place_of_test(report, "spark_strong") < 3, "%d", place_of_test(report, "spark_strong"));
	cr_expect(place_of_test(report, "valve_clearance_wrong") > place_of_test(report, "spark_strong"));
	jw_report_free(report);
}

/* If it runs on outside fuel, spark and compression are there, and fuel is missing. */
Test(triage, runs_on_outside_fuel)
{
	jw_setup setup = scooter();
	jw_case before = not_starting(), after = before;
	see(&after, "outside_fuel_fires", JW_IDLE);
	jw_report *without = explained(&setup, &before), *with = explained(&setup, &after);
	cr_expect(jw_report_need(with, JW_NEED_MIXTURE) > 0.75, "%g", jw_report_need(with, JW_NEED_MIXTURE));
	cr_expect(jw_report_need(with, JW_NEED_SPARK) < 0.5 * jw_report_need(without, JW_NEED_SPARK));
	cr_expect(jw_report_need(with, JW_NEED_COMPRESSION) < jw_report_need(without, JW_NEED_COMPRESSION));
	cr_expect(place_of_test(with, "bowl_fills_freely") < 2, "%d", place_of_test(with, "bowl_fills_freely"));
	jw_report_free(without);
	jw_report_free(with);
}

/* No change with outside fuel: the spark is tested next. */
Test(triage, no_change_then_the_spark)
{
	jw_setup setup = scooter();
	jw_case known = not_starting();
	see(&known, "outside_fuel_changes_nothing", JW_IDLE);
	jw_report *report = explained(&setup, &known);
	cr_expect_eq(place_of_test(report, "spark_strong"), 0);
	cr_expect_eq(jw_report_action(report, 0)->evidence, jw_evidence_kind_find("spark_strong"));
	jw_report_free(report);
}

/* Good spark and no reaction leave compression, and valve clearance is its cheapest cause. */
Test(triage, good_spark_and_no_reaction)
{
	jw_setup setup = scooter();
	jw_case known = not_starting();
	see(&known, "outside_fuel_changes_nothing", JW_IDLE);
	see(&known, "spark_strong", JW_IDLE);
	jw_report *report = explained(&setup, &known);
	cr_expect(jw_report_need(report, JW_NEED_COMPRESSION) > jw_report_need(report, JW_NEED_SPARK), "%g and %g",
	          jw_report_need(report, JW_NEED_COMPRESSION), jw_report_need(report, JW_NEED_SPARK));
	const int compression = place_of_test(report, "compression_good");
	const int clearance = place_of_test(report, "valve_clearance_wrong");
	cr_expect(compression == 0 || clearance == 0, "%d and %d", compression, clearance);
	jw_report_free(report);
	see(&known, "compression_low", JW_IDLE);
	report = explained(&setup, &known);
	int step = 0; /* a test or a repair of the valves comes before the inside of the engine */
	while (jw_report_action(report, step)->cause != jw_cause_find("valve_clearance") &&
	       jw_report_action(report, step)->evidence != jw_evidence_kind_find("valve_clearance_wrong"))
		step++;
	for (int i = 0; i < step; i++)
		cr_expect(jw_report_action(report, i)->cause != jw_cause_find("compression_low"));
	jw_report_free(report);
}

/* A weak spark means a new plug first, none means the ignition. */
Test(triage, what_the_spark_shows)
{
	jw_setup setup = scooter();
	jw_case known = not_starting();
	see(&known, "outside_fuel_changes_nothing", JW_IDLE);
	jw_report *report = explained(&setup, &known);
	const jw_outcome *weak = outcome_of(report, "spark_strong", "spark_weak", JW_YES);
	const jw_outcome *none = outcome_of(report, "spark_strong", "spark_none", JW_YES);
	cr_assert(weak && none);
	cr_expect_eq(weak->remedy, jw_cause_find("spark_weak"));
	cr_expect_eq(none->leads, jw_cause_find("spark_missing"));
	cr_expect_eq(none->rises.cause, jw_cause_find("spark_missing"));
	jw_report_free(report);
}

/* Probability that a passage is blocked, and of what is likeliest besides, after so many months. */
static double of_passages(const char *const *seen, int months, double *besides)
{
	static const char *const passages[] = {"pilot_jet_restricted",      "pilot_outlet_restricted",
	                                       "transfer_ports_restricted", "passages_varnished",
	                                       "main_jet_restricted",       "enrichener_restricted"};
	const jw_setup setup = scooter();
	jw_case known = {.air = mild_air(), .history = {.months_standing = months}};
	double sum = 0;
	for (int i = 0; i < 2; i++)
		see(&known, seen[i], JW_IDLE);
	jw_report *report = explained(&setup, &known);
	for (size_t i = 0; i < sizeof passages / sizeof *passages; i++)
		sum += probability_of(report, passages[i]);
	*besides = fmax(probability_of(report, "fuel_supply_restricted"), jw_report_need(report, JW_NEED_SPARK));
	jw_report_free(report);
	return sum;
}

/* What ran well and then stood for months points at the carburetor's passages. */
Test(triage, stood_for_months)
{
	static const struct {
		const char *seen[2];
		double times, at_least;
	} rows[] = {{{"does_not_start", "cranks_well"}, 3, 0}, {{"hard_to_start_cold", "dies_at_idle"}, 2, 0.5}};
	for (int i = 0; i < 2; i++) {
		double besides, daily = of_passages(rows[i].seen, 0, &besides), stood = of_passages(rows[i].seen, 8, &besides);
		cr_expect(stood > rows[i].times * daily && stood > rows[i].at_least && stood > besides,
		          "%s: %g after %g, beside %g", rows[i].seen[0], stood, daily, besides);
	}
}

/* What does not crank is looked at there first. */
Test(triage, does_not_crank)
{
	jw_setup setup = scooter();
	jw_case known = {.air = mild_air()};
	see(&known, "does_not_crank", JW_IDLE);
	jw_report *report = explained(&setup, &known);
	cr_expect(jw_report_need(report, JW_NEED_CRANKING) > 0.6, "%g", jw_report_need(report, JW_NEED_CRANKING));
	const jw_action *best = jw_report_action(report, 0);
	cr_expect(best->cause == jw_cause_find("starter_or_battery") ||
	          best->evidence == jw_evidence_kind_find("battery_low") ||
	          best->evidence == jw_evidence_kind_find("starts_when_pushed"));
	cr_expect_eq(place_of_test(report, "outside_fuel_fires"), -1);
	cr_expect_eq(place_of_test(report, "spark_strong"), -1);
	jw_report_free(report);
}

/* A kick may be too slow for a spark: what starts when cranked faster ails from its starter or its spark, not its fuel.
 */
Test(triage, starts_when_cranked_faster)
{
	jw_setup setup = scooter();
	jw_case before = flat_case(), after;
	see(&before, "does_not_start", JW_IDLE);
	after = before;
	see(&after, "starts_when_pushed", JW_IDLE);
	jw_report *without = explained(&setup, &before), *with = explained(&setup, &after);
	cr_expect(jw_report_need(with, JW_NEED_MIXTURE) < jw_report_need(without, JW_NEED_MIXTURE));
	cr_expect(jw_report_need(with, JW_NEED_CRANKING) > jw_report_need(without, JW_NEED_CRANKING));
	jw_report_free(without);
	jw_report_free(with);
}

/* Fuel vapour and a bare plug; cleaner before starting fluid. */
Test(triage, cautions)
{
	const jw_test_info *spark = jw_test_of(jw_evidence_kind_find("spark_strong"));
	const jw_test_info *fuel = jw_test_of(jw_evidence_kind_find("outside_fuel_fires"));
	cr_expect(strstr(spark->caution, "vapour") && strstr(spark->caution, "plug hole"));
	cr_expect(strstr(fuel->text, "cleaner") && strstr(fuel->caution, "starting fluid") &&
	          strstr(fuel->caution, "rubber"));
	cr_expect_eq(fuel->tool, JW_TOOL_SPRAY);
}

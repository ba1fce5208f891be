/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: diagnose PROFILES. What explains what an engine does, and what to do next. */
#include "must.h"

static void show_findings(const jw_setup *setup, const jw_air *air, const jw_report *report)
{
	jw_error error = {0};
	printf("%d causes weighed, %d hypotheses, %d contradictions; the mixture fails with %.2f\n",
	       jw_report_findings(report), jw_report_hypotheses(report), jw_report_conflicts(report),
	       jw_report_need(report, JW_NEED_MIXTURE));
	for (int i = 0; i < 3 && jw_report_finding(report, i); i++) {
		const jw_finding *finding = jw_report_finding(report, i);
		const jw_cause_info *cause = jw_cause_at(finding->cause);
		const jw_effect_words *words = jw_cause_effect_words(finding->cause);
		double effect;
		jw_part part;
		printf("%.2f %s (%s): %s\n", finding->probability, cause->text, jw_need_name(jw_cause_need(finding->cause)),
		       cause->remedy);
		if (!words || !jw_cause_meters(finding->cause))
			continue;
		must(jw_cause_effect(setup, air, finding->cause, finding->severity.value, &effect, &error), &error);
		printf("     %s %.3g %s%s\n", words->before, effect / words->si, words->after,
		       jw_cause_part(finding->cause, &part) ? "; it can be exchanged or turned" : "");
	}
	for (int i = 0; i < jw_report_conflicts(report); i++)
		printf("%d and %d cannot both be so\n", jw_report_conflict(report, i)->evidence[0],
		       jw_report_conflict(report, i)->evidence[1]);
	printf("likeliest of all: %.2f\n", jw_report_hypothesis(report, 0)->probability);
}

static void show_next(const jw_report *report)
{
	const jw_action *next = jw_report_actions(report) ? jw_report_action(report, 0) : NULL;
	if (!next)
		return;
	if (next->cause >= 0) {
		printf("next: %s, %.0f minutes; it holds with %.2f\n", jw_cause_at(next->cause)->remedy,
		       jw_cause_minutes(next->cause), jw_remedy_holds(next->cause));
		return;
	}
	const jw_test_info *test = jw_test_of(next->evidence);
	printf("next: %s %.0f minutes, with: %s\n", test->text, test->minutes, jw_tool_name(test->tool));
}

/* The words of evidence, and the cause that a word names. */
static void show_words(void)
{
	const int lambda = jw_evidence_kind_find("lambda"), pilot = jw_cause_find("pilot_jet_restricted");
	printf("%d words, the first: %s, answered by %s; lambda is stated up to %g\n", jw_evidence_kind_count(),
	       jw_evidence_kind_at(0)->text, jw_answer_name(JW_YES), jw_evidence_unit_of(lambda)->high);
	printf("%d causes; cleaning the pilot jet %s the main jet\n", jw_cause_count(),
	       jw_remedy_mends(pilot, jw_cause_find("main_jet_restricted")) ? "cleans" : "leaves");
}

int main(int argc, char **argv)
{
	jw_profile *profile = engine_of(argc > 1 ? argv[1] : "profiles", "courier-150");
	const jw_setup *setup = jw_profile_setup(profile);
	jw_case known = {.history = {.months_standing = 5}, .evidences = 3};
	jw_report *report;
	jw_setup faulty;
	jw_error error = {0};
	must(jw_air_from_humidity(101325, 293.15, 0.5, &known.air, &error), &error);
	known.evidence[0] = (jw_evidence){.kind = jw_evidence_kind_find("hunts"), .range = JW_IDLE};
	known.evidence[1] = (jw_evidence){.kind = jw_evidence_kind_find("stumbles"), .range = JW_OFF_IDLE};
	known.evidence[2] = (jw_evidence){.kind = jw_evidence_kind_find("runs_well"), .range = JW_FULL};
	must(jw_explain(setup, &known, &report, &error), &error);
	show_findings(setup, &known.air, report);
	show_next(report);
	show_words();
	jw_report_free(report);

	/* The other way round: what a cause does to an engine. */
	must(jw_cause_apply(setup, jw_cause_find("pilot_jet_restricted"), 0.5, &faulty, &error), &error);
	printf("half restricted, the pilot jet acts as %.3f mm\n", 1e3 * jw_part_value(&faulty, JW_PART_PILOT_JET));
	jw_profile_free(profile);
	return 0;
}

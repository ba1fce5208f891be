/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a case or a log may not hold is refused, and the error tells what it may. */
#include "limits.h"
#include "bundled.h"
#include <jetwright/diagnose.h>

static jw_status explain(const jw_case *known, jw_error *error)
{
	const jw_setup s = bundled("courier-150");
	jw_report *report = NULL;
	const jw_status status = jw_explain(&s, known, &report, error);
	jw_report_free(report);
	return status;
}

static jw_status explain_log(const jw_log *log, jw_error *error)
{
	const jw_setup s = bundled("courier-150");
	const jw_case known = {.air = mild_air()};
	static jw_course course;
	jw_report *report = NULL;
	const jw_status status = jw_explain_log(&s, &known, log, &report, &course, error);
	jw_report_free(report);
	return status;
}

static jw_case seen_once(void)
{
	return (jw_case){.air = mild_air(), .evidences = 1, .evidence = {{.kind = jw_evidence_kind_find("hunts")}}};
}

Test(limits, of_a_case)
{
	jw_case known = seen_once();
	const jw_evidence hunts = known.evidence[0];
	known.evidences = JW_EVIDENCE_MAX + 1;
	JW_REFUSED(explain(&known, &error), JW_E_ARGUMENT, "evidences", JW_EVIDENCE_MAX + 1, 1, JW_EVIDENCE_MAX);
	known.evidences = 0;
	JW_REFUSED(explain(&known, &error), JW_E_ARGUMENT, "evidences", 0, 1, JW_EVIDENCE_MAX);
	known.evidences = 1;
	known.evidence[0].kind = jw_evidence_kind_count();
	JW_REFUSED(explain(&known, &error), JW_E_ARGUMENT, "evidence.kind", jw_evidence_kind_count(), 0,
	           jw_evidence_kind_count() - 1);
	known.evidence[0] = hunts;
	known.evidence[0].range = JW_RANGE_COUNT;
	JW_REFUSED(explain(&known, &error), JW_E_ARGUMENT, "evidence.range", JW_RANGE_COUNT, 0, JW_RANGE_COUNT - 1);
	known.evidence[0] = hunts;
	known.evidence[0].answer = JW_ANSWER_COUNT;
	JW_REFUSED(explain(&known, &error), JW_E_ARGUMENT, "evidence.answer", JW_ANSWER_COUNT, 0, JW_ANSWER_COUNT - 1);
	known = seen_once();
	known.history.months_standing = INFINITY;
	JW_REFUSED(explain(&known, &error), JW_E_NOT_FINITE, "history.months_standing", INFINITY, 0, 1200);
	known = seen_once();
	known.history.fitted_m[1] = 6e-3;
	JW_REFUSED(explain(&known, &error), JW_E_RANGE, "history.fitted_m", 6e-3, 0, 5e-3);
	known = seen_once();
	known.history.mended[2] = -1;
	JW_REFUSED(explain(&known, &error), JW_E_RANGE, "history.mended", -1, 0, JW_EVIDENCE_MAX);
	known = seen_once();
	known.history.ran_in.density_kg_m3 = 6;
	JW_REFUSED(explain(&known, &error), JW_E_RANGE, "history.ran_in.density_kg_m3", 6, 0, 5);
}

Test(limits, of_a_log)
{
	static jw_log log;
	const jw_evidence hunts = seen_once().evidence[0];
	JW_REFUSED(explain_log(&log, &error), JW_E_ARGUMENT, "log.visits", 0, 1, JW_VISITS_MOST);
	log.visits = JW_VISITS_MOST + 1;
	JW_REFUSED(explain_log(&log, &error), JW_E_ARGUMENT, "log.visits", JW_VISITS_MOST + 1, 1, JW_VISITS_MOST);
	log.visits = 2;
	log.visit[0] = (jw_visit){.day = 20000, .evidences = 1, .evidence = {hunts}};
	log.visit[1] = (jw_visit){.day = 19999, .evidences = 1, .evidence = {hunts}};
	JW_REFUSED(explain_log(&log, &error), JW_E_RANGE, "log.day", 19999, 20000, INFINITY);
	log.visit[1].day = 20000;
	log.visit[1].result = JW_RESULT_COUNT;
	JW_REFUSED(explain_log(&log, &error), JW_E_ARGUMENT, "log.result", JW_RESULT_COUNT, 0, JW_RESULT_COUNT - 1);
	log.visit[1].result = JW_RESULT_UNKNOWN;
	log.visit[1].evidences = JW_EVIDENCE_MAX;
	JW_REFUSED(explain_log(&log, &error), JW_E_RANGE, "log.evidences", JW_EVIDENCE_MAX + 1, 0, JW_EVIDENCE_MAX);
}

Test(limits, of_causes)
{
	const jw_setup s = bundled("courier-150");
	jw_setup faulty;
	JW_REFUSED(jw_cause_apply(&s, jw_cause_count(), 0.5, &faulty, &error), JW_E_ARGUMENT, "cause", jw_cause_count(), 0,
	           jw_cause_count() - 1);
	JW_REFUSED(jw_cause_apply(&s, -1, 0.5, &faulty, &error), JW_E_ARGUMENT, "cause", -1, 0, jw_cause_count() - 1);
	JW_REFUSED(jw_cause_apply(&s, jw_cause_find("pilot_jet_restricted"), 1.5, &faulty, &error), JW_E_RANGE, "severity",
	           1.5, 0, 1);
}

/* By Bayes's rule: what cannot be a likelihood, and a sum of nothing. */
Test(limits, of_likelihoods)
{
	const double prior[] = {0.5, 0.5}, negative[] = {0.5, -1}, none[] = {0, 0};
	double posterior[2];
	JW_REFUSED(jw_posterior(prior, negative, 2, posterior, &error), JW_E_RANGE, "likelihood", -1, 0, HUGE_VAL);
	JW_REFUSED(jw_posterior(prior, none, 2, posterior, &error), JW_E_RANGE, "likelihood", 0, 0, HUGE_VAL);
}

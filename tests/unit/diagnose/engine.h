/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cases made of a few words. */
#ifndef JW_TESTS_DIAGNOSE_ENGINE_H
#define JW_TESTS_DIAGNOSE_ENGINE_H

#include "bundled.h"
#include <jetwright/jetwright.h>

/* An empty case of an engine in daily use, all causes equally likely. */
static inline jw_case flat_case(void)
{
	return (jw_case){.air = mild_air(), .history = {.flat = 1}};
}

static inline void see_value(jw_case *known, const char *id, jw_range range, double value, double uncertainty)
{
	int kind = jw_evidence_kind_find(id);
	cr_assert(kind >= 0, "no evidence called %s", id);
	known->evidence[known->evidences++] = (jw_evidence){kind, range, value, uncertainty};
}

static inline void see(jw_case *known, const char *id, jw_range range)
{
	see_value(known, id, range, 0, 0);
}

/* A value that a kind may have; 0 of words. */
static inline double any_value(int kind)
{
	const jw_evidence_unit *unit = jw_evidence_unit_of(kind);
	return unit ? 0.6 * unit->low + 0.4 * unit->high : 0;
}

static inline jw_report *explained(const jw_setup *setup, const jw_case *known)
{
	jw_report *report = NULL;
	jw_error error = {0};
	jw_status status = jw_explain(setup, known, &report, &error);
	cr_assert(status >= 0, "%s: %s", jw_status_name(status), error.field ? error.field : "");
	return report;
}

static inline const char *cause_of(const jw_report *report, int index)
{
	return jw_cause_at(jw_report_finding(report, index)->cause)->id;
}

/* Place of a cause among the findings, or -1. */
static inline int place_of(const jw_report *report, const char *id)
{
	int cause = jw_cause_find(id);
	cr_assert(cause >= 0, "no cause called %s", id);
	for (int i = 0; i < jw_report_findings(report); i++)
		if (jw_report_finding(report, i)->cause == cause)
			return i;
	return -1;
}

static inline double probability_of(const jw_report *report, const char *id)
{
	int place = place_of(report, id);
	return place < 0 ? 0 : jw_report_finding(report, place)->probability;
}

/* Hypothesis of one or two causes, in any order; second NULL: of one. */
static inline double hypothesis_of(const jw_report *report, const char *first, const char *second)
{
	int a = jw_cause_find(first), b = second ? jw_cause_find(second) : -1;
	for (int i = 0; i < jw_report_hypotheses(report); i++) {
		const jw_hypothesis *h = jw_report_hypothesis(report, i);
		if (h->kind == JW_HYPOTHESIS_CAUSES &&
		    ((h->cause[0] == a && h->cause[1] == b) || (h->cause[0] == b && h->cause[1] == a)))
			return h->probability;
	}
	return 0;
}

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include "diagnose/actions.h"
#include "diagnose/case.h"
#include "diagnose/finding.h"
#include "diagnose/report.h"
#include "diagnose/right.h"
#include <stdlib.h>

struct jw_report {
	int findings, hypotheses;
	jw_finding *finding;
	jw_hypothesis *hypothesis; /* findings, pairs, `sound` and `other` */
	double need[JW_NEED_COUNT];
	int conflicts;
	jw_conflict conflict[JW_EVIDENCE_MAX];
	int actions;
	jw_action action[JW_ACTIONS_MOST];
};

static jw_report *new_report(int findings, int pairs)
{
	jw_report *report = malloc(sizeof *report);
	if (!report)
		return NULL;
	*report = (jw_report){.findings = findings, .hypotheses = findings + pairs + 2};
	report->finding = calloc((size_t)findings + 1, sizeof *report->finding);
	report->hypothesis = calloc((size_t)report->hypotheses, sizeof *report->hypothesis);
	if (!report->finding || !report->hypothesis) {
		jw_report_free(report);
		return NULL;
	}
	return report;
}

/* Greater probability first; the table's order where equal, so that results do not depend on the sort. */
static int by_probability(const void *left, const void *right)
{
	const jw_finding *a = left, *b = right;
	if (a->probability != b->probability)
		return a->probability < b->probability ? 1 : -1;
	return a->cause - b->cause;
}

static int by_hypothesis(const void *left, const void *right)
{
	const jw_hypothesis *a = left, *b = right;
	if (a->probability != b->probability)
		return a->probability < b->probability ? 1 : -1;
	if (a->kind != b->kind)
		return (int)a->kind - (int)b->kind;
	return a->cause[0] != b->cause[0] ? a->cause[0] - b->cause[0] : a->cause[1] - b->cause[1];
}

static void list_hypotheses(const jw_beliefs *b, jw_report *report)
{
	jw_hypothesis *h = report->hypothesis;
	for (int i = 0; i < b->candidates; i++)
		*h++ = (jw_hypothesis){JW_HYPOTHESIS_CAUSES, {b->candidate[i].cause, -1}, b->candidate[i].weight};
	for (int i = 0; i < b->pairs; i++) {
		const jw_pair *pair = &b->pair[i];
		*h++ = (jw_hypothesis){JW_HYPOTHESIS_CAUSES,
		                       {b->candidate[pair->member[0]].cause, b->candidate[pair->member[1]].cause},
		                       pair->weight};
	}
	*h++ = (jw_hypothesis){JW_HYPOTHESIS_SOUND, {-1, -1}, b->sound};
	*h = (jw_hypothesis){JW_HYPOTHESIS_OTHER, {-1, -1}, b->other};
	qsort(report->hypothesis, (size_t)report->hypotheses, sizeof *report->hypothesis, by_hypothesis);
}

static jw_need need_of(const jw_beliefs *b, int candidate)
{
	return jw_cause_need(b->candidate[candidate].cause);
}

/* Of any fault in it: two at once count once. */
static void list_needs(const jw_beliefs *b, jw_report *report)
{
	for (int i = 0; i < b->candidates; i++)
		report->need[need_of(b, i)] += b->candidate[i].weight;
	for (int i = 0; i < b->pairs; i++) {
		const jw_need first = need_of(b, b->pair[i].member[0]), second = need_of(b, b->pair[i].member[1]);
		report->need[first] += b->pair[i].weight;
		report->need[second] += first != second ? b->pair[i].weight : 0;
	}
}

jw_status jw_report_of(const jw_beliefs *b, const jw_case *known, jw_report **result, jw_error *error)
{
	jw_report *report = new_report(b->candidates, b->pairs);
	if (!report)
		return jw_no_memory(error, "report");
	jw_status status = JW_OK;
	for (int i = 0; i < b->candidates && status >= 0; i++)
		status = jw_tell_finding(b, i, &report->finding[i], error);
	if (status < 0) {
		jw_report_free(report);
		return status;
	}
	qsort(report->finding, (size_t)report->findings, sizeof *report->finding, by_probability);
	list_hypotheses(b, report);
	list_needs(b, report);
	report->conflicts = jw_case_conflicts(known, report->conflict);
	report->actions = jw_weigh_actions(b, known, report->action);
	*result = report;
	return status;
}

static jw_status explain(const jw_setup *healthy, const jw_case *known, jw_beliefs *b, jw_report **report,
                         jw_error *error)
{
	jw_status status = jw_inquiry_open(healthy, known, &b->inquiry, error);
	if (status >= 0)
		status = jw_both(status, jw_weigh_all(b, error));
	if (status < 0)
		return status;
	return jw_both(status, jw_report_of(b, known, report, error));
}

jw_status jw_explain(const jw_setup *healthy, const jw_case *known, jw_report **report, jw_error *error)
{
	jw_status status = jw_case_check(healthy, known, error);
	if (status < 0)
		return status;
	jw_beliefs *b = calloc(1, sizeof *b);
	if (!b)
		return jw_no_memory(error, "report");
	jw_setup right;
	status = jw_ran_right(healthy, &right, error);
	if (status >= 0)
		status = explain(&right, known, b, report, error);
	free(b);
	return status;
}

void jw_report_free(jw_report *report)
{
	if (!report)
		return;
	free(report->finding);
	free(report->hypothesis);
	free(report);
}

int jw_report_findings(const jw_report *report)
{
	return report->findings;
}

const jw_finding *jw_report_finding(const jw_report *report, int index)
{
	return index >= 0 && index < report->findings ? &report->finding[index] : NULL;
}

int jw_report_hypotheses(const jw_report *report)
{
	return report->hypotheses;
}

const jw_hypothesis *jw_report_hypothesis(const jw_report *report, int index)
{
	return index >= 0 && index < report->hypotheses ? &report->hypothesis[index] : NULL;
}

double jw_report_need(const jw_report *report, jw_need need)
{
	return (unsigned)need < JW_NEED_COUNT ? report->need[need] : 0;
}

int jw_report_conflicts(const jw_report *report)
{
	return report->conflicts;
}

const jw_conflict *jw_report_conflict(const jw_report *report, int index)
{
	return index >= 0 && index < report->conflicts ? &report->conflict[index] : NULL;
}

int jw_report_actions(const jw_report *report)
{
	return report->actions;
}

const jw_action *jw_report_action(const jw_report *report, int index)
{
	return index >= 0 && index < report->actions ? &report->action[index] : NULL;
}

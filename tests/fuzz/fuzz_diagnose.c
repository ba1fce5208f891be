/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any evidence about a sound engine: explained or refused, and probabilities are such. */
#include "bytes.h"
#include <jetwright/diagnose.h>

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "moped-50", "pump-200")

static jw_evidence take_evidence(bytes *b)
{
	jw_evidence e = {.kind = take_whole(b, jw_evidence_kind_count() + 1),
	                 .range = (jw_range)take_whole(b, JW_RANGE_COUNT + 1)};
	const jw_evidence_unit *unit =
	    e.kind >= 0 && e.kind < jw_evidence_kind_count() ? jw_evidence_unit_of(e.kind) : NULL;
	e.value = take_between(b, unit ? unit->low : 0, unit ? unit->high : 1);
	e.uncertainty = take_byte(b) % 2 ? 0 : take_between(b, 0, unit ? unit->high : 1);
	e.answer = (jw_answer)take_whole(b, JW_ANSWER_COUNT);
	return e;
}

static void take_history(bytes *b, jw_history *history)
{
	history->months_standing = take_between(b, -1, 24);
	unsigned changed = take_byte(b);
	for (int i = 0; i < JW_CHANGE_KIND_COUNT; i++)
		history->changed[i] = changed >> i & 1;
	if (take_byte(b) % 4 == 0)
		history->fitted_m[take_byte(b) % JW_JETS] = take_between(b, 0, 3e-3);
	if (take_byte(b) % 4 == 0)
		history->mended[take_byte(b) % JW_CAUSES_MOST] = take_whole(b, 97);
	history->flat = take_byte(b) & 1;
}

static void check_report(const jw_report *report)
{
	double sum = 0;
	for (int i = 0; i < jw_report_findings(report); i++) {
		const jw_finding *f = jw_report_finding(report, i);
		require(f->probability >= 0 && f->probability <= 1 + 1e-9 && isfinite(f->severity.value));
	}
	for (int i = 0; i < jw_report_hypotheses(report); i++)
		sum += jw_report_hypothesis(report, i)->probability;
	require(fabs(sum - 1) < 1e-6);
	for (int i = 0; i < jw_report_actions(report); i++)
		require(jw_report_action(report, i) != NULL);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static jw_case known;
	bytes b = {data, data + size};
	jw_report *report = NULL;
	memset(&known, 0, sizeof known);
	const jw_setup *setup = &setups[take_byte(&b) % 3];
	known.air = take_air(&b);
	take_history(&b, &known.history);
	for (unsigned tools = take_byte(&b), i = 0; i < JW_TOOL_COUNT; i++)
		known.tools[i] = tools >> i & 1;
	known.evidences = take_whole(&b, 6);
	for (int i = 0; i < known.evidences && i < JW_EVIDENCE_MAX; i++)
		known.evidence[i] = take_evidence(&b);
	jw_status status = jw_explain(setup, &known, &report, NULL);
	require((status >= 0) == (report != NULL));
	if (report)
		check_report(report);
	jw_report_free(report);
	return 0;
}

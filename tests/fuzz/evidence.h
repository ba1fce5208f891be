/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Evidence and history out of the bytes of a fuzzer, and what a report must be. */
#ifndef JW_FUZZ_EVIDENCE_H
#define JW_FUZZ_EVIDENCE_H

#include "taken.h"
#include <jetwright/diagnose.h>

static inline jw_evidence take_evidence(bytes *b)
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

static inline void take_history(bytes *b, jw_history *history)
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

static inline void check_report(const jw_report *report)
{
	double sum = 0;
	for (int i = 0; i < jw_report_findings(report); i++) {
		const jw_finding *f = jw_report_finding(report, i);
		require(f->probability >= 0 && f->probability <= 1 + 1e-9 && isfinite(f->severity.value));
	}
	for (int i = 0; i < jw_report_hypotheses(report); i++)
		sum += jw_report_hypothesis(report, i)->probability;
	require(fabs(sum - 1) < 1e-6);
	for (int i = 0; i < jw_report_actions(report); i++) {
		const jw_action *a = jw_report_action(report, i);
		require(a->minutes > 0 && isfinite(a->expected_minutes) && a->outcomes >= 0 && a->outcomes <= JW_OUTCOMES_MOST);
		require(a->mends >= 0 && a->mends <= 1 + 1e-9 && isfinite(a->information_bit));
	}
	for (int i = 0; i < JW_NEED_COUNT; i++) {
		double fails = jw_report_need(report, (jw_need)i);
		require(fails >= 0 && fails <= 1 + 1e-9);
	}
	for (int i = 0; i < jw_report_conflicts(report); i++)
		require(jw_report_conflict(report, i)->evidence[0] != jw_report_conflict(report, i)->evidence[1]);
}

#endif

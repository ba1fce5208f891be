/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/case.h"
#include "air/limits.h"
#include "base/base.h"
#include "diagnose/evidence.h"

static jw_status check_evidence(const jw_evidence *seen, jw_error *error)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	if (!row)
		return jw_fail(error, JW_E_ARGUMENT, "evidence.kind", seen->kind, 0, jw_evidence_kind_count() - 1);
	if (row->kind.takes_range && (unsigned)seen->range >= JW_RANGE_COUNT)
		return jw_fail(error, JW_E_ARGUMENT, "evidence.range", (double)seen->range, 0, JW_RANGE_COUNT - 1);
	if ((unsigned)seen->answer >= JW_ANSWER_COUNT || (row->kind.takes_value && seen->answer == JW_NO))
		return jw_fail(error, JW_E_ARGUMENT, "evidence.answer", (double)seen->answer, 0, JW_ANSWER_COUNT - 1);
	if (!row->kind.takes_value || seen->answer == JW_UNKNOWN)
		return JW_OK;
	const jw_evidence_unit *unit = &row->gauge->stated;
	jw_status status = jw_check_range("evidence.value", seen->value, unit->low, unit->high, error);
	if (status < 0)
		return status;
	return jw_check_range("evidence.uncertainty", seen->uncertainty, 0, unit->high, error);
}

/* Of a density of 0 the rest is not read. */
static jw_status check_ran_in(const jw_air *air, jw_error *error)
{
	jw_error inner;
	jw_status status = jw_check_range("history.ran_in.density_kg_m3", air->density_kg_m3, 0, 5, error);
	if (status < 0 || !(air->density_kg_m3 > 0))
		return status;
	status = jw_air_check(air, &inner);
	return status < 0 ? jw_fail(error, status, "history.ran_in", inner.value, inner.low, inner.high) : status;
}

jw_status jw_case_check(const jw_setup *healthy, const jw_case *known, jw_error *error)
{
	if (known->evidences < 1 || known->evidences > JW_EVIDENCE_MAX)
		return jw_fail(error, JW_E_ARGUMENT, "evidences", known->evidences, 1, JW_EVIDENCE_MAX);
	jw_status status = JW_OK;
	for (int i = 0; i < known->evidences && status == JW_OK; i++)
		status = check_evidence(&known->evidence[i], error);
	if (status == JW_OK && !isfinite(known->history.months_standing))
		status = jw_fail(error, JW_E_NOT_FINITE, "history.months_standing", known->history.months_standing, 0, 1200);
	for (int i = 0; i < JW_JETS && status == JW_OK; i++)
		status = jw_check_range("history.fitted_m", known->history.fitted_m[i], 0, 5e-3, error);
	for (int c = 0; c < JW_CAUSES_MOST && status == JW_OK; c++)
		status = jw_check_range("history.mended", known->history.mended[c], 0, JW_EVIDENCE_MAX, error);
	if (status == JW_OK)
		status = check_ran_in(&known->history.ran_in, error);
	if (status == JW_OK)
		status = jw_air_check(&known->air, error);
	return status < 0 ? status : jw_setup_check(healthy, error);
}

/* Readings of one thing that stand farther apart than this, in standard uncertainties of their difference. */
static const double contradicts = 3.0;

static int clashes(const jw_evidence *a, const jw_evidence *b)
{
	if (a->kind != b->kind)
		return jw_evidence_settles(a, b) < 0 || jw_evidence_settles(b, a) < 0;
	if (a->range != b->range || a->answer == JW_UNKNOWN || b->answer == JW_UNKNOWN)
		return 0;
	return jw_evidence_row_at(a->kind)->gauge ? jw_readings_apart(a, b) > contradicts : a->answer != b->answer;
}

int jw_case_conflicts(const jw_case *known, jw_conflict *conflict)
{
	int conflicts = 0;
	for (int i = 0; i < known->evidences; i++)
		for (int j = 0; j < i; j++) {
			jw_evidence a = jw_evidence_read(&known->evidence[j]), b = jw_evidence_read(&known->evidence[i]);
			if (clashes(&a, &b) && conflicts < JW_EVIDENCE_MAX)
				conflict[conflicts++] = (jw_conflict){{j, i}};
		}
	return conflicts;
}

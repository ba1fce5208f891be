/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rejet/change.h"
#include "rejet/parts.h"

#include "base/base.h"

double jw_rejet_lnphi(const jw_mixture *mixture)
{
	return log(fmax(mixture->phi, JW_REJET_LEAST_PHI));
}

static jw_status solve_range(const jw_rejet_request *q, const jw_rejet_answer *a, jw_range range,
                             jw_rejet_range *solved, jw_error *error)
{
	const jw_point *point = &q->setup->range[range];
	const jw_air *anchor = q->anchored ? q->air : NULL;
	jw_status status = jw_mixture_at(q->setup, q->air, point, &solved->before, error);
	solved->warned_before = status;
	if (status >= 0) {
		solved->warned_after = jw_mixture_at(&a->setup, &a->air, point, &solved->after, error);
		status = jw_both(status, solved->warned_after);
	}
	if (status >= 0)
		status = jw_both(status, jw_mixture_contributions(q->setup, q->air, point, q->unmeasured, q->unmeasureds,
		                                                  anchor, NULL, &solved->relative_before, error));
	if (status >= 0)
		status = jw_both(status, jw_rejet_change_doubt(q, a, range, &solved->relative_change, error));
	return status;
}

/* What is known of the mixture before, and of what the changes do to it. */
static void finish_range(jw_range range, jw_rejet_range *solved)
{
	solved->relative_after = hypot(solved->relative_before, solved->relative_change);
	solved->relative_foretold = solved->relative_after;
	jw_rejet_judge(range, solved);
}

jw_status jw_rejet_with(const jw_rejet_request *request, const jw_pulse_table *table, jw_rejet_answer *answer,
                        jw_error *error)
{
	jw_status status = jw_rejet_check_request(request, error);
	if (status < 0)
		return status;
	jw_rejet_answer a = {.setup = *request->setup, .air = *request->air, .worst_reading = -1};
	status = jw_setup_check(request->setup, error);
	if (status >= 0)
		status =
		    jw_both(status, jw_rejet_apply_with(request->change, request->changes, table, &a.setup, &a.air, error));
	if (status >= 0)
		status = jw_both(status, jw_rejet_shares(request, table, a.share, error));
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		status = jw_both(status, solve_range(request, &a, (jw_range)r, &a.range[r], error));
		finish_range((jw_range)r, &a.range[r]);
	}
	if (status >= 0 && request->readings > 0)
		status = jw_both(status, jw_rejet_read(request, &a, error));
	if (status >= 0)
		status = jw_both(status, jw_rejet_rule_of(request, &a, &a.rule, error));
	if (status >= 0)
		status = jw_both(status, jw_rejet_choose(request, &a, &a.choice, error));
	if (status >= 0)
		*answer = a;
	return status;
}

jw_status jw_rejet(const jw_rejet_request *request, jw_rejet_answer *answer, jw_error *error)
{
	jw_pulse_table table;
	jw_status status = jw_rejet_table_of(request, &table, error);
	return status < 0 ? status : jw_both(status, jw_rejet_with(request, &table, answer, error));
}

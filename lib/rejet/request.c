/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether what is asked can be answered, before anything is computed. */
#include "rejet/change.h"

#include "air/limits.h"
#include "flow/check.h"

static jw_status check_grooves(const jw_grooves *g, jw_error *error)
{
	jw_status status = jw_check_range("grooves.count", g->count, 0, JW_REJET_GROOVES, error);
	if (status == JW_OK && g->count > 0)
		status = jw_check_range("grooves.now", g->now, 1, g->count, error);
	if (status == JW_OK && g->count > 1)
		status = jw_check_range("grooves.pitch_m", g->pitch_m, 0.1e-3, 3e-3, error);
	return status;
}

static jw_status check_jets(const char *field, const jw_jet *jet, int count, jw_error *error)
{
	jw_status status = jw_check_range(field, count, 0, JW_JETS_MOST, error);
	double low = JW_SMALLEST_JET_M;
	for (int i = 0; i < count && status == JW_OK; i++) {
		status = jw_check_range("jets.bore_m", jet[i].bore_m, low, JW_LARGEST_JET_M, error);
		low = nextafter(jet[i].bore_m, INFINITY); /* they rise */
	}
	return status;
}

/* What is counted, or always read. */
static jw_status check_there(const jw_rejet_request *q, jw_error *error)
{
	const struct {
		const char *field;
		const void *there;
		int needed;
	} members[] = {
	    {"setup", q->setup, 1},
	    {"air", q->air, 1},
	    {"change", q->change, q->changes > 0},
	    {"unmeasured", q->unmeasured, q->unmeasureds > 0},
	    {"reading", q->reading, q->readings > 0},
	};
	for (size_t i = 0; i < sizeof members / sizeof *members; i++)
		if (members[i].needed && !members[i].there)
			return jw_fail(error, JW_E_ARGUMENT, members[i].field, 0, 0, 0);
	return JW_OK;
}

jw_status jw_rejet_check_request(const jw_rejet_request *q, jw_error *error)
{
	const jw_bound counts[] = {
	    {"changes", q->changes, 0, JW_REJET_CHANGES},
	    {"unmeasureds", q->unmeasureds, 0, JW_UNMEASURED},
	    {"anchored", q->anchored, 0, 1},
	    {"readings", q->readings, 0, INFINITY},
	};
	jw_status status = jw_check_bounds(counts, sizeof counts / sizeof *counts, error);
	if (status == JW_OK)
		status = check_there(q, error);
	if (status == JW_OK)
		status = jw_air_check(q->air, error);
	for (int r = 0; r < JW_RANGE_COUNT && status == JW_OK; r++)
		if (q->target_lambda[r] != 0.0)
			status = jw_check_range("target_lambda", q->target_lambda[r], 0.5, 1.5, error);
	if (status == JW_OK)
		status = check_grooves(&q->grooves, error);
	if (q->jets && status == JW_OK)
		status = check_jets("jets.mains", q->jets->main, q->jets->mains, error);
	if (q->jets && status == JW_OK)
		status = check_jets("jets.pilots", q->jets->pilot, q->jets->pilots, error);
	return status;
}

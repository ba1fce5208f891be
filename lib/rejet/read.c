/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What readings on the changed engine say of it. */
#include "rejet/parts.h"

#include "base/base.h"

/* The coefficients before any reading: those that the engine had, and what the changes add where each is anchored. */
static void loosen(jw_setup *s, const jw_rejet_range *range)
{
	jw_coefficients *u = &s->uncertainty;
	u->main = hypot(u->main, range[JW_FULL].relative_change);
	u->needle = hypot(u->needle, range[JW_HALF].relative_change);
	u->pilot = hypot(u->pilot, range[JW_IDLE].relative_change);
}

/* By the covariance of the fitted coefficients, which the readings tie to each other, and by what the unmeasured
 * numbers still do between the ranges. */
static jw_status fitted_doubt(const jw_rejet_request *q, const jw_rejet_answer *a, const jw_fit *fit, jw_range range,
                              double *relative, jw_error *error)
{
	const jw_point *point = &a->setup.range[range];
	double contribution[JW_UNMEASURED] = {0}, variance = 0.0, all;
	jw_coefficients slope;
	jw_status status = jw_mixture_sensitivity(&a->setup, &a->air, point, &slope, error);
	if (status >= 0)
		status = jw_both(status, jw_mixture_contributions(&a->setup, &a->air, point, q->unmeasured, q->unmeasureds,
		                                                  &a->air, contribution, &all, error));
	const double along[JW_COEFFICIENTS] = {slope.air, slope.main, slope.needle, slope.pilot};
	for (int i = 0; i < JW_COEFFICIENTS; i++)
		for (int j = 0; j < JW_COEFFICIENTS; j++)
			variance += along[i] * along[j] * fit->covariance[i][j];
	for (int i = 0; i < q->unmeasureds; i++)
		variance += jw_square(contribution[i]);
	*relative = sqrt(fmax(variance, 0.0));
	return status;
}

jw_status jw_rejet_read(const jw_rejet_request *request, jw_rejet_answer *answer, jw_error *error)
{
	jw_fit fit;
	jw_setup loose = answer->setup;
	loosen(&loose, answer->range);
	jw_status status = jw_fit_readings(&loose, request->reading, request->readings, &fit, NULL, error);
	if (status < 0)
		return status;
	answer->setup = fit.setup;
	answer->worst_reading = fit.worst;
	answer->worst_apart = fit.worst_apart;
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		jw_rejet_range *range = &answer->range[r];
		double foretold = jw_rejet_lnphi(&range->after);
		jw_status solved = jw_mixture_at(&answer->setup, &answer->air, &answer->setup.range[r], &range->after, error);
		range->warned_after = solved;
		if (solved >= 0)
			solved = jw_both(solved, fitted_doubt(request, answer, &fit, (jw_range)r, &range->relative_after, error));
		status = jw_both(status, solved);
		range->relative_change = range->relative_after;
		range->by_readings = jw_rejet_lnphi(&range->after) - foretold;
		jw_rejet_judge((jw_range)r, range);
	}
	return status;
}

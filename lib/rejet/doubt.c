/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How sure the change of a mixture is, and what the mixture means for the engine. */
#include "rejet/change.h"
#include "rejet/parts.h"

#include "base/base.h"
#include "diagnose/want.h"

/* Of any ratio after to before that the model foretells: change.c tells whence. */
#define LEAST_DOUBT 0.02
#define COEFFICIENTS ((int)(sizeof(jw_coefficients) / sizeof(double)))

/* An engine before and after, whose coefficients and unmeasured numbers are off alike in both. */
typedef struct pair {
	const jw_rejet_request *request;
	const jw_rejet_answer *answer;
	const jw_point *point;
	double centre;
} pair;

static void shift(const pair *p, const double *deviations, jw_setup *s)
{
	const jw_coefficients *u = &s->uncertainty;
	s->coefficient.air *= exp(deviations[0] * u->air);
	s->coefficient.main *= exp(deviations[1] * u->main);
	s->coefficient.needle *= exp(deviations[2] * u->needle);
	s->coefficient.pilot *= exp(deviations[3] * u->pilot);
	for (int i = 0; i < p->request->unmeasureds; i++)
		if (deviations[COEFFICIENTS + i] != 0.0)
			jw_setup_shift(s, &p->request->unmeasured[i], deviations[COEFFICIENTS + i]);
}

static jw_status shifted_lnphi(const pair *p, const jw_setup *setup, const jw_air *air, const double *deviations,
                               double *lnphi)
{
	jw_setup s = *setup;
	jw_mixture m;
	shift(p, deviations, &s);
	jw_status status = jw_setup_check(&s, NULL);
	if (status >= 0)
		status = jw_mixture_at(&s, air, p->point, &m, NULL);
	if (status >= 0)
		*lnphi = jw_rejet_lnphi(&m);
	return status;
}

/* A deviation that no engine can have, as a needle thicker than its jet, says nothing of the change. */
static jw_status change_of(const double *deviations, double *change, void *context)
{
	const pair *p = context;
	double before, after;
	jw_status status = shifted_lnphi(p, p->request->setup, p->request->air, deviations, &before);
	if (status >= 0)
		status = shifted_lnphi(p, &p->answer->setup, &p->answer->air, deviations, &after);
	*change = status >= 0 ? after - before : p->centre;
	return JW_OK;
}

jw_status jw_rejet_change_doubt(const jw_rejet_request *request, const jw_rejet_answer *answer, jw_range range,
                                double *relative, jw_error *error)
{
	pair p = {request, answer, &request->setup->range[range], 0.0};
	jw_input inputs[JW_INPUTS];
	jw_propagation found;
	double none[JW_INPUTS] = {0}, variance = request->changes > 0 ? jw_square(LEAST_DOUBT) : 0.0;
	int count = COEFFICIENTS + request->unmeasureds;
	if (count > JW_INPUTS)
		return jw_fail(error, JW_E_RANGE, "unmeasureds", request->unmeasureds, 0, JW_INPUTS - COEFFICIENTS);
	for (int i = 0; i < count; i++)
		inputs[i] = (jw_input){.uncertainty = 1.0};
	change_of(none, &p.centre, &p);
	jw_status status = jw_propagate(change_of, &p, inputs, count, 1.0, NULL, &found, error);
	if (status < 0)
		return status;
	for (int c = 0; c < request->changes; c++)
		variance += jw_square(jw_rejet_doubt(request->change[c].kind) * answer->share[range].of[JW_REJET_LNPHI][c]);
	*relative = sqrt(jw_square(found.uncertainty) + variance);
	return status;
}

/* ---- readings ---- */

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
	const double along[COEFFICIENTS] = {slope.air, slope.main, slope.needle, slope.pilot};
	for (int i = 0; i < COEFFICIENTS; i++)
		for (int j = 0; j < COEFFICIENTS; j++)
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
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		jw_rejet_range *range = &answer->range[r];
		double foretold = jw_rejet_lnphi(&range->after);
		jw_status solved = jw_mixture_at(&answer->setup, &answer->air, &answer->setup.range[r], &range->after, error);
		if (solved >= 0)
			solved = jw_both(solved, fitted_doubt(request, answer, &fit, (jw_range)r, &range->relative_after, error));
		status = jw_both(status, solved);
		range->relative_change = range->relative_after;
		range->by_readings = jw_rejet_lnphi(&range->after) - foretold;
		jw_rejet_judge((jw_range)r, range);
	}
	return status;
}

/* ---- verdicts ---- */

static const char *const verdicts[JW_REJET_VERDICT_COUNT] = {
    [JW_REJET_RUNS] = "runs",
    [JW_REJET_RICH_ROUGH] = "rich_rough",
    [JW_REJET_RICH_MISFIRES] = "rich_misfires",
    [JW_REJET_LEAN_ROUGH] = "lean_rough",
    [JW_REJET_LEAN_MISFIRES] = "lean_misfires",
    [JW_REJET_DANGEROUS] = "dangerous",
};

const char *jw_rejet_verdict_name(jw_rejet_verdict verdict)
{
	return (unsigned)verdict < JW_REJET_VERDICT_COUNT ? verdicts[verdict] : NULL;
}

/* By the limits of a usual engine. */
static jw_rejet_verdict verdict_of(jw_range range, double lnphi)
{
	double lambda = exp(-lnphi);
	if (lambda < jw_wanted(range, JW_WANT_RICH_LIMIT).lambda)
		return JW_REJET_RICH_MISFIRES;
	if (lambda < jw_wanted(range, JW_WANT_RICH_ROUGH).lambda)
		return JW_REJET_RICH_ROUGH;
	if (lambda > jw_wanted(range, JW_WANT_LEAN_LIMIT).lambda)
		return JW_REJET_LEAN_MISFIRES;
	return lambda > jw_wanted(range, JW_WANT_LEAN_ROUGH).lambda ? JW_REJET_LEAN_ROUGH : JW_REJET_RUNS;
}

double jw_rejet_danger_lambda(jw_range range)
{
	return range == JW_FULL ? 1.0 : range == JW_THREE_QUARTER ? 1.05 : 0.0;
}

void jw_rejet_judge(jw_range range, jw_rejet_range *solved)
{
	double after = jw_rejet_lnphi(&solved->after), limit = jw_rejet_danger_lambda(range);
	solved->was = verdict_of(range, jw_rejet_lnphi(&solved->before));
	solved->becomes = verdict_of(range, after);
	if (!(limit > 0.0))
		return;
	solved->danger = jw_normal_cdf((-after - log(limit)) / fmax(solved->relative_change, 1e-6));
	if (solved->danger >= JW_REJET_DANGER)
		solved->becomes = JW_REJET_DANGEROUS;
}

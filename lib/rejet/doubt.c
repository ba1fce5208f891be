/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How sure the change of a mixture is. */
#include "rejet/change.h"
#include "rejet/parts.h"

#include "base/base.h"

/* Of any ratio after to before that the model foretells: change.c tells whence. */
#define LEAST_DOUBT 0.02

_Static_assert(JW_UNMEASURED + JW_COEFFICIENTS <= JW_INPUTS, "what may be unmeasured is propagated");

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
		if (deviations[JW_COEFFICIENTS + i] != 0.0)
			jw_setup_shift(s, &p->request->unmeasured[i], deviations[JW_COEFFICIENTS + i]);
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
	int count = JW_COEFFICIENTS + request->unmeasureds;
	for (int i = 0; i < count; i++)
		inputs[i] = (jw_input){.uncertainty = 1.0};
	change_of(none, &p.centre, &p);
	jw_status status = jw_propagate(change_of, &p, inputs, count, 1.0, NULL, &found, error);
	if (status < 0)
		return status;
	for (int c = 0; c < request->changes; c++) {
		const jw_rejet_kind kind = request->change[c].kind;
		const jw_rejet_share *share = &answer->share[range];
		variance += jw_square(jw_rejet_doubt(kind) * share->of[JW_REJET_LNPHI][c]) +
		            jw_square(jw_rejet_air_doubt(kind) * share->of[JW_REJET_LNAIR][c]);
	}
	*relative = sqrt(jw_square(found.uncertainty) + variance);
	return status;
}

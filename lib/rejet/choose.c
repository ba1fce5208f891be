/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to fit: the ideal, the best at hand, and what is told of it. */
#include "rejet/change.h"
#include "rejet/chooser.h"

#include "base/base.h"

/* What stated jets, needle and screw do to ln(phi) of a range, by the shares; once read, it is in what is read. */
static double brass_share(const jw_rejet_request *q, const jw_rejet_answer *a, jw_range range)
{
	double sum = 0.0;
	for (int i = 0; i < q->changes && q->readings < 1; i++)
		sum += q->change[i].kind == JW_REJET_BRASS ? a->share[range].of[JW_REJET_LNPHI][i] : 0.0;
	return sum;
}

/* Against a mixture that was right, what the changes leave in doubt; against a lambda that somebody names, all. What
 * the choice exchanges goes astray as a stated exchange does, and takes back its doubt where it takes back that. */
static void tell_doubt(const jw_rejet_request *q, const jw_rejet_answer *a, const jw_pick *p, jw_rejet_choice *choice)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const jw_rejet_range *range = &a->range[r];
		double foretold = q->target_lambda[r] > 0.0 ? range->relative_after : range->relative_change;
		double stated = brass_share(q, a, (jw_range)r), all = stated + p->lnphi[r] - jw_rejet_lnphi(&range->after);
		double more = jw_square(jw_rejet_doubt(JW_REJET_BRASS)) * (jw_square(all) - jw_square(stated));
		choice->relative_change[r] = sqrt(fmax(jw_square(foretold) + more, 0.0));
		choice->relative_after[r] = sqrt(fmax(jw_square(range->relative_after) + more, 0.0));
	}
}

/* Solved already, so that it does not fail here. */
static void tell_warnings(const jw_chooser *c, const jw_pick *p, jw_rejet_choice *choice)
{
	jw_setup s = *c->setup;
	jw_mixture m;
	for (int i = 0; i < c->parts; i++)
		jw_part_set(&s, c->sought[i], p->value[c->sought[i]], NULL);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const jw_status solved = jw_mixture_at(&s, c->air, &s.range[r], &m, NULL);
		choice->warned[r] = solved < 0 ? JW_OK : solved;
	}
}

static void prepare(const jw_rejet_request *q, const jw_rejet_answer *a, jw_chooser *c, jw_error *error)
{
	c->setup = &a->setup;
	c->air = &a->air;
	c->error = error;
	c->any_bore = !q->jets;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		c->target[r] = q->target_lambda[r] > 0.0 ? -log(q->target_lambda[r]) : jw_rejet_lnphi(&a->range[r].before);
	for (int part = 0; part < JW_PART_COUNT; part++) {
		c->was[part] = jw_part_value(&a->setup, (jw_part)part);
		if (jw_is_sought(&a->setup, (jw_part)part))
			c->sought[c->parts++] = (jw_part)part;
	}
}

jw_status jw_rejet_choose(const jw_rejet_request *request, const jw_rejet_answer *answer, jw_rejet_choice *choice,
                          jw_error *error)
{
	jw_chooser c = {0};
	jw_pick p = {0};
	jw_rejet_choice found = {0};
	prepare(request, answer, &c, error);
	jw_status status = jw_seek_ideal(&c);
	for (int i = 0; i < c.parts; i++)
		jw_lay_out(request, &c, c.sought[i], c.ideal[c.sought[i]]);
	if (status >= 0)
		status = jw_seek_pick(&c, &p);
	if (status >= 0)
		tell_doubt(request, answer, &p, &found);
	if (status >= 0)
		status = jw_tell_parts(&c, &p, &found);
	if (status >= 0)
		status = jw_begin_trials(&c, &p, &found);
	if (status < 0)
		return status;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		found.target[r] = exp(c.target[r]);
		found.ideal[r] = exp(c.ideal_lnphi[r]);
		found.phi[r] = exp(p.lnphi[r]);
	}
	tell_warnings(&c, &p, &found);
	found.cost = p.cost;
	found.safe = !jw_too_lean(&c, p.lnphi);
	*choice = found;
	return status;
}

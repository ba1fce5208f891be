/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to fit: the ideal, the best at hand, and what is told of it. */
#include "rejet/chooser.h"

#include "base/base.h"

/* Against a mixture that was right, what the changes leave in doubt; against a lambda that somebody names, all. */
static void tell_doubt(const jw_rejet_request *q, const jw_rejet_answer *a, jw_rejet_choice *choice)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		choice->relative[r] = q->target_lambda[r] > 0.0 ? a->range[r].relative_after : a->range[r].relative_change;
}

static jw_status prepare(const jw_rejet_request *q, const jw_rejet_answer *a, jw_chooser *c, jw_error *error)
{
	c->setup = &a->setup;
	c->air = &a->air;
	c->error = error;
	c->any_bore = !q->jets;
	jw_status counted = jw_check_range("grooves", q->grooves.count, 0, JW_REJET_GROOVES, error);
	if (q->jets && counted == JW_OK)
		counted = jw_check_range("jets", fmax(q->jets->mains, q->jets->pilots), 0, JW_JETS_MOST, error);
	if (counted < 0)
		return counted;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double lambda = q->target_lambda[r];
		jw_status status = lambda != 0.0 ? jw_check_range("target_lambda", lambda, 0.5, 1.5, error) : JW_OK;
		if (status < 0)
			return status;
		c->target[r] = lambda != 0.0 ? -log(lambda) : jw_rejet_lnphi(&a->range[r].before);
	}
	for (int part = 0; part < JW_PART_COUNT; part++) {
		c->was[part] = jw_part_value(&a->setup, (jw_part)part);
		if (jw_is_sought(&a->setup, (jw_part)part))
			c->sought[c->parts++] = (jw_part)part;
	}
	return JW_OK;
}

jw_status jw_rejet_choose(const jw_rejet_request *request, const jw_rejet_answer *answer, jw_rejet_choice *choice,
                          jw_error *error)
{
	jw_chooser c = {0};
	jw_pick p = {0};
	double ideal[JW_PART_COUNT], ideal_lnphi[JW_RANGE_COUNT];
	jw_rejet_choice found = {0};
	jw_status status = prepare(request, answer, &c, error);
	if (status < 0)
		return status;
	status = jw_seek_ideal(&c, ideal);
	if (status >= 0)
		status = jw_set_lnphi(&c, ideal, ideal_lnphi);
	for (int i = 0; i < c.parts; i++)
		jw_lay_out(request, &c, c.sought[i], ideal[c.sought[i]]);
	if (status >= 0)
		status = jw_seek_pick(&c, ideal, &p);
	tell_doubt(request, answer, &found);
	if (status >= 0)
		status = jw_tell_parts(&c, &p, ideal, ideal_lnphi, &found);
	if (status >= 0)
		status = jw_begin_trials(&c, &p, &found);
	if (status < 0)
		return status;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		found.target[r] = exp(c.target[r]);
		found.ideal[r] = exp(ideal_lnphi[r]);
		found.phi[r] = exp(p.lnphi[r]);
	}
	found.cost = p.cost;
	found.safe = !(jw_unsafe_by(&c, p.lnphi) > JW_TRACE);
	*choice = found;
	return status;
}

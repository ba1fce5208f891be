/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a case says, each fact once, and what stays the same for every hypothesis. */
#include "base/base.h"
#include "diagnose/posterior.h"

/* A set-up whose k-th shared coefficient is off by so many standard deviations. */
static jw_setup erring(const jw_setup *healthy, int k, double deviations)
{
	const jw_coefficients *u = &healthy->uncertainty;
	jw_setup setup = *healthy;
	jw_coefficients *c = &setup.coefficient;
	/* Jet and needle of the main circuit err together: one fuel, one level, one signal. */
	double *const member[JW_SHARED][2] = {{&c->air, NULL}, {&c->main, &c->needle}, {&c->pilot, NULL}};
	const double spread[JW_SHARED][2] = {{u->air, 0}, {u->main, u->needle}, {u->pilot, 0}};
	for (int i = 0; i < 2; i++)
		if (member[k][i])
			*member[k][i] *= exp(deviations * spread[k][i]);
	return setup;
}

/* Mean slope over one deviation either way, since a slide near its stop makes the slope at the middle a poor guide. */
static jw_status shift_of(const jw_inquiry *inquiry, jw_range range, int k, double *shift, jw_error *error)
{
	const jw_background *b = &inquiry->background;
	double phi[2];
	for (int side = 0; side < 2; side++) {
		jw_setup setup = erring(b->healthy, k, side ? 1 : -1);
		jw_mixture mixture;
		jw_status status = jw_mixture_at(&setup, b->air, &setup.range[range], &mixture, error);
		if (status < 0)
			return status;
		phi[side] = mixture.phi;
	}
	*shift = phi[0] > 0 && phi[1] > 0 ? 0.5 * log(phi[1] / phi[0]) : 0;
	return JW_OK;
}

static jw_status solve_sound(jw_inquiry *inquiry, jw_range range, jw_error *error)
{
	const jw_background *b = &inquiry->background;
	jw_mixture mixture;
	jw_status status = jw_mixture_at(b->healthy, b->air, &b->healthy->range[range], &mixture, error);
	if (status < 0)
		return status;
	inquiry->sound_air[range] = mixture.air_kg_s;
	for (int k = 0; k < JW_SHARED && status >= 0; k++)
		status = jw_both(status, shift_of(inquiry, range, k, &inquiry->shift[range][k], error));
	return status;
}

/* The fact of this range that says the same, or -1: a symptom told twice is one, and so is a thing measured twice. */
static int same_fact(const jw_inquiry *inquiry, const jw_evidence *seen)
{
	for (int f = inquiry->first[seen->range]; f < inquiry->facts; f++)
		if (inquiry->fact[f].kind == seen->kind && inquiry->fact[f].answer == seen->answer)
			return f;
	return -1;
}

/* Several readings of one thing in one, over what its gauge takes them over. */
static void merge_readings(const jw_case *known, jw_inquiry *inquiry, int fact)
{
	const jw_gauge *gauge = jw_evidence_row_at(inquiry->fact[fact].kind)->gauge;
	jw_evidence same[JW_EVIDENCE_MAX], *merged = &inquiry->fact[fact];
	int n = 0;
	for (int i = 0; i < known->evidences; i++)
		if (inquiry->fact_of[i] == fact)
			same[n++] = jw_evidence_read(&known->evidence[i]);
	*merged = jw_merge_readings(same, n);
	double over = gauge->over ? jw_value_at(inquiry->background.healthy, gauge->over) : 1;
	if (over > 0) {
		merged->value /= over;
		merged->uncertainty /= over;
	}
}

/* The piece that says all that another says, and perhaps more; that one itself where there is none. */
static int fullest(const jw_case *known, int piece)
{
	const jw_evidence seen = jw_evidence_read(&known->evidence[piece]);
	for (int i = 0; i < known->evidences; i++) {
		const jw_evidence more = jw_evidence_read(&known->evidence[i]);
		if (jw_evidence_settles(&more, &seen) > 0)
			return fullest(known, i);
	}
	return piece;
}

static void gather_range(const jw_case *known, jw_inquiry *inquiry, jw_range range)
{
	inquiry->first[range] = inquiry->facts;
	inquiry->reading[range] = -1;
	for (int i = 0; i < known->evidences; i++) {
		jw_evidence seen = jw_evidence_read(&known->evidence[i]);
		if (seen.range != range || seen.answer == JW_UNKNOWN || fullest(known, i) != i)
			continue;
		const jw_evidence_row *row = jw_evidence_row_at(seen.kind);
		int fact = same_fact(inquiry, &seen);
		if (fact < 0) {
			fact = inquiry->facts++;
			inquiry->fact[fact] = seen;
			inquiry->needs[range] |= row->needs;
			inquiry->wants[range] |= jw_wants_asked(row);
		}
		inquiry->fact_of[i] = fact;
		if (jw_reads_mixture(row))
			inquiry->reading[range] = fact;
	}
	for (int f = inquiry->first[range]; f < inquiry->facts; f++)
		if (jw_evidence_row_at(inquiry->fact[f].kind)->gauge)
			merge_readings(known, inquiry, f);
}

jw_status jw_inquiry_open(const jw_setup *healthy, const jw_case *known, jw_inquiry *inquiry, jw_error *error)
{
	*inquiry = (jw_inquiry){.evidences = known->evidences};
	for (int i = 0; i < JW_EVIDENCE_MAX; i++)
		inquiry->fact_of[i] = -1;
	jw_status status = jw_background_of(healthy, &known->air, &known->history, &inquiry->background, error);
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		gather_range(known, inquiry, (jw_range)r);
		status = jw_both(status, solve_sound(inquiry, (jw_range)r, error));
	}
	inquiry->first[JW_RANGE_COUNT] = inquiry->facts;
	for (int i = 0; i < known->evidences; i++)
		inquiry->fact_of[i] = inquiry->fact_of[fullest(known, i)];
	jw_draw_deviates(inquiry->draw);
	return status;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which of several changes does how much. */
#include "rejet/change.h"
#include "rejet/parts.h"

#include "base/base.h"

#include <string.h>

/* What is shared out, at every range, with one set of the changes made. */
typedef struct outcome {
	double of[JW_RANGE_COUNT][JW_REJET_QUANTITY_COUNT];
} outcome;

static jw_status outcome_of(const jw_rejet_request *q, const jw_pulse_table *table, unsigned set, outcome *o,
                            jw_error *error)
{
	jw_setup setup = *q->setup;
	jw_air air = *q->air;
	jw_status status = jw_rejet_make(q->change, q->changes, set, table, &setup, &air, error);
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		jw_mixture m;
		jw_status solved = jw_mixture_at(&setup, &air, &setup.range[r], &m, error);
		status = jw_both(status, solved);
		if (solved < 0)
			break;
		o->of[r][JW_REJET_LNPHI] = jw_rejet_lnphi(&m);
		o->of[r][JW_REJET_LNAIR] = log(fmax(m.dry_air_kg_s, 1e-9));
		o->of[r][JW_REJET_LNFUEL] = log(fmax(m.fuel_kg_s, 1e-12));
		o->of[r][JW_REJET_PULL] = m.flow.depression_pa;
	}
	return status;
}

static int size_of(unsigned set)
{
	int size = 0;
	for (; set; set &= set - 1)
		size++;
	return size;
}

/* How often, of all orders of n changes, just these k come before one that is not among them: k! (n-k-1)!/n!. */
static double weight_of(int k, int n)
{
	double weight = 1.0 / n;
	for (int i = 1; i <= k; i++)
		weight *= (double)i / (n - i);
	return weight;
}

/* A set's outcome counts for each change in it, and against each that is not: one visit serves all. */
static void share_out(const outcome *o, unsigned set, int changes, jw_rejet_share *share)
{
	int size = size_of(set);
	double with = size > 0 ? weight_of(size - 1, changes) : 0.0,
	       without = size < changes ? weight_of(size, changes) : 0.0;
	for (int c = 0; c < changes; c++) {
		double weight = set >> c & 1 ? with : -without;
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			for (int k = 0; k < JW_REJET_QUANTITY_COUNT; k++)
				share[r].of[k][c] += weight * o->of[r][k];
	}
}

jw_status jw_rejet_shares(const jw_rejet_request *request, const jw_pulse_table *table, jw_rejet_share *share,
                          jw_error *error)
{
	memset(share, 0, JW_RANGE_COUNT * sizeof *share);
	for (unsigned set = 0; set < 1u << request->changes && request->changes > 0; set++) {
		outcome o;
		jw_status solved = outcome_of(request, table, set, &o, error);
		if (solved < 0)
			return solved;
		share_out(&o, set, request->changes, share);
	}
	return JW_OK; /* warnings of what is never run tell nobody anything */
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rejet/band.h"

#include "base/base.h"

#include <string.h>

/* Twice the tolerance is where the cost of a choice begins to rise faster. */
#define BAND 2.0
/* Of ln(phi): less is rounding. */
#define SAME 1e-6

double jw_rejet_band(jw_range range, int richer)
{
	const double band = BAND * jw_rejet_tolerance(range);
	return richer ? band : range == JW_FULL ? -JW_REJET_LEANER : -band;
}

/* By how much a range is past its band on one side; 0 inside. */
static double past(jw_range range, double off, int richer)
{
	const double band = jw_rejet_band(range, richer);
	return fmax(richer ? off - band : band - off, 0.0);
}

/* What is too lean at full throttle is told by itself. */
static void let_out(jw_bands *bands, jw_range range, double off)
{
	const double beyond = fmax(past(range, off, 1), range == JW_FULL ? 0.0 : past(range, off, 0));
	if (beyond > SAME) /* and room to climb in */
		bands->let_out[range] = fmax(bands->let_out[range], beyond + jw_rejet_tolerance(range));
}

/* Of all airs that a plan has chosen for, the one that lacks most. */
static void lack(jw_bands *bands, const jw_rejet_choice *choice, double off)
{
	const double lacks = past(JW_FULL, off, 0);
	if (!(lacks > fmax(bands->too_lean, SAME)))
		return;
	bands->too_lean = lacks;
	bands->main_wanted_m = choice->piece[JW_PART_MAIN_JET].ideal;
}

jw_status jw_bands_choose(jw_bands *bands, const jw_rejet_request *request, const jw_changes *changes, jw_brass *set,
                          jw_error *error)
{
	jw_rejet_request there = *request;
	jw_rejet_answer answer;
	there.change = changes->list;
	there.changes = changes->count;
	jw_status status = jw_rejet_with(&there, bands->table, &answer, error);
	if (status < 0)
		return status;
	set->setup = answer.setup;
	for (int p = 0; p < JW_PART_COUNT && status >= 0; p++) {
		const jw_rejet_piece *piece = &answer.choice.piece[p];
		bands->sought[p] = piece->sought;
		bands->ideal[p] = piece->ideal;
		set->place[p] = piece->sought ? piece->place : -1;
		if (piece->sought)
			status = jw_both(status, jw_part_set(&set->setup, (jw_part)p, piece->chosen, error));
	}
	memcpy(bands->target, answer.choice.target, sizeof bands->target);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const double off = log(fmax(answer.choice.phi[r], JW_REJET_LEAST_PHI) / bands->target[r]);
		let_out(bands, (jw_range)r, off);
		if (r == JW_FULL)
			lack(bands, &answer.choice, off);
	}
	return status;
}

jw_status jw_band_off(const jw_bands *bands, const jw_brass *set, const jw_air *air, jw_range range, double *off,
                      jw_error *error)
{
	jw_mixture mixture;
	jw_status status = jw_mixture_at(&set->setup, air, &set->setup.range[range], &mixture, error);
	*off = status < 0 ? 0.0 : jw_rejet_lnphi(&mixture) - log(bands->target[range]);
	return status;
}

jw_status jw_bands_off(const jw_bands *bands, const jw_brass *set, const jw_air *air, double *off, jw_status *warned,
                       jw_error *error)
{
	jw_status status = JW_OK;
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		const jw_status solved = jw_band_off(bands, set, air, (jw_range)r, &off[r], error);
		status = jw_both(status, solved);
		if (warned)
			warned[r] = solved;
	}
	return status;
}

int jw_band_not_rich(const jw_bands *bands, jw_range range, double off)
{
	return past(range, off, 1) <= bands->let_out[range] + SAME;
}

/* Lean at full throttle destroys engines: there is no room to climb in. */
int jw_band_not_lean(const jw_bands *bands, jw_range range, double off)
{
	return past(range, off, 0) <= (range == JW_FULL ? bands->too_lean : bands->let_out[range]) + SAME;
}

int jw_bands_hold(const jw_bands *bands, const double *off)
{
	int held = 1;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		held &= jw_band_not_rich(bands, (jw_range)r, off[r]) && jw_band_not_lean(bands, (jw_range)r, off[r]);
	return held;
}

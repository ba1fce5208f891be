/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is told of each part of a choice, and where trials begin. */
#include "rejet/chooser.h"

#include "base/base.h"

#include <string.h>

/* Of ln(phi): less is rounding. */
#define SAME_LNPHI 1e-9
/* A part serves the ranges that feel it more than this share of what the one does that feels it most. */
#define SERVES 0.5

static const jw_range tells[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = JW_FULL,      [JW_PART_PILOT_JET] = JW_OFF_IDLE,   [JW_PART_MAIN_AIR_JET] = JW_QUARTER,
    [JW_PART_PILOT_AIR_JET] = JW_IDLE, [JW_PART_NEEDLE_POSITION] = JW_HALF, [JW_PART_MIXTURE_SCREW] = JW_IDLE,
};

jw_range jw_rejet_tells(jw_part part)
{
	return (unsigned)part < JW_PART_COUNT ? tells[part] : JW_FULL;
}

static jw_status effect_of(const jw_chooser *c, const jw_pick *p, jw_part part, jw_rejet_piece *piece)
{
	double value[JW_PART_COUNT], above[JW_RANGE_COUNT], below[JW_RANGE_COUNT];
	const double step = jw_usual_step(c, part), high = jw_bounded(c, part, p->value[part] + 0.5 * step),
	             low = jw_bounded(c, part, p->value[part] - 0.5 * step);
	memcpy(value, p->value, sizeof value);
	value[part] = high;
	jw_status status = jw_set_lnphi(c, value, above);
	value[part] = low;
	if (status >= 0)
		status = jw_both(status, jw_set_lnphi(c, value, below));
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0 && high > low; r++)
		piece->effect[r] = (above[r] - below[r]) * step / (high - low);
	return status;
}

static int beyond(const jw_chooser *c, jw_part part, double ideal)
{
	const jw_at_hand *hand = &c->hand[part];
	double half = 0.5 * jw_usual_step(c, part);
	if (hand->count > 1 && ideal > hand->value[hand->count - 1] + half)
		return 1;
	return hand->count > 1 && ideal < hand->value[0] - half ? -1 : 0;
}

/* Of the ranges that a part serves, one stays far leaner than another, in what each tolerates. */
static void tear(const jw_chooser *c, jw_rejet_piece *piece)
{
	double most = 0.0, leanest = INFINITY, richest = -INFINITY;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		most = fmax(most, fabs(piece->effect[r]));
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double off = (c->ideal_lnphi[r] - c->target[r]) / jw_rejet_tolerance((jw_range)r);
		if (!(fabs(piece->effect[r]) > SERVES * most))
			continue;
		if (off < leanest) {
			leanest = off;
			piece->lean = (jw_range)r;
		}
		if (off > richest) {
			richest = off;
			piece->rich = (jw_range)r;
		}
	}
	piece->torn = richest - leanest > 2.0;
}

/* ---- where trials begin ---- */

/* The range that tells of a part is wanted on its target, with a margin to the rich side. */
static double wanted_of(const jw_chooser *c, jw_part part, double margin)
{
	return c->target[jw_rejet_tells(part)] + margin - SAME_LNPHI;
}

/* Below full throttle a choice may be lean for the sake of another range: no trials lead from there to what is wanted.
 */
static int out_of_reach(const jw_chooser *c, const jw_pick *p, jw_part part)
{
	const jw_range at = jw_rejet_tells(part);
	return at != JW_FULL && p->lnphi[at] < c->target[at] - jw_rejet_tolerance(at);
}

/* The least rich at hand that does it, the others as chosen, or the richest; none where that is still lean. */
static jw_status begin_listed(const jw_chooser *c, const jw_pick *p, jw_part part, double wanted, jw_rejet_piece *piece)
{
	const jw_range at = jw_rejet_tells(part);
	const jw_at_hand *hand = &c->hand[part];
	jw_pick trial = *p;
	int is_lean = out_of_reach(c, p, part);
	for (; trial.index[part] < hand->count && !piece->start_covers && !is_lean; trial.index[part]++) {
		jw_status status = jw_judge_pick(c, &trial);
		if (status < 0)
			return status;
		piece->start = hand->value[trial.index[part]];
		piece->start_place = hand->place[trial.index[part]];
		piece->start_covers = trial.lnphi[at] >= wanted;
	}
	is_lean |= at != JW_FULL && trial.lnphi[at] < c->target[at] - SAME_LNPHI;
	if (is_lean) {
		piece->start = piece->chosen;
		piece->start_place = piece->place;
	}
	return JW_OK;
}

/* Fuel goes with the area of a jet that meters by itself; where it does but this share of that, the others in its way
 * take all but this share of the pull, and meter. */
#define METERS 0.25

/* The largest main jet, in usual steps, up to which it meters. */
static jw_status largest_bore(const jw_chooser *c, const jw_pick *p, double *bore_m)
{
	const jw_part part = JW_PART_MAIN_JET;
	const double step = jw_usual_step(c, part);
	double value[JW_PART_COUNT], before[JW_RANGE_COUNT], after[JW_RANGE_COUNT];
	memcpy(value, p->value, sizeof value);
	memcpy(before, p->lnphi, sizeof before);
	jw_status status = JW_OK;
	for (*bore_m = value[part]; status >= 0; *bore_m = value[part]) {
		value[part] = jw_bounded(c, part, *bore_m + step);
		status = jw_both(status, jw_set_lnphi(c, value, after));
		if (status < 0 || after[JW_FULL] - before[JW_FULL] <= METERS * 2.0 * log(value[part] / *bore_m))
			break;
		memcpy(before, after, sizeof before);
	}
	return status;
}

/* Where any bore is at hand: the main jet that just does it, or the largest that meters. */
static jw_status begin_bore(const jw_chooser *c, const jw_pick *p, jw_part part, double wanted, jw_rejet_piece *piece)
{
	const jw_range at = jw_rejet_tells(part);
	jw_setup s = *c->setup;
	double largest;
	jw_status status = largest_bore(c, p, &largest);
	if (status < 0)
		return status;
	for (int i = 0; i < c->parts; i++)
		jw_part_set(&s, c->sought[i], p->value[c->sought[i]], NULL);
	piece->start_covers = p->lnphi[at] >= wanted;
	if (!piece->start_covers) {
		const int found = jw_part_for_phi(&s, c->air, &s.range[at], part, exp(wanted), &piece->start, NULL) >= 0;
		piece->start_covers = found && piece->start <= largest;
		piece->start = piece->start_covers ? piece->start : largest;
	}
	piece->start = fmax(piece->start, piece->chosen);
	return status;
}

jw_status jw_begin_trials(const jw_chooser *c, const jw_pick *p, jw_rejet_choice *choice)
{
	double start[JW_PART_COUNT], lnphi[JW_RANGE_COUNT];
	jw_status status = JW_OK;
	memcpy(start, p->value, sizeof start);
	for (int i = 0; i < c->parts && status >= 0; i++) {
		jw_part part = c->sought[i];
		jw_rejet_piece *piece = &choice->piece[part];
		const double wanted = wanted_of(c, part, JW_REJET_MARGIN * choice->relative_change[jw_rejet_tells(part)]);
		piece->start = piece->chosen;
		piece->start_place = piece->place;
		if (part == JW_PART_MIXTURE_SCREW) /* it is turned by ear */
			continue;
		if (c->any_bore && part == JW_PART_MAIN_JET)
			status = jw_both(status, begin_bore(c, p, part, wanted, piece));
		else
			status = jw_both(status, begin_listed(c, p, part, wanted, piece));
		start[part] = piece->start;
	}
	if (status >= 0)
		status = jw_both(status, jw_set_lnphi(c, start, lnphi));
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++)
		choice->start[r] = exp(lnphi[r]);
	return status;
}

jw_status jw_tell_parts(const jw_chooser *c, const jw_pick *p, jw_rejet_choice *choice)
{
	jw_status status = JW_OK;
	for (int part = 0; part < JW_PART_COUNT; part++) {
		jw_rejet_piece *piece = &choice->piece[part];
		piece->was = piece->chosen = piece->ideal = c->was[part];
		piece->start = c->was[part];
		piece->at_hand = 1;
		piece->place = piece->start_place = -1;
	}
	for (int i = 0; i < c->parts && status >= 0; i++) {
		jw_part part = c->sought[i];
		const jw_at_hand *hand = &c->hand[part];
		jw_rejet_piece *piece = &choice->piece[part];
		piece->sought = 1;
		piece->ideal = c->ideal[part];
		piece->chosen = p->value[part];
		piece->at_hand = hand->count;
		piece->place = hand->place[p->index[part]];
		piece->beyond = beyond(c, part, c->ideal[part]);
		status = jw_both(status, effect_of(c, p, part, piece));
		tear(c, piece);
	}
	return status;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a person exchanges or moves, how far, and what of it is at hand. */
#include "rejet/chooser.h"

#include "base/base.h"

/* No jet is smaller, m. */
#define LEAST_BORE 0.1e-3
/* Bores that differ by less, m, are one: that is rounding. */
#define SAME_BORE 1e-6

/* How each part is sought. A weak pull to where it stands, or once that is known to its ideal, decides where several
 * could do the same; the scale is how far a tuner goes without a thought. Of a bore all but its limits count as a share
 * of the present one. */
static const struct sought_row {
	int by_ratio;
	double scale, low, high, step;
	double most; /* of a bore, m */
} rows[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = {1, 0.3, 0.2, 5.0, 0.025, 5e-3},
    [JW_PART_PILOT_JET] = {1, 0.15, 0.2, 5.0, 0.025, 3e-3},
    [JW_PART_NEEDLE_POSITION] = {0, 1.5e-3, -4e-3, 4e-3, 0.5e-3, 0},
    [JW_PART_MIXTURE_SCREW] = {0, 1.0, 0.25, 5.0, JW_REJET_SCREW_STEP, 0},
};

static int has_needle(const jw_carburetor *c)
{
	return c->needle.straight_m > 0.0;
}

int jw_is_sought(const jw_setup *setup, jw_part part)
{
	const jw_carburetor *c = &setup->carburetor;
	if (!(rows[part].scale > 0.0))
		return 0;
	if (part == JW_PART_NEEDLE_POSITION)
		return has_needle(c);
	if (part == JW_PART_MIXTURE_SCREW)
		return c->screw.hole_m > 0.0;
	return jw_part_value(setup, part) > 0.0;
}

double jw_usual_step(const jw_chooser *c, jw_part part)
{
	return rows[part].by_ratio ? rows[part].step * c->was[part] : rows[part].step;
}

double jw_bounded(const jw_chooser *c, jw_part part, double value)
{
	const struct sought_row *row = &rows[part];
	if (!row->by_ratio)
		return jw_clamp(value, row->low, row->high);
	return jw_clamp(value, fmax(row->low * c->was[part], LEAST_BORE), fmin(row->high * c->was[part], row->most));
}

double jw_pull(const jw_chooser *c, jw_part part, double off)
{
	return jw_square(off / rows[part].scale / (rows[part].by_ratio ? c->was[part] : 1.0));
}

static void put(jw_at_hand *hand, double value, int place)
{
	hand->value[hand->count] = value;
	hand->place[hand->count++] = place;
}

int jw_same_jet(double bore_m, double other_m)
{
	return fabs(bore_m / other_m - 1.0) < JW_REJET_SAME_BORE;
}

/* The one that is fitted is at hand too, in its place among them and for those that are hardly another. */
static void put_jets(jw_at_hand *hand, const jw_jet *jets, int count, double was)
{
	int i = 0, place = -1;
	for (; i < count && jets[i].bore_m < was && !jw_same_jet(jets[i].bore_m, was); i++)
		put(hand, jets[i].bore_m, i);
	for (; i < count && jw_same_jet(jets[i].bore_m, was); i++)
		place = fabs(jets[i].bore_m - was) <= SAME_BORE ? i : place;
	put(hand, was, place);
	for (; i < count; i++)
		put(hand, jets[i].bore_m, i);
}

/* Where any bore is at hand: the ideal one, unless that is hardly another than the one that is fitted. A pilot jet may
 * also stay, so both are laid out; the main jet is made to fit the others in the end. */
static void put_bores(jw_at_hand *hand, jw_part part, double ideal, double was)
{
	if (jw_same_jet(ideal, was)) {
		put(hand, was, -1);
	} else if (part == JW_PART_PILOT_JET) {
		put(hand, fmin(was, ideal), -1);
		put(hand, fmax(was, ideal), -1);
	} else {
		put(hand, ideal, -1);
	}
}

static void put_grooves(jw_at_hand *hand, const jw_grooves *g, double was)
{
	for (int groove = 1; groove <= g->count; groove++) {
		double raised = was + (groove - g->now) * g->pitch_m;
		if (raised >= rows[JW_PART_NEEDLE_POSITION].low && raised <= rows[JW_PART_NEEDLE_POSITION].high)
			put(hand, raised, groove);
	}
}

static void put_turns(jw_at_hand *hand, double was)
{
	const struct sought_row *row = &rows[JW_PART_MIXTURE_SCREW];
	for (int k = (int)ceil((row->low - was) / row->step); was + k * row->step <= row->high; k++)
		put(hand, was + k * row->step, -1);
}

void jw_lay_out(const jw_rejet_request *q, jw_chooser *c, jw_part part, double ideal)
{
	jw_at_hand *hand = &c->hand[part];
	hand->count = 0;
	if (part == JW_PART_MAIN_JET && q->jets)
		put_jets(hand, q->jets->main, q->jets->mains, c->was[part]);
	else if (part == JW_PART_PILOT_JET && q->jets)
		put_jets(hand, q->jets->pilot, q->jets->pilots, c->was[part]);
	else if (part == JW_PART_NEEDLE_POSITION)
		put_grooves(hand, &q->grooves, c->was[part]);
	else if (part == JW_PART_MIXTURE_SCREW)
		put_turns(hand, c->was[part]);
	else
		put_bores(hand, part, ideal, c->was[part]);
	if (!hand->count)
		put(hand, c->was[part], -1);
}

int jw_nearest(const jw_at_hand *hand, double value)
{
	int best = 0;
	for (int i = 1; i < hand->count; i++)
		if (fabs(hand->value[i] - value) < fabs(hand->value[best] - value))
			best = i;
	return best;
}

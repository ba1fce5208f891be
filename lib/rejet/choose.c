/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to fit out of the jets at hand, and what would be ideal. */
#include "rejet/parts.h"

#include "base/base.h"

#include <string.h>

#define MOST_AT_HAND (JW_JETS_MOST + 1)
/* The search tries this many steps either way of each part, and moves on while that helps. */
#define REACH 1
#define MOST_MOVES 100
/* A choice leaner than allowed at full throttle loses against any that is not. */
#define UNSAFE 1e-4
/* The ideal is sought on ever finer grids, from two usual steps down to this part of one. */
#define FINEST (1.0 / 128)
/* Of ln(phi): less is rounding. */
#define SAME_LNPHI 1e-9
/* No jet is smaller, m. */
#define LEAST_BORE 0.1e-3
/* Bores that differ by less are one. */
#define SAME_BORE 1e-6
/* A part serves the ranges that feel it more than this share of what the one does that feels it most. */
#define SERVES 0.5

/* How each part is sought. A weak pull to where it stands decides where several could do the same; the scale is how far
 * a tuner goes without a thought. Of a bore all but its limits count as a share of the present one. */
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

/* Residual gas and habit make idle forgiving, heat makes full throttle less so. */
static const double tolerances[JW_RANGE_COUNT] = {
    [JW_IDLE] = 0.04, [JW_OFF_IDLE] = 0.04,      [JW_QUARTER] = 0.05,
    [JW_HALF] = 0.04, [JW_THREE_QUARTER] = 0.03, [JW_FULL] = 0.02,
};

double jw_rejet_tolerance(jw_range range)
{
	return (unsigned)range < JW_RANGE_COUNT ? tolerances[range] : 0.0;
}

static const jw_range tells[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = JW_FULL,      [JW_PART_PILOT_JET] = JW_OFF_IDLE,   [JW_PART_MAIN_AIR_JET] = JW_QUARTER,
    [JW_PART_PILOT_AIR_JET] = JW_IDLE, [JW_PART_NEEDLE_POSITION] = JW_HALF, [JW_PART_MIXTURE_SCREW] = JW_IDLE,
};

jw_range jw_rejet_tells(jw_part part)
{
	return (unsigned)part < JW_PART_COUNT ? tells[part] : JW_FULL;
}

/* What there is of one part, rising. */
typedef struct at_hand {
	double value[MOST_AT_HAND]; /* of a screw's turns there are fewer */
	int place[MOST_AT_HAND];
	int count;
} at_hand;

typedef struct chooser {
	const jw_setup *setup;
	const jw_air *air;
	double target[JW_RANGE_COUNT]; /* ln(phi) */
	double was[JW_PART_COUNT];
	jw_part sought[JW_PART_COUNT];
	int parts;
	at_hand hand[JW_PART_COUNT];
	int least_main; /* index of the smallest main jet that may be chosen */
	int safe;       /* 1: some choice is safe at full throttle */
	int any_bore;   /* 1: the main jet is made to fit the others */
	jw_error *error;
} chooser;

/* ---- what may be moved ---- */

static int has_needle(const jw_carburetor *c)
{
	return c->needle.straight_m > 0.0;
}

static int is_sought(const jw_setup *setup, jw_part part)
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

static void put(at_hand *hand, double value, int place)
{
	hand->value[hand->count] = value;
	hand->place[hand->count++] = place;
}

/* The one that is fitted is at hand too, in its place among them. */
static void put_jets(at_hand *hand, const jw_jet *jets, int count, double was)
{
	int i = 0;
	for (; i < count && jets[i].bore_m < was - SAME_BORE; i++)
		put(hand, jets[i].bore_m, i);
	if (i >= count || jets[i].bore_m > was + SAME_BORE)
		put(hand, was, -1);
	for (; i < count; i++)
		put(hand, jets[i].bore_m, i);
}

static void put_grooves(at_hand *hand, const jw_grooves *g, double was)
{
	for (int groove = 1; groove <= g->count; groove++) {
		double raised = was + (groove - g->now) * g->pitch_m;
		if (raised >= rows[JW_PART_NEEDLE_POSITION].low && raised <= rows[JW_PART_NEEDLE_POSITION].high)
			put(hand, raised, groove);
	}
}

static void put_turns(at_hand *hand, double was)
{
	const struct sought_row *row = &rows[JW_PART_MIXTURE_SCREW];
	for (int k = (int)ceil((row->low - was) / row->step); was + k * row->step <= row->high; k++)
		put(hand, was + k * row->step, -1);
}

/* Where no list of jets is given, any bore is at hand: the ideal one. */
static void lay_out(const jw_rejet_request *q, chooser *c, jw_part part, double ideal)
{
	at_hand *hand = &c->hand[part];
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
		put(hand, ideal, -1);
	if (!hand->count)
		put(hand, c->was[part], -1);
}

/* ---- how good a set of parts is ---- */

static jw_status lnphi_of(const chooser *c, const double *value, double *lnphi)
{
	jw_setup s = *c->setup;
	jw_status status = JW_OK;
	for (int i = 0; i < c->parts && status >= 0; i++)
		status = jw_part_set(&s, c->sought[i], value[c->sought[i]], c->error);
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		jw_mixture m;
		jw_status solved = jw_mixture_at(&s, c->air, &s.range[r], &m, c->error);
		status = jw_both(status, solved);
		if (solved >= 0)
			lnphi[r] = jw_rejet_lnphi(&m);
	}
	return status;
}

/* Of a miss in tolerances: its square, beyond two of them a straight line, so that a range out of reach does not drag
 * the others along (Huber, Annals of Mathematical Statistics 35, 1964). */
static double loss(double miss)
{
	double size = fabs(miss);
	return size <= 2.0 ? jw_square(miss) : 4.0 * (size - 1.0);
}

static double cost_of(const chooser *c, const double *value, const double *lnphi)
{
	double cost = 0.0;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		cost += loss((lnphi[r] - c->target[r]) / tolerances[r]);
	for (int i = 0; i < c->parts; i++)
		cost += value[c->sought[i]] != c->was[c->sought[i]] ? JW_REJET_STAY : 0.0;
	return cost;
}

/* How much leaner than allowed at full throttle. */
static double unsafe_by(const chooser *c, const double *lnphi)
{
	return fmax(c->target[JW_FULL] - lnphi[JW_FULL] - JW_REJET_LEANER, 0.0);
}

/* ---- the ideal ---- */

static double usual_step(const chooser *c, jw_part part)
{
	return rows[part].by_ratio ? rows[part].step * c->was[part] : rows[part].step;
}

static double bounded(const chooser *c, jw_part part, double value)
{
	const struct sought_row *row = &rows[part];
	if (!row->by_ratio)
		return jw_clamp(value, row->low, row->high);
	return jw_clamp(value, fmax(row->low * c->was[part], LEAST_BORE), fmin(row->high * c->was[part], row->most));
}

/* The main jet follows from full throttle, whatever the others are; where it cannot, it goes as far as it can. One
 * search reaches from 0.4 to 2.5 times where it begins. */
static void set_main(const chooser *c, double *value)
{
	const jw_part main = JW_PART_MAIN_JET;
	const jw_point *point = &c->setup->range[JW_FULL];
	jw_setup s = *c->setup;
	jw_mixture m = {0};
	for (int i = 0; i < c->parts; i++)
		jw_part_set(&s, c->sought[i], value[c->sought[i]], NULL);
	jw_part_set(&s, main, c->was[main], NULL);
	for (int i = 0; i < 2; i++) {
		if (jw_part_for_phi(&s, c->air, point, main, exp(c->target[JW_FULL]), &value[main], NULL) >= 0)
			return;
		jw_mixture_at(&s, c->air, point, &m, NULL);
		double part = jw_part_value(&s, main);
		value[main] = bounded(c, main, (jw_rejet_lnphi(&m) < c->target[JW_FULL] ? 2.5 : 0.4) * part);
		jw_part_set(&s, main, value[main], NULL);
	}
}

static jw_status ideal_cost(const chooser *c, double *value, double *cost)
{
	double lnphi[JW_RANGE_COUNT];
	set_main(c, value);
	jw_status status = lnphi_of(c, value, lnphi);
	if (status < 0)
		return status;
	*cost = cost_of(c, value, lnphi);
	for (int i = 0; i < c->parts; i++) {
		jw_part part = c->sought[i];
		double off = value[part] - c->was[part];
		*cost += jw_square(off / rows[part].scale / (rows[part].by_ratio ? c->was[part] : 1.0));
	}
	return status;
}

/* The best of all neighbours of a set at some share of the usual steps; the main jet has none. */
static jw_status best_neighbour(const chooser *c, double share, double *best, double *least)
{
	double centre[JW_PART_COUNT], value[JW_PART_COUNT], cost;
	int codes = 1;
	memcpy(centre, best, sizeof centre);
	for (int i = 0; i < c->parts; i++)
		codes *= c->sought[i] == JW_PART_MAIN_JET ? 1 : 3;
	for (int code = 0; code < codes; code++) {
		int digits = code;
		memcpy(value, centre, sizeof value);
		for (int i = 0; i < c->parts; i++) {
			jw_part part = c->sought[i];
			if (part == JW_PART_MAIN_JET)
				continue;
			value[part] = bounded(c, part, centre[part] + (digits % 3 - 1) * share * usual_step(c, part));
			digits /= 3;
		}
		jw_status status = ideal_cost(c, value, &cost);
		if (status < 0)
			return status;
		if (cost < *least) {
			*least = cost;
			memcpy(best, value, sizeof value);
		}
	}
	return JW_OK;
}

static jw_status seek_ideal(const chooser *c, double *value)
{
	double least;
	memcpy(value, c->was, sizeof c->was);
	jw_status status = ideal_cost(c, value, &least);
	for (double share = 2.0; share >= FINEST && status >= 0; share /= 2.0) {
		double before = INFINITY;
		for (int i = 0; i < MOST_MOVES && status >= 0 && least < before; i++) {
			before = least;
			status = best_neighbour(c, share, value, &least);
		}
	}
	return status;
}

/* ---- the choice ---- */

typedef struct pick {
	int index[JW_PART_COUNT];
	double value[JW_PART_COUNT], lnphi[JW_RANGE_COUNT];
	double cost, judged;
} pick;

/* What is unsafe weighs more than all else. */
static double judged_cost(const chooser *c, double cost, const double *lnphi)
{
	return cost + (c->safe ? jw_square(unsafe_by(c, lnphi) / UNSAFE) : 0.0);
}

static jw_status judge(const chooser *c, pick *p)
{
	memcpy(p->value, c->was, sizeof p->value);
	for (int i = 0; i < c->parts; i++)
		p->value[c->sought[i]] = c->hand[c->sought[i]].value[p->index[c->sought[i]]];
	jw_status status = lnphi_of(c, p->value, p->lnphi);
	if (status < 0)
		return status;
	p->cost = cost_of(c, p->value, p->lnphi);
	p->judged = judged_cost(c, p->cost, p->lnphi);
	return status;
}

static int nearest(const at_hand *hand, double value)
{
	int best = 0;
	for (int i = 1; i < hand->count; i++)
		if (fabs(hand->value[i] - value) < fabs(hand->value[best] - value))
			best = i;
	return best;
}

static int least_index(const chooser *c, jw_part part)
{
	return part == JW_PART_MAIN_JET ? c->least_main : 0;
}

/* The best of all sets within reach of one; which of them is counted in the digits of `code`. */
static jw_status best_about(const chooser *c, pick *best)
{
	const int width = 2 * REACH + 1;
	const pick centre = *best;
	int codes = 1;
	for (int i = 0; i < c->parts; i++)
		codes *= width;
	for (int code = 0; code < codes; code++) {
		pick p = centre;
		int inside = 1, digits = code;
		for (int i = 0; i < c->parts; i++, digits /= width) {
			int *index = &p.index[c->sought[i]];
			*index += digits % width - REACH;
			inside &= *index >= least_index(c, c->sought[i]) && *index < c->hand[c->sought[i]].count;
		}
		jw_status status = inside ? judge(c, &p) : JW_OK;
		if (status < 0)
			return status;
		if (inside && p.judged < best->judged)
			*best = p;
	}
	return JW_OK;
}

/* Fuel of the main circuit, or of the pilot, at every range with the parts that move it at some index. */
typedef struct fed {
	int index[2]; /* of main jet and needle, or pilot jet and screw */
	double kg_s[JW_RANGE_COUNT];
} fed;

typedef struct block {
	jw_part part[2];
	int pilot; /* 1: the pilot circuit, 0: the main one and what goes with it */
} block;

static const block blocks[2] = {{{JW_PART_MAIN_JET, JW_PART_NEEDLE_POSITION}, 0},
                                {{JW_PART_PILOT_JET, JW_PART_MIXTURE_SCREW}, 1}};

/* What a block gives with its parts at these indices, the other block as in the nominal pick. */
static jw_status feed(const chooser *c, const block *b, const pick *nominal, fed *f)
{
	jw_setup s = *c->setup;
	for (int i = 0; i < c->parts; i++)
		jw_part_set(&s, c->sought[i], c->hand[c->sought[i]].value[nominal->index[c->sought[i]]], NULL);
	for (int k = 0; k < 2; k++)
		if (c->hand[b->part[k]].count)
			jw_part_set(&s, b->part[k], c->hand[b->part[k]].value[f->index[k]], NULL);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		jw_mixture m;
		jw_status status = jw_mixture_at(&s, c->air, &s.range[r], &m, c->error);
		if (status < 0)
			return status;
		f->kg_s[r] = b->pilot ? m.flow.pilot.fuel_kg_s : m.fuel_kg_s - m.flow.pilot.fuel_kg_s;
	}
	return JW_OK;
}

static int count_of(const chooser *c, jw_part part)
{
	return c->hand[part].count > 0 ? c->hand[part].count : 1;
}

/* All of the main block. */
static jw_status feed_mains(const chooser *c, const pick *nominal, fed *all, int *count)
{
	const block *b = &blocks[0];
	jw_status status = JW_OK;
	*count = 0;
	for (int i = 0; i < count_of(c, b->part[0]) && status >= 0; i++)
		for (int k = 0; k < count_of(c, b->part[1]) && status >= 0; k++) {
			fed *f = &all[(*count)++];
			*f = (fed){.index = {i, k}};
			status = feed(c, b, nominal, f);
		}
	return status;
}

/* Where no main jet is safe with any groove, the largest is as good as can be, and nothing else is bent to help it. */
static void find_safe(chooser *c, const fed *main, int mains, const fed *pilot, const double *lean)
{
	c->safe = 0;
	for (int i = 0; i < mains && !c->safe; i++) {
		double lnphi[JW_RANGE_COUNT] = {[JW_FULL] =
		                                    log((main[i].kg_s[JW_FULL] + pilot->kg_s[JW_FULL]) * lean[JW_FULL])};
		c->safe = !(unsafe_by(c, lnphi) > 0.0) && !c->any_bore;
	}
	c->least_main = c->safe ? 0 : c->hand[JW_PART_MAIN_JET].count - 1;
}

/* The cost if the two blocks did not feel each other. */
static double guessed_cost(const chooser *c, const fed *main, const fed *pilot, const double *lean)
{
	double lnphi[JW_RANGE_COUNT], value[JW_PART_COUNT];
	const fed *of[2] = {main, pilot};
	memcpy(value, c->was, sizeof value);
	for (int b = 0; b < 2; b++)
		for (int k = 0; k < 2; k++)
			if (c->hand[blocks[b].part[k]].count)
				value[blocks[b].part[k]] = c->hand[blocks[b].part[k]].value[of[b]->index[k]];
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		lnphi[r] = log(fmax((main->kg_s[r] + pilot->kg_s[r]) * lean[r], JW_REJET_LEAST_PHI));
	return judged_cost(c, cost_of(c, value, lnphi), lnphi);
}

/* phi over fuel at the nominal pick. */
static void lean_of(const pick *nominal, const fed *main, const fed *pilot, double *lean)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		lean[r] = exp(nominal->lnphi[r]) / fmax(main->kg_s[r] + pilot->kg_s[r], 1e-15);
}

static fed fed_at(const pick *p, const block *b)
{
	return (fed){.index = {p->index[b->part[0]], p->index[b->part[1]]}};
}

static void take(const fed *f, const block *b, pick *p)
{
	for (int k = 0; k < 2; k++)
		p->index[b->part[k]] = f->index[k];
}

/* Circuits feel each other but little, so that the best of all sets is found among sums of their fuels, near enough for
 * steps from there to find it. */
static jw_status guess_best(chooser *c, pick *best)
{
	const block *second = &blocks[1];
	const pick nominal = *best;
	fed main[MOST_AT_HAND * JW_REJET_GROOVES], here[2] = {fed_at(best, &blocks[0]), fed_at(best, second)};
	double lean[JW_RANGE_COUNT], least = INFINITY;
	int mains;
	jw_status status = feed(c, &blocks[0], &nominal, &here[0]);
	if (status >= 0)
		status = feed(c, second, &nominal, &here[1]);
	if (status >= 0)
		status = feed_mains(c, &nominal, main, &mains);
	if (status < 0)
		return status;
	lean_of(&nominal, &here[0], &here[1], lean);
	find_safe(c, main, mains, &here[1], lean);
	int screws = count_of(c, second->part[1]), pilots = count_of(c, second->part[0]) * screws;
	for (int k = 0; k < pilots; k++) {
		fed pilot = {.index = {k / screws, k % screws}};
		status = feed(c, second, &nominal, &pilot);
		if (status < 0)
			return status;
		for (int i = 0; i < mains; i++) {
			double cost = main[i].index[0] < c->least_main ? INFINITY : guessed_cost(c, &main[i], &pilot, lean);
			if (!(cost < least))
				continue;
			least = cost;
			take(&main[i], &blocks[0], best);
			take(&pilot, second, best);
		}
	}
	return JW_OK;
}

static jw_status seek_choice(chooser *c, const double *ideal, pick *best)
{
	for (int i = 0; i < c->parts; i++)
		best->index[c->sought[i]] = nearest(&c->hand[c->sought[i]], ideal[c->sought[i]]);
	jw_status status = judge(c, best);
	if (status >= 0)
		status = guess_best(c, best);
	if (status >= 0)
		status = judge(c, best);
	for (int i = 0; i < MOST_MOVES && status >= 0; i++) {
		double before = best->judged;
		status = best_about(c, best);
		if (!(best->judged < before))
			break;
	}
	if (status >= 0 && c->any_bore) {
		set_main(c, best->value);
		c->hand[JW_PART_MAIN_JET].value[0] = best->value[JW_PART_MAIN_JET];
		status = judge(c, best);
	}
	return status;
}

/* ---- what is told of each part ---- */

static jw_status effect_of(const chooser *c, const pick *p, jw_part part, jw_rejet_piece *piece)
{
	double value[JW_PART_COUNT], above[JW_RANGE_COUNT], below[JW_RANGE_COUNT];
	const double step = usual_step(c, part), high = bounded(c, part, p->value[part] + 0.5 * step),
	             low = bounded(c, part, p->value[part] - 0.5 * step);
	memcpy(value, p->value, sizeof value);
	value[part] = high;
	jw_status status = lnphi_of(c, value, above);
	value[part] = low;
	if (status >= 0)
		status = jw_both(status, lnphi_of(c, value, below));
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0 && high > low; r++)
		piece->effect[r] = (above[r] - below[r]) * step / (high - low);
	return status;
}

static int beyond(const chooser *c, jw_part part, double ideal)
{
	const at_hand *hand = &c->hand[part];
	double half = 0.5 * usual_step(c, part);
	if (hand->count > 1 && ideal > hand->value[hand->count - 1] + half)
		return 1;
	return hand->count > 1 && ideal < hand->value[0] - half ? -1 : 0;
}

/* Of the ranges that a part serves, one stays far leaner than another, in what each tolerates. */
static void tear(const chooser *c, const double *ideal_lnphi, jw_rejet_piece *piece)
{
	double most = 0.0, leanest = INFINITY, richest = -INFINITY;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		most = fmax(most, fabs(piece->effect[r]));
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double off = (ideal_lnphi[r] - c->target[r]) / tolerances[r];
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

/* The least rich of a part that keeps the margin, the others as chosen; the screw is turned by ear. */
static jw_status begin_part(const chooser *c, const pick *p, jw_part part, double margin, pick *start, int *covers)
{
	const jw_range at = tells[part];
	const double wanted = fmin(c->target[at], p->lnphi[at]) + margin - SAME_LNPHI;
	pick trial = *p;
	*covers = 0;
	if (part == JW_PART_MIXTURE_SCREW)
		return JW_OK;
	for (; trial.index[part] < c->hand[part].count && !*covers; trial.index[part]++) {
		jw_status status = judge(c, &trial);
		if (status < 0)
			return status;
		start->index[part] = trial.index[part];
		*covers = trial.lnphi[at] >= wanted;
	}
	return JW_OK;
}

static jw_status begin(const chooser *c, const pick *p, jw_rejet_choice *choice)
{
	pick start = *p;
	jw_status status = JW_OK;
	for (int i = 0; i < c->parts && status >= 0; i++) {
		jw_part part = c->sought[i];
		jw_rejet_piece *piece = &choice->piece[part];
		status = begin_part(c, p, part, JW_REJET_MARGIN * choice->relative[tells[part]], &start, &piece->start_covers);
		piece->start = c->hand[part].value[start.index[part]];
		piece->start_place = c->hand[part].place[start.index[part]];
	}
	if (status >= 0)
		status = judge(c, &start);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		choice->start[r] = exp(start.lnphi[r]);
	return status;
}

static jw_status tell_parts(const chooser *c, const pick *p, const double *ideal, const double *ideal_lnphi,
                            jw_rejet_choice *choice)
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
		const at_hand *hand = &c->hand[part];
		jw_rejet_piece *piece = &choice->piece[part];
		piece->sought = 1;
		piece->ideal = ideal[part];
		piece->chosen = p->value[part];
		piece->at_hand = hand->count;
		piece->place = hand->place[p->index[part]];
		piece->beyond = beyond(c, part, ideal[part]);
		status = jw_both(status, effect_of(c, p, part, piece));
		tear(c, ideal_lnphi, piece);
	}
	return status;
}

/* Against a mixture that was right, what the changes leave in doubt; against a lambda that somebody names, all. */
static void tell_doubt(const jw_rejet_request *q, const jw_rejet_answer *a, jw_rejet_choice *choice)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		choice->relative[r] = q->target_lambda[r] > 0.0 ? a->range[r].relative_after : a->range[r].relative_change;
}

static jw_status prepare(const jw_rejet_request *q, const jw_rejet_answer *a, chooser *c, jw_error *error)
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
		if (is_sought(&a->setup, (jw_part)part))
			c->sought[c->parts++] = (jw_part)part;
	}
	return JW_OK;
}

jw_status jw_rejet_choose(const jw_rejet_request *request, const jw_rejet_answer *answer, jw_rejet_choice *choice,
                          jw_error *error)
{
	chooser c = {0};
	pick p = {0};
	double ideal[JW_PART_COUNT], ideal_lnphi[JW_RANGE_COUNT];
	jw_rejet_choice found = {0};
	jw_status status = prepare(request, answer, &c, error);
	if (status < 0)
		return status;
	status = seek_ideal(&c, ideal);
	if (status >= 0)
		status = lnphi_of(&c, ideal, ideal_lnphi);
	for (int i = 0; i < c.parts; i++)
		lay_out(request, &c, c.sought[i], ideal[c.sought[i]]);
	if (status >= 0)
		status = seek_choice(&c, ideal, &p);
	tell_doubt(request, answer, &found);
	if (status >= 0)
		status = tell_parts(&c, &p, ideal, ideal_lnphi, &found);
	if (status >= 0)
		status = begin(&c, &p, &found);
	if (status < 0)
		return status;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		found.target[r] = exp(c.target[r]);
		found.ideal[r] = exp(ideal_lnphi[r]);
		found.phi[r] = exp(p.lnphi[r]);
	}
	found.cost = p.cost;
	found.safe = !(unsafe_by(&c, p.lnphi) > 0.0);
	*choice = found;
	return status;
}

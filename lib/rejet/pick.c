/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The best set out of what is at hand. */
#include "rejet/chooser.h"

#include "base/base.h"

#include <string.h>

/* The search tries this many steps either way of each part, and moves on while that helps. */
#define REACH 1
#define MOST_MOVES 100

/* Nothing makes up at three quarters and full throttle for a main jet that there is none of: they are as the main jet
 * has them. */
static double choice_cost(const jw_chooser *c, int main, const double *value, const double *lnphi)
{
	return c->main_cost[main] + jw_misses_cost(c, lnphi, JW_IDLE, JW_HALF) + jw_moves_cost(c, value) +
	       jw_bent_cost(c, value, c->ideal);
}

static jw_status judge_mains(jw_chooser *c)
{
	const jw_at_hand *hand = &c->hand[JW_PART_MAIN_JET];
	double value[JW_PART_COUNT], lnphi[JW_RANGE_COUNT];
	jw_status status = JW_OK;
	memcpy(value, c->ideal, sizeof value);
	for (int i = 0; i < hand->count && status >= 0; i++) {
		value[JW_PART_MAIN_JET] = hand->value[i];
		status = jw_both(status, jw_set_lnphi(c, value, lnphi));
		c->main_cost[i] = status < 0 ? 0.0 : jw_misses_cost(c, lnphi, JW_THREE_QUARTER, JW_FULL);
	}
	return status;
}

/* What is unsafe weighs more than all else, smoothly at first, or steps of one part would not find out of it. */
static double judged_cost(const jw_chooser *c, double cost, const double *lnphi)
{
	if (!c->safe)
		return cost;
	return c->strict && jw_too_lean(c, lnphi) ? INFINITY : cost + jw_square(jw_unsafe_by(c, lnphi) / JW_TRACE);
}

jw_status jw_judge_pick(const jw_chooser *c, jw_pick *p)
{
	memcpy(p->value, c->was, sizeof p->value);
	for (int i = 0; i < c->parts; i++)
		p->value[c->sought[i]] = c->hand[c->sought[i]].value[p->index[c->sought[i]]];
	jw_status status = jw_set_lnphi(c, p->value, p->lnphi);
	if (status < 0)
		return status;
	p->cost = choice_cost(c, p->index[JW_PART_MAIN_JET], p->value, p->lnphi);
	p->judged = judged_cost(c, p->cost, p->lnphi);
	return status;
}

static int least_index(const jw_chooser *c, jw_part part)
{
	return part == JW_PART_MAIN_JET ? c->least_main : 0;
}

/* The best of all sets within reach of one; which of them is counted in the digits of `code`. */
static jw_status best_about(const jw_chooser *c, jw_pick *best)
{
	const int width = 2 * REACH + 1;
	const jw_pick centre = *best;
	int codes = 1;
	for (int i = 0; i < c->parts; i++)
		codes *= width;
	for (int code = 0; code < codes; code++) {
		jw_pick p = centre;
		int inside = 1, digits = code;
		for (int i = 0; i < c->parts; i++, digits /= width) {
			int *index = &p.index[c->sought[i]];
			*index += digits % width - REACH;
			inside &= *index >= least_index(c, c->sought[i]) && *index < c->hand[c->sought[i]].count;
		}
		jw_status status = inside ? jw_judge_pick(c, &p) : JW_OK;
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
static jw_status feed(const jw_chooser *c, const block *b, const jw_pick *nominal, fed *f)
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

static int count_of(const jw_chooser *c, jw_part part)
{
	return c->hand[part].count > 0 ? c->hand[part].count : 1;
}

/* All of the main block. */
static jw_status feed_mains(const jw_chooser *c, const jw_pick *nominal, fed *all, int *count)
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
static void find_safe(jw_chooser *c, const fed *main, int mains, const fed *pilot, const double *lean)
{
	c->safe = 0;
	for (int i = 0; i < mains && !c->safe; i++) {
		double lnphi[JW_RANGE_COUNT] = {[JW_FULL] =
		                                    log((main[i].kg_s[JW_FULL] + pilot->kg_s[JW_FULL]) * lean[JW_FULL])};
		c->safe = !(jw_unsafe_by(c, lnphi) > 0.0) && !c->any_bore;
	}
	c->least_main = c->safe ? 0 : c->hand[JW_PART_MAIN_JET].count - 1;
}

/* The cost if the two blocks did not feel each other. */
static double guessed_cost(const jw_chooser *c, const fed *main, const fed *pilot, const double *lean)
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
	return judged_cost(c, choice_cost(c, main->index[0], value, lnphi), lnphi);
}

/* phi over fuel at the nominal pick. */
static void lean_of(const jw_pick *nominal, const fed *main, const fed *pilot, double *lean)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		lean[r] = exp(nominal->lnphi[r]) / fmax(main->kg_s[r] + pilot->kg_s[r], 1e-15);
}

static fed fed_at(const jw_pick *p, const block *b)
{
	return (fed){.index = {p->index[b->part[0]], p->index[b->part[1]]}};
}

static void take(const fed *f, const block *b, jw_pick *p)
{
	for (int k = 0; k < 2; k++)
		p->index[b->part[k]] = f->index[k];
}

/* Circuits feel each other but little, so that the best of all sets is found among sums of their fuels, near enough for
 * steps from there to find it. */
static jw_status guess_best(jw_chooser *c, jw_pick *best)
{
	const block *second = &blocks[1];
	const jw_pick nominal = *best;
	fed main[JW_MOST_AT_HAND * JW_REJET_GROOVES], here[2] = {fed_at(best, &blocks[0]), fed_at(best, second)};
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

static jw_status improve(const jw_chooser *c, jw_pick *best)
{
	jw_status status = JW_OK;
	for (int i = 0; i < MOST_MOVES && status >= 0; i++) {
		double before = best->judged;
		status = best_about(c, best);
		if (!(best->judged < before))
			break;
	}
	return status;
}

/* Where a choice ends too lean, on from the next larger main jet, and never back. */
static jw_status make_safe(jw_chooser *c, jw_pick *best)
{
	int *main = &best->index[JW_PART_MAIN_JET];
	jw_status status = JW_OK;
	if (!c->safe || !jw_too_lean(c, best->lnphi))
		return status;
	c->strict = 1;
	while (status >= 0 && *main < c->hand[JW_PART_MAIN_JET].count - 1 && jw_too_lean(c, best->lnphi)) {
		++*main;
		status = jw_judge_pick(c, best);
	}
	if (status >= 0)
		status = improve(c, best);
	c->strict = 0;
	return status;
}

/* With a main jet that is now another. */
static jw_status judge_with_main(jw_chooser *c, jw_pick *best)
{
	jw_status status = judge_mains(c);
	return status < 0 ? status : jw_both(status, jw_judge_pick(c, best));
}

/* The one chosen alone is at hand from here on: where any bore is, no step leads to a next one. */
static void make_pilot(jw_chooser *c, jw_pick *best)
{
	jw_at_hand *hand = &c->hand[JW_PART_PILOT_JET];
	if (!hand->count)
		return;
	hand->value[0] = best->value[JW_PART_PILOT_JET];
	hand->count = 1;
	best->index[JW_PART_PILOT_JET] = 0;
}

/* The bore that goes with the other parts; the one that is in where that is hardly another and not too lean. */
static jw_status make_main(jw_chooser *c, jw_pick *best)
{
	const jw_part main = JW_PART_MAIN_JET;
	double *bore_m = &c->hand[main].value[0];
	jw_set_main(c, best->value);
	const double made_m = best->value[main];
	*bore_m = jw_same_jet(made_m, c->was[main]) ? c->was[main] : made_m;
	jw_status status = judge_with_main(c, best);
	if (status < 0 || *bore_m == made_m || !jw_too_lean(c, best->lnphi))
		return status;
	*bore_m = made_m;
	return judge_with_main(c, best);
}

jw_status jw_seek_pick(jw_chooser *c, jw_pick *best)
{
	for (int i = 0; i < c->parts; i++)
		best->index[c->sought[i]] = jw_nearest(&c->hand[c->sought[i]], c->ideal[c->sought[i]]);
	jw_status status = judge_mains(c);
	if (status >= 0)
		status = jw_judge_pick(c, best);
	if (status >= 0)
		status = guess_best(c, best);
	if (status >= 0)
		status = jw_judge_pick(c, best);
	if (status >= 0)
		status = improve(c, best);
	if (status >= 0)
		status = make_safe(c, best);
	if (status < 0 || !c->any_bore)
		return status;
	make_pilot(c, best);
	return make_main(c, best);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fewest sets of jets for a list of places. Larger jets, a higher needle and a screw further out (of air: further
 * in) make no range leaner: of a box of sets, from its leanest to its richest, all lie between these two in every
 * range, so that most boxes need not be opened (branch and bound; Land and Doig, Econometrica 28, 1960). */
#include "rejet/band.h"
#include "rejet/change.h"
#include "rejet/chooser.h"

#include "air/limits.h"
#include "base/base.h"

#include <stdlib.h>
#include <string.h>

enum { GROUPS = 1 << JW_REJET_PLACES };
#define MOST_MOVES 100

/* One of each part, by its index among those at hand. */
typedef struct hold {
	int index[JW_PART_COUNT];
} hold;

typedef struct box {
	hold low, high;
} box;

typedef struct journey {
	const jw_rejet_request *request;
	jw_pulse_table table; /* of the changed engine */
	const jw_air *air;
	int places;
	jw_bands bands[JW_REJET_PLACES];
	jw_brass best[JW_REJET_PLACES]; /* of each place for itself */
	jw_chooser at_hand;             /* its lists, and what is in it */
	char known[GROUPS];             /* of a group of places, as bits: 1: `serves` serves just these */
	hold serves[GROUPS];
	int need[GROUPS]; /* fewest sets that serve a group */
	int with[GROUPS]; /* the group that the first of them serves */
} journey;

/* ---- what a set does at the places ---- */

static jw_brass brass_of(const journey *j, const hold *h)
{
	jw_brass brass = {.setup = j->best[0].setup};
	for (int p = 0; p < JW_PART_COUNT; p++) {
		const jw_at_hand *hand = &j->at_hand.hand[p];
		brass.place[p] = hand->count ? hand->place[h->index[p]] : -1;
		if (hand->count)
			jw_part_set(&brass.setup, (jw_part)p, hand->value[h->index[p]], NULL);
	}
	return brass;
}

typedef struct test {
	int not_lean, not_rich; /* places, as bits, where no range is */
} test;

/* Only places in `asked` are looked at. */
static jw_status try_hold(const journey *j, const hold *h, int asked, test *t, jw_error *error)
{
	const jw_brass brass = brass_of(j, h);
	double off[JW_RANGE_COUNT];
	jw_status status = JW_OK;
	*t = (test){asked, asked};
	for (int place = 0; place < j->places && status >= 0; place++) {
		if (!(asked >> place & 1))
			continue;
		status = jw_both(status, jw_bands_off(&j->bands[place], &brass, &j->air[place], off, NULL, error));
		for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
			if (!jw_band_not_lean(&j->bands[place], (jw_range)r, off[r]))
				t->not_lean &= ~(1 << place);
			if (!jw_band_not_rich(&j->bands[place], (jw_range)r, off[r]))
				t->not_rich &= ~(1 << place);
		}
	}
	return status;
}

/* ---- which groups of places one set serves ---- */

static void note(journey *j, const hold *h, int group)
{
	if (j->known[group])
		return;
	j->known[group] = 1;
	j->serves[group] = *h;
}

static int is_served_already(const journey *j, int group)
{
	for (int g = group; g < 1 << j->places; g++)
		if (j->known[g] && (g & group) == group)
			return 1;
	return 0;
}

/* The part with most left to choose from, or -1. */
static int widest(const box *b)
{
	int best = -1, most = 0;
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (b->high.index[p] - b->low.index[p] > most) {
			most = b->high.index[p] - b->low.index[p];
			best = p;
		}
	return best;
}

/* Places in `may` are those that some set of the box may serve yet. */
static jw_status search(journey *j, const box *b, int may, jw_error *error)
{
	test lean, rich;
	jw_status status = try_hold(j, &b->low, may, &lean, error);
	if (status >= 0)
		status = jw_both(status, try_hold(j, &b->high, may, &rich, error));
	if (status < 0)
		return status;
	note(j, &b->low, lean.not_lean & lean.not_rich);
	note(j, &b->high, rich.not_lean & rich.not_rich);
	may &= lean.not_rich & rich.not_lean;
	const int part = widest(b);
	if (part < 0 || !may || is_served_already(j, may))
		return status;
	const int middle = (b->low.index[part] + b->high.index[part]) / 2;
	box below = *b, above = *b;
	below.high.index[part] = middle;
	above.low.index[part] = middle + 1;
	status = jw_both(status, search(j, &below, may, error));
	return status < 0 ? status : jw_both(status, search(j, &above, may, error));
}

/* ---- what is at hand ---- */

static void put_in_order(jw_at_hand *hand, double value)
{
	int i = 0;
	while (i < hand->count && hand->value[i] < value)
		i++;
	if (i < hand->count && hand->value[i] == value)
		return;
	for (int k = hand->count++; k > i; k--)
		hand->value[k] = hand->value[k - 1];
	hand->value[i] = value;
}

static void reverse(jw_at_hand *hand)
{
	for (int i = 0, k = hand->count - 1; i < k; i++, k--) {
		const double value = hand->value[i];
		hand->value[i] = hand->value[k];
		hand->value[k] = value;
	}
}

/* From lean to rich. With any bore at hand, those that are best at some place. */
static void lay_out(journey *j)
{
	jw_chooser *c = &j->at_hand;
	for (int p = 0; p < JW_PART_COUNT; p++) {
		const int by_bore = p == JW_PART_MAIN_JET || p == JW_PART_PILOT_JET;
		if (!j->bands[0].sought[p])
			continue;
		if (!by_bore || j->request->jets)
			jw_lay_out(j->request, c, (jw_part)p, c->was[p]);
		for (int place = 0; by_bore && !j->request->jets && place < j->places; place++) {
			c->hand[p].place[place] = -1;
			put_in_order(&c->hand[p], jw_part_value(&j->best[place].setup, (jw_part)p));
		}
	}
	if (j->best[0].setup.carburetor.screw.kind == JW_AIR_SCREW)
		reverse(&c->hand[JW_PART_MIXTURE_SCREW]);
}

static hold hold_of(const journey *j, const jw_setup *setup)
{
	hold h = {{0}};
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (j->at_hand.hand[p].count)
			h.index[p] = jw_nearest(&j->at_hand.hand[p], jw_part_value(setup, (jw_part)p));
	return h;
}

static box everything(const journey *j)
{
	box all = {0};
	for (int p = 0; p < JW_PART_COUNT; p++)
		all.high.index[p] = j->at_hand.hand[p].count ? j->at_hand.hand[p].count - 1 : 0;
	return all;
}

/* ---- the choice for each place by itself ---- */

static int is_air(jw_rejet_kind kind)
{
	return kind == JW_REJET_PRESSURE || kind == JW_REJET_TEMPERATURE || kind == JW_REJET_HUMIDITY;
}

static jw_changes changes_at(const journey *j, int place)
{
	const jw_air *air = &j->air[place];
	jw_changes c = {.count = 0};
	for (int i = 0; i < j->request->changes; i++)
		if (!is_air(j->request->change[i].kind))
			c.list[c.count++] = j->request->change[i];
	c.list[c.count++] = (jw_rejet_change){.kind = JW_REJET_PRESSURE, .value = air->pressure_pa};
	c.list[c.count++] = (jw_rejet_change){.kind = JW_REJET_TEMPERATURE, .value = air->temperature_k};
	c.list[c.count++] = (jw_rejet_change){.kind = JW_REJET_HUMIDITY, .value = jw_relative_humidity(air)};
	return c;
}

static jw_status choose_all(journey *j, jw_error *error)
{
	jw_status status = JW_OK;
	for (int place = 0; place < j->places && status >= 0; place++) {
		const jw_changes c = changes_at(j, place);
		j->bands[place].table = &j->table;
		status = jw_both(status, jw_bands_choose(&j->bands[place], j->request, &c, &j->best[place], error));
	}
	return status;
}

static jw_status see_what_is_in(journey *j, jw_error *error)
{
	const jw_changes c = changes_at(j, 0);
	jw_setup setup = *j->request->setup;
	jw_air air = *j->request->air;
	jw_status status = jw_rejet_apply_with(c.list, c.count, &j->table, &setup, &air, error);
	for (int p = 0; p < JW_PART_COUNT && status >= 0; p++)
		j->at_hand.was[p] = jw_part_value(&setup, (jw_part)p);
	return status;
}

/* The choices for each place first: they serve it, and spare much of the search. */
static jw_status find_groups(journey *j, jw_error *error)
{
	const int all = (1 << j->places) - 1;
	const box whole = everything(j);
	jw_status status = JW_OK;
	for (int place = 0; place < j->places && status >= 0; place++) {
		const hold h = hold_of(j, &j->best[place].setup);
		test t;
		status = jw_both(status, try_hold(j, &h, all, &t, error));
		note(j, &h, (t.not_lean & t.not_rich) | 1 << place);
	}
	return status < 0 ? status : jw_both(status, search(j, &whole, all, error));
}

/* ---- the fewest groups that hold every place ---- */

/* Some group of a fewest cover holds the lowest place: each is tried, and what it leaves is known already. */
static void reckon(journey *j)
{
	for (int left = 1; left < 1 << j->places; left++) {
		j->need[left] = JW_REJET_PLACES + 1;
		for (int g = 1; g < 1 << j->places; g++)
			if (j->known[g] && (g & left & -left) && 1 + j->need[left & ~g] < j->need[left]) {
				j->need[left] = 1 + j->need[left & ~g];
				j->with[left] = g;
			}
	}
}

/* ---- the best set for a group ---- */

/* As a choice costs at a place: what the main jet misses with all else ideal there, what the set misses below, and how
 * far pilot jet and screw are bent. */
static double cost_at(const journey *j, int place, const jw_brass *brass, const double *off)
{
	const double *ideal = j->bands[place].ideal;
	jw_brass main = *brass;
	double value[JW_PART_COUNT], by_main, cost = 0.0;
	for (int p = 0; p < JW_PART_COUNT; p++) {
		value[p] = jw_part_value(&brass->setup, (jw_part)p);
		if (p != JW_PART_MAIN_JET && j->bands[place].sought[p])
			jw_part_set(&main.setup, (jw_part)p, ideal[p], NULL);
	}
	for (jw_range r = JW_IDLE; r < JW_THREE_QUARTER; r++)
		cost += jw_miss_cost(r, off[r]);
	for (jw_range r = JW_THREE_QUARTER; r < JW_RANGE_COUNT; r++) {
		if (jw_band_off(&j->bands[place], &main, &j->air[place], r, &by_main, NULL) < 0)
			return INFINITY;
		cost += jw_miss_cost(r, by_main);
	}
	return cost + jw_bent_cost(&j->at_hand, value, ideal);
}

/* What it costs over a group; INFINITY where it does not serve all of it. */
static double cost_of(const journey *j, const hold *h, int group)
{
	const jw_brass brass = brass_of(j, h);
	double off[JW_RANGE_COUNT], cost = 0.0;
	for (int place = 0; place < j->places; place++) {
		if (!(group >> place & 1))
			continue;
		if (jw_bands_off(&j->bands[place], &brass, &j->air[place], off, NULL, NULL) < 0 ||
		    !jw_bands_hold(&j->bands[place], off))
			return INFINITY;
		cost += cost_at(j, place, &brass, off);
	}
	return cost;
}

/* A neighbour one step either way of each part, by the digits of a code; 0: there is none. */
static int neighbour(const journey *j, const hold *centre, int code, hold *h)
{
	int inside = 1;
	*h = *centre;
	for (int p = 0; p < JW_PART_COUNT; p++) {
		if (!j->at_hand.hand[p].count)
			continue;
		h->index[p] += code % 3 - 1;
		code /= 3;
		inside &= h->index[p] >= 0 && h->index[p] < j->at_hand.hand[p].count;
	}
	return inside;
}

static hold improve(const journey *j, hold best, int group)
{
	double least = cost_of(j, &best, group), before = INFINITY;
	int codes = 1;
	for (int p = 0; p < JW_PART_COUNT; p++)
		codes *= j->at_hand.hand[p].count ? 3 : 1;
	for (int i = 0; i < MOST_MOVES && least < before; i++) {
		const hold centre = best;
		before = least;
		for (int code = 0; code < codes; code++) {
			hold h;
			const double cost = neighbour(j, &centre, code, &h) ? cost_of(j, &h, group) : INFINITY;
			if (cost < least) {
				least = cost;
				best = h;
			}
		}
	}
	return best;
}

/* ---- the plan ---- */

/* The set that serves a group, made best for those of its places that no set before it serves. */
static jw_status tell_set(const journey *j, int group, int visited, jw_rejet_visits *plan, jw_error *error)
{
	const hold h = improve(j, j->serves[group], visited);
	const jw_brass brass = brass_of(j, &h);
	jw_status status = JW_OK;
	for (int place = 0; place < j->places && status >= 0; place++) {
		if (!(visited >> place & 1))
			continue;
		double *ratio = plan->ratio[place];
		plan->fit[place] = plan->sets;
		status =
		    jw_both(status, jw_bands_off(&j->bands[place], &brass, &j->air[place], ratio, plan->warned[place], error));
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			ratio[r] = exp(ratio[r]);
	}
	for (int p = 0; p < JW_PART_COUNT; p++)
		plan->set[plan->sets].value[p] = jw_part_value(&brass.setup, (jw_part)p);
	memcpy(plan->set[plan->sets].place, brass.place, sizeof brass.place);
	plan->sets++;
	return status;
}

static jw_status tell(const journey *j, jw_rejet_visits *plan, jw_error *error)
{
	jw_status status = JW_OK;
	for (int left = (1 << j->places) - 1; left && status >= 0; left &= ~j->with[left])
		status = jw_both(status, tell_set(j, j->with[left], j->with[left] & left, plan, error));
	memcpy(plan->sought, j->bands[0].sought, sizeof plan->sought);
	for (int place = 0; place < j->places; place++) {
		memcpy(plan->let_out[place], j->bands[place].let_out, sizeof plan->let_out[place]);
		plan->too_lean[place] = j->bands[place].too_lean;
		plan->main_wanted_m[place] = j->bands[place].main_wanted_m;
	}
	return status;
}

static jw_status check(const jw_rejet_request *request, const jw_air *place, int places, jw_error *error)
{
	int others = 0;
	jw_status status = jw_rejet_check_request(request, error);
	for (int i = 0; i < request->changes && status >= 0; i++)
		others += !is_air(request->change[i].kind);
	if (status >= 0)
		status = jw_check_range("places", places, 1, JW_REJET_PLACES, error);
	for (int i = 0; i < places && status >= 0; i++)
		status = jw_air_check(&place[i], error);
	if (status >= 0 && others > JW_REJET_CHANGES - 3)
		status = jw_fail(error, JW_E_ARGUMENT, "changes", others, 0, JW_REJET_CHANGES - 3);
	return status;
}

jw_status jw_rejet_plan_for(const jw_rejet_request *request, const jw_air *place, int places, jw_rejet_visits *plan,
                            jw_error *error)
{
	jw_rejet_visits p = {.sets = 0};
	jw_status status = check(request, place, places, error);
	if (status < 0)
		return status;
	journey *j = calloc(1, sizeof *j);
	if (!j)
		return jw_no_memory(error, "plan");
	j->request = request;
	j->air = place;
	j->places = places;
	status = jw_rejet_table_of(request, &j->table, error);
	if (status >= 0)
		status = jw_both(status, see_what_is_in(j, error));
	if (status >= 0)
		status = jw_both(status, choose_all(j, error));
	if (status >= 0) {
		lay_out(j);
		status = jw_both(status, find_groups(j, error));
	}
	if (status >= 0) {
		reckon(j);
		status = jw_both(status, tell(j, &p, error));
	}
	if (status >= 0)
		*plan = p;
	free(j);
	return status;
}

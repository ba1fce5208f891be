/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fewest sets of jets for a road that climbs. */
#include "rejet/band.h"
#include "rejet/change.h"

#include "base/base.h"

#include <stdlib.h>
#include <string.h>

/* Altitudes at which sets are chosen, and those over which they are followed. */
enum { CHOSEN = 21, EACH = 3, FOLLOWED = (CHOSEN - 1) * EACH + 1, MOST = CHOSEN + FOLLOWED };
#define LOWEST_M (-1000.0)
#define HIGHEST_M 5000.0
#define WITHIN_M 1.0

/* The changed engine with a set of parts, and at which altitudes that serves. */
typedef struct candidate {
	jw_brass brass;
	char serves[FOLLOWED];
} candidate;

/* What it takes from a node to the top of the road: sets first, then how often the main jet grows on the way up, which
 * nobody expects of thinner air. */
typedef struct toll {
	int sets, growths;
} toll;

typedef struct road {
	const jw_rejet_request *request;
	jw_pulse_table table; /* of the changed engine */
	double low_m, high_m;
	jw_bands bands;
	double lacks[FOLLOWED]; /* ln(phi) that full throttle lacks at each node: elsewhere it is not let be so lean */
	candidate set[MOST];
	int count;
	toll toll[FOLLOWED][MOST]; /* from a node with a set fitted */
	int taken[JW_REJET_SETS];  /* of these, from below up */
} road;

static double altitude_of(const road *r, int node)
{
	return r->low_m + (r->high_m - r->low_m) * node / (FOLLOWED - 1);
}

static int changes_kind(const jw_rejet_request *request, jw_rejet_kind kind)
{
	for (int i = 0; i < request->changes; i++)
		if (request->change[i].kind == kind)
			return 1;
	return 0;
}

static jw_status changes_at(const road *r, double altitude_m, jw_changes *c, jw_error *error)
{
	jw_atmosphere level;
	jw_status status = jw_standard_atmosphere(altitude_m, &level, error);
	if (status < 0)
		return status;
	for (c->count = 0; c->count < r->request->changes; c->count++)
		c->list[c->count] = r->request->change[c->count];
	c->list[c->count++] = (jw_rejet_change){.kind = JW_REJET_PRESSURE, .value = level.pressure_pa};
	if (!changes_kind(r->request, JW_REJET_TEMPERATURE))
		c->list[c->count++] = (jw_rejet_change){.kind = JW_REJET_TEMPERATURE, .value = level.temperature_k};
	return status;
}

static jw_status air_at(const road *r, double altitude_m, jw_air *air, jw_error *error)
{
	jw_changes c;
	jw_setup aside = *r->request->setup;
	jw_status status = changes_at(r, altitude_m, &c, error);
	*air = *r->request->air;
	return status < 0 ? status : jw_both(status, jw_rejet_apply_with(c.list, c.count, &r->table, &aside, air, error));
}

/* ---- what a set does at an altitude ---- */

static jw_status offs_at(const road *r, const candidate *set, double altitude_m, double *off, jw_status *warned,
                         jw_error *error)
{
	jw_air air;
	jw_status status = air_at(r, altitude_m, &air, error);
	return status < 0 ? status : jw_both(status, jw_bands_off(&r->bands, &set->brass, &air, off, warned, error));
}

/* Straight between nodes. */
static double lacks_at(const road *r, double altitude_m)
{
	const double at = jw_clamp((altitude_m - r->low_m) / (r->high_m - r->low_m), 0.0, 1.0) * (FOLLOWED - 1);
	const int below = at < FOLLOWED - 1 ? (int)at : FOLLOWED - 2;
	return r->lacks[below] + (r->lacks[below + 1] - r->lacks[below]) * (at - below);
}

static jw_status serves(const road *r, const candidate *set, double altitude_m, int *yes, jw_error *error)
{
	double off[JW_RANGE_COUNT];
	jw_bands there = r->bands;
	jw_status status = offs_at(r, set, altitude_m, off, NULL, error);
	there.too_lean = lacks_at(r, altitude_m);
	*yes = status >= 0 && jw_bands_hold(&there, off);
	return status;
}

/* ---- sets to choose from ---- */

static jw_status choose_at(road *r, int node, candidate *set, jw_error *error)
{
	jw_changes c;
	const jw_bands before = r->bands;
	jw_status status = changes_at(r, altitude_of(r, node), &c, error);
	r->bands.too_lean = 0.0;
	if (status >= 0)
		status = jw_both(status, jw_bands_choose(&r->bands, r->request, &c, &set->brass, error));
	r->lacks[node] = fmax(r->lacks[node], r->bands.too_lean);
	if (!(r->bands.too_lean > before.too_lean)) {
		r->bands.too_lean = before.too_lean;
		r->bands.main_wanted_m = before.main_wanted_m;
	}
	return status;
}

static int is_listed(const road *r, const candidate *set)
{
	for (int i = 0; i < r->count; i++) {
		int same = 1;
		for (int p = 0; p < JW_PART_COUNT; p++)
			same &= jw_part_value(&r->set[i].brass.setup, (jw_part)p) == jw_part_value(&set->brass.setup, (jw_part)p);
		if (same)
			return 1;
	}
	return 0;
}

static void list(road *r, const candidate *set)
{
	if (!is_listed(r, set))
		r->set[r->count++] = *set;
}

static jw_status choose_all(road *r, jw_error *error)
{
	jw_status status = JW_OK;
	for (int i = 0; i < CHOSEN && status >= 0; i++) {
		candidate set;
		status = jw_both(status, choose_at(r, i * EACH, &set, error));
		if (status >= 0)
			list(r, &set);
	}
	for (int node = 0; node < FOLLOWED; node++) {
		const int below = node / EACH * EACH;
		if (node > below)
			r->lacks[node] =
			    r->lacks[below] + (r->lacks[below + EACH] - r->lacks[below]) * (node - below) / (double)EACH;
	}
	return status;
}

static jw_status follow(const road *r, candidate *set, jw_error *error)
{
	jw_status status = JW_OK;
	for (int node = 0; node < FOLLOWED && status >= 0; node++) {
		int yes;
		status = jw_both(status, serves(r, set, altitude_of(r, node), &yes, error));
		set->serves[node] = (char)yes;
	}
	return status;
}

static jw_status follow_all(road *r, jw_error *error)
{
	jw_status status = JW_OK;
	for (int i = 0; i < r->count && status >= 0; i++)
		status = jw_both(status, follow(r, &r->set[i], error));
	return status;
}

/* Where none of these serves: one for just there. */
static jw_status add_at(road *r, int node, jw_error *error)
{
	candidate *set = &r->set[r->count++];
	jw_status status = choose_at(r, node, set, error);
	return status < 0 ? status : jw_both(status, follow(r, set, error));
}

/* ---- the fewest ---- */

/* First node above `from` that a set does not serve. */
static int reach(const candidate *set, int from)
{
	int node = from;
	while (node < FOLLOWED && set->serves[node])
		node++;
	return node;
}

static const toll no_way = {FOLLOWED + 1, 0};

static int is_less(toll a, toll b)
{
	return a.sets != b.sets ? a.sets < b.sets : a.growths < b.growths;
}

static double main_jet(const road *r, int set)
{
	return jw_part_value(&r->set[set].brass.setup, JW_PART_MAIN_JET);
}

/* The best set to go on with from a node, after another (-1: none), knowing the toll from every later node with each;
 * -1: none serves there. Of equals the one that reaches highest. */
static int best_from(const road *r, int node, int after, toll *least)
{
	int best = -1;
	*least = no_way;
	for (int i = 0; i < r->count; i++) {
		toll t = r->toll[node][i];
		t.growths += after >= 0 && main_jet(r, i) > main_jet(r, after);
		if (is_less(t, *least) ||
		    (best >= 0 && !is_less(*least, t) && reach(&r->set[i], node) > reach(&r->set[best], node))) {
			*least = t;
			best = i;
		}
	}
	return best;
}

/* From the top down: the toll from each node with each set fitted there, as far as it serves. */
static void reckon(road *r)
{
	for (int node = FOLLOWED - 1; node >= 0; node--)
		for (int i = 0; i < r->count; i++) {
			const int end = reach(&r->set[i], node);
			toll t = {0, 0};
			if (end < FOLLOWED && end > node)
				best_from(r, end, i, &t);
			r->toll[node][i] = end > node ? (toll){t.sets + 1, t.growths} : no_way;
		}
}

/* By some set, at a node. */
static int is_served(const road *r, int node)
{
	int yes = 0;
	for (int i = 0; i < r->count; i++)
		yes |= r->set[i].serves[node];
	return yes;
}

/* Between an altitude that a set serves and one that it does not. */
static double limit(const road *r, const candidate *set, double inside_m, double outside_m)
{
	while (fabs(outside_m - inside_m) > WITHIN_M) {
		const double middle = 0.5 * (inside_m + outside_m);
		int yes;
		serves(r, set, middle, &yes, NULL);
		*(yes ? &inside_m : &outside_m) = middle;
	}
	return inside_m;
}

static jw_rejet_stretch stretch_of(const road *r, const candidate *set, int from)
{
	jw_rejet_stretch s;
	int low = from, high = reach(set, from);
	while (low > 0 && set->serves[low - 1])
		low--;
	for (int p = 0; p < JW_PART_COUNT; p++)
		s.value[p] = jw_part_value(&set->brass.setup, (jw_part)p);
	memcpy(s.place, set->brass.place, sizeof s.place);
	s.low_m = low > 0 ? limit(r, set, altitude_of(r, low), altitude_of(r, low - 1)) : r->low_m;
	s.high_m = high < FOLLOWED ? limit(r, set, altitude_of(r, high - 1), altitude_of(r, high)) : r->high_m;
	return s;
}

static jw_status fill_gaps(road *r, jw_error *error)
{
	jw_status status = JW_OK;
	for (int node = 0; node < FOLLOWED; node++) {
		if (!is_served(r, node) && r->count < MOST)
			status = jw_both(status, add_at(r, node, error));
		if (status < 0)
			return status;
		if (!is_served(r, node))
			return jw_fail(error, JW_E_RANGE, "altitude", altitude_of(r, node), r->low_m, r->high_m);
	}
	return status;
}

static jw_status cover(road *r, jw_rejet_plan *plan, jw_error *error)
{
	toll least;
	reckon(r);
	for (int node = 0, after = -1; node < FOLLOWED; plan->sets++) {
		const int best = best_from(r, node, after, &least);
		if (best < 0 || plan->sets == JW_REJET_SETS)
			return jw_fail(error, JW_E_RANGE, "altitude", altitude_of(r, node), r->low_m, r->high_m);
		r->taken[plan->sets] = best;
		plan->set[plan->sets] = stretch_of(r, &r->set[best], node);
		node = reach(&r->set[best], node);
		after = best;
	}
	return JW_OK;
}

static jw_status join(const road *r, jw_rejet_plan *plan, jw_error *error)
{
	jw_status status = JW_OK;
	for (int i = 0; i < plan->sets; i++) {
		jw_rejet_stretch *s = &plan->set[i];
		s->from_m = i ? plan->set[i - 1].to_m : r->low_m;
		s->to_m = i + 1 < plan->sets ? 0.5 * (s->high_m + plan->set[i + 1].low_m) : r->high_m;
	}
	for (int i = 0; i < plan->sets && status >= 0; i++) {
		jw_rejet_stretch *s = &plan->set[i];
		const candidate *set = &r->set[r->taken[i]];
		status = jw_both(status, offs_at(r, set, s->from_m, s->ratio_from, s->warned_from, error));
		if (status >= 0)
			status = jw_both(status, offs_at(r, set, s->to_m, s->ratio_to, s->warned_to, error));
		for (int range = 0; range < JW_RANGE_COUNT; range++) {
			s->ratio_from[range] = exp(s->ratio_from[range]);
			s->ratio_to[range] = exp(s->ratio_to[range]);
		}
	}
	return status;
}

static jw_status check(const jw_rejet_request *request, double low_m, double high_m, jw_error *error)
{
	jw_status status = jw_rejet_check_request(request, error);
	if (status < 0)
		return status;
	if (!(low_m >= LOWEST_M && low_m < high_m))
		return jw_fail(error, JW_E_RANGE, "altitude", low_m, LOWEST_M, high_m);
	if (!(high_m <= HIGHEST_M))
		return jw_fail(error, JW_E_RANGE, "altitude", high_m, low_m, HIGHEST_M);
	if (changes_kind(request, JW_REJET_PRESSURE))
		return jw_fail(error, JW_E_ARGUMENT, jw_rejet_kind_name(JW_REJET_PRESSURE), 0, 0, 0);
	if (request->changes > JW_REJET_CHANGES - 2)
		return jw_fail(error, JW_E_ARGUMENT, "changes", request->changes, 0, JW_REJET_CHANGES - 2);
	return JW_OK;
}

jw_status jw_rejet_plan_over(const jw_rejet_request *request, double low_m, double high_m, jw_rejet_plan *plan,
                             jw_error *error)
{
	jw_rejet_plan p = {.sets = 0};
	jw_status status = check(request, low_m, high_m, error);
	if (status < 0)
		return status;
	road *r = malloc(sizeof *r);
	if (!r)
		return jw_no_memory(error, "plan");
	*r = (road){.request = request, .low_m = low_m, .high_m = high_m};
	r->bands.table = &r->table;
	status = jw_rejet_table_of(request, &r->table, error);
	if (status >= 0)
		status = jw_both(status, choose_all(r, error));
	if (status >= 0)
		status = jw_both(status, follow_all(r, error));
	if (status >= 0)
		status = jw_both(status, fill_gaps(r, error));
	if (status >= 0)
		status = jw_both(status, cover(r, &p, error));
	if (status >= 0)
		status = jw_both(status, join(r, &p, error));
	if (status >= 0) {
		memcpy(p.sought, r->bands.sought, sizeof p.sought);
		memcpy(p.let_out, r->bands.let_out, sizeof p.let_out);
		p.too_lean = r->bands.too_lean;
		p.main_wanted_m = r->bands.main_wanted_m;
		*plan = p;
	}
	free(r);
	return status;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fewest sets of jets for a road that climbs. */
#include "rejet/parts.h"

#include "base/base.h"

#include <stdlib.h>
#include <string.h>

/* Altitudes at which sets are chosen, and those over which they are followed. */
enum { CHOSEN = 21, EACH = 3, FOLLOWED = (CHOSEN - 1) * EACH + 1 };
#define LOWEST_M (-1000.0)
#define HIGHEST_M 5000.0
#define WITHIN_M 1.0
/* Twice the tolerance is where the cost of a choice begins to rise faster. */
#define BAND 2.0
/* Of ln(phi): less is rounding. */
#define SAME 1e-6

double jw_rejet_band(jw_range range, int richer)
{
	const double band = BAND * jw_rejet_tolerance(range);
	return richer ? band : range == JW_FULL ? -JW_REJET_LEANER : -band;
}

/* The changed engine with a set of parts, and at which altitudes that serves. */
typedef struct candidate {
	jw_setup setup; /* as readings have it, where there are any */
	int place[JW_PART_COUNT];
	char serves[FOLLOWED];
} candidate;

typedef struct road {
	const jw_rejet_request *request;
	double low_m, high_m;
	double target[JW_RANGE_COUNT]; /* phi */
	int sought[JW_PART_COUNT];
	double let_out[JW_RANGE_COUNT];
	double too_lean; /* what even the richest choice lacks at full throttle */
	candidate set[FOLLOWED];
	int count;
	int taken[JW_REJET_SETS]; /* of these, from below up */
} road;

static double altitude_of(const road *r, int node)
{
	return r->low_m + (r->high_m - r->low_m) * node / (FOLLOWED - 1);
}

/* The changes, and the air of an altitude. */
typedef struct changes {
	jw_rejet_change list[JW_REJET_KIND_COUNT];
	int count;
} changes;

static int changes_kind(const jw_rejet_request *request, jw_rejet_kind kind)
{
	for (int i = 0; i < request->changes; i++)
		if (request->change[i].kind == kind)
			return 1;
	return 0;
}

static jw_status changes_at(const road *r, double altitude_m, changes *c, jw_error *error)
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
	changes c;
	jw_setup aside = *r->request->setup;
	jw_status status = changes_at(r, altitude_m, &c, error);
	*air = *r->request->air;
	return status < 0 ? status : jw_both(status, jw_rejet_apply(c.list, c.count, &aside, air, error));
}

/* ---- what a set does at an altitude ---- */

/* ln of phi over its target in every range. */
static jw_status offs_at(const road *r, const candidate *set, double altitude_m, double *off, jw_error *error)
{
	jw_air air;
	jw_mixture mixture;
	jw_status status = air_at(r, altitude_m, &air, error);
	for (int range = 0; range < JW_RANGE_COUNT && status >= 0; range++) {
		status = jw_both(status, jw_mixture_at(&set->setup, &air, &set->setup.range[range], &mixture, error));
		off[range] = jw_rejet_lnphi(&mixture) - log(r->target[range]);
	}
	return status;
}

/* By how much a range is past its band, on one side of it or on either; 0 inside. */
static double past_side(jw_range range, double off, int richer)
{
	const double band = jw_rejet_band(range, richer);
	return fmax(richer ? off - band : band - off, 0.0);
}

static double past(jw_range range, double off)
{
	return fmax(past_side(range, off, 1), past_side(range, off, 0));
}

/* Lean at full throttle destroys engines: there is no room to climb in. */
static int is_inside(const road *r, jw_range range, double off)
{
	const double leaner = range == JW_FULL ? r->too_lean : r->let_out[range];
	return past_side(range, off, 1) <= r->let_out[range] + SAME && past_side(range, off, 0) <= leaner + SAME;
}

static jw_status serves(const road *r, const candidate *set, double altitude_m, int *yes, jw_error *error)
{
	double off[JW_RANGE_COUNT];
	jw_status status = offs_at(r, set, altitude_m, off, error);
	*yes = status >= 0;
	for (int range = 0; range < JW_RANGE_COUNT && *yes; range++)
		*yes = is_inside(r, (jw_range)range, off[range]);
	return status;
}

/* ---- sets to choose from ---- */

static jw_status choose_at(road *r, int node, candidate *set, jw_error *error)
{
	changes c;
	jw_rejet_request request = *r->request;
	jw_rejet_answer answer;
	jw_status status = changes_at(r, altitude_of(r, node), &c, error);
	request.change = c.list;
	request.changes = c.count;
	if (status >= 0)
		status = jw_both(status, jw_rejet(&request, &answer, error));
	if (status < 0)
		return status;
	set->setup = answer.setup;
	for (int p = 0; p < JW_PART_COUNT && status >= 0; p++) {
		const jw_rejet_piece *piece = &answer.choice.piece[p];
		r->sought[p] = piece->sought;
		set->place[p] = piece->sought ? piece->place : -1;
		if (piece->sought)
			status = jw_both(status, jw_part_set(&set->setup, (jw_part)p, piece->chosen, error));
	}
	memcpy(r->target, answer.choice.target, sizeof r->target);
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		const double off = log(fmax(answer.choice.phi[range], JW_REJET_LEAST_PHI) / r->target[range]);
		const double beyond = past((jw_range)range, off);
		if (range == JW_FULL)
			r->too_lean = fmax(r->too_lean, past_side(JW_FULL, off, 0));
		if (beyond > SAME) /* and room to climb in */
			r->let_out[range] = fmax(r->let_out[range], beyond + jw_rejet_tolerance((jw_range)range));
	}
	return status;
}

static jw_status choose_all(road *r, jw_error *error)
{
	jw_status status = JW_OK;
	for (; r->count < CHOSEN && status >= 0; r->count++)
		status = jw_both(status, choose_at(r, r->count * EACH, &r->set[r->count], error));
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

static int farthest(const road *r, int from)
{
	int best = -1, most = from;
	for (int i = 0; i < r->count; i++)
		if (reach(&r->set[i], from) > most) {
			most = reach(&r->set[i], from);
			best = i;
		}
	return best;
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
		s.value[p] = jw_part_value(&set->setup, (jw_part)p);
	memcpy(s.place, set->place, sizeof s.place);
	s.low_m = low > 0 ? limit(r, set, altitude_of(r, low), altitude_of(r, low - 1)) : r->low_m;
	s.high_m = high < FOLLOWED ? limit(r, set, altitude_of(r, high - 1), altitude_of(r, high)) : r->high_m;
	return s;
}

static jw_status cover(road *r, jw_rejet_plan *plan, jw_error *error)
{
	jw_status status = JW_OK;
	for (int node = 0; node < FOLLOWED; plan->sets++) {
		if (farthest(r, node) < 0 && r->count < FOLLOWED)
			status = jw_both(status, add_at(r, node, error));
		if (status < 0)
			return status;
		const int best = farthest(r, node);
		if (best < 0 || plan->sets == JW_REJET_SETS)
			return jw_fail(error, JW_E_RANGE, "altitude", altitude_of(r, node), r->low_m, r->high_m);
		r->taken[plan->sets] = best;
		plan->set[plan->sets] = stretch_of(r, &r->set[best], node);
		node = reach(&r->set[best], node);
	}
	return status;
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
		status = jw_both(status, offs_at(r, set, s->from_m, s->ratio_from, error));
		if (status >= 0)
			status = jw_both(status, offs_at(r, set, s->to_m, s->ratio_to, error));
		for (int range = 0; range < JW_RANGE_COUNT; range++) {
			s->ratio_from[range] = exp(s->ratio_from[range]);
			s->ratio_to[range] = exp(s->ratio_to[range]);
		}
	}
	return status;
}

static jw_status check(const jw_rejet_request *request, double low_m, double high_m, jw_error *error)
{
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
		return jw_fail(error, JW_E_MEMORY, "plan", 0, 0, 0);
	*r = (road){.request = request, .low_m = low_m, .high_m = high_m};
	status = choose_all(r, error);
	if (status >= 0)
		status = jw_both(status, follow_all(r, error));
	if (status >= 0)
		status = jw_both(status, cover(r, &p, error));
	if (status >= 0)
		status = jw_both(status, join(r, &p, error));
	if (status >= 0) {
		memcpy(p.sought, r->sought, sizeof p.sought);
		memcpy(p.let_out, r->let_out, sizeof p.let_out);
		*plan = p;
	}
	free(r);
	return status;
}

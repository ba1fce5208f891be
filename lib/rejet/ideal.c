/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What would be ideal, were every bore at hand. */
#include "rejet/chooser.h"

#include "base/base.h"

#include <string.h>

/* The search moves on while that helps. */
#define MOST_MOVES 100
/* It goes on ever finer grids, from two usual steps down to this part of one. */
#define FINEST (1.0 / 128)

/* The main jet follows from full throttle, whatever the others are; where it cannot, it goes as far as it can. One
 * search reaches from 0.4 to 2.5 times where it begins. */
void jw_set_main(const jw_chooser *c, double *value)
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
		value[main] = jw_bounded(c, main, (jw_rejet_lnphi(&m) < c->target[JW_FULL] ? 2.5 : 0.4) * part);
		jw_part_set(&s, main, value[main], NULL);
	}
}

static jw_status ideal_cost(const jw_chooser *c, double *value, double *cost)
{
	double lnphi[JW_RANGE_COUNT];
	jw_set_main(c, value);
	jw_status status = jw_set_lnphi(c, value, lnphi);
	if (status < 0)
		return status;
	*cost = jw_misses_cost(c, lnphi, JW_IDLE, JW_FULL);
	for (int i = 0; i < c->parts; i++)
		*cost += jw_pull(c, c->sought[i], value[c->sought[i]] - c->was[c->sought[i]]);
	return status;
}

/* The best of all neighbours of a set at some share of the usual steps; the main jet has none. */
static jw_status best_neighbour(const jw_chooser *c, double share, double *best, double *least)
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
			value[part] = jw_bounded(c, part, centre[part] + (digits % 3 - 1) * share * jw_usual_step(c, part));
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

jw_status jw_seek_ideal(jw_chooser *c)
{
	double least, *value = c->ideal;
	memcpy(value, c->was, sizeof c->was);
	jw_status status = ideal_cost(c, value, &least);
	for (double share = 2.0; share >= FINEST && status >= 0; share /= 2.0) {
		double before = INFINITY;
		for (int i = 0; i < MOST_MOVES && status >= 0 && least < before; i++) {
			before = least;
			status = best_neighbour(c, share, value, &least);
		}
	}
	return status < 0 ? status : jw_set_lnphi(c, value, c->ideal_lnphi);
}

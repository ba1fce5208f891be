/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs the fuel columns until a cycle leads back to where it began. */
#include "point/fuel_columns.h"

#include "base/base.h"
#include "solve/anderson.h"

#include <string.h>

/* Less than any column takes to answer. The rough ones serve while a cycle still leads so far from where it began.
 * Where a pass does not settle, the choice between whole steps and parts swings with the state: finer steps swing less.
 */
static const jw_fuel_steps passes[] = {
    {4, 0.5e-3, 1}, {2, 0.125e-3, 1}, {2, 0.125e-3, 2}, {2, 0.125e-3, 4}, {2, 0.125e-3, 8}};
#define PASSES (sizeof passes / sizeof *passes)
#define ROUGHLY_SETTLED 1e-3
#define CYCLES_A_PASS 25
/* Most that mixing may multiply or divide what a cycle ends with: near its threshold a circuit turns over. With eight
 * times some points of the bundled engines find no end. */
#define MOST_MIXED 2.0
/* Most that it may divide the content of a well that runs empty; from twice on all serve alike. */
#define MOST_EMPTIED 8.0
/* How far it may seek a content against the way that the cycle leads. Not at all takes a quarter more cycles, and some
 * points find no end; twice is no better than this. */
#define TURNED_BACK 1.1
/* Of a full well, by which a level may move beside its own size: a level passes through zero, where no factor lets it.
 */
#define LEVEL_SHARE 0.1
#define LEAST_FLOW 1e-9 /* kg/s */

double jw_columns_draw(const jw_columns *all)
{
	double sum = all->carburetor->pilot_from_main_well ? -all->mean[JW_PILOT] : 0.0;
	for (int i = 0; i < JW_COLUMNS; i++)
		sum += all->mean[i];
	return sum;
}

/* How far a cycle leads from where it began: flows, and what wells gain or lose, in shares of what comes out of the
 * bowl. */
static double off_by(const jw_columns *all, const double *before, const double *after)
{
	double most = 0.0;
	for (int i = 0; i < JW_COLUMNS; i++) {
		if (!all->of[i].followed)
			continue;
		int liquid = JW_WELL(i) + JW_WELL_LIQUID;
		most = fmax(most, fabs(after[i] - before[i]));
		most = fmax(most, fabs(after[liquid] - before[liquid]) / all->air->period_s);
	}
	return most / (jw_columns_draw(all) + LEAST_FLOW);
}

/* The content of a well to try next. Where it hardly flows it settles slowly, often near empty: there mixing may seek
 * it far off on the way that the cycle leads, but hardly the other way, where a bend of the map would send it for ever.
 */
static double content_near(double mixed, double before, double image)
{
	int empties = image < before;
	double far = empties ? image / MOST_EMPTIED : image * MOST_MIXED,
	       back = empties ? before * TURNED_BACK : before / TURNED_BACK;
	if (empties ? mixed > back : mixed < back)
		return empties ? image / MOST_MIXED : image * MOST_MIXED;
	return jw_clamp(mixed, fmin(far, back), fmax(far, back));
}

/* The same of a well from which the pilot draws: its level falls until as much comes as goes, far where its jet is
 * blocked. */
static double level_near(const jw_fuel_column *c, double mixed, double image)
{
	double reach = fabs(image) + LEVEL_SHARE * c->branch.ends.fuel.density_kg_m3 * c->bled_well.volume_m3;
	return jw_clamp(mixed, image - reach, image + reach);
}

static double kept_near(double mixed, double image)
{
	double least = fmin(image / MOST_MIXED, image * MOST_MIXED), most = fmax(image / MOST_MIXED, image * MOST_MIXED);
	return jw_clamp(mixed, least, most);
}

/* Where columns and wells may stand before the next cycle. */
typedef struct search {
	jw_anderson mixing;
	double scale[JW_COLUMN_UNKNOWNS];
} search;

static search search_from(const double *y)
{
	search s = {.mixing.unknowns = JW_COLUMN_UNKNOWNS};
	for (int i = 0; i < JW_COLUMNS; i++) {
		s.scale[i] = s.scale[JW_WELL(i) + JW_WELL_OUT] = 1e-6 + fabs(y[i]);
		s.scale[JW_WELL(i) + JW_WELL_LIQUID] = 1e-9 + fabs(y[JW_WELL(i) + JW_WELL_LIQUID]);
	}
	return s;
}

static void try_next(const jw_columns *all, search *s, const double *before, double *y)
{
	double x[JW_COLUMN_UNKNOWNS], image[JW_COLUMN_UNKNOWNS];
	for (int i = 0; i < JW_COLUMN_UNKNOWNS; i++) {
		x[i] = before[i] / s->scale[i];
		image[i] = y[i] / s->scale[i];
	}
	jw_anderson_next(&s->mixing, x, image, x);
	for (int i = 0; i < JW_COLUMNS; i++) {
		int out = JW_WELL(i) + JW_WELL_OUT, liquid = JW_WELL(i) + JW_WELL_LIQUID;
		double content = x[liquid] * s->scale[liquid];
		y[liquid] = jw_is_drawn_from(all, i) ? level_near(&all->of[i], content, y[liquid])
		                                     : content_near(content, before[liquid], y[liquid]);
		y[out] = kept_near(x[out], image[out]) * s->scale[out];
		y[i] = kept_near(x[i], image[i]) * s->scale[i];
	}
}

/* Of the columns that move. */
static jw_status settle(jw_columns *all, jw_cycle_trace *trace, double *y, jw_error *error)
{
	double change = INFINITY;
	search s = search_from(y);
	for (size_t pass = 0; pass < PASSES; pass++) {
		int rough = pass == 0;
		for (int n = 0; n < CYCLES_A_PASS; n++) {
			double before[JW_COLUMN_UNKNOWNS];
			memcpy(before, y, sizeof before);
			jw_columns_cycle(all, &passes[pass], y, trace);
			if (all->status < 0)
				return jw_fail(error, all->status, "fuel column", n, 0, CYCLES_A_PASS);
			change = off_by(all, before, y);
			if (change < (rough ? ROUGHLY_SETTLED : all->air->options.settled))
				break;
			try_next(all, &s, before, y);
		}
		if (rough)
			continue;
		if (change < all->air->options.settled)
			return all->status;
		s.mixing.trials = 0;
	}
	return jw_fail(error, JW_E_NO_CONVERGENCE, "fuel column", change, 0, all->air->options.settled);
}

/* Air that a pilot brings, whose well answers at once. */
static jw_status breathe(jw_columns *all, const jw_cycle_trace *trace)
{
	jw_fuel_column *c = &all->of[JW_PILOT];
	jw_circuit_flow flow;
	for (int n = 0; n < JW_CYCLE_NODES && c->flows && !c->bled; n++) {
		jw_column_outlets(all, JW_PILOT, &all->air->node[n]);
		jw_status status =
		    jw_circuit_driven(&c->branch.circuit, &c->branch.ends, trace->pilot_kg_s[n], &c->well, &flow, NULL);
		if (status < 0)
			return status;
		all->bleeds[JW_PILOT] += jw_circuit_air(&flow) / JW_CYCLE_NODES;
	}
	return JW_OK;
}

/* One circuit after the other, but main and pilot together where one feeds the other. */
jw_status jw_columns_settle(jw_columns *all, jw_cycle_trace *trace, double *y, jw_error *error)
{
	jw_status status = JW_OK;
	for (int first = 0; first < JW_COLUMNS && status >= 0; first++) {
		int nested = all->carburetor->pilot_from_main_well;
		for (int i = 0; i < JW_COLUMNS; i++)
			all->of[i].followed = i == first || (nested && first == JW_MAIN && i == JW_PILOT);
		if (!(nested && first == JW_PILOT))
			status = jw_both(status, settle(all, trace, y, error));
	}
	return jw_both(status, breathe(all, trace));
}

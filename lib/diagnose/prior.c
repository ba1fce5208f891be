/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include "diagnose/cause.h"

/* What long standing does grows with this time constant (trade practice, no source). */
static const double standing_months = 4.0;
/* Taken where nobody knows. */
static const double unknown_months = 1.0;
/* How well the shortfall of area after a change is foretold: the factors of a change are rough. */
static const double shortfall_spread = 0.05;
/* By how much a change that surely calls for other brass multiplies the odds of wrong brass. */
static const double change_odds = 30.0;
/* 7 of 16 repair cases reported in public of an engine that runs, but badly, were no fault of the mixture (spark,
 * compression, supply, exhaust). */
static const double other_odds = 8.0;

double jw_node(int node)
{
	return (node + 0.5) / JW_NODES;
}

static void normalise(double *p, int n)
{
	double sum = 0;
	for (int i = 0; i < n; i++)
		sum += p[i];
	for (int i = 0; i < n; i++)
		p[i] = sum > 0 ? p[i] / sum : 1.0 / n;
}

/* Severity at which wrong brass would make up for the changes that were made; negative where it would not. */
static double foretold(const jw_setup *healthy, const jw_air *air, const jw_history *history, const jw_cause_row *row)
{
	jw_setup altered = *healthy;
	for (int i = 0; i < JW_CHANGE_KIND_COUNT; i++)
		if (history->changed[i])
			jw_change_apply(&altered, (jw_change_kind)i, NULL);
	const jw_point *point = &healthy->range[row->rejet_range];
	jw_mixture sound;
	double fits;
	if (jw_mixture_at(healthy, air, point, &sound, NULL) < 0 ||
	    jw_part_for_phi(&altered, air, point, row->rejet_part, sound.phi, &fits, NULL) < 0)
		return -1;
	double present = jw_part_value(healthy, row->rejet_part);
	return (1 - jw_square(present / fits)) / row->amount;
}

static int changed_any(const jw_history *history)
{
	int any = 0;
	for (int i = 0; i < JW_CHANGE_KIND_COUNT; i++)
		any |= history->changed[i];
	return any;
}

/* Centres the density on what the change foretells, and raises the odds by how surely it calls for other brass. */
static void apply_change(const jw_setup *healthy, const jw_air *air, const jw_history *history, const jw_cause_row *row,
                         jw_prior *prior)
{
	double centre = foretold(healthy, air, history, row);
	double spread = shortfall_spread / fabs(row->amount);
	if (centre <= 0)
		return;
	for (int j = 0; j < JW_NODES; j++)
		prior->density[j] = exp(-0.5 * jw_square((jw_node(j) - centre) / spread));
	prior->odds *= 1 + change_odds * (1 - exp(-0.5 * jw_square(centre / spread)));
}

static double standing_share(const jw_history *history)
{
	double months = history->months_standing < 0 ? unknown_months : history->months_standing;
	return 1 - exp(-months / standing_months);
}

void jw_cause_prior(const jw_setup *healthy, const jw_air *air, const jw_history *history, const jw_cause_row *row,
                    jw_prior *prior)
{
	for (int j = 0; j < JW_NODES; j++)
		prior->density[j] = jw_node(j) * pow(1 - jw_node(j), row->high);
	prior->odds = history->flat ? 1 : row->odds * (1 + row->standing * standing_share(history));
	if (!history->flat && row->rejet && changed_any(history))
		apply_change(healthy, air, history, row, prior);
	normalise(prior->density, JW_NODES);
}

double jw_other_odds(const jw_history *history)
{
	return history->flat ? 1 : other_odds;
}

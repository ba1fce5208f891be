/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/prior.h"
#include "base/base.h"
#include "diagnose/remedy.h"

/* What long standing does grows with this time constant (trade practice, no source). */
static const double standing_months = 4.0;
/* Taken where nobody knows. */
static const double unknown_months = 1.0;
/* How well the shortfall of area after a change is foretold: the factors of a change are rough. */
static const double shortfall_spread = 0.05;
/* By how much a change that surely calls for other brass multiplies the odds of wrong brass. */
static const double change_odds = 30.0;
/* The same of the change itself, where undoing it is the cure: fewer give up what they fitted. Trade practice, no
 * source. */
static const double undo_odds = 15.0;
/* Change of ln(density) that weather and seasons bring, and that an engine which runs right puts up with. */
static const double weather = 0.06;
/* What no row of the table names. Trade practice, no source. */
static const double other_odds = 1.0;
/* Of engines with one fault, those that have a second: 7 of 40 repair cases reported in public. */
static const double second_share = 0.2;
/* One complaint in ten or so is about an engine in which nothing is found. Trade practice, no source. */
static const double sound_odds = 2.0;
/* How much likelier a sound engine is to come with no complaint at all than a faulty one. Trade practice, no source. */
static const double no_complaint = 20.0;
double jw_odds_mended(const jw_history *history, int cause)
{
	double odds = 1;
	for (int remedy = 0; remedy < jw_cause_count(); remedy++)
		if (history->mended[remedy] && jw_remedy_mends(remedy, cause))
			odds *= pow(1 - jw_remedy_holds(remedy), history->mended[remedy]);
	return odds;
}

double jw_shortfall_spread(void)
{
	return shortfall_spread;
}

double jw_second_share(void)
{
	return second_share;
}

double jw_no_complaint(void)
{
	return no_complaint;
}

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

/* Size of the wrong part that would bring back the mixture that was there before the change; 0 if none does. */
static double fitting(const jw_background *b, const jw_cause_row *row)
{
	const jw_point *point = &b->healthy->range[row->rejet_range];
	jw_mixture sound;
	double fits;
	if (jw_mixture_at(b->healthy, b->ran_in, point, &sound, NULL) < 0 ||
	    jw_part_for_phi(&b->present, b->air, point, row->part, sound.phi, &fits, NULL) < 0)
		return 0;
	return fits;
}

/* Severity at which the present part is wrong beside the one that fits; negative where it is wrong the other way. */
static double foretold(const jw_background *b, const jw_cause_row *row, double fits)
{
	return fits > 0 ? (1 - jw_square(jw_part_value(&b->present, row->part) / fits)) / row->step.amount : -1;
}

/* The air in which it ran right, where the case's is another. */
static const jw_air *ran_in(const jw_air *air, const jw_history *history)
{
	const jw_air *before = &history->ran_in;
	return before->density_kg_m3 > 0 && fabs(log(before->density_kg_m3 / air->density_kg_m3)) > weather ? before : air;
}

static int changed_any(const jw_background *b)
{
	int any = b->ran_in != b->air;
	for (int i = 0; i < JW_CHANGE_KIND_COUNT; i++)
		any |= b->history->changed[i];
	for (int i = 0; i < JW_JETS; i++)
		any |= b->history->fitted_m[i] > 0;
	return any;
}

/* How surely a change that leaves a part wrong by this severity calls for another. */
static double calls_for(const jw_cause_row *row, double centre)
{
	double spread = shortfall_spread / fabs(row->step.amount);
	return centre > 0 ? 1 - exp(-0.5 * jw_square(centre / spread)) : 0;
}

/* Probability that the changes left every part right. */
static double left_right(const jw_background *b)
{
	double share = 1;
	for (int c = 0; c < jw_cause_count(); c++) {
		const jw_cause_row *row = jw_cause_row_at(c);
		if (row->rejet)
			share *= 1 - calls_for(row, foretold(b, row, fitting(b, row)));
	}
	return share;
}

jw_status jw_background_of(const jw_setup *healthy, const jw_air *air, const jw_history *history,
                           jw_background *background, jw_error *error)
{
	*background = (jw_background){healthy, *healthy, air, history, 1, ran_in(air, history)};
	jw_status status = JW_OK;
	for (int i = 0; i < JW_CHANGE_KIND_COUNT && status >= 0; i++)
		if (history->changed[i])
			status = jw_both(status, jw_change_apply(&background->present, (jw_change_kind)i, error));
	for (int i = 0; i < JW_JETS && status >= 0; i++)
		if (history->fitted_m[i] > 0)
			status = jw_both(status, jw_part_set(&background->present, (jw_part)i, history->fitted_m[i], error));
	if (status >= 0 && changed_any(background) && !history->flat)
		background->left_right = left_right(background);
	return status;
}

/* Centres the density on what the change foretells, and raises the odds by how surely it calls for other brass. */
static void apply_change(const jw_background *b, const jw_cause_row *row, jw_prior *prior, jw_setup *base)
{
	double fits = fitting(b, row), centre = foretold(b, row, fits);
	double spread = shortfall_spread / fabs(row->step.amount);
	if (centre <= 0 || jw_part_set(base, row->part, fits, NULL) < 0)
		return;
	for (int j = 0; j < JW_NODES; j++)
		prior->density[j] = exp(-0.5 * jw_square((jw_node(j) - centre) / spread));
	prior->odds *= 1 + change_odds * calls_for(row, centre);
}

/* A change that calls for other brass is enough to explain a complaint: then a fault beside it is a second one. */
static double alone(const jw_background *b)
{
	return b->left_right + second_share * (1 - b->left_right);
}

double jw_sound_odds(const jw_background *b, int complaints)
{
	double unbidden = complaints ? 1 : no_complaint;
	return unbidden * (b->history->flat ? 1 : sound_odds * b->left_right);
}

static double standing_share(const jw_history *history)
{
	double months = history->months_standing < 0 ? unknown_months : history->months_standing;
	return 1 - exp(-months / standing_months);
}

void jw_cause_prior(const jw_background *b, const jw_cause_row *row, jw_prior *prior, jw_setup *base)
{
	const jw_history *history = b->history;
	*base = b->present;
	for (int j = 0; j < JW_NODES; j++)
		prior->density[j] = jw_node(j) * pow(1 - jw_node(j), row->high);
	prior->odds = history->flat ? 1 : row->odds * (1 + row->standing * standing_share(history));
	if (row->two_stroke > 0 && !history->flat && b->healthy->engine.strokes == 2)
		prior->odds *= row->two_stroke;
	if (row->weather && !history->flat)
		prior->odds *= row->weather(b->healthy, b->air);
	if (row->undoes && !history->flat && history->changed[row->change])
		prior->odds *= 1 + undo_odds * (1 - b->left_right);
	else if (!row->rejet)
		prior->odds *= alone(b);
	else if (!history->flat && changed_any(b))
		apply_change(b, row, prior, base);
	normalise(prior->density, JW_NODES);
}

double jw_other_odds(void)
{
	return other_odds;
}

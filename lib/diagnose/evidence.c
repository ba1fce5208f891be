/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/evidence.h"
#include "base/base.h"
#include <string.h>

/* Share of reports that say nothing, and the answers they are spread over. How an engine runs is judged by feel: one
 * report in ten is wrong; of what is told of the engine as a whole one in 25; of what hardly anybody mistakes one in
 * 200 (trade practice, no source). */
static const double felt_doubt = 0.20, doubt = 0.08, plain_doubt = 0.01, answers = 2.0;
/* Share of readings that say nothing. */
static const double reading_doubt = 0.08;

const jw_evidence_kind *jw_evidence_kind_at(int kind)
{
	const jw_evidence_row *row = jw_evidence_row_at(kind);
	return row ? &row->kind : NULL;
}

const jw_evidence_unit *jw_evidence_unit_of(int kind)
{
	const jw_evidence_row *row = jw_evidence_row_at(kind);
	return row && row->gauge ? &row->gauge->stated : NULL;
}

int jw_evidence_kind_find(const char *id)
{
	for (int i = 0; i < jw_evidence_kind_count(); i++)
		if (id && strcmp(jw_evidence_row_at(i)->kind.id, id) == 0)
			return i;
	return -1;
}

const char *jw_answer_name(jw_answer answer)
{
	static const char *const names[JW_ANSWER_COUNT] = {"yes", "no", "unknown"};
	return (unsigned)answer < JW_ANSWER_COUNT ? names[answer] : NULL;
}

/* Share of the usual uncertainty that no instrument goes below. */
static const double finest = 0.01;

static double uncertainty_of(const jw_gauge *gauge, const jw_evidence *seen)
{
	const double usual = gauge->usual + gauge->usual_share * seen->value;
	return seen->uncertainty > 0 ? fmax(seen->uncertainty, finest * usual) : usual;
}

jw_evidence jw_evidence_read(const jw_evidence *seen)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	jw_evidence read = *seen;
	if (!row->kind.takes_range)
		read.range = row->kind.range < JW_RANGE_COUNT ? row->kind.range : JW_IDLE;
	if (row->gauge)
		read.uncertainty = uncertainty_of(row->gauge, seen);
	return read;
}

/* ---- readings ---- */

int jw_reads_mixture(const jw_evidence_row *row)
{
	return row->kind.takes_value && !row->shape;
}

static const jw_gauge *gauge_of(const jw_evidence *seen)
{
	return jw_evidence_row_at(seen->kind)->gauge;
}

static double on_scale(const jw_gauge *gauge, double value)
{
	return gauge->even ? value : log(value);
}

/* Standard uncertainty of a reading on its scale. */
static double own_spread(const jw_gauge *gauge, const jw_evidence *seen)
{
	return gauge->even ? seen->uncertainty : seen->uncertainty / seen->value;
}

/* Width of a reading's cell, as a share of what readings may span: chance of hitting it blindly. */
static double blind(const jw_evidence *seen)
{
	const jw_gauge *gauge = gauge_of(seen);
	return fmin(sqrt(2 * JW_PI) * own_spread(gauge, seen) / gauge->span, 1);
}

/* Normal on the scale, densities counted in cells that make the reading's greatest value 1. */
static double hit(const jw_evidence *seen, double expected, double spread)
{
	const jw_gauge *gauge = gauge_of(seen);
	double own = own_spread(gauge, seen), both = hypot(own, spread);
	return own / both * exp(-0.5 * jw_square((on_scale(gauge, seen->value) - expected) / both));
}

static double hit_sound(const jw_evidence *seen)
{
	const jw_gauge *gauge = gauge_of(seen);
	return hit(seen, on_scale(gauge, gauge->sound), gauge->spread);
}

static double hit_faulty(const jw_evidence *seen)
{
	const jw_gauge *gauge = gauge_of(seen);
	return hit(seen, on_scale(gauge, gauge->faulty), gauge->faulty_spread);
}

int jw_reads_faulty(const jw_evidence *seen)
{
	const jw_gauge *gauge = gauge_of(seen);
	if (gauge && gauge->on_bench)
		return hit(seen, 0, gauge->spread) < blind(seen);
	return gauge && gauge->faulty_spread > 0 && hit_faulty(seen) > hit_sound(seen);
}

/* Standard deviations of a sound engine's readings at which one stands out. */
static const double stands_out = 2.0;

double jw_reads_off(const jw_evidence_row *row, const jw_signs *signs, double told, int side)
{
	const jw_gauge *g = row->gauge;
	const double spread = hypot(g->even ? g->usual : g->usual_share, g->spread);
	const double off = jw_normal_cdf(-stands_out), share = told > JW_NOT_TOLD ? told : row->other;
	if (signs && !(told > JW_NOT_TOLD))
		return (1 - reading_doubt) * jw_normal_cdf(side * signs->bench[g->bench] / spread - stands_out) +
		       reading_doubt / 3;
	return off + fmax(share, 0) * (0.5 - off);
}

/* Where a share of engines reads as faulty ones do; on the bench, as nobody foretells. */
static double as_told(const jw_evidence_row *row, const jw_evidence *seen, double share)
{
	if (share < 0)
		return blind(seen);
	if (row->gauge->on_bench)
		return (1 - share) * hit(seen, 0, row->gauge->spread) + share * blind(seen);
	return (1 - share) * hit_sound(seen) + share * hit_faulty(seen);
}

double jw_gauge_shape(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	if (row->gauge->on_bench)
		return hit(seen, signs->bench[row->gauge->bench], row->gauge->spread);
	return as_told(row, seen, row->sound);
}

static double gauge_likelihood(const jw_evidence_row *row, const jw_evidence *seen, const jw_signs *signs, double told)
{
	double read = told > JW_NOT_TOLD ? as_told(row, seen, told) : row->shape(row, signs, seen);
	return (1 - reading_doubt) * read + reading_doubt * blind(seen);
}

double jw_readings_apart(const jw_evidence *a, const jw_evidence *b)
{
	const jw_gauge *gauge = gauge_of(a);
	return fabs(on_scale(gauge, a->value) - on_scale(gauge, b->value)) /
	       hypot(own_spread(gauge, a), own_spread(gauge, b));
}

/* ---- words ---- */

/* As it was answered. */
static double answered(const jw_evidence *seen, double yes)
{
	return seen->answer == JW_NO ? 1 - yes : yes;
}

/* ---- what says the same ---- */

static int is_named(const char *id, const jw_evidence_row *row)
{
	return id && strcmp(id, row->kind.id) == 0;
}

static int rules_out(const jw_evidence_row *row, const jw_evidence_row *other)
{
	return is_named(row->opposite, other) || is_named(row->against[0], other) || is_named(row->against[1], other);
}

/* How many times as likely a reading must be on the one engine than on the other to stand for words. */
static const double plainly = 3.0;

/* Words that a reading stands for. */
static jw_answer read_as(const jw_evidence *seen, const jw_evidence_row *words)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	const int good = is_named(row->opposite, words), bad = is_named(row->implies, words);
	if (!(good || bad) || row->gauge->on_bench)
		return JW_UNKNOWN;
	const double faulty = hit_faulty(seen), sound = hit_sound(seen);
	if (faulty < plainly * sound && sound < plainly * faulty)
		return JW_UNKNOWN;
	return (faulty > sound) == bad ? JW_YES : JW_NO;
}

/* What must be answered of other words, given these. */
static jw_answer follows(const jw_evidence *seen, const jw_evidence_row *words)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	if (row->gauge)
		return read_as(seen, words);
	if (seen->answer == JW_YES && (rules_out(row, words) || rules_out(words, row)))
		return JW_NO;
	if (seen->answer == JW_YES && is_named(row->implies, words))
		return JW_YES;
	return seen->answer == JW_NO && is_named(words->implies, row) ? JW_NO : JW_UNKNOWN;
}

/* Of the engine as a whole, whatever the throttle. */
static int is_whole(const jw_evidence_row *row)
{
	return !row->kind.takes_range && row->kind.range == JW_RANGE_COUNT;
}

int jw_evidence_settles(const jw_evidence *a, const jw_evidence *b)
{
	const jw_evidence_row *row = jw_evidence_row_at(a->kind), *words = jw_evidence_row_at(b->kind);
	const int together = a->range == b->range || is_whole(row) || is_whole(words);
	if (row == words || words->gauge || !together || a->answer == JW_UNKNOWN || b->answer == JW_UNKNOWN)
		return 0;
	const jw_answer must = follows(a, words);
	return must == JW_UNKNOWN ? 0 : must == b->answer ? 1 : -1;
}

/* ---- likelihoods ---- */

/* Two reasons for the same, or, of what is good, two conditions. */
static double both_ways(const jw_evidence_row *row, double first, double second)
{
	return row->good ? first * second : 1 - (1 - first) * (1 - second);
}

double jw_likelihood(const jw_evidence *seen, const jw_signs *signs, double told)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	if (row->gauge)
		return gauge_likelihood(row, seen, signs, told);
	double yes = row->shape(row, signs, seen);
	if (told >= 0)
		yes = row->needs ? both_ways(row, yes, told) : told;
	double e = row->plain ? plain_doubt : row->needs ? felt_doubt : doubt;
	return (1 - e) * answered(seen, yes) + e / answers;
}

unsigned jw_wants_asked(const jw_evidence_row *row)
{
	const unsigned stops = 1u << JW_WANT_LEAN_STOP | 1u << JW_WANT_RICH_STOP;
	return row->needs ? stops | 1u << row->lean | 1u << row->rich : 0;
}

double jw_tell_both(const jw_evidence *seen, double first, double second)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	if (first < 0 || second < 0)
		return fmax(first, second);
	if (row->needs)
		return both_ways(row, first, second);
	return fabs(first - row->sound) > fabs(second - row->sound) ? first : second;
}

double jw_likelihood_other(const jw_evidence *seen)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	if (jw_reads_mixture(row))
		return blind(seen);
	if (row->gauge)
		return gauge_likelihood(row, seen, NULL, row->other);
	return answered(seen, row->other);
}

/* Normal in ln(lambda), densities counted in cells that make the reading's greatest value 1. */
jw_reading_weight jw_weigh_reading(const jw_evidence *seen, double lnphi, double model_spread)
{
	double own = seen->uncertainty / seen->value, both = hypot(own, model_spread);
	double apart = -log(seen->value) - lnphi;
	return (jw_reading_weight){.believed = (1 - reading_doubt) * own / both * exp(-0.5 * jw_square(apart / both)),
	                           .doubted = reading_doubt * blind(seen),
	                           .error = apart * jw_square(model_spread / both),
	                           .spread = own * model_spread / both};
}

jw_evidence jw_merge_readings(const jw_evidence *reading, int n)
{
	const jw_gauge *gauge = gauge_of(&reading[0]);
	double weight = 0, mean = 0, apart = 0;
	for (int i = 0; i < n; i++) {
		double w = 1 / jw_square(own_spread(gauge, &reading[i]));
		weight += w;
		mean += w * on_scale(gauge, reading[i].value);
	}
	mean /= weight;
	for (int i = 0; i < n; i++)
		apart += jw_square((on_scale(gauge, reading[i].value) - mean) / own_spread(gauge, &reading[i]));
	double birge = n > 1 ? fmax(sqrt(apart / (n - 1)), 1) : 1;
	jw_evidence merged = reading[0];
	merged.value = gauge->even ? mean : exp(mean);
	merged.uncertainty = birge / sqrt(weight) * (gauge->even ? 1 : merged.value);
	return merged;
}

/* Probability of feeling a mixture from which on a reading of it is a complaint. */
static const double surely_felt = 0.9;

static int reads_rough(const jw_evidence *seen)
{
	const double lnphi = -log(seen->value);
	return jw_leaner_than(seen->range, JW_WANT_LEAN_ROUGH, lnphi, 0) > surely_felt ||
	       jw_richer_than(seen->range, JW_WANT_RICH_ROUGH, lnphi, 0) > surely_felt;
}

int jw_complains(const jw_evidence *seen)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	if (row->harmless)
		return 0;
	if (row->kind.takes_value)
		return jw_reads_mixture(row) ? reads_rough(seen) : jw_reads_faulty(seen);
	return row->good == (seen->answer == JW_NO);
}

int jw_runs_badly(const jw_evidence *seen)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	return row->needs && !row->kind.takes_value && seen->answer == (row->good ? JW_NO : JW_YES);
}

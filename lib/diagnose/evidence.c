/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/evidence.h"
#include "base/base.h"
#include <string.h>

/* Share of reports that say nothing, and the answers they are spread over. How an engine runs is judged by feel: one
 * report in ten is wrong; of what is told of the engine as a whole one in 25; of what hardly anybody mistakes one in
 * 200 (trade practice, no source). */
static const double felt_doubt = 0.20, doubt = 0.08, plain_doubt = 0.01, answers = 2.0;
/* Of a lambda reading where none is stated, the share of readings that say nothing, and the ln(lambda) that readings
 * may span. */
static const double usual_uncertainty = 0.03, reading_doubt = 0.08, reading_span = 1.2;

const jw_evidence_kind *jw_evidence_kind_at(int kind)
{
	const jw_evidence_row *row = jw_evidence_row_at(kind);
	return row ? &row->kind : NULL;
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

jw_evidence jw_evidence_read(const jw_evidence *seen)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	jw_evidence read = *seen;
	if (!row->kind.takes_range)
		read.range = row->kind.range < JW_RANGE_COUNT ? row->kind.range : JW_IDLE;
	if (!(read.uncertainty > 0))
		read.uncertainty = usual_uncertainty;
	return read;
}

/* Width of a reading's cell, as a share of what readings may span: chance of hitting it blindly. */
static double blind(const jw_evidence *seen)
{
	return fmin(sqrt(2 * JW_PI) * seen->uncertainty / seen->value / reading_span, 1);
}

/* As it was answered. */
static double answered(const jw_evidence *seen, double yes)
{
	return seen->answer == JW_NO ? 1 - yes : yes;
}

/* Two reasons for the same, or, of what is good, two conditions. */
static double both_ways(const jw_evidence_row *row, double first, double second)
{
	return row->good ? first * second : 1 - (1 - first) * (1 - second);
}

double jw_likelihood(const jw_evidence *seen, const jw_signs *signs, double told)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	double yes = row->shape(row, signs, seen);
	if (told >= 0)
		yes = row->needs ? both_ways(row, yes, told) : told;
	double e = row->plain ? plain_doubt : row->needs ? felt_doubt : doubt;
	return (1 - e) * answered(seen, yes) + e / answers;
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
	return row->kind.takes_value ? blind(seen) : answered(seen, row->other);
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
	double weight = 0, mean = 0, apart = 0;
	for (int i = 0; i < n; i++) {
		double w = jw_square(reading[i].value / reading[i].uncertainty);
		weight += w;
		mean += w * log(reading[i].value);
	}
	mean /= weight;
	for (int i = 0; i < n; i++)
		apart += jw_square(reading[i].value / reading[i].uncertainty * (log(reading[i].value) - mean));
	double birge = n > 1 ? sqrt(apart / (n - 1)) : 1;
	jw_evidence merged = reading[0];
	merged.value = exp(mean);
	merged.uncertainty = merged.value * fmax(birge, 1) / sqrt(weight);
	return merged;
}

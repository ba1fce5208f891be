/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/evidence.h"
#include "base/base.h"
#include <string.h>

/* Share of reports that say nothing, and the answers they are spread over (trade practice, no source). */
static const double doubt = 0.08, answers = 2.0;
/* Of a lambda reading where none is stated, and the ln(lambda) that readings may span. */
static const double usual_uncertainty = 0.03, reading_span = 1.2;
/* Change of ln(phi) that an ear notices, and its spread. */
static const double noticed = 0.03, noticed_spread = 0.02;
/* Growth of idle air that lifts the speed plainly. */
static const double lifted = 0.15, lifted_spread = 0.07;
/* Share of idle air through a leak that a spray test shows. */
static const double sprayed = 0.02, sprayed_spread = 0.01;

static double trouble(const jw_evidence_row *row, double lnphi, const jw_signs *signs, jw_range range)
{
	return row->lean_says * jw_leaner_than(range, row->lean, lnphi, signs->tolerance) +
	       row->rich_says * jw_richer_than(range, row->rich, lnphi, signs->tolerance);
}

/* Shows itself beyond the limits. */
static double beyond(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	return trouble(row, signs->lnphi, signs, seen->range);
}

/* The same of something that is seen only while the engine keeps running there. */
static double beyond_running(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	double lean = jw_leaner_than(seen->range, JW_WANT_LEAN_STOP, signs->lnphi, signs->tolerance);
	double rich = jw_richer_than(seen->range, JW_WANT_RICH_STOP, signs->lnphi, signs->tolerance);
	return beyond(row, signs, seen) * (1 - lean) * (1 - rich);
}

/* Shows itself between the limits. */
static double between(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	return 1 - trouble(row, signs->lnphi, signs, seen->range);
}

/* Too lean without the enrichener, not so with it. */
static double enrichener_only(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	return trouble(row, signs->lnphi, signs, seen->range) *
	       (1 - trouble(row, signs->lnphi_enriched, signs, seen->range));
}

/* How much nearer to the best mixture a trial brings it, stopped where it does best on its way to the end. */
static double gain(double before, double end, jw_range range)
{
	double best = -log(jw_wanted(range, JW_WANT_BEST).lambda);
	double reached = jw_clamp(best, fmin(before, end), fmax(before, end));
	return fabs(before - best) - fabs(reached - best);
}

static double felt(double change)
{
	return jw_normal_cdf((change - noticed) / noticed_spread);
}

static double enrichener_helps(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)row;
	return felt(gain(signs->lnphi, signs->lnphi_enriched, seen->range));
}

static double enrichener_worsens(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	return felt(signs->lnphi_enriched - signs->lnphi) * (1 - enrichener_helps(row, signs, seen));
}

static double screw_helps(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)row;
	return felt(gain(signs->lnphi, signs->lnphi_screw, seen->range));
}

static double screw_idle(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)row;
	(void)seen;
	return 1 - felt(fabs(signs->lnphi_screw - signs->lnphi));
}

static double high(const jw_signs *signs)
{
	return jw_normal_cdf((signs->lnair - lifted) / lifted_spread);
}

static double more_air(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)row;
	(void)seen;
	return high(signs);
}

static double more_air_or_beyond(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	return 1 - (1 - high(signs)) * (1 - trouble(row, signs->lnphi, signs, seen->range));
}

static double leaks(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)seen;
	return row->lean_says * jw_normal_cdf((signs->leak_share - sprayed) / sprayed_spread);
}

static double tight(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	return 1 - leaks(row, signs, seen);
}

#define PLAIN JW_NEEDS_PLAIN
#define ENRICHED (JW_NEEDS_PLAIN | JW_NEEDS_ENRICHED)
#define SCREW (JW_NEEDS_PLAIN | JW_NEEDS_SCREW)
#define ROUGH JW_WANT_LEAN_ROUGH, JW_WANT_RICH_ROUGH
#define LIMIT JW_WANT_LEAN_LIMIT, JW_WANT_RICH_LIMIT

/* Shares are set by hand from what trade writing says of lean and rich running; no source has them as numbers. Lean and
 * rich run into each other least where the text names the feel (four-strokes, black smoke) and most for "stumbles". */
static const jw_evidence_row rows[] = {
    {{"starts_only_with_enrichener", "starts only with the enrichener open, warm or cold", 0, JW_IDLE, 0},
     enrichener_only,
     ENRICHED,
     ROUGH,
     1.0,
     0.0,
     0.15},
    {{"needs_no_enrichener_cold", "starts cold without the enrichener", 0, JW_IDLE, 0},
     beyond_running,
     PLAIN,
     ROUGH,
     0.0,
     0.9,
     0.10},
    {{"hunts", "speed wanders up and down at a steady throttle", 1, JW_IDLE, 0},
     beyond_running,
     PLAIN,
     ROUGH,
     0.85,
     0.25,
     0.20},
    {{"surges", "surges at a steady throttle under load", 1, JW_HALF, 0},
     beyond_running,
     PLAIN,
     ROUGH,
     0.85,
     0.10,
     0.15},
    {{"stumbles", "stumbles when the throttle is opened into this range", 1, JW_OFF_IDLE, 0},
     beyond,
     PLAIN,
     ROUGH,
     0.90,
     0.40,
     0.25},
    {{"hesitates", "hesitates before it pulls in this range", 1, JW_OFF_IDLE, 0},
     beyond_running,
     PLAIN,
     ROUGH,
     0.85,
     0.30,
     0.25},
    {{"flat", "pulls weakly in this range", 1, JW_FULL, 0}, beyond_running, PLAIN, ROUGH, 0.90, 0.60, 0.30},
    {{"misfires_lean", "misfires or backfires through the intake in this range", 1, JW_FULL, 0},
     beyond,
     PLAIN,
     LIMIT,
     0.90,
     0.0,
     0.20},
    {{"misfires_rich", "runs thick and fires on every other turn (four-strokes)", 1, JW_FULL, 0},
     beyond_running,
     PLAIN,
     ROUGH,
     0.0,
     0.85,
     0.10},
    {{"runs_well", "runs well in this range", 1, JW_FULL, 0}, between, PLAIN, ROUGH, 1.0, 1.0, 0.40},
    {{"idles_well", "idles steadily", 0, JW_IDLE, 0}, between, PLAIN, ROUGH, 1.0, 1.0, 0.40},
    {{"dies_at_idle", "dies at idle", 0, JW_IDLE, 0}, beyond, PLAIN, LIMIT, 0.95, 0.80, 0.25},
    {{"cuts_out", "cuts out in this range", 1, JW_FULL, 0}, beyond, PLAIN, LIMIT, 0.85, 0.70, 0.30},
    {{"high_idle", "idles too fast with the stop where it was", 0, JW_IDLE, 0}, more_air, PLAIN, ROUGH, 0.0, 0.0, 0.10},
    {{"hanging_idle", "speed hangs high when the throttle is closed", 0, JW_IDLE, 0},
     more_air_or_beyond,
     PLAIN,
     ROUGH,
     0.70,
     0.0,
     0.10},
    {{"smokes_black", "black smoke in this range", 1, JW_FULL, 0}, beyond_running, PLAIN, ROUGH, 0.0, 0.80, 0.07},
    {{"plug_white", "plug white after running in this range", 1, JW_FULL, 0},
     beyond_running,
     PLAIN,
     ROUGH,
     0.70,
     0.0,
     0.12},
    {{"plug_black", "plug sooty after running in this range", 1, JW_FULL, 0},
     beyond_running,
     PLAIN,
     ROUGH,
     0.0,
     0.80,
     0.15},
    {{"enrichener_helps", "runs better in this range with the enrichener part open", 1, JW_IDLE, 0},
     enrichener_helps,
     ENRICHED,
     ROUGH,
     0.0,
     0.0,
     0.15},
    {{"enrichener_worsens", "runs worse in this range with the enrichener part open", 1, JW_IDLE, 0},
     enrichener_worsens,
     ENRICHED,
     ROUGH,
     0.0,
     0.0,
     0.50},
    {{"screw_out_helps", "idles better with the mixture screw half a turn further out", 0, JW_IDLE, 0},
     screw_helps,
     SCREW,
     ROUGH,
     0.0,
     0.0,
     0.15},
    {{"screw_no_effect", "half a turn of the mixture screw changes nothing", 0, JW_IDLE, 0},
     screw_idle,
     SCREW,
     ROUGH,
     0.0,
     0.0,
     0.25},
    {{"leak_spray_changes", "idle changes when the intake joints are sprayed", 0, JW_IDLE, 0},
     leaks,
     PLAIN,
     ROUGH,
     0.90,
     0.0,
     0.06},
    {{"leak_spray_no_change", "idle stays when the intake joints are sprayed", 0, JW_IDLE, 0},
     tight,
     PLAIN,
     ROUGH,
     0.90,
     0.0,
     0.94},
    {{"lambda", "lambda measured in this range", 1, JW_IDLE, 1}, NULL, PLAIN, ROUGH, 0.0, 0.0, 0.0},
};

enum { ROWS = sizeof rows / sizeof *rows };

int jw_evidence_kind_count(void)
{
	return ROWS;
}

const jw_evidence_row *jw_evidence_row_at(int kind)
{
	return kind >= 0 && kind < ROWS ? &rows[kind] : NULL;
}

const jw_evidence_kind *jw_evidence_kind_at(int kind)
{
	const jw_evidence_row *row = jw_evidence_row_at(kind);
	return row ? &row->kind : NULL;
}

int jw_evidence_kind_find(const char *id)
{
	for (int i = 0; i < ROWS; i++)
		if (id && strcmp(rows[i].kind.id, id) == 0)
			return i;
	return -1;
}

jw_evidence jw_evidence_read(const jw_evidence *seen)
{
	const jw_evidence_row *row = &rows[seen->kind];
	jw_evidence read = *seen;
	if (!row->kind.takes_range)
		read.range = row->kind.range;
	if (!(read.uncertainty > 0))
		read.uncertainty = usual_uncertainty;
	return read;
}

/* Width of a reading's cell, as a share of what readings may span: chance of hitting it blindly. */
static double blind(const jw_evidence *seen)
{
	return fmin(sqrt(2 * JW_PI) * seen->uncertainty / seen->value / reading_span, 1);
}

double jw_likelihood(const jw_evidence *seen, const jw_signs *signs)
{
	const jw_evidence_row *row = &rows[seen->kind];
	return (1 - doubt) * row->shape(row, signs, seen) + doubt / answers;
}

double jw_likelihood_other(const jw_evidence *seen)
{
	const jw_evidence_row *row = &rows[seen->kind];
	return row->kind.takes_value ? blind(seen) : row->other;
}

/* Normal in ln(lambda), densities counted in cells that make the reading's greatest value 1. */
jw_reading_weight jw_weigh_reading(const jw_evidence *seen, double lnphi, double model_spread)
{
	double own = seen->uncertainty / seen->value, both = hypot(own, model_spread);
	double apart = -log(seen->value) - lnphi;
	return (jw_reading_weight){.believed = (1 - doubt) * own / both * exp(-0.5 * jw_square(apart / both)),
	                           .doubted = doubt * blind(seen),
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

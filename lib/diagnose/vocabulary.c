/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words in which an engine's behaviour is told, and how probable each is. */
#include "base/base.h"
#include "diagnose/evidence.h"

/* Change of ln(phi) that an ear notices, and its spread. */
static const double noticed = 0.03, noticed_spread = 0.02;
/* Torque falls with the square of how far ln(lambda) lies from its best: 3 to 4 % at lambda 1 where 0.87 is best, a
 * tenth at 1.1 (Heywood 1988, ch. 15, from memory). A share of it that an ear notices is taken as that of the mixture
 * above. */
static const double torque_lost = 2.0;
/* Growth of idle air that lifts the speed plainly. */
static const double lifted = 0.15, lifted_spread = 0.07;
/* Loss of air, and so of power, that a rider misses, and its spread. Trade practice, no source. */
static const double missed = 0.12, missed_spread = 0.05;
/* Share of idle air through a leak that a spray test shows. */
static const double sprayed = 0.02, sprayed_spread = 0.01;
/* Ln(phi) that a part-covered intake adds. */
static const double covered = 0.2;
/* Ln(phi) that a filter in order takes away when it is taken off. */
static const double freed = 0.05;
/* A cold engine makes a mixture of a part of its fuel only: spread of the lambda from which it has too little. */
static const double cold_spread = 0.15;
/* Lambda, plain, below which a plug comes out wet, and, enriched, above which it stays dry. */
static const double wet_below = 0.50, dry_above = 1.20, plug_spread = 0.15;

static double leaner(const jw_signs *signs, double lnphi, jw_range range, jw_want want)
{
	return signs->past && lnphi == signs->lnphi ? signs->past[want]
	                                            : jw_leaner_than(range, want, lnphi, signs->tolerance);
}

static double richer(const jw_signs *signs, double lnphi, jw_range range, jw_want want)
{
	return signs->past && lnphi == signs->lnphi ? signs->past[want]
	                                            : jw_richer_than(range, want, lnphi, signs->tolerance);
}

static double trouble(const jw_evidence_row *row, double lnphi, const jw_signs *signs, jw_range range)
{
	double says = 0;
	if (row->lean_says > 0)
		says += row->lean_says * leaner(signs, lnphi, range, row->lean);
	if (row->rich_says > 0)
		says += row->rich_says * richer(signs, lnphi, range, row->rich);
	return says;
}

/* Shows itself beyond the limits. */
static double beyond(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	return trouble(row, signs->lnphi, signs, seen->range);
}

/* The same of something that is seen only while the engine keeps running there. */
static double beyond_running(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	double shown = beyond(row, signs, seen);
	if (!(shown > 0)) /* as on most mixtures */
		return 0;
	double lean = leaner(signs, signs->lnphi, seen->range, JW_WANT_LEAN_STOP);
	double rich = richer(signs, signs->lnphi, seen->range, JW_WANT_RICH_STOP);
	return shown * (1 - lean) * (1 - rich);
}

/* Power that is missed: it goes with the air that the engine gets. */
static double short_of_air(const jw_signs *signs)
{
	return jw_normal_cdf((-signs->lnair - missed) / missed_spread);
}

static double beyond_or_short(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	return 1 - (1 - short_of_air(signs)) * (1 - beyond_running(row, signs, seen));
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

/* Share of the torque that a trial brings, stopped where it does best on its way to the end. */
static double gain(double before, double end, jw_range range)
{
	double best = -jw_wanted(range, JW_WANT_BEST).ln_lambda;
	double reached = jw_clamp(best, fmin(before, end), fmax(before, end));
	return torque_lost * (jw_square(before - best) - jw_square(reached - best));
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

static double covering_helps(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)row;
	return felt(gain(signs->lnphi, signs->lnphi + covered, seen->range));
}

static double filter_off_helps(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)row;
	return felt(gain(signs->lnphi, signs->lnphi - freed, seen->range));
}

static double wet(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)row;
	(void)seen;
	return 0.8 * jw_normal_cdf((signs->lnphi + log(wet_below)) / plug_spread);
}

static double dry(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)row;
	(void)seen;
	return 0.8 * jw_normal_cdf((-signs->lnphi_enriched - log(dry_above)) / plug_spread);
}

/* Too lean for a cold start though the enrichener is open, or flooded without it. */
static double cold(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	double lean = jw_normal_cdf((-signs->lnphi_enriched - log(row->limit)) / cold_spread);
	double rich = richer(signs, signs->lnphi, seen->range, JW_WANT_RICH_STOP);
	return 0.9 * (1 - (1 - lean) * (1 - rich));
}

/* The mixture says nothing of it. */
static double stated(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen)
{
	(void)signs;
	(void)seen;
	return row->sound;
}

#define PLAIN JW_NEEDS_PLAIN
#define ENRICHED (JW_NEEDS_PLAIN | JW_NEEDS_ENRICHED)
#define SCREW (JW_NEEDS_PLAIN | JW_NEEDS_SCREW)
#define ROUGH .lean = JW_WANT_LEAN_ROUGH, .rich = JW_WANT_RICH_ROUGH
#define LIMIT .lean = JW_WANT_LEAN_LIMIT, .rich = JW_WANT_RICH_LIMIT
/* Told of the engine as a whole; how many sound engines show it, and how many that ail from something unnamed. */
#define WHOLE(id, text, on_sound, elsewhere)                                                                           \
	{id, text, 0, JW_RANGE_COUNT, 0}, .shape = stated, .sound = on_sound, .other = elsewhere
#define TOLD(id, text, on_sound, elsewhere, against)                                                                   \
	{                                                                                                                  \
		WHOLE(id, text, on_sound, elsewhere), .opposite = against                                                      \
	}
/* The same of what hardly anybody mistakes, and of what is as it should be. */
#define FACT(id, text, on_sound, elsewhere, against)                                                                   \
	{                                                                                                                  \
		WHOLE(id, text, on_sound, elsewhere), .plain = 1, .opposite = against                                          \
	}
#define GOOD(id, text, on_sound, elsewhere, against)                                                                   \
	{                                                                                                                  \
		WHOLE(id, text, on_sound, elsewhere), .good = 1, .opposite = against                                           \
	}

/* A reading of the engine as a whole. */
#define READ(id, text, by, on_sound, elsewhere, good_word, bad_word)                                                   \
	{                                                                                                                  \
		{id, text, 0, JW_RANGE_COUNT, 1}, .gauge = &(by), .shape = jw_gauge_shape, .sound = on_sound,                  \
		                                  .other = elsewhere, .opposite = good_word, .implies = bad_word               \
	}
/* Nobody foretells a reading on the bench: a sound engine's lie about 0. */
#define BENCH(id, text, by, elsewhere) READ(id, text, by, 0, elsewhere, NULL, NULL)
#define MM(low, high) .stated = {JW_LENGTH, "mm", 1e-3, (low)*1e-3, (high)*1e-3}
#define PERCENT(low, high) .stated = {JW_FRACTION, "%", 1e-2, (low)*1e-2, (high)*1e-2}
#define JET_BORE(circuit) .over = offsetof(jw_setup, carburetor.circuit.fuel_jet.diameter_m)

/* Uncertainties, spreads and what sound and faulty engines read: trade practice, no source. Compression depends on the
 * engine; few sound ones stay under 800 kPa. A bench flow tells a bore better than it tells a share of what the mark
 * promises. */
static const jw_gauge lambda_probe = {.stated = {JW_NUMBER, "", 1, 0.3, 3}, .usual = 0.03, .span = 1.2};
static const jw_gauge level_gauge = {MM(-20, 20),    .even = 1,     .usual = 0.5e-3,        .span = 20e-3,
                                     .spread = 1e-3, .on_bench = 1, .bench = JW_BENCH_LEVEL};
static const jw_gauge pilot_bore_gauge = {
    MM(0.05, 3),   .usual_share = 0.02,         .span = 1.5, .spread = 0.03, JET_BORE(pilot),
    .on_bench = 1, .bench = JW_BENCH_PILOT_BORE};
static const jw_gauge main_bore_gauge = {
    MM(0.1, 5),    .usual_share = 0.02,        .span = 1.5, .spread = 0.03, JET_BORE(main),
    .on_bench = 1, .bench = JW_BENCH_MAIN_BORE};
static const jw_gauge pilot_flow_gauge = {PERCENT(1, 150), .usual_share = 0.05, .span = 3,
                                          .spread = 0.06,  .on_bench = 1,       .bench = JW_BENCH_PILOT_FLOW};
static const jw_gauge main_flow_gauge = {PERCENT(1, 150), .usual_share = 0.05, .span = 3,
                                         .spread = 0.06,  .on_bench = 1,       .bench = JW_BENCH_MAIN_FLOW};
static const jw_gauge screw_gauge = {.stated = {JW_NUMBER, "", 1, -10, 10},
                                     .even = 1,
                                     .usual = 0.1,
                                     .span = 4,
                                     .spread = 0.2,
                                     .on_bench = 1,
                                     .bench = JW_BENCH_SCREW};
static const jw_gauge needle_gauge = {MM(-6, 6),        .even = 1,     .usual = 0.15e-3,        .span = 4e-3,
                                      .spread = 0.1e-3, .on_bench = 1, .bench = JW_BENCH_NEEDLE};
static const jw_gauge needle_jet_gauge = {MM(0.5, 8),
                                          .usual_share = 0.005,
                                          .span = 0.2,
                                          .spread = 0.005,
                                          .over = offsetof(jw_setup, carburetor.needle.jet_m),
                                          .on_bench = 1,
                                          .bench = JW_BENCH_NEEDLE_JET};
static const jw_gauge compression_gauge = {.stated = {JW_PRESSURE, "kPa", 1e3, 50e3, 3e6},
                                           .usual_share = 0.05,
                                           .span = 1.8,
                                           .spread = 0.18,
                                           .sound = 1050e3,
                                           .faulty = 520e3,
                                           .faulty_spread = 0.30};
static const jw_gauge drain_gauge = {.stated = {JW_VOLUME_FLOW, "ml/min", 1e-6 / 60, 1e-6 / 60, 1e-2 / 60},
                                     .usual_share = 0.10,
                                     .span = 5,
                                     .spread = 0.7,
                                     .sound = 4e-6,
                                     .faulty = 0.4e-6,
                                     .faulty_spread = 0.9};

/* Shares are set by hand from what trade writing says of lean and rich running, and of tests; no source has them as
 * numbers. Lean and rich run into each other least where the text names the feel (four-strokes, black smoke) and most
 * for "stumbles". Any sign of life counts in the outside-fuel test; a spark that is strong in open air misleads, hence
 * 0.92. */
static const jw_evidence_row rows[] = {
    {{"starts_only_with_enrichener", "starts only with the enrichener open, warm or cold", 0, JW_IDLE, 0},
     .shape = enrichener_only,
     .needs = ENRICHED,
     ROUGH,
     .lean_says = 1.0,
     .other = 0.15},
    {{"needs_no_enrichener_cold", "starts cold without the enrichener", 0, JW_IDLE, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .rich_says = 0.9,
     .harmless = 1,
     .other = 0.10,
     .opposite = "starts_only_with_enrichener"},
    {{"hunts", "speed wanders up and down at a steady throttle", 1, JW_IDLE, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.85,
     .rich_says = 0.25,
     .other = 0.20,
     .opposite = "runs_well"},
    {{"surges", "surges at a steady throttle under load", 1, JW_HALF, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.85,
     .rich_says = 0.10,
     .other = 0.15,
     .opposite = "runs_well"},
    {{"stumbles", "stumbles when the throttle is opened into this range", 1, JW_OFF_IDLE, 0},
     .shape = beyond,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.90,
     .rich_says = 0.40,
     .other = 0.25},
    {{"hesitates", "hesitates before it pulls in this range", 1, JW_OFF_IDLE, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.85,
     .rich_says = 0.30,
     .other = 0.25,
     .opposite = "runs_well"},
    {{"flat", "pulls weakly in this range", 1, JW_FULL, 0},
     .shape = beyond_or_short,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.90,
     .rich_says = 0.60,
     .other = 0.30,
     .opposite = "runs_well"},
    {{"misfires_lean", "misfires or backfires through the intake in this range", 1, JW_FULL, 0},
     .shape = beyond,
     .needs = PLAIN,
     LIMIT,
     .lean_says = 0.90,
     .other = 0.20,
     .opposite = "runs_well"},
    {{"misfires_rich", "runs thick and fires on every other turn (four-strokes)", 1, JW_FULL, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .rich_says = 0.85,
     .other = 0.10,
     .opposite = "runs_well"},
    {{"runs_well", "runs well in this range", 1, JW_FULL, 0},
     .shape = between,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 1.0,
     .rich_says = 1.0,
     .good = 1,
     .other = 0.40},
    {{"idles_well", "idles steadily", 0, JW_IDLE, 0},
     .shape = between,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 1.0,
     .rich_says = 1.0,
     .good = 1,
     .other = 0.40,
     .against = {"hunts"}},
    {{"dies_at_idle", "dies at idle", 0, JW_IDLE, 0},
     .shape = beyond,
     .needs = PLAIN,
     LIMIT,
     .lean_says = 0.95,
     .rich_says = 0.80,
     .other = 0.25,
     .opposite = "idles_well"},
    {{"cuts_out", "cuts out in this range", 1, JW_FULL, 0},
     .shape = beyond,
     .needs = PLAIN,
     LIMIT,
     .lean_says = 0.85,
     .rich_says = 0.70,
     .other = 0.30,
     .opposite = "runs_well"},
    {{"high_idle", "idles too fast with the stop where it was", 0, JW_IDLE, 0},
     .shape = more_air,
     .needs = PLAIN,
     .other = 0.10},
    {{"hanging_idle", "speed hangs high when the throttle is closed", 0, JW_IDLE, 0},
     .shape = more_air_or_beyond,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.70,
     .other = 0.10},
    {{"smokes_black", "black smoke in this range", 1, JW_FULL, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .rich_says = 0.80,
     .other = 0.07},
    {{"plug_white", "plug white after running in this range", 1, JW_FULL, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.70,
     .other = 0.12,
     .opposite = "plug_black"},
    {{"plug_black", "plug sooty after running in this range", 1, JW_FULL, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .rich_says = 0.80,
     .other = 0.15},
    {{"enrichener_helps", "runs better in this range with the enrichener part open", 1, JW_IDLE, 0},
     .shape = enrichener_helps,
     .needs = ENRICHED,
     .other = 0.15},
    {{"enrichener_worsens", "runs worse in this range with the enrichener part open", 1, JW_IDLE, 0},
     .shape = enrichener_worsens,
     .needs = ENRICHED,
     .harmless = 1,
     .other = 0.50,
     .opposite = "enrichener_helps"},
    {{"screw_out_helps", "idles better with the mixture screw half a turn further out", 0, JW_IDLE, 0},
     .shape = screw_helps,
     .needs = SCREW,
     .other = 0.15},
    {{"screw_no_effect", "half a turn of the mixture screw changes nothing", 0, JW_IDLE, 0},
     .shape = screw_idle,
     .needs = SCREW,
     .other = 0.25,
     .opposite = "screw_out_helps"},
    {{"leak_spray_changes", "idle changes when the intake joints are sprayed", 0, JW_IDLE, 0},
     .shape = leaks,
     .needs = PLAIN,
     .lean_says = 0.90,
     .other = 0.06},
    {{"leak_spray_no_change", "idle stays when the intake joints are sprayed", 0, JW_IDLE, 0},
     .shape = tight,
     .needs = PLAIN,
     .lean_says = 0.90,
     .good = 1,
     .other = 0.94,
     .opposite = "leak_spray_changes"},
    {{"lambda", "lambda measured in this range", 1, JW_IDLE, 1}, .gauge = &lambda_probe, .needs = PLAIN},
    {{"hard_to_start_cold", "hard to start cold, with the enrichener open", 0, JW_IDLE, 0},
     .shape = cold,
     .needs = ENRICHED,
     .limit = 0.80,
     .other = 0.30},
    {{"does_not_start", "cranks and does not start, with the enrichener open", 0, JW_IDLE, 0},
     .shape = cold,
     .needs = ENRICHED,
     .limit = 1.05,
     .other = 0.40,
     .opposite = "idles_well",
     .against = {"starts_only_with_enrichener"}},
    {{"pops_on_closing", "pops in the exhaust when the throttle is closed", 0, JW_IDLE, 0},
     .shape = beyond,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.6,
     .other = 0.10},
    {{"covering_intake_helps", "runs better in this range with the intake part covered", 1, JW_IDLE, 0},
     .shape = covering_helps,
     .needs = PLAIN,
     .other = 0.15},
    {{"plug_wet", "plug wet with fuel after cranking", 0, JW_IDLE, 0},
     .shape = wet,
     .needs = PLAIN,
     .other = 0.25,
     .opposite = "plug_dry"},
    {{"plug_dry", "plug dry after cranking with the enrichener open", 0, JW_IDLE, 0},
     .shape = dry,
     .needs = ENRICHED,
     .other = 0.25},
    {{"stumbles_when_snapped", "stumbles only when the throttle is snapped open", 0, JW_OFF_IDLE, 0},
     .shape = beyond,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.3,
     .rich_says = 0.1,
     .sound = 0.05,
     .other = 0.10},
    {{"dies_on_opening", "dies when the throttle is opened from idle", 0, JW_OFF_IDLE, 0},
     .shape = beyond,
     .needs = PLAIN,
     LIMIT,
     .lean_says = 0.90,
     .rich_says = 0.35,
     .other = 0.20},
    {{"no_more_than_half", "runs, but not beyond half throttle or half its speed", 0, JW_FULL, 0},
     .shape = beyond_or_short,
     .needs = PLAIN,
     LIMIT,
     .lean_says = 0.80,
     .rich_says = 0.60,
     .other = 0.25},
    {{"runs_only_enriched", "keeps running only with the enrichener or choke on", 0, JW_IDLE, 0},
     .shape = enrichener_only,
     .needs = ENRICHED,
     LIMIT,
     .lean_says = 0.95,
     .other = 0.10},
    {{"runs_only_throttle_open", "keeps running only with the throttle held open", 0, JW_IDLE, 0},
     .shape = beyond,
     .needs = PLAIN,
     LIMIT,
     .lean_says = 0.80,
     .rich_says = 0.55,
     .other = 0.15,
     .opposite = "idles_well"},
    {{"starts_only_throttle_open", "starts only with the throttle wide open and no enrichener", 0, JW_IDLE, 0},
     .shape = beyond,
     .needs = PLAIN,
     LIMIT,
     .rich_says = 0.80,
     .other = 0.06,
     .opposite = "starts_only_with_enrichener"},
    {{"easing_throttle_helps", "runs better when the throttle is eased back a little from full", 0, JW_FULL, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.70,
     .rich_says = 0.15,
     .other = 0.10},
    {{"filter_off_helps", "runs better in this range with the air filter taken off", 1, JW_FULL, 0},
     .shape = filter_off_helps,
     .needs = PLAIN,
     .other = 0.06},
    {{"overheats", "runs hotter than it used to", 0, JW_FULL, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.50,
     .other = 0.10},
    {{"pings", "pings under load", 0, JW_FULL, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .lean_says = 0.40,
     .other = 0.06},
    {{"uses_more_fuel", "uses clearly more fuel than it did", 0, JW_HALF, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .rich_says = 0.60,
     .other = 0.12},
    {{"smells_of_fuel", "smells of unburnt fuel when it runs", 0, JW_IDLE, 0},
     .shape = beyond_running,
     .needs = PLAIN,
     ROUGH,
     .rich_says = 0.50,
     .other = 0.10},
    FACT("does_not_crank", "does not crank, or only clicks", 0.003, 0.05, "cranks_well"),
    TOLD("cranks_slowly", "cranks slowly", 0.03, 0.08, "cranks_well"),
    GOOD("cranks_well", "cranks as fast as ever", 0.90, 0.70, NULL),
    TOLD("starts_then_dies", "starts, and dies within two minutes", 0.03, 0.15, NULL),
    TOLD("dies_when_hot", "stops once it is hot and starts again when it has cooled", 0.02, 0.15, NULL),
    TOLD("hard_to_start_hot", "hard to start hot", 0.05, 0.15, NULL),
    TOLD("fades_under_load", "fades after a while at full throttle and recovers at rest", 0.02, 0.15, NULL),
    TOLD("came_on_suddenly", "came on suddenly while running", 0.15, 0.30, NULL),
    {WHOLE("any_sign_of_life", "coughs, pops or cranks faster on cleaner through the intake", 0.97, 0.55), .plain = 1,
     .good = 1, .opposite = "outside_fuel_changes_nothing", .against = {"spark_none"}},
    {WHOLE("outside_fuel_fires", "runs for a moment on a few puffs of cleaner through the intake", 0.85, 0.40),
     .good = 1, .opposite = "outside_fuel_changes_nothing", .against = {"spark_none"}, .implies = "any_sign_of_life"},
    {WHOLE("keeps_running_after", "keeps running by itself once outside fuel has started it", 0.30, 0.10), .good = 1,
     .implies = "outside_fuel_fires"},
    FACT("outside_fuel_changes_nothing", "cleaner through the intake changes nothing", 0.03, 0.45, NULL),
    GOOD("spark_strong", "spark strong at every turn, plug fitted or under pressure", 0.92, 0.50, NULL),
    TOLD("spark_weak", "spark weak or irregular", 0.05, 0.15, "spark_strong"),
    TOLD("spark_none", "no spark", 0.02, 0.08, "spark_strong"),
    TOLD("spark_fails_hot", "spark good cold, weak or gone hot", 0.02, 0.05, NULL),
    TOLD("new_plug_helps", "runs better with a new plug", 0.06, 0.10, NULL),
    {WHOLE("plug_normal", "plug dry and evenly brown", 0.60, 0.35), .good = 1, .opposite = "plug_black",
     .against = {"plug_white", "plug_wet"}},
    GOOD("compression_good", "compression good", 0.92, 0.75, NULL),
    TOLD("compression_low", "compression low", 0.04, 0.15, "compression_good"),
    TOLD("valve_clearance_wrong", "a valve stands without clearance, or with too much", 0.05, 0.08, NULL),
    READ("compression", "compression measured, throttle wide open", compression_gauge, 0.04, 0.15, "compression_good",
         "compression_low"),
    READ("compression_hot", "compression measured hot, throttle wide open", compression_gauge, 0.05, 0.18, NULL, NULL),
    READ("bowl_drain", "fuel from the bowl drain once the bowl is empty", drain_gauge, 0.05, 0.15, "bowl_fills_freely",
         "bowl_drain_weak"),
    BENCH("level", "level measured in the bowl, above where it belongs", level_gauge, 0.15),
    BENCH("pilot_jet_bore", "bore that the pilot jet acts like on the flow bench", pilot_bore_gauge, 0.10),
    BENCH("main_jet_bore", "bore that the main jet acts like on the flow bench", main_bore_gauge, 0.10),
    BENCH("screw_turns", "turns by which the mixture screw stands further out than its setting", screw_gauge, 0.10),
    BENCH("needle_height", "needle measured, above where it belongs", needle_gauge, 0.05),
    BENCH("needle_jet_bore", "bore of the needle jet, by a pin gauge", needle_jet_gauge, 0.08),
    BENCH("pilot_jet_flow", "share of its clean flow that the pilot jet passes on the bench", pilot_flow_gauge, 0.10),
    BENCH("main_jet_flow", "share of its clean flow that the main jet passes on the bench", main_flow_gauge, 0.10),
    GOOD("bowl_fills_freely", "fuel runs freely from the bowl drain for as long as it is open", 0.94, 0.70, NULL),
    TOLD("bowl_drain_weak", "fuel from the bowl drain thins out after the bowl is empty", 0.04, 0.12,
         "bowl_fills_freely"),
    FACT("bowl_dry", "no fuel in the bowl", 0.01, 0.08, "bowl_fills_freely"),
    FACT("cap_loosened_helps", "runs on with the tank cap loosened", 0.01, 0.05, NULL),
    FACT("fuel_overflows", "fuel runs from the overflow or into the intake", 0.01, 0.05, NULL),
    TOLD("fuel_in_oil", "fuel in the oil", 0.004, 0.02, NULL),
    FACT("water_in_bowl", "water in what the bowl drain lets out", 0.02, 0.06, NULL),
    TOLD("fuel_smells_stale", "fuel smells stale, or is older than half a year", 0.06, 0.08, NULL),
    TOLD("dirt_in_bowl", "dirt or varnish in the bowl", 0.08, 0.12, NULL),
    FACT("filter_missing", "the air filter or its seal is missing", 0.01, 0.02, "filter_clean"),
    TOLD("filter_dirty", "air filter dirty", 0.12, 0.15, "filter_clean"),
    GOOD("filter_clean", "air filter clean", 0.80, 0.75, NULL),
    TOLD("exhaust_leak_heard", "exhaust blows at a joint", 0.04, 0.06, NULL),
    TOLD("exhaust_weak", "little gas comes from the exhaust", 0.02, 0.05, NULL),
    TOLD("ice_on_carburetor", "frost or wet cold on the carburetor; runs again after standing a while", 0.01, 0.02,
         NULL),
    TOLD("worse_after_hot_stop", "worst just after a stop with the engine hot", 0.04, 0.12, NULL),
    FACT("throttle_sticks", "throttle does not close or open fully", 0.02, 0.03, NULL),
    TOLD("idle_screw_no_effect", "the idle speed screw has no effect", 0.02, 0.05, NULL),
    TOLD("idle_too_slow", "idles too slowly, steadily", 0.04, 0.10, "high_idle"),
    TOLD("one_cylinder_dead", "one of several cylinders does little work", 0.02, 0.20, NULL),
    TOLD("after_reassembly", "began when the carburetor had been apart", 0.02, 0.03, NULL),
    TOLD("coughs_only", "coughs or pops on starting and does not run up", 0.04, 0.20, NULL),
    TOLD("kicks_back", "kicks back against the starter", 0.01, 0.03, NULL),
    TOLD("starts_when_pushed", "starts when pushed or cranked faster than its starter does", 0.02, 0.06, NULL),
    TOLD("only_cold", "does it only cold, and no more once it is warm", 0.06, 0.12, NULL),
    TOLD("only_warming", "does it only in the first minutes on the way", 0.02, 0.04, "only_hot"),
    TOLD("only_hot", "does it only when it is hot", 0.05, 0.15, "only_cold"),
    TOLD("worse_in_wet", "worse in rain or after a wash", 0.02, 0.04, NULL),
    TOLD("worse_on_hot_days", "worse on hot days", 0.03, 0.06, "worse_in_cold_damp"),
    TOLD("worse_in_cold_damp", "worst in cool damp air", 0.02, 0.04, NULL),
    TOLD("stops_after_minutes", "runs for ten minutes or more, then stops", 0.01, 0.12, NULL),
    TOLD("restarts_after_wait", "runs again after some minutes' rest", 0.02, 0.15, NULL),
    TOLD("surges_before_stopping", "a burst of power or speed just before it stops or fades", 0.005, 0.04, NULL),
    TOLD("stops_at_once", "stops at once, as if switched off", 0.01, 0.10, "stops_spluttering"),
    TOLD("stops_spluttering", "splutters before it stops", 0.03, 0.25, NULL),
    TOLD("bangs_in_exhaust", "bangs in the exhaust under load", 0.01, 0.12, NULL),
    TOLD("smokes_white", "white smoke after it has warmed up", 0.01, 0.04, NULL),
    TOLD("smokes_blue", "blue smoke", 0.04, 0.06, NULL),
    TOLD("enrichener_helps_briefly", "the enrichener helps for seconds only", 0.02, 0.06, NULL),
    TOLD("fresh_fuel_helps", "runs better on fresh fuel", 0.02, 0.05, "fresh_fuel_no_help"),
    TOLD("fresh_fuel_no_help", "fresh fuel and a drained bowl changed nothing", 0.20, 0.25, NULL),
    TOLD("cleaning_no_help", "cleaning the carburetor changed nothing", 0.15, 0.20, NULL),
    TOLD("tap_on_bowl_helps", "runs after a knock on the bowl", 0.01, 0.03, NULL),
    GOOD("hose_flows_freely", "fuel runs freely from the hose taken off the carburetor", 0.94, 0.80, NULL),
    TOLD("hose_flows_weakly", "fuel drips or stops at the hose taken off the carburetor", 0.03, 0.08,
         "hose_flows_freely"),
    FACT("float_holds_fuel", "fuel inside the float", 0.005, 0.01, NULL),
    TOLD("float_needle_marked", "the float needle's tip has a ring or dirt on it", 0.08, 0.10, NULL),
    FACT("diaphragm_torn", "the slide's diaphragm is torn or pinched", 0.01, 0.02, "slide_rises_freely"),
    FACT("slide_sticks", "the slide sticks", 0.01, 0.02, "slide_rises_freely"),
    GOOD("slide_rises_freely", "the slide rises and falls freely", 0.95, 0.90, NULL),
    FACT("choke_does_not_close", "the choke plate does not close, or the enrichener does not open", 0.02, 0.03, NULL),
    FACT("choke_does_not_open", "the choke plate does not open fully, or the enrichener does not shut", 0.02, 0.03,
         NULL),
    GOOD("pump_squirts", "the accelerator pump squirts at once and strongly", 0.90, 0.85, NULL),
    FACT("joint_cracked", "an intake joint is cracked or loose", 0.04, 0.05, NULL),
    TOLD("throttle_shaft_loose", "the throttle shaft has play", 0.10, 0.10, NULL),
    FACT("jet_looks_blocked", "light does not show round and full through a jet", 0.03, 0.05, NULL),
    GOOD("jets_look_clear", "light shows through every jet", 0.90, 0.80, "jet_looks_blocked"),
    TOLD("rust_in_tank", "rust or dirt in the tank", 0.05, 0.08, NULL),
    TOLD("filter_oily", "air filter soaked with oil", 0.03, 0.05, "filter_clean"),
    TOLD("plug_oily", "plug wet with oil", 0.02, 0.05, "plug_normal"),
    TOLD("plug_worn", "plug worn, cracked or with the wrong gap", 0.10, 0.12, NULL),
    TOLD("follows_plug", "changes cylinder with the plug, its lead or its coil", 0.01, 0.02, NULL),
    GOOD("all_cylinders_alike", "every cylinder works alike", 0.90, 0.70, "one_cylinder_dead"),
    TOLD("compression_low_hot", "compression good cold and low hot", 0.02, 0.05, NULL),
    TOLD("oil_lifts_compression", "a spoon of oil in the cylinder lifts the compression", 0.03, 0.05, NULL),
    FACT("crankcase_leaks", "the crankcase does not hold pressure (two-strokes)", 0.01, 0.02, "crankcase_tight"),
    GOOD("crankcase_tight", "the crankcase holds pressure (two-strokes)", 0.95, 0.90, NULL),
    FACT("timing_off", "the ignition timing is off its mark", 0.02, 0.03, NULL),
    TOLD("battery_low", "battery below 12.2 V at rest, or lights fade on cranking", 0.05, 0.08, NULL),
    FACT("runs_without_stop_switch", "sparks again with the stop switch unplugged", 0.005, 0.01, NULL),
    TOLD("after_refuelling", "began just after refuelling", 0.02, 0.04, NULL),
    TOLD("after_wash_or_rain", "began after rain or a wash", 0.02, 0.04, NULL),
    TOLD("after_tipping", "began after it lay on its side", 0.01, 0.02, NULL),
    TOLD("after_jet_change", "began when jets or needle were changed", 0.02, 0.03, NULL),
    TOLD("after_filter_change", "began when the air filter or airbox was changed", 0.02, 0.03, NULL),
    TOLD("after_exhaust_change", "began when the exhaust was changed or off", 0.02, 0.03, NULL),
    TOLD("after_ignition_work", "began after work on the ignition", 0.02, 0.03, NULL),
    TOLD("after_engine_work", "began after work on valves, head or piston", 0.02, 0.03, NULL),
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

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every mechanic knows of tests and complaints; common practice, no source. A row says what one more thing seen
 * does to a cause, or to all causes of a need. */
#include "engine.h"
#include <string.h>

enum { MOST = 6 };

typedef struct fact {
	const char *engine;
	const char *known[MOST];  /* "word", "word@range", or "!word": not so */
	const char *seen;         /* one more */
	const char *of;           /* a cause, or "need NAME" */
	double at_least, at_most; /* times as probable; 0: not asked */
} fact;

#define MORE(times) times, 0
#define LESS(share) 0, share

static const fact facts[] = {
    /* Outside fuel. Any sign of life counts; if it runs, spark and compression exist. */
    {"courier-150", {"does_not_start"}, "outside_fuel_fires", "need spark", LESS(0.5)},
    {"courier-150", {"does_not_start"}, "outside_fuel_fires", "need compression", LESS(0.8)},
    {"courier-150", {"does_not_start"}, "outside_fuel_fires", "need mixture", MORE(1.1)},
    {"courier-150", {"does_not_start"}, "any_sign_of_life", "spark_missing", LESS(0.3)},
    {"courier-150", {"does_not_start"}, "outside_fuel_changes_nothing", "need spark", MORE(1.5)},
    {"courier-150", {"does_not_start"}, "outside_fuel_changes_nothing", "need mixture", LESS(0.8)},
    /* If it then keeps running by itself, stale bowl fuel was burnt off. */
    {"courier-150", {"does_not_start", "outside_fuel_fires"}, "keeps_running_after", "stale_fuel", MORE(1.5)},
    {"courier-150", {"does_not_start", "outside_fuel_fires"}, "keeps_running_after", "passages_varnished", LESS(0.8)},
    {"courier-150", {"does_not_start", "outside_fuel_fires"}, "!keeps_running_after", "stale_fuel", LESS(0.8)},
    /* It proves the fuel side and not the jet: an enrichener that does not enrich fires on it as well. */
    {"courier-150", {"does_not_start"}, "outside_fuel_fires", "enrichener_not_working", MORE(1.1)},
    /* Spark: at every turn is good, weak or irregular means a new plug first, none means tracing the ignition. */
    {"courier-150", {"does_not_start"}, "spark_strong", "need spark", LESS(0.4)},
    {"courier-150", {"does_not_start"}, "spark_weak", "spark_weak", MORE(2)},
    {"courier-150", {"does_not_start"}, "spark_none", "spark_missing", MORE(4)},
    /* A spark in open air misleads: a strong one rules nothing out. */
    {"courier-150", {"does_not_start"}, "spark_strong", "spark_weak", MORE(0.05)},
    /* Good spark and no reaction to outside fuel leave compression, of which valve clearance is the cheapest cause. */
    {"courier-150", {"does_not_start", "spark_strong"}, "outside_fuel_changes_nothing", "need compression", MORE(1.5)},
    {"courier-150", {"does_not_start", "outside_fuel_changes_nothing"}, "spark_strong", "valve_clearance", MORE(1.5)},
    {"courier-150", {"does_not_start"}, "compression_good", "need compression", LESS(0.4)},
    /* The spark may be weak when hot, and compression gone when hot. */
    {"courier-150", {"dies_when_hot", "spark_strong"}, "spark_fails_hot", "spark_weak", MORE(2)},
    {"courier-150", {"hard_to_start_hot", "compression_good"}, "compression_low_hot", "valve_clearance", MORE(2)},
    /* An engine that does not crank is diagnosed there first. */
    {"courier-150", {"does_not_start"}, "does_not_crank", "need cranking", MORE(4)},
    {"courier-150", {"does_not_start"}, "cranks_well", "need cranking", LESS(0.5)},
    /* A kick start may be too slow to make a spark. */
    {"courier-150", {"does_not_start", "cranks_slowly"}, "starts_when_pushed", "starter_or_battery", MORE(1.5)},
    /* A dry bowl means supply or a stuck float needle; what runs from the hose tells which. */
    {"courier-150", {"does_not_start"}, "bowl_dry", "fuel_supply_restricted", MORE(2)},
    {"courier-150", {"does_not_start"}, "bowl_dry", "float_needle_stuck_shut", MORE(2)},
    {"courier-150", {"does_not_start", "bowl_dry"}, "hose_flows_freely", "float_needle_stuck_shut", MORE(1.4)},
    {"courier-150", {"does_not_start", "bowl_dry"}, "hose_flows_freely", "fuel_supply_restricted", LESS(0.5)},
    {"courier-150", {"does_not_start", "bowl_dry"}, "tap_on_bowl_helps", "float_needle_stuck_shut", MORE(3)},
    /* Dying after seconds to two minutes points at supply, after half an hour at water. */
    {"courier-150", {"cuts_out@half"}, "starts_then_dies", "fuel_supply_restricted", MORE(1.5)},
    {"courier-150", {"cuts_out@half"}, "stops_after_minutes", "water_in_fuel", MORE(1.5)},
    {"courier-150", {"cuts_out@half", "stops_after_minutes"}, "cap_loosened_helps", "tank_vent_blocked", MORE(5)},
    /* An enrichener that helps only for seconds points at the supply. */
    {"courier-150", {"cuts_out@half"}, "enrichener_helps_briefly", "fuel_supply_restricted", MORE(2)},
    {"courier-150", {"cuts_out@half"}, "enrichener_helps_briefly", "main_jet_restricted", LESS(1)},
    /* Spark goes at once, fuel splutters, and lean is strong for a moment. */
    {"courier-150", {"cuts_out@full"}, "stops_at_once", "spark_missing", MORE(2)},
    {"courier-150", {"cuts_out@full"}, "stops_spluttering", "fuel_supply_restricted", MORE(1.3)},
    {"courier-150", {"cuts_out@full"}, "surges_before_stopping", "fuel_supply_restricted", MORE(2)},
    /* An idle speed screw with no effect points at air past the throttle. */
    {"courier-150", {"high_idle"}, "idle_screw_no_effect", "air_leak", MORE(1.2)},
    {"courier-150", {"high_idle"}, "idle_screw_no_effect", "idle_speed_high", LESS(0.7)},
    /* Jets that look clear may be blocked. */
    {"courier-150", {"hunts@idle", "stumbles@off_idle"}, "jets_look_clear", "pilot_jet_restricted", MORE(0.3)},
    {"courier-150", {"hunts@idle", "stumbles@off_idle"}, "jet_looks_blocked", "pilot_jet_restricted", MORE(1.1)},
    /* Flooding: wet plugs, starts only with the throttle open. */
    {"courier-150", {"does_not_start"}, "plug_wet", "float_needle_leaking", MORE(1.2)},
    {"courier-150", {"does_not_start"}, "starts_only_throttle_open", "float_needle_leaking", MORE(2)},
    {"courier-150", {"plug_black@full"}, "filter_off_helps@full", "air_filter_blocked", MORE(2)},
    /* Weather and warmth. */
    {"courier-150", {"dies_at_idle"}, "worse_in_cold_damp", "carburetor_icing", MORE(5)},
    {"courier-150", {"dies_at_idle"}, "worse_on_hot_days", "fuel_boiling", MORE(5)},
    {"courier-150", {"dies_at_idle"}, "only_hot", "fuel_boiling", MORE(2)},
    {"courier-150", {"hard_to_start_cold"}, "only_cold", "enrichener_not_working", MORE(1.3)},
    {"courier-150", {"flat@full"}, "worse_in_wet", "spark_weak", MORE(2)},
    /* What went before. */
    {"courier-150", {"hunts@idle"}, "after_reassembly", "reassembly_error", MORE(3)},
    {"courier-150", {"flat@full"}, "after_jet_change", "main_jet_too_small", MORE(1.5)},
    {"courier-150", {"flat@full"}, "after_ignition_work", "ignition_timing", MORE(2)},
    {"courier-150", {"does_not_start"}, "after_refuelling", "water_in_fuel", MORE(3)},
    {"courier-150", {"does_not_start"}, "kicks_back", "ignition_timing", MORE(4)},
    /* One of several. */
    {"twin-480", {"hunts@idle"}, "follows_plug", "need spark", MORE(2)},
    {"twin-480", {"flat@full"}, "all_cylinders_alike", "spark_weak", LESS(0.9)},
    /* Two-strokes. */
    {"moped-50", {"high_idle", "hunts@idle"}, "crankcase_leaks", "crank_seal", MORE(5)},
    {"moped-50", {"high_idle", "hunts@idle"}, "crankcase_tight", "crank_seal", LESS(0.2)},
    /* A tank draws its vacuum over minutes: fuel that runs for half a minute hardly clears its vent, and clears the
       tap. */
    {"courier-150", {"fades_under_load"}, "bowl_fills_freely", "tank_vent_blocked", MORE(0.5)},
    {"courier-150", {"fades_under_load"}, "bowl_fills_freely", "fuel_supply_restricted", LESS(0.5)},
    /* What was apart last is looked at first, whatever it shows. */
    {"moped-50", {"smokes_black@half", "plug_black@half"}, "after_reassembly", "reassembly_error", MORE(8)},
    {"courier-150", {"smokes_black@half", "plug_black@half"}, "after_reassembly", "reassembly_error", MORE(8)},
    {"trail-250", {"flat@half"}, "after_reassembly", "reassembly_error", MORE(8)},
    /* Fuel in the oil came through a float needle that does not shut. */
    {"courier-150", {"plug_black@idle"}, "fuel_in_oil", "float_needle_leaking", MORE(2)},
};
enum { FACTS = sizeof facts / sizeof *facts };

static void add(jw_case *known, const char *said)
{
	const jw_answer answer = *said == '!' ? JW_NO : JW_YES;
	char word[48] = "";
	snprintf(word, sizeof word, "%s", said + (answer == JW_NO));
	char *at = strchr(word, '@');
	jw_range range = JW_IDLE;
	if (at) {
		*at = '\0';
		while (strcmp(jw_range_name(range), at + 1) != 0 && range < JW_FULL)
			range++;
	}
	see(known, word, range);
	known->evidence[known->evidences - 1].answer = answer;
}

static double of(const jw_report *report, const char *what)
{
	if (strncmp(what, "need ", 5) != 0)
		return probability_of(report, what);
	for (int n = 0; n < JW_NEED_COUNT; n++)
		if (strcmp(jw_need_name((jw_need)n), what + 5) == 0)
			return jw_report_need(report, (jw_need)n);
	cr_assert_fail("no need %s", what);
	return 0;
}

Test(trade, what_each_thing_seen_says)
{
	for (int i = 0; i < FACTS; i++) {
		const fact *f = &facts[i];
		const jw_setup setup = bundled(f->engine);
		jw_case known = {.air = mild_air(), .history = {.months_standing = 1}};
		for (int k = 0; k < MOST && f->known[k]; k++)
			add(&known, f->known[k]);
		jw_report *before = explained(&setup, &known);
		add(&known, f->seen);
		jw_report *after = explained(&setup, &known);
		const double times = of(after, f->of) / of(before, f->of);
		cr_expect(times >= f->at_least && (f->at_most == 0 || times <= f->at_most),
		          "%s, and then %s: %s %.3g to %.3g, %.2f times", f->known[0], f->seen, f->of, of(before, f->of),
		          of(after, f->of), times);
		jw_report_free(before);
		jw_report_free(after);
	}
}

static double in_air(const char *cause, double pressure_pa, double celsius, double humidity)
{
	const jw_setup setup = bundled("courier-150");
	jw_case known = {.history = {.months_standing = 1}};
	cr_assert(jw_air_from_humidity(pressure_pa, 273.15 + celsius, humidity, &known.air, NULL) >= 0);
	add(&known, "fades_under_load");
	add(&known, "restarts_after_wait");
	jw_report *report = explained(&setup, &known);
	const double probability = probability_of(report, cause);
	jw_report_free(report);
	return probability;
}

/* Ice grows in cool damp air, not in warm or dry; fuel boils on hot days, and high up sooner. */
Test(trade, weather)
{
	const double cool = in_air("carburetor_icing", 101325, 4, 0.95);
	cr_expect(in_air("carburetor_icing", 101325, 33, 0.2) < 0.05 * cool);
	cr_expect(in_air("carburetor_icing", 101325, 33, 0.9) < 0.2 * cool);
	cr_expect(in_air("carburetor_icing", 101325, 4, 0.15) < 0.2 * cool);
	const double hot = in_air("fuel_boiling", 101325, 35, 0.4);
	cr_expect(in_air("fuel_boiling", 101325, 4, 0.4) < 0.3 * hot);
	cr_expect(in_air("fuel_boiling", 80000, 20, 0.4) > 1.2 * in_air("fuel_boiling", 101325, 20, 0.4));
}

/* What does not react to outside fuel though its spark is good lacks compression, by elimination. */
Test(trade, compression_is_left)
{
	static const char *const engines[] = {"courier-150", "trail-250", "pump-200"};
	for (size_t e = 0; e < sizeof engines / sizeof *engines; e++) {
		const jw_setup setup = bundled(engines[e]);
		jw_case known = {.air = mild_air(), .history = {.months_standing = 1}};
		add(&known, "does_not_start");
		add(&known, "cranks_well");
		add(&known, "spark_strong");
		add(&known, "outside_fuel_changes_nothing");
		jw_report *report = explained(&setup, &known);
		for (int n = 0; n < JW_NEED_COUNT; n++)
			cr_expect(n == JW_NEED_COMPRESSION ||
			              jw_report_need(report, (jw_need)n) < jw_report_need(report, JW_NEED_COMPRESSION),
			          "%s: %s %g, compression %g", engines[e], jw_need_name((jw_need)n),
			          jw_report_need(report, (jw_need)n), jw_report_need(report, JW_NEED_COMPRESSION));
		jw_report_free(report);
	}
}

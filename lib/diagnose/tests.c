/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/tests.h"
#include "base/base.h"
#include "diagnose/cause.h"
#include "diagnose/evidence.h"

#define FUEL_CAUTION "Fuel in the open: engine cold, no flame or spark near, catch and wipe it up."
#define SPRAY_CAUTION "Cleaner burns: away from a hot exhaust and from sparks; let it evaporate before any spark test."
#define STARTING_CAUTION                                                                                               \
	"Cleaner burns, and an engine may spit it back: face and hands away, plug fitted, filter box aside. No starting "  \
	"fluid: what is added to it can swell rubber."
#define SPARK_CAUTION "A spark lights fuel vapour: no spilt fuel, no open plug hole beside it; hold the lead insulated."
#define MOVING_CAUTION "Hands and sleeves clear of what turns and of what is hot; run it in free air."
#define LOAD_CAUTION "Only where the road's or the site's rules allow it; stop at once where it pings or overheats."
#define HOT_CAUTION "Exhaust, cylinder and plug burn skin."
#define DRAWN_CAUTION "Cover it with a board, never with the hand: it is drawn in, and an engine may spit flame."
#define FILTER_CAUTION "Do not run it long without the filter."

#define PART(member) .part = offsetof(jw_setup, member)
#define OR_PART(member) .or_part = offsetof(jw_setup, member)

/* Minutes, cautions and the order in which an engine that does not start is looked at: trade practice, no source. */
static const jw_test_row rows[] = {
    {.info = {.evidence = "cranks_well",
              .text = "crank it and listen whether it turns as fast as ever",
              .caution = "Gear in neutral.",
              .minutes = 2,
              .instead = {"cranks_slowly", "does_not_crank"}},
     .when = JW_NOT_STARTING},
    {.info = {.evidence = "battery_low",
              .text = "measure the battery at rest and while cranking",
              .caution = SPARK_CAUTION,
              .minutes = 4,
              .tool = JW_TOOL_MULTIMETER},
     .when = JW_NOT_STARTING,
     .still = 1},
    {.info = {.evidence = "starts_when_pushed",
              .text = "crank it faster than its starter does, by pushing or with a full battery: a kick may be too "
                      "slow to make a spark",
              .caution = MOVING_CAUTION,
              .minutes = 5},
     .when = JW_NOT_STARTING,
     .still = 1},
    {.info = {.evidence = "fuel_in_oil",
              .text = "pull the dipstick: see whether the oil stands too high, and smell it for fuel",
              .caution = FUEL_CAUTION,
              .minutes = 3},
     .strokes = 4,
     .still = 1},
    {.info = {.evidence = "spark_strong",
              .text = "watch the spark over many turns with the plug fitted to a tester, not in open air",
              .caution = SPARK_CAUTION,
              .minutes = 6,
              .tool = JW_TOOL_SPARK_TESTER,
              .instead = {"spark_weak", "spark_none"}}},
    {.info = {.evidence = "spark_fails_hot",
              .text = "watch the spark on the tester again as soon as it has failed hot",
              .caution = SPARK_CAUTION,
              .minutes = 15,
              .tool = JW_TOOL_SPARK_TESTER},
     .when = JW_RUNNING},
    {.info = {.evidence = "new_plug_helps",
              .text = "run it with a new plug of the right heat range and gap",
              .caution = HOT_CAUTION,
              .minutes = 10,
              .tool = JW_TOOL_NEW_PLUG}},
    {.info = {.evidence = "plug_worn",
              .text = "take the plug out and look at its electrodes, gap and insulator",
              .caution = HOT_CAUTION,
              .minutes = 8}},
    {.info = {.evidence = "plug_wet",
              .text = "crank it with the enrichener open, then take the plug out and look whether it is wet with fuel",
              .caution = SPARK_CAUTION,
              .minutes = 8,
              .instead = {"plug_dry"}},
     .when = JW_NOT_STARTING},
    {.info = {.evidence = "follows_plug",
              .text = "change plugs and leads over between two cylinders and see whether the fault moves with them",
              .caution = HOT_CAUTION,
              .minutes = 15},
     .when = JW_RUNNING,
     .several = 1},
    {.info = {.evidence = "runs_without_stop_switch",
              .text = "unplug the stop switch and watch the spark again",
              .caution = SPARK_CAUTION,
              .minutes = 10,
              .tool = JW_TOOL_SPARK_TESTER}},
    {.info = {.evidence = "timing_off",
              .text = "look at the timing mark with a lamp, engine idling",
              .caution = MOVING_CAUTION,
              .minutes = 20,
              .tool = JW_TOOL_TIMING_LIGHT},
     .when = JW_RUNNING},
    {.info = {.evidence = "outside_fuel_fires",
              .text = "with the throttle open spray two or three puffs of carburetor cleaner into the intake and "
                      "crank: any sign of "
                      "life counts, a cough, a pop, even faster cranking",
              .caution = STARTING_CAUTION,
              .minutes = 5,
              .tool = JW_TOOL_SPRAY,
              .instead = {"outside_fuel_changes_nothing"}},
     .when = JW_NOT_STARTING,
     .unless = {"plug_wet", "fuel_in_oil", "fuel_overflows"}},
    {.info = {.evidence = "compression_good",
              .text = "measure compression, engine cold, throttle wide open, plug lead on earth",
              .caution = SPARK_CAUTION,
              .minutes = 15,
              .tool = JW_TOOL_COMPRESSION_GAUGE,
              .instead = {"compression_low"}}},
    {.info = {.evidence = "compression_low_hot",
              .text = "measure compression again as soon as it has failed hot, throttle wide open, plug lead on earth",
              .caution = HOT_CAUTION,
              .minutes = 20,
              .tool = JW_TOOL_COMPRESSION_GAUGE},
     .when = JW_RUNNING},
    {.info = {.evidence = "oil_lifts_compression",
              .text = "put a spoon of oil into the cylinder and measure compression again",
              .caution = SPARK_CAUTION,
              .minutes = 10,
              .tool = JW_TOOL_COMPRESSION_GAUGE}},
    {.info = {.evidence = "valve_clearance_wrong",
              .text = "measure the valve clearance with the engine cold",
              .caution = "Engine off and cold.",
              .minutes = 25,
              .tool = JW_TOOL_FEELER_GAUGE},
     .strokes = 4},
    {.info = {.evidence = "fuel_smells_stale",
              .text = "smell the fuel, and ask how old it is",
              .caution = FUEL_CAUTION,
              .minutes = 2}},
    {.info = {.evidence = "fresh_fuel_helps",
              .text = "drain the bowl, feed it fresh fuel from a small can and run it",
              .caution = FUEL_CAUTION,
              .minutes = 20,
              .instead = {"fresh_fuel_no_help"}}},
    {.info = {.evidence = "bowl_fills_freely",
              .text = "open the bowl drain into a glass, tap open, and let it run for half a minute",
              .caution = FUEL_CAUTION,
              .minutes = 5,
              .instead = {"bowl_drain_weak", "bowl_dry"}}},
    {.info = {.evidence = "water_in_bowl",
              .text = "drain the bowl into a glass and look for drops or a layer below the fuel",
              .caution = FUEL_CAUTION,
              .minutes = 5}},
    {.info = {.evidence = "tap_on_bowl_helps",
              .text = "knock on the bowl with the handle of a screwdriver and try again",
              .caution = "Not with steel on the casting.",
              .minutes = 2}},
    {.info = {.evidence = "hose_flows_freely",
              .text = "take the hose off the carburetor and let it run into a can for half a minute",
              .caution = FUEL_CAUTION,
              .minutes = 8,
              .instead = {"hose_flows_weakly"}}},
    {.info = {.evidence = "cap_loosened_helps",
              .text = "run it with the tank cap loosened until it would have failed",
              .caution = FUEL_CAUTION,
              .minutes = 6},
     .when = JW_RUNNING},
    {.info = {.evidence = "dirt_in_bowl",
              .text = "take off the bowl and look for dirt and varnish",
              .caution = FUEL_CAUTION,
              .minutes = 20}},
    {.info = {.evidence = "jet_looks_blocked",
              .text = "take the jets out and look through them against the light",
              .caution = FUEL_CAUTION,
              .minutes = 25,
              .instead = {"jets_look_clear"}}},
    {.info = {.evidence = "rust_in_tank",
              .text = "look into the tank with an electric torch made for it, and into the strainer",
              .caution = FUEL_CAUTION,
              .minutes = 5}},
    {.info =
         {.evidence = "enrichener_helps",
          .text =
              "hold the throttle still and open the enrichener part way, or close the choke plate slowly, listening",
          .caution = MOVING_CAUTION,
          .minutes = 3,
          .instead = {"enrichener_worsens"}},
     .when = JW_RUNNING,
     .by_hand = 1,
     PART(carburetor.enrichener_outlet_m),
     OR_PART(carburetor.choke.bore_m)},
    {.info = {.evidence = "screw_out_helps",
              .text = "turn the mixture screw half a turn out at idle, engine warm, then back",
              .caution = MOVING_CAUTION,
              .minutes = 4,
              .instead = {"screw_no_effect"}},
     .when = JW_RUNNING,
     PART(carburetor.screw.hole_m)},
    {.info = {.evidence = "idle_screw_no_effect",
              .text = "turn the idle speed screw half a turn in and back: the speed should follow",
              .caution = MOVING_CAUTION,
              .minutes = 3},
     .when = JW_RUNNING},
    {.info = {.evidence = "covering_intake_helps",
              .text = "cover a third of the intake and listen",
              .caution = DRAWN_CAUTION,
              .minutes = 3},
     .when = JW_RUNNING,
     .beside = 1},
    {.info = {.evidence = "leak_spray_changes",
              .text = "spray the joints behind the carburetor with the engine idling, a little at a time, and listen",
              .caution = SPRAY_CAUTION,
              .minutes = 6,
              .tool = JW_TOOL_SPRAY,
              .instead = {"leak_spray_no_change"}},
     .when = JW_RUNNING},
    {.info = {.evidence = "joint_cracked",
              .text = "look at the joints behind the carburetor and bend them by hand",
              .caution = HOT_CAUTION,
              .minutes = 5}},
    {.info = {.evidence = "filter_dirty",
              .text = "look through the air filter against a light",
              .caution = FILTER_CAUTION,
              .minutes = 5,
              .instead = {"filter_clean"}}},
    {.info = {.evidence = "filter_off_helps",
              .text = "run it for a minute without the air filter",
              .caution = FILTER_CAUTION,
              .minutes = 6},
     .when = JW_RUNNING},
    {.info = {.evidence = "filter_missing",
              .text = "open the filter box and see that filter and seal are there and sit",
              .caution = FILTER_CAUTION,
              .minutes = 3}},
    {.info = {.evidence = "choke_does_not_open",
              .text = "look through the intake, engine off, whether the choke plate opens fully, or feel whether the "
                      "enrichener shuts",
              .caution = MOVING_CAUTION,
              .minutes = 4},
     PART(carburetor.enrichener_outlet_m),
     OR_PART(carburetor.choke.bore_m)},
    {.info = {.evidence = "slide_rises_freely",
              .text = "lift the slide with a finger and let it fall; look at its diaphragm, where it has one",
              .caution = MOVING_CAUTION,
              .minutes = 8,
              .instead = {"slide_sticks", "diaphragm_torn"}},
     PART(carburetor.slide.mass_kg)},
    {.info = {.evidence = "fuel_overflows",
              .text = "open the tap with the engine off and watch overflow and intake for five minutes",
              .caution = FUEL_CAUTION,
              .minutes = 6}},
    {.info = {.evidence = "screw_turns",
              .text =
                  "count the turns that the mixture screw goes in until it seats lightly, compare with its setting, "
                  "and turn it back by as many",
              .caution = "Seat it lightly: force ruins the hole.",
              .minutes = 4},
     PART(carburetor.screw.hole_m)},
    {.info = {.evidence = "level",
              .text = "hold a clear hose from the bowl drain up beside the bowl and measure the level against its mark",
              .caution = FUEL_CAUTION,
              .minutes = 10,
              .tool = JW_TOOL_LEVEL_TUBE}},
    {.info = {.evidence = "needle_height",
              .text = "draw the slide and see in which groove the clip sits, and that the needle is seated",
              .caution = FUEL_CAUTION,
              .minutes = 15},
     PART(carburetor.needle.jet_m)},
    {.info = {.evidence = "needle_jet_bore",
              .text = "take the needle jet out and measure its bore with pin gauges",
              .caution = FUEL_CAUTION,
              .minutes = 30,
              .tool = JW_TOOL_FLOW_BENCH},
     PART(carburetor.needle.jet_m)},
    {.info = {.evidence = "pilot_jet_bore",
              .text = "take the pilot jet out, uncleaned, and measure on the flow bench the bore that it acts like",
              .caution = FUEL_CAUTION,
              .minutes = 30,
              .tool = JW_TOOL_FLOW_BENCH}},
    {.info = {.evidence = "main_jet_bore",
              .text = "take the main jet out, uncleaned, and measure on the flow bench the bore that it acts like",
              .caution = FUEL_CAUTION,
              .minutes = 25,
              .tool = JW_TOOL_FLOW_BENCH}},
    {.info = {.evidence = "throttle_sticks",
              .text = "look through the intake whether the throttle opens and shuts fully, engine off",
              .caution = MOVING_CAUTION,
              .minutes = 4}},
    {.info = {.evidence = "pump_squirts",
              .text = "look down the intake, engine off, and open the throttle: it should squirt at once",
              .caution = FUEL_CAUTION,
              .minutes = 4},
     PART(carburetor.pump.shot_m3)},
    {.info = {.evidence = "easing_throttle_helps",
              .text = "under load ease the throttle back a little from full and feel whether it pulls better",
              .caution = LOAD_CAUTION,
              .minutes = 5},
     .when = JW_RUNNING},
    {.info = {.evidence = "exhaust_weak",
              .text = "feel the exhaust's stream at a blip of the throttle, a hand's length away",
              .caution = MOVING_CAUTION,
              .minutes = 3},
     .when = JW_RUNNING},
    {.info = {.evidence = "exhaust_leak_heard",
              .text = "listen along the exhaust's joints on a cold start",
              .caution = MOVING_CAUTION,
              .minutes = 4},
     .when = JW_RUNNING},
};

enum { ROWS = sizeof rows / sizeof *rows };
_Static_assert(ROWS <= JW_TESTS_MOST, "more tests than there is room for");

int jw_test_count(void)
{
	return ROWS;
}

const jw_test_row *jw_test_row_at(int test)
{
	return test >= 0 && test < ROWS ? &rows[test] : NULL;
}

const jw_test_info *jw_test_of(int evidence_kind)
{
	for (int t = 0; t < ROWS; t++)
		if (jw_evidence_kind_find(rows[t].info.evidence) == evidence_kind)
			return &rows[t].info;
	return NULL;
}

const char *jw_tool_name(jw_tool tool)
{
	static const char *const names[JW_TOOL_COUNT] = {"none",       "spark_tester", "compression_gauge", "feeler_gauge",
	                                                 "spray",      "new_plug",     "level_tube",        "flow_bench",
	                                                 "multimeter", "timing_light"};
	return (unsigned)tool < JW_TOOL_COUNT ? names[tool] : NULL;
}

/* ---- what a case allows ---- */

static int is_at_hand(const jw_case *known, jw_tool tool)
{
	int any = 0;
	for (int i = 0; i < JW_TOOL_COUNT; i++)
		any |= known->tools[i];
	return !any || tool == JW_TOOL_NONE || known->tools[tool];
}

static int has_part(const jw_setup *healthy, const jw_test_row *row)
{
	if (row->several && healthy->engine.carburetors < 2)
		return 0;
	if (row->by_hand && healthy->carburetor.timer.constant_s > 0.0)
		return 0;
	if (row->strokes && row->strokes != healthy->engine.strokes)
		return 0;
	return !row->part || jw_value_at(healthy, row->part) > 0 ||
	       (row->or_part && jw_value_at(healthy, row->or_part) > 0);
}

static int told(const jw_case *known, const char *id, jw_answer answer)
{
	const int kind = jw_evidence_kind_find(id);
	for (int i = 0; i < known->evidences; i++)
		if (known->evidence[i].kind == kind && known->evidence[i].answer == answer)
			return 1;
	return 0;
}

static const char *const of_dead[] = {"does_not_start", "does_not_crank", "coughs_only", "spark_none"};
static const char *const of_bad_start[] = {"hard_to_start_cold", "hard_to_start_hot", "starts_then_dies",
                                           "cranks_slowly"};

/* Told of an engine that runs, as is all that is told of a range. */
static const char *const of_running[] = {
    "idles_well",
    "dies_at_idle",
    "high_idle",
    "hanging_idle",
    "idle_too_slow",
    "fades_under_load",
    "dies_when_hot",
    "stops_after_minutes",
    "restarts_after_wait",
    "stops_at_once",
    "only_hot",
    "only_warming",
    "one_cylinder_dead",
    "stumbles_when_snapped",
    "overheats",
    "pings",
    "dies_on_opening",
    "surges_before_stopping",
    "uses_more_fuel",
    "smells_of_fuel",
    "no_more_than_half",
    "runs_only_enriched",
    "smokes_white",
    "smokes_blue",
    "bangs_in_exhaust",
    "runs_only_throttle_open",
    "stops_spluttering",
    "pops_on_closing",
};

static int told_any(const jw_case *known, const char *const *ids, size_t count)
{
	for (size_t i = 0; i < count; i++)
		if (told(known, ids[i], JW_YES))
			return 1;
	return 0;
}

#define TOLD_ANY(known, ids) told_any(known, ids, sizeof(ids) / sizeof *(ids))

static int is_running(const jw_case *known)
{
	if (TOLD_ANY(known, of_running))
		return 1;
	for (int i = 0; i < known->evidences; i++)
		if (known->evidence[i].answer != JW_UNKNOWN && jw_evidence_kind_at(known->evidence[i].kind)->takes_range)
			return 1;
	return told(known, "does_not_start", JW_NO);
}

static int in_time(const jw_case *known, jw_when when)
{
	if (when == JW_RUNNING)
		return !TOLD_ANY(known, of_dead);
	return when == JW_ANY_TIME || TOLD_ANY(known, of_dead) || TOLD_ANY(known, of_bad_start) || !is_running(known);
}

static int in_reach(const jw_case *known, const jw_test_row *row)
{
	return !row->beside || jw_test_range(known, jw_evidence_kind_find(row->info.evidence)) <= JW_QUARTER;
}

static int is_in_turn(const jw_case *known, const jw_test_row *row)
{
	return row->still || !told(known, "does_not_crank", JW_YES);
}

static int does_harm(const jw_case *known, const jw_test_row *row)
{
	for (int i = 0; i < 3 && row->unless[i]; i++)
		if (told(known, row->unless[i], JW_YES))
			return 1;
	return 0;
}

static int excludes(int kind, int other)
{
	const char *opposite = jw_evidence_row_at(kind)->opposite;
	return opposite && jw_evidence_kind_find(opposite) == other;
}

/* Whether the case has the answer, or one to the opposite. */
static int answered(const jw_case *known, int kind)
{
	const jw_range range = jw_test_range(known, kind);
	const int takes_range = jw_evidence_kind_at(kind)->takes_range;
	for (int i = 0; i < known->evidences; i++) {
		const jw_evidence *seen = &known->evidence[i];
		if (seen->answer == JW_UNKNOWN || (takes_range && seen->range != range))
			continue;
		if (seen->kind == kind || excludes(seen->kind, kind) || excludes(kind, seen->kind))
			return 1;
	}
	return 0;
}

/* Any of its results. */
static int is_done(const jw_case *known, const jw_test_info *test)
{
	int done = answered(known, jw_evidence_kind_find(test->evidence));
	for (int i = 0; i < JW_OUTCOMES_MOST - 2 && test->instead[i]; i++)
		done |= answered(known, jw_evidence_kind_find(test->instead[i]));
	return done;
}

int jw_test_possible(const jw_setup *healthy, const jw_case *known, const jw_test_row *row)
{
	return is_at_hand(known, row->info.tool) && has_part(healthy, row) && in_time(known, row->when) &&
	       is_in_turn(known, row) && in_reach(known, row) && !does_harm(known, row) && !is_done(known, &row->info);
}

jw_range jw_test_range(const jw_case *known, int evidence_kind)
{
	const jw_evidence_kind *kind = jw_evidence_kind_at(evidence_kind);
	for (int i = 0; i < known->evidences && kind->takes_range; i++)
		if (jw_runs_badly(&known->evidence[i]))
			return jw_evidence_read(&known->evidence[i]).range;
	return kind->range < JW_RANGE_COUNT ? kind->range : JW_IDLE;
}

const char *jw_test_word(int index)
{
	static const struct {
		const char *const *ids;
		int count;
	} lists[] = {{of_running, sizeof of_running / sizeof *of_running},
	             {of_dead, sizeof of_dead / sizeof *of_dead},
	             {of_bad_start, sizeof of_bad_start / sizeof *of_bad_start}};
	for (size_t i = 0; i < sizeof lists / sizeof *lists; index -= lists[i++].count)
		if (index < lists[i].count)
			return lists[i].ids[index];
	return NULL;
}

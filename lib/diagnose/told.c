/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What causes do that the engine model does not foretell: shares of engines with that cause on which a thing is seen.
 */
#include "diagnose/cause.h"
#include <string.h>

#define AT(range) (1u << JW_##range)
#define LOW (AT(IDLE) | AT(OFF_IDLE))
#define MIDDLE (AT(QUARTER) | AT(HALF))
#define HIGH (AT(THREE_QUARTER) | AT(FULL))
#define ANY (LOW | MIDDLE | HIGH)

typedef struct told {
	const char *seen;
	unsigned ranges;
	double share;
} told;

/* clang-format off */
/* Misfires now and then, whatever the throttle. */
#define MISFIRES \
	{"hunts", ANY, 0.35}, {"surges", ANY, 0.35}, {"stumbles", ANY, 0.40}, {"hesitates", ANY, 0.40}, \
	{"flat", ANY, 0.45}, {"misfires_lean", ANY, 0.50}, {"misfires_rich", ANY, 0.25}, {"cuts_out", ANY, 0.50}, \
	{"dies_at_idle", ANY, 0.35}, {"runs_well", ANY, 0.40}, {"idles_well", ANY, 0.50}
/* Never fires. */
#define DEAD \
	{"does_not_start", ANY, 0.95}, {"hard_to_start_cold", ANY, 0.60}, {"runs_well", ANY, 0.05}, \
	{"idles_well", ANY, 0.05}
/* Fuel runs out: the more is drawn the sooner. */
#define STARVES \
	{"flat", HIGH, 0.75}, {"flat", MIDDLE, 0.35}, {"surges", HIGH | MIDDLE, 0.45}, {"cuts_out", HIGH, 0.65}, \
	{"cuts_out", MIDDLE, 0.40}, {"misfires_lean", HIGH, 0.40}, {"hesitates", HIGH | MIDDLE, 0.40}, \
	{"plug_white", HIGH, 0.40}, {"runs_well", HIGH, 0.15}, {"runs_well", MIDDLE, 0.50}, {"lambda", HIGH, -1}, \
	{"fades_under_load", ANY, 0.60}, {"starts_then_dies", ANY, 0.45}, {"does_not_start", ANY, 0.50}, \
	{"plug_dry", ANY, 0.50}, {"bowl_fills_freely", ANY, 0.06}, {"bowl_drain_weak", ANY, 0.65}, \
	{"bowl_dry", ANY, 0.35}, {"enrichener_helps", ANY, 0.35}, {"dies_at_idle", ANY, 0.25}
/* Air past the throttle. */
#define TOO_MUCH_AIR \
	{"high_idle", ANY, 0.50}, {"hanging_idle", ANY, 0.50}, {"idle_screw_no_effect", ANY, 0.50}
#define SPARK_LOST \
	{"outside_fuel_fires", ANY, 0.03}, {"any_sign_of_life", ANY, 0.06}, \
	{"outside_fuel_changes_nothing", ANY, 0.9}
/* clang-format on */

/* The trade facts behind the shares, common practice, no source: an engine that runs has spark and compression, though
 * the spark may be weak when hot and compression marginal under load; outside fuel that fires proves the fuel side, not
 * the jet; one that keeps running then has burnt off stale fuel from the bowl; dying after seconds to two minutes
 * points at the supply, or at a jet through which all fuel goes, after half an hour at water; a cold engine that is not
 * enriched mostly does not start at all; no fuel at the carburetor is the first cause of no start in published charts,
 * and dirt is what blocks a filter; each cylinder has its own plug, so that of several one fails first and runs rough;
 * an enrichener that helps for seconds only points at the supply; a kick start may be too slow to make a spark. A share
 * of -1: the mixture is not foretold, a reading says nothing. */
static const struct {
	const char *cause;
	told told[32];
} blocks[] = {
    {"spark_weak",
     {MISFIRES,
      {"does_not_start", ANY, 0.35},
      {"hard_to_start_cold", ANY, 0.50},
      {"hard_to_start_hot", ANY, 0.40},
      {"dies_when_hot", ANY, 0.30},
      {"spark_strong", ANY, 0.20},
      {"spark_weak", ANY, 0.70},
      {"spark_none", ANY, 0.10},
      {"spark_fails_hot", ANY, 0.30},
      {"new_plug_helps", ANY, 0.55},
      {"plug_black", ANY, 0.30},
      {"plug_wet", ANY, 0.40},
      {"one_cylinder_dead", ANY, 0.45},
      {"outside_fuel_fires", ANY, 0.40},
      {"outside_fuel_changes_nothing", ANY, 0.35}}},
    {"spark_missing",
     {DEAD,
      SPARK_LOST,
      {"spark_strong", ANY, 0.03},
      {"spark_weak", ANY, 0.08},
      {"spark_none", ANY, 0.90},
      {"came_on_suddenly", ANY, 0.50},
      {"dies_when_hot", ANY, 0.20},
      {"one_cylinder_dead", ANY, 0.35},
      {"hunts", LOW, 0.25},
      {"flat", ANY, 0.25},
      {"plug_wet", ANY, 0.60},
      {"cuts_out", ANY, 0.30},
      {"starts_then_dies", ANY, 0.10}}},
    {"ignition_timing",
     {{"flat", ANY, 0.60},
      {"misfires_lean", ANY, 0.40},
      {"hesitates", ANY, 0.40},
      {"hunts", ANY, 0.25},
      {"runs_well", ANY, 0.30},
      {"pops_on_closing", ANY, 0.30},
      {"hard_to_start_cold", ANY, 0.40},
      {"hard_to_start_hot", ANY, 0.40},
      {"does_not_start", ANY, 0.20},
      {"spark_strong", ANY, 0.80}}},
    {"starter_or_battery",
     {{"does_not_crank", ANY, 0.60},
      {"cranks_slowly", ANY, 0.50},
      {"cranks_well", ANY, 0.10},
      {"does_not_start", ANY, 0.50},
      {"hard_to_start_cold", ANY, 0.60},
      {"spark_weak", ANY, 0.25}}},
    {"liquid_in_cylinder",
     {{"does_not_crank", ANY, 0.80},
      {"cranks_well", ANY, 0.05},
      {"cranks_slowly", ANY, 0.30},
      {"fuel_overflows", ANY, 0.40},
      {"fuel_in_oil", ANY, 0.40},
      {"plug_wet", ANY, 0.90}}},
    {"compression_low",
     {{"does_not_start", ANY, 0.40},
      {"hard_to_start_cold", ANY, 0.55},
      {"hard_to_start_hot", ANY, 0.45},
      {"flat", ANY, 0.55},
      {"dies_at_idle", ANY, 0.35},
      {"hunts", LOW, 0.25},
      {"runs_well", ANY, 0.25},
      {"idles_well", ANY, 0.45},
      {"compression_good", ANY, 0.08},
      {"compression_low", ANY, 0.90},
      {"one_cylinder_dead", ANY, 0.30},
      {"cranks_well", ANY, 0.85},
      {"outside_fuel_fires", ANY, 0.30},
      {"outside_fuel_changes_nothing", ANY, 0.50}}},
    {"valve_clearance",
     {{"does_not_start", ANY, 0.30},
      {"hard_to_start_cold", ANY, 0.50},
      {"hard_to_start_hot", ANY, 0.40},
      {"dies_at_idle", ANY, 0.40},
      {"hunts", LOW, 0.30},
      {"flat", ANY, 0.35},
      {"misfires_lean", ANY, 0.30},
      {"runs_well", HIGH, 0.70},
      {"idles_well", ANY, 0.40},
      {"compression_good", ANY, 0.30},
      {"compression_low", ANY, 0.60},
      {"valve_clearance_wrong", ANY, 0.95},
      {"outside_fuel_fires", ANY, 0.40},
      {"outside_fuel_changes_nothing", ANY, 0.40}}},
    {"exhaust_blocked",
     {{"flat", HIGH | MIDDLE, 0.85},
      {"runs_well", HIGH, 0.10},
      {"exhaust_weak", ANY, 0.75},
      {"does_not_start", ANY, 0.20},
      {"fades_under_load", ANY, 0.25}}},
    {"exhaust_leak",
     {{"pops_on_closing", ANY, 0.70}, {"exhaust_leak_heard", ANY, 0.85}, {"flat", ANY, 0.15}, {"lambda", ANY, -1}}},
    {"fuel_supply_restricted",
     {STARVES, {"came_on_suddenly", ANY, 0.30}, {"dirt_in_bowl", ANY, 0.45}, {"one_cylinder_dead", ANY, 0.05}}},
    {"tank_vent_blocked", {STARVES, {"cap_loosened_helps", ANY, 0.85}, {"hard_to_start_hot", ANY, 0.10}}},
    {"fuel_pump_weak", {STARVES, {"came_on_suddenly", ANY, 0.30}}},
    {"float_needle_stuck_shut", {STARVES, {"one_cylinder_dead", ANY, 0.40}}},
    {"float_needle_leaking",
     {{"fuel_overflows", ANY, 0.70},
      {"fuel_in_oil", ANY, 0.25},
      {"plug_wet", ANY, 0.55},
      {"plug_black", ANY, 0.55},
      {"smokes_black", ANY, 0.40},
      {"misfires_rich", ANY, 0.45},
      {"hard_to_start_hot", ANY, 0.50},
      {"does_not_start", ANY, 0.25},
      {"dies_at_idle", ANY, 0.40},
      {"hunts", LOW, 0.40},
      {"idles_well", ANY, 0.35},
      {"runs_well", LOW, 0.40},
      {"enrichener_worsens", ANY, 0.50},
      {"one_cylinder_dead", ANY, 0.20}}},
    {"overflow_tube_cracked", {{"fuel_overflows", ANY, 0.95}, {"fades_under_load", ANY, 0.10}}},
    {"enrichener_not_working",
     {{"hard_to_start_cold", ANY, 0.90},
      {"does_not_start", ANY, 0.65},
      {"enrichener_helps", ANY, 0.05},
      {"enrichener_worsens", ANY, 0.05},
      {"starts_only_with_enrichener", ANY, 0.05},
      {"outside_fuel_fires", ANY, 0.95},
      {"keeps_running_after", ANY, 0.60},
      {"plug_dry", ANY, 0.60},
      {"hunts", AT(IDLE), 0.10}}},
    {"passages_varnished",
     {{"does_not_start", ANY, 0.60},
      {"starts_then_dies", ANY, 0.40},
      {"hard_to_start_cold", ANY, 0.90},
      {"starts_only_with_enrichener", ANY, 0.40},
      {"hunts", LOW, 0.60},
      {"stumbles", LOW | MIDDLE, 0.70},
      {"hesitates", LOW | MIDDLE, 0.60},
      {"flat", HIGH, 0.50},
      {"dies_at_idle", ANY, 0.70},
      {"idles_well", ANY, 0.10},
      {"runs_well", LOW, 0.10},
      {"runs_well", MIDDLE | HIGH, 0.35},
      {"outside_fuel_fires", ANY, 0.92},
      {"keeps_running_after", ANY, 0.15},
      {"plug_dry", ANY, 0.60},
      {"dirt_in_bowl", ANY, 0.60},
      {"fuel_smells_stale", ANY, 0.40},
      {"one_cylinder_dead", ANY, 0.20},
      {"enrichener_helps", ANY, 0.50},
      {"screw_no_effect", ANY, 0.60},
      {"lambda", ANY, -1}}},
    {"stale_fuel",
     {{"does_not_start", ANY, 0.45},
      {"starts_then_dies", ANY, 0.35},
      {"hard_to_start_cold", ANY, 0.75},
      {"hunts", ANY, 0.30},
      {"stumbles", ANY, 0.30},
      {"flat", ANY, 0.30},
      {"runs_well", ANY, 0.40},
      {"idles_well", ANY, 0.40},
      {"outside_fuel_fires", ANY, 0.90},
      {"keeps_running_after", ANY, 0.70},
      {"fuel_smells_stale", ANY, 0.80}}},
    {"water_in_fuel",
     {MISFIRES,
      {"water_in_bowl", ANY, 0.85},
      {"does_not_start", ANY, 0.40},
      {"starts_then_dies", ANY, 0.40},
      {"came_on_suddenly", ANY, 0.50},
      {"fades_under_load", ANY, 0.30},
      {"hard_to_start_cold", ANY, 0.40},
      {"outside_fuel_fires", ANY, 0.85}}},
    {"fuel_boiling",
     {{"worse_after_hot_stop", ANY, 0.80},
      {"hard_to_start_hot", ANY, 0.75},
      {"dies_when_hot", ANY, 0.50},
      {"starts_then_dies", ANY, 0.30},
      {"fades_under_load", ANY, 0.35},
      {"dies_at_idle", ANY, 0.40},
      {"cuts_out", ANY, 0.35}}},
    {"carburetor_icing",
     {{"ice_on_carburetor", ANY, 0.80},
      {"fades_under_load", ANY, 0.55},
      {"dies_at_idle", ANY, 0.60},
      {"cuts_out", ANY, 0.40},
      {"flat", ANY, 0.40},
      {"came_on_suddenly", ANY, 0.40}}},
    {"throttle_linkage",
     {TOO_MUCH_AIR, {"throttle_sticks", ANY, 0.85}, {"flat", HIGH, 0.30}, {"idles_well", ANY, 0.30}}},
    {"idle_speed_low",
     {{"idle_too_slow", ANY, 0.80},
      {"dies_at_idle", ANY, 0.60},
      {"idles_well", ANY, 0.20},
      {"hard_to_start_hot", ANY, 0.20}}},
    {"accelerator_pump", {{"stumbles_when_snapped", ANY, 0.85}, {"stumbles", LOW | MIDDLE, 0.60}}},
    {"carburetors_unbalanced",
     {{"hunts", LOW, 0.50},
      {"idles_well", ANY, 0.25},
      {"stumbles", LOW, 0.45},
      {"hanging_idle", ANY, 0.30},
      {"one_cylinder_dead", ANY, 0.40}}},
    {"reassembly_error",
     {{"after_reassembly", ANY, 0.90},
      {"does_not_start", ANY, 0.30},
      {"hunts", ANY, 0.35},
      {"flat", ANY, 0.35},
      {"stumbles", ANY, 0.40},
      {"dies_at_idle", ANY, 0.35},
      {"runs_well", ANY, 0.40},
      {"idles_well", ANY, 0.40},
      {"fuel_overflows", ANY, 0.25},
      {"high_idle", ANY, 0.20},
      {"hanging_idle", ANY, 0.20},
      {"one_cylinder_dead", ANY, 0.25},
      {"lambda", ANY, -1}}},
    {"pilot_jet_restricted",
     {{"starts_then_dies", ANY, 0.25}, {"dirt_in_bowl", ANY, 0.35}, {"one_cylinder_dead", ANY, 0.10}}},
    {"pilot_outlet_restricted", {{"dirt_in_bowl", ANY, 0.30}}},
    {"transfer_ports_restricted", {{"dirt_in_bowl", ANY, 0.30}}},
    {"main_jet_restricted",
     {{"starts_then_dies", ANY, 0.30}, {"dirt_in_bowl", ANY, 0.40}, {"one_cylinder_dead", ANY, 0.10}}},
    {"air_filter_blocked", {{"filter_dirty", ANY, 0.85}, {"filter_clean", ANY, 0.05}}},
    {"air_filter_missing", {{"filter_dirty", ANY, 0.02}, {"filter_clean", ANY, 0.30}}},
    {"main_jet_too_small", {{"after_reassembly", ANY, 0.20}}},
    {"main_jet_too_large", {{"after_reassembly", ANY, 0.20}}},
};
enum { BLOCKS = sizeof blocks / sizeof *blocks, MOST = sizeof blocks->told / sizeof *blocks->told };

static const told *told_of(const char *cause)
{
	for (int b = 0; b < BLOCKS; b++)
		if (strcmp(blocks[b].cause, cause) == 0)
			return blocks[b].told;
	return NULL;
}

int jw_cause_tells(const char *cause, const char *seen, jw_range range, double *share)
{
	const told *entry = told_of(cause);
	for (int i = 0; entry && i < MOST && entry[i].seen; i++)
		if (strcmp(entry[i].seen, seen) == 0 && entry[i].ranges & (1u << range)) {
			*share = entry[i].share;
			return 1;
		}
	return 0;
}

int jw_told_entry(int entry, const char **cause, const char **seen)
{
	for (int b = 0; b < BLOCKS; b++)
		for (int i = 0; i < MOST && blocks[b].told[i].seen; i++)
			if (!entry--) {
				*cause = blocks[b].cause;
				*seen = blocks[b].told[i].seen;
				return 1;
			}
	return 0;
}

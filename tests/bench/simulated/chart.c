/* SPDX-License-Identifier: GPL-3.0-or-later */
/* United States Federal Aviation Administration, Aviation Maintenance Technician Handbook: Powerplant, FAA-H-8083-32
 * (2012), chapter 10, chart for opposed engines: complaints in its order, and under each the probable causes in its
 * order (will not idle as seen retold; the others from memory). In words of our own, over the tests and repairs of this
 * project; what these engines do not have (primer lock, propeller governor, impulse coupling) is left out, with the
 * enrichener or choke plate for the primer. */
#include "chart.h"

#include <string.h>

enum { STEPS_MOST = 12, SIGNS_MOST = 6 };

typedef struct complaint {
	const char *sign[SIGNS_MOST]; /* any of these is told */
	unsigned ranges;              /* in any of these */
	chart_step step[STEPS_MOST];
} complaint;

#define NEAR_IDLE 0x03u
#define DRIVING 0x3eu
#define ANYWHERE 0x3fu

static const complaint chart[] = {
    /* does not idle properly */
    {{"hunts", "dies_at_idle", "stumbles", "high_idle"},
     NEAR_IDLE,
     {{NULL, JW_YES, "idle_speed_low"},
      {NULL, JW_YES, "idle_mixture_screw_lean"},
      {"leak_spray_changes", JW_YES, "air_leak"},
      {"compression_good", JW_NO, "compression_low"},
      {"spark_strong", JW_NO, "spark_weak"},
      {NULL, JW_YES, "enrichener_stuck_on"},
      {NULL, JW_YES, "choke_stuck_on"},
      {"filter_dirty", JW_YES, "air_filter_blocked"}}},
    /* low power, runs unevenly: too rich */
    {{"smokes_black", "misfires_rich", "plug_black"},
     ANYWHERE,
     {{NULL, JW_YES, "enrichener_stuck_on"},
      {NULL, JW_YES, "choke_stuck_on"},
      {NULL, JW_YES, "idle_mixture_screw_rich"}}},
    /* the same: too lean */
    {{"misfires_lean", "plug_white", "surges", "hesitates"},
     ANYWHERE,
     {{"bowl_fills_freely", JW_NO, "fuel_supply_restricted"}, {NULL, JW_YES, "idle_mixture_screw_lean"}}},
    /* the same, whatever the mixture */
    {{"misfires_lean", "misfires_rich", "surges", "hesitates", "stumbles"},
     DRIVING,
     {{"leak_spray_changes", JW_YES, "air_leak"},
      {"new_plug_helps", JW_YES, "spark_weak"},
      {"fuel_smells_stale", JW_YES, "stale_fuel"},
      {"spark_strong", JW_NO, "spark_weak"},
      {"valve_clearance_wrong", JW_YES, "valve_clearance"}}},
    /* does not reach full power */
    {{"flat", "cuts_out"},
     DRIVING,
     {{"throttle_sticks", JW_YES, "throttle_linkage"},
      {"leak_spray_changes", JW_YES, "air_leak"},
      {"filter_dirty", JW_YES, "air_filter_blocked"},
      {"fuel_smells_stale", JW_YES, "stale_fuel"},
      {"spark_strong", JW_NO, "spark_weak"}}},
};
enum { COMPLAINTS = sizeof chart / sizeof *chart };

/* The chart has the carburetor "adjusted by the shop": overhauled, then what an overhaul leaves, quickest first. */
static const chart_step shop[] = {
    {NULL, JW_YES, "passages_varnished"},      {NULL, JW_YES, "air_filter_missing"},
    {NULL, JW_YES, "idle_mixture_screw_lean"}, {NULL, JW_YES, "choke_stuck_on"},
    {NULL, JW_YES, "enrichener_stuck_on"},     {NULL, JW_YES, "needle_too_low"},
    {NULL, JW_YES, "main_jet_too_small"},      {NULL, JW_YES, "main_jet_too_large"},
    {NULL, JW_YES, "pilot_jet_too_small"},     {NULL, JW_YES, "pilot_jet_too_large"},
    {NULL, JW_YES, "slide_or_diaphragm"},      {NULL, JW_YES, "float_needle_leaking"},
    {NULL, JW_YES, "air_filter_blocked"},      {NULL, JW_YES, "air_leak"},
    {NULL, JW_YES, "needle_jet_worn"},
};

static int told(const jw_case *known, const complaint *c)
{
	for (int i = 0; i < known->evidences; i++) {
		const jw_evidence *seen = &known->evidence[i];
		const char *id = jw_evidence_kind_at(seen->kind)->id;
		for (int s = 0; s < SIGNS_MOST && c->sign[s]; s++)
			if (seen->answer == JW_YES && ((c->ranges >> seen->range) & 1) && !strcmp(id, c->sign[s]))
				return 1;
	}
	return 0;
}

static int same(const char *one, const char *other)
{
	return one && other ? !strcmp(one, other) : one == other;
}

static int listed(const chart_step *const *step, int n, const chart_step *one)
{
	for (int i = 0; i < n; i++)
		if (same(step[i]->evidence, one->evidence) && same(step[i]->cause, one->cause))
			return 1;
	return 0;
}

int chart_order(const jw_case *known, const chart_step **step)
{
	int n = 0;
	for (int c = 0; c < COMPLAINTS; c++)
		for (int s = 0; s < STEPS_MOST && chart[c].step[s].cause && told(known, &chart[c]); s++)
			if (!listed(step, n, &chart[c].step[s]))
				step[n++] = &chart[c].step[s];
	for (size_t s = 0; s < sizeof shop / sizeof *shop; s++)
		if (!listed(step, n, &shop[s]))
			step[n++] = &shop[s];
	return n;
}

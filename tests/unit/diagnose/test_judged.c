/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What judged numbers must keep to among each other, whatever they are: common practice, no source. */
#include "diagnose/cause.h"
#include "diagnose/evidence.h"
#include "diagnose/tests.h"
#include <criterion/criterion.h>
#include <string.h>

static const jw_cause_row *cause(const char *id)
{
	const jw_cause_row *row = jw_cause_row_at(jw_cause_find(id));
	cr_assert(row, "no cause called %s", id);
	return row;
}

static double odds_of(const char *id)
{
	return cause(id)->odds;
}

static double standing_of(const char *id)
{
	return cause(id)->standing;
}

static double remedy_minutes(const char *id)
{
	return cause(id)->minutes;
}

static double test_minutes(const char *id)
{
	const jw_test_info *test = jw_test_of(jw_evidence_kind_find(id));
	cr_assert(test, "no test of %s", id);
	return test->minutes;
}

static double holds_of(const char *id)
{
	return jw_remedy_holds(jw_cause_find(id));
}

static const struct {
	double (*of)(const char *id);
	const char *less, *more;
} orders[] = {
    /* The smallest bores varnish first, and air jets stay dry. */
    {odds_of, "main_jet_restricted", "pilot_jet_restricted"},
    {odds_of, "pilot_outlet_restricted", "main_jet_restricted"},
    {odds_of, "pilot_air_restricted", "pilot_jet_restricted"},
    {odds_of, "main_air_restricted", "main_jet_restricted"},
    {odds_of, "power_jet_restricted", "main_jet_restricted"},
    /* Supply before jets, plug and battery before the inside of the engine, setting before wear. */
    {odds_of, "pilot_jet_restricted", "fuel_supply_restricted"},
    {odds_of, "fuel_pump_weak", "fuel_supply_restricted"},
    {odds_of, "tank_vent_blocked", "fuel_supply_restricted"},
    {odds_of, "spark_missing", "spark_weak"},
    {odds_of, "ignition_timing", "spark_missing"},
    {odds_of, "compression_low", "spark_weak"},
    {odds_of, "valve_clearance", "compression_low"},
    {odds_of, "liquid_in_cylinder", "compression_low"},
    {odds_of, "crank_seal", "air_leak"},
    {odds_of, "overflow_tube_cracked", "float_needle_leaking"},
    {odds_of, "float_needle_stuck_shut", "float_needle_leaking"},
    {odds_of, "air_filter_missing", "air_filter_blocked"},
    {odds_of, "needle_jet_worn", "main_jet_restricted"},
    {odds_of, "carburetor_icing", "water_in_fuel"},
    {odds_of, "fuel_boiling", "fuel_supply_restricted"},
    /* Nobody has the wrong jet in it as often as dirt in the right one. */
    {odds_of, "main_jet_too_small", "main_jet_restricted"},
    {odds_of, "pilot_jet_too_small", "pilot_jet_restricted"},
    /* Standing dries out the smallest bores first, and spoils what it is left with. */
    {standing_of, "pilot_outlet_restricted", "pilot_jet_restricted"},
    {standing_of, "main_jet_restricted", "pilot_outlet_restricted"},
    {standing_of, "main_air_restricted", "main_jet_restricted"},
    {standing_of, "pilot_air_restricted", "pilot_outlet_restricted"},
    {standing_of, "spark_missing", "stale_fuel"},
    {standing_of, "compression_low", "starter_or_battery"},
    /* A screw is turned in less time than a jet is exchanged, and that in less than the engine is opened. */
    {remedy_minutes, "idle_speed_high", "idle_mixture_screw_lean"},
    {remedy_minutes, "idle_mixture_screw_lean", "pilot_outlet_restricted"},
    {remedy_minutes, "air_filter_blocked", "pilot_air_restricted"},
    {remedy_minutes, "tank_vent_blocked", "fuel_supply_restricted"},
    {remedy_minutes, "stale_fuel", "main_jet_restricted"},
    {remedy_minutes, "spark_weak", "spark_missing"},
    {remedy_minutes, "main_jet_restricted", "main_jet_too_small"},
    {remedy_minutes, "pilot_jet_restricted", "pilot_jet_too_small"},
    {remedy_minutes, "needle_too_low", "needle_jet_worn"},
    {remedy_minutes, "choke_stuck_on", "enrichener_not_working"},
    {remedy_minutes, "passages_varnished", "compression_low"},
    {remedy_minutes, "passages_varnished", "crank_seal"},
    {remedy_minutes, "air_leak", "crank_seal"},
    {remedy_minutes, "valve_clearance", "compression_low"},
    /* A look or a listen takes less than a gauge, and that less than taking apart; hot takes longer than cold. */
    {test_minutes, "cranks_well", "battery_low"},
    {test_minutes, "battery_low", "spark_strong"},
    {test_minutes, "plug_worn", "new_plug_helps"},
    {test_minutes, "spark_strong", "spark_fails_hot"},
    {test_minutes, "compression_good", "compression_low_hot"},
    {test_minutes, "compression_good", "valve_clearance_wrong"},
    {test_minutes, "outside_fuel_fires", "compression_good"},
    {test_minutes, "bowl_fills_freely", "level"},
    {test_minutes, "tap_on_bowl_helps", "bowl_fills_freely"},
    {test_minutes, "hose_flows_freely", "dirt_in_bowl"},
    {test_minutes, "water_in_bowl", "dirt_in_bowl"},
    {test_minutes, "level", "jet_looks_blocked"},
    {test_minutes, "jet_looks_blocked", "pilot_jet_bore"},
    {test_minutes, "screw_turns", "needle_height"},
    {test_minutes, "needle_height", "needle_jet_bore"},
    {test_minutes, "filter_missing", "filter_dirty"},
    {test_minutes, "fuel_smells_stale", "fresh_fuel_helps"},
    {test_minutes, "exhaust_weak", "timing_off"},
    /* What is set or replaced is right more often than what is cleaned, sealed or traced; heat and shields help least.
     */
    {holds_of, "main_jet_restricted", "main_jet_too_small"},
    {holds_of, "air_leak", "float_level_low"},
    {holds_of, "spark_missing", "spark_weak"},
    {holds_of, "passages_varnished", "float_needle_leaking"},
    {holds_of, "fuel_boiling", "main_jet_restricted"},
    {holds_of, "carburetor_icing", "main_jet_restricted"},
};

Test(judged, keeps_its_order)
{
	for (size_t i = 0; i < sizeof orders / sizeof *orders; i++) {
		const double less = orders[i].of(orders[i].less), more = orders[i].of(orders[i].more);
		cr_expect_lt(less, more, "%s %g, %s %g", orders[i].less, less, orders[i].more, more);
	}
}

/* Too much and too little of one part are set right in the same time; what takes another in takes longer, and is rarer:
 * several passages are seldom shut at once. */
Test(judged, of_causes_that_belong_together)
{
	static const char *const alike[][2] = {{"main_jet_too_small", "main_jet_too_large"},
	                                       {"pilot_jet_too_small", "pilot_jet_too_large"},
	                                       {"needle_too_low", "needle_too_high"},
	                                       {"float_level_low", "float_level_high"},
	                                       {"idle_mixture_screw_lean", "idle_mixture_screw_rich"},
	                                       {"idle_speed_low", "idle_speed_high"}};
	for (size_t i = 0; i < sizeof alike / sizeof *alike; i++)
		cr_expect_eq(remedy_minutes(alike[i][0]), remedy_minutes(alike[i][1]), "%s", alike[i][0]);
	int within = 0;
	for (int c = 0; c < jw_cause_count(); c++) {
		const jw_cause_row *row = jw_cause_row_at(c);
		if (!row->within)
			continue;
		within++;
		cr_expect_gt(cause(row->within)->minutes, row->minutes, "%s", row->info.id);
		if (strcmp(row->within, "passages_varnished") == 0)
			cr_expect_lt(cause(row->within)->odds, row->odds, "%s", row->info.id);
	}
	cr_expect_geq(within, 6);
}

/* A thing that is wrong is seen on fewer sound engines than on those that ail from something unnamed, one that is right
 * on more; none is seen on all, and of what rules each other out no more than all engines show one. */
Test(judged, words_tell_sound_engines_from_others)
{
	for (int k = 0; k < jw_evidence_kind_count(); k++) {
		const jw_evidence_row *row = jw_evidence_row_at(k);
		const char *id = row->kind.id;
		cr_expect(row->other >= 0 && row->other < 1 && row->sound >= 0 && row->sound < 1, "%s", id);
		if (row->needs || row->gauge)
			continue;
		const int apart = strcmp(id, "throttle_shaft_loose") != 0; /* which harms none */
		cr_expect(row->good ? row->sound > row->other : row->sound < row->other + !apart, "%s: %g, others %g", id,
		          row->sound, row->other);
		const jw_evidence_row *opposite =
		    row->opposite ? jw_evidence_row_at(jw_evidence_kind_find(row->opposite)) : NULL;
		if (!opposite || opposite->needs || opposite->gauge)
			continue;
		cr_expect_leq(row->sound + opposite->sound, 1 + 1e-12, "%s and %s", id, row->opposite);
		cr_expect_leq(row->other + opposite->other, 1 + 1e-12, "%s and %s of others", id, row->opposite);
	}
}

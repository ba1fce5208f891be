/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "groups.h"

#include <stddef.h>
#include <string.h>

static const struct {
	const char *cause, *group;
} groups[] = {
    {"fuel_supply_restricted", "fuel_supply"},
    {"tank_vent_blocked", "fuel_supply"},
    {"fuel_pump_weak", "fuel_supply"},
    {"spark_missing", "spark"},
    {"spark_weak", "spark"},
    {"pilot_jet_restricted", "jets_restricted"},
    {"pilot_outlet_restricted", "jets_restricted"},
    {"pilot_air_restricted", "jets_restricted"},
    {"main_jet_restricted", "jets_restricted"},
    {"main_air_restricted", "jets_restricted"},
    {"transfer_ports_restricted", "jets_restricted"},
    {"passages_varnished", "jets_restricted"},
    {"carb_passages_restricted_unspecified", "jets_restricted"},
    {"carb_dirt", "jets_restricted"},
    {"air_leak", "air_leak"},
    {"crank_seal", "air_leak"},
    {"power_jet_restricted", "jets_restricted"},
    {"enrichener_restricted", "enrichener"},
    {"air_filter_blocked", "air_filter"},
    {"air_filter_missing", "air_filter"},
    {"slide_or_diaphragm", "slide_or_diaphragm"},
    {"float_needle_leaking", "float_needle"},
    {"float_needle_stuck_shut", "float_needle"},
    {"overflow_tube_cracked", "float_needle"},
    {"enrichener_stuck_on", "enrichener"},
    {"choke_stuck_on", "enrichener"},
    {"enrichener_not_working", "enrichener"},
    {"exhaust_blocked", "exhaust"},
    {"exhaust_leak", "exhaust"},
    {"compression_low", "compression"},
    {"valve_clearance", "compression"},
    {"water_in_fuel", "fuel_quality"},
    {"stale_fuel", "fuel_quality"},
    {"main_jet_too_large", "jet_size"},
    {"main_jet_too_small", "jet_size"},
    {"pilot_jet_too_large", "jet_size"},
    {"pilot_jet_too_small", "jet_size"},
    {"needle_position", "jet_size"},
    {"needle_too_low", "jet_size"},
    {"needle_too_high", "jet_size"},
    {"needle_jet_worn", "jet_size"},
    {"throttle_linkage", "throttle_linkage"},
    {"throttle_stuck_open", "throttle_linkage"},
    {"throttle_not_closing", "throttle_linkage"},
    {"throttle_return_spring", "throttle_linkage"},
    {"throttle_bypass", "throttle_linkage"},
    {"idle_mixture_screw_lean", "idle_setting"},
    {"idle_mixture_screw_rich", "idle_setting"},
    {"idle_speed_or_mixture_screw", "idle_setting"},
    {"idle_speed_low", "idle_setting"},
    {"idle_speed_high", "idle_setting"},
    {"mixture_out_of_adjustment", "idle_setting"},
    {"accelerator_pump", "accelerator_pump"},
    {"float_level_low", "float_level"},
    {"float_level_high", "float_level"},
};

const char *group_of(const char *cause)
{
	for (size_t i = 0; i < sizeof groups / sizeof *groups; i++)
		if (!strcmp(groups[i].cause, cause))
			return groups[i].group;
	return cause;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: tune PROFILES. A set-up made to agree with an engine, the jet that restores a mixture, and what dirt does. */
#include "must.h"

static void show_calibration(const jw_setup *setup, const jw_air *air)
{
	const jw_baseline baseline = {.air = *air, .lambda_idle = 0.92, .lambda_half = 0.95, .lambda_full = 0.88};
	jw_calibration found;
	jw_error error = {0};
	must(jw_calibrate(setup, &baseline, &found, &error), &error);
	printf("what agrees with that baseline: pilot %.3f, needle %.3f, main %.3f\n", found.coefficient.pilot,
	       found.coefficient.needle, found.coefficient.main);
}

static void show_parts(const jw_setup *setup, const jw_air *air)
{
	jw_setup open = *setup;
	jw_mixture before;
	jw_error error = {0};
	double bore_m;
	must(jw_mixture_at(setup, air, &setup->range[JW_FULL], &before, &error), &error);
	must(jw_change_apply(&open, JW_CHANGE_FILTER_OPEN, &error), &error);
	must(jw_part_for_phi(&open, air, &open.range[JW_FULL], JW_PART_MAIN_JET, before.phi, &bore_m, &error), &error);
	printf("%s (%s): %s %.3f mm in place of %.3f\n", jw_change_text(JW_CHANGE_FILTER_OPEN),
	       jw_change_name(JW_CHANGE_FILTER_OPEN), jw_part_name(JW_PART_MAIN_JET), 1e3 * bore_m,
	       1e3 * jw_part_value(setup, JW_PART_MAIN_JET));
	must(jw_part_set(&open, JW_PART_MAIN_JET, bore_m, &error), &error);
}

static void show_passages(const jw_setup *setup, const jw_air *air)
{
	const jw_passage pilot = (jw_passage)jw_passage_find("pilot_jet");
	jw_setup restricted;
	jw_mixture mixture;
	jw_passage_left left;
	jw_error error = {0};
	must(jw_passage_shut(setup, pilot, 0.3, &restricted, &error), &error);
	must(jw_mixture_at(&restricted, air, &setup->range[JW_IDLE], &mixture, &error), &error);
	must(jw_passage_restrict(setup, air, pilot, &setup->range[JW_IDLE], JW_FILM, 0.03e-3, &left, &error), &error);
	printf("%s of %.3f mm, 30 %% shut: %.1f mg/s at idle; a film of 0.03 mm leaves %.0f %% at the same pull\n",
	       jw_passage_at(pilot)->text, 1e3 * jw_passage_bore(setup, pilot), 1e6 * jw_passage_flow(&mixture, pilot),
	       100 * left.left.flow_share);
}

static void show_exhaust(const jw_setup *setup)
{
	const jw_gas_analysis gas = {.co = 0.017, .co2 = 0.139, .o2 = 0.006, .hc = 260e-6};
	jw_fuel_state fuel;
	jw_error error = {0};
	double hydrogen, oxygen, lambda, by_co;
	must(jw_fuel_at(&setup->fuel, 293.15, &fuel, &error), &error);
	must(jw_fuel_atoms(&fuel, &hydrogen, &oxygen, &error), &error);
	must(jw_lambda_from_gas(&gas, hydrogen, oxygen, &lambda, &error), &error);
	must(jw_lambda_from_co(gas.co, hydrogen, oxygen, &by_co, &error), &error);
	printf("exhaust of CH%.2fO%.3f with %.1f %% of CO: lambda %.3f, by the CO alone %.3f\n", hydrogen, oxygen,
	       100 * gas.co, lambda, by_co);
}

int main(int argc, char **argv)
{
	jw_profile *profile = engine_of(argc > 1 ? argv[1] : "profiles", "courier-150");
	const jw_setup *setup = jw_profile_setup(profile);
	jw_error error = {0};
	jw_air air;
	must(jw_air_from_humidity(101325, 288.15, 0, &air, &error), &error);
	show_calibration(setup, &air);
	show_parts(setup, &air);
	show_passages(setup, &air);
	show_exhaust(setup);
	jw_profile_free(profile);
	return 0;
}

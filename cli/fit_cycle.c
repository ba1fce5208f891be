/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fit_cycle.h"
#include "ambient.h"
#include "progress.h"
#include "show.h"
#include <stdlib.h>

/* Of the main jet's area: with as much bleed, the narrow part of the outlet, which nobody states, begins to count. */
#define MUCH_BLEED 0.5

enum { FORMULAS, TABLE, CYCLE, WAYS };
static const char *const way_words[WAYS] = {"formulas", "table", "cycle"};

typedef struct fitted_cycle {
	const jw_profile *profile;
	jw_air air;
	jw_setup before, after, read; /* read: as the profile, once written, will be */
	double air_kg_s[JW_RANGE_COUNT][WAYS], fuel_kg_s[JW_RANGE_COUNT][WAYS];
	jw_cycle cycle;
	int bridged;
	int unmet; /* no coefficients meet the baseline with the table */
	jw_status status;
} fitted_cycle;

static jw_status tabulate(fitted_cycle *f, jw_error *error)
{
	progress_step();
	return jw_pulses_tabulate(&f->before, &f->air, &f->after.pulses, &f->bridged, error);
}

/* The coefficients with which the table meets the baseline; left alone where none do. */
static jw_status calibrate(fitted_cycle *f, jw_coefficients *coefficients, jw_error *error)
{
	jw_calibration calibration;
	const jw_status status = jw_calibrate(&f->after, jw_profile_baseline(f->profile), &calibration, error);
	f->unmet = status == JW_E_BASELINE;
	if (status >= 0)
		*coefficients = calibration.coefficient;
	return status;
}

/* A baseline decides the coefficients, and they a little of what the cycle gives: the table is made with those that the
 * first table leads to. What whoever reads the profile will find is known once it is made. */
static jw_status tabulate_for_profile(fitted_cycle *f, jw_error *error)
{
	jw_status status = tabulate(f, error);
	if (status < 0 || !jw_profile_calibration(f->profile))
		return status;
	status = calibrate(f, &f->after.coefficient, error);
	if (status >= 0) {
		f->before.coefficient = f->after.coefficient;
		status = tabulate(f, error);
	}
	if (status >= 0) {
		f->read = f->after;
		status = calibrate(f, &f->read.coefficient, error);
	}
	f->status = f->unmet ? JW_OK : status;
	return f->status;
}

/* Air past throttle and leak. */
static jw_status compare(fitted_cycle *f, int range, jw_error *error)
{
	const jw_point *point = &f->before.range[range];
	const jw_setup *const setups[] = {&f->before, &f->after};
	f->cycle = (jw_cycle){0};
	jw_status status = jw_cycle_at(&f->before, &f->air, point, NULL, &f->cycle, error);
	if (status == JW_E_NO_CONVERGENCE)
		status = JW_OK; /* told as nothing */
	f->air_kg_s[range][CYCLE] = f->cycle.plate_kg_s + f->cycle.leak_kg_s;
	f->fuel_kg_s[range][CYCLE] = f->cycle.fuel_kg_s;
	for (int way = FORMULAS; way <= TABLE && status >= 0; way++) {
		jw_mixture m = {0};
		status = jw_mixture_at(setups[way], &f->air, point, &m, error);
		f->air_kg_s[range][way] = m.plate_kg_s + m.leak_kg_s;
		f->fuel_kg_s[range][way] = m.fuel_kg_s;
	}
	return status;
}

static jw_status solve(fitted_cycle *f, jw_error *error)
{
	const int tables = jw_profile_calibration(f->profile) ? 2 : 1;
	progress_begin("Cycles for the pulse table", tables + JW_RANGE_COUNT, 0);
	jw_status status = tabulate_for_profile(f, error);
	for (int range = 0; range < JW_RANGE_COUNT && status >= 0; range++) {
		progress_step();
		status = compare(f, range, error);
	}
	progress_end();
	return status;
}

static int bleeds_much(const jw_setup *setup)
{
	const double jet = jw_passage_bore(setup, JW_PASSAGE_MAIN_JET),
	             bleed = jw_passage_bore(setup, JW_PASSAGE_MAIN_AIR_JET);
	return bleed * bleed > MUCH_BLEED * jet * jet;
}

static void flow_cell(cli_table *table, double flow)
{
	table_cell(table, "%s", flow > 0 ? significant(flow, 3).text : "-");
}

static void print_points(const fitted_cycle *f)
{
	static const char *const words[] = {
	    "", "rpm", "throttle", "air: formulas", "table", "cycle", "fuel: formulas", "table", "cycle"};
	cli_table table = {0};
	table_heading(&table, words, sizeof words / sizeof *words);
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		table_cell(&table, "%s", range_text_of(range).text);
		table_cell(&table, "%.0f", f->before.range[range].speed_rev_s * 60);
		table_cell(&table, "%.0f %%", 100 * f->before.range[range].throttle);
		for (int way = 0; way < WAYS; way++)
			flow_cell(&table, f->air_kg_s[range][way] * 1e3);
		for (int way = 0; way < WAYS; way++)
			flow_cell(&table, f->fuel_kg_s[range][way] * 1e6);
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

static void note(int holds, const char *text)
{
	if (!holds)
		return;
	printf("\n");
	text_wrap(stdout, 0, 0, "%s", text);
}

static void print_text(const fitted_cycle *f)
{
	const jw_pulse_table *t = &f->after.pulses;
	text_wrap(stdout, 0, 0, "%s on %s; air %s.", jw_profile_name(f->profile), jw_profile_fuel(f->profile),
	          air_text(&f->air).text);
	text_wrap(
	    stdout, 0, 0,
	    "%d points from %.0f to %.0f rpm and from the idle stop to wide open, followed over the crank angle, give the "
	    "factors of a table: on the air, on the pull that floats the slide, on the pulls that main circuit and "
	    "power jet feel, and on the pilot's fuel.",
	    t->nodes, t->speed_rev_s[0] * 60, t->speed_rev_s[t->nodes - 1] * 60);
	printf("\n");
	text_wrap(stdout, 0, 0,
	          "Air in g/s and fuel in mg/s by the formulas, with the table, and of the cycle itself, with "
	          "the same coefficients:");
	print_points(f);
	char unsettled[128];
	snprintf(unsettled, sizeof unsettled,
	         "At %d of them the cycle did not settle; they took the factors of the openings beside them.", f->bridged);
	note(f->bridged > 0, unsettled);
	note(f->unmet,
	     "No coefficients meet the profile's baseline with this table, so it does not go into the profile: the "
	     "sizes of the main circuit, or what was measured, do not go with what the cycle makes of it.");
	note(bleeds_much(&f->before),
	     "Much air bleeds into this main circuit. How much fuel it then gives hangs on the length of the needle "
	     "jet's narrow part, which is taken as 4 mm: take its fuel at part throttle as doubtful, and readings "
	     "over the table.");
	printf("\n");
}

static void json_points(cli_json *json, const fitted_cycle *f)
{
	json_array(json, "points");
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		json_object(json, NULL);
		json_text(json, "range", jw_range_name(range));
		json_object(json, "air_kg_s");
		for (int way = 0; way < WAYS; way++)
			json_number_or_null(json, way_words[way], f->air_kg_s[range][way]);
		json_object_end(json);
		json_object(json, "fuel_kg_s");
		for (int way = 0; way < WAYS; way++)
			json_number_or_null(json, way_words[way], f->fuel_kg_s[range][way]);
		json_object_end(json);
		json_object_end(json);
	}
	json_array_end(json);
}

static void print_json(const fitted_cycle *f)
{
	static const char *const words[JW_PULSE_FACTORS] = {[JW_PULSE_AIR] = "air",
	                                                    [JW_PULSE_THROAT] = "throat",
	                                                    [JW_PULSE_MAIN_LIFT] = "main_lift_pa",
	                                                    [JW_PULSE_MAIN] = "main",
	                                                    [JW_PULSE_POWER_LIFT] = "power_lift_pa",
	                                                    [JW_PULSE_POWER] = "power",
	                                                    [JW_PULSE_PILOT] = "pilot"};
	const jw_pulse_table *t = &f->after.pulses;
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(f->profile));
	json_text(&json, "fuel", jw_profile_fuel(f->profile));
	json_air(&json, "air", &f->air);
	json_array(&json, "pulse_table");
	for (int i = 0; i < t->nodes; i++) {
		json_object(&json, NULL);
		json_number(&json, "speed_rpm", t->speed_rev_s[i] * 60);
		json_number(&json, "throttle", t->throttle[i]);
		for (int k = 0; k < JW_PULSE_FACTORS; k++)
			json_number(&json, words[k], t->factor[k][i]);
		json_object_end(&json);
	}
	json_array_end(&json);
	json_points(&json, f);
	json_number(&json, "bridged", f->bridged);
	json_flag(&json, "baseline_unmet", f->unmet);
	json_flag(&json, "bleeds_much", bleeds_much(&f->before));
	json_warnings(&json, f->status);
	json_end(&json);
}

static int answer(const cli_arguments *arguments, fitted_cycle *f)
{
	jw_error error = {0};
	const jw_baseline *baseline = jw_profile_baseline(f->profile);
	jw_status status = baseline ? JW_OK : jw_air_from_humidity(101325, 288.15, 0, &f->air, &error);
	if (baseline)
		f->air = baseline->air;
	f->before = *jw_profile_setup(f->profile);
	f->before.pulses.nodes = 0; /* of an earlier fit */
	f->after = f->before;
	if (status >= 0)
		status = solve(f, &error);
	if (status < 0)
		return library_error(arguments->command, status, &error);
	if (has(arguments, "json"))
		print_json(f);
	else
		print_text(f);
	/* The coefficients stay those that the profile leads to. */
	jw_setup written = *jw_profile_setup(f->profile);
	written.pulses = f->after.pulses;
	int code = has(arguments, "write") ? write_fitted(arguments, &written) : ANSWERED;
	if (code != ANSWERED)
		return code;
	code = answered(arguments, f->status, NULL);
	name_coefficients(arguments, f->status, &f->read);
	return code;
}

int fit_cycle(const cli_arguments *arguments, const jw_profile *profile)
{
	fitted_cycle *f = calloc(1, sizeof *f);
	if (!f)
		return library_error(arguments->command, JW_E_MEMORY, &(jw_error){0});
	f->profile = profile;
	int code = answer(arguments, f);
	free(f);
	return code;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fit: a profile made to agree with readings. */
#include "commands.h"
#include "ambient.h"
#include "files.h"
#include "fit_cycle.h"
#include "reading.h"
#include "show.h"
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const cli_option fit_options[] = {
    {"write", OPTION_FILE, 0, 0, 0, "fitted.yaml",
     "write the profile with the fitted numbers there; may be the profile itself"},
    {"cycle", OPTION_FLAG, 0, 0, 0, NULL,
     "in place of readings: fit the pulse's factors to points followed over the crank angle, as a table"},
    {0},
};

typedef struct fitted {
	const jw_profile *profile;
	const jw_readings *readings;
	const jw_reading *reading;
	int count;
	jw_fit fit;
	jw_fit_reading *each;
	jw_status status;
} fitted;

/* ---- text ---- */

static double deviation(const jw_fit *fit, int unknown)
{
	return sqrt(fit->covariance[unknown][unknown]);
}

static void length_cells(cli_table *table, const fitted *f, int unknown)
{
	double before = jw_unknown_value(jw_profile_setup(f->profile), (jw_unknown)unknown),
	       after = jw_unknown_value(&f->fit.setup, (jw_unknown)unknown);
	double spread = deviation(&f->fit, unknown) * (unknown == JW_UNKNOWN_LEVEL ? 1 : after);
	table_cell(table, "%.3f mm", before * 1e3);
	table_cell(table, "%.3f mm", after * 1e3);
	table_cell(table, "-");
	table_cell(table, "%.3f mm", spread * 1e3);
}

static void coefficient_cells(cli_table *table, const fitted *f, int unknown)
{
	const jw_setup *setup = jw_profile_setup(f->profile);
	const double spread[] = {setup->uncertainty.air, setup->uncertainty.main, setup->uncertainty.needle,
	                         setup->uncertainty.pilot};
	table_cell(table, "%.3f", jw_unknown_value(setup, (jw_unknown)unknown));
	table_cell(table, "%.3f", jw_unknown_value(&f->fit.setup, (jw_unknown)unknown));
	table_cell(table, "%.1f %%", 100 * spread[unknown]);
	table_cell(table, "%.1f %%", 100 * deviation(&f->fit, unknown));
}

static void print_unknowns(const fitted *f)
{
	cli_table table = {0};
	table_heading(&table, (const char *const[]){"", "before", "after", "uncertainty before", "after"}, 5);
	for (int u = 0; u < JW_UNKNOWN_COUNT; u++) {
		if (u > JW_UNKNOWN_PILOT && !f->fit.free[u])
			continue;
		range_words name = {""};
		snprintf(name.text, sizeof name.text, "%s", jw_unknown_name((jw_unknown)u));
		for (char *c = name.text; *c; c++)
			*c = *c == '_' ? ' ' : *c;
		table_cell(&table, "%s", name.text);
		(u > JW_UNKNOWN_PILOT ? length_cells : coefficient_cells)(&table, f, u);
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

static void reading_row(cli_table *table, const jw_reading *r, const jw_fit_reading *e)
{
	table_cell(table, "%d", r->line);
	table_cell(table, "%s", reading_words_of(r).text);
	table_cell(table, "%s", reading_value_text(r->kind, e->read).text);
	table_cell(table, "%s", reading_value_text(r->kind, e->before).text);
	table_cell(table, "%s", reading_value_text(r->kind, e->after).text);
	table_cell(table, "%+.1f", e->apart);
	table_row_end(table);
}

static void print_readings(const fitted *f)
{
	for (int from = 0; from < f->count; from += TABLE_ROWS - 1) {
		cli_table table = {.left = 1u << 1};
		table_heading(&table, (const char *const[]){"line", "", "read", "model before", "after", "apart"}, 6);
		for (int i = from; i < f->count && i < from + TABLE_ROWS - 1; i++)
			reading_row(&table, &f->reading[i], &f->each[i]);
		table_print(&table, stdout);
	}
}

static void print_verdict(const fitted *f)
{
	const int worst = f->fit.worst;
	const double apart = f->each[worst].apart;
	if (f->status & JW_W_DISAGREE)
		text_wrap(stdout, 0, 0,
		          "Line %d, %s, disagrees with the others by %.1f standard uncertainties, and the fit is bent by it: "
		          "take it again, or leave it out.",
		          f->reading[worst].line, reading_words_of(&f->reading[worst]).text, fabs(apart));
	else
		text_wrap(
		    stdout, 0, 0,
		    "No reading disagrees with the others; farthest apart, by %.1f standard uncertainties, is line %d, %s.",
		    fabs(apart), f->reading[worst].line, reading_words_of(&f->reading[worst]).text);
	if (f->status & JW_W_COEFFICIENT)
		text_wrap(stdout, 0, 0,
		          "A coefficient outside 0.8 to 1.25 means that a dimension in the profile, or a reading, is probably "
		          "wrong: measure again before relying on the fit.");
}

static void print_text(const fitted *f)
{
	const int left_out = jw_readings_left_out(f->readings);
	text_wrap(stdout, 0, 0, "%s on %s, fitted to %d reading%s. %s", jw_profile_name(f->profile),
	          jw_profile_fuel(f->profile), f->count, f->count == 1 ? "" : "s", jw_readings_about(f->readings));
	if (left_out)
		text_wrap(stdout, 0, 0, "%d samples are left out: the engine did not hold still, or nothing was read.",
		          left_out);
	text_wrap(stdout, 0, 0,
	          "Coefficients multiply the engine's air and the flow of main jet, needle and pilot jet; what no reading "
	          "speaks of stays as it was.");
	printf("\n");
	print_unknowns(f);
	printf("\n");
	text_wrap(stdout, 0, 0,
	          "Apart: how far the fitted model lies from the reading, were it left out of the fit, in standard "
	          "uncertainties; beyond 3 it disagrees.");
	print_readings(f);
	printf("\n");
	print_verdict(f);
}

/* ---- JSON ---- */

static void json_unknowns(cli_json *json, const fitted *f)
{
	json_array(json, "unknowns");
	for (int u = 0; u < JW_UNKNOWN_COUNT; u++) {
		if (u > JW_UNKNOWN_PILOT && !f->fit.free[u])
			continue;
		json_object(json, NULL);
		json_text(json, "name", jw_unknown_name((jw_unknown)u));
		json_flag(json, "fitted", f->fit.free[u]);
		json_number(json, u > JW_UNKNOWN_PILOT ? "before_m" : "before",
		            jw_unknown_value(jw_profile_setup(f->profile), (jw_unknown)u));
		json_number(json, u > JW_UNKNOWN_PILOT ? "after_m" : "after", jw_unknown_value(&f->fit.setup, (jw_unknown)u));
		json_number(json, u == JW_UNKNOWN_LEVEL ? "uncertainty_m" : "uncertainty_relative", deviation(&f->fit, u));
		json_object(json, "covariance");
		for (int v = 0; v < JW_UNKNOWN_COUNT; v++)
			if (f->fit.free[u] && f->fit.free[v])
				json_number(json, jw_unknown_name((jw_unknown)v), f->fit.covariance[u][v]);
		json_object_end(json);
		json_object_end(json);
	}
	json_array_end(json);
}

static void json_reading(cli_json *json, const jw_reading *r, const jw_fit_reading *e)
{
	json_object(json, NULL);
	json_number(json, "line", r->line);
	json_text(json, "kind", jw_reading_name(r->kind));
	if (r->kind == JW_READING_JET_FLOW)
		json_text(json, "jet", jw_part_name(r->jet));
	if (reading_is_running(r)) {
		json_number(json, "speed_rpm", r->point.speed_rev_s * 60);
		json_number(json, "throttle", r->point.throttle);
	}
	json_number(json, "read", e->read);
	json_number(json, "uncertainty", r->uncertainty);
	json_number(json, "before", e->before);
	json_number(json, "after", e->after);
	json_number(json, "residual", e->residual);
	json_number(json, "apart", e->apart);
	json_object_end(json);
}

static void print_json(const fitted *f)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(f->profile));
	json_text(&json, "fuel", jw_profile_fuel(f->profile));
	json_unknowns(&json, f);
	json_number(&json, "chi_squared", f->fit.chi_squared);
	json_number(&json, "samples_left_out", jw_readings_left_out(f->readings));
	json_array(&json, "readings");
	for (int i = 0; i < f->count; i++)
		json_reading(&json, &f->reading[i], &f->each[i]);
	json_array_end(&json);
	json_number(&json, "farthest_line", f->reading[f->fit.worst].line);
	json_warnings(&json, f->status);
	json_end(&json);
}

/* ---- the command ---- */

int write_fitted(const cli_arguments *arguments, const jw_setup *setup)
{
	jw_faults faults;
	const char *to = text_of(arguments, "write", NULL);
	cli_place place = find_place("engines", arguments->operand[0]);
	jw_status status = jw_profile_write(place.path, place_library(&place), setup, to, &faults);
	if (status < 0) {
		place.shown = to;
		return report_faults(&place, status, &faults);
	}
	if (!has(arguments, "json"))
		text_wrap(stdout, 0, 0, "The profile with the fitted numbers is in %s.", to);
	return ANSWERED;
}

static int answer(const cli_arguments *arguments, fitted *f)
{
	jw_error error = {0};
	f->reading = jw_readings_list(f->readings, &f->count);
	f->each = malloc((size_t)f->count * sizeof *f->each);
	jw_status status =
	    f->each ? jw_fit_readings(jw_profile_setup(f->profile), f->reading, f->count, &f->fit, f->each, &error)
	            : JW_E_MEMORY;
	if (status < 0)
		return library_error(arguments->command, status, &error);
	f->status |= status;
	if (has(arguments, "json"))
		print_json(f);
	else
		print_text(f);
	int code = has(arguments, "write") ? write_fitted(arguments, &f->fit.setup) : ANSWERED;
	return code == ANSWERED ? answered(arguments, f->status, NULL) : code;
}

static jw_readings *load_readings(const char *argument, const jw_profile *profile, jw_status *status)
{
	jw_readings *readings = NULL;
	jw_faults faults = {0};
	const jw_baseline *baseline = jw_profile_baseline(profile);
	cli_place place = find_place("readings", argument);
	jw_status loaded =
	    jw_readings_load(place.path, jw_profile_setup(profile), baseline ? &baseline->air : NULL, &readings, &faults);
	if (loaded < 0) {
		report_faults(&place, loaded, &faults);
		hint_names(&place, "readings");
		return NULL;
	}
	*status |= loaded;
	return readings;
}

static int fit_to_readings(const cli_arguments *arguments, const jw_profile *profile, jw_status status)
{
	/* That the baseline needed one says nothing of the fit. */
	fitted f = {.profile = profile, .status = status & ~JW_W_COEFFICIENT};
	jw_readings *readings = load_readings(arguments->operand[1], profile, &f.status);
	f.readings = readings;
	int code = readings ? answer(arguments, &f) : FAILED;
	free(f.each);
	jw_readings_free(readings);
	return code;
}

static int run(const cli_arguments *arguments)
{
	jw_status status;
	if (has(arguments, "write") && strcmp(arguments->operand[0], "-") == 0)
		return wrong_use(arguments->command, "--write takes the layout from the profile's file, expected one");
	if (has(arguments, "cycle") == (arguments->operands > 1))
		return wrong_use(arguments->command, "fits to READINGS, or with --cycle to the cycle: name one of them");
	jw_profile *profile = load_profile(arguments->operand[0], &status);
	if (!profile)
		return FAILED;
	int code = has(arguments, "cycle") ? fit_cycle(arguments, profile) : fit_to_readings(arguments, profile, status);
	jw_profile_free(profile);
	return code;
}

const cli_command fit_command = {
    .name = "fit",
    .operands = "PROFILE [READINGS]",
    .operands_min = 1,
    .operands_max = 2,
    .summary = "a profile made to agree with readings",
    .details =
        "Fits the coefficients of a profile to what instruments showed on the engine: lambda, AFR, exhaust analysis, "
        "slide lift, throat depression, fuel level, and the flow of a jet on the bench. READINGS is a YAML file, a "
        "logged trace whose name ends in .csv, or a name that 'jetwright list readings' shows. Air that the readings "
        "do not state is that of the profile's baseline. A warm engine and a steady throttle are taken for granted. "
        "With "
        "--cycle no reading is needed: what the engine's valves or ports, its inlet and the fuel's inertia make of the "
        "pulses "
        "is computed and laid down in the profile; make it anew when one of these changes.",
    .groups = {fit_options},
    .examples =
        {
            {"fit courier-150 courier-150-road", "readings that come along"},
            {"fit courier-150 courier-150-road --write fitted.yaml", "and the profile with what was fitted"},
        },
    .run = run,
};

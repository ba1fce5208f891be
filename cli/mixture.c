/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mixture: lambda and every flow at one point, or over the ranges of the throttle. */
#include "commands.h"
#include "ambient.h"
#include "files.h"
#include "mixture.h"
#include "progress.h"
#include <stdlib.h>

static const cli_option mixture_options[] = {
    {"speed", OPTION_QUANTITY, JW_SPEED, 1, 500, "7500rpm", "engine speed, with --throttle"},
    {"throttle", OPTION_QUANTITY, JW_FRACTION, 0, 1, "100%",
     "throttle opening, 0 at the idle stop, 1 or 100% wide open"},
    {"enrichener", OPTION_QUANTITY, JW_FRACTION, 0, 1, "100%", "how far the enrichener is open; shut unless given"},
    {"running-for", OPTION_QUANTITY, JW_TIME, 0, 7200, "30s",
     "time since a cold start: the enrichener is as far open as its timer then holds it"},
    {"supply", OPTION_FLAG, 0, 0, 0, NULL,
     "the level that the fuel supply holds in the bowl, and how long a full bowl lasts"},
    {"cycle", OPTION_FLAG, 0, 0, 0, NULL,
     "also follow each point over the crank angle: pulses, filling, back flow, inertia of the fuel"},
    {"html", OPTION_FILE, 0, 0, 0, "sheet.html",
     "also write a job sheet there: one page to read on a phone or to print, with nothing else to load"},
    {"svg", OPTION_FILE, 0, 0, 0, "cycle.svg", "with --cycle: draw pressures and flows over the crank angle there"},
    {0},
};

static int solve(const cli_arguments *arguments, const mixture_answer *a, mixture_point *at)
{
	jw_error error = {0};
	at->status = jw_mixture_at(a->setup, &a->air, &at->point, &at->mixture, &error);
	jw_status uncertain = at->status;
	if (at->status >= 0)
		uncertain = jw_profile_contributions(a->profile, &a->air, &at->point, NULL, &at->relative, &error);
	return uncertain < 0 ? library_error(arguments->command, uncertain, &error) : ANSWERED;
}

static void json_point(cli_json *json, const mixture_answer *a, int i)
{
	const mixture_point *at = &a->at[i];
	const jw_mixture *m = &at->mixture;
	json_object(json, NULL);
	if (at->range >= 0)
		json_text(json, "range", jw_range_name(at->range));
	json_number(json, "speed_rpm", at->point.speed_rev_s * 60);
	json_number(json, "throttle", at->point.throttle);
	json_number(json, "enrichener", at->point.enrichener);
	json_number(json, "phi", m->phi);
	json_number_or_null(json, "lambda", lambda_of(m->phi));
	json_lambda_interval(json, lambda_of(m->phi), at->relative);
	json_number_or_null(json, "afr", m->afr);
	json_number(json, "air_kg_s", m->air_kg_s);
	json_number(json, "fuel_kg_s", m->fuel_kg_s);
	json_number(json, "main_fuel_kg_s", m->flow.main.fuel_kg_s);
	json_number(json, "pilot_fuel_kg_s", m->flow.pilot.fuel_kg_s);
	json_number(json, "power_fuel_kg_s", m->flow.power.fuel_kg_s);
	json_number(json, "enrichener_fuel_kg_s", m->flow.enrichener.fuel_kg_s);
	json_number(json, "manifold_pa", m->manifold_pa);
	json_number(json, "depression_pa", m->flow.depression_pa);
	if (mixture_has_slide(a->setup))
		json_number(json, "slide_lift_m", m->path.lift_m);
	else
		json_null(json, "slide_lift_m");
	if (a->supply)
		supply_json(json, &a->supply[i]);
	if (a->cycle)
		cycle_json(json, a->setup, &a->cycle[i]);
	json_warnings(json, at->status);
	json_object_end(json);
}

static void print_json(const mixture_answer *a)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(a->profile));
	json_text(&json, "fuel", jw_profile_fuel(a->profile));
	json_air(&json, "air", &a->air);
	json_calibration(&json, a->profile);
	json_array(&json, "points");
	for (int i = 0; i < a->points; i++)
		json_point(&json, a, i);
	json_array_end(&json);
	json_end(&json);
}

/* As the user or the timer sets it. */
static double enrichener_of(const cli_arguments *arguments, const jw_setup *setup, const jw_air *air)
{
	if (!has(arguments, "running-for"))
		return value_of(arguments, "enrichener", 0);
	return jw_enrichener_opening(&setup->carburetor.timer, value_of(arguments, "running-for", 0), air->temperature_k);
}

/* The asked point, or the usual point of every range. */
static void choose_points(const cli_arguments *arguments, mixture_answer *a)
{
	const double enrichener = enrichener_of(arguments, a->setup, &a->air);
	a->points = has(arguments, "speed") ? 1 : JW_RANGE_COUNT;
	if (a->points == 1)
		a->at[0] = (mixture_point){.range = -1,
		                           .point = {value_of(arguments, "speed", 0), value_of(arguments, "throttle", 0), 0}};
	else
		for (int range = 0; range < JW_RANGE_COUNT; range++)
			a->at[range] = (mixture_point){.range = range, .point = a->setup->range[range]};
	for (int i = 0; i < a->points; i++)
		a->at[i].point.enrichener = enrichener;
}

/* What options ask for beside the mean-value answer, of every point. */
typedef struct beside {
	supply_answer supply[JW_RANGE_COUNT];
	cycle_answer cycle[JW_RANGE_COUNT];
} beside;

/* Until a computation is said to last. */
#define PATIENCE_S 0.5

static int solve_all(const cli_arguments *arguments, mixture_answer *a, beside *more)
{
	int code = ANSWERED;
	a->supply = has(arguments, "supply") ? more->supply : NULL;
	a->cycle = has(arguments, "cycle") ? more->cycle : NULL;
	progress_begin("Solving point by point", a->points, PATIENCE_S);
	for (int i = 0; i < a->points && code == ANSWERED; i++) {
		progress_step();
		mixture_point *at = &a->at[i];
		code = solve(arguments, a, at);
		if (code == ANSWERED && a->cycle) {
			code = cycle_solve(arguments, a->setup, &a->air, &at->point, at->range, &more->cycle[i]);
			at->status |= more->cycle[i].status;
		}
		if (code == ANSWERED && a->supply) {
			code = supply_solve(arguments, a->setup, &a->air, &at->point, at->range, &more->supply[i]);
			at->status |= more->supply[i].status;
		}
	}
	progress_end();
	return code;
}

static int write_files(const cli_arguments *arguments, const mixture_answer *a)
{
	int code = ANSWERED;
	if (has(arguments, "html"))
		code = mixture_sheet(arguments->command, text_of(arguments, "html", NULL), a);
	if (code == ANSWERED && has(arguments, "svg"))
		code = cycle_draw(arguments, a->profile, a->cycle, a->points);
	return code;
}

static int tell(const cli_arguments *arguments, const mixture_answer *a, jw_status status)
{
	jw_status at_range[JW_RANGE_COUNT] = {0};
	for (int i = 0; i < a->points; i++) {
		status |= a->at[i].status;
		if (a->at[i].range >= 0)
			at_range[a->at[i].range] = a->at[i].status;
	}
	if (has(arguments, "json"))
		print_json(a);
	else
		mixture_text(a);
	int code = write_files(arguments, a);
	if (code != ANSWERED)
		return code;
	code = answered(arguments, status, at_range);
	name_unfitted(arguments, status, a->setup);
	name_coefficients(arguments, status, a->setup);
	return code;
}

static int answer(const cli_arguments *arguments, const jw_profile *profile, jw_status status)
{
	const jw_baseline *baseline = jw_profile_baseline(profile);
	const double running_for = value_of(arguments, "running-for", 0);
	mixture_answer a = {.profile = profile,
	                    .setup = jw_profile_setup(profile),
	                    .running_for = has(arguments, "running-for") ? &running_for : NULL,
	                    .page = &(cli_page){.out = stdout}};
	if (a.running_for && !(a.setup->carburetor.timer.constant_s > 0)) {
		fprintf(stderr,
		        "jetwright mixture: this engine's enrichener has no timer; say with --enrichener how far it is open\n");
		return FAILED;
	}
	int code = read_air(arguments, baseline ? &baseline->air : NULL, &a.air, &status);
	if (code != ANSWERED)
		return code;
	beside *more = calloc(1, sizeof *more);
	if (!more)
		return library_error(arguments->command, JW_E_MEMORY, &(jw_error){0});
	choose_points(arguments, &a);
	code = solve_all(arguments, &a, more);
	if (code == ANSWERED)
		code = tell(arguments, &a, status);
	free(more);
	return code;
}

static int run(const cli_arguments *arguments)
{
	jw_status status;
	if (has(arguments, "speed") != has(arguments, "throttle"))
		return wrong_use(arguments->command,
		                 "--speed and --throttle belong together; without both, every range is shown");
	if (has(arguments, "svg") && !has(arguments, "cycle"))
		return wrong_use(arguments->command, "--svg draws what --cycle follows; give both");
	if (has(arguments, "enrichener") && has(arguments, "running-for"))
		return wrong_use(arguments->command, "--enrichener and --running-for both say how far the enrichener is open");
	jw_profile *profile = load_profile(arguments->operand[0], &status);
	if (!profile)
		return FAILED;
	int code = answer(arguments, profile, status);
	jw_profile_free(profile);
	return code;
}

const cli_command mixture_command = {
    .name = "mixture",
    .operands = "PROFILE",
    .operands_min = 1,
    .operands_max = 1,
    .summary = "lambda and every flow over speed and throttle",
    .details =
        "Lambda, air, and the fuel of each circuit at one speed and throttle opening, or at the usual point of each "
        "range. PROFILE is a file, '-' for standard input, or a name that 'jetwright list engines' shows. The air is "
        "that of the profile's baseline unless given.",
    .groups = {mixture_options, air_options},
    .examples =
        {
            {"mixture courier-150 --speed 7500rpm --throttle 1", "one point, wide open"},
            {"mixture courier-150 --altitude 1600m", "the usual point of each range, in thinner air"},
            {"mixture courier-150 --supply", "whether tank, tap and float needle keep up"},
        },
    .run = run,
};

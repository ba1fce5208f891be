/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mixture: lambda and every flow at one point, or over the ranges of the throttle. */
#include "commands.h"
#include "ambient.h"
#include "cycle.h"
#include "files.h"
#include "show.h"
#include "supply.h"
#include <math.h>
#include <stddef.h>

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
    {"svg", OPTION_TEXT, 0, 0, 0, "cycle.svg", "with --cycle: draw pressures and flows over the crank angle there"},
    {0},
};

typedef struct solved {
	int range; /* -1: a point of the user's own */
	jw_point point;
	jw_mixture mixture;
	double relative; /* standard uncertainty of phi */
	jw_status status;
	supply_answer supply; /* with --supply */
	cycle_answer cycle;   /* with --cycle */
} solved;

static int solve(const cli_arguments *arguments, const jw_profile *profile, const jw_air *air, solved *at)
{
	jw_error error = {0};
	at->status = jw_mixture_at(jw_profile_setup(profile), air, &at->point, &at->mixture, &error);
	jw_status uncertain = at->status;
	if (at->status >= 0)
		uncertain = jw_profile_contributions(profile, air, &at->point, NULL, &at->relative, &error);
	if (uncertain < 0)
		return library_error(arguments->command, uncertain, &error);
	int code = ANSWERED;
	if (has(arguments, "cycle")) {
		code = cycle_solve(arguments, jw_profile_setup(profile), air, &at->point, at->range, &at->cycle);
		at->status |= at->cycle.status;
	}
	if (code == ANSWERED && has(arguments, "supply")) {
		code = supply_solve(arguments, jw_profile_setup(profile), air, &at->point, at->range, &at->supply);
		at->status |= at->supply.status;
	}
	return code;
}

/* Lambda at so many standard uncertainties to the lean side. */
static double lambda_off(const solved *at, double sigmas)
{
	return lambda_of(at->mixture.phi) * exp(sigmas * at->relative);
}

static int always(const jw_setup *setup, double enrichener)
{
	(void)setup, (void)enrichener;
	return 1;
}

static int has_power_jet(const jw_setup *setup, double enrichener)
{
	(void)enrichener;
	return jw_passage_bore(setup, JW_PASSAGE_POWER_JET) > 0;
}

static int has_slide(const jw_setup *setup, double enrichener)
{
	(void)enrichener;
	return setup->carburetor.kind != JW_FIXED_VENTURI;
}

static int enriched(const jw_setup *setup, double enrichener)
{
	return enrichener > 0 && jw_passage_bore(setup, JW_PASSAGE_ENRICHENER_JET) > 0;
}

static void json_point(cli_json *json, const jw_setup *setup, const solved *at)
{
	const jw_mixture *m = &at->mixture;
	json_object(json, NULL);
	if (at->range >= 0)
		json_text(json, "range", jw_range_name(at->range));
	json_number(json, "speed_rpm", at->point.speed_rev_s * 60);
	json_number(json, "throttle", at->point.throttle);
	json_number(json, "enrichener", at->point.enrichener);
	json_number(json, "phi", m->phi);
	json_number_or_null(json, "lambda", lambda_of(at->mixture.phi));
	json_number_or_null(json, "lambda_low_90", lambda_off(at, -SIGMAS_90));
	json_number_or_null(json, "lambda_high_90", lambda_off(at, SIGMAS_90));
	json_number_or_null(json, "afr", m->afr);
	json_number(json, "air_kg_s", m->air_kg_s);
	json_number(json, "fuel_kg_s", m->fuel_kg_s);
	json_number(json, "main_fuel_kg_s", m->flow.main.fuel_kg_s);
	json_number(json, "pilot_fuel_kg_s", m->flow.pilot.fuel_kg_s);
	json_number(json, "power_fuel_kg_s", m->flow.power.fuel_kg_s);
	json_number(json, "enrichener_fuel_kg_s", m->flow.enrichener.fuel_kg_s);
	json_number(json, "manifold_pa", m->manifold_pa);
	json_number(json, "depression_pa", m->flow.depression_pa);
	if (has_slide(setup, 0))
		json_number(json, "slide_lift_m", m->path.lift_m);
	else
		json_null(json, "slide_lift_m");
	if (at->supply.limit > 0)
		supply_json(json, &at->supply);
	if (at->cycle.done)
		cycle_json(json, setup, &at->cycle);
	json_warnings(json, at->status);
	json_object_end(json);
}

static void print_json(const jw_profile *profile, const jw_air *air, const solved *at, int points)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(profile));
	json_text(&json, "fuel", jw_profile_fuel(profile));
	json_air(&json, "air", air);
	json_calibration(&json, profile);
	json_array(&json, "points");
	for (int i = 0; i < points; i++)
		json_point(&json, jw_profile_setup(profile), &at[i]);
	json_array_end(&json);
	json_end(&json);
}

static void place_cell(cli_table *table, const solved *at)
{
	if (at->range >= 0)
		table_cell(table, "%s", range_text_of(at->range).text);
	else
		table_cell(table, "as asked");
}

static void print_mixture(const solved *at, int points)
{
	static const char *const words[] = {"",    "rpm",     "throttle", "lambda", "90 % interval",
	                                    "AFR", "air g/s", "fuel mg/s"};
	cli_table table = {0};
	table_heading(&table, words, sizeof words / sizeof *words);
	for (int i = 0; i < points; i++) {
		const solved *a = &at[i];
		place_cell(&table, a);
		table_cell(&table, "%.0f", a->point.speed_rev_s * 60);
		table_cell(&table, "%.0f %%", 100 * a->point.throttle);
		table_cell(&table, "%s", lambda_text(lambda_of(a->mixture.phi)).text);
		if (lambda_of(a->mixture.phi) > 0)
			table_cell(&table, "%s", lambda_interval(lambda_off(a, -SIGMAS_90), lambda_off(a, SIGMAS_90)).text);
		else
			table_cell(&table, "-");
		table_cell(&table, a->mixture.afr > 0 ? "%.1f" : "-", a->mixture.afr);
		table_cell(&table, "%s", significant(a->mixture.air_kg_s * 1e3, 3).text);
		table_cell(&table, "%s", significant(a->mixture.fuel_kg_s * 1e6, 3).text);
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

/* What is told of the circuits, and of which engines. */
static const struct {
	const char *word;
	size_t member; /* of jw_mixture, in SI */
	double factor;
	const char *format; /* NULL: three digits that count */
	int (*shown)(const jw_setup *setup, double enrichener);
} columns[] = {
    {"main", offsetof(jw_mixture, flow.main.fuel_kg_s), 1e6, NULL, always},
    {"pilot", offsetof(jw_mixture, flow.pilot.fuel_kg_s), 1e6, NULL, always},
    {"power jet", offsetof(jw_mixture, flow.power.fuel_kg_s), 1e6, NULL, has_power_jet},
    {"enrichener", offsetof(jw_mixture, flow.enrichener.fuel_kg_s), 1e6, NULL, enriched},
    {"manifold kPa", offsetof(jw_mixture, manifold_pa), 1e-3, "%.1f", always},
    {"slide up mm", offsetof(jw_mixture, path.lift_m), 1e3, "%.1f", has_slide},
    {"pull on main jet Pa", offsetof(jw_mixture, flow.depression_pa), 1, NULL, always},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static void flow_cell(cli_table *table, const jw_mixture *mixture, int column)
{
	const double value =
	    columns[column].factor * *(const double *)(const void *)((const char *)mixture + columns[column].member);
	if (columns[column].format)
		table_cell(table, columns[column].format, value);
	else
		table_cell(table, "%s", significant(value, 3).text);
}

static void print_flows(const jw_setup *setup, const solved *at, int points)
{
	const double enrichener = at[0].point.enrichener;
	cli_table table = {0};
	table_cell(&table, "%s", "");
	for (int c = 0; c < COLUMNS; c++)
		if (columns[c].shown(setup, enrichener))
			table_cell(&table, "%s", columns[c].word);
	table_row_end(&table);
	for (int i = 0; i < points; i++) {
		place_cell(&table, &at[i]);
		for (int c = 0; c < COLUMNS; c++)
			if (columns[c].shown(setup, enrichener))
				flow_cell(&table, &at[i].mixture, c);
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

static void print_supply(const solved *at, int points)
{
	supply_answer answer[JW_RANGE_COUNT];
	if (!(at->supply.limit > 0))
		return;
	for (int i = 0; i < points; i++)
		answer[i] = at[i].supply;
	supply_print(answer, points, stdout);
	printf("\n");
}

/* The points over the crank angle, in a row; NULL where none was followed. */
static const cycle_answer *cycles_of(const solved *at, int points)
{
	static cycle_answer answer[JW_RANGE_COUNT];
	for (int i = 0; i < points; i++)
		answer[i] = at[i].cycle;
	return at->cycle.done ? answer : NULL;
}

static void print_cycle(const jw_setup *setup, const solved *at, int points)
{
	const cycle_answer *answer = cycles_of(at, points);
	if (!answer)
		return;
	cycle_print(setup, answer, points, stdout);
	printf("\n");
}

static void print_text(const cli_arguments *arguments, const jw_profile *profile, const jw_air *air, const solved *at,
                       int points)
{
	const double enrichener = at[0].point.enrichener;
	text_wrap(stdout, 0, 0, "%s on %s; air %s.", jw_profile_name(profile), jw_profile_fuel(profile),
	          air_text(air).text);
	text_wrap(stdout, 0, 0,
	          "Lambda above 1 is lean (more air than the fuel needs), below 1 rich. Throttle 0 is the idle stop.");
	if (has(arguments, "running-for"))
		text_wrap(stdout, 0, 0, "%.0f s after a cold start the timer holds the enrichener %.0f %% open.",
		          value_of(arguments, "running-for", 0), 100 * enrichener);
	printf("\n");
	print_mixture(at, points);
	printf("\nFuel by circuit in mg/s, and what drives it:\n");
	print_flows(jw_profile_setup(profile), at, points);
	printf("\n");
	print_cycle(jw_profile_setup(profile), at, points);
	print_supply(at, points);
	print_screw(jw_profile_setup(profile), stdout);
	print_calibration(profile, stdout);
}

/* As the user or the timer sets it. */
static double enrichener_of(const cli_arguments *arguments, const jw_setup *setup, const jw_air *air)
{
	if (!has(arguments, "running-for"))
		return value_of(arguments, "enrichener", 0);
	return jw_enrichener_opening(&setup->carburetor.timer, value_of(arguments, "running-for", 0), air->temperature_k);
}

/* The asked point, or the usual point of every range. */
static int choose_points(const cli_arguments *arguments, const jw_setup *setup, const jw_air *air, solved *at)
{
	const double enrichener = enrichener_of(arguments, setup, air);
	if (has(arguments, "speed")) {
		at[0] = (solved){.range = -1,
		                 .point = {value_of(arguments, "speed", 0), value_of(arguments, "throttle", 0), enrichener}};
		return 1;
	}
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		at[range] = (solved){.range = range, .point = setup->range[range]};
		at[range].point.enrichener = enrichener;
	}
	return JW_RANGE_COUNT;
}

static int answer(const cli_arguments *arguments, const jw_profile *profile, jw_status status)
{
	const jw_setup *setup = jw_profile_setup(profile);
	const jw_baseline *baseline = jw_profile_baseline(profile);
	if (has(arguments, "running-for") && !(setup->carburetor.timer.constant_s > 0)) {
		fprintf(stderr,
		        "jetwright mixture: this engine's enrichener has no timer; say with --enrichener how far it is open\n");
		return FAILED;
	}
	solved at[JW_RANGE_COUNT];
	jw_status at_range[JW_RANGE_COUNT] = {0};
	jw_air air;
	int code = read_air(arguments, baseline ? &baseline->air : NULL, &air, &status);
	if (code != ANSWERED)
		return code;
	const int points = choose_points(arguments, setup, &air, at);
	for (int i = 0; i < points; i++) {
		code = solve(arguments, profile, &air, &at[i]);
		if (code != ANSWERED)
			return code;
		status |= at[i].status;
		if (at[i].range >= 0)
			at_range[at[i].range] = at[i].status;
	}
	if (has(arguments, "json"))
		print_json(profile, &air, at, points);
	else
		print_text(arguments, profile, &air, at, points);
	if (has(arguments, "svg"))
		code = cycle_draw(arguments, profile, cycles_of(at, points), points);
	if (code != ANSWERED)
		return code;
	code = answered(arguments, status, at_range);
	name_unfitted(arguments, status, setup);
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

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* explain: which jet change or cleaning target explains this complaint, how sure, and what to do. */
#include "ambient.h"
#include "commands.h"
#include "explain.h"
#include "files.h"
#include "told.h"
#include <string.h>

static const cli_option explain_options[] = {
    {"flat-history", OPTION_FLAG, 0, 0, 0, NULL,
     "leave aside how long it stood and what was changed: all causes equally likely beforehand"},
    {0},
};

/* What tells of the engine in place of PROFILE, and what of its history: a CASE says both itself. */
static const char *const engine_options[] = {"class", "displacement", "main-jet", "pilot-jet", NULL};
static const char *const history_options[] = {"months-standing", "changed", "fitted", NULL};

/* The first that is given, or NULL. */
static const char *given(const cli_arguments *arguments, const char *const *option)
{
	while (*option && !has(arguments, *option))
		option++;
	return *option;
}

/* \param own the engine's profile where PROFILE names it beside the options; else NULL */
static int work_case(const cli_arguments *arguments, const jw_case_file *file, const jw_profile *own)
{
	jw_report *report = NULL;
	jw_error error = {0};
	jw_course course;
	jw_case known = *jw_case_evidence(file);
	known.history.flat |= has(arguments, "flat-history");
	jw_status air = JW_OK;
	int code = read_tools(arguments, known.tools);
	if (!code)
		code = read_air(arguments, &jw_case_evidence(file)->air, &known.air, &air);
	if (code)
		return code;
	answer a = {.known = &course.present,
	            .log = jw_case_log(file),
	            .course = &course,
	            .profile = own ? own : jw_case_profile(file),
	            .class = own ? NULL : jw_case_class(file),
	            .about = jw_case_about(file)};
	a.healthy = jw_profile_setup(a.profile);
	if (own && jw_profile_baseline(own))
		known.history.ran_in = jw_profile_baseline(own)->air;
	a.status = jw_explain_log(a.healthy, &known, a.log, &report, &course, &error);
	if (a.status < 0)
		return library_error(arguments->command, a.status, &error);
	/* What is amiss with a typical engine says nothing of this one. */
	a.status = class_behind(&a) ? air : a.status | air;
	a.report = report;
	if (has(arguments, "json"))
		explain_json(&a);
	else
		explain_text(&a);
	jw_report_free(report);
	code = answered(arguments, a.status, NULL);
	name_unfitted(arguments, a.status, a.healthy);
	return code;
}

static int run_told(const cli_arguments *arguments)
{
	int code = FAILED;
	jw_status status;
	jw_profile *own = NULL;
	const char *engine = given(arguments, engine_options);
	if (engine && arguments->operands)
		return wrong_use(arguments->command, "--%s is given beside PROFILE, expected one of them", engine);
	if (!has(arguments, "seen") && !has(arguments, "not"))
		return wrong_use(arguments->command, "--unknown stands alone, expected --seen or --not beside it");
	if (arguments->operands && !(own = load_profile(arguments->operand[0], &status)))
		return FAILED;
	jw_case_file *file = read_told(arguments, &code);
	if (file)
		code = work_case(arguments, file, own);
	jw_case_free(file);
	jw_profile_free(own);
	return code;
}

/* An engine's name alone tells no case. */
static void hint_engine(const char *name)
{
	if (strcmp(name, "-") != 0 && strcmp(find_place("engines", name).path, name) != 0)
		fprintf(stderr, "'%s' is an engine: say beside it what was seen (--seen).\n", name);
}

static int run_file(const cli_arguments *arguments)
{
	jw_case_file *file = NULL;
	jw_faults faults = {0};
	const cli_place place = find_place("cases", arguments->operand[0]);
	jw_status status = jw_case_load(place.path, place_library(&place), &file, &faults);
	if (status < 0) {
		report_faults(&place, status, &faults);
		hint_names(&place, "cases");
		hint_engine(arguments->operand[0]);
		return FAILED;
	}
	int code = work_case(arguments, file, NULL);
	jw_case_free(file);
	return code;
}

static int run(const cli_arguments *arguments)
{
	if (is_told(arguments))
		return run_told(arguments);
	if (!arguments->operands)
		return wrong_use(arguments->command, "an argument is missing, expected CASE, or what was seen (--seen)");
	const char *engine = given(arguments, engine_options), *history = given(arguments, history_options);
	if (engine || history)
		return wrong_use(arguments->command, "--%s goes with --seen or --not; a CASE says this itself",
		                 engine ? engine : history);
	return run_file(arguments);
}

const cli_command explain_command = {
    .name = "explain",
    .operands = "[CASE | PROFILE]",
    .operands_min = 0,
    .operands_max = 1,
    .summary = "which jet change or cleaning target explains this complaint, and how sure",
    .details =
        "Weighs every known cause against what was seen, tried and measured on one engine: the likeliest with its "
        "interval, what it explains and what it does not, lambda now and once mended, the jet change that would hide "
        "it, and what to do. CASE is a file, '-' for standard input, or a name that 'jetwright list cases' shows; or "
        "options tell it, on the engine of PROFILE or on a typical one of its class.",
    .groups = {explain_options, told_options, tool_options, air_options},
    .example = "explain stood-five-months",
    .run = run,
};

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* explain: which jet change or cleaning target explains this complaint, how sure, and what to do. */
#include "ambient.h"
#include "ask.h"
#include "commands.h"
#include "explain.h"
#include "files.h"
#include "told.h"
#include <math.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static const cli_option explain_options[] = {
    {"ask", OPTION_FLAG, 0, 0, 0, NULL,
     "ask one thing at a time, and keep the answers in CASE: a file, begun where there is none, with the air and tools "
     "of these options; without it case-DATE.yaml"},
    {"date", OPTION_TEXT, 0, 0, 0, "2026-04-18", "beside --ask: the day of the visit, in place of today"},
    {"flat-history", OPTION_FLAG, 0, 0, 0, NULL,
     "leave aside how long it stood and what was changed: all causes equally likely beforehand"},
    {"html", OPTION_FILE, 0, 0, 0, "sheet.html",
     "also write a job sheet there: one page to read on a phone or to print, with nothing else to load"},
    {"svg", OPTION_FILE, 0, 0, 0, "lambda.svg", "also draw lambda there, with the fault and once it is mended"},
    {0},
};

/* Of what --ask begins a case with. */
#define CASE_LINES 1024

/* What tells of the engine in place of PROFILE, and what of its history: a CASE says both itself. */
static const char *const engine_options[] = {"class", "displacement", "main-jet", "pilot-jet", NULL};
static const char *const history_options[] = {"months-standing", "changed", "fitted", NULL};
/* What --ask does not write, or does not weigh. */
static const char *const answer_options[] = {"json", "html", "svg", "flat-history", NULL};

/* The first that is given, or NULL. */
static const char *given(const cli_arguments *arguments, const char *const *option)
{
	while (*option && !has(arguments, *option))
		option++;
	return *option;
}

static int write_files(const cli_arguments *arguments, const answer *a)
{
	int code = ANSWERED;
	if (has(arguments, "html"))
		code = explain_sheet(arguments->command, text_of(arguments, "html", NULL), a);
	if (code == ANSWERED && has(arguments, "svg"))
		code = explain_draw(arguments->command, text_of(arguments, "svg", NULL), a);
	return code;
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
	a.status = weigh_log(a.healthy, &known, a.log, &report, &course, &error);
	if (a.status < 0)
		return library_error(arguments->command, a.status, &error);
	/* What is amiss with a typical engine says nothing of this one. */
	a.status = class_behind(&a) ? air : a.status | air;
	a.report = report;
	a.page = &(cli_page){.out = stdout};
	if (has(arguments, "json"))
		explain_json(&a);
	else
		explain_text(&a);
	code = write_files(arguments, &a);
	jw_report_free(report);
	if (code)
		return code;
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

/* ---- asking ---- */

static int today_of(const cli_arguments *arguments, int *today)
{
	char text[32];
	const time_t now = time(NULL);
	struct tm local;
	if (!localtime_r(&now, &local) || !strftime(text, sizeof text, "%Y-%m-%d", &local))
		strcpy(text, "1970-01-01");
	const char *date = text_of(arguments, "date", text);
	if (jw_date_parse(date, today) == JW_OK)
		return ANSWERED;
	return wrong_use(arguments->command, "--date %s: is no date, expected one such as 2026-04-18", date);
}

static int is_there(const char *path)
{
	return access(path, F_OK) == 0;
}

/* The file that an answer goes to: the case itself, a copy of one that comes along, or a new one. */
static void choose_path(const cli_arguments *arguments, int today, char path[PATH_SIZE])
{
	char date[JW_DATE_SIZE];
	const char *named = arguments->operands ? arguments->operand[0] : NULL;
	if (named) {
		const int bare = !is_there(named) && !strchr(named, '/') && !strchr(named, '.');
		snprintf(path, PATH_SIZE, "%s%s", named, bare ? ".yaml" : "");
		return;
	}
	jw_date_write(today, date);
	snprintf(path, PATH_SIZE, "case-%s.yaml", date);
	for (int i = 2; is_there(path) && i < 1000; i++)
		snprintf(path, PATH_SIZE, "case-%s-%d.yaml", date, i);
}

/* Where engines and classes are found: beside the file, or those that come along. */
static int choose_library(const cli_place *place, char library[PATH_SIZE])
{
	if (place_library(place)) {
		snprintf(library, PATH_SIZE, "%s", place_library(place));
		return 1;
	}
	if (!is_there(place->path))
		return profiles_folder(library);
	const char *slash = strrchr(place->path, '/');
	const int length = slash ? (int)(slash - place->path) : 0;
	return snprintf(library, PATH_SIZE, "%.*s%s..", length, place->path, length ? "/" : "") < PATH_SIZE;
}

/* The first option that has no place beside --ask, or NULL: its answers tell what told_options would. */
static const char *out_of_place(const cli_arguments *arguments)
{
	for (const cli_option *option = told_options; option->name; option++)
		if (has(arguments, option->name))
			return option->name;
	return given(arguments, answer_options);
}

/* Its air and tools, as lines of a case; an exit code. */
static int tell_new_case(const cli_arguments *arguments, char *text, size_t size)
{
	int tools[JW_TOOL_COUNT];
	jw_air air;
	jw_status status = JW_OK;
	size_t used = 0;
	int code = read_tools(arguments, tools);
	if (!code)
		code = read_air(arguments, NULL, &air, &status);
	if (code)
		return code;
	if (any_air_option(arguments))
		used += (size_t)snprintf(text, size, "air: {pressure: %.6g kPa, temperature: %.6g C, humidity: %.6g%%}\n",
		                         air.pressure_pa / 1e3, air.temperature_k - ZERO_CELSIUS,
		                         100 * fmin(jw_relative_humidity(&air), 1));
	const char *gap = "tools: [";
	for (int tool = 0; has(arguments, "tools") && tool < JW_TOOL_COUNT; tool++)
		if (tools[tool]) {
			used += (size_t)snprintf(text + used, size - used, "%s%s", gap, jw_tool_name((jw_tool)tool));
			gap = ", ";
		}
	if (has(arguments, "tools"))
		snprintf(text + used, size - used, "]\n");
	return ANSWERED;
}

static int run_ask(const cli_arguments *arguments)
{
	int today;
	char path[PATH_SIZE], library[PATH_SIZE];
	const char *named = arguments->operands ? arguments->operand[0] : NULL;
	char head[CASE_LINES] = "";
	const char *odd = out_of_place(arguments);
	if (odd)
		return wrong_use(arguments->command, "--%s is given beside --ask, which does not take it", odd);
	if (named && strcmp(named, "-") == 0)
		return wrong_use(arguments->command, "--ask -: standard input has the answers, expected a file for the case");
	int code = today_of(arguments, &today);
	if (code)
		return code;
	choose_path(arguments, today, path);
	const cli_place place = find_place("cases", is_there(path) || !named ? path : named);
	const int begun = is_there(place.path);
	if (begun && (any_air_option(arguments) || has(arguments, "tools")))
		return wrong_use(arguments->command,
		                 "--tools and the air go with --ask where it begins a case; a CASE says this itself");
	if (!begun && (code = tell_new_case(arguments, head, sizeof head)))
		return code;
	if (!choose_library(&place, library))
		return report_no_profiles();
	return converse(path, begun ? place.path : NULL, library, today, head);
}

static int run(const cli_arguments *arguments)
{
	if (has(arguments, "ask"))
		return run_ask(arguments);
	if (has(arguments, "date"))
		return wrong_use(arguments->command, "--date goes with --ask; a CASE says its days itself");
	if (is_told(arguments))
		return run_told(arguments);
	if (!arguments->operands)
		return wrong_use(arguments->command,
		                 "an argument is missing, expected CASE, what was seen (--seen), or to be asked (--ask)");
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
    .examples =
        {
            {"explain stood-five-months", "a case that comes along"},
            {"explain --class scooter-125 --seen hunts@idle,stumbles@off_idle --months-standing 5",
             "no file: what was seen, on a typical engine"},
            {"explain stood-five-months --html sheet.html", "the same as a page to print"},
        },
    .run = run,
};

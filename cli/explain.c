/* SPDX-License-Identifier: GPL-3.0-or-later */
/* explain: which jet change or cleaning target explains this complaint, how sure, and what to do. */
#include "commands.h"
#include "explain.h"
#include "files.h"

static const cli_option explain_options[] = {
    {"flat-history", OPTION_FLAG, 0, 0, 0, NULL,
     "leave aside how long it stood and what was changed: all causes equally likely beforehand"},
    {0},
};

static int work_case(const cli_arguments *arguments, const jw_case_file *file, jw_status status)
{
	jw_report *report = NULL;
	jw_error error = {0};
	jw_case known = *jw_case_evidence(file);
	known.history.flat |= has(arguments, "flat-history");
	answer a = {.known = &known, .profile = jw_case_profile(file), .about = jw_case_about(file)};
	a.healthy = jw_profile_setup(a.profile);
	jw_status explained = jw_explain(a.healthy, &known, &report, &error);
	if (explained < 0)
		return library_error(arguments->command, explained, &error);
	a.report = report;
	a.status = status | explained;
	if (has(arguments, "json"))
		explain_json(&a);
	else
		explain_text(&a);
	jw_report_free(report);
	return answered(arguments, a.status, NULL);
}

static int run(const cli_arguments *arguments)
{
	jw_case_file *file = NULL;
	jw_faults faults = {0};
	const cli_place place = find_place("cases", arguments->operand[0]);
	jw_status status = jw_case_load(place.path, place_library(&place), &file, &faults);
	if (status < 0) {
		report_faults(&place, status, &faults);
		hint_names(&place, "cases");
		return FAILED;
	}
	int code = work_case(arguments, file, status);
	jw_case_free(file);
	return code;
}

const cli_command explain_command = {
    .name = "explain",
    .operands = "CASE",
    .operands_min = 1,
    .operands_max = 1,
    .summary = "which jet change or cleaning target explains this complaint, and how sure",
    .details =
        "Weighs every known cause against what was seen, tried and measured on one engine: the likeliest with its "
        "interval, what it explains and what it does not, lambda now and once mended, the jet change that would hide "
        "it, and what to do. CASE is a file, '-' for standard input, or a name that 'jetwright list cases' shows.",
    .groups = {explain_options},
    .example = "explain stood-five-months",
    .run = run,
};

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rejet: what to fit after a change of engine, intake, carburetor, fuel or air. */
#include "ambient.h"
#include "commands.h"
#include "files.h"
#include "progress.h"
#include "rejet.h"
#include "show.h"

static int answer(const cli_arguments *arguments, rejet_asked *asked)
{
	jw_error error = {0};
	int code = rejet_read(arguments, asked);
	if (code != ANSWERED)
		return code;
	if (has(arguments, "plan"))
		return rejet_plan(arguments, asked);
	if (jw_rejet_retabulates(&asked->request)) {
		progress_begin("Cycles for a new pulse table", 1, 0);
		progress_step();
	}
	jw_status status = jw_rejet(&asked->request, &asked->answer, &error);
	progress_end();
	if (status < 0)
		return rejet_refused(arguments, asked, status, &error);
	rejet_note_warnings(asked, status);
	if (has(arguments, "json"))
		rejet_json(asked);
	else
		rejet_text(asked);
	code = rejet_files(arguments, asked);
	return code == ANSWERED ? rejet_answered(arguments, asked) : code;
}

static int run(const cli_arguments *arguments)
{
	rejet_asked asked = {.page = &(cli_page){.out = stdout}};
	jw_profile *profile = load_profile(arguments->operand[0], &asked.status);
	if (!profile)
		return FAILED;
	asked.profile = profile;
	int code = answer(arguments, &asked);
	jw_readings_free(asked.readings);
	jw_profile_free(asked.other);
	jw_profile_free(profile);
	return code;
}

const cli_command rejet_command = {
    .name = "rejet",
    .operands = "PROFILE",
    .operands_min = 1,
    .operands_max = 1,
    .summary = "what to fit after a change of engine, intake, carburetor, fuel or air",
    .details =
        "What changes do to the mixture of every range when the jets stay, which of them does how much, and "
        "why; then what to fit out of the jets at hand, and in which order to try. PROFILE is the engine as it "
        "ran right, in the air of its baseline; what options name is as it is now, the rest as it was. Where it has "
        "a pulse table (fit --cycle), and the engine, its carburetor, filter or vent change, a new one is computed "
        "first, which takes some seconds.",
    .groups = {rejet_options, air_options, rejet_brass_options},
    .examples =
        {
            {"rejet courier-150 --bore 61mm --filter open --altitude 1600m --temperature 30C --jets metric-steps",
             "a bigger engine with an open filter, in the mountains"},
            {"rejet courier-150 --fuel e85", "another fuel, any bore at hand"},
            {"rejet pump-200 --plan 0m:3000m --jets metric-steps", "a road that climbs: the fewest sets of jets"},
        },
    .run = run,
};

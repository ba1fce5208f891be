/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What mixture --cycle says: a point followed over the crank angle. */
#ifndef CLI_CYCLE_H
#define CLI_CYCLE_H

#include "json.h"
#include "options.h"
#include "page.h"

typedef struct cycle_answer {
	int range; /* -1: a point of the user's own */
	jw_cycle cycle;
	jw_status status;
} cycle_answer;

/* From top centre of the first cylinder's gas exchange. */
double cycle_crank_deg(const jw_setup *setup, int node);

int cycle_solve(const cli_arguments *arguments, const jw_setup *setup, const jw_air *air, const jw_point *point,
                int range, cycle_answer *answer);
void cycle_json(cli_json *json, const jw_setup *setup, const cycle_answer *answer);
void cycle_print(const jw_setup *setup, const cycle_answer *answer, int points, cli_page *page);

/* Engines that have a crankcase pressure, or a slide that moves within the cycle, to be told of. */
int cycle_has_crankcase(const jw_setup *setup);
int cycle_slide_moves(const jw_setup *setup);

/* Pressures and flows of every point over the crank angle, as a picture in a file; an exit code. */
int cycle_draw(const cli_arguments *arguments, const jw_profile *profile, const cycle_answer *answer, int points);

#endif

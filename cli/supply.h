/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What mixture --supply says: the level under demand, and how long the bowl lasts. */
#ifndef CLI_SUPPLY_H
#define CLI_SUPPLY_H

#include "json.h"
#include "options.h"
#include "page.h"

typedef struct supply_answer {
	int range; /* whose lean limit counts; asked: the point is the user's own */
	int asked;
	double limit; /* lambda above which it misfires */
	jw_supplied settled;
	int holds;          /* it settles rich enough */
	jw_lasting lasting;
	jw_status status;
} supply_answer;

/* Solves the supply at a point. \param range -1: the range whose usual throttle is nearest */
int supply_solve(const cli_arguments *arguments, const jw_setup *setup, const jw_air *air, const jw_point *point,
                 int range, supply_answer *answer);
void supply_json(cli_json *json, const supply_answer *answer);
void supply_print(const supply_answer *answer, int points, cli_page *page);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the text, the JSON and the sheet of mixture are made of. */
#ifndef CLI_MIXTURE_H
#define CLI_MIXTURE_H

#include "cycle.h"
#include "page.h"
#include "show.h"
#include "supply.h"

typedef struct mixture_point {
	int range; /* -1: a point of the user's own */
	jw_point point;
	jw_mixture mixture;
	double relative; /* standard uncertainty of phi */
	jw_status status;
} mixture_point;

typedef struct mixture_answer {
	const jw_profile *profile;
	const jw_setup *setup;
	jw_air air;
	const double *running_for; /* s since a cold start; NULL: not asked */
	int points;
	mixture_point at[JW_RANGE_COUNT];
	const supply_answer *supply; /* of every point, with --supply; or NULL */
	const cycle_answer *cycle;   /* with --cycle; or NULL */
	cli_page *page;              /* that the text goes to */
} mixture_answer;

/* Whether there is a slide whose height can be told. */
int mixture_has_slide(const jw_setup *setup);

void mixture_text(const mixture_answer *a);
/* A page for the workbench; an exit code. */
int mixture_sheet(const cli_command *command, const char *path, const mixture_answer *a);

/* ---- the parts of the text ---- */

/* The engine, the air, and what lambda and throttle count from. */
void mixture_print_engine(const mixture_answer *a);
/* What it comes to, in a sentence, and of every point. */
void mixture_print_lambda(const mixture_answer *a);
/* Fuel by circuit, and what drives it. */
void mixture_print_flows(const mixture_answer *a);
/* What was asked for beside it; nothing where it was not. */
void mixture_print_cycle(const mixture_answer *a);
void mixture_print_supply(const mixture_answer *a);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mixture on a sheet for the workbench. */
#include "chart.h"
#include "mixture.h"
#include "sheet.h"

/* Lambda over the ranges, and where it was asked for as the crank angle has it. */
static void draw_lambda(chart *c, const mixture_answer *a)
{
	chart_point mean[JW_RANGE_COUNT], cycle[JW_RANGE_COUNT];
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		mean[r] = chart_point_of(a->at[r].mixture.phi, a->at[r].relative);
		if (a->cycle)
			cycle[r] = (chart_point){.lambda = lambda_of(a->cycle[r].cycle.phi)};
	}
	chart_begin(c, "Lambda at the usual point of each range", jw_profile_name(a->profile));
	chart_line(c, "lambda, and where it lies nine times in ten", mean);
	if (a->cycle)
		chart_line(c, "followed over the crank angle", cycle);
}

static void write_sheet(cli_page *page, const void *content)
{
	mixture_answer a = *(const mixture_answer *)content;
	chart lambda;
	a.page = page;
	mixture_print_engine(&a);
	sheet_main(page);
	mixture_print_lambda(&a);
	if (a.points == JW_RANGE_COUNT) {
		draw_lambda(&lambda, &a);
		sheet_picture(page, &lambda.picture);
	}
	sheet_part(page);
	mixture_print_flows(&a);
	mixture_print_cycle(&a);
	mixture_print_supply(&a);
	page_gap(page);
	print_screw(a.setup, page);
	print_calibration(a.profile, page);
	sheet_form(page);
}

int mixture_sheet(const cli_command *command, const char *path, const mixture_answer *a)
{
	char about[128];
	snprintf(about, sizeof about, "Mixture: %s", jw_profile_name(a->profile));
	return sheet_save(command, path, about, write_sheet, a);
}

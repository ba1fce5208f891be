/* SPDX-License-Identifier: GPL-3.0-or-later */
/* explain on a sheet for the workbench, and its picture. */
#include "chart.h"
#include "explain.h"
#include "sheet.h"

static const char *engine_name(const answer *a)
{
	return a->class ? a->class : jw_profile_name(a->profile);
}

/* Lambda with the fault and once it is mended. */
static void draw_lambda(chart *c, const answer *a, const jw_finding *finding)
{
	chart_point now[JW_RANGE_COUNT], after[JW_RANGE_COUNT];
	char title[sizeof c->title];
	snprintf(title, sizeof title, "Lambda: %s", cause_text(a, finding->cause).text);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const jw_interval *lambda = &finding->lambda_now[r];
		now[r] = (chart_point){lambda->value, lambda->value > 0 ? lambda->low_90 : 0, lambda->high_90};
		after[r] = (chart_point){.lambda = finding->lambda_after[r]};
	}
	chart_begin(c, title, engine_name(a));
	chart_line(c, "now, and where it lies nine times in ten", now);
	chart_line(c, "once it is mended", after);
}

static void write_sheet(cli_page *page, const void *content)
{
	answer a = *(const answer *)content;
	const conclusion c = conclude(&a);
	chart lambda;
	a.page = page;
	print_engine(&a);
	sheet_main(page);
	print_conflicts(&a);
	print_findings(&a, &c);
	if (tells_lambda(&c)) {
		draw_lambda(&lambda, &a, c.first);
		sheet_picture(page, &lambda.picture);
	}
	sheet_part(page);
	print_steps(&a, &c);
	print_around(&a, &c);
	print_mixtures(&a, &c);
	print_course(&a);
	sheet_form(page);
}

int explain_sheet(const cli_command *command, const char *path, const answer *a)
{
	char about[128];
	snprintf(about, sizeof about, "Job sheet: %s", engine_name(a));
	return sheet_save(command, path, about, write_sheet, a);
}

int explain_draw(const cli_command *command, const char *path, const answer *a)
{
	const conclusion c = conclude(a);
	chart lambda;
	if (!tells_lambda(&c)) {
		fprintf(stderr, "jetwright %s: %s is not written: no one fault leads that the mixture follows from\n",
		        command->name, path);
		return FAILED;
	}
	draw_lambda(&lambda, a, c.first);
	return svg_save(command, path, &lambda.picture);
}

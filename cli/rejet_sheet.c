/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rejet on a sheet for the workbench, and its pictures: lambda over the ranges, or of a plan over its altitudes or
 * places. */
#include "chart.h"
#include "rejet.h"
#include "sheet.h"
#include <math.h>

/* ---- pictures ---- */

static void draw_lambda(chart *c, const rejet_asked *asked)
{
	const jw_rejet_answer *a = &asked->answer;
	chart_point before[JW_RANGE_COUNT], after[JW_RANGE_COUNT], fitted[JW_RANGE_COUNT];
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		before[r] = (chart_point){.lambda = lambda_of(a->range[r].before.phi)};
		after[r] = chart_point_of(a->range[r].after.phi, a->range[r].relative_after);
		fitted[r] = chart_point_of(a->choice.phi[r], a->choice.relative_after[r]);
	}
	chart_begin(c, "Lambda before and after the change", jw_profile_name(asked->profile));
	chart_line(c, "before", before);
	chart_line(c, "after", after);
	chart_line(c, "to fit", fitted);
}

/* Of a plan: ranges of the throttle, each through every set. */
static const jw_range shown[] = {JW_IDLE, JW_HALF, JW_FULL};
enum { SHOWN = sizeof shown / sizeof *shown };

enum { ENDS = 3 * JW_REJET_SETS, NAME = 18 };

/* Each set from its lower end to its upper, or each place from above its row to below; then a gap. */
typedef struct steps {
	double at[ENDS], lambda[JW_RANGE_COUNT][ENDS];
	int count;
	range_words name[SHOWN];
	char place[JW_REJET_PLACES][4 * NAME + 4];
	const char *places[JW_REJET_PLACES + 1];
	char subtitle[256];
	svg_picture picture;
} steps;

static void add_end(steps *s, double at, const double *ratio)
{
	s->at[s->count] = at;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		s->lambda[r][s->count] = ratio ? 1 / ratio[r] : NAN;
	s->count++;
}

static const char off_target[] = "lambda over its target";

/* What pictures of a road and of places share. */
static svg_panel *begin_plan(steps *s, const rejet_asked *asked, int sets, const char *title, const char *description)
{
	*s = (steps){.picture = {.title = title, .description = description, .columns = 1, .panels = 1}};
	snprintf(s->subtitle, sizeof s->subtitle, "%s, %d set%s of jets", jw_profile_name(asked->profile), sets,
	         sets > 1 ? "s" : "");
	s->picture.subtitle = s->subtitle;
	s->picture.panel[0].lines = SHOWN;
	return &s->picture.panel[0];
}

static const char *label(steps *s, int line)
{
	s->name[line] = range_text_of(shown[line]);
	return s->name[line].text;
}

static void draw_road(steps *s, const rejet_asked *asked)
{
	const jw_rejet_plan *plan = asked->plan;
	svg_panel *panel = begin_plan(s, asked, plan->sets, "Lambda over its target as the road climbs",
	                              "Lambda over its target, above 1 leaner and below 1 richer than wanted, "
	                              "against the altitude; each line breaks where another set of jets is fitted.");
	for (int i = 0; i < plan->sets; i++) {
		add_end(s, plan->set[i].from_m, plan->set[i].ratio_from);
		add_end(s, plan->set[i].to_m, plan->set[i].ratio_to);
		add_end(s, plan->set[i].to_m, NULL);
	}
	panel->x.title = "altitude, m";
	panel->y.title = off_target;
	for (int i = 0; i < SHOWN; i++)
		panel->line[i] = (svg_line){.label = label(s, i), .count = s->count, .x = s->at, .y = s->lambda[shown[i]]};
}

/* As much of a name as there is room for, no letter of it halved. */
static void shorten(char *to, size_t room, const char *name)
{
	size_t length = 0;
	for (int letters = 0; name[length]; length++) {
		letters += (name[length] & 0xc0) != 0x80;
		if (letters > NAME)
			break;
	}
	snprintf(to, room, "%.*s%s", (int)length, name, name[length] ? "\u2026" : "");
}

/* The places of one set, from a row downwards; its rows are shaded where it is the second, the fourth, ... */
static int add_places(steps *s, const rejet_journey *j, int set, int row)
{
	svg_panel *panel = &s->picture.panel[0];
	const int top = row;
	for (int at = 0; at < j->count; at++) {
		if (j->plan.fit[at] != set)
			continue;
		shorten(s->place[row], sizeof s->place[row], j->name[at]);
		s->places[row] = s->place[row];
		add_end(s, row + 0.3, j->plan.ratio[at]);
		add_end(s, row - 0.3, j->plan.ratio[at]);
		add_end(s, row--, NULL);
	}
	if (set % 2)
		panel->span[panel->spans++] = (svg_span){.from = row + 0.5, .to = top + 0.5};
	return row;
}

static void draw_places(steps *s, const rejet_asked *asked)
{
	const rejet_journey *j = asked->journey;
	svg_panel *panel = begin_plan(s, asked, j->plan.sets, "Lambda over its target at each place",
	                              "Lambda over its target, above 1 leaner and below 1 richer than wanted, at each "
	                              "place with its set of jets; places of one set lie together, on one ground.");
	for (int set = 0, row = j->count - 1; set < j->plan.sets; set++)
		row = add_places(s, j, set, row);
	panel->x.title = off_target;
	panel->y.words = s->places;
	for (int i = 0; i < SHOWN; i++)
		panel->line[i] = (svg_line){.label = label(s, i), .count = s->count, .x = s->lambda[shown[i]], .y = s->at};
}

/* ---- sheets ---- */

static void write_change(cli_page *page, const void *content)
{
	rejet_asked a = *(const rejet_asked *)content;
	chart lambda;
	a.page = page;
	rejet_print_question(&a);
	sheet_main(page);
	rejet_print_finding(&a);
	rejet_print_danger(&a);
	rejet_print_slide(&a);
	rejet_print_warnings(&a);
	draw_lambda(&lambda, &a);
	sheet_picture(page, &lambda.picture);
	rejet_print_fit(&a);
	sheet_part(page);
	rejet_print_order(&a);
	rejet_print_readings(&a);
	rejet_print_shares(&a);
	sheet_form(page);
}

static void write_plan(cli_page *page, const void *content)
{
	rejet_asked a = *(const rejet_asked *)content;
	steps s;
	a.page = page;
	rejet_print_road(&a);
	sheet_main(page);
	rejet_print_sets(&a);
	sheet_part(page);
	draw_road(&s, &a);
	sheet_picture(page, &s.picture);
	rejet_print_bands(&a);
	sheet_form(page);
}

static void write_places(cli_page *page, const void *content)
{
	rejet_asked a = *(const rejet_asked *)content;
	steps s;
	a.page = page;
	rejet_print_places(&a);
	sheet_main(page);
	rejet_print_visits(&a);
	sheet_part(page);
	draw_places(&s, &a);
	sheet_picture(page, &s.picture);
	rejet_print_visit_bands(&a);
	sheet_form(page);
}

static int save_sheet(const cli_arguments *arguments, const rejet_asked *asked)
{
	char about[128];
	snprintf(about, sizeof about, "Job sheet: what to fit to %s", jw_profile_name(asked->profile));
	return sheet_save(arguments->command, text_of(arguments, "html", NULL), about,
	                  asked->plan      ? write_plan
	                  : asked->journey ? write_places
	                                   : write_change,
	                  asked);
}

static int save_picture(const cli_arguments *arguments, const rejet_asked *asked)
{
	chart lambda;
	steps s;
	if (asked->plan)
		draw_road(&s, asked);
	else if (asked->journey)
		draw_places(&s, asked);
	else
		draw_lambda(&lambda, asked);
	return svg_save(arguments->command, text_of(arguments, "svg", NULL),
	                asked->plan || asked->journey ? &s.picture : &lambda.picture);
}

int rejet_files(const cli_arguments *arguments, const rejet_asked *asked)
{
	int code = has(arguments, "html") ? save_sheet(arguments, asked) : ANSWERED;
	if (code == ANSWERED && has(arguments, "svg"))
		code = save_picture(arguments, asked);
	return code;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures of a rejetting: lambda over the ranges, or over the altitudes of a plan. */
#include "chart.h"
#include "rejet.h"
#include "show.h"
#include "svg.h"
#include <math.h>

int rejet_svg(const cli_arguments *arguments, const rejet_asked *asked)
{
	const jw_rejet_answer *a = &asked->answer;
	chart_point before[JW_RANGE_COUNT], after[JW_RANGE_COUNT], fitted[JW_RANGE_COUNT];
	chart lambda;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		before[r] = (chart_point){.lambda = lambda_of(a->range[r].before.phi)};
		after[r] = chart_point_of(a->range[r].after.phi, a->range[r].relative_change);
		fitted[r] = chart_point_of(a->choice.phi[r], a->choice.relative[r]);
	}
	chart_begin(&lambda, "Lambda before and after the change", jw_profile_name(asked->profile));
	chart_line(&lambda, "before", before);
	chart_line(&lambda, "after", after);
	chart_line(&lambda, "to fit", fitted);
	return svg_save(arguments->command, text_of(arguments, "svg", ""), &lambda.picture);
}

/* Each set from its lower end to its upper, then a gap. */
typedef struct steps {
	double altitude_m[3 * JW_REJET_SETS], lambda[JW_RANGE_COUNT][3 * JW_REJET_SETS];
	int count;
} steps;

static void add_end(steps *s, double altitude_m, const double *ratio)
{
	s->altitude_m[s->count] = altitude_m;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		s->lambda[r][s->count] = ratio ? 1 / ratio[r] : NAN;
	s->count++;
}

int rejet_plan_svg(const cli_arguments *arguments, const rejet_asked *asked, const jw_rejet_plan *plan)
{
	static const jw_range shown[] = {JW_IDLE, JW_HALF, JW_FULL};
	enum { SHOWN = sizeof shown / sizeof *shown };
	steps s = {.count = 0};
	range_words name[SHOWN];
	char subtitle[256];
	for (int i = 0; i < plan->sets; i++) {
		add_end(&s, plan->set[i].from_m, plan->set[i].ratio_from);
		add_end(&s, plan->set[i].to_m, plan->set[i].ratio_to);
		add_end(&s, plan->set[i].to_m, NULL);
	}
	snprintf(subtitle, sizeof subtitle, "%s, %d sets of jets", jw_profile_name(asked->profile), plan->sets);
	svg_picture picture = {.title = "Lambda over its target as the road climbs",
	                       .subtitle = subtitle,
	                       .description =
	                           "Lambda over its target, above 1 leaner and below 1 richer than wanted, against the "
	                           "altitude; each line breaks where another set of jets is fitted.",
	                       .columns = 1,
	                       .panels = 1};
	svg_panel *panel = &picture.panel[0];
	*panel = (svg_panel){.x = {.title = "altitude, m"}, .y = {.title = "lambda over its target"}, .lines = SHOWN};
	for (int i = 0; i < SHOWN; i++) {
		name[i] = range_text_of(shown[i]);
		panel->line[i] =
		    (svg_line){.label = name[i].text, .count = s.count, .x = s.altitude_m, .y = s.lambda[shown[i]]};
	}
	return svg_save(arguments->command, text_of(arguments, "svg", ""), &picture);
}

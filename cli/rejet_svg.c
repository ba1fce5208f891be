/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures of a rejetting: lambda over the ranges, or over the altitudes of a plan. */
#include "rejet.h"
#include "show.h"
#include "svg.h"
#include <math.h>
#include <string.h>

enum { LINES = 3 };

typedef struct curve {
	double lambda[JW_RANGE_COUNT], low[JW_RANGE_COUNT], high[JW_RANGE_COUNT];
} curve;

static void add_range(curve *c, int range, double phi, double relative)
{
	c->lambda[range] = phi > 0 ? 1 / phi : NAN;
	c->low[range] = c->lambda[range] * exp(-SIGMAS_90 * relative);
	c->high[range] = c->lambda[range] * exp(SIGMAS_90 * relative);
}

int rejet_svg(const cli_arguments *arguments, const rejet_asked *asked)
{
	static const char *const labels[LINES] = {"before", "after", "to fit"};
	const jw_rejet_answer *a = &asked->answer;
	curve curves[LINES];
	double place[JW_RANGE_COUNT];
	range_words name[JW_RANGE_COUNT];
	const char *words[JW_RANGE_COUNT + 1] = {NULL};
	char subtitle[256];
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		place[r] = r;
		name[r] = range_text_of(r);
		words[r] = name[r].text;
		add_range(&curves[0], r, a->range[r].before.phi, 0);
		add_range(&curves[1], r, a->range[r].after.phi, a->range[r].relative_change);
		add_range(&curves[2], r, a->choice.phi[r], a->choice.relative[r]);
	}
	svg_picture picture = {.title = "Lambda before and after the change",
	                       .subtitle = subtitle,
	                       .description =
	                           "Lambda over the ranges of the throttle, above 1 lean and below 1 rich: before the "
	                           "change, after it with nothing else changed, and with what is to fit, the last two "
	                           "with their 90 per cent interval.",
	                       .columns = 1,
	                       .panels = 1};
	snprintf(subtitle, sizeof subtitle, "%s", jw_profile_name(asked->profile));
	svg_panel *panel = &picture.panel[0];
	*panel = (svg_panel){.x = {.title = "range", .words = words}, .y = {.title = "lambda"}, .lines = LINES};
	for (int i = 0; i < LINES; i++)
		panel->line[i] = (svg_line){.label = labels[i],
		                            .count = JW_RANGE_COUNT,
		                            .x = place,
		                            .y = curves[i].lambda,
		                            .low = i ? curves[i].low : NULL,
		                            .high = i ? curves[i].high : NULL};
	return svg_save(arguments->command, text_of(arguments, "svg", ""), &picture);
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

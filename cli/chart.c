/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "chart.h"
#include <math.h>
#include <string.h>

/* Beyond this no engine fires. */
static const double top_lambda = 2;
static const double tick = 0.2;
/* Less than this shown, and ticks stand twice as close. */
static const double short_axis = 0.5;

chart_point chart_point_of(double phi, double relative)
{
	const double lambda = lambda_of(phi);
	return (chart_point){lambda, lambda * exp(-SIGMAS_90 * relative), lambda * exp(SIGMAS_90 * relative)};
}

void chart_begin(chart *c, const char *title, const char *subtitle)
{
	*c = (chart){.picture = {.columns = 1, .panels = 1, .subtitle = subtitle}};
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		c->name[r] = range_text_of(r);
		c->word[r] = c->name[r].text;
		c->place[r] = r;
	}
	snprintf(c->title, sizeof c->title, "%s", title);
	c->picture.title = c->title;
	c->picture.description = c->description;
	c->picture.panel[0] =
	    (svg_panel){.x = {.title = "throttle", .words = c->word},
	                .y = {.title = "lambda (above 1 is lean, below 1 rich)", .low = 1, .high = 1, .step = tick}};
}

/* All that is drawn, up to where figures say no more. */
static void widen(svg_axis *axis, double value)
{
	if (!isfinite(value))
		return;
	axis->low = fmin(axis->low, tick * floor(value / tick));
	axis->high = fmin(fmax(axis->high, tick * ceil(value / tick)), top_lambda);
}

/* "idle 1.40 (1.13 to no fuel), " */
static void describe(chart *c, int range, const chart_point *point)
{
	const size_t used = strlen(c->description), left = sizeof c->description - used;
	const char *after = range + 1 < JW_RANGE_COUNT ? "," : ".";
	if (point->low > 0)
		snprintf(c->description + used, left, " %s %s (%s)%s", c->word[range], lambda_text(point->lambda).text,
		         lambda_interval(point->low, point->high).text, after);
	else
		snprintf(c->description + used, left, " %s %s%s", c->word[range], lambda_text(point->lambda).text, after);
}

void chart_line(chart *c, const char *label, const chart_point point[JW_RANGE_COUNT])
{
	svg_panel *panel = &c->picture.panel[0];
	const int line = panel->lines++;
	const size_t used = strlen(c->description);
	int banded = 0;
	snprintf(c->description + used, sizeof c->description - used, "%s%s:", used ? " " : "", label);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const int band = point[r].low > 0;
		banded |= band;
		c->value[line][r] = point[r].lambda > 0 ? point[r].lambda : NAN;
		c->low[line][r] = band ? point[r].low : c->value[line][r];
		/* Fuel may stop: as far up as is shown. */
		c->high[line][r] = band ? (point[r].high > 0 ? point[r].high : 2 * top_lambda) : c->value[line][r];
		widen(&panel->y, c->value[line][r]);
		widen(&panel->y, c->low[line][r]);
		widen(&panel->y, c->high[line][r]);
		describe(c, r, &point[r]);
	}
	panel->y.step = panel->y.high - panel->y.low < short_axis ? tick / 2 : tick;
	panel->line[line] = (svg_line){.label = label, .count = JW_RANGE_COUNT, .x = c->place, .y = c->value[line]};
	if (banded) {
		panel->line[line].low = c->low[line];
		panel->line[line].high = c->high[line];
	}
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mixture --cycle --svg: what happens over the crank angle, as a picture. */
#include "cycle.h"
#include "show.h"
#include "svg.h"
#include <math.h>
#include <stddef.h>
#include <stdlib.h>

/* Every second node: a degree of a two-stroke, finer than a pixel. */
enum { NODES_A_POINT = 2, DRAWN = JW_CYCLE_NODES / NODES_A_POINT + 1 };

/* Pressures stand left, the flows that they drive right. */
static const struct row {
	const char *title, *unit;
	double factor;
	size_t member;                     /* of jw_cycle_trace */
	double low, high;                  /* shown; both 0: all of it */
	int (*has)(const jw_setup *setup); /* NULL: all engines */
} rows[] = {
    {"Pressure at the nozzle", "kPa", 1e-3, offsetof(jw_cycle_trace, nozzle_pa), 0, 0, NULL},
    {"Air past the nozzle (below 0: back out)", "g/s", 1e3, offsetof(jw_cycle_trace, air_kg_s), 0, 0, NULL},
    {"Pressure behind the throttle", "kPa", 1e-3, offsetof(jw_cycle_trace, manifold_pa), 0, 0, NULL},
    {"Fuel through the main jet", "mg/s", 1e6, offsetof(jw_cycle_trace, main_kg_s), 0, 0, NULL},
    {"Pressure in the first cylinder (firing cut off)", "kPa", 1e-3, offsetof(jw_cycle_trace, cylinder_pa), 0, 200,
     NULL},
    {"Fuel through the pilot jet", "mg/s", 1e6, offsetof(jw_cycle_trace, pilot_kg_s), 0, 0, NULL},
    {"Pressure in the crankcase below it", "kPa", 1e-3, offsetof(jw_cycle_trace, crankcase_pa), 0, 0,
     cycle_has_crankcase},
    {"Lift of the slide", "mm", 1e3, offsetof(jw_cycle_trace, lift_m), 0, 0, cycle_slide_moves},
};
enum { ROWS = sizeof rows / sizeof *rows };

typedef struct drawing {
	svg_picture picture;
	char title[128], subtitle[128], description[1024];
	range_words label[JW_RANGE_COUNT];
	double crank_deg[DRAWN], value[ROWS][JW_RANGE_COUNT][DRAWN];
} drawing;

static void add_panel(drawing *d, const struct row *r, const jw_setup *setup, const cycle_answer *answer, int points)
{
	double(*value)[DRAWN] = d->value[d->picture.panels];
	svg_panel *panel = &d->picture.panel[d->picture.panels++];
	*panel = (svg_panel){
	    .title = r->title,
	    .x = {setup->engine.strokes == 4 ? "degrees after top centre of the gas exchange" : "degrees after top centre",
	          0, 180.0 * setup->engine.strokes, 45.0 * setup->engine.strokes, NULL},
	    .y = {r->unit, r->low, r->high, 0, NULL},
	    .lines = points};
	for (int i = 0; i < points; i++) {
		const double *trace = numbers_at(&answer[i].cycle.trace, r->member);
		for (int n = 0; n < DRAWN; n++)
			value[i][n] = r->factor * trace[n * NODES_A_POINT];
		panel->line[i] =
		    (svg_line){.label = points > 1 ? d->label[i].text : NULL, .count = DRAWN, .x = d->crank_deg, .y = value[i]};
	}
}

/* "At the nozzle 90.1 to 101.3 kPa, ..." of the point that draws most. */
static void describe(drawing *d, const cycle_answer *answer, int points)
{
	int most = 0;
	for (int i = 1; i < points; i++)
		if (answer[i].cycle.air_kg_s > answer[most].cycle.air_kg_s)
			most = i;
	size_t used = (size_t)snprintf(d->description, sizeof d->description, "Panels over one cycle.");
	if (points > 1)
		used += (size_t)snprintf(d->description + used, sizeof d->description - used,
		                         " One line for each range of the throttle; the figures here are those of %s.",
		                         d->label[most].text);
	for (int i = 0; i < d->picture.panels; i++) {
		const svg_panel *panel = &d->picture.panel[i];
		double low = INFINITY, high = -INFINITY;
		for (int n = 0; n < DRAWN; n++) {
			low = fmin(low, panel->line[most].y[n]);
			high = fmax(high, panel->line[most].y[n]);
		}
		used += (size_t)snprintf(d->description + used, sizeof d->description - used, " %s: %.4g to %.4g %s.",
		                         panel->title, low, high, panel->y.title);
	}
}

int cycle_draw(const cli_arguments *arguments, const jw_profile *profile, const cycle_answer *answer, int points)
{
	const jw_setup *setup = jw_profile_setup(profile);
	drawing *d = calloc(1, sizeof *d);
	if (!d)
		return library_error(arguments->command, JW_E_MEMORY, &(jw_error){0});
	snprintf(d->title, sizeof d->title, "%s: one cycle over the crank angle", jw_profile_name(profile));
	if (points > 1)
		snprintf(d->subtitle, sizeof d->subtitle, "at the usual point of each range of the throttle");
	else
		snprintf(d->subtitle, sizeof d->subtitle, "%.0f rpm, throttle %.0f %%", value_of(arguments, "speed", 0) * 60,
		         100 * value_of(arguments, "throttle", 0));
	for (int n = 0; n < DRAWN; n++)
		d->crank_deg[n] = cycle_crank_deg(setup, n * NODES_A_POINT);
	for (int i = 0; i < points; i++)
		d->label[i] = answer[i].range < 0 ? (range_words){"as asked"} : range_text_of(answer[i].range);
	for (int row = 0; row < ROWS; row++)
		if (!rows[row].has || rows[row].has(setup))
			add_panel(d, &rows[row], setup, answer, points);
	describe(d, answer, points);
	d->picture.title = d->title;
	d->picture.subtitle = d->subtitle;
	d->picture.description = d->description;
	d->picture.columns = 2;
	int code = svg_save(arguments->command, text_of(arguments, "svg", NULL), &d->picture);
	free(d);
	return code;
}

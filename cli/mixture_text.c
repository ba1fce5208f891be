/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mixture in sentences and rows. */
#include "ambient.h"
#include "mixture.h"
#include <stddef.h>

int mixture_has_slide(const jw_setup *setup)
{
	return setup->carburetor.kind != JW_FIXED_VENTURI;
}

static void place_cell(cli_table *table, const mixture_point *at)
{
	table_cell(table, "%s", at->range >= 0 ? range_text_of(at->range).text : "as asked");
}

/* ---- lambda ---- */

static void print_points(const mixture_answer *a)
{
	static const char *const words[] = {"",    "rpm",     "throttle", "lambda", "90 % interval",
	                                    "AFR", "air g/s", "fuel mg/s"};
	cli_table table = {0};
	table_heading(&table, words, sizeof words / sizeof *words);
	for (int i = 0; i < a->points; i++) {
		const mixture_point *at = &a->at[i];
		place_cell(&table, at);
		table_cell(&table, "%.0f", at->point.speed_rev_s * 60);
		table_cell(&table, "%.0f %%", 100 * at->point.throttle);
		table_cell(&table, "%s", lambda_text(lambda_of(at->mixture.phi)).text);
		table_cell(&table, "%s", lambda_interval_about(lambda_of(at->mixture.phi), at->relative).text);
		table_cell(&table, at->mixture.afr > 0 ? "%.1f" : "-", at->mixture.afr);
		table_cell(&table, "%s", significant(at->mixture.air_kg_s * 1e3, 3).text);
		table_cell(&table, "%s", significant(at->mixture.fuel_kg_s * 1e6, 3).text);
		table_row_end(&table);
	}
	page_table(a->page, &table);
}

static void print_finding(const mixture_answer *a)
{
	const mixture_point *rich = &a->at[0], *lean = &a->at[0];
	for (int i = 1; i < a->points; i++) {
		rich = a->at[i].mixture.phi > rich->mixture.phi ? &a->at[i] : rich;
		lean = a->at[i].mixture.phi < lean->mixture.phi ? &a->at[i] : lean;
	}
	if (rich->range < 0)
		page_title(a->page, "Lambda at %.0f rpm and a throttle of %.0f %%: %s.", rich->point.speed_rev_s * 60,
		           100 * rich->point.throttle, lambda_text(lambda_of(rich->mixture.phi)).text);
	else
		page_title(a->page, "Lambda is richest at %s, %s, and leanest at %s, %s.", range_text_of(rich->range).text,
		           lambda_text(lambda_of(rich->mixture.phi)).text, range_text_of(lean->range).text,
		           lambda_text(lambda_of(lean->mixture.phi)).text);
}

void mixture_print_lambda(const mixture_answer *a)
{
	print_finding(a);
	print_points(a);
}

/* ---- flows ---- */

static int always(const jw_setup *setup, double enrichener)
{
	(void)setup, (void)enrichener;
	return 1;
}

static int has_power_jet(const jw_setup *setup, double enrichener)
{
	(void)enrichener;
	return jw_passage_bore(setup, JW_PASSAGE_POWER_JET) > 0;
}

static int has_slide(const jw_setup *setup, double enrichener)
{
	(void)enrichener;
	return mixture_has_slide(setup);
}

static int enriched(const jw_setup *setup, double enrichener)
{
	return enrichener > 0 && jw_passage_bore(setup, JW_PASSAGE_ENRICHENER_JET) > 0;
}

/* What is told of the circuits, and of which engines. */
static const struct {
	const char *word;
	size_t member; /* of jw_mixture, in SI */
	double factor;
	const char *format; /* NULL: three digits that count */
	int (*shown)(const jw_setup *setup, double enrichener);
} columns[] = {
    {"main", offsetof(jw_mixture, flow.main.fuel_kg_s), 1e6, NULL, always},
    {"pilot", offsetof(jw_mixture, flow.pilot.fuel_kg_s), 1e6, NULL, always},
    {"power jet", offsetof(jw_mixture, flow.power.fuel_kg_s), 1e6, NULL, has_power_jet},
    {"enrichener", offsetof(jw_mixture, flow.enrichener.fuel_kg_s), 1e6, NULL, enriched},
    {"manifold kPa", offsetof(jw_mixture, manifold_pa), 1e-3, "%.1f", always},
    {"slide up mm", offsetof(jw_mixture, path.lift_m), 1e3, "%.1f", has_slide},
    {"pull on main jet Pa", offsetof(jw_mixture, flow.depression_pa), 1, NULL, always},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static void flow_cell(cli_table *table, const jw_mixture *mixture, int column)
{
	const double value = columns[column].factor * number_at(mixture, columns[column].member);
	if (columns[column].format)
		table_cell(table, columns[column].format, value);
	else
		table_cell(table, "%s", significant(value, 3).text);
}

void mixture_print_flows(const mixture_answer *a)
{
	const double enrichener = a->at[0].point.enrichener;
	cli_table table = {0};
	page_gap(a->page);
	page_heading(a->page, "Fuel by circuit in mg/s, and what drives it:");
	table_cell(&table, "%s", "");
	for (int c = 0; c < COLUMNS; c++)
		if (columns[c].shown(a->setup, enrichener))
			table_cell(&table, "%s", columns[c].word);
	table_row_end(&table);
	for (int i = 0; i < a->points; i++) {
		place_cell(&table, &a->at[i]);
		for (int c = 0; c < COLUMNS; c++)
			if (columns[c].shown(a->setup, enrichener))
				flow_cell(&table, &a->at[i].mixture, c);
		table_row_end(&table);
	}
	page_table(a->page, &table);
}

/* ---- the answer ---- */

void mixture_print_engine(const mixture_answer *a)
{
	page_say(a->page, "%s on %s; air %s.", jw_profile_name(a->profile), jw_profile_fuel(a->profile),
	         air_text(&a->air).text);
	page_say(a->page,
	         "Lambda above 1 is lean (more air than the fuel needs), below 1 rich. Throttle 0 is the idle stop.");
	if (a->running_for)
		page_say(a->page, "%.0f s after a cold start the timer holds the enrichener %.0f %% open.", *a->running_for,
		         100 * a->at[0].point.enrichener);
	page_gap(a->page);
}

void mixture_print_supply(const mixture_answer *a)
{
	if (!a->supply)
		return;
	page_gap(a->page);
	supply_print(a->supply, a->points, a->page);
}

void mixture_print_cycle(const mixture_answer *a)
{
	if (!a->cycle)
		return;
	page_gap(a->page);
	cycle_print(a->setup, a->cycle, a->points, a->page);
}

void mixture_text(const mixture_answer *a)
{
	mixture_print_engine(a);
	mixture_print_lambda(a);
	mixture_print_flows(a);
	mixture_print_cycle(a);
	mixture_print_supply(a);
	page_gap(a->page);
	print_screw(a->setup, a->page);
	print_calibration(a->profile, a->page);
}

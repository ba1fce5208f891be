/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cycle.h"
#include "show.h"
#include <stddef.h>

/* Crank positions told of a trace: each tenth node, 10 degrees of a four-stroke. */
enum { TOLD = 10 };

int cycle_solve(const cli_arguments *arguments, const jw_setup *setup, const jw_air *air, const jw_point *point,
                int range, cycle_answer *answer)
{
	jw_error error = {0};
	answer->range = range;
	answer->status = jw_cycle_at(setup, air, point, NULL, &answer->cycle, &error);
	return answer->status < 0 ? library_error(arguments->command, answer->status, &error) : ANSWERED;
}

static const struct {
	const char *key;
	size_t member; /* of jw_cycle */
} numbers[] = {
    {"afr", offsetof(jw_cycle, afr)},
    {"air_kg_s", offsetof(jw_cycle, air_kg_s)},
    {"leak_kg_s", offsetof(jw_cycle, leak_kg_s)},
    {"fuel_kg_s", offsetof(jw_cycle, fuel_kg_s)},
    {"main_fuel_kg_s", offsetof(jw_cycle, main_kg_s)},
    {"pilot_fuel_kg_s", offsetof(jw_cycle, pilot_kg_s)},
    {"power_fuel_kg_s", offsetof(jw_cycle, power_kg_s)},
    {"enrichener_fuel_kg_s", offsetof(jw_cycle, enrichener_kg_s)},
    {"volumetric_efficiency", offsetof(jw_cycle, volumetric_efficiency)},
    {"closing_efficiency", offsetof(jw_cycle, closing_efficiency)},
    {"closing_pa", offsetof(jw_cycle, closing_pa)},
    {"residual", offsetof(jw_cycle, residual)},
    {"manifold_pa", offsetof(jw_cycle, manifold_pa)},
    {"nozzle_pa", offsetof(jw_cycle, nozzle_pa)},
    {"slide_lift_m", offsetof(jw_cycle, lift_m)},
    {"throat_pulse", offsetof(jw_cycle, pulse.throat)},
    {"steady_depression_pa", offsetof(jw_cycle, steady_depression_pa)},
    {"main_gain", offsetof(jw_cycle, main_gain)},
    {"fuel_response", offsetof(jw_cycle, fuel_response)},
    {"plate_pulse", offsetof(jw_cycle, pulse.plate)},
    {"mass_error", offsetof(jw_cycle, mass_error)},
    {"energy_error", offsetof(jw_cycle, energy_error)},
    {"fuel_error", offsetof(jw_cycle, fuel_error)},
};

static const struct {
	const char *key;
	size_t member;                     /* of jw_cycle_trace */
	int (*has)(const jw_setup *setup); /* NULL: all engines */
} traces[] = {
    {"nozzle_pa", offsetof(jw_cycle_trace, nozzle_pa), NULL},
    {"manifold_pa", offsetof(jw_cycle_trace, manifold_pa), NULL},
    {"cylinder_pa", offsetof(jw_cycle_trace, cylinder_pa), NULL},
    {"crankcase_pa", offsetof(jw_cycle_trace, crankcase_pa), cycle_has_crankcase},
    {"air_kg_s", offsetof(jw_cycle_trace, air_kg_s), NULL},
    {"main_fuel_kg_s", offsetof(jw_cycle_trace, main_kg_s), NULL},
    {"pilot_fuel_kg_s", offsetof(jw_cycle_trace, pilot_kg_s), NULL},
    {"slide_lift_m", offsetof(jw_cycle_trace, lift_m), cycle_slide_moves},
};

int cycle_has_crankcase(const jw_setup *setup)
{
	return setup->engine.strokes == 2;
}

int cycle_slide_moves(const jw_setup *setup)
{
	return jw_slide_moves(&setup->carburetor);
}

double cycle_crank_deg(const jw_setup *setup, int node)
{
	return node * 180.0 * setup->engine.strokes / JW_CYCLE_NODES;
}

void cycle_json(cli_json *json, const jw_setup *setup, const cycle_answer *answer)
{
	const jw_cycle *c = &answer->cycle;
	json_object(json, "cycle");
	json_number(json, "phi", c->phi);
	json_number_or_null(json, "lambda", lambda_of(c->phi));
	for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
		json_number(json, numbers[i].key, number_at(c, numbers[i].member));
	json_number(json, "cycles", c->cycles);
	json_object(json, "trace");
	json_array(json, "crank_deg");
	for (int n = 0; n <= JW_CYCLE_NODES; n += TOLD)
		json_number(json, NULL, cycle_crank_deg(setup, n));
	json_array_end(json);
	for (size_t i = 0; i < sizeof traces / sizeof *traces; i++) {
		if (traces[i].has && !traces[i].has(setup))
			continue;
		json_array(json, traces[i].key);
		for (int n = 0; n <= JW_CYCLE_NODES; n += TOLD)
			json_number(json, NULL, numbers_at(&c->trace, traces[i].member)[n]);
		json_array_end(json);
	}
	json_object_end(json);
	json_warnings(json, answer->status);
	json_object_end(json);
}

static void point_cell(cli_table *table, const cycle_answer *answer)
{
	table_cell(table, "%s", answer->range < 0 ? "as asked" : range_text_of(answer->range).text);
}

static void print_gas(const cycle_answer *answer, int points, cli_page *page)
{
	static const char *const words[] = {"",          "lambda",       "air g/s",          "filling",
	                                    "burnt gas", "manifold kPa", "at inlet closing", "back out"};
	cli_table table = {0};
	table_heading(&table, words, sizeof words / sizeof *words);
	for (int i = 0; i < points; i++) {
		const jw_cycle *c = &answer[i].cycle;
		double back = 0;
		for (int n = 0; n < JW_CYCLE_NODES; n++)
			back += c->trace.air_kg_s[n] < 0 ? -c->trace.air_kg_s[n] / JW_CYCLE_NODES : 0;
		point_cell(&table, &answer[i]);
		table_cell(&table, "%s", lambda_text(lambda_of(c->phi)).text);
		table_cell(&table, "%s", significant(c->air_kg_s * 1e3, 3).text);
		table_cell(&table, "%.0f %%", 100 * c->volumetric_efficiency);
		table_cell(&table, "%.0f %%", 100 * c->residual);
		table_cell(&table, "%.1f", c->manifold_pa / 1e3);
		table_cell(&table, "%.1f", c->closing_pa / 1e3);
		table_cell(&table, "%.0f %%", c->plate_kg_s > 0 ? 100 * back / c->plate_kg_s : 0);
		table_row_end(&table);
	}
	page_table(page, &table);
}

static void print_fuel(const cycle_answer *answer, int points, cli_page *page)
{
	static const char *const words[] = {"",           "main",         "pilot",          "power jet",
	                                    "enrichener", "mean pull Pa", "steady pull Pa", "main feels Pa"};
	cli_table table = {0};
	table_heading(&table, words, sizeof words / sizeof *words);
	for (int i = 0; i < points; i++) {
		const jw_cycle *c = &answer[i].cycle;
		point_cell(&table, &answer[i]);
		table_cell(&table, "%s", significant(c->main_kg_s * 1e6, 3).text);
		table_cell(&table, "%s", significant(c->pilot_kg_s * 1e6, 3).text);
		table_cell(&table, "%s", significant(c->power_kg_s * 1e6, 3).text);
		table_cell(&table, "%s", significant(c->enrichener_kg_s * 1e6, 3).text);
		table_cell(&table, "%s", significant(c->box_pa - c->nozzle_pa, 3).text);
		table_cell(&table, "%s", significant(c->steady_depression_pa, 3).text);
		table_cell(&table, "%s", significant(c->main_gain * c->steady_depression_pa, 3).text);
		table_row_end(&table);
	}
	page_table(page, &table);
}

void cycle_print(const jw_setup *setup, const cycle_answer *answer, int points, cli_page *page)
{
	page_say(page,
	         "The same followed over the crank angle until the cycle repeats itself, with %s. Filling: air drawn over "
	         "the swept volume of outside air. Burnt gas: its share of the charge. Back out: air that flows back "
	         "through the throat, over what stays.",
	         setup->engine.breathing.rod_ratio > 0 ? "valves, ports and inlet as the profile states them"
	                                               : "valves, ports and inlet as such an engine usually has them");
	print_gas(answer, points, page);
	page_gap(page);
	page_say(page,
	         "Fuel by circuit in mg/s; the mean pull at the nozzle, what steady flow of the same air would pull, and "
	         "the steady pull that would draw as much from the main circuit:");
	print_fuel(answer, points, page);
}

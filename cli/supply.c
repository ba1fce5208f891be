/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "supply.h"
#include "show.h"
#include <math.h>

/* Longer than any full throttle on the road. */
#define LONGEST_S 1800.0

static jw_status solve(const jw_setup *setup, const jw_air *air, const jw_point *point, supply_answer *a,
                       jw_error *error)
{
	jw_status status = jw_mixture_supplied(setup, air, point, &a->settled, error);
	if (status < 0)
		return status;
	a->holds = a->settled.mixture.phi * a->limit >= 1;
	jw_status lasting = jw_supply_lasts(setup, air, point, a->limit, LONGEST_S, &a->lasting, error);
	return lasting < 0 ? lasting : status;
}

int supply_solve(const cli_arguments *arguments, const jw_setup *setup, const jw_air *air, const jw_point *point,
                 int range, supply_answer *answer)
{
	jw_error error = {0};
	if (!(setup->supply.bowl_area_m2 > 0)) {
		fprintf(stderr, "jetwright %s: the profile does not describe its fuel supply, expected a block 'supply'\n",
		        arguments->command->name);
		return FAILED;
	}
	*answer =
	    (supply_answer){.range = range < 0 ? (int)nearest_range(setup, point->throttle) : range, .asked = range < 0};
	answer->limit = jw_lean_limit((jw_range)answer->range);
	answer->status = solve(setup, air, point, answer, &error);
	return answer->status < 0 ? library_error(arguments->command, answer->status, &error) : ANSWERED;
}

void supply_json(cli_json *json, const supply_answer *answer)
{
	const jw_supplied *s = &answer->settled;
	json_object(json, "supply");
	json_number(json, "needed_kg_s", s->needed_kg_s);
	json_number(json, "could_pass_kg_s", s->could_kg_s);
	json_number(json, "level_m", s->level_m);
	json_number(json, "tank_pa", s->tank_pa);
	json_number(json, "spilled_kg_s", s->spilled_kg_s);
	json_number_or_null(json, "lambda", lambda_of(s->mixture.phi));
	json_number(json, "lean_limit_lambda", answer->limit);
	json_flag(json, "holds", answer->holds);
	if (answer->lasting.lean)
		json_number(json, "seconds_until_lean", answer->lasting.seconds);
	else
		json_null(json, "seconds_until_lean");
	json_warnings(json, answer->status);
	json_object_end(json);
}

static void lasts_cell(cli_table *table, const supply_answer *a)
{
	if (a->status & JW_W_OVERFLOW)
		table_cell(table, "runs over");
	else if (a->holds)
		table_cell(table, "holds");
	else if (!a->lasting.lean)
		table_cell(table, "over %.0f s", LONGEST_S);
	else if (a->lasting.seconds > 0)
		table_cell(table, "%s s", significant(a->lasting.seconds, 2).text);
	else
		table_cell(table, "too lean with a full bowl");
}

void supply_print(const supply_answer *answer, int points, cli_page *page)
{
	static const char *const words[] = {"",       "needs mg/s", "could pass mg/s", "level mm",
	                                    "lambda", "lean above", "from a full bowl"};
	cli_table table = {0};
	page_say(
	    page,
	    "Fuel supply: what the jets draw from a full bowl, what tank, tap, hose, filter and float needle could pass, "
	    "where the level settles against the set one, lambda then, and how long a full bowl lasts until the engine "
	    "misfires lean.");
	table_heading(&table, words, sizeof words / sizeof *words);
	for (int i = 0; i < points; i++) {
		const supply_answer *a = &answer[i];
		const jw_supplied *s = &a->settled;
		table_cell(&table, "%s", a->asked ? "as asked" : range_text_of(a->range).text);
		table_cell(&table, "%s", significant(s->needed_kg_s * 1e6, 3).text);
		table_cell(&table, "%s", significant(s->could_kg_s * 1e6, 3).text);
		table_cell(&table, "%+.1f", round(s->level_m * 1e4) / 10 + 0.0); /* never "-0.0" */
		table_cell(&table, "%s", lambda_text(lambda_of(s->mixture.phi)).text);
		table_cell(&table, "%s", lambda_text(a->limit).text);
		lasts_cell(&table, a);
		table_row_end(&table);
	}
	page_table(page, &table);
}

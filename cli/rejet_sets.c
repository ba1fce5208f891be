/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is said of sets of jets alike, be they for a road or for places. */
#include "rejet.h"
#include "show.h"
#include <math.h>

void rejet_part_headings(cli_table *table, const int *sought)
{
	for (int i = 0; i < REJET_PARTS; i++)
		if (sought[rejet_order[i]])
			table_cell(table, "%s", rejet_part_word(rejet_order[i]));
	table_row_end(table);
}

void rejet_part_cells(const rejet_asked *a, cli_table *table, const int *sought, const double *value, const int *place)
{
	for (int i = 0; i < REJET_PARTS; i++) {
		const jw_part part = rejet_order[i];
		if (sought[part])
			table_cell(table, "%s", rejet_place_words(a, part, value[part], place[part]).text);
	}
	table_row_end(table);
}

void rejet_ratio_headings(cli_table *table)
{
	table_cell(table, "lambda off its target, percent");
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		table_cell(table, "%s", range_text_of(r).text);
	table_row_end(table);
}

void rejet_ratio_cells(cli_table *table, const double *ratio)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		table_cell(table, "%+.1f", 100 * (1 / ratio[r] - 1));
	table_row_end(table);
}

void rejet_json_parts(cli_json *json, const int *sought, const double *value)
{
	for (int i = 0; i < REJET_PARTS; i++)
		if (sought[rejet_order[i]])
			json_number(json, jw_part_name(rejet_order[i]), value[rejet_order[i]]);
}

void rejet_json_too_lean(cli_json *json, double lnphi, double main_wanted_m)
{
	json_number(json, "too_lean_at_full_throttle", lnphi);
	json_number_or_null(json, "main_jet_wanted_m", main_wanted_m > 0 ? main_wanted_m : NAN);
}

void rejet_say_band(const rejet_asked *a)
{
	char text[256];
	size_t used = 0;
	for (int r = 0; r < JW_RANGE_COUNT && used < sizeof text; r++)
		used += (size_t)snprintf(text + used, sizeof text - used, "%s%s %.0f %%", used ? ", " : "",
		                         range_text_of(r).text, 100 * jw_rejet_band((jw_range)r, 1));
	page_say(a->page,
	         "A range is inside its band where lambda is at most so far off its target: %s, there no leaner than by "
	         "%.1f %%.",
	         text, -100 * jw_rejet_band(JW_FULL, 0));
}

void rejet_say_too_lean(const rejet_asked *a, const char *where, double lnphi, double main_wanted_m)
{
	page_say(a->page,
	         "%s even the richest choice at hand is leaner at full throttle by %.1f %% more than that; it would take a "
	         "main jet of about %s.",
	         where, 100 * expm1(lnphi), rejet_value_words(a, JW_PART_MAIN_JET, main_wanted_m).text);
	page_caution(a->page, "Lean at full throttle destroys engines: keep off it there until that jet is fitted.");
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fewest sets of jets for a list of places, in sentences and rows. */
#include "ambient.h"
#include "progress.h"
#include "rejet.h"
#include "show.h"
#include <math.h>
#include <string.h>

enum { WORD = 32 };

/* ---- reading ---- */

/* What is said of one place; NAN where nothing is. */
typedef struct stated {
	double altitude_m, temperature_k, humidity;
} stated;

/* 1 where the word is one of these, with its unit. */
static int takes_word(stated *s, const char *word)
{
	if (rejet_season(word, &s->temperature_k, &s->humidity))
		return 1;
	return jw_quantity_parse(word, JW_LENGTH, &s->altitude_m, NULL) >= 0 ||
	       jw_quantity_parse(word, JW_TEMPERATURE, &s->temperature_k, NULL) >= 0 ||
	       jw_quantity_parse(word, JW_FRACTION, &s->humidity, NULL) >= 0;
}

/* "pass 2400m 5C": the words before the first quantity are its name. */
static int split(const char *item, size_t length, char *name, size_t room, stated *s)
{
	size_t named = 0;
	int told = 0;
	*name = '\0';
	for (size_t at = 0; at < length;) {
		char word[WORD];
		const size_t blanks = strspn(item + at, " "), size = strcspn(item + at + blanks, " ,");
		at += blanks + size;
		if (!size)
			continue;
		if (size >= sizeof word)
			return 0;
		snprintf(word, sizeof word, "%.*s", (int)size, item + at - size);
		if (takes_word(s, word)) {
			told = 1;
			continue;
		}
		if (told || named + size + 2 > room)
			return 0;
		named += (size_t)snprintf(name + named, room - named, "%s%s", named ? " " : "", word);
	}
	return named > 0 && isfinite(s->altitude_m);
}

/* What a place does not state: the temperature of the standard atmosphere there, the humidity of the baseline. */
static int air_of(stated s, double usual_humidity, jw_air *air, jw_status *status)
{
	jw_atmosphere level;
	if (!(s.altitude_m >= AIR_ALTITUDE_LOW_M && s.altitude_m <= AIR_ALTITUDE_HIGH_M) ||
	    jw_standard_atmosphere(jw_geopotential_altitude(s.altitude_m), &level, NULL) < 0)
		return 0;
	const double temperature_k = isfinite(s.temperature_k) ? s.temperature_k : level.temperature_k;
	if (!(temperature_k >= ZERO_CELSIUS + AIR_CELSIUS_LOW && temperature_k <= ZERO_CELSIUS + AIR_CELSIUS_HIGH))
		return 0;
	jw_status made = jw_air_from_humidity(level.pressure_pa, temperature_k,
	                                      isfinite(s.humidity) ? s.humidity : usual_humidity, air, NULL);
	*status |= made < 0 ? JW_OK : made;
	return made >= 0;
}

static int read_places(const cli_arguments *arguments, rejet_asked *asked, rejet_journey *p)
{
	const double humidity = jw_relative_humidity(&asked->was);
	for (const cli_option *option = air_options; option->name; option++)
		if (has(arguments, option->name) || has(arguments, "season"))
			return wrong_use(
			    arguments->command,
			    "--plan with places takes the place of --season, --%s and the like: each place states its own air",
			    option->name);
	for (const char *item = text_of(arguments, "plan", ""); item; p->count++) {
		item += strspn(item, " ");
		const size_t length = strcspn(item, ",");
		stated s = {NAN, NAN, NAN};
		if (p->count == JW_REJET_PLACES)
			return wrong_use(arguments->command, "--plan: expected at most %d places", JW_REJET_PLACES);
		if (!split(item, length, p->name[p->count], sizeof *p->name, &s) ||
		    !air_of(s, humidity, &p->air[p->count], &asked->status))
			return wrong_use(
			    arguments->command,
			    "--plan: '%.*s' is neither a road such as 0m:3000m nor a place, expected a name and its altitude from "
			    "%g to %g m, with or without a temperature from %g to %g C, a humidity or a season, such as "
			    "pass 2400m 5C",
			    (int)length, item, AIR_ALTITUDE_LOW_M, AIR_ALTITUDE_HIGH_M, AIR_CELSIUS_LOW, AIR_CELSIUS_HIGH);
		for (int at = 0; at < p->count; at++)
			if (!strcmp(p->name[at], p->name[p->count]))
				return wrong_use(arguments->command, "--plan: two places are named '%s', expected a name for each",
				                 p->name[at]);
		item = item[length] ? item + length + 1 : NULL;
	}
	return ANSWERED;
}

/* ---- telling ---- */

static void tell_sets(const rejet_asked *a)
{
	const rejet_journey *p = a->journey;
	const jw_rejet_visits *plan = &p->plan;
	cli_table table = {.left = 0};
	table_cell(&table, "place");
	rejet_part_headings(&table, plan->sought);
	for (int i = 0; i < plan->sets; i++)
		for (int at = 0; at < p->count; at++) {
			if (plan->fit[at] != i)
				continue;
			table_cell(&table, "%s", p->name[at]);
			rejet_part_cells(a, &table, plan->sought, plan->set[i].value, plan->set[i].place);
		}
	page_table(a->page, &table);
}

static void tell_mixtures(const rejet_asked *a)
{
	const rejet_journey *p = a->journey;
	cli_table table = {.left = 0};
	rejet_ratio_headings(&table);
	for (int at = 0; at < p->count; at++) {
		table_cell(&table, "%s", p->name[at]);
		rejet_ratio_cells(&table, p->plan.ratio[at]);
	}
	page_table(a->page, &table);
}

static void tell_out_of_reach(const rejet_asked *a)
{
	const rejet_journey *p = a->journey;
	const jw_rejet_visits *plan = &p->plan;
	for (int at = 0; at < p->count; at++) {
		rejet_words where;
		snprintf(where.text, sizeof where.text, "At %s", p->name[at]);
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			if (plan->let_out[at][r] > 0)
				page_say(a->page,
				         "%s the best choice at hand leaves the band at %s: it was let out by %.1f %% there%s.",
				         where.text, range_text_of(r).text, 100 * plan->let_out[at][r],
				         r == JW_FULL ? ", on the rich side" : "");
		if (plan->too_lean[at] >= REJET_LACKS)
			rejet_say_too_lean(a, where.text, plan->too_lean[at], plan->main_wanted_m[at]);
	}
}

void rejet_print_places(const rejet_asked *a)
{
	const rejet_journey *p = a->journey;
	page_say(a->page, "%s on %s, at %d place%s%s.", jw_profile_name(a->profile),
	         a->fuel ? a->fuel : jw_profile_fuel(a->profile), p->count, p->count > 1 ? "s" : "",
	         a->jets_word ? "" : ", with any bore at hand: --jets names those that are");
	rejet_say_targets(a);
	for (int at = 0; at < p->count; at++)
		page_item(a->page, 2, "  %s: %s", p->name[at], air_text(&p->air[at]).text);
}

void rejet_print_visits(const rejet_asked *a)
{
	const int sets = a->journey->plan.sets;
	page_title(a->page,
	           a->journey->count == 1 ? "One set serves it."
	           : sets == 1            ? "One set serves all of them."
	                                  : "%d sets serve them; no fewer were found.",
	           sets);
	tell_sets(a);
	page_caution(
	    a->page,
	    "Lean at full throttle destroys engines: where the way leads into denser air, lower or colder, fit the "
	    "set for there before it does, not after.");
}

void rejet_print_visit_bands(const rejet_asked *a)
{
	page_gap(a->page);
	tell_mixtures(a);
	rejet_say_band(a);
	tell_out_of_reach(a);
	rejet_print_warnings(a);
}

static void tell(const rejet_asked *a)
{
	rejet_print_places(a);
	page_gap(a->page);
	rejet_print_visits(a);
	rejet_print_visit_bands(a);
}

static void json_places(const rejet_asked *a)
{
	const rejet_journey *p = a->journey;
	const jw_rejet_visits *plan = &p->plan;
	cli_json json = json_begin(stdout);
	json_array(&json, "sets");
	for (int i = 0; i < plan->sets; i++) {
		json_object(&json, NULL);
		rejet_json_parts(&json, plan->sought, plan->set[i].value);
		json_object_end(&json);
	}
	json_array_end(&json);
	json_array(&json, "places");
	for (int at = 0; at < p->count; at++) {
		json_object(&json, NULL);
		json_text(&json, "name", p->name[at]);
		json_air(&json, "air", &p->air[at]);
		json_number(&json, "set", plan->fit[at]);
		rejet_json_too_lean(&json, plan->too_lean[at], plan->main_wanted_m[at]);
		json_array(&json, "ranges");
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			json_object(&json, NULL);
			json_text(&json, "range", jw_range_name((jw_range)r));
			json_number(&json, "lambda_over_target", 1 / plan->ratio[at][r]);
			json_number(&json, "let_out", plan->let_out[at][r]);
			json_warnings(&json, plan->warned[at][r]);
			json_object_end(&json);
		}
		json_array_end(&json);
		json_object_end(&json);
	}
	json_array_end(&json);
	json_warnings(&json, a->status);
	json_end(&json);
}

int rejet_places(const cli_arguments *arguments, rejet_asked *asked)
{
	rejet_journey p = {.count = 0};
	jw_error error = {0};
	int code = read_places(arguments, asked, &p);
	if (code != ANSWERED)
		return code;
	progress_begin("Finding the fewest sets of jets", 1, 0);
	progress_step();
	jw_status status = jw_rejet_plan_for(&asked->request, p.air, p.count, &p.plan, &error);
	progress_end();
	if (status < 0)
		return rejet_refused(arguments, asked, status, &error);
	asked->journey = &p;
	rejet_note_warnings(asked, status);
	if (has(arguments, "json"))
		json_places(asked);
	else
		tell(asked);
	code = rejet_files(arguments, asked);
	if (code == ANSWERED)
		code = rejet_answered(arguments, asked);
	asked->journey = NULL;
	return code;
}

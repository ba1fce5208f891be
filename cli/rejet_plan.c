/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fewest sets of jets for a road that climbs, in sentences and rows. */
#include "ambient.h"
#include "progress.h"
#include "rejet.h"
#include "show.h"
#include <math.h>
#include <string.h>

/* What is asked of a road. */
static int read_road(const cli_arguments *arguments, double *low_m, double *high_m)
{
	const char *text = text_of(arguments, "plan", "");
	char low[32];
	const size_t length = strcspn(text, ":");
	snprintf(low, sizeof low, "%.*s", (int)length, text);
	if (length >= sizeof low || !text[length] || jw_quantity_parse(low, JW_LENGTH, low_m, NULL) < 0 ||
	    jw_quantity_parse(text + length + 1, JW_LENGTH, high_m, NULL) < 0 ||
	    !(*low_m >= AIR_ALTITUDE_LOW_M && *high_m > *low_m && *high_m <= AIR_ALTITUDE_HIGH_M))
		return wrong_use(arguments->command,
		                 "--plan '%s': expected two altitudes from %g to %g m, the lower first, such as 0m:3000m", text,
		                 AIR_ALTITUDE_LOW_M, AIR_ALTITUDE_HIGH_M);
	if (has(arguments, "altitude") || has(arguments, "pressure") || has(arguments, "sea-level-pressure"))
		return wrong_use(arguments->command, "--plan takes the place of --altitude and --pressure");
	return ANSWERED;
}

static void print_set_table(const rejet_asked *a)
{
	const jw_rejet_plan *plan = a->plan;
	cli_table table = {.left = 0};
	table_cell(&table, "from");
	table_cell(&table, "to");
	rejet_part_headings(&table, plan->sought);
	for (int i = 0; i < plan->sets; i++) {
		const jw_rejet_stretch *s = &plan->set[i];
		table_cell(&table, "%.0f m", s->from_m);
		table_cell(&table, "%.0f m", s->to_m);
		rejet_part_cells(a, &table, plan->sought, s->value, s->place);
	}
	page_table(a->page, &table);
}

/* At either end of each stretch. */
static void print_mixtures(const rejet_asked *a)
{
	const jw_rejet_plan *plan = a->plan;
	cli_table table = {.left = 0};
	rejet_ratio_headings(&table);
	for (int i = 0; i < plan->sets; i++)
		for (int end = 0; end < 2; end++) {
			const jw_rejet_stretch *s = &plan->set[i];
			table_cell(&table, "at %.0f m%s", end ? s->to_m : s->from_m,
			           plan->sets > 1 ? end ? ", before the change" : ", after it" : "");
			rejet_ratio_cells(&table, end ? s->ratio_to : s->ratio_from);
		}
	page_table(a->page, &table);
}

/* Nobody expects that of thinner air. */
static const char *growth_words(const rejet_asked *a)
{
	const jw_profile *profile = a->other ? a->other : a->profile;
	return jw_profile_setup(profile)->carburetor.kind == JW_CONSTANT_DEPRESSION
	           ? " The main jet grows there although the air is thinner: it lifts the slide less, whose needle then "
	             "closes more of the needle jet."
	           : " The main jet grows there although the air is thinner: no steadier order needs as few sets.";
}

/* Limits are found within a metre. */
#define GAP_M 3

/* By how much ln(phi) is past the band of a range, as far as that was let out. */
static double past(const jw_rejet_plan *plan, int range, double ratio)
{
	const double off = log(ratio), out = plan->let_out[range];
	return fmax(off - jw_rejet_band((jw_range)range, 1) - out,
	            jw_rejet_band((jw_range)range, 0) - off - (range == JW_FULL ? plan->too_lean : out));
}

/* "full +0.91 %" of the range that is farthest past its band. */
static rejet_words farthest(const jw_rejet_plan *plan, const double *ratio)
{
	rejet_words w;
	int worst = 0;
	for (int r = 1; r < JW_RANGE_COUNT; r++)
		if (past(plan, r, ratio[r]) > past(plan, worst, ratio[worst]))
			worst = r;
	snprintf(w.text, sizeof w.text, "%s %+.2f %%", range_text_of(worst).text, 100 * (1 / ratio[worst] - 1));
	return w;
}

static void print_gap(const rejet_asked *a, const jw_rejet_stretch *below, const jw_rejet_stretch *above)
{
	page_say(
	    a->page,
	    "From %.0f to %.0f m neither set serves: at %.0f m the one below leaves the band with %s, the one above with "
	    "%s. A jet between theirs would close that.",
	    below->high_m, above->low_m, below->to_m, farthest(a->plan, below->ratio_to).text,
	    farthest(a->plan, above->ratio_from).text);
	if (past(a->plan, JW_FULL, above->ratio_from[JW_FULL]) > 0 && above->ratio_from[JW_FULL] < 1)
		page_say(a->page, "Until %.0f m stay with the one below: it is not the lean one.", above->low_m);
}

/* The first stretch with the same parts, or the stretch itself. */
static int first_alike(const jw_rejet_plan *plan, int stretch)
{
	int i = 0;
	while (memcmp(plan->set[i].value, plan->set[stretch].value, sizeof plan->set[i].value) != 0)
		i++;
	return i;
}

static int sets_apart(const jw_rejet_plan *plan)
{
	int apart = 0;
	for (int i = 0; i < plan->sets; i++)
		apart += first_alike(plan, i) == i;
	return apart;
}

static void print_returns(const rejet_asked *a)
{
	for (int i = 1; i < a->plan->sets; i++)
		if (first_alike(a->plan, i) < i)
			page_say(a->page, "The set from %.0f m is that from %.0f m again.", a->plan->set[i].from_m,
			         a->plan->set[first_alike(a->plan, i)].from_m);
}

static void print_changes(const rejet_asked *a)
{
	for (int i = 0; i + 1 < a->plan->sets; i++) {
		const jw_rejet_stretch *below = &a->plan->set[i], *above = &a->plan->set[i + 1];
		if (above->low_m > below->high_m + GAP_M)
			print_gap(a, below, above);
		page_say(a->page, "Change at about %.0f m: the one below serves up to %.0f m, the one above from %.0f m.%s",
		         below->to_m, below->high_m, above->low_m,
		         above->value[JW_PART_MAIN_JET] > below->value[JW_PART_MAIN_JET] ? growth_words(a) : "");
	}
}

static void print_out_of_reach(const rejet_asked *a)
{
	const jw_rejet_plan *plan = a->plan;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		if (plan->let_out[r] > 0)
			page_say(a->page, "The best choice at hand leaves it somewhere at %s: its band was let out by %.1f %%%s.",
			         range_text_of(r).text, 100 * plan->let_out[r], r == JW_FULL ? " on the rich side" : "");
	if (plan->too_lean >= REJET_LACKS)
		rejet_say_too_lean(a, "Somewhere on the road", plan->too_lean, plan->main_wanted_m);
}

/* What is told of the air holds all the way up; else it is that of the standard atmosphere. */
static void print_air(const rejet_asked *a)
{
	const jw_rejet_change *warmth = NULL, *damp = NULL;
	jw_atmosphere foot, top;
	char temperature[64];
	for (int i = 0; i < a->request.changes; i++) {
		warmth = a->change[i].kind == JW_REJET_TEMPERATURE ? &a->change[i] : warmth;
		damp = a->change[i].kind == JW_REJET_HUMIDITY ? &a->change[i] : damp;
	}
	jw_standard_atmosphere(a->low_m, &foot, NULL);
	jw_standard_atmosphere(a->high_m, &top, NULL);
	if (warmth)
		snprintf(temperature, sizeof temperature, "%.1f C everywhere", warmth->value - ZERO_CELSIUS);
	else
		snprintf(temperature, sizeof temperature, "%.1f C at its foot, %.1f C at its top",
		         foot.temperature_k - ZERO_CELSIUS, top.temperature_k - ZERO_CELSIUS);
	page_say(a->page,
	         "At the pressure of the standard atmosphere, %s (%s), with a relative humidity of %.0f %% as %s. Another "
	         "day moves the "
	         "changes.",
	         temperature, warmth ? "as told" : "--temperature tells another",
	         100 * (damp ? damp->value : jw_relative_humidity(&a->was)), damp ? "told" : "where it ran right");
}

void rejet_print_road(const rejet_asked *a)
{
	page_say(a->page, "%s on %s, from %.0f to %.0f m%s.", jw_profile_name(a->profile),
	         a->fuel ? a->fuel : jw_profile_fuel(a->profile), a->low_m, a->high_m,
	         a->jets_word ? "" : ", with any bore at hand: --jets names those that are");
	print_air(a);
	rejet_say_targets(a);
}

void rejet_print_sets(const rejet_asked *a)
{
	const int sets = a->plan->sets, apart = sets_apart(a->plan);
	if (sets == 1)
		page_title(a->page, "One set serves all of it.");
	else if (apart == sets)
		page_title(a->page, "%d sets serve it; of those that are best somewhere on it, no fewer do.", sets);
	else
		page_title(a->page, "%d sets serve it, on %d stretches; of those that are best somewhere on it, no fewer do.",
		           apart, sets);
	print_set_table(a);
	print_changes(a);
	print_returns(a);
	page_gap(a->page);
	page_say(a->page, "Changes are due going up when the engine grows rich, going down before it grows lean.");
	page_caution(a->page,
	             "Lean at full throttle destroys engines: coming down from a pass, fit the lower set before the "
	             "change, not after it.");
}

void rejet_print_bands(const rejet_asked *a)
{
	page_gap(a->page);
	print_mixtures(a);
	rejet_say_band(a);
	print_out_of_reach(a);
	rejet_print_warnings(a);
}

static void print_plan(const rejet_asked *a)
{
	rejet_print_road(a);
	page_gap(a->page);
	rejet_print_sets(a);
	rejet_print_bands(a);
}

/* At either end of it. */
static jw_status warnings_of(const jw_rejet_stretch *s)
{
	jw_status status = JW_OK;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		status |= s->warned_from[r] | s->warned_to[r];
	return status;
}

static void json_plan(const rejet_asked *a)
{
	const jw_rejet_plan *plan = a->plan;
	cli_json json = json_begin(stdout);
	json_number(&json, "low_m", a->low_m);
	json_number(&json, "high_m", a->high_m);
	json_array(&json, "sets");
	for (int i = 0; i < plan->sets; i++) {
		const jw_rejet_stretch *s = &plan->set[i];
		json_object(&json, NULL);
		json_number(&json, "from_m", s->from_m);
		json_number(&json, "to_m", s->to_m);
		json_number(&json, "serves_from_m", s->low_m);
		json_number(&json, "serves_to_m", s->high_m);
		rejet_json_parts(&json, plan->sought, s->value);
		json_array(&json, "lambda_over_target");
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			json_object(&json, NULL);
			json_text(&json, "range", jw_range_name((jw_range)r));
			json_number(&json, "from", 1 / s->ratio_from[r]);
			json_number(&json, "to", 1 / s->ratio_to[r]);
			json_object_end(&json);
		}
		json_array_end(&json);
		json_warnings(&json, warnings_of(s));
		json_object_end(&json);
	}
	json_array_end(&json);
	rejet_json_too_lean(&json, plan->too_lean, plan->main_wanted_m);
	json_warnings(&json, a->status);
	json_end(&json);
}

int rejet_plan(const cli_arguments *arguments, rejet_asked *asked)
{
	jw_error error = {0};
	jw_rejet_plan plan;
	if (!strchr(text_of(arguments, "plan", ""), ':'))
		return rejet_places(arguments, asked);
	int code = read_road(arguments, &asked->low_m, &asked->high_m);
	if (code != ANSWERED)
		return code;
	progress_begin("Finding the fewest sets of jets", 1, 0);
	progress_step();
	jw_status status = jw_rejet_plan_over(&asked->request, asked->low_m, asked->high_m, &plan, &error);
	progress_end();
	if (status < 0)
		return rejet_refused(arguments, asked, status, &error);
	asked->plan = &plan;
	rejet_note_warnings(asked, status);
	if (has(arguments, "json"))
		json_plan(asked);
	else
		print_plan(asked);
	code = rejet_files(arguments, asked);
	if (code == ANSWERED)
		code = rejet_answered(arguments, asked);
	asked->plan = NULL;
	return code;
}

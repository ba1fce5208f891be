/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "show.h"
#include "progress.h"
#include <ctype.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

/* The library's members end in their SI unit: "speed_rev_s" is a speed in rev/s. */
static const struct unit_ending {
	const char *ending, *unit;
	double factor; /* from SI */
	double below;  /* told so where the greatest value allowed is less, SI */
} endings[] = {
    {"_rev_s", " rpm", 60, INFINITY},  {"_kg_s", " g/s", 1e3, INFINITY}, {"_m3_s", " ml/min", 6e7, INFINITY},
    {"_kg_m3", " kg/m3", 1, INFINITY}, {"_pa", " Pa", 1, 1e3},           {"_pa", " kPa", 1e-3, INFINITY},
    {"_k", " K", 1, INFINITY},         {"_rad", " rad", 1, INFINITY},    {"_m2", " mm2", 1e6, INFINITY},
    {"_m3", " cm3", 1e6, INFINITY},    {"_kg", " g", 1e3, INFINITY},     {"_m", " mm", 1e3, 1},
    {"_m", " m", 1, INFINITY},         {"_s", " s", 1, INFINITY},        {"", "", 1, INFINITY},
};

static int ends_with(const char *text, const char *ending)
{
	const size_t length = strlen(text), end = strlen(ending);
	return (length > end || !end) && !strcmp(text + length - end, ending);
}

static const struct unit_ending *ending_of(const jw_error *error)
{
	const struct unit_ending *row = endings;
	while (*row->ending && !(ends_with(error->field, row->ending) && error->high < row->below))
		row++;
	return row;
}

int library_error(const cli_command *command, jw_status status, const jw_error *error)
{
	progress_end();
	fprintf(stderr, "jetwright %s: %s", command->name, jw_status_text(status));
	if (error->field && *error->field) {
		const struct unit_ending *end = ending_of(error);
		char words[96];
		snprintf(words, sizeof words, "%.*s", (int)(strlen(error->field) - strlen(end->ending)), error->field);
		for (char *c = words; *c; c++)
			*c = *c == '_' || *c == '.' ? ' ' : *c;
		fprintf(stderr, ": %s", words);
		if (error->low < error->high)
			fprintf(stderr, " is %g%s, expected %g to %g%s", error->value * end->factor, end->unit,
			        error->low * end->factor, error->high * end->factor, end->unit);
	}
	fputc('\n', stderr);
	return FAILED;
}

static const jw_status warnings[] = {
#define JW_X(name, value, text) name,
    JW_WARNING_LIST(JW_X)
#undef JW_X
};
enum { WARNINGS = sizeof warnings / sizeof *warnings };

/* "at idle, half: " for the ranges that a warning is about. */
static void print_ranges(const jw_status *at, jw_status bit)
{
	const char *before = " at ";
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		if (!(at[range] & bit))
			continue;
		fprintf(stderr, "%s%s", before, range_text_of(range).text);
		before = ", ";
	}
	if (*before == ',')
		fprintf(stderr, ":");
}

int answered(const cli_arguments *arguments, jw_status status, const jw_status *at)
{
	int said = 0;
	for (int i = 0; i < WARNINGS; i++) {
		if (!(status & warnings[i] & ~JW_W_CHOKED))
			continue;
		fprintf(stderr, "jetwright %s: warning:", arguments->command->name);
		if (at)
			print_ranges(at, warnings[i]);
		fprintf(stderr, " %s\n", jw_status_text(warnings[i]));
		said = 1;
	}
	return said && has(arguments, "strict") ? FAILED : ANSWERED;
}

static const struct {
	const char *name;
	size_t orifice;
} bores[] = {{"main jet", offsetof(jw_setup, carburetor.main.fuel_jet)},
             {"main air jet", offsetof(jw_setup, carburetor.main.air_jet)},
             {"pilot jet", offsetof(jw_setup, carburetor.pilot.fuel_jet)},
             {"pilot air jet", offsetof(jw_setup, carburetor.pilot.air_jet)},
             {"power jet", offsetof(jw_setup, carburetor.power.fuel_jet)},
             {"power jet's air jet", offsetof(jw_setup, carburetor.power.air_jet)},
             {"enrichener's jet", offsetof(jw_setup, carburetor.enrichener.fuel_jet)},
             {"enrichener's air jet", offsetof(jw_setup, carburetor.enrichener.air_jet)}};
enum { BORES = sizeof bores / sizeof *bores };

/* Within the fit whatever the length of a bore. */
static const double any_reynolds = 1000;

void name_unfitted(const cli_arguments *arguments, jw_status status, const jw_setup *setup)
{
	for (int i = 0; i < BORES && status & JW_W_EXTRAPOLATED; i++) {
		const jw_orifice *o = (const void *)((const char *)setup + bores[i].orifice);
		const double ratio = o->diameter_m > 0 ? o->length_m / o->diameter_m : 0;
		double cd;
		if (o->diameter_m > 0 && !(o->coefficient > 0) &&
		    jw_discharge_coefficient(any_reynolds, ratio, &cd) == JW_W_EXTRAPOLATED)
			fprintf(stderr,
			        "jetwright %s: the %s is %.2g times as long as wide, for which the formula was not fitted\n",
			        arguments->command->name, bores[i].name, ratio);
	}
}

int nozzle_is_fixed(const jw_setup *setup)
{
	const jw_needle *needle = &setup->carburetor.needle;
	return !(needle->straight_m > 0 || needle->tip_m > 0);
}

/* What each multiplies. */
static const char *const multiplied[] = {[JW_UNKNOWN_AIR] = "engine's air",
                                         [JW_UNKNOWN_MAIN] = "main jet",
                                         [JW_UNKNOWN_NEEDLE] = "needle",
                                         [JW_UNKNOWN_PILOT] = "pilot jet"};

const char *coefficient_outside(const jw_setup *setup, jw_unknown unknown)
{
	const double value = jw_unknown_value(setup, unknown);
	const char *word = unknown == JW_UNKNOWN_NEEDLE && nozzle_is_fixed(setup) ? "nozzle" : multiplied[unknown];
	return value < JW_COEFFICIENT_LEAST || value > JW_COEFFICIENT_MOST ? word : NULL;
}

void name_coefficients(const cli_arguments *arguments, jw_status status, const jw_setup *setup)
{
	for (int u = JW_UNKNOWN_AIR; u <= JW_UNKNOWN_PILOT && status & JW_W_COEFFICIENT; u++) {
		const char *word = coefficient_outside(setup, (jw_unknown)u);
		if (word)
			fprintf(stderr, "jetwright %s: the coefficient of the %s is %.2f\n", arguments->command->name, word,
			        jw_unknown_value(setup, (jw_unknown)u));
	}
}

void json_warnings(cli_json *json, jw_status status)
{
	json_array(json, "warnings");
	for (int i = 0; i < WARNINGS; i++) {
		char word[32] = "";
		if (!(status & warnings[i]))
			continue;
		snprintf(word, sizeof word, "%s", jw_status_name(warnings[i]) + strlen("JW_W_"));
		for (char *c = word; *c; c++)
			*c = (char)tolower((unsigned char)*c);
		json_text(json, NULL, word);
	}
	json_array_end(json);
}

int read_range(const cli_arguments *arguments, jw_range unless_given, jw_range *range)
{
	const char *word = text_of(arguments, "at", jw_range_name(unless_given));
	for (*range = JW_IDLE; *range < JW_RANGE_COUNT; ++*range)
		if (strcmp(jw_range_name(*range), word) == 0)
			return ANSWERED;
	const char *known[JW_RANGE_COUNT];
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		known[r] = jw_range_name((jw_range)r);
	return wrong_use(arguments->command,
	                 "--at %s: no such range, expected idle, off_idle, quarter, half, three_quarter or full%s", word,
	                 hint_of(word, known, JW_RANGE_COUNT).text);
}

jw_range nearest_range(const jw_setup *setup, double throttle)
{
	jw_range nearest = JW_IDLE;
	for (jw_range range = JW_IDLE; range < JW_RANGE_COUNT; range++)
		if (fabs(setup->range[range].throttle - throttle) < fabs(setup->range[nearest].throttle - throttle))
			nearest = range;
	return nearest;
}

const jw_passage_info *passage_named(const cli_arguments *arguments, const char *word)
{
	const jw_passage_info *info = jw_passage_at((jw_passage)jw_passage_find(word));
	char names[256] = "";
	const char *known[JW_PASSAGE_COUNT];
	for (int i = 0; i < JW_PASSAGE_COUNT; i++)
		known[i] = jw_passage_at((jw_passage)i)->id;
	for (int i = 0; i < JW_PASSAGE_COUNT && !info; i++)
		snprintf(names + strlen(names), sizeof names - strlen(names), "%s%s", i ? ", " : "",
		         jw_passage_at((jw_passage)i)->id);
	if (!info)
		wrong_use(arguments->command, "%s: no such part, expected one of %s%s", word, names,
		          hint_of(word, known, JW_PASSAGE_COUNT).text);
	return info;
}

int no_such_passage(const cli_arguments *arguments, const jw_passage_info *passage)
{
	fprintf(stderr, "jetwright %s: this engine has no %s\n", arguments->command->name, passage->text);
	return FAILED;
}

range_words range_text_of(int range)
{
	range_words words;
	snprintf(words.text, sizeof words.text, "%s", jw_range_name(range));
	for (char *c = words.text; *c; c++)
		*c = *c == '_' ? ' ' : *c;
	return words;
}

/* Beyond this no engine fires, and figures say no more. */
static const double lambda_told = 2;

number_text lambda_text(double lambda)
{
	number_text number;
	if (lambda > lambda_told)
		snprintf(number.text, sizeof number.text, "over %.0f", lambda_told);
	else
		snprintf(number.text, sizeof number.text, lambda > 0 ? "%.2f" : "no fuel", lambda);
	return number;
}

number_text lambda_interval(double low, double high)
{
	number_text interval = lambda_text(low), top = lambda_text(high);
	if (strcmp(interval.text, top.text))
		snprintf(interval.text + strlen(interval.text), sizeof interval.text - strlen(interval.text), " to %s",
		         top.text);
	return interval;
}

number_text lambda_interval_about(double lambda, double relative)
{
	if (lambda > 0)
		return lambda_interval(lambda * exp(-SIGMAS_90 * relative), lambda * exp(SIGMAS_90 * relative));
	return (number_text){"-"};
}

void json_lambda_interval(cli_json *json, double lambda, double relative)
{
	json_number_or_null(json, "lambda_low_90", lambda * exp(-SIGMAS_90 * relative));
	json_number_or_null(json, "lambda_high_90", lambda * exp(SIGMAS_90 * relative));
}

number_text pressure_text(double pascal)
{
	const int large = pascal >= 1e3;
	number_text number = significant(large ? pascal / 1e3 : pascal, 3);
	strcat(number.text, large ? " kPa" : " Pa");
	return number;
}

double lambda_of(double phi)
{
	return phi > 0 ? 1 / phi : 0;
}

/* What a baseline anchors: the coefficient, the range, and the wanted lambda. */
typedef struct anchor {
	const char *word;
	size_t coefficient, lambda;
	jw_range range;
} anchor;

static const anchor anchors[] = {
    {"pilot", offsetof(jw_coefficients, pilot), offsetof(jw_baseline, lambda_idle), JW_IDLE},
    {"needle", offsetof(jw_coefficients, needle), offsetof(jw_baseline, lambda_half), JW_HALF},
    {"main", offsetof(jw_coefficients, main), offsetof(jw_baseline, lambda_full), JW_FULL},
};
enum { ANCHORS = sizeof anchors / sizeof *anchors };

const double *numbers_at(const void *from, size_t offset)
{
	return (const double *)(const void *)((const char *)from + offset);
}

double number_at(const void *from, size_t offset)
{
	return *numbers_at(from, offset);
}

static const struct {
	const char *word;
	size_t offset;
} coefficients[] = {
    {"air", offsetof(jw_coefficients, air)},
    {"main", offsetof(jw_coefficients, main)},
    {"needle", offsetof(jw_coefficients, needle)},
    {"pilot", offsetof(jw_coefficients, pilot)},
};
enum { COEFFICIENTS = sizeof coefficients / sizeof *coefficients };

/* Of a profile without a baseline to find them. */
static void print_stated_coefficients(const jw_setup *setup, cli_page *page)
{
	int stated = 0;
	for (int i = 0; i < COEFFICIENTS; i++)
		stated |= number_at(&setup->coefficient, coefficients[i].offset) != 1;
	if (!stated) {
		page_say(page, "The profile states no baseline, so lambda comes from dimensions alone and may be off by the "
		               "interval given; differences from one part to another are surer.");
		return;
	}
	page_say(page,
	         "The profile states these coefficients on the flow that the dimensions give (1 = as computed; 0.8 to 1.25 "
	         "is sound):");
	cli_table table = {0};
	table_heading(&table, (const char *const[]){"", "coefficient", "standard uncertainty"}, 3);
	for (int i = 0; i < COEFFICIENTS; i++) {
		table_cell(&table, "%s", coefficients[i].word);
		table_cell(&table, "%.3f", number_at(&setup->coefficient, coefficients[i].offset));
		table_cell(&table, "%.1f %%", 100 * number_at(&setup->uncertainty, coefficients[i].offset));
		table_row_end(&table);
	}
	page_table(page, &table);
}

void print_screw(const jw_setup *setup, cli_page *page)
{
	static const char *const works[JW_SCREW_KIND_COUNT] = {
	    [JW_FUEL_SCREW] = "a fuel screw: out is richer",
	    [JW_AIR_SCREW] = "an air screw: out is leaner",
	};
	const jw_screw *screw = &setup->carburetor.screw;
	page_say(page, "The mixture screw is %s. It stands %s turns out from lightly seated.", works[screw->kind],
	         significant(screw->turns, 3).text);
}

void print_calibration(const jw_profile *profile, cli_page *page)
{
	const jw_baseline *baseline = jw_profile_baseline(profile);
	const jw_calibration *found = jw_profile_calibration(profile);
	if (!found) {
		print_stated_coefficients(jw_profile_setup(profile), page);
		return;
	}
	page_say(page, "The profile's baseline is met by these coefficients on the flow that the dimensions give (1 = as "
	               "computed; 0.8 to 1.25 is sound):");
	cli_table table = {.left = 1u << 1};
	table_heading(&table, (const char *const[]){"circuit", "at", "coefficient", "lambda with it", "without"}, 5);
	for (int i = 0; i < ANCHORS; i++) {
		table_cell(&table, "%s",
		           anchors[i].range == JW_HALF && nozzle_is_fixed(jw_profile_setup(profile)) ? "nozzle"
		                                                                                     : anchors[i].word);
		table_cell(&table, "%s", range_text_of(anchors[i].range).text);
		table_cell(&table, "%.2f", number_at(&found->coefficient, anchors[i].coefficient));
		table_cell(&table, "%s", lambda_text(number_at(baseline, anchors[i].lambda)).text);
		table_cell(&table, "%s", lambda_text(found->lambda_uncalibrated[anchors[i].range]).text);
		table_row_end(&table);
	}
	page_table(page, &table);
}

void json_calibration(cli_json *json, const jw_profile *profile)
{
	const jw_coefficients *c = &jw_profile_setup(profile)->coefficient;
	const jw_baseline *baseline = jw_profile_baseline(profile);
	const jw_calibration *found = jw_profile_calibration(profile);
	json_object(json, "coefficients");
	for (int i = 0; i < COEFFICIENTS; i++)
		json_number(json, coefficients[i].word, number_at(c, coefficients[i].offset));
	json_object_end(json);
	if (!baseline) {
		json_null(json, "baseline");
		return;
	}
	json_object(json, "baseline");
	for (int i = 0; i < ANCHORS; i++) {
		json_object(json, jw_range_name(anchors[i].range));
		json_number(json, "lambda", number_at(baseline, anchors[i].lambda));
		json_number_or_null(json, "lambda_uncalibrated", found ? found->lambda_uncalibrated[anchors[i].range] : 0);
		json_object_end(json);
	}
	json_object_end(json);
}

void table_heading(cli_table *table, const char *const *words, int count)
{
	for (int i = 0; i < count; i++)
		table_cell(table, "%s", words[i]);
	table_row_end(table);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* explain: which jet change or cleaning target explains this complaint, how sure, and what to do. */
#include "commands.h"
#include "files.h"
#include "show.h"
#include <string.h>

/* Causes below this are left out of the text; JSON has them all. */
static const double least_shown = 0.02;
/* Evidence at least so probable under a finding fits it, though a sound engine would show it too. */
static const double fits_from = 0.5;

static const cli_option explain_options[] = {
    {"flat-history", OPTION_FLAG, 0, 0, 0, NULL,
     "leave aside how long it stood and what was changed: all causes equally likely beforehand"},
    {0},
};

/* A worked case. */
typedef struct answer {
	const jw_case *known;
	const jw_profile *profile;
	const jw_setup *healthy;
	const jw_report *report;
	const char *about;
	jw_status status;
} answer;

/* ---- parts as a mask changes them ---- */

/* How a part's dimension is written. */
typedef struct part_words {
	const char *unit, *format; /* of value and present value */
	double si;
} part_words;

#define BORE(name)                                                                                                     \
	{                                                                                                                  \
		"mm", "A " name " of %.2f mm in place of %.2f mm", 1e-3                                                        \
	}

static const part_words part_texts[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = BORE("main jet"),
    [JW_PART_PILOT_JET] = BORE("pilot jet"),
    [JW_PART_MAIN_AIR_JET] = BORE("main air jet"),
    [JW_PART_PILOT_AIR_JET] = BORE("pilot air jet"),
    [JW_PART_MIXTURE_SCREW] = {"turns",
                               "The mixture screw at %.1f turns in place of %.1f (counted out from lightly seated; out "
                               "enriches)",
                               1},
    [JW_PART_NEEDLE_POSITION] =
        {"mm",
         "The needle at %+.1f mm in place of %+.1f mm (plus is up, the clip lower on the needle; "
         "up enriches)",
         1e-3},
};

/* ---- effects ---- */

/* How an effect is said: quantity and action choose the row, the value fills it. */
typedef struct effect_words {
	const char *quantity, *action; /* action NULL: any */
	const char *before, *after; /* around "55 %"; `before` follows "The pilot jet" unless it has a subject of its own */
	int own_subject;
} effect_words;

static const effect_words effect_texts[] = {
    {"flow_share", NULL, "passes", "of its clean flow", 0},
    {"area_share", NULL, "has", "of its area open", 0},
    {"bore", "fit", "wants a bore of", "", 0},
    {"bore", "seal", "leaks like a hole of", "", 0},
    {"bore", NULL, "acts like a bore of", "", 0},
    {"needle_low", NULL, "sits", "too low", 0},
    {"needle_high", NULL, "sits", "too high", 0},
    {"level_low", NULL, "The fuel in the bowl stands", "too low", 1},
    {"level_high", NULL, "The fuel in the bowl stands", "too high", 1},
    {"turns", NULL, "stands at", "out, counted from lightly seated (out enriches)", 0},
    {"lift", NULL, "stays at a lift of", "", 0},
    {"loss", NULL, "takes", "from the air at its rated flow", 0},
    {"opening", NULL, "stays", "open", 0},
};
enum { EFFECT_TEXTS = sizeof effect_texts / sizeof *effect_texts };

static const effect_words *effect_words_for(const jw_cause_info *cause)
{
	for (int i = 0; i < EFFECT_TEXTS; i++) {
		const effect_words *row = &effect_texts[i];
		if (strcmp(row->quantity, cause->effect_quantity) == 0 &&
		    (!row->action || strcmp(row->action, cause->action) == 0))
			return row;
	}
	return NULL;
}

/* "55" or "0.29", with the digits that such a size carries. */
static number_text effect_number(const char *unit, double value)
{
	number_text number;
	const int share = strcmp(unit, "1") == 0, fine = strcmp(unit, "mm") == 0;
	snprintf(number.text, sizeof number.text, share ? "%.0f" : fine ? "%.2f" : "%.1f", share ? 100 * value : value);
	return number;
}

/* The part that a cause is about, if it is one that can be exchanged or turned; else JW_PART_COUNT. */
static jw_part part_of(const jw_cause_info *cause)
{
	for (int part = 0; part < JW_PART_COUNT; part++) {
		const char *name = jw_part_name((jw_part)part), *word = cause->part;
		while (*name && (*name == *word || (*name == '_' && *word == ' ')))
			name++, word++;
		if (!*name && !*word)
			return (jw_part)part;
	}
	return JW_PART_COUNT;
}

static const char *capital(const char *text, char *copy, size_t size)
{
	snprintf(copy, size, "%s", text);
	if (copy[0] >= 'a' && copy[0] <= 'z')
		copy[0] = (char)(copy[0] - 'a' + 'A');
	return copy;
}

/* ---- how sure ---- */

static const struct {
	double from;
	const char *word;
} sureness[] = {
    {0.95, "almost certain"}, {0.7, "likely"}, {0.5, "more likely than not"}, {0.25, "possible"}, {0, "a weak lead"},
};

static const char *sure_word(double probability)
{
	int i = 0;
	while (probability < sureness[i].from)
		i++;
	return sureness[i].word;
}

/* ---- evidence ---- */

typedef enum bearing { EXPLAINS, FITS, OPEN, AGAINST, BEARINGS } bearing;

static bearing bearing_of(const jw_explained *e)
{
	if (e->explains > 0)
		return EXPLAINS;
	if (e->explains < 0)
		return AGAINST;
	return e->likelihood >= fits_from ? FITS : OPEN;
}

static void print_evidence(const jw_evidence *seen)
{
	const jw_evidence_kind *kind = jw_evidence_kind_at(seen->kind);
	printf("  ");
	if (kind->takes_value)
		printf("%s: %s, %.2f\n", range_text_of(seen->range).text, kind->text, seen->value);
	else if (kind->takes_range)
		text_wrap(stdout, 2, 4, "%s: %s", range_text_of(seen->range).text, kind->text);
	else
		text_wrap(stdout, 2, 4, "%s", kind->text);
}

static void print_bearing(const answer *a, const jw_finding *finding, bearing which, const char *title)
{
	int printed = 0;
	for (int i = 0; i < a->known->evidences; i++) {
		if (bearing_of(&finding->explained[i]) != which)
			continue;
		if (!printed++)
			printf("\n%s\n", title);
		print_evidence(&a->known->evidence[finding->explained[i].evidence]);
	}
}

/* ---- text ---- */

static const char *const other_text = "something else (spark, compression, fuel supply, ...)";

/* " in place of 0.38 mm": what the part is on the sound engine, where that is said in the same unit. */
static void in_place_of(const answer *a, const jw_cause_info *cause, const char *unit, char *text, size_t size)
{
	const jw_part part = part_of(cause);
	*text = '\0';
	if (part < JW_PART_COUNT && strcmp(part_texts[part].unit, unit) == 0)
		snprintf(text, size, " in place of %s %s",
		         effect_number(unit, jw_part_value(a->healthy, part) / part_texts[part].si).text, unit);
}

static void print_effect(const answer *a, const jw_cause_info *cause, const jw_finding *finding)
{
	char subject[64] = "", instead[64];
	const char *unit = strcmp(cause->effect_unit, "1") == 0 ? "%" : cause->effect_unit;
	const effect_words *words = effect_words_for(cause);
	if (!words)
		return;
	if (!words->own_subject)
		snprintf(subject, sizeof subject, "The %s ", cause->part);
	in_place_of(a, cause, unit, instead, sizeof instead);
	text_wrap(stdout, 0, 0, "%s%s %s %s%s%s%s (90 %% interval: %s to %s %s).", subject, words->before,
	          effect_number(cause->effect_unit, finding->effect.value).text, unit, instead, *words->after ? " " : "",
	          words->after, effect_number(cause->effect_unit, finding->effect.low_90).text,
	          effect_number(cause->effect_unit, finding->effect.high_90).text, unit);
	if (!(finding->bore.value > 0))
		return;
	in_place_of(a, cause, "mm", instead, sizeof instead);
	text_wrap(stdout, 0, 0, "It acts like a clean bore of %.2f mm%s (%.2f to %.2f mm).", finding->bore.value * 1e3,
	          instead, finding->bore.low_90 * 1e3, finding->bore.high_90 * 1e3);
}

static void print_finding(const answer *a, const jw_finding *finding)
{
	char text[128];
	const jw_cause_info *cause = jw_cause_at(finding->cause);
	const jw_hypothesis *first = jw_report_hypothesis(a->report, 0);
	if (first->cause[0] < 0)
		text_wrap(
		    stdout, 0, 0,
		    "Something else comes first (spark, compression, fuel supply, ...): %s, probability %.2f. Of the causes in "
		    "the carburetor and its air:",
		    sure_word(first->probability), first->probability);
	text_wrap(stdout, 0, 0, "%s: %s, probability %.2f.", capital(cause->text, text, sizeof text),
	          sure_word(finding->probability), finding->probability);
	print_effect(a, cause, finding);
}

/* What else it may be, `other` included. */
static void print_others(const answer *a, const jw_finding *finding)
{
	cli_table table = {0};
	for (int i = 0; i < jw_report_hypotheses(a->report) && table.row < TABLE_ROWS; i++) {
		const jw_hypothesis *h = jw_report_hypothesis(a->report, i);
		if (h->probability < least_shown || h->cause[0] == finding->cause)
			continue;
		table_cell(&table, "%s", h->cause[0] < 0 ? other_text : jw_cause_at(h->cause[0])->text);
		table_cell(&table, "%.2f", h->probability);
		table_row_end(&table);
	}
	if (!table.row)
		return;
	printf("\nIf it is not that (probability of each):\n");
	table_print(&table, stdout);
}

static void print_lambda(const jw_finding *finding)
{
	cli_table table = {0};
	printf("\nLambda (above 1 is lean, below 1 rich) with this fault, and once it is mended:\n");
	table_heading(&table, (const char *const[]){"", "now", "90 % interval", "after"}, 4);
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		const jw_interval *now = &finding->lambda_now[range];
		table_cell(&table, "%s", range_text_of(range).text);
		table_cell(&table, "%s", lambda_text(now->value).text);
		if (now->value > 0 && now->high_90 > 0)
			table_cell(&table, "%s to %s", lambda_text(now->low_90).text, lambda_text(now->high_90).text);
		else
			table_cell(&table, now->value > 0 ? "%s to no fuel" : "-", lambda_text(now->low_90).text);
		table_cell(&table, "%s", lambda_text(finding->lambda_after[range]).text);
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

static void print_mask(const answer *a, const jw_cause_info *cause, const jw_finding *finding)
{
	char change[160], where[24];
	if (!finding->has_mask)
		return;
	const part_words *words = &part_texts[finding->mask_part];
	snprintf(change, sizeof change, words->format, finding->mask_value / words->si,
	         jw_part_value(a->healthy, finding->mask_part) / words->si);
	snprintf(where, sizeof where, "%s", range_text_of(finding->mask_range).text);
	const double wanted = finding->lambda_after[finding->mask_range], left = finding->mask_lambda_after;
	printf("\n");
	text_wrap(stdout, 0, 0,
	          "%s would bring lambda at %s back to %.2f with the fault still there, and so hide it; once the fault is "
	          "gone the "
	          "same change would leave %.2f there, too %s. So %s first, and change no brass for this.",
	          change, where, wanted, left, left < wanted ? "rich" : "lean", cause->action);
}

static void print_retest(const answer *a, const jw_finding *finding)
{
	int open = 0;
	for (int i = 0; i < a->known->evidences; i++)
		open += bearing_of(&finding->explained[i]) == OPEN || bearing_of(&finding->explained[i]) == AGAINST;
	text_wrap(stdout, 2, 2,
	          "Then try again everything listed above: faults come in pairs, and mending one may uncover another.%s",
	          open ? " What this finding does not explain may have a cause of its own." : "");
	for (int i = 0; i < 2 && i < jw_report_hypotheses(a->report); i++) {
		const jw_hypothesis *h = jw_report_hypothesis(a->report, i);
		if (h->cause[0] == finding->cause || h->probability < least_shown)
			continue;
		printf("  ");
		text_wrap(stdout, 2, 2, "If a part of the complaint stays, look next for this: %s.",
		          h->cause[0] < 0 ? other_text : jw_cause_at(h->cause[0])->text);
	}
}

static void print_text(const answer *a)
{
	const jw_finding *finding = jw_report_finding(a->report, 0);
	const jw_cause_info *cause = jw_cause_at(finding->cause);
	char remedy[256];
	text_wrap(stdout, 0, 0, "%s on %s. %s", jw_profile_name(a->profile), jw_profile_fuel(a->profile), a->about);
	printf("\n");
	print_finding(a, finding);
	print_bearing(a, finding, EXPLAINS, "It explains:");
	print_bearing(a, finding, FITS, "It agrees with, as a sound engine would:");
	print_bearing(a, finding, OPEN, "It does not explain:");
	print_bearing(a, finding, AGAINST, "Speaks against it:");
	print_others(a, finding);
	print_lambda(finding);
	print_mask(a, cause, finding);
	printf("\nWhat to do:\n  ");
	text_wrap(stdout, 2, 2, "%s.", capital(cause->remedy, remedy, sizeof remedy));
	if (finding->fit_value > 0) {
		/* From the rich side: the larger end of the interval. */
		printf("  ");
		text_wrap(stdout, 2, 2, "Start rich, at %.2f mm, and come down in steps towards %.2f mm.",
		          finding->effect.high_90, finding->effect.value);
	}
	printf("  ");
	text_wrap(stdout, 2, 2, "Caution: %s", cause->caution);
	printf("  ");
	print_retest(a, finding);
}

/* ---- JSON ---- */

static void json_interval(cli_json *json, const char *key, const jw_interval *interval)
{
	json_array(json, key);
	json_number(json, NULL, interval->low_90);
	json_number(json, NULL, interval->high_90);
	json_array_end(json);
}

static void json_evidence(cli_json *json, const char *key, const answer *a, const jw_finding *finding, int explains)
{
	json_array(json, key);
	for (int i = 0; i < a->known->evidences; i++) {
		const jw_explained *e = &finding->explained[i];
		if (e->explains != explains)
			continue;
		const jw_evidence *seen = &a->known->evidence[e->evidence];
		json_object(json, NULL);
		json_text(json, "seen", jw_evidence_kind_at(seen->kind)->id);
		json_text(json, "at", jw_range_name(seen->range));
		json_number(json, "likelihood", e->likelihood);
		json_number(json, "on_sound_engine", e->before);
		json_object_end(json);
	}
	json_array_end(json);
}

static void json_lambda(cli_json *json, const jw_finding *finding)
{
	json_array(json, "lambda");
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		json_object(json, NULL);
		json_text(json, "range", jw_range_name(range));
		json_number_or_null(json, "now", finding->lambda_now[range].value);
		json_number_or_null(json, "low_90", finding->lambda_now[range].low_90);
		json_number_or_null(json, "high_90", finding->lambda_now[range].high_90);
		json_number_or_null(json, "after", finding->lambda_after[range]);
		json_object_end(json);
	}
	json_array_end(json);
}

static void json_mask(cli_json *json, const answer *a, const jw_finding *finding)
{
	if (!finding->has_mask) {
		json_null(json, "mask");
		return;
	}
	const part_words *words = &part_texts[finding->mask_part];
	json_object(json, "mask");
	json_text(json, "part", jw_part_name(finding->mask_part));
	json_text(json, "unit", words->unit);
	json_number(json, "value", finding->mask_value / words->si);
	json_number(json, "present", jw_part_value(a->healthy, finding->mask_part) / words->si);
	json_text(json, "range", jw_range_name(finding->mask_range));
	json_number_or_null(json, "lambda_once_mended", finding->mask_lambda_after);
	json_object_end(json);
}

static void json_finding(cli_json *json, const answer *a, const jw_finding *finding)
{
	const jw_cause_info *cause = jw_cause_at(finding->cause);
	json_object(json, NULL);
	json_text(json, "cause", cause->id);
	json_text(json, "text", cause->text);
	json_number(json, "probability", finding->probability);
	json_number(json, "severity", finding->severity.value);
	json_interval(json, "severity_90", &finding->severity);
	json_text(json, "severity_means", cause->severity_text);
	json_object(json, "effect");
	json_text(json, "quantity", cause->effect_quantity);
	json_text(json, "unit", cause->effect_unit);
	json_number(json, "value", finding->effect.value);
	json_number(json, "low_90", finding->effect.low_90);
	json_number(json, "high_90", finding->effect.high_90);
	json_object_end(json);
	json_number_or_null(json, "acts_like_bore_m", finding->bore.value);
	json_object(json, "remedy");
	json_text(json, "action", cause->action);
	json_text(json, "part", cause->part);
	json_text(json, "text", cause->remedy);
	json_object_end(json);
	json_text(json, "caution", cause->caution);
	json_lambda(json, finding);
	json_evidence(json, "explains", a, finding, 1);
	json_evidence(json, "indifferent", a, finding, 0);
	json_evidence(json, "speaks_against", a, finding, -1);
	json_mask(json, a, finding);
	json_object_end(json);
}

static void json_hypothesis(cli_json *json, const jw_hypothesis *h)
{
	json_object(json, NULL);
	json_array(json, "causes");
	for (int i = 0; i < 2; i++)
		if (h->cause[i] >= 0)
			json_text(json, NULL, jw_cause_at(h->cause[i])->id);
	if (h->cause[0] < 0 && h->cause[1] < 0)
		json_text(json, NULL, "other");
	json_array_end(json);
	json_number(json, "probability", h->probability);
	json_object_end(json);
}

static void print_json(const answer *a)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(a->profile));
	json_text(&json, "about", a->about);
	json_array(&json, "findings");
	for (int i = 0; i < jw_report_findings(a->report); i++)
		json_finding(&json, a, jw_report_finding(a->report, i));
	json_array_end(&json);
	json_array(&json, "hypotheses");
	for (int i = 0; i < jw_report_hypotheses(a->report); i++)
		json_hypothesis(&json, jw_report_hypothesis(a->report, i));
	json_array_end(&json);
	json_warnings(&json, a->status);
	json_end(&json);
}

static int work_case(const cli_arguments *arguments, const jw_case_file *file, jw_status status)
{
	jw_report *report = NULL;
	jw_error error = {0};
	jw_case known = *jw_case_evidence(file);
	known.history.flat |= has(arguments, "flat-history");
	answer a = {.known = &known, .profile = jw_case_profile(file), .about = jw_case_about(file)};
	a.healthy = jw_profile_setup(a.profile);
	jw_status explained = jw_explain(a.healthy, &known, &report, &error);
	if (explained < 0)
		return library_error(arguments->command, explained, &error);
	a.report = report;
	a.status = status | explained;
	if (has(arguments, "json"))
		print_json(&a);
	else
		print_text(&a);
	jw_report_free(report);
	return answered(arguments, a.status, NULL);
}

static int run(const cli_arguments *arguments)
{
	jw_case_file *file = NULL;
	jw_faults faults = {0};
	const cli_place place = find_place("cases", arguments->operand[0]);
	jw_status status = jw_case_load(place.path, place_library(&place), &file, &faults);
	if (status < 0) {
		report_faults(&place, status, &faults);
		hint_names(&place, "cases");
		return FAILED;
	}
	int code = work_case(arguments, file, status);
	jw_case_free(file);
	return code;
}

const cli_command explain_command = {
    .name = "explain",
    .operands = "CASE",
    .operands_min = 1,
    .operands_max = 1,
    .summary = "which jet change or cleaning target explains this complaint, and how sure",
    .details =
        "Weighs every known cause against what was seen, tried and measured on one engine: the likeliest with its "
        "interval, what it explains and what it does not, lambda now and once mended, the jet change that would hide "
        "it, and what to do. CASE is a file, '-' for standard input, or a name that 'jetwright list cases' shows.",
    .groups = {explain_options},
    .example = "explain stood-five-months",
    .run = run,
};

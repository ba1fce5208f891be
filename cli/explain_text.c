/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of explain for people. */
#include "explain.h"
#include <string.h>

/* Below this what else may fail than the mixture is left out. */
static const double least_told = 0.05;
/* Below this nothing is taken apart for a finding. */
static const double least_repaired = 0.25;

static void print_bearing(const answer *a, const jw_finding *finding, bearing which, const char *title)
{
	char text[160];
	int printed = 0;
	for (int i = 0; i < a->known->evidences; i++) {
		if (a->known->evidence[i].answer == JW_UNKNOWN || bearing_of(&finding->explained[i]) != which)
			continue;
		if (!printed++)
			printf("\n%s\n", title);
		printf("  ");
		text_wrap(stdout, 2, 4, "%s", evidence_text(&a->known->evidence[i], text, sizeof text));
	}
}

/* "55" or "0.29", with the digits that such a size carries. */
static number_text effect_number(const char *unit, double value)
{
	number_text number;
	const int share = strcmp(unit, "1") == 0, fine = strcmp(unit, "mm") == 0;
	snprintf(number.text, sizeof number.text, share ? "%.0f" : fine ? "%.2f" : "%.1f", share ? 100 * value : value);
	return number;
}

/* " in place of 0.38 mm": what the part is on the engine as it stands, where that is said in the same unit. */
static void in_place_of(const answer *a, int cause, const char *unit, char *text, size_t size)
{
	jw_part part;
	*text = '\0';
	if (jw_cause_part(cause, &part) && strcmp(part_words_of(part)->unit, unit) == 0)
		snprintf(text, size, " in place of %s %s",
		         effect_number(unit, jw_part_value(a->healthy, part) / part_words_of(part)->si).text, unit);
}

static void print_effect(const answer *a, const jw_finding *finding)
{
	char subject[64] = "", instead[64];
	const jw_effect_words *words = jw_cause_effect_words(finding->cause);
	const char *unit = strcmp(words->unit, "1") == 0 ? "%" : words->unit;
	if (!words->own_subject)
		snprintf(subject, sizeof subject, "The %s ", jw_cause_at(finding->cause)->part);
	in_place_of(a, finding->cause, unit, instead, sizeof instead);
	text_wrap(stdout, 0, 0, "%s%s %s %s%s%s%s (90 %% interval: %s to %s %s).", subject, words->before,
	          effect_number(words->unit, finding->effect.value).text, unit, instead, *words->after ? " " : "",
	          words->after, effect_number(words->unit, finding->effect.low_90).text,
	          effect_number(words->unit, finding->effect.high_90).text, unit);
	if (!(finding->bore.value > 0))
		return;
	in_place_of(a, finding->cause, "mm", instead, sizeof instead);
	text_wrap(stdout, 0, 0, "It acts like a clean bore of %.2f mm%s (%.2f to %.2f mm).", finding->bore.value * 1e3,
	          instead, finding->bore.low_90 * 1e3, finding->bore.high_90 * 1e3);
}

static void print_finding(const answer *a, const jw_finding *finding)
{
	char text[128];
	text_wrap(stdout, 0, 0, "%s: %s, probability %.2f.", capital(jw_cause_at(finding->cause)->text, text, sizeof text),
	          sure_word(finding->probability), finding->probability);
	if (jw_cause_meters(finding->cause))
		print_effect(a, finding);
}

/* The same, or the same and a second cause beside it. */
static int says_no_other(const jw_hypothesis *h, const jw_hypothesis *lead)
{
	const int beside = lead->cause[0] >= 0 && lead->cause[1] < 0 && h->cause[1] >= 0;
	return h == lead || (beside && (h->cause[0] == lead->cause[0] || h->cause[1] == lead->cause[0]));
}

/* What else it may be. */
static void print_others(const answer *a, const jw_hypothesis *but)
{
	char text[TABLE_CELL];
	cli_table table = {0};
	for (int i = 0; i < jw_report_hypotheses(a->report) && table.row < TABLE_ROWS; i++) {
		const jw_hypothesis *h = jw_report_hypothesis(a->report, i);
		if (h->probability < LEAST_SHOWN || says_no_other(h, but))
			continue;
		table_cell(&table, "%s", hypothesis_text(h, text, sizeof text));
		table_cell(&table, "%.2f", h->probability);
		table_row_end(&table);
	}
	if (!table.row)
		return;
	printf("\nIf it is not that (probability of each):\n");
	table_print(&table, stdout);
}

/* What fails, where it may be anything but the mixture. */
static void print_needs(const answer *a)
{
	if (jw_report_need(a->report, JW_NEED_CRANKING) + jw_report_need(a->report, JW_NEED_SPARK) +
	        jw_report_need(a->report, JW_NEED_COMPRESSION) <
	    least_told)
		return;
	printf("\nOf what an engine needs, this fails (probability of each):\n");
	cli_table table = {0};
	for (int need = 0; need < JW_NEED_COUNT; need++) {
		table_cell(&table, "%s", need == JW_NEED_MIXTURE ? "fuel and air" : jw_need_name((jw_need)need));
		table_cell(&table, "%.2f", jw_report_need(a->report, (jw_need)need));
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

static void print_conflicts(const answer *a)
{
	char one[160], other[160];
	for (int i = 0; i < jw_report_conflicts(a->report); i++) {
		const int *evidence = jw_report_conflict(a->report, i)->evidence;
		text_wrap(stdout, 0, 0, "These cannot both be so; look again: \"%s\", and \"%s\".",
		          evidence_text(&a->known->evidence[evidence[0]], one, sizeof one),
		          evidence_text(&a->known->evidence[evidence[1]], other, sizeof other));
		printf("\n");
	}
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

static void print_mask(const answer *a, const jw_finding *finding)
{
	char change[160], where[24];
	if (!finding->has_mask)
		return;
	const part_words *words = part_words_of(finding->mask_part);
	snprintf(change, sizeof change, words->format, finding->mask_value / words->si,
	         jw_part_value(a->healthy, finding->mask_part) / words->si);
	snprintf(where, sizeof where, "%s", range_text_of(finding->mask_range).text);
	const double wanted = finding->lambda_after[finding->mask_range], left = finding->mask_lambda_after;
	printf("\n");
	text_wrap(
	    stdout, 0, 0,
	    "%s%s would bring lambda at %s back to %.2f with the fault still there, and so hide it; once the fault is "
	    "gone the same change would leave %.2f there, too %s. So %s first, and change nothing else for this.",
	    change, finding->mask_fouled ? ", fouled alike," : "", where, wanted, left, left < wanted ? "rich" : "lean",
	    jw_cause_at(finding->cause)->action);
}

/* The finding about a cause. */
static const jw_finding *finding_of(const answer *a, int cause)
{
	for (int i = 0; i < jw_report_findings(a->report); i++)
		if (jw_report_finding(a->report, i)->cause == cause)
			return jw_report_finding(a->report, i);
	return NULL;
}

static void print_case_for(const answer *a, const jw_finding *finding)
{
	print_finding(a, finding);
	print_bearing(a, finding, EXPLAINS, "It explains:");
	print_bearing(a, finding, FITS, "It agrees with, as a sound engine would:");
	print_bearing(a, finding, OPEN, "It does not explain:");
	print_bearing(a, finding, AGAINST, "Speaks against it:");
}

/* A cause or two lead; the likelier one is mended first. */
static void print_cause(const answer *a, const jw_hypothesis *lead)
{
	const int weak = lead->probability < least_repaired, two = lead->cause[1] >= 0;
	const jw_finding *finding = finding_of(a, lead->cause[0]), *second = NULL;
	if (two) {
		second = finding_of(a, lead->cause[1]);
		if (second->probability > finding->probability) {
			second = finding;
			finding = finding_of(a, lead->cause[1]);
		}
	}
	if (weak)
		text_wrap(stdout, 0, 0, "Nothing stands out. The strongest lead:");
	if (two)
		text_wrap(stdout, 0, 0, "Two faults at once: %s, probability %.2f. The first:", sure_word(lead->probability),
		          lead->probability);
	print_case_for(a, finding);
	if (two) {
		printf("\nThe second:\n");
		print_case_for(a, second);
	}
	print_others(a, lead);
	print_needs(a);
	if (jw_cause_meters(finding->cause) && !two)
		print_lambda(finding);
	if (weak) {
		printf("\nWhat to do:\n");
		const int tested = print_test(a);
		printf("  ");
		text_wrap(stdout, 2, 2, "Take nothing apart on so weak a lead: %s",
		          tested ? "test, then ask again with the answer."
		                 : "see how it runs in each range of the throttle, warm, and what some enrichener and half a "
		                   "turn of the mixture screw change; then ask again.");
		return;
	}
	print_mask(a, finding);
	print_remedy(a, finding, second);
}

/* What to say where no cause leads: headline and advice. */
static const struct {
	const char *headline, *advice;
} no_cause[] = {
    [JW_HYPOTHESIS_SOUND] =
        {"Nothing stands out as wrong: what was seen is what an engine in order does",
         "Repair nothing. If a complaint stays, note in which range of the throttle it comes, cold or "
         "warm and how long after the start, and ask again."},
    [JW_HYPOTHESIS_OTHER] =
        {"No cause that this program knows fits well",
         "Leave the carburetor shut. Check in this order whether it cranks, whether the spark is strong "
         "at every turn, whether fuel runs freely from the bowl drain, and the compression; then ask "
         "again with what they showed."},
};

static void print_no_cause(const answer *a, const jw_hypothesis *lead)
{
	text_wrap(stdout, 0, 0, "%s: %s, probability %.2f.", no_cause[lead->kind].headline, sure_word(lead->probability),
	          lead->probability);
	print_others(a, lead);
	print_needs(a);
	printf("\nWhat to do:\n");
	if (lead->kind != JW_HYPOTHESIS_SOUND)
		print_test(a);
	printf("  ");
	text_wrap(stdout, 2, 2, "%s", no_cause[lead->kind].advice);
}

static void print_engine(const answer *a)
{
	if (!a->class) {
		text_wrap(stdout, 0, 0, "%s on %s. %s", jw_profile_name(a->profile), jw_profile_fuel(a->profile), a->about);
		return;
	}
	text_wrap(stdout, 0, 0, "%s", a->about);
	text_wrap(
	    stdout, 0, 0,
	    "No profile of this engine: a typical one of the class %s stands for it. Evidence counts for more than the "
	    "model, intervals are wide, and sizes are that engine's, not yours.",
	    a->class);
}

void explain_text(const answer *a)
{
	const jw_hypothesis *lead = jw_report_hypothesis(a->report, 0);
	print_engine(a);
	printf("\n");
	print_conflicts(a);
	if (lead->kind == JW_HYPOTHESIS_CAUSES)
		print_cause(a, lead);
	else
		print_no_cause(a, lead);
}

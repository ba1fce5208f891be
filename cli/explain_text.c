/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of explain for people. */
#include "explain.h"
#include <string.h>

/* Below this what else may fail than the mixture is left out. */
static const double least_told = 0.15;
/* What else it may be, at most. */
enum { OTHERS = 6 };

static void print_heading(const answer *a, const char *text)
{
	page_gap(a->page);
	page_heading(a->page, "%s", text);
}

/* ---- how the evidence stands to it ---- */

static int print_bearing(const answer *a, const conclusion *c, bearing which, const char *title)
{
	int printed = 0;
	for (int i = 0; i < a->known->evidences; i++) {
		if (bearing_of_all(a, c, i) != which)
			continue;
		if (!printed++)
			print_heading(a, title);
		page_item(a->page, 4, "%s", evidence_text(a, i).text);
	}
	return printed;
}

static void print_explained(const answer *a, const jw_finding *finding)
{
	const conclusion alone = {.first = finding};
	if (!a->known->evidences)
		page_say(a->page, "Nothing was seen since the last repair; this is what may be left.");
	else if (!print_bearing(a, &alone, EXPLAINS, "Speaks for it:")) {
		page_gap(a->page);
		page_say(a->page, "Nothing that was seen speaks for it; it is what often goes wrong.");
	}
}

static void print_rest(const answer *a, const conclusion *c)
{
	const int two = c->second != NULL;
	if (!a->known->evidences)
		return;
	print_bearing(a, c, FITS, "Fits, as it would fit a sound engine:");
	const int open = print_bearing(a, c, OPEN, two ? "Neither explains:" : "It does not explain:");
	if (!print_bearing(a, c, AGAINST, two ? "Speaks against one of them:" : "Speaks against it:") && !open) {
		page_gap(a->page);
		page_say(a->page, "Nothing that was seen speaks against %s.", two ? "them" : "it");
	}
}

/* ---- how far it goes ---- */

/* A length that is known no better is told in tenths of a millimetre. */
static const double wide_mm = 0.5;

/* "55" or "0.29", with the digits that such a size carries when it is known to within a width. */
static number_text effect_number(const char *unit, double value, double width)
{
	number_text number;
	const int share = strcmp(unit, "1") == 0, fine = strcmp(unit, "mm") == 0 && width < wide_mm;
	snprintf(number.text, sizeof number.text, share ? "%.0f" : fine ? "%.2f" : "%.1f", share ? 100 * value : value);
	return number;
}

/* " in place of 0.38 mm": what the part is on the engine as it stands, where that is said in the same unit. */
static void in_place_of(const answer *a, int cause, const char *unit, double width, char *text, size_t size)
{
	jw_part part;
	*text = '\0';
	if (jw_cause_part(cause, &part) && strcmp(part_words_of(part)->unit, unit) == 0)
		snprintf(text, size, " in place of %s %s",
		         effect_number(unit, part_in_engine(a, part) / part_words_of(part)->si, width).text, unit);
}

static void print_effect(const answer *a, const jw_finding *finding)
{
	char subject[64] = "", instead[64];
	const jw_effect_words *words = jw_cause_effect_words(finding->cause);
	const char *unit = strcmp(words->unit, "1") == 0 ? "%" : words->unit;
	const jw_interval *effect = &finding->effect;
	const double width = effect->high_90 - effect->low_90;
	if (!words->own_subject)
		snprintf(subject, sizeof subject, "The %s ", jw_cause_at(finding->cause)->part);
	in_place_of(a, finding->cause, unit, width, instead, sizeof instead);
	page_say(a->page, "%s%s %s %s%s%s%s; nine times in ten %s to %s %s.", subject, words->before,
	         effect_number(words->unit, effect->value, width).text, unit, instead, *words->after ? " " : "",
	         words->after, effect_number(words->unit, effect->low_90, width).text,
	         effect_number(words->unit, effect->high_90, width).text, unit);
	if (!(finding->bore.value > 0) || a->class)
		return;
	in_place_of(a, finding->cause, "mm", 0, instead, sizeof instead);
	page_say(a->page, "It acts like a clean bore of %.2f mm%s (%.2f to %.2f mm).", finding->bore.value * 1e3, instead,
	         finding->bore.low_90 * 1e3, finding->bore.high_90 * 1e3);
}

static void print_finding(const answer *a, const jw_finding *finding)
{
	page_title(a->page, "%s: %s, probability %.2f.", capital(cause_text(a, finding->cause)).text,
	           sure_word(finding->probability), finding->probability);
	if (jw_cause_meters(finding->cause))
		print_effect(a, finding);
}

static void print_lambda(const answer *a, const jw_finding *finding)
{
	cli_table table = {0};
	print_heading(a, "Lambda (above 1 is lean, below 1 rich) with this fault, and once it is mended:");
	table_heading(&table, (const char *const[]){"", "now", "nine in ten", "after"}, 4);
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
	page_table(a->page, &table);
}

/* The change that would hide it; a typical engine's sizes are left out. */
static void print_mask(const answer *a, const jw_finding *finding)
{
	char change[160];
	if (!finding->has_mask)
		return;
	const part_words *words = part_words_of(finding->mask_part);
	const double wanted = finding->lambda_after[finding->mask_range], left = finding->mask_lambda_after;
	const char *where = range_text_of(finding->mask_range).text, *action = jw_cause_at(finding->cause)->action;
	const char *rich = left < wanted ? "rich" : "lean";
	page_gap(a->page);
	if (a->class) {
		page_say(a->page,
		         "A change of the %s might hide it at %s, and would leave it too %s there once the fault is gone. So "
		         "%s first, "
		         "and change nothing else for this.",
		         words->name, where, rich, action);
		return;
	}
	snprintf(change, sizeof change, words->format, finding->mask_value / words->si,
	         part_in_engine(a, finding->mask_part) / words->si);
	page_say(a->page,
	         "%s%s would bring lambda at %s back to %.2f with the fault still there, and so hide it; once the fault is "
	         "gone the same change would leave %.2f there, too %s. So %s first, and change nothing else for this.",
	         change, finding->mask_fouled ? ", fouled alike," : "", where, wanted, left, rich, action);
}

int tells_lambda(const conclusion *c)
{
	return c->first && !c->second && !c->weak && jw_cause_meters(c->first->cause);
}

void print_mixtures(const answer *a, const conclusion *c)
{
	if (tells_lambda(c))
		print_lambda(a, c->first);
	if (c->first && !c->weak)
		print_mask(a, c->first);
}

/* ---- what else ---- */

/* The likeliest others one by one, the rest in one line. */
static void print_others(const answer *a, const conclusion *c)
{
	double rest = 1 - c->probability;
	int printed = 0;
	if (c->second)
		rest = 1 - c->hypothesis->probability;
	for (int i = 0; i < jw_report_hypotheses(a->report) && printed < OTHERS; i++) {
		const jw_hypothesis *h = jw_report_hypothesis(a->report, i);
		if (h->probability < LEAST_SHOWN || says_the_same(h, c))
			continue;
		if (!printed++)
			print_heading(a, "What else it could be, with its probability:");
		page_item(a->page, 8, "%.2f, %s: %s%s", h->probability, sure_word(h->probability), hypothesis_text(a, h).text,
		          c->second && h->kind == JW_HYPOTHESIS_CAUSES && h->cause[1] < 0 ? ", alone" : "");
		rest -= h->probability;
	}
	if (printed && rest >= LEAST_SHOWN)
		page_item(a->page, 8, "%.2f: everything else together", rest);
}

/* What fails, where it may be anything but the mixture. */
static void print_needs(const answer *a)
{
	if (jw_report_need(a->report, JW_NEED_CRANKING) + jw_report_need(a->report, JW_NEED_SPARK) +
	        jw_report_need(a->report, JW_NEED_COMPRESSION) <
	    least_told)
		return;
	print_heading(a, "Of what an engine needs, this is at fault (probability of each):");
	cli_table table = {.plain = 1};
	for (int need = 0; need < JW_NEED_COUNT; need++) {
		if (jw_report_need(a->report, (jw_need)need) < LEAST_SHOWN)
			continue;
		table_cell(&table, "%s", need == JW_NEED_MIXTURE ? "fuel and air" : jw_need_name((jw_need)need));
		table_cell(&table, "%.2f", jw_report_need(a->report, (jw_need)need));
		table_row_end(&table);
	}
	page_table(a->page, &table);
}

void print_conflicts(const answer *a)
{
	for (int i = 0; i < jw_report_conflicts(a->report); i++) {
		const int *evidence = jw_report_conflict(a->report, i)->evidence;
		page_say(a->page, "These cannot both be so; look again: \"%s\", and \"%s\".",
		         evidence_text(a, evidence[0]).text, evidence_text(a, evidence[1]).text);
		page_gap(a->page);
	}
}

/* ---- the answer ---- */

static void print_one(const answer *a, const conclusion *c)
{
	if (c->weak)
		page_say(a->page, "Nothing stands out. The strongest lead:");
	print_finding(a, c->first);
	print_explained(a, c->first);
}

static void print_two(const answer *a, const conclusion *c)
{
	page_title(a->page, "Two faults at once: %s, probability %.2f. Each, alone or beside another:",
	           sure_word(c->hypothesis->probability), c->hypothesis->probability);
	const jw_finding *const both[] = {c->first, c->second};
	for (int i = 0; i < 2; i++) {
		page_gap(a->page);
		print_finding(a, both[i]);
		print_explained(a, both[i]);
	}
}

/* Evidence that an engine in order would show at most this often is listed where nothing else leads. */
static const double seldom = 0.25;

static void print_seldom(const answer *a)
{
	const jw_finding *any = jw_report_finding(a->report, 0);
	int printed = 0;
	for (int i = 0; any && i < a->known->evidences; i++) {
		if (a->known->evidence[i].answer == JW_UNKNOWN || any->explained[i].before > seldom)
			continue;
		if (!printed++)
			print_heading(a, "An engine in order would seldom show:");
		page_item(a->page, 4, "%s", evidence_text(a, i).text);
	}
}

static void print_none(const answer *a, const conclusion *c)
{
	static const char *const headlines[] = {[JW_HYPOTHESIS_SOUND] = "No fault stands out; nothing may be wrong",
	                                        [JW_HYPOTHESIS_OTHER] = "No cause that this program knows fits well"};
	page_title(a->page, "%s: %s, probability %.2f.", headlines[c->hypothesis->kind], sure_word(c->probability),
	           c->probability);
	print_seldom(a);
}

/* What weighs in beside what was seen. */
static void print_history(const answer *a)
{
	const jw_history *history = &a->known->history;
	char text[256] = "";
	size_t used = 0;
	if (history->flat)
		return;
	if (history->months_standing > 0)
		used += (size_t)snprintf(text, sizeof text, "it stood for %.3g months", history->months_standing);
	for (int i = 0; i < JW_CHANGE_KIND_COUNT && used + 64 < sizeof text; i++)
		if (history->changed[i])
			used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", used ? "; " : "",
			                         jw_change_text((jw_change_kind)i));
	for (int i = 0; i < JW_JETS && used + 64 < sizeof text; i++)
		if (history->fitted_m[i] > 0)
			used += (size_t)snprintf(text + used, sizeof text - used, "%sa %s of %.2f mm was fitted", used ? "; " : "",
			                         part_words_of((jw_part)i)->name, history->fitted_m[i] * 1e3);
	if (used)
		page_say(a->page, "Weighed beside what was seen: %s.", text);
}

void print_engine(const answer *a)
{
	if (a->class) {
		page_say(a->page, "%s", a->about);
		page_say(
		    a->page,
		    "No profile of this engine: a typical one of the class %s stands in for it, so intervals are wide, and "
		    "sizes are that engine's, not yours.",
		    a->class);
	} else {
		page_say(a->page, "%s on %s. %s", jw_profile_name(a->profile), jw_profile_fuel(a->profile), a->about);
		if (class_behind(a))
			page_say(a->page, "What is not told of this engine is that of the class %s, so intervals are wide.",
			         class_behind(a));
	}
	print_history(a);
	page_gap(a->page);
}

void print_findings(const answer *a, const conclusion *c)
{
	if (!c->first)
		print_none(a, c);
	else if (c->second)
		print_two(a, c);
	else
		print_one(a, c);
	if (c->first)
		print_rest(a, c);
}

void print_around(const answer *a, const conclusion *c)
{
	print_others(a, c);
	print_needs(a);
}

void explain_text(const answer *a)
{
	const conclusion c = conclude(a);
	print_engine(a);
	print_course(a);
	print_conflicts(a);
	print_findings(a, &c);
	print_around(a, &c);
	print_mixtures(a, &c);
	print_steps(a, &c);
}

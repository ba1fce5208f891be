/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What explain advises: the test to do first, the repair, and what to look at after it. */
#include "explain.h"
#include <string.h>

static sentence leads(const answer *a, const jw_outcome *outcome)
{
	sentence text = {"no cause leads yet"};
	if (outcome->leads >= 0)
		snprintf(text.text, sizeof text.text, "look to this: %s (then %.2f)", cause_text(a, outcome->leads).text,
		         outcome->probability_then);
	return text;
}

/* Where another cause than the one that leads gains most. */
static sentence rises(const answer *a, const jw_outcome *outcome)
{
	const jw_shift *shift = &outcome->rises;
	sentence text = {""};
	if (shift->cause >= 0 && shift->cause != outcome->leads)
		snprintf(text.text, sizeof text.text, "; likelier than now: %s, %.2f to %.2f", cause_text(a, shift->cause).text,
		         shift->before, shift->after);
	return text;
}

static sentence result_text(const answer *a, const jw_action *action, const jw_outcome *outcome)
{
	const jw_evidence_kind *kind = jw_evidence_kind_at(outcome->evidence);
	const char *others = jw_test_of(action->evidence)->instead[0] ? "none of these" : "not";
	sentence text;
	if (outcome->side)
		snprintf(text.text, sizeof text.text, "it is clearly %s", outcome->side < 0 ? "less" : "more");
	else if (outcome->answer == JW_YES)
		snprintf(text.text, sizeof text.text, "\"%.*s\"", (int)sizeof text.text - 3, said_of(a, kind->text).text);
	else
		snprintf(text.text, sizeof text.text, "%s", kind->takes_value ? "it is as it should be" : others);
	return text;
}

static void print_result(const answer *a, const jw_action *action, const jw_outcome *outcome)
{
	page_item(a->page, 4, "If %s (probability %.2f), %s%s.", result_text(a, action, outcome).text, outcome->probability,
	          leads(a, outcome).text, rises(a, outcome).text);
}

/* Cautions that were given, each of one sentence or more. */
typedef struct warned {
	const char *caution[8];
	int count;
} warned;

static int is_given(const warned *w, const char *said)
{
	for (int i = 0; i < w->count; i++)
		if (strstr(w->caution[i], said))
			return 1;
	return 0;
}

/* A sentence is said once, whatever step it belongs to first. */
static void print_caution(const answer *a, warned *w, const char *caution)
{
	char text[512] = "", said[256];
	size_t used = 0;
	for (const char *rest = caution; *rest;) {
		const char *end = strstr(rest, ". ");
		const size_t length = end ? (size_t)(end - rest) + 1 : strlen(rest);
		snprintf(said, sizeof said, "%.*s", (int)length, rest);
		if (!is_given(w, said) && used < sizeof text)
			used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", used ? " " : "", said);
		rest += length + (end != NULL);
	}
	w->caution[w->count++] = caution;
	if (used)
		page_caution(a->page, text);
}

/* Of the case as a whole, before any step. */
static void print_dangers(const answer *a, const conclusion *c, warned *w)
{
	const char *caution[DANGERS_MOST];
	const int count = dangers_of(a, c, caution);
	for (int i = 0; i < count; i++) {
		page_gap(a->page);
		print_caution(a, w, caution[i]);
	}
}

static void print_test(const answer *a, const jw_action *action, double saves, warned *w)
{
	const jw_test_info *test = jw_test_of(action->evidence);
	const int ranged = jw_evidence_kind_at(action->evidence)->takes_range;
	page_step(a->page, 0, "Test first (%.0f minutes%s%s): %s.", action->minutes, ranged ? ", at " : "",
	          ranged ? range_text_of(action->range).text : "", test_text(a, action).text);
	for (int i = 0; i < action->outcomes; i++)
		print_result(a, action, &action->outcome[i]);
	if (saves > 0)
		page_step(a->page, 0, "On average that is %.0f minutes to a repair that holds, instead of %.0f.",
		          action->expected_minutes, action->expected_minutes + saves);
	print_caution(a, w, test->caution);
}

/* From the rich side: the larger end of the interval. The sizes of a class are not this engine's. */
static void print_jetting(const answer *a, const jw_finding *finding)
{
	if (!(finding->fit_value > 0))
		return;
	if (a->class)
		page_step(a->page, 0, "Start on the rich side and come down in steps until it runs right.");
	else
		page_step(a->page, 0, "Start rich, at %.2f mm, and come down in steps towards %.2f mm.",
		          finding->effect.high_90, finding->effect.value);
}

/* What to look at if a part of the complaint stays. */
static void print_next(const answer *a, const conclusion *c)
{
	const jw_hypothesis *next = NULL;
	for (int i = 0; i < jw_report_hypotheses(a->report) && !next; i++)
		if (!says_the_same(jw_report_hypothesis(a->report, i), c))
			next = jw_report_hypothesis(a->report, i);
	if (next && next->kind == JW_HYPOTHESIS_CAUSES && next->probability >= LEAST_SHOWN)
		page_step(a->page, 0, "If a part of the complaint stays, look next for this: %s.",
		          hypothesis_text(a, next).text);
	else
		page_step(a->page, 0, "If a part of the complaint stays, ask again with what stays.");
}

static void print_second(const answer *a, const conclusion *c, warned *w)
{
	const jw_cause_info *second = jw_cause_at(c->second->cause);
	page_step(a->page, 0, "Then the second: %s.", said_of(a, second->remedy).text);
	print_caution(a, w, second->caution);
}

static void print_expected(const answer *a, const conclusion *c, warned *w)
{
	const int range = moved_range(a, c->first);
	char lambda[96] = "";
	if (jw_cause_meters(c->first->cause) && range >= 0)
		snprintf(lambda, sizeof lambda, ", and lambda at %s should be about %.2f", range_text_of(range).text,
		         c->first->lambda_after[range]);
	page_step(a->page, 0,
	          "Once that is done, what speaks for it should be gone%s. Try everything above again: faults come in "
	          "pairs, and mending one may uncover another.",
	          lambda);
	if (c->second)
		print_second(a, c, w);
	else
		print_next(a, c);
}

static void print_repair(const answer *a, const conclusion *c, int tested, warned *w)
{
	const jw_cause_info *cause = jw_cause_at(c->first->cause);
	const sentence remedy = said_of(a, cause->remedy);
	if (tested)
		page_step(a->page, 0, "Unless the test says otherwise: %s.", remedy.text);
	else
		page_step(a->page, 0, "%s.", capital(remedy).text);
	print_jetting(a, c->first);
	print_caution(a, w, cause->caution);
	print_expected(a, c, w);
}

/* What to say where no cause leads. */
static const char *const without_cause[] = {
    [JW_HYPOTHESIS_SOUND] =
        "Repair nothing. If a complaint stays, note in which range of the throttle it comes, cold or "
        "warm and how long after the start, and ask again.",
    [JW_HYPOTHESIS_OTHER] = "Leave the carburetor shut. Check in this order whether it cranks, whether the spark is "
                            "strong at every turn, whether fuel runs freely from the bowl drain, and the compression; "
                            "then ask again with what they showed.",
};

/* Without a test to do first, and with one. */
static const char *const on_weak_lead[] = {
    "Take nothing apart on so weak a lead: see how it runs in each range of the throttle, warm, and what "
    "some enrichener and half a turn of the mixture screw change; then ask again.",
    "Take nothing apart on so weak a lead: test, then ask again with the answer.",
};

static const char *without_repair(const conclusion *c, const jw_action *test)
{
	const jw_hypothesis_kind kind = c->hypothesis->kind;
	return c->first || (kind == JW_HYPOTHESIS_SOUND && c->weak) ? on_weak_lead[test != NULL] : without_cause[kind];
}

void print_steps(const answer *a, const conclusion *c)
{
	double saves = 0;
	warned w = {.count = 0};
	print_dangers(a, c, &w);
	const jw_action *test = seems_sound(c) ? NULL : first_test(a, c, &saves);
	page_gap(a->page);
	page_heading(a->page, "What to do:");
	if (test)
		print_test(a, test, saves, &w);
	if (c->first && !c->weak)
		print_repair(a, c, test != NULL, &w);
	else
		page_step(a->page, 0, "%s", said_of(a, without_repair(c, test)).text);
}

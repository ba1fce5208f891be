/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the model warns of: in which range, before or after the changes, or at which place of a plan. */
#include "rejet.h"
#include "reading.h"
#include "show.h"
#include <math.h>
#include <string.h>

enum { ENDS = 2 * JW_REJET_SETS, WHEN = 80, SAID = 1024 };

/* One engine in one air: its warnings by range. */
typedef struct phase {
	char when[WHEN];   /* "after", "at the pass" */
	double altitude_m; /* along a road */
	const jw_status *warned;
} phase;

typedef struct phases {
	phase item[ENDS];
	int count;
	int along; /* 1: a road, each from the one before */
} phases;

static const struct {
	jw_status bit;
	int caution; /* 0: worth knowing */
	const char *advice;
} told[] = {
    {JW_W_BOILING, 1,
     "Bubbles are left out of all that is foretold here: keep heat off the bowl, or run a fuel that boils "
     "higher, before jets are chosen."},
    {JW_W_FLOODED, 1, "See to the level in the bowl first."},
    {JW_W_STARVED, 1, "See to the level in the bowl first."},
    {JW_W_NO_FUEL, 1, "No engine runs there."},
    {JW_W_NEAR_THRESHOLD, 0, "Trust a trial there more than what is foretold."},
    {JW_W_CAPACITY, 0, "Jets do not mend that."},
};
enum { TOLD = sizeof told / sizeof *told };

/* ---- where ---- */

static phases of_answer(const rejet_asked *a, jw_status warned[][JW_RANGE_COUNT])
{
	phases p = {.count = 0};
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		warned[0][r] = a->answer.range[r].warned_before;
		warned[1][r] = a->answer.range[r].warned_after;
		warned[2][r] = a->answer.choice.warned[r];
	}
	static const char *const when[] = {"before", "after", "with the parts to fit"};
	for (; p.count < 3; p.count++) {
		snprintf(p.item[p.count].when, WHEN, "%s", when[p.count]);
		p.item[p.count].warned = warned[p.count];
	}
	return p;
}

/* Either end of every stretch, from below up. */
static phases of_road(const jw_rejet_plan *plan)
{
	phases p = {.along = 1};
	for (int i = 0; i < plan->sets; i++) {
		const jw_rejet_stretch *s = &plan->set[i];
		p.item[p.count++] = (phase){.altitude_m = s->from_m, .warned = s->warned_from};
		p.item[p.count++] = (phase){.altitude_m = s->to_m, .warned = s->warned_to};
	}
	return p;
}

static phases of_places(const rejet_journey *j)
{
	phases p = {.count = 0};
	for (; p.count < j->count; p.count++) {
		snprintf(p.item[p.count].when, WHEN, "at %s", j->name[p.count]);
		p.item[p.count].warned = j->plan.warned[p.count];
	}
	return p;
}

static phases phases_of(const rejet_asked *a, jw_status warned[][JW_RANGE_COUNT])
{
	return a->plan ? of_road(a->plan) : a->journey ? of_places(a->journey) : of_answer(a, warned);
}

/* The ranges that have a bit, as bits. */
static unsigned ranges_with(const phase *p, jw_status bit)
{
	unsigned ranges = 0;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		ranges |= (p->warned[r] & bit ? 1u : 0u) << r;
	return ranges;
}

/* ---- saying ---- */

static void add(char *text, const char *more)
{
	strncat(text, more, SAID - strlen(text) - 1);
}

static void add_ranges(char *text, unsigned ranges)
{
	const char *before = ", at ";
	if (ranges == (1u << JW_RANGE_COUNT) - 1) {
		add(text, ", at every range");
		return;
	}
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		if (ranges >> r & 1) {
			add(text, before);
			add(text, range_text_of(r).text);
			before = " and ";
		}
}

/* "2314 m", or "between 0 and 2314 m" where that is all that is known of where it begins or ends. */
static void add_limit(char *text, const char *before, const phase *inside, const phase *outside)
{
	char limit[WHEN];
	const double a = inside->altitude_m, b = outside->altitude_m;
	if (a == b)
		snprintf(limit, sizeof limit, "%s%.0f m", before, a);
	else
		snprintf(limit, sizeof limit, "%sbetween %.0f and %.0f m", before, fmin(a, b), fmax(a, b));
	add(text, limit);
}

/* Phases `from` to `to`, which are alike. */
static void say_run(const phases *p, int from, int to, char *text)
{
	const phase *first = &p->item[from], *last = &p->item[to];
	add(text, *text ? "; " : "");
	if (p->along) {
		add_limit(text, "from ", first, from > 0 ? first - 1 : first);
		add_limit(text, " to ", last, to + 1 < p->count ? last + 1 : last);
		return;
	}
	for (int i = from; i <= to; i++) {
		add(text, i > from ? " and " : "");
		add(text, p->item[i].when);
	}
}

/* "before and after, at every range; with the parts to fit, at idle" */
static void say_where(const phases *p, jw_status bit, char *text)
{
	for (int from = 0, to; from < p->count; from = to + 1) {
		const unsigned ranges = ranges_with(&p->item[from], bit);
		to = from;
		while (to + 1 < p->count && ranges_with(&p->item[to + 1], bit) == ranges)
			to++;
		if (!ranges)
			continue;
		say_run(p, from, to, text);
		add_ranges(text, ranges);
	}
}

static void say_coefficients(const rejet_asked *a)
{
	const jw_profile *profile = a->other ? a->other : a->profile;
	const jw_setup *setup = a->plan || a->journey ? jw_profile_setup(profile) : &a->answer.setup;
	char outside[SAID] = "", one[WHEN];
	for (int u = JW_UNKNOWN_AIR; u <= JW_UNKNOWN_PILOT; u++) {
		const char *word = coefficient_outside(setup, (jw_unknown)u);
		snprintf(one, sizeof one, "%s%s %.2f", *outside ? ", " : "", word ? word : "",
		         jw_unknown_value(setup, (jw_unknown)u));
		add(outside, word ? one : "");
	}
	if (*outside)
		page_say(a->page,
		         "Coefficients outside %g to %g: %s. A dimension in the profile, its baseline or a reading is probably "
		         "wrong: measure again before relying on this.",
		         JW_COEFFICIENT_LEAST, JW_COEFFICIENT_MOST, outside);
}

void rejet_print_warnings(const rejet_asked *a)
{
	jw_status warned[3][JW_RANGE_COUNT];
	const phases p = phases_of(a, warned);
	for (int i = 0; i < TOLD; i++) {
		char where[SAID] = "", text[SAID + 256];
		say_where(&p, told[i].bit, where);
		snprintf(text, sizeof text, "%s (%s). %s", rejet_capital(jw_status_text(told[i].bit)).text, where,
		         told[i].advice);
		if (*where && told[i].caution)
			page_caution(a->page, text);
		else if (*where)
			page_say(a->page, "%s", text);
	}
	say_coefficients(a);
}

void rejet_say_disagreement(const rejet_asked *a)
{
	const jw_rejet_answer *answer = &a->answer;
	if (!(answer->worst_reading >= 0 && answer->worst_apart > JW_READING_DISAGREES))
		return;
	const jw_reading *worst = &a->request.reading[answer->worst_reading];
	page_say(
	    a->page,
	    "Line %d, %s, disagrees with the others by %.1f standard uncertainties, and the answer is bent by it: take "
	    "it again, or leave it out.",
	    worst->line, reading_words_of(worst).text, answer->worst_apart);
}

/* ---- the status ---- */

void rejet_note_warnings(rejet_asked *a, jw_status solved)
{
	jw_status warned[3][JW_RANGE_COUNT];
	const phases p = phases_of(a, warned);
	memset(a->at, 0, sizeof a->at);
	a->status |= solved & (JW_W_COEFFICIENT | JW_W_DISAGREE);
	for (int i = 0; i < p.count; i++)
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			a->at[r] |= p.item[i].warned[r];
			a->status |= p.item[i].warned[r];
		}
}

int rejet_answered(const cli_arguments *arguments, const rejet_asked *a)
{
	const jw_setup *setup = jw_profile_setup(a->other ? a->other : a->profile);
	const int code = answered(arguments, a->status, a->at);
	name_unfitted(arguments, a->status, setup);
	name_coefficients(arguments, a->status, a->plan || a->journey ? setup : &a->answer.setup);
	return code;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a conversation asks, in which order, and what an answer adds to the case. */
#include "ask.h"
#include <math.h>
#include <string.h>

/* ---- what is asked before anything can be computed ---- */

static const struct {
	const char *class, *text;
} engines[] = {
    {"scooter-125", "scooter, 125 cm3 or so"},
    {"moped-50", "moped, 50 cm3, two-stroke"},
    {"single-250", "motorcycle, one cylinder"},
    {"twin-500", "motorcycle, two cylinders"},
    {"car-1200", "car, small"},
    {"utility-160", "mower, pump, generator, boat"},
};
enum { ENGINES = sizeof engines / sizeof *engines };

static const struct {
	const char *seen, *text;
	jw_range range;
} complaints[] = {
    {"does_not_crank", "does not crank", JW_IDLE},
    {"does_not_start", "cranks, does not start", JW_IDLE},
    {"starts_only_with_enrichener", "starts only with the enrichener, even warm", JW_IDLE},
    {"hard_to_start_cold", "hard to start cold", JW_IDLE},
    {"starts_then_dies", "starts, then dies", JW_IDLE},
    {"hunts", "idle speed wanders", JW_IDLE},
    {"dies_at_idle", "dies at idle", JW_IDLE},
    {"high_idle", "idles too fast", JW_IDLE},
    {"stumbles", "stumbles when the throttle is opened", JW_OFF_IDLE},
    {"surges", "surges at half throttle", JW_HALF},
    {"flat", "weak at full throttle", JW_FULL},
    {"fades_under_load", "fades after a while at full throttle", JW_FULL},
    {"pings", "pings under load", JW_FULL},
    {"dies_when_hot", "stops once hot", JW_IDLE},
    {"smokes_black", "black smoke at half throttle", JW_HALF},
    {"plug_black", "sooty plug", JW_HALF},
    {"uses_more_fuel", "uses more fuel", JW_HALF},
    {"fuel_overflows", "fuel runs out of the carburetor", JW_IDLE},
    {"one_cylinder_dead", "one of several cylinders does little work", JW_IDLE},
};
enum { COMPLAINTS = sizeof complaints / sizeof *complaints };

static const char *const needs_no_running[] = {"does_not_crank", "does_not_start"};

static void say(char *to, size_t size, const char *text)
{
	snprintf(to, size, "%s", text);
}

static void add_choice(question *q, const char *word, const char *text)
{
	choice *c = &q->choice[q->choices++];
	c->word = word;
	say(c->text.text, sizeof c->text.text, text);
}

static void ask_engine(question *q)
{
	q->kind = ASK_ENGINE;
	say(q->text, sizeof q->text, "What engine is it?");
	for (int i = 0; i < ENGINES; i++)
		add_choice(q, engines[i].class, engines[i].text);
}

static void ask_months(question *q)
{
	q->kind = ASK_MONTHS;
	say(q->text, sizeof q->text, "How many months did it stand before the trouble came? 0: in daily use.");
	q->number = 1;
	q->high = 600;
}

static void ask_changed(question *q)
{
	q->kind = ASK_CHANGED;
	say(q->text, sizeof q->text, "Was anything changed just before?");
	for (int i = 0; i < JW_CHANGE_KIND_COUNT; i++)
		add_choice(q, NULL, jw_change_text((jw_change_kind)i));
	add_choice(q, "no", "no");
}

static void ask_complaint(const draft *d, question *q)
{
	q->kind = ASK_COMPLAINT;
	q->several = 1;
	say(q->text, sizeof q->text,
	    d->log.visits && draft_last(d)->result != JW_RESULT_UNKNOWN
	        ? "What does it do now? One number or more, such as 3 5."
	        : "What is complained of? One number or more, such as 3 5.");
	for (int i = 0; i < COMPLAINTS; i++)
		add_choice(q, NULL, complaints[i].text);
	add_choice(q, "none", "none of these");
}

/* Nothing is told yet since the complaint was gone. */
static int is_retest(const draft *d)
{
	return d->log.visits && draft_last(d)->result == JW_RESULT_GONE;
}

static void ask_runs(const draft *d, question *q)
{
	q->kind = ASK_RUNS;
	q->several = 1;
	say(q->text, sizeof q->text,
	    is_retest(d) ? "The retest: start it cold, then try every throttle opening. Where does it run well?"
	                 : "Where does it run well? One number or more.");
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		add_choice(q, NULL, range_text_of((jw_range)r).text);
	add_choice(q, "all", "all of them");
	add_choice(q, "none", "none of them");
}

/* ---- the step that is proposed ---- */

static void tell_lead(const worked *w, question *q)
{
	const conclusion c = conclude(&w->a);
	snprintf(q->before, sizeof q->before, "So far: %s, %.2f.", hypothesis_text(&w->a, c.hypothesis).text,
	         c.hypothesis->probability);
	if (c.first)
		snprintf(q->before, sizeof q->before, "So far: %s, %.2f.", cause_text(&w->a, c.first->cause).text,
		         c.first->probability);
}

static void ask_test(const worked *w, const jw_action *action, question *q)
{
	const jw_test_info *test = jw_test_of(action->evidence);
	const jw_evidence_kind *kind = jw_evidence_kind_at(action->evidence);
	const jw_evidence_unit *unit = jw_evidence_unit_of(action->evidence);
	char shown[sizeof(sentence)];
	q->kind = unit ? ASK_READING : ASK_TEST;
	q->evidence = action->evidence;
	q->range = action->range;
	snprintf(q->text, sizeof q->text, "Test (%.0f min%s%s): %s.", action->minutes, kind->takes_range ? ", at " : "",
	         kind->takes_range ? range_text_of(action->range).text : "", test_text(&w->a, action).text);
	say(q->caution, sizeof q->caution, test->caution);
	if (unit) {
		q->number = 1;
		q->low = unit->low / unit->si;
		q->high = unit->high / unit->si;
		return;
	}
	const sentence seen = said_of(&w->a, kind->text);
	snprintf(shown, sizeof shown, "%s%s", test->instead[0] ? "" : "yes: ", seen.text);
	add_choice(q, test->instead[0] ? NULL : "yes", shown);
	for (int i = 0; i < JW_OUTCOMES_MOST - 2 && test->instead[i]; i++)
		add_choice(q, NULL, said_of(&w->a, jw_evidence_kind_at(jw_evidence_kind_find(test->instead[i]))->text).text);
	add_choice(q, test->instead[0] ? "none" : "no", test->instead[0] ? "none of these" : "no");
}

static const jw_finding *finding_of(const worked *w, int cause)
{
	int i = 0;
	while (jw_report_finding(w->report, i)->cause != cause)
		i++;
	return jw_report_finding(w->report, i);
}

static void ask_repair(const worked *w, const jw_action *action, question *q)
{
	const jw_finding *finding = finding_of(w, action->cause);
	const jw_cause_info *cause = jw_cause_at(action->cause);
	*q->before = '\0'; /* the remedy names what leads */
	q->kind = ASK_REPAIR;
	q->cause = action->cause;
	snprintf(q->text, sizeof q->text, "Remedy for: %s (%.2f). %s.", cause_text(&w->a, action->cause).text,
	         finding->probability, capital(said_of(&w->a, cause->remedy)).text);
	if (finding->fit_value > 0 && !w->a.class)
		snprintf(q->text + strlen(q->text), sizeof q->text - strlen(q->text),
		         " Start rich, at %.2f mm, and come down towards %.2f mm.", finding->effect.high_90,
		         finding->effect.value);
	say(q->caution, sizeof q->caution, cause->caution);
	add_choice(q, "done", "done");
	add_choice(q, "not", "not now, propose something else");
}

static void ask_result(const draft *d, question *q)
{
	q->kind = ASK_RESULT;
	say(q->text, sizeof q->text, "Retest: try what was complained of, cold and warm. What came of it?");
	for (int c = 0, any = 0; c < jw_cause_count(); c++)
		if (draft_last(d)->done[c])
			snprintf(q->before + strlen(q->before), sizeof q->before - strlen(q->before), "%s%s %s",
			         any++ ? ", " : "Done: ", jw_cause_at(c)->action, jw_cause_at(c)->part);
	strncat(q->before, ".", sizeof q->before - strlen(q->before) - 1);
	add_choice(q, "gone", "gone: nothing of it is left");
	add_choice(q, "part", "part: a part stays, or it is another now");
	add_choice(q, "same", "same: all stays as it was");
}

/* What nobody could tell is not asked again. */
static int was_asked(const worked *w, int evidence)
{
	const jw_case *present = &w->course.present;
	for (int i = 0; i < present->evidences; i++)
		if (present->evidence[i].kind == evidence && present->evidence[i].answer == JW_UNKNOWN)
			return 1;
	return 0;
}

static void tell_end(const worked *w, question *q)
{
	const jw_hypothesis *top = jw_report_hypothesis(w->report, 0);
	q->kind = ASK_NOTHING;
	say(q->text, sizeof q->text,
	    top->kind == JW_HYPOTHESIS_SOUND
	        ? "Nothing is left to repair that this program knows. If a complaint stays, note where it comes, cold or "
	          "warm and how long after the start, and ask again."
	        : "Nothing is left to test or to repair that this program knows. Check spark, fuel from the bowl drain and "
	          "compression once more, one after the other.");
}

static const jw_action *best_test(const worked *w)
{
	for (int i = 0; i < jw_report_actions(w->report); i++) {
		const jw_action *action = jw_report_action(w->report, i);
		if (action->cause < 0 && !was_asked(w, action->evidence))
			return action;
	}
	return NULL;
}

/* A quick remedy goes before a likelier one that takes long, but not where it is so much less likely. */
static const double least_of_lead = 0.2;

/* The best remedy that is not put off; NULL: none. */
static const jw_action *best_repair(const draft *d, const worked *w)
{
	double most = 0;
	const jw_action *best = NULL;
	for (int i = 0; i < jw_report_findings(w->report); i++)
		if (!d->put_off[jw_report_finding(w->report, i)->cause])
			most = fmax(most, jw_report_finding(w->report, i)->probability);
	for (int i = jw_report_actions(w->report) - 1; i >= 0; i--) {
		const jw_action *action = jw_report_action(w->report, i);
		if (action->cause >= 0 && !d->put_off[action->cause] &&
		    finding_of(w, action->cause)->probability >= least_of_lead * most)
			best = action;
	}
	return best;
}

/* What must not wait, each time until it is mended: it may be read by another. */
static void tell_dangers(const worked *w, const conclusion *c, question *q)
{
	const char *caution[DANGERS_MOST];
	const int count = dangers_of(&w->a, c, caution);
	for (int i = 0; i < count; i++) {
		const size_t used = strlen(q->before);
		snprintf(q->before + used, sizeof q->before - used, "%s%s", used ? " " : "", caution[i]);
	}
}

static void ask_step(const draft *d, const worked *w, question *q)
{
	double saves;
	const conclusion c = conclude(&w->a);
	const int sound = seems_sound(&c);
	const jw_action *test = sound ? NULL : best_test(w), *repair = sound ? NULL : best_repair(d, w);
	tell_lead(w, q);
	if (test && test_pays(&c, test, repair, &saves))
		ask_test(w, test, q);
	else if (repair)
		ask_repair(w, repair, q);
	else
		tell_end(w, q);
	tell_dangers(w, &c, q);
}

/* ---- which is next ---- */

/* What was repaired has no result yet. */
static int awaits_result(const draft *d)
{
	const jw_visit *last = draft_last(d);
	return last && done_any(last) && last->result == JW_RESULT_UNKNOWN;
}

/* Whether the last visit says that it does not come so far as to run. */
static int does_not_run(const draft *d)
{
	const jw_visit *last = draft_last(d);
	for (int i = 0; last && i < last->evidences; i++)
		for (int k = 0; k < 2; k++)
			if (last->evidence[i].kind == jw_evidence_kind_find(needs_no_running[k]) &&
			    last->evidence[i].answer == JW_YES)
				return 1;
	return 0;
}

static int is_asked_first(const draft *d, question *q)
{
	if (!d->engine_told)
		ask_engine(q);
	else if (!d->history_told && !d->months_told)
		ask_months(q);
	else if (!d->history_told && !d->changed_told)
		ask_changed(q);
	else if (awaits_result(d))
		ask_result(d, q);
	else if (!d->rest_told)
		ask_complaint(d, q);
	else if (!d->runs_told && (is_retest(d) || !does_not_run(d)))
		ask_runs(d, q);
	else
		return 0;
	return 1;
}

/* Words of the engine's own in what is asked before it is worked. */
static void say_of_engine(const draft *d, const char *library, question *q)
{
	worked w;
	if (!d->engine_told || !work(d, library, 0, &w))
		return;
	for (int i = 0; i < q->choices; i++)
		q->choice[i].text = said_of(&w.a, q->choice[i].text.text);
	work_free(&w);
}

int next_question(const draft *d, const char *library, question *q)
{
	worked w;
	memset(q, 0, sizeof *q);
	if (d->closed) {
		q->kind = ASK_NOTHING;
		say(q->text, sizeof q->text, "It runs well everywhere: the repair is verified. Nothing is left to ask.");
		return 1;
	}
	if (draft_is_full(d)) {
		q->kind = ASK_NOTHING;
		say(q->text, sizeof q->text, "This case holds no more visits. Begin another for what comes now.");
		return 1;
	}
	if (is_asked_first(d, q)) {
		say_of_engine(d, library, q);
		return 1;
	}
	if (!work(d, library, 1, &w))
		return 0;
	ask_step(d, &w, q);
	work_free(&w);
	return 1;
}

/* ---- answers ---- */

static int picked(const reply *r, int place)
{
	return (r->picked >> place) & 1;
}

static void take_engine(draft *d, const question *q, const reply *r)
{
	int engine = ENGINES - 1; /* the plainest */
	for (int i = 0; i < q->choices; i++)
		if (!r->unknown && picked(r, i))
			engine = i;
	d->engine_told = 1;
	snprintf(d->engine, sizeof d->engine, "class: %s", engines[engine].class);
}

static void take_changed(draft *d, const question *q, const reply *r)
{
	(void)q;
	d->changed_told = 1;
	for (int i = 0; i < JW_CHANGE_KIND_COUNT; i++)
		d->changed[i] = !r->unknown && picked(r, i);
}

static void take_months(draft *d, const question *q, const reply *r)
{
	(void)q;
	d->months_told = 1;
	d->months = r->unknown ? -1 : r->number;
}

static void take_complaint(draft *d, const question *q, const reply *r)
{
	(void)q;
	d->rest_told = 1;
	for (int i = 0; i < COMPLAINTS; i++)
		if (!r->unknown && picked(r, i))
			draft_adds(d, jw_evidence_kind_find(complaints[i].seen), complaints[i].range, JW_YES, 0);
	if (!draft_last(d) || !draft_last(d)->evidences)
		draft_adds(d, 0, JW_IDLE, JW_UNKNOWN, 0);
}

static void take_runs(draft *d, const question *q, const reply *r)
{
	const int runs = jw_evidence_kind_find("runs_well"), all = picked(r, JW_RANGE_COUNT), retest = is_retest(d);
	int well = 0;
	(void)q;
	d->runs_told = 1;
	for (int range = 0; range < JW_RANGE_COUNT && !r->unknown; range++)
		if (all || picked(r, range))
			well += draft_adds(d, runs, (jw_range)range, JW_YES, 0);
		else if (picked(r, JW_RANGE_COUNT + 1)) /* in none, which says more than that a range was not named */
			draft_adds(d, runs, (jw_range)range, JW_NO, 0);
	d->closed = retest && well == JW_RANGE_COUNT;
	if (retest && well < JW_RANGE_COUNT && !r->unknown)
		d->rest_told = 0;
}

static void take_test(draft *d, const question *q, const reply *r)
{
	const jw_test_info *test = jw_test_of(q->evidence);
	int shown = 0;
	for (int i = 1; i < q->choices - 1 && !r->unknown; i++)
		if (picked(r, i))
			shown += draft_adds(d, jw_evidence_kind_find(test->instead[i - 1]), q->range, JW_YES, 0);
	if (!shown)
		draft_adds(d, q->evidence, q->range, r->unknown ? JW_UNKNOWN : picked(r, 0) ? JW_YES : JW_NO, 0);
}

static void take_reading(draft *d, const question *q, const reply *r)
{
	const jw_evidence_unit *unit = jw_evidence_unit_of(q->evidence);
	draft_adds(d, q->evidence, q->range, r->unknown ? JW_UNKNOWN : JW_YES, r->unknown ? 0 : r->number * unit->si);
}

static void take_repair(draft *d, const question *q, const reply *r)
{
	jw_visit *visit = draft_visit(d);
	if (visit && !r->unknown && picked(r, 0))
		visit->done[q->cause] = 1;
	else
		d->put_off[q->cause] = 1;
}

static void take_result(draft *d, const question *q, const reply *r)
{
	(void)q;
	if (r->unknown)
		return;
	const jw_result result = picked(r, 0) ? JW_RESULT_GONE : picked(r, 1) ? JW_RESULT_PART : JW_RESULT_SAME;
	d->log.visit[d->log.visits - 1].result = result;
	if (result == JW_RESULT_SAME)
		return;
	d->rest_told = result == JW_RESULT_GONE;
	d->runs_told = 0;
	memset(d->put_off, 0, sizeof d->put_off);
}

void take_reply(draft *d, const question *q, const reply *r)
{
	static void (*const take[ASK_NOTHING])(draft *, const question *, const reply *) = {
	    [ASK_ENGINE] = take_engine,       [ASK_MONTHS] = take_months, [ASK_CHANGED] = take_changed,
	    [ASK_COMPLAINT] = take_complaint, [ASK_RUNS] = take_runs,     [ASK_TEST] = take_test,
	    [ASK_READING] = take_reading,     [ASK_REPAIR] = take_repair, [ASK_RESULT] = take_result,
	};
	if (q->kind < ASK_NOTHING)
		take[q->kind](d, q, r);
}

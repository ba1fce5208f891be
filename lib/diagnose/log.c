/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The visits of a log one by one: what is weighed together, and what a repair carries over; see carried.h. */
#include "diagnose/log.h"
#include "base/base.h"
#include "diagnose/carried.h"
#include "diagnose/case.h"
#include "diagnose/report.h"
#include "diagnose/right.h"
#include <stdlib.h>
#include <string.h>

const char *jw_result_name(jw_result result)
{
	static const char *const names[JW_RESULT_COUNT] = {"unknown", "gone", "part", "same"};
	return (unsigned)result < JW_RESULT_COUNT ? names[result] : NULL;
}

/* ---- what speaks of the engine as it is ---- */

static jw_status check_log(const jw_log *log, jw_error *error)
{
	if (log->visits < 1 || log->visits > JW_VISITS_MOST)
		return jw_fail(error, JW_E_ARGUMENT, "log.visits", log->visits, 1, JW_VISITS_MOST);
	int day = JW_DAY_UNKNOWN;
	for (int v = 0; v < log->visits; v++) {
		const jw_visit *visit = &log->visit[v];
		if (visit->day != JW_DAY_UNKNOWN && visit->day < day)
			return jw_fail(error, JW_E_RANGE, "log.day", visit->day, day, INFINITY);
		if ((unsigned)visit->result >= JW_RESULT_COUNT)
			return jw_fail(error, JW_E_ARGUMENT, "log.result", (double)visit->result, 0, JW_RESULT_COUNT - 1);
		if (visit->day != JW_DAY_UNKNOWN)
			day = visit->day;
	}
	return JW_OK;
}

static int done_any(const jw_visit *visit)
{
	for (int c = 0; c < JW_CAUSES_MOST; c++)
		if (visit->done[c])
			return 1;
	return 0;
}

/* Whether a visit leaves another engine than it found. */
static int turns(const jw_visit *visit)
{
	return done_any(visit) && visit->result != JW_RESULT_SAME;
}

static jw_case nothing_seen(const jw_case *known)
{
	jw_case present = *known;
	present.evidences = 0;
	memset(present.history.mended, 0, sizeof present.history.mended);
	return present;
}

static jw_status see(const jw_visit *visit, jw_case *present, jw_error *error)
{
	const int together = present->evidences + visit->evidences;
	if (visit->evidences < 0 || together > JW_EVIDENCE_MAX)
		return jw_fail(error, JW_E_RANGE, "log.evidences", together, 0, JW_EVIDENCE_MAX);
	memcpy(&present->evidence[present->evidences], visit->evidence, (size_t)visit->evidences * sizeof *visit->evidence);
	present->evidences = together;
	return JW_OK;
}

static void leave(const jw_case *known, const jw_visit *visit, jw_case *present)
{
	if (turns(visit)) {
		*present = nothing_seen(known);
		return;
	}
	for (int c = 0; c < JW_CAUSES_MOST; c++)
		present->history.mended[c] += visit->done[c] != 0;
}

jw_status jw_log_present(const jw_case *known, const jw_log *log, jw_case *present, jw_error *error)
{
	jw_case now = nothing_seen(known);
	jw_status status = check_log(log, error);
	for (int v = 0; v < log->visits && status >= 0; v++) {
		status = see(&log->visit[v], &now, error);
		leave(known, &log->visit[v], &now);
	}
	if (status >= 0)
		*present = now;
	return status;
}

/* ---- what is carried over ---- */

/* Of a pair that was not weighed together: one does what it does alone, and the other, which explains nothing that the
 * first does not, can only speak against it. */
static double pair_likelihood(const jw_beliefs *b, const jw_candidate *one, const jw_candidate *other)
{
	const double sound = b->sound_likelihood, a = one->told.likelihood, c = other->told.likelihood;
	return sound > 0 ? fmax(a, c) * fmin(1, fmin(a, c) / sound) : 0;
}

jw_status jw_log_learn(const jw_beliefs *b, jw_carried *carried, jw_error *error)
{
	double all = 0;
	*carried = (jw_carried){.sound = b->sound * b->all, .other = b->other * b->all};
	for (int i = 0; i < b->candidates; i++)
		all += b->candidate[i].odds;
	for (int i = 0; i < b->candidates; i++) {
		const jw_candidate *one = &b->candidate[i];
		carried->alone[one->cause] = one->odds * one->told.likelihood;
		for (int j = 0; j < i; j++) {
			const jw_candidate *other = &b->candidate[j];
			*jw_carried_pair(carried, one->cause, other->cause) =
			    jw_pair_odds(&b->inquiry, one, other, all) * pair_likelihood(b, one, other);
		}
	}
	for (int k = 0; k < b->pairs; k++) {
		const int *member = b->pair[k].member;
		*jw_carried_pair(carried, b->candidate[member[0]].cause, b->candidate[member[1]].cause) =
		    b->pair[k].weight * b->all;
	}
	return jw_carried_normalise(carried, error);
}

/* Odds of each cause in daily use, on an engine that has the part. */
static void daily_odds(const jw_setup *healthy, double *odds)
{
	for (int c = 0; c < jw_cause_count(); c++) {
		const jw_cause_row *row = jw_cause_row_at(c);
		odds[c] = jw_cause_possible(healthy, row) && !row->rejet ? row->odds : 0;
	}
}

static double days_between(const jw_visit *one, const jw_visit *next)
{
	return one->day == JW_DAY_UNKNOWN || next->day == JW_DAY_UNKNOWN ? 0 : next->day - one->day;
}

/* ---- what leads ---- */

static void lead_with(jw_belief *top, jw_hypothesis_kind led, int cause, double probability)
{
	if (probability > top->probability) {
		top->led = led;
		top->cause = cause;
		top->probability = probability;
	}
}

/* Among everything that is carried over a visit's repairs. */
static jw_belief leads_after(const jw_carried *carried, int visit)
{
	jw_belief top = {visit, 1, JW_HYPOTHESIS_SOUND, -1, carried->sound};
	lead_with(&top, JW_HYPOTHESIS_OTHER, -1, carried->other);
	for (int c = 0; c < jw_cause_count(); c++)
		lead_with(&top, JW_HYPOTHESIS_CAUSES, c, jw_carried_marginal(carried, c));
	return top;
}

/* Among what was weighed together, as a report has it. */
static jw_belief leads_now(const jw_beliefs *b, int visit, int done)
{
	jw_belief top = {visit, done, JW_HYPOTHESIS_SOUND, -1, b->sound};
	lead_with(&top, JW_HYPOTHESIS_OTHER, -1, b->other);
	for (int i = 0; i < b->candidates; i++)
		lead_with(&top, JW_HYPOTHESIS_CAUSES, b->candidate[i].cause, jw_marginal(b, i));
	return top;
}

/* ---- a walk over the visits ---- */

typedef struct walk {
	const jw_setup *healthy;
	const jw_case *known;
	const jw_log *log;
	jw_course course;
	jw_carried carried; /* over the last repair that turned the engine into another */
	int is_carried;
	jw_beliefs beliefs; /* of the present engine */
} walk;

static void put(walk *w, jw_belief belief)
{
	w->course.belief[w->course.beliefs++] = belief;
}

static jw_status weigh_present(walk *w, jw_error *error)
{
	const jw_case *present = &w->course.present;
	jw_status status = JW_OK;
	if (present->evidences || !w->is_carried)
		status = jw_case_check(w->healthy, present, error);
	if (status < 0)
		return status;
	memset(&w->beliefs, 0, sizeof w->beliefs);
	status = jw_inquiry_open(w->healthy, present, &w->beliefs.inquiry, error);
	w->beliefs.inquiry.carried = w->is_carried ? &w->carried : NULL;
	return status < 0 ? status : jw_both(status, jw_weigh_all(&w->beliefs, error));
}

/* Another engine from here on. */
static jw_status turn(walk *w, int visit, jw_error *error)
{
	const jw_visit *now = &w->log->visit[visit];
	double odds[JW_CAUSES_MOST];
	jw_status status = jw_log_learn(&w->beliefs, &w->carried, error);
	if (status >= 0)
		status = jw_carried_repair(now->done, now->result, &w->carried, error);
	if (status < 0)
		return status;
	put(w, leads_after(&w->carried, visit));
	daily_odds(w->healthy, odds);
	if (visit + 1 < w->log->visits)
		jw_carried_wait(days_between(now, now + 1), odds, &w->carried);
	w->is_carried = 1;
	w->course.first = visit + 1;
	leave(w->known, now, &w->course.present);
	return visit + 1 < w->log->visits ? status : weigh_present(w, error);
}

/* The same engine still, of which one remedy more is known to have been in vain. */
static jw_status stay(walk *w, int visit, jw_error *error)
{
	leave(w->known, &w->log->visit[visit], &w->course.present);
	jw_status status = weigh_present(w, error);
	if (status >= 0)
		put(w, leads_now(&w->beliefs, visit, 1));
	return status;
}

static jw_status pass_visit(walk *w, int visit, jw_error *error)
{
	const jw_visit *now = &w->log->visit[visit];
	jw_status status = see(now, &w->course.present, error);
	if (status >= 0)
		status = weigh_present(w, error);
	if (status < 0)
		return status;
	if (now->evidences)
		put(w, leads_now(&w->beliefs, visit, 0));
	if (!done_any(now))
		return status;
	return jw_both(status, turns(now) ? turn(w, visit, error) : stay(w, visit, error));
}

static jw_status explain(walk *w, jw_report **report, jw_error *error)
{
	jw_status status = check_log(w->log, error);
	w->course.present = nothing_seen(w->known);
	for (int v = 0; v < w->log->visits && status >= 0; v++)
		status = jw_both(status, pass_visit(w, v, error));
	if (status < 0)
		return status;
	return jw_both(status, jw_report_of(&w->beliefs, &w->course.present, report, error));
}

jw_status jw_explain_log(const jw_setup *healthy, const jw_case *known, const jw_log *log, jw_report **report,
                         jw_course *course, jw_error *error)
{
	jw_status status = jw_setup_check(healthy, error);
	walk *w = status < 0 ? NULL : calloc(1, sizeof *w);
	if (!w)
		return status < 0 ? status : jw_no_memory(error, "report");
	jw_setup right;
	status = jw_ran_right(healthy, &right, error);
	w->healthy = &right;
	w->known = known;
	w->log = log;
	if (status >= 0)
		status = explain(w, report, error);
	if (status >= 0 && course)
		*course = w->course;
	free(w);
	return status;
}

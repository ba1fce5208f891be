/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/actions.h"
#include "base/base.h"
#include "diagnose/plan.h"
#include "diagnose/remedy.h"
#include "diagnose/starved.h"
#include <stdlib.h>

/* Probability that a test shows none of the words for its results, at least. */
static const double least_none = 0.03;
/* Probability of a severity that is counted. */
static const double least_severity = 0.005;
/* Probability from which a remedy is proposed, a result told, a change of a cause's probability told, and a cause's
 * engine solved for a trial; of the others the engine as it stands speaks. */
static const double least_mended = 0.02, least_seen = 0.01, least_shift = 0.01, least_tried = 0.002;

/* Everything that one case's actions are weighed with. */
typedef struct weighing {
	const jw_beliefs *beliefs;
	jw_jobs jobs;
	jw_chances now;
	double entropy; /* over remedies, bit */
} weighing;

/* ---- what a test may show ---- */

enum { HYPOTHESES = JW_CAUSES_MOST + 2 }; /* candidates, then sound, then unnamed */

typedef struct forecast {
	int results;
	jw_evidence seen[JW_OUTCOMES_MOST];
	int side[JW_OUTCOMES_MOST]; /* a reading: -1 too low, 1 too high */
	double likely[JW_OUTCOMES_MOST][HYPOTHESES];
} forecast;

/* The mixture of every candidate's engine during a trial that the case does not need solved. */
typedef struct trial {
	int solved;
	jw_signs of[JW_CAUSES_MOST], present;
} trial;

static double severity_mean(const jw_candidate *it)
{
	double mean = 0;
	for (int j = 0; j < it->scene.nodes; j++)
		mean += it->told.severity[j] * jw_node(j);
	return mean;
}

/* At the severity that is believed by now. */
static void try_all(const weighing *w, jw_range range, unsigned needs, trial *t)
{
	const jw_beliefs *b = w->beliefs;
	if (jw_try_signs(&b->inquiry, &b->inquiry.background.present, range, needs, &t->present) < 0)
		return;
	t->solved = 1;
	for (int c = 0; c < b->candidates; c++) {
		const jw_candidate *it = &b->candidate[c];
		jw_setup faulty;
		t->of[c] = t->present;
		if (w->now.share[c] < least_tried || !jw_cause_meters(it->cause) ||
		    jw_cause_apply(&it->base, it->cause, severity_mean(it), &faulty, NULL) < 0)
			continue;
		jw_signs signs;
		if (jw_try_signs(&b->inquiry, &faulty, range, needs, &signs) >= 0)
			t->of[c] = signs;
		jw_signs_compare(&t->present, &t->of[c]);
	}
}

/* By so many standard uncertainties. */
static jw_signs shifted(const jw_inquiry *inquiry, const jw_signs *signs, jw_range range, double by)
{
	jw_signs s = *signs;
	s.lnphi += by * jw_shared_uncertainty(inquiry, range, signs->effect);
	s.lnphi_enriched += by * jw_shared_uncertainty(inquiry, range, signs->effect_enriched);
	s.lnphi_screw += by * jw_shared_uncertainty(inquiry, range, signs->effect_screw);
	s.past = NULL;
	return s;
}

/* Over what the engine's mixture may be off the model's: Gauss-Hermite, three points. */
static double over_error(const jw_inquiry *inquiry, const jw_signs *signs, const jw_evidence *seen, double told)
{
	const jw_signs low = shifted(inquiry, signs, seen->range, -sqrt(3)),
	               high = shifted(inquiry, signs, seen->range, sqrt(3));
	const double middle = jw_likelihood(seen, signs, told);
	if (!jw_evidence_row_at(seen->kind)->needs)
		return middle;
	return 2.0 / 3 * middle + (jw_likelihood(seen, &low, told) + jw_likelihood(seen, &high, told)) / 6;
}

/* \param signs at every severity */
static double over_severity(const jw_inquiry *inquiry, const jw_candidate *it, const jw_signs (*signs)[JW_RANGE_COUNT],
                            const jw_evidence *seen, double told)
{
	if (it->scene.nodes == 1 || !jw_evidence_row_at(seen->kind)->needs)
		return over_error(inquiry, &signs[0][seen->range], seen, told);
	double yes = 0, sum = 0;
	for (int j = 0; j < it->scene.nodes; j++)
		if (it->told.severity[j] > least_severity) {
			sum += it->told.severity[j];
			yes += it->told.severity[j] * over_error(inquiry, &signs[j][seen->range], seen, told);
		}
	return sum > 0 ? yes / sum : over_error(inquiry, &signs[0][seen->range], seen, told);
}

static int starves(const jw_beliefs *b, const jw_candidate *it)
{
	return it->scene.nodes > 1 && jw_supply_foretells(&b->inquiry.background.present, jw_cause_row_at(it->cause));
}

/* A trial of an engine whose supply falls short at some severities. */
static double over_starving(const jw_beliefs *b, const trial *t, const jw_candidate *it, const jw_evidence *seen,
                            double told)
{
	jw_signs signs[JW_SCENE_NODES][JW_RANGE_COUNT];
	const double plain = b->present.signs[0][seen->range].lnphi;
	for (int j = 0; j < it->scene.nodes; j++) {
		const double left = it->scene.signs[j][seen->range].lnphi;
		jw_signs *s = &signs[j][seen->range];
		*s = t->present;
		if (left < plain)
			jw_starve(s, left);
		jw_signs_compare(&t->present, s);
	}
	return over_severity(&b->inquiry, it, (const jw_signs(*)[JW_RANGE_COUNT])signs, seen, told);
}

static double off_of_scene(const jw_candidate *it, const jw_evidence *seen, double told, int side)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	double off = 0;
	for (int j = 0; j < it->scene.nodes; j++)
		off += (it->scene.nodes > 1 ? it->told.severity[j] : 1) *
		       jw_reads_off(row, &it->scene.signs[j][seen->range], told, side);
	return off;
}

/* Probability that a reading is off to a side, under each hypothesis. */
static void foretell_reading(const jw_beliefs *b, const jw_evidence *seen, int side, double *likely)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	for (int c = 0; c < b->candidates; c++) {
		const double told = jw_told_of(&b->inquiry, b->candidate[c].cause, seen);
		likely[c] = off_of_scene(&b->candidate[c], seen, told, side);
	}
	likely[b->candidates] = jw_reads_off(row, &b->present.signs[0][seen->range], JW_NOT_TOLD, side);
	likely[b->candidates + 1] = jw_reads_off(row, NULL, JW_NOT_TOLD, side);
}

/* Probability that a thing is seen, under each hypothesis. */
static void foretell(const jw_beliefs *b, const trial *t, const jw_evidence *seen, double *likely)
{
	for (int c = 0; c < b->candidates; c++) {
		const jw_candidate *it = &b->candidate[c];
		const double told = jw_told_of(&b->inquiry, it->cause, seen);
		if (!t->solved)
			likely[c] = over_severity(&b->inquiry, it, it->scene.signs, seen, told);
		else if (starves(b, it))
			likely[c] = over_starving(b, t, it, seen, told);
		else
			likely[c] = over_error(&b->inquiry, &t->of[c], seen, told);
	}
	likely[b->candidates] =
	    over_error(&b->inquiry, t->solved ? &t->present : &b->present.signs[0][seen->range], seen, JW_NOT_TOLD);
	likely[b->candidates + 1] = jw_likelihood_other(seen);
}

static jw_evidence result_of(const char *evidence, jw_range range, jw_answer answer)
{
	const jw_evidence seen = {.kind = jw_evidence_kind_find(evidence), .range = range, .answer = answer};
	return jw_evidence_read(&seen);
}

/* Its words, and none of them; under each hypothesis they sum to 1. */
static void list_results(const jw_test_info *test, jw_range range, forecast *f)
{
	*f = (forecast){0};
	f->seen[f->results++] = result_of(test->evidence, range, JW_YES);
	if (jw_evidence_row_at(f->seen[0].kind)->gauge) {
		f->seen[f->results++] = f->seen[0];
		f->side[0] = -1;
		f->side[1] = 1;
	}
	for (int i = 0; i < JW_OUTCOMES_MOST - 2 && test->instead[i]; i++)
		f->seen[f->results++] = result_of(test->instead[i], range, JW_YES);
	f->seen[f->results++] = result_of(test->evidence, range, JW_NO);
}

/* A result that no word names is never ruled out. */
static void share_out(forecast *f, int hypotheses)
{
	const int none = f->results - 1;
	for (int h = 0; h < hypotheses; h++) {
		double sum = 0;
		for (int k = 0; k < none; k++)
			sum += f->likely[k][h];
		f->likely[none][h] = fmax(1 - sum, least_none);
		sum += f->likely[none][h];
		for (int k = 0; k <= none; k++)
			f->likely[k][h] /= sum;
	}
}

static void foretell_test(const weighing *w, const jw_test_info *test, jw_range range, forecast *f)
{
	const jw_beliefs *b = w->beliefs;
	trial t = {0};
	unsigned needs = 0;
	list_results(test, range, f);
	for (int k = 0; k < f->results; k++)
		needs |= jw_evidence_row_at(f->seen[k].kind)->needs;
	if (needs & ~(b->inquiry.needs[f->seen[0].range] | JW_NEEDS_PLAIN))
		try_all(w, f->seen[0].range, needs, &t);
	for (int k = 0; k < f->results - 1; k++)
		if (f->side[k])
			foretell_reading(b, &f->seen[k], f->side[k], f->likely[k]);
		else
			foretell(b, &t, &f->seen[k], f->likely[k]);
	share_out(f, b->candidates + 2);
}

/* ---- what is thought then ---- */

/* How far a candidate's engine shows another picture than one without a fault. */
static double plainness(const jw_beliefs *b, const forecast *f, int candidate)
{
	double apart = 0;
	for (int k = 0; k < f->results; k++)
		apart += fabs(f->likely[k][candidate] - f->likely[k][b->candidates]);
	return apart;
}

/* The member of a pair whose say in a test is plainer decides it. */
static int plainer(const jw_beliefs *b, const forecast *f, const int *member)
{
	return plainness(b, f, member[0]) >= plainness(b, f, member[1]) ? member[0] : member[1];
}

static void chances_now(const jw_beliefs *b, jw_chances *c)
{
	for (int i = 0; i < b->candidates; i++)
		c->alone[i] = b->candidate[i].weight;
	for (int k = 0; k < b->pairs; k++)
		c->pair[k] = b->pair[k].weight;
	c->sound = b->sound;
	c->other = b->other;
	jw_chances_share(b, c);
}

/* Returns the probability of the result. */
static double chances_after(const weighing *w, const forecast *f, int result, jw_chances *c)
{
	const jw_beliefs *b = w->beliefs;
	const double *likely = f->likely[result];
	*c = w->now;
	for (int i = 0; i < b->candidates; i++)
		c->alone[i] *= likely[i];
	for (int k = 0; k < b->pairs; k++)
		c->pair[k] *= likely[plainer(b, f, b->pair[k].member)];
	c->sound *= likely[b->candidates];
	c->other *= likely[b->candidates + 1];
	return jw_chances_share(b, c);
}

/* Causes with one job count as one. */
static double remedy_entropy(const jw_beliefs *b, const jw_chances *c)
{
	double share[HYPOTHESES] = {0};
	for (int i = 0; i < b->candidates; i++)
		share[jw_remedy_job(b->candidate[i].cause)] += c->share[i];
	share[JW_CAUSES_MOST] = c->sound;
	share[JW_CAUSES_MOST + 1] = c->other;
	return jw_entropy(share, HYPOTHESES);
}

static int leading(const jw_beliefs *b, const jw_chances *c)
{
	int lead = 0;
	for (int i = 1; i < b->candidates; i++)
		if (c->share[i] > c->share[lead])
			lead = i;
	return b->candidates && c->share[lead] > c->sound && c->share[lead] > c->other ? lead : -1;
}

/* The cause whose probability grows most, or with -1 falls most. */
static jw_shift greatest_shift(const weighing *w, const jw_chances *after, double sign)
{
	jw_shift shift = {.cause = -1};
	double most = least_shift;
	for (int i = 0; i < w->beliefs->candidates; i++) {
		double by = sign * (after->share[i] - w->now.share[i]);
		if (by < most)
			continue;
		most = by;
		shift = (jw_shift){w->beliefs->candidate[i].cause, w->now.share[i], after->share[i]};
	}
	return shift;
}

static int cause_of(const jw_beliefs *b, int candidate)
{
	return candidate < 0 ? -1 : b->candidate[candidate].cause;
}

static jw_outcome outcome_of(const weighing *w, const jw_evidence *seen, int side, double probability,
                             const jw_chances *after)
{
	const int lead = leading(w->beliefs, after);
	int begun;
	jw_outcome outcome = {.evidence = seen->kind,
	                      .answer = seen->answer,
	                      .side = side,
	                      .probability = probability,
	                      .leads = cause_of(w->beliefs, lead),
	                      .probability_then = lead < 0 ? 0 : after->share[lead],
	                      .rises = greatest_shift(w, after, 1),
	                      .falls = greatest_shift(w, after, -1)};
	outcome.expected_minutes = jw_plan_minutes(w->beliefs, &w->jobs, after, -1, &begun);
	outcome.remedy = begun < 0 ? -1 : cause_of(w->beliefs, begun);
	return outcome;
}

/* ---- steps ---- */

/* What leads where the thing is seen, and where it is not: the likeliest of such results. A reading is seen where it
 * stands out to either side. */
static void tell_leads(jw_action *action)
{
	double most_yes = -1, most_no = -1;
	action->if_yes = action->if_no = -1;
	for (int k = 0; k < action->outcomes; k++) {
		const jw_outcome *outcome = &action->outcome[k];
		const int yes = outcome->evidence == action->evidence && outcome->answer == JW_YES;
		double *most = yes ? &most_yes : &most_no;
		action->yes += yes ? outcome->probability : 0;
		if (outcome->probability > *most) {
			*most = outcome->probability;
			*(yes ? &action->if_yes : &action->if_no) = outcome->leads;
		}
	}
}

static jw_action weigh_test(const weighing *w, const jw_test_info *test, jw_range range)
{
	forecast f;
	foretell_test(w, test, range, &f);
	jw_action action = {.cause = -1,
	                    .evidence = f.seen[0].kind,
	                    .range = f.seen[0].range,
	                    .minutes = test->minutes,
	                    .expected_minutes = test->minutes,
	                    .information_bit = w->entropy};
	for (int k = 0; k < f.results; k++) {
		jw_chances after;
		double probability = chances_after(w, &f, k, &after);
		if (!(probability > 0))
			continue;
		const jw_outcome outcome = outcome_of(w, &f.seen[k], f.side[k], probability, &after);
		action.expected_minutes += probability * outcome.expected_minutes;
		action.information_bit -= probability * remedy_entropy(w->beliefs, &after);
		if (k == 0 || probability >= least_seen)
			action.outcome[action.outcomes++] = outcome;
	}
	action.information_bit = fmax(action.information_bit, 0);
	tell_leads(&action);
	return action;
}

static jw_action weigh_repair(const weighing *w, int job, double mends)
{
	return (jw_action){.cause = cause_of(w->beliefs, job),
	                   .evidence = -1,
	                   .minutes = w->jobs.minutes[job],
	                   .expected_minutes = jw_plan_minutes(w->beliefs, &w->jobs, &w->now, job, NULL),
	                   .mends = mends * w->jobs.holds[job],
	                   .if_yes = -1,
	                   .if_no = -1};
}

/* Of causes with one job the likeliest gives it its name. */
static int names_job(const weighing *w, int own)
{
	const jw_beliefs *b = w->beliefs;
	const int kind = jw_remedy_job(b->candidate[own].cause);
	for (int i = 0; i < b->candidates; i++)
		if (i != own && jw_remedy_job(b->candidate[i].cause) == kind &&
		    (w->now.share[i] > w->now.share[own] || (w->now.share[i] == w->now.share[own] && i < own)))
			return 0;
	return 1;
}

static int by_minutes(const void *left, const void *right)
{
	const jw_action *a = left, *b = right;
	if (a->expected_minutes != b->expected_minutes)
		return a->expected_minutes < b->expected_minutes ? -1 : 1;
	return a->cause != b->cause ? a->cause - b->cause : a->evidence - b->evidence;
}

/* Where all are unlikely, the likeliest is still proposed. */
static int weigh_repairs(const weighing *w, jw_action *action)
{
	double mends[JW_CAUSES_MOST], least = least_mended, most = 0;
	int n = 0;
	for (int j = 0; j < w->beliefs->candidates; j++) {
		mends[j] = jw_job_share(w->beliefs, &w->jobs, &w->now, j);
		most = fmax(most, mends[j]);
	}
	least = fmin(least, most);
	for (int j = 0; j < w->beliefs->candidates; j++)
		if (mends[j] >= least && names_job(w, j))
			action[n++] = weigh_repair(w, j, mends[j]);
	return n;
}

static int weigh_tests(const weighing *w, const jw_case *known, jw_action *action)
{
	int n = 0;
	for (int t = 0; t < jw_test_count(); t++) {
		const jw_test_row *row = jw_test_row_at(t);
		const int kind = jw_evidence_kind_find(row->info.evidence);
		if (jw_test_possible(w->beliefs->inquiry.background.healthy, known, row))
			action[n++] = weigh_test(w, &row->info, jw_test_range(known, kind));
	}
	return n;
}

int jw_weigh_actions(const jw_beliefs *b, const jw_case *known, jw_action *action)
{
	weighing w = {.beliefs = b};
	jw_jobs_of(b, &w.jobs);
	chances_now(b, &w.now);
	w.entropy = remedy_entropy(b, &w.now);
	int n = weigh_repairs(&w, action);
	n += weigh_tests(&w, known, action + n);
	qsort(action, (size_t)n, sizeof *action, by_minutes);
	return n;
}

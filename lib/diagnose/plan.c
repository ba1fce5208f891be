/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/plan.h"
#include "base/base.h"
#include "diagnose/remedy.h"
#include <stdlib.h>

/* Minutes to find what no row names, and to see that nothing is wrong. Trade practice, no source. */
static const double unnamed_minutes = 180, sound_minutes = 10;
/* What is less likely than this to ail still is left to the search for the unnamed. */
static const double least_left = 2e-3;

/* ---- single faults that exclude each other ---- */

typedef struct repair {
	double probability, minutes;
} repair;

/* Least cost over probability first (Kalagnanam and Henrion, UAI 1988). */
static int by_ratio(const void *left, const void *right)
{
	const repair *a = left, *b = right;
	double one = a->minutes * b->probability, other = b->minutes * a->probability;
	return one < other ? -1 : one > other;
}

/* Each repair costs its minutes unless one before it was the right one. */
static double in_order(const repair *repairs, int n)
{
	double left = 1, minutes = 0;
	for (int i = 0; i < n; i++) {
		minutes += repairs[i].minutes * fmax(left, 0);
		left -= repairs[i].probability;
	}
	return minutes;
}

enum { REPAIRS = JW_CAUSES_MOST + 2 };

static int take_repairs(const double *probability, const double *minutes, int n, repair *repairs)
{
	if (n < 0 || n > REPAIRS)
		return 0;
	for (int i = 0; i < n; i++)
		repairs[i] = (repair){probability[i], minutes[i]};
	return n;
}

double jw_minutes_in_order(const double *probability, const double *minutes, int n)
{
	repair repairs[REPAIRS];
	return in_order(repairs, take_repairs(probability, minutes, n, repairs));
}

double jw_expected_minutes(const double *probability, const double *minutes, int n)
{
	repair repairs[REPAIRS];
	n = take_repairs(probability, minutes, n, repairs);
	qsort(repairs, (size_t)n, sizeof *repairs, by_ratio);
	return in_order(repairs, n);
}

/* ---- hypotheses ---- */

static void divide(double *x, int n, double by)
{
	for (int i = 0; i < n; i++)
		x[i] /= by;
}

static double sum_of(const double *x, int n)
{
	double sum = 0;
	for (int i = 0; i < n; i++)
		sum += x[i];
	return sum;
}

double jw_chances_share(const jw_beliefs *b, jw_chances *c)
{
	double sum = sum_of(c->alone, b->candidates) + sum_of(c->pair, b->pairs) + c->sound + c->other;
	if (!(sum > 0))
		return 0;
	divide(c->alone, b->candidates, sum);
	divide(c->pair, b->pairs, sum);
	c->sound /= sum;
	c->other /= sum;
	for (int i = 0; i < b->candidates; i++)
		c->share[i] = c->alone[i];
	for (int k = 0; k < b->pairs; k++)
		for (int m = 0; m < 2; m++)
			c->share[b->pair[k].member[m]] += 0.5 * c->pair[k];
	return sum;
}

/* ---- jobs ---- */

void jw_jobs_of(const jw_beliefs *b, jw_jobs *jobs)
{
	for (int j = 0; j < b->candidates; j++) {
		const int remedy = b->candidate[j].cause;
		jobs->minutes[j] = jw_cause_minutes(remedy);
		jobs->holds[j] = jw_remedy_holds(remedy);
		jobs->mended[j] = 0;
		for (int c = 0; c < b->candidates; c++)
			if (jw_remedy_mends(remedy, b->candidate[c].cause))
				jobs->mends[j][jobs->mended[j]++] = c;
	}
}

double jw_job_share(const jw_beliefs *b, const jw_jobs *jobs, const jw_chances *chances, int job)
{
	char mended[JW_CAUSES_MOST] = {0};
	double share = 0;
	for (int m = 0; m < jobs->mended[job]; m++) {
		int c = jobs->mends[job][m];
		mended[c] = 1;
		share += chances->alone[c];
	}
	for (int k = 0; k < b->pairs; k++)
		if (mended[b->pair[k].member[0]] || mended[b->pair[k].member[1]])
			share += chances->pair[k];
	return share;
}

/* A plan as far as it has come. */
typedef struct progress {
	const jw_beliefs *beliefs;
	const jw_jobs *jobs;
	const jw_chances *chances;
	double faulty[JW_CAUSES_MOST]; /* probability that a candidate, if it was at fault, still is */
	double ails[JW_CAUSES_MOST];   /* probability that a candidate is at fault, and nothing was mended yet */
	double sound, other;           /* of these what is left */
	double left; /* probability that nothing was mended yet, and nobody has seen yet that nothing is wrong */
} progress;

/* Two jobs come after those of the candidates: to see that nothing is wrong, and to search for what no row names. */
static int see_job(const progress *p)
{
	return p->beliefs->candidates;
}

static int search_job(const progress *p)
{
	return p->beliefs->candidates + 1;
}

static double gain_of(const progress *p, int job)
{
	if (job >= see_job(p))
		return job == see_job(p) ? p->sound : p->other;
	double gain = 0;
	for (int m = 0; m < p->jobs->mended[job]; m++)
		gain += p->ails[p->jobs->mends[job][m]];
	return gain * p->jobs->holds[job];
}

static double minutes_of(const progress *p, int job)
{
	if (job >= see_job(p))
		return job == see_job(p) ? sound_minutes : unnamed_minutes;
	return p->jobs->minutes[job];
}

/* One that failed may be done again, better. -1: nothing is worth doing any more. */
static int next_job(const progress *p)
{
	int best = -1;
	double ratio = 0;
	if (p->left < least_left)
		return best;
	for (int j = 0; j <= search_job(p); j++) {
		double gain = gain_of(p, j);
		if (gain > ratio * minutes_of(p, j)) {
			ratio = gain / minutes_of(p, j);
			best = j;
		}
	}
	return best;
}

/* Of two faults the one mended first shows: then the engine is looked at anew. */
static void sum_up(progress *p)
{
	const jw_beliefs *b = p->beliefs;
	p->left = p->sound + p->other;
	for (int c = 0; c < b->candidates; c++) {
		p->ails[c] = p->chances->alone[c] * p->faulty[c];
		p->left += p->ails[c];
	}
	for (int k = 0; k < b->pairs; k++) {
		const int *member = b->pair[k].member;
		double both = p->chances->pair[k] * p->faulty[member[0]] * p->faulty[member[1]];
		p->ails[member[0]] += both;
		p->ails[member[1]] += both;
		p->left += both;
	}
}

static void do_job(progress *p, int job)
{
	if (job == see_job(p))
		p->sound = 0;
	else if (job == search_job(p))
		p->other = 0;
	else
		for (int m = 0; m < p->jobs->mended[job]; m++)
			p->faulty[p->jobs->mends[job][m]] *= 1 - p->jobs->holds[job];
	sum_up(p);
}

double jw_plan_minutes(const jw_beliefs *b, const jw_jobs *jobs, const jw_chances *chances, int first, int *begun)
{
	progress p = {b, jobs, chances, .sound = chances->sound, .other = chances->other};
	double minutes = 0;
	for (int c = 0; c < b->candidates; c++)
		p.faulty[c] = 1;
	sum_up(&p);
	int job = first >= 0 ? first : next_job(&p);
	if (begun)
		*begun = job < b->candidates ? job : -1;
	for (; job >= 0; job = next_job(&p)) {
		minutes += minutes_of(&p, job) * p.left;
		do_job(&p, job);
	}
	return minutes + unnamed_minutes * p.left;
}

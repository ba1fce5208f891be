/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The order in which remedies are tried, and what that takes. */
#ifndef JW_DIAGNOSE_PLAN_H
#define JW_DIAGNOSE_PLAN_H

#include "diagnose/beliefs.h"

/* Every hypothesis with its probability, after some result or as it is. */
typedef struct jw_chances {
	double alone[JW_CAUSES_MOST]; /* of each candidate */
	double pair[JW_PAIRS];
	double sound, other;
	double share[JW_CAUSES_MOST]; /* of each candidate, pairs counted half for each of the two */
} jw_chances;

/* Sets the shares of chances whose other members are set; all are divided by their sum, which is returned. */
double jw_chances_share(const jw_beliefs *beliefs, jw_chances *chances);

/* The remedy of each candidate, how long it takes, and what it mends. */
typedef struct jw_jobs {
	double minutes[JW_CAUSES_MOST], holds[JW_CAUSES_MOST];
	int mends[JW_CAUSES_MOST][JW_CAUSES_MOST], mended[JW_CAUSES_MOST]; /* candidates, and how many */
} jw_jobs;

void jw_jobs_of(const jw_beliefs *beliefs, jw_jobs *jobs);

/* Probability that a job hits something that ails. */
double jw_job_share(const jw_beliefs *beliefs, const jw_jobs *jobs, const jw_chances *chances, int job);

/* Expected minutes until a repair is verified, the first of two where two are due: always the job next that takes the
 * fewest minutes for what it may still mend. \param first the job to begin with, or -1: the best \param[out] begun that
 * job; may be NULL; -1: none of a candidate
 */
double jw_plan_minutes(const jw_beliefs *beliefs, const jw_jobs *jobs, const jw_chances *chances, int first,
                       int *begun);

#endif

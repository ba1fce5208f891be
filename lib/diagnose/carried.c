/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/carried.h"
#include "base/base.h"
#include "diagnose/remedy.h"
#include <string.h>

/* Of carburetors that were taken apart, those put together wrongly. Trade practice, no source. */
static const double spoilt_share = 0.03;
/* Days in which a sound engine in use fails, in the mean. Trade practice, no source. */
static const double days_to_a_fault = 700;
/* A visit takes a day. */
static const double least_days = 1;

/* For these the carburetor is taken apart. */
static const char *const inside[] = {"carburetor",     "pilot jet", "main jet",     "main air jet", "pilot air jet",
                                     "transfer ports", "power jet", "needle",       "needle jet",   "float",
                                     "float needle",   "slide",     "overflow tube"};

/* How often a retest comes out so: by whether a fault was removed, and whether one is left. Trade practice, no source.
 */
static const double results[JW_RESULT_COUNT][2][2] = {
    [JW_RESULT_UNKNOWN] = {{1, 1}, {1, 1}},
    [JW_RESULT_GONE] = {{0.75, 0.05}, {0.96, 0.25}},
    [JW_RESULT_PART] = {{0.10, 0.10}, {0.02, 0.60}},
    [JW_RESULT_SAME] = {{0.15, 0.85}, {0.02, 0.15}},
};

double *jw_carried_pair(jw_carried *carried, int cause, int other)
{
	return cause < other ? &carried->pair[cause][other] : &carried->pair[other][cause];
}

double jw_carried_both(const jw_carried *carried, int cause, int other)
{
	return cause < other ? carried->pair[cause][other] : carried->pair[other][cause];
}

static double sum_of(const jw_carried *carried)
{
	double sum = carried->sound + carried->other;
	for (int c = 0; c < JW_CAUSES_MOST; c++) {
		sum += carried->alone[c];
		for (int d = c + 1; d < JW_CAUSES_MOST; d++)
			sum += carried->pair[c][d];
	}
	return sum;
}

jw_status jw_carried_normalise(jw_carried *carried, jw_error *error)
{
	const double sum = sum_of(carried);
	if (!(sum > 0) || !isfinite(sum))
		return jw_fail(error, JW_E_RANGE, "log", sum, 0, 1);
	carried->sound /= sum;
	carried->other /= sum;
	for (int c = 0; c < JW_CAUSES_MOST; c++) {
		carried->alone[c] /= sum;
		for (int d = c + 1; d < JW_CAUSES_MOST; d++)
			carried->pair[c][d] /= sum;
	}
	return JW_OK;
}

double jw_carried_marginal(const jw_carried *carried, int cause)
{
	double sum = carried->alone[cause];
	for (int c = 0; c < cause; c++)
		sum += carried->pair[c][cause];
	for (int d = cause + 1; d < JW_CAUSES_MOST; d++)
		sum += carried->pair[cause][d];
	return sum;
}

/* ---- a visit's repairs ---- */

typedef struct work {
	double mends[JW_CAUSES_MOST]; /* probability that a cause is gone after it */
	double spoils;                /* that it adds a fault of its own */
	int spoilt;                   /* which */
	jw_result result;
	jw_carried *after;
} work;

static int opens_carburetor(const char *part)
{
	for (size_t i = 0; i < sizeof inside / sizeof *inside; i++)
		if (strcmp(inside[i], part) == 0)
			return 1;
	return 0;
}

static work work_of(const int *done, jw_result result, jw_carried *after)
{
	work w = {.result = result, .spoilt = jw_cause_find("reassembly_error"), .after = after};
	for (int remedy = 0; remedy < jw_cause_count(); remedy++) {
		if (!done[remedy])
			continue;
		if (opens_carburetor(jw_cause_at(remedy)->part))
			w.spoils = spoilt_share;
		for (int c = 0; c < jw_cause_count(); c++)
			if (jw_remedy_mends(remedy, c))
				w.mends[c] += (1 - w.mends[c]) * jw_remedy_holds(remedy);
	}
	return w;
}

/* The probability p of having come to these faults, -1 none, spoilt or not. */
static void arrive(const work *w, double p, int removed, int first, int second)
{
	const int left = first >= 0, room = second < 0 && first != w->spoilt;
	const double spoils = room ? w->spoils : 0;
	double *plain = second >= 0 ? jw_carried_pair(w->after, first, second)
	                : left      ? &w->after->alone[first]
	                            : &w->after->sound;
	*plain += p * (1 - spoils) * results[w->result][removed][left];
	if (spoils > 0)
		*(left ? jw_carried_pair(w->after, first, w->spoilt) : &w->after->alone[w->spoilt]) +=
		    p * spoils * results[w->result][removed][1];
}

static void repair_one(const work *w, double p, int cause)
{
	arrive(w, p * w->mends[cause], 1, -1, -1);
	arrive(w, p * (1 - w->mends[cause]), 0, cause, -1);
}

static void repair_two(const work *w, double p, int a, int b)
{
	const double gone_a = w->mends[a], gone_b = w->mends[b];
	arrive(w, p * gone_a * gone_b, 1, -1, -1);
	arrive(w, p * gone_a * (1 - gone_b), 1, b, -1);
	arrive(w, p * (1 - gone_a) * gone_b, 1, a, -1);
	arrive(w, p * (1 - gone_a) * (1 - gone_b), 0, a, b);
}

jw_status jw_carried_repair(const int *done, jw_result result, jw_carried *carried, jw_error *error)
{
	const jw_carried before = *carried;
	const work w = work_of(done, result, carried);
	*carried = (jw_carried){.other = before.other * results[result][0][1]};
	arrive(&w, before.sound, 0, -1, -1);
	for (int c = 0; c < jw_cause_count(); c++) {
		repair_one(&w, before.alone[c], c);
		for (int d = c + 1; d < jw_cause_count(); d++)
			if (before.pair[c][d] > 0)
				repair_two(&w, before.pair[c][d], c, d);
	}
	return jw_carried_normalise(carried, error);
}

/* ---- time ---- */

void jw_carried_wait(double days, const double *odds, jw_carried *carried)
{
	double all = 0;
	for (int c = 0; c < jw_cause_count(); c++)
		all += odds[c];
	const double fails = carried->sound * (1 - exp(-fmax(days, least_days) / days_to_a_fault));
	for (int c = 0; c < jw_cause_count() && all > 0; c++)
		carried->alone[c] += fails * odds[c] / all;
	carried->sound -= all > 0 ? fails : 0;
}

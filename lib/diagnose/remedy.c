/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/remedy.h"
#include "base/base.h"
#include <string.h>

/* How often a job does what it is meant to: a passage may stay dirty, a leak may not have been found. Trade practice,
 * no source. */
static const struct {
	const char *action;
	double holds;
} jobs[] = {
    {"clean", 0.90}, {"seal", 0.90},  {"trace", 0.90}, {"repair", 0.90}, {"shield", 0.85},
    {"heat", 0.85},  {"drain", 0.95}, {"fit", 0.95},   {"set", 0.95},    {"replace", 0.95},
};

/* What a job mends beside the cause that it is named after and what lies within that. Trade practice, no source. */
static const struct {
	const char *remedy, *cause;
} also[] = {
    {"passages_varnished", "float_needle_stuck_shut"},
    {"passages_varnished", "float_level_low"},
    {"passages_varnished", "float_level_high"},
    {"float_needle_leaking", "float_needle_stuck_shut"},
    {"reassembly_error", "needle_too_low"},
    {"reassembly_error", "needle_too_high"},
    {"reassembly_error", "float_level_low"},
    {"reassembly_error", "float_level_high"},
    {"stale_fuel", "water_in_fuel"},
};

int jw_remedy_entry(int entry, const char **remedy, const char **cause)
{
	if (entry < 0 || entry >= (int)(sizeof also / sizeof *also))
		return 0;
	*remedy = also[entry].remedy;
	*cause = also[entry].cause;
	return 1;
}

/* A part that is set is set right, whichever way it was wrong. */
static int one_setting(const jw_cause_info *a, const jw_cause_info *b)
{
	return !strcmp(a->action, "set") && !strcmp(b->action, "set") && !strcmp(a->part, b->part);
}

static int listed(const char *remedy, const char *cause)
{
	for (size_t i = 0; i < sizeof also / sizeof *also; i++)
		if (!strcmp(also[i].remedy, remedy) && !strcmp(also[i].cause, cause))
			return 1;
	return 0;
}

int jw_remedy_mends(int remedy, int cause)
{
	const jw_cause_row *job = jw_cause_row_at(remedy), *row = jw_cause_row_at(cause);
	if (!job || !row)
		return 0;
	return remedy == cause || one_setting(&job->info, &row->info) ||
	       (row->within && !strcmp(row->within, job->info.id)) || listed(job->info.id, row->info.id);
}

double jw_remedy_holds(int remedy)
{
	const jw_cause_row *row = jw_cause_row_at(remedy);
	for (size_t i = 0; row && i < sizeof jobs / sizeof *jobs; i++)
		if (!strcmp(jobs[i].action, row->info.action))
			return jobs[i].holds;
	return 0;
}

int jw_remedy_job(int cause)
{
	for (int c = 0; c < cause; c++)
		if (one_setting(&jw_cause_row_at(c)->info, &jw_cause_row_at(cause)->info))
			return c;
	return cause;
}

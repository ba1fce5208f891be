/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is thought of an engine and of a cause before any evidence. */
#ifndef JW_DIAGNOSE_PRIOR_H
#define JW_DIAGNOSE_PRIOR_H

#include "diagnose/cause.h"

/* Severity nodes are the middles of equal cells of 0..1. */
#define JW_NODES 24

typedef struct jw_prior {
	double odds;              /* only ratios count */
	double density[JW_NODES]; /* of severity: probability of each cell */
} jw_prior;

/* The engine as it ran right, and as it is since what was changed. Keeps what it is made of, which must outlive it. */
typedef struct jw_background {
	const jw_setup *healthy;
	jw_setup present;
	const jw_air *air;
	const jw_history *history;
	double left_right;    /* probability that the changes call for no other brass */
	const jw_air *ran_in; /* air in which it ran right */
} jw_background;

jw_status jw_background_of(const jw_setup *healthy, const jw_air *air, const jw_history *history,
                           jw_background *background, jw_error *error);

/* \param[out] base the engine that the cause befalls: the present one, with brass that makes up for what was changed
 * where the cause is wrong brass of just that kind */
void jw_cause_prior(const jw_background *background, const jw_cause_row *row, jw_prior *prior, jw_setup *base);

/* Odds of a cause for which remedies were done in vain, as a multiple. */
double jw_odds_mended(const jw_history *history, int cause);

/* Standard uncertainty of the area that a change calls for, as a share of it. */
double jw_shortfall_spread(void);

/* Share of engines with one fault that have a second. */
double jw_second_share(void);

/* How much likelier a sound engine is to come with no complaint at all than a faulty one. */
double jw_no_complaint(void);

/* Odds that nothing is wrong. \param complaints whether any trouble is told of */
double jw_sound_odds(const jw_background *background, int complaints);

/* Odds of everything that is no row of the table. */
double jw_other_odds(void);

/* Middle of a severity cell. */
double jw_node(int node);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Two causes at once. */
#ifndef JW_DIAGNOSE_PAIRS_H
#define JW_DIAGNOSE_PAIRS_H

#include "diagnose/posterior.h"

/* A cause with what is thought of it by itself. */
typedef struct jw_candidate {
	int cause;
	double odds;   /* beforehand */
	double weight; /* odds times likelihood, later its probability */
	jw_setup base; /* that the cause befalls */
	int further;   /* wrong brass that is further off than severities go, and known: the engine is as it stands */
	jw_scene scene;
	jw_weight told; /* by the evidence */
} jw_candidate;

/* Causes that are paired with each other, at most. */
#define JW_MEMBERS 20
#define JW_PAIRS (JW_MEMBERS * (JW_MEMBERS - 1) / 2)

typedef struct jw_pair {
	int member[2]; /* candidates */
	double odds;   /* beforehand, on the scale of the candidates' */
	double weight; /* odds times likelihood */
} jw_pair;

/* Odds beforehand of two candidates at once; 0 where both are one fault. \param all odds of all candidates together */
double jw_pair_odds(const jw_inquiry *inquiry, const jw_candidate *a, const jw_candidate *b, double all);

/* Pairs the causes that lead and those that explain what is left: first by the single ratios multiplied, then the
 * leading pairs solved together. \param present scene of the engine as it stands \param pair JW_PAIRS, greatest first
 * \return how many there are */
int jw_weigh_pairs(const jw_inquiry *inquiry, const jw_scene *present, const jw_candidate *candidate, int candidates,
                   jw_pair *pair);

#endif

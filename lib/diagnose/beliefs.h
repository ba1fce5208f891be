/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is thought of a case: every hypothesis with its probability. */
#ifndef JW_DIAGNOSE_BELIEFS_H
#define JW_DIAGNOSE_BELIEFS_H

#include "diagnose/pairs.h"

typedef struct jw_beliefs {
	jw_inquiry inquiry;
	jw_scene present;               /* of the engine without a cause */
	double before[JW_EVIDENCE_MAX]; /* each fact by itself on the engine as it ran right */
	double sound, other;            /* probabilities */
	double sound_likelihood;        /* of all evidence, on an engine without a cause */
	double all;                     /* odds times likelihood, of all hypotheses together */
	int candidates, pairs;
	jw_candidate candidate[JW_CAUSES_MOST]; /* weight: probability alone */
	jw_pair pair[JW_PAIRS];                 /* weight: probability */
} jw_beliefs;

/* Weighs all causes, pairs of them, a sound engine and what is unnamed. \param beliefs its inquiry open */
jw_status jw_weigh_all(jw_beliefs *beliefs, jw_error *error);

/* Probability of a cause, alone or beside another. */
double jw_marginal(const jw_beliefs *beliefs, int candidate);

#endif

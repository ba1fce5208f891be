/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to do next: the step after which a verified repair takes the fewest minutes. */
#ifndef JW_DIAGNOSE_ACTIONS_H
#define JW_DIAGNOSE_ACTIONS_H

#include "diagnose/pairs.h"

#define JW_ACTIONS_MOST (JW_CAUSES_MOST + 32)

/* What is thought of a case: probabilities of candidates, pairs, and none of them. */
typedef struct jw_beliefs {
	const jw_inquiry *inquiry;
	const jw_scene *present;
	const jw_candidate *candidate; /* weight: probability alone */
	int candidates;
	const jw_pair *pair; /* weight: probability */
	int pairs;
	double sound, other;
} jw_beliefs;

/* Tests that are not yet answered, and repairs of the likelier causes, by expected minutes; returns how many. */
int jw_weigh_actions(const jw_beliefs *beliefs, const jw_case *known, jw_action *action);

#endif

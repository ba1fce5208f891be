/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to do next: the step after which a verified repair takes the fewest minutes. */
#ifndef JW_DIAGNOSE_ACTIONS_H
#define JW_DIAGNOSE_ACTIONS_H

#include "diagnose/beliefs.h"
#include "diagnose/tests.h"

#define JW_ACTIONS_MOST (JW_CAUSES_MOST + JW_TESTS_MOST)

/* Tests that are not yet answered, and the remedies that may mend something, by expected minutes; returns how many. */
int jw_weigh_actions(const jw_beliefs *beliefs, const jw_case *known, jw_action *action);

#endif

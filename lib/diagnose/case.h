/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a case says that cannot be. */
#ifndef JW_DIAGNOSE_CASE_H
#define JW_DIAGNOSE_CASE_H

#include <jetwright/diagnose.h>

/* Whether the engine and all that is told of it lie in their ranges. */
jw_status jw_case_check(const jw_setup *healthy, const jw_case *known, jw_error *error);

/* Pairs of evidence that contradict each other; returns how many. \param conflict JW_EVIDENCE_MAX */
int jw_case_conflicts(const jw_case *known, jw_conflict *conflict);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One thing seen, as an entry of a case states it. */
#ifndef JW_PROFILE_EVIDENCE_H
#define JW_PROFILE_EVIDENCE_H

#include "profile/files.h"

#include <jetwright/diagnose.h>

#define JW_STATED_MOST 31

typedef struct jw_said {
	jw_evidence seen;
	char value[JW_STATED_MOST + 1], uncertainty[JW_STATED_MOST + 1]; /* of a reading, with its unit */
	double co, co2, o2, hc;                                          /* in place of lambda; NAN where not said */
} jw_said;

extern const jw_field jw_said_fields[];

void jw_said_begin(jw_said *said);

/* Makes evidence of an entry; whether range and reading are there for the kinds that take them, and only for those.
 * \param setup whose fuel burns; NULL: an analysis is checked only */
void jw_said_complete(const jw_said *said, const jw_node *item, const jw_setup *setup, jw_evidence *seen,
                      jw_faults *faults);

#endif

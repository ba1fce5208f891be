/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Visits in their order. */
#ifndef JW_DIAGNOSE_LOG_H
#define JW_DIAGNOSE_LOG_H

#include "diagnose/beliefs.h"
#include "diagnose/carried.h"

/* What is believed once the evidence of an inquiry is weighed, of every pair of causes: jw_weigh_all leaves out pairs
 * of which neither is near to leading, nor explains anything; one of them may be the fault that shows only when the
 * other is mended. */
jw_status jw_log_learn(const jw_beliefs *beliefs, jw_carried *carried, jw_error *error);

#endif

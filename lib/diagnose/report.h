/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_DIAGNOSE_REPORT_H
#define JW_DIAGNOSE_REPORT_H

#include "diagnose/beliefs.h"

/* What beliefs that are weighed come to. */
jw_status jw_report_of(const jw_beliefs *beliefs, const jw_case *known, jw_report **report, jw_error *error);

#endif

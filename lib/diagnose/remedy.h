/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Remedies: each is the job of the cause that it is named after, and may mend others with it. */
#ifndef JW_DIAGNOSE_REMEDY_H
#define JW_DIAGNOSE_REMEDY_H

#include "diagnose/cause.h"

/* The first cause of the list with the same job: mixture screw too lean or too rich, it is set either way. */
int jw_remedy_job(int cause);

/* The list's entries, for checks; 0 beyond the last. */
int jw_remedy_entry(int entry, const char **remedy, const char **cause);

#endif

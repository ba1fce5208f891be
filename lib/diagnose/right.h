/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an engine's having run right tells of it. */
#ifndef JW_DIAGNOSE_RIGHT_H
#define JW_DIAGNOSE_RIGHT_H

#include <jetwright/diagnose.h>

/* The engine as it ran right: where its coefficients are known worse than that tells, they are fitted to the mixture
 * that an engine runs best on; as stated where no fit is found. An error: out of memory. */
jw_status jw_ran_right(const jw_setup *healthy, jw_setup *right, jw_error *error);

#endif

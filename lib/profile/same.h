/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether one set-up is another, every number and list of it. */
#ifndef JW_PROFILE_SAME_H
#define JW_PROFILE_SAME_H

#include <jetwright/point.h>

/* What two numbers may differ by, as a share of the greater. */
typedef struct jw_likeness {
	double number, pulse; /* of the table of pulses, which is told in fewer digits */
	int coefficients;     /* whether those of the calibration count */
} jw_likeness;

/* The first member in which two set-ups differ, by its name; NULL: they are the same. */
const char *jw_setup_unlike(const jw_setup *a, const jw_setup *b, const jw_likeness *within);

#endif

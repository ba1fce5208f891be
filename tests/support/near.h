/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Relative and absolute comparison that prints every digit and fails on NaN. */
#ifndef JW_TESTS_NEAR_H
#define JW_TESTS_NEAR_H

#include <criterion/criterion.h>
#include <math.h>

#define JW_NEAR_REL(actual, expected, tolerance)                                                      \
	do {                                                                                              \
		double jw_a = (actual), jw_e = (expected), jw_t = (tolerance);                                \
		cr_expect(fabs(jw_a - jw_e) <= jw_t * fabs(jw_e), "%s = %.17g, expected %.17g within %g rel", \
		          #actual, jw_a, jw_e, jw_t);                                                         \
	} while (0)

#define JW_NEAR_ABS(actual, expected, tolerance)                                                      \
	do {                                                                                              \
		double jw_a = (actual), jw_e = (expected), jw_t = (tolerance);                                \
		cr_expect(fabs(jw_a - jw_e) <= jw_t, "%s = %.17g, expected %.17g within %g abs", #actual,     \
		          jw_a, jw_e, jw_t);                                                                  \
	} while (0)

#endif

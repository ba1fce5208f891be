/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers that have limits: at these they are taken, just beyond refused by name, and so is what is no number. */
#ifndef JW_TESTS_LIMITS_H
#define JW_TESTS_LIMITS_H

#include "near.h"
#include <jetwright/status.h>
#include <string.h>

typedef struct limits {
	const char *field;
	double low, high;
} limits;

/* A sound question but for one number of it. */
typedef jw_status (*asked_with)(int which, double value, jw_error *error);

static inline void expect_refused(asked_with ask, const limits *l, int which, double value, jw_status status)
{
	jw_error error = {0};
	cr_expect_eq(ask(which, value, &error), status, "%s %.17g", l->field, value);
	cr_expect(error.status == status && error.field && strcmp(error.field, l->field) == 0, "%s %.17g: field %s",
	          l->field, value, error.field ? error.field : "none");
	cr_expect(error.low == l->low && error.high == l->high && !(fabs(error.value) < fabs(value)),
	          "%s: %g, limits %g and %g", l->field, error.value, error.low, error.high);
}

static inline void expect_taken(asked_with ask, const limits *l, int which, double value)
{
	jw_error error = {0};
	const jw_status status = ask(which, value, &error);
	cr_expect(status >= 0 || !error.field || strcmp(error.field, l->field) != 0, "%s %g: %s", l->field, value,
	          jw_status_name(status));
}

/* The call, which hands in &error, is refused and tells of one number: which it is, what it was and what was expected.
 */
#define JW_REFUSED(call, code, name, was, lowest, highest)                                                             \
	do {                                                                                                               \
		jw_error error = {0};                                                                                          \
		cr_expect_eq(call, code);                                                                                      \
		cr_expect(error.status == (code) && error.field && strcmp(error.field, name) == 0, "%s for %s",                \
		          error.field ? error.field : "none", name);                                                           \
		cr_expect(error.value == (was) && error.low == (lowest) && error.high == (highest), "%s: %g, limits %g, %g",   \
		          name, error.value, error.low, error.high);                                                           \
	} while (0)

static inline void hold_limits(asked_with ask, const limits *rows, int count)
{
	for (int i = 0; i < count; i++) {
		const limits *l = &rows[i];
		expect_taken(ask, l, i, l->low);
		expect_taken(ask, l, i, l->high);
		expect_refused(ask, l, i, nextafter(l->low, -INFINITY), JW_E_RANGE);
		expect_refused(ask, l, i, nextafter(l->high, INFINITY), JW_E_RANGE);
		expect_refused(ask, l, i, NAN, JW_E_NOT_FINITE);
		expect_refused(ask, l, i, INFINITY, JW_E_NOT_FINITE);
	}
}

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_TESTS_REJETTED_H
#define JW_TESTS_REJETTED_H

#include "near.h"
#include <jetwright/rejet.h>

/* An answer, or the end of the test. */
static inline jw_rejet_answer rejetted(const jw_rejet_request *request)
{
	static jw_rejet_answer answer;
	jw_error error = {0};
	jw_status status = jw_rejet(request, &answer, &error);
	cr_assert(status >= 0, "%s: %s %g", jw_status_name(status), error.field ? error.field : "", error.value);
	return answer;
}

/* Jets, needle and screw as they are. */
static inline jw_rejet_change brass_of(const jw_setup *setup)
{
	jw_rejet_change brass = {.kind = JW_REJET_BRASS};
	for (int p = 0; p < JW_PART_COUNT; p++)
		brass.part[p] = jw_part_value(setup, (jw_part)p);
	return brass;
}

#endif

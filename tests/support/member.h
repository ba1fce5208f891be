/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Members of a set-up by name. */
#ifndef JW_TESTS_MEMBER_H
#define JW_TESTS_MEMBER_H

#include "near.h"
#include "point/members.h"
#include <string.h>

static inline const jw_member_row *member(const char *field)
{
	size_t count;
	const jw_member_row *rows = jw_setup_members(&count);
	for (size_t i = 0; i < count; i++)
		if (strcmp(rows[i].field, field) == 0)
			return &rows[i];
	cr_assert_fail("%s", field);
	return NULL;
}

static inline double member_value(const jw_setup *setup, const char *field)
{
	return *(const double *)(const void *)((const char *)setup + member(field)->offset);
}

#endif

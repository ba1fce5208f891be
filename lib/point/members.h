/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each real number of a set-up with its sensible range; the check reads it, and tests draw from it. */
#ifndef JW_POINT_MEMBERS_H
#define JW_POINT_MEMBERS_H

#include <jetwright/point.h>
#include <stddef.h>

/* Of filter and airbox, at the flow that is stated: more than a filter of which a twentieth is left open. */
#define JW_MOST_INTAKE_LOSS_PA 200e3

typedef struct jw_member_row {
	const char *field; /* the struct member, "carburetor.throat.bore_m" */
	size_t offset;     /* of a double in jw_setup */
	double low, high;  /* closed range, SI */
} jw_member_row;

const jw_member_row *jw_setup_members(size_t *count);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/tune.h>

#include "base/base.h"

/* One member of a set-up multiplied by a factor. Factors: common practice, no source. */
typedef struct change_row {
	const char *name, *text;
	size_t offset;
	int count; /* of consecutive doubles */
	double factor;
} change_row;

static const change_row changes[JW_CHANGE_KIND_COUNT] = {
    [JW_CHANGE_FILTER_OPEN] = {"filter_open", "an open air filter fitted, or the airbox removed",
                               offsetof(jw_setup, carburetor.intake.loss_pa), 1, 0.1},
    [JW_CHANGE_EXHAUST_FREER] = {"exhaust_freer", "an exhaust with less back pressure fitted",
                                 offsetof(jw_setup, engine.ve), JW_VE_POINTS, 1.05},
};

const char *jw_change_name(jw_change_kind kind)
{
	return (unsigned)kind < JW_CHANGE_KIND_COUNT ? changes[kind].name : NULL;
}

const char *jw_change_text(jw_change_kind kind)
{
	return (unsigned)kind < JW_CHANGE_KIND_COUNT ? changes[kind].text : NULL;
}

jw_status jw_change_apply(jw_setup *setup, jw_change_kind kind, jw_error *error)
{
	if ((unsigned)kind >= JW_CHANGE_KIND_COUNT)
		return jw_fail(error, JW_E_ARGUMENT, "change", (double)kind, 0, JW_CHANGE_KIND_COUNT - 1);
	double *member = jw_double_at(setup, changes[kind].offset);
	for (int i = 0; i < changes[kind].count; i++)
		member[i] *= changes[kind].factor;
	return JW_OK;
}

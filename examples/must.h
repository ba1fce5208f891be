/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an example does where a call fails; warnings pass. */
#ifndef EXAMPLES_MUST_H
#define EXAMPLES_MUST_H

#include <jetwright/jetwright.h>
#include <stdio.h>
#include <stdlib.h>

static inline void must(jw_status status, const jw_error *error)
{
	if (status >= 0)
		return;
	fprintf(stderr, "%s", jw_status_text(status));
	if (error && error->field)
		fprintf(stderr, ": %s", error->field);
	if (error && error->low < error->high) /* else no number is at fault */
		fprintf(stderr, " is %g, expected %g to %g", error->value, error->low, error->high);
	fputc('\n', stderr);
	exit(1);
}

/* A file brings all its faults at once. */
static inline void must_load(jw_status status, const jw_faults *faults)
{
	for (int i = 0; i < faults->count; i++)
		fprintf(stderr, "%s:%d: %s: %s\n", faults->file, faults->item[i].line, faults->item[i].path,
		        faults->item[i].message);
	must(status, NULL);
}

/* An engine of the folder of profiles. */
static inline jw_profile *engine_of(const char *folder, const char *name)
{
	char path[1024];
	jw_profile *profile;
	jw_faults faults = {0};
	snprintf(path, sizeof path, "%s/engines/%s.yaml", folder, name);
	must_load(jw_profile_load(path, folder, &profile, &faults), &faults);
	return profile;
}

#endif

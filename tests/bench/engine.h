/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The engines that come along, for drivers. */
#ifndef BENCH_ENGINE_H
#define BENCH_ENGINE_H

#include <jetwright/profile.h>
#include <stdio.h>

static const char *const engines[] = {"courier-150", "moped-50",     "trail-250", "pump-200", "estate-1100",
                                      "twin-480",    "cruiser-1200", "four-600",  "kart-125"};
enum { ENGINES = sizeof engines / sizeof *engines };

/* With the air of its baseline; whether it could be read. */
static inline int engine_load(const char *name, jw_setup *setup, jw_air *air)
{
	static jw_faults faults;
	jw_profile *profile = NULL;
	char path[4096];
	snprintf(path, sizeof path, "%s/engines/%s.yaml", PROFILES, name);
	if (jw_profile_load(path, PROFILES, &profile, &faults) < 0)
		return 0;
	*setup = *jw_profile_setup(profile);
	*air = jw_profile_baseline(profile)->air;
	jw_profile_free(profile);
	return 1;
}

#endif

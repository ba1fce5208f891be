/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/profile.h>

/* A leak behind the throttle and a wrong level can befall any float-bowl carburetor. */
Test(engines, each_can_leak_and_stand_at_a_wrong_level)
{
	const char *const engines[] = {"courier-150", "moped-50", "trail-250", "pump-200", "estate-1100"};
	const char *const causes[] = {"air_leak", "float_level_low", "float_level_high"};
	for (size_t i = 0; i < sizeof engines / sizeof *engines; i++) {
		char path[256];
		jw_faults faults;
		jw_profile *profile;
		snprintf(path, sizeof path, "%s/profiles/engines/%s.yaml", JW_SOURCE_DIR, engines[i]);
		cr_assert(jw_profile_load(path, NULL, &profile, &faults) >= 0, "%s", path);
		for (size_t k = 0; k < sizeof causes / sizeof *causes; k++) {
			jw_setup faulty;
			jw_error error = {0};
			jw_status status =
			    jw_cause_apply(jw_profile_setup(profile), jw_cause_find(causes[k]), 0.4, &faulty, &error);
			cr_expect(status >= 0, "%s: %s: %s", engines[i], causes[k], jw_status_name(status));
		}
		jw_profile_free(profile);
	}
}

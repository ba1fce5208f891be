/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine.h"

/* A leak behind the throttle and a wrong level can befall any float-bowl carburetor. */
Test(engines, each_can_leak_and_stand_at_a_wrong_level)
{
	const char *const causes[] = {"air_leak", "float_level_low", "float_level_high"};
	for (size_t i = 0; i < BUNDLED; i++)
		for (size_t k = 0; k < sizeof causes / sizeof *causes; k++) {
			const jw_setup setup = bundled(bundled_names[i]);
			jw_setup faulty;
			jw_status status = jw_cause_apply(&setup, jw_cause_find(causes[k]), 0.4, &faulty, NULL);
			cr_expect(status >= 0, "%s: %s: %s", bundled_names[i], causes[k], jw_status_name(status));
		}
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/profile.h>

/* A pilot in the main well has one answer: a throttle moved by less than any hand can may not change it. */
Test(point, a_nested_pilot_has_one_answer)
{
	jw_faults faults;
	jw_profile *profile;
	jw_air air;
	cr_assert(jw_profile_load(JW_SOURCE_DIR "/profiles/engines/pump-200.yaml", NULL, &profile, &faults) >= 0);
	cr_assert(jw_air_from_humidity(101325.0, 293.15, 0.5, &air, NULL) >= 0);
	for (int i = 0; i < 60; i++)
		for (int k = 0; k < 40; k++) {
			jw_point point = {(900.0 + 50.0 * i) / 60.0, k / 39.5, 0.0}, moved = point;
			jw_mixture here, there;
			moved.throttle += 1e-12;
			cr_assert(jw_mixture_at(jw_profile_setup(profile), &air, &point, &here, NULL) >= 0);
			cr_assert(jw_mixture_at(jw_profile_setup(profile), &air, &moved, &there, NULL) >= 0);
			cr_expect(fabs(here.phi - there.phi) < 1e-6, "%g rpm, throttle %g: phi %.9g or %.9g",
			          60.0 * point.speed_rev_s, point.throttle, here.phi, there.phi);
		}
	jw_profile_free(profile);
}

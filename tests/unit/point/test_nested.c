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

/* From where its own fuel begins, which the pilot's draught on the well delays, to where that pull has doubled: there a
 * little more throttle is much more fuel (hydrostatics: fuel is lifted by the density's head). */
Test(point, a_main_well_with_a_nested_pilot_warns_where_it_begins)
{
	jw_faults faults;
	jw_profile *profile;
	jw_air air;
	int silent = 0, warned = 0, beyond = 0;
	double begins_pa = 0.0;
	cr_assert(jw_profile_load(JW_SOURCE_DIR "/profiles/engines/pump-200.yaml", NULL, &profile, &faults) >= 0);
	cr_assert(jw_air_from_humidity(101325.0, 293.15, 0.5, &air, NULL) >= 0);
	const jw_setup *s = jw_profile_setup(profile);
	const double lift_pa = 740.0 * 9.80665 * s->carburetor.main.outlet_height_m;
	for (int i = 0; i <= 100; i++) {
		const jw_point point = {s->range[JW_HALF].speed_rev_s, 0.002 * i, 0.0};
		jw_mixture m;
		const jw_status status = jw_mixture_at(s, &air, &point, &m, NULL);
		const int near = (status & JW_W_NEAR_THRESHOLD) != 0;
		cr_assert(status >= 0);
		if (!(m.flow.main.fuel_kg_s > 0.0)) {
			cr_expect(!near, "at %g nothing flows", point.throttle);
			silent++;
			continue;
		}
		if (!(begins_pa > 0.0))
			begins_pa = m.flow.depression_pa;
		if (m.flow.depression_pa < begins_pa + 0.7 * lift_pa) {
			cr_expect(near, "at %g, %g Pa", point.throttle, m.flow.depression_pa);
			warned++;
		}
		if (m.flow.depression_pa > begins_pa + 1.3 * lift_pa) {
			cr_expect(!near, "at %g, %g Pa", point.throttle, m.flow.depression_pa);
			beyond++;
		}
	}
	cr_expect(silent > 3 && warned > 3 && beyond > 3, "%d, %d, %d", silent, warned, beyond);
	jw_profile_free(profile);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/engine.h>

#define PI 3.14159265358979323846

static jw_engine single(void)
{
	return (jw_engine){.strokes = 4,
	                   .cylinders = 1,
	                   .carburetors = 1,
	                   .bore_m = 57.4e-3,
	                   .stroke_m = 57.8e-3,
	                   .compression_ratio = 9.7,
	                   .intake_duration_rad = 4.1,
	                   .manifold_volume_m3 = 90e-6,
	                   .manifold_heating_k = 21,
	                   .exhaust_back_pa = 2e3,
	                   .ve_speed_rev_s = {30, 120},
	                   .ve = {0.8, 0.9},
	                   .ve_points = 2};
}

/* Ideal cycle (Heywood, Internal Combustion Engine Fundamentals, 1988, 6.2), by hand: r 10, pe/pi 2. */
Test(engine, part_throttle_factor)
{
	JW_NEAR_REL(jw_part_throttle_factor(10.0, 1.0), 1.0, 1e-14);
	JW_NEAR_REL(jw_part_throttle_factor(10.0, 2.0), 10.0 / 9.0 - 2.4 / 12.6, 1e-14);
	JW_NEAR_ABS(jw_part_throttle_factor(10.0, 40.0), 0.0, 0.0);
}

Test(engine, demand_rises_with_manifold_pressure)
{
	jw_engine e = single();
	double before = -1.0;
	for (double p = 3e3; p < 101e3; p += 3.7e3) {
		double demand;
		cr_assert(jw_engine_demand(&e, 101e3, 293, 287.2, p, 77.0, &demand) >= 0);
		cr_expect(demand >= before);
		before = demand;
	}
	double ve;
	cr_expect_eq(jw_volumetric_efficiency(&e, 75.0, &ve), JW_OK);
	JW_NEAR_REL(ve, 0.85, 1e-12);
	cr_expect_eq(jw_volumetric_efficiency(&e, 200.0, &ve), JW_W_EXTRAPOLATED);
}

Test(engine, pulses_fade_with_cylinders_volume_and_a_closed_plate)
{
	jw_engine e = single();
	double wide = jw_engine_pulse(&e, 120.0, 4e-4, 343.0).throat;
	cr_expect(wide > 2.0 && wide <= jw_pulse_factor(4.1 / (4.0 * PI)) + 1e-12, "%g", wide);
	cr_expect(jw_engine_pulse(&e, 28.0, 2e-6, 343.0).throat < 1.05);
	e.manifold_volume_m3 = 0.05;
	cr_expect(jw_engine_pulse(&e, 120.0, 4e-4, 343.0).throat < 1.01);
	e = single();
	e.cylinders = 12;
	cr_expect(jw_engine_pulse(&e, 120.0, 4e-4, 343.0).throat < 1.03);
	JW_NEAR_ABS(jw_pulse_response(300.0, 0.0), 0.0, 0.0);
	cr_expect(jw_pulse_response(300.0, 1.0) > 0.999);
}

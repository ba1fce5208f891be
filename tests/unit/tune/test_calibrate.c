/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/profile.h>

static jw_setup scooter(jw_baseline *baseline)
{
	jw_faults faults;
	jw_profile *profile;
	cr_assert(jw_profile_load(JW_SOURCE_DIR "/profiles/engines/courier-150.yaml", NULL, &profile, &faults) >= 0);
	jw_setup setup = *jw_profile_setup(profile);
	*baseline = *jw_profile_baseline(profile);
	jw_profile_free(profile);
	return setup;
}

static double lambda_at(const jw_setup *setup, const jw_air *air, jw_range range)
{
	jw_mixture m;
	cr_assert(jw_mixture_at(setup, air, &setup->range[range], &m, NULL) >= 0);
	return 1.0 / m.phi;
}

Test(calibrate, returns_the_coefficients_that_made_the_baseline)
{
	jw_baseline baseline;
	jw_setup setup = scooter(&baseline);
	setup.coefficient = (jw_coefficients){1.0, 0.93, 1.06, 1.11};
	baseline.lambda_idle = lambda_at(&setup, &baseline.air, JW_IDLE);
	baseline.lambda_half = lambda_at(&setup, &baseline.air, JW_HALF);
	baseline.lambda_full = lambda_at(&setup, &baseline.air, JW_FULL);
	jw_calibration found;
	cr_assert_eq(jw_calibrate(&setup, &baseline, &found, NULL), JW_OK);
	JW_NEAR_REL(found.coefficient.main, 0.93, 1e-6);
	JW_NEAR_REL(found.coefficient.needle, 1.06, 1e-6);
	JW_NEAR_REL(found.coefficient.pilot, 1.11, 1e-6);
}

Test(calibrate, says_what_cannot_be_met)
{
	jw_baseline baseline;
	jw_setup setup = scooter(&baseline);
	jw_calibration found;
	jw_error error;
	baseline.lambda_idle = 7.0;
	cr_expect_eq(jw_calibrate(&setup, &baseline, &found, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "baseline.idle");
	baseline.lambda_idle = 0.9;
	setup.carburetor.pilot.fuel_jet.diameter_m = 0.0;
	cr_expect_eq(jw_calibrate(&setup, &baseline, &found, &error), JW_E_BASELINE);
	cr_expect_str_eq(error.field, "baseline.idle");
}

Test(part, is_found_again)
{
	jw_baseline baseline;
	const jw_setup setup = scooter(&baseline);
	const struct {
		jw_part part;
		jw_range range;
	} rows[] = {{JW_PART_MAIN_JET, JW_FULL},
	            {JW_PART_PILOT_JET, JW_IDLE},
	            {JW_PART_MIXTURE_SCREW, JW_IDLE},
	            {JW_PART_NEEDLE_POSITION, JW_HALF},
	            {JW_PART_PILOT_AIR_JET, JW_IDLE}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double found, value = jw_part_value(&setup, rows[i].part);
		const jw_point *point = &setup.range[rows[i].range];
		jw_status status = jw_part_for_phi(&setup, &baseline.air, point, rows[i].part,
		                                   1.0 / lambda_at(&setup, &baseline.air, rows[i].range), &found, NULL);
		cr_expect_eq(status, JW_OK, "%s", jw_part_name(rows[i].part));
		JW_NEAR_ABS(found, value, 1e-6 * fmax(fabs(value), 1e-3));
	}
	double found;
	cr_expect_eq(jw_part_for_phi(&setup, &baseline.air, &setup.range[JW_IDLE], JW_PART_MAIN_JET, 5.0, &found, NULL),
	             JW_E_NO_ROOT);
}

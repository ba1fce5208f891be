/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/right.h"
#include "base/base.h"
#include "diagnose/want.h"

/* An engine that ran right kept lambda within about 0.85 to 1.2 times the best in every range: ln(lambda) is then known
 * to 0.11, shared by air and fuel (common practice, no source). */
static const double ran_right = 0.08, about_best = 0.11;

/* Its having run right in every range, as readings of lambda. */
static jw_status readings_of(const jw_setup *setup, jw_reading *reading)
{
	jw_air air;
	jw_status status = jw_air_from_humidity(101325, 288.15, 0.5, &air, NULL);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double best = jw_wanted((jw_range)r, JW_WANT_BEST).lambda;
		reading[r] = (jw_reading){.kind = JW_READING_LAMBDA,
		                          .air = air,
		                          .point = setup->range[r],
		                          .value = best,
		                          .uncertainty = about_best * best};
	}
	return status;
}

static int is_vague(const jw_coefficients *u)
{
	return fmax(fmax(u->air, u->main), fmax(u->needle, u->pilot)) > ran_right;
}

/* Air is kept: fuel alone can make up for whatever is amiss. */
jw_status jw_ran_right(const jw_setup *healthy, jw_setup *right, jw_error *error)
{
	jw_reading reading[JW_RANGE_COUNT];
	jw_setup prior = *healthy;
	jw_fit fit;
	prior.uncertainty.air = 0;
	*right = *healthy;
	if (!is_vague(&healthy->uncertainty))
		return JW_OK;
	jw_status status = readings_of(healthy, reading);
	if (status >= 0)
		status = jw_fit_readings(&prior, reading, JW_RANGE_COUNT, &fit, NULL, NULL);
	if (status == JW_E_MEMORY)
		return jw_fail(error, status, "right", 0, 0, 0);
	if (status < 0)
		return JW_OK;
	*right = fit.setup;
	jw_coefficients *u = &right->uncertainty;
	*u = (jw_coefficients){.air = fmin(healthy->uncertainty.air, ran_right),
	                       .main = fmin(u->main, ran_right),
	                       .needle = fmin(u->needle, ran_right),
	                       .pilot = fmin(u->pilot, ran_right)};
	return JW_OK;
}

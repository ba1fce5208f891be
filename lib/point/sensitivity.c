/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/point.h>

#include "base/base.h"

#define STEP 0.01
#define COEFFICIENTS (sizeof(jw_coefficients) / sizeof(double))

/* The coefficients as an array, so that one loop serves all. */
static double *nth(jw_coefficients *c, size_t i)
{
	double *const member[COEFFICIENTS] = {&c->air, &c->main, &c->needle, &c->pilot};
	return member[i];
}

static jw_status phi_of(const jw_setup *setup, const jw_air *air, const jw_point *point, double *phi, jw_error *error)
{
	jw_mixture m;
	jw_status status = jw_mixture_at(setup, air, point, &m, error);
	if (status >= 0)
		*phi = m.phi;
	return status;
}

/* The logarithm of a ratio to the third order, finite where one side has no fuel; 0 where neither has. */
static double relative_change(double above, double below)
{
	double sum = above + below;
	return sum > 0.0 ? 2.0 * (above - below) / sum : 0.0;
}

jw_status jw_mixture_sensitivity(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                 jw_coefficients *dlnphi, jw_error *error)
{
	jw_coefficients result = {0};
	jw_status status = JW_OK;
	for (size_t i = 0; i < COEFFICIENTS; i++) {
		const double step[2] = {1.0 + STEP, 1.0 - STEP};
		double phi[2];
		for (int side = 0; side < 2; side++) {
			jw_setup changed = *setup;
			*nth(&changed.coefficient, i) *= step[side];
			jw_status solved = phi_of(&changed, air, point, &phi[side], error);
			if (solved < 0)
				return solved;
			status |= solved;
		}
		*nth(&result, i) = relative_change(phi[0], phi[1]) / relative_change(step[0], step[1]);
	}
	*dlnphi = result;
	return status;
}

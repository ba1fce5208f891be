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

static jw_status log_phi(const jw_setup *setup, const jw_air *air, const jw_point *point, double *value,
                         jw_error *error)
{
	jw_mixture m;
	jw_status status = jw_mixture_at(setup, air, point, &m, error);
	if (status >= 0)
		*value = m.phi > 0.0 ? log(m.phi) : 0.0;
	return status;
}

jw_status jw_mixture_sensitivity(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                 jw_coefficients *dlnphi, jw_error *error)
{
	jw_coefficients result = {0};
	jw_status status = JW_OK;
	for (size_t i = 0; i < COEFFICIENTS; i++) {
		const double step[2] = {1.0 + STEP, 1.0 - STEP};
		double lnphi[2];
		for (int side = 0; side < 2; side++) {
			jw_setup changed = *setup;
			*nth(&changed.coefficient, i) *= step[side];
			jw_status solved = log_phi(&changed, air, point, &lnphi[side], error);
			if (solved < 0)
				return solved;
			status |= solved;
		}
		*nth(&result, i) = (lnphi[0] - lnphi[1]) / log(step[0] / step[1]);
	}
	*dlnphi = result;
	return status;
}

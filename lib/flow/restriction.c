/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/flow.h>

#include "flow/bore.h"
#include "flow/check.h"

static jw_status bore_left(const jw_orifice *clean, jw_restriction_kind kind, double amount,
                           const jw_liquid_flow *liquid, double drop_pa, double *bore_m, jw_error *error)
{
	double clean_flow;
	jw_status status;
	switch (kind) {
	case JW_FILM:
		status = jw_check_range("film_m", amount, 0.0, 0.5 * clean->diameter_m, error);
		if (status == JW_OK)
			*bore_m = clean->diameter_m - 2.0 * amount;
		return status;
	case JW_BLOCKED_AREA:
		status = jw_check_range("blocked_area", amount, 0.0, 1.0, error);
		if (status == JW_OK)
			*bore_m = clean->diameter_m * sqrt(1.0 - amount);
		return status;
	case JW_FLOW_SHARE:
		status = jw_check_range("flow_share", amount, 0.0, 1.0, error);
		if (status < 0)
			return status;
		if (amount == 0.0 || amount == 1.0) {
			*bore_m = amount * clean->diameter_m;
			return JW_OK;
		}
		status = jw_liquid_mass_flow(clean, liquid, drop_pa, &clean_flow);
		if (status >= 0)
			status = jw_bore_within(clean, liquid, drop_pa, amount * clean_flow, 0.0, clean->diameter_m, bore_m);
		return status < 0 ? jw_fail(error, status, "flow_share", amount, 0.0, 1.0) : status;
	}
	return jw_fail(error, JW_E_ARGUMENT, "kind", (double)kind, JW_FILM, JW_FLOW_SHARE);
}

jw_status jw_restrict(const jw_orifice *clean, jw_restriction_kind kind, double amount, const jw_liquid_flow *liquid,
                      double drop_pa, jw_restriction *result, jw_error *error)
{
	jw_orifice left = *clean;
	jw_status status = jw_check_range("diameter_m", clean->diameter_m, JW_LEAST_BORE_M, 1.0, error);
	if (status == JW_OK)
		status = jw_check_range("drop_pa", drop_pa, 1e-3, 1e7, error);
	if (status == JW_OK)
		status = jw_check_shape(clean, error);
	if (status == JW_OK)
		status = jw_check_liquid(liquid, error);
	if (status == JW_OK)
		status = bore_left(clean, kind, amount, liquid, drop_pa, &left.diameter_m, error);
	if (status < 0)
		return status;
	double before, after;
	status = jw_both(status, jw_liquid_mass_flow(clean, liquid, drop_pa, &before));
	status = jw_both(status, jw_liquid_mass_flow(&left, liquid, drop_pa, &after));
	if (status < 0 || !(before > 0.0)) /* lost in rounding */
		return jw_fail(error, JW_E_RANGE, "coefficient", clean->coefficient, 0.0, 10.0);
	*result = (jw_restriction){
	    .film_m = 0.5 * (clean->diameter_m - left.diameter_m),
	    .blocked_area = 1.0 - jw_square(left.diameter_m / clean->diameter_m),
	    .flow_share = kind == JW_FLOW_SHARE ? amount : after / before,
	    .diameter_m = left.diameter_m,
	};
	return status;
}

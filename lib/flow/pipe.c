/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/flow.h>

#include "flow/check.h"

/* Below it the turbulent terms are lost in rounding. */
#define LAMINAR_REYNOLDS 100.0
#define LEAST_REYNOLDS 1e-300

double jw_friction_factor(double reynolds)
{
	if (!(reynolds > LAMINAR_REYNOLDS))
		return 64.0 / reynolds;
	double a = pow(2.457 * 0.9 * log(reynolds / 7.0), 16.0);
	double b = pow(37530.0 / reynolds, 16.0);
	return 8.0 * pow(pow(8.0 / reynolds, 12.0) + pow(a + b, -1.5), 1.0 / 12.0);
}

jw_status jw_pipe_drop(double bore_m, double length_m, const jw_liquid_flow *liquid, double kg_s, double *drop_pa,
                       jw_error *error)
{
	jw_status status = jw_check_range("bore_m", bore_m, JW_LEAST_BORE_M, 1.0, error);
	if (status == JW_OK)
		status = jw_check_range("length_m", length_m, 0.0, 1e3, error);
	if (status == JW_OK)
		status = jw_check_range("kg_s", fabs(kg_s), 0.0, 1e3, error);
	if (status == JW_OK)
		status = jw_check_liquid(liquid, error);
	if (status < 0)
		return status;
	double speed = fabs(kg_s) / (liquid->density_kg_m3 * 0.25 * JW_PI * jw_square(bore_m));
	double reynolds = speed * bore_m / liquid->viscosity_m2_s;
	/* f Re stays finite as the flow comes to rest, f does not. */
	double f_speed = reynolds > LEAST_REYNOLDS ? jw_friction_factor(reynolds) * speed : 0.0;
	*drop_pa = copysign(f_speed * length_m / bore_m * 0.5 * liquid->density_kg_m3 * speed, kg_s);
	return JW_OK;
}

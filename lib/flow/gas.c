/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/flow.h>

#include "base/base.h"

/* For gamma 1.4 the nozzle law is a polynomial in q = (p/p0)^(2/7): flow^2 ~ 7 q^5 (1 - q), greatest at q = 5/6. */
#define Q_CRITICAL (5.0 / 6.0)
#define ROUNDING 1e-17 /* of q */

static double flow_function(double q)
{
	double q2 = q * q;
	return sqrt(7.0 * q2 * q2 * q * (1.0 - q));
}

static double per_flow_function(double effective_area_m2, const jw_gas *gas, double upstream_pa)
{
	return effective_area_m2 * upstream_pa / sqrt(gas->gas_constant_j_kg_k * gas->temperature_k);
}

jw_status jw_gas_mass_flow(double effective_area_m2, const jw_gas *gas, double upstream_pa, double downstream_pa,
                           double *kg_s)
{
	if (upstream_pa < downstream_pa) {
		jw_status status = jw_gas_mass_flow(effective_area_m2, gas, downstream_pa, upstream_pa, kg_s);
		*kg_s = -*kg_s;
		return status;
	}
	double ratio = downstream_pa / upstream_pa;
	double q = ratio > 0.0 ? pow(ratio, 2.0 / 7.0) : 0.0;
	int choked = q <= Q_CRITICAL;
	*kg_s = per_flow_function(effective_area_m2, gas, upstream_pa) * flow_function(choked ? Q_CRITICAL : q);
	return choked ? JW_W_CHOKED : JW_OK;
}

double jw_gas_choked_flow(double effective_area_m2, const jw_gas *gas, double upstream_pa)
{
	return per_flow_function(effective_area_m2, gas, upstream_pa) * flow_function(Q_CRITICAL);
}

double jw_gas_choked_series(double first_area_m2, double second_area_m2, const jw_gas *gas, double upstream_pa)
{
	/* The second choked takes p q^(7/2) psi* of its area, the first brings p psi(q) of its own: (psi/q^(7/2))^2 is
	 * 7 (1 - q)/q^2. */
	double share = jw_square(flow_function(Q_CRITICAL) * second_area_m2 / first_area_m2);
	double q = 14.0 / (7.0 + sqrt(49.0 + 28.0 * share));
	return per_flow_function(first_area_m2, gas, upstream_pa) * flow_function(fmax(q, Q_CRITICAL));
}

jw_status jw_gas_orifice_flow(const jw_orifice *orifice, const jw_gas *gas, double upstream_pa, double downstream_pa,
                              double *kg_s)
{
	if (orifice->diameter_m == 0.0 || upstream_pa == downstream_pa) {
		*kg_s = 0.0;
		return JW_OK;
	}
	double cd = orifice->coefficient, flow;
	jw_status status = JW_OK;
	if (cd == 0.0) {
		double density = fmax(upstream_pa, downstream_pa) / (gas->gas_constant_j_kg_k * gas->temperature_k);
		double speed = sqrt(2.0 * fabs(upstream_pa - downstream_pa) / density);
		double reynolds = orifice->diameter_m * speed * density / gas->viscosity_pa_s;
		status = jw_discharge_coefficient(reynolds, orifice->length_m / orifice->diameter_m, &cd);
		if (status < 0)
			return status;
	}
	status |= jw_gas_mass_flow(cd * jw_orifice_area(orifice), gas, upstream_pa, downstream_pa, &flow);
	if (!(orifice->diameter_m > 0.0 && cd >= 0.0 && downstream_pa >= 0.0 && isfinite(flow)))
		return JW_E_RANGE;
	*kg_s = flow;
	return status;
}

/* Newton from the right of the root: the function is falling and concave there, so it closes in from one side. It
 * begins at the parabola through its top or, where that lies beyond 1, on the series of its inverse. */
static double subsonic_q(double target)
{
	double most = pow(Q_CRITICAL, 5.0) * (1.0 - Q_CRITICAL);
	double curvature = -10.0 * pow(Q_CRITICAL, 3.0) * (2.0 - 3.0 * Q_CRITICAL);
	double parabola = Q_CRITICAL + sqrt(2.0 * fmax(most - target, 0.0) / curvature);
	double q = fmin(parabola, 1.0 - target * (1.0 + target * (5.0 + 40.0 * target)));
	for (int i = 0; i < 60; i++) {
		double q4 = q * q * q * q;
		double slope = q4 * (5.0 - 6.0 * q);
		double step = slope < 0.0 ? (q4 * q * (1.0 - q) - target) / slope : 0.0;
		q -= step;
		if (step * step <= ROUNDING * fabs(q - Q_CRITICAL)) /* what the next step would take away */
			break;
	}
	return q;
}

jw_status jw_gas_downstream_pressure(double effective_area_m2, const jw_gas *gas, double upstream_pa, double kg_s,
                                     double *downstream_pa)
{
	if (kg_s <= 0.0) {
		*downstream_pa = upstream_pa;
		return JW_OK;
	}
	double scaled = kg_s / per_flow_function(effective_area_m2, gas, upstream_pa);
	int choked = !(scaled < flow_function(Q_CRITICAL));
	double q = choked ? Q_CRITICAL : subsonic_q(scaled * scaled / 7.0);
	*downstream_pa = upstream_pa * q * q * q * sqrt(q);
	return choked ? JW_W_CHOKED : JW_OK;
}

double jw_critical_pressure_ratio(double gamma)
{
	return pow(2.0 / (gamma + 1.0), gamma / (gamma - 1.0));
}

double jw_compressibility_factor(double pressure_ratio, double gamma)
{
	if (pressure_ratio >= 1.0)
		return 1.0;
	double r = fmax(pressure_ratio, jw_critical_pressure_ratio(gamma));
	double flow = gamma / (gamma - 1.0) * (pow(r, 2.0 / gamma) - pow(r, (gamma + 1.0) / gamma));
	return sqrt(flow / (1.0 - r));
}

double jw_orifice_expansibility(double diameter_ratio, double pressure_ratio, double gamma)
{
	double b4 = pow(diameter_ratio, 4.0);
	return 1.0 - (0.351 + 0.256 * b4 + 0.93 * b4 * b4) * (1.0 - pow(pressure_ratio, 1.0 / gamma));
}

double jw_nozzle_expansibility(double diameter_ratio, double pressure_ratio, double gamma)
{
	if (pressure_ratio >= 1.0)
		return 1.0;
	double b4 = pow(diameter_ratio, 4.0);
	double t2 = pow(pressure_ratio, 2.0 / gamma);
	return sqrt(gamma * t2 / (gamma - 1.0) * (1.0 - b4) / (1.0 - b4 * t2) *
	            (1.0 - pow(pressure_ratio, (gamma - 1.0) / gamma)) / (1.0 - pressure_ratio));
}

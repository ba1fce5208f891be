/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/flow.h>

#include "flow/bore.h"
#include "flow/check.h"
#include "solve/root.h"

/* In the logarithm of a drop: keeps a coefficient of nearly 1 off the end of its bracket. */
#define LEAST_LOSS 1e-6

double jw_orifice_area(const jw_orifice *orifice)
{
	return 0.25 * JW_PI * jw_square(orifice->diameter_m);
}

/* Lichtarowicz et al. (1965); shared by liquids and small air jets. */
jw_status jw_discharge_coefficient(double reynolds, double length_ratio, double *cd)
{
	if (!(reynolds >= 0.0) || !(length_ratio >= 0.0) || !isfinite(reynolds) || !isfinite(length_ratio))
		return JW_E_RANGE;
	int outside = reynolds < JW_LEAST_REYNOLDS || reynolds > 2e4 || length_ratio < 2.0 || length_ratio > 10.0;
	double ratio = length_ratio < 2.0 ? 2.0 : length_ratio;
	if (reynolds <= 0.0) {
		*cd = 0.0;
		return JW_W_EXTRAPOLATED;
	}
	/* Both linear terms are held beyond three times the fitted range, so that a long bore stays physical. */
	double held = fmin(ratio, 30.0);
	double turbulent = 0.827 - 0.0085 * held;
	double bump = 0.005 * held / (1.0 + 7.5 * jw_square(log10(0.00015 * reynolds)));
	*cd = 1.0 / (1.0 / turbulent + 20.0 / reynolds * (1.0 + 2.25 * ratio) - bump);
	return outside ? JW_W_EXTRAPOLATED : JW_OK;
}

jw_status jw_liquid_mass_flow(const jw_orifice *orifice, const jw_liquid_flow *liquid, double drop_pa, double *kg_s)
{
	double drop = fabs(drop_pa);
	if (orifice->diameter_m == 0.0 || drop == 0.0) {
		*kg_s = 0.0;
		return JW_OK;
	}
	double speed = sqrt(2.0 * drop / liquid->density_kg_m3);
	double cd = orifice->coefficient;
	jw_status status = JW_OK;
	if (cd == 0.0) {
		double reynolds = orifice->diameter_m * speed / liquid->viscosity_m2_s;
		status = jw_discharge_coefficient(reynolds, orifice->length_m / orifice->diameter_m, &cd);
		if (status < 0)
			return status;
	}
	double flow = cd * jw_orifice_area(orifice) * liquid->density_kg_m3 * speed;
	if (!(orifice->diameter_m > 0.0 && flow >= 0.0 && isfinite(flow)))
		return JW_E_RANGE;
	*kg_s = copysign(flow, drop_pa);
	return status;
}

typedef struct flow_target {
	jw_orifice orifice;
	const jw_liquid_flow *liquid;
	double drop_pa, kg_s;
} flow_target;

static double flow_excess(const flow_target *target)
{
	double kg_s = 0.0;
	jw_liquid_mass_flow(&target->orifice, target->liquid, target->drop_pa, &kg_s);
	return kg_s / target->kg_s - 1.0;
}

static double excess_at_log_drop(double log_drop, void *context)
{
	flow_target *target = context;
	target->drop_pa = exp(log_drop);
	return flow_excess(target);
}

static double excess_at_bore(double bore_m, void *context)
{
	flow_target *target = context;
	target->orifice.diameter_m = bore_m;
	return flow_excess(target);
}

/* By the law its coefficient is at most 1, so that the loss-free drop, less a rounding, is a lower bound; the upper one
 * is found by doubling. */
static jw_status drop_by_law(const jw_orifice *orifice, const jw_liquid_flow *liquid, double kg_s, double ideal_pa,
                             double *drop_pa, jw_error *error)
{
	flow_target target = {*orifice, liquid, 0.0, kg_s};
	double low = log(ideal_pa) - LEAST_LOSS, high = low + 1.0, root;
	while (excess_at_log_drop(high, &target) < 0.0 && high < low + 60.0)
		high += 2.0;
	jw_status status = jw_root(excess_at_log_drop, &target, low, high, 1e-13, &root, NULL);
	if (status < 0) /* so little that it hardly creeps */
		return jw_fail(error, status, "kg_s", kg_s, 0.0, 1e3);
	*drop_pa = exp(root);
	return JW_OK;
}

jw_status jw_liquid_drop(const jw_orifice *orifice, const jw_liquid_flow *liquid, double kg_s, double *drop_pa,
                         jw_error *error)
{
	jw_status status = jw_check_range("kg_s", fabs(kg_s), 0.0, 1e3, error);
	if (status == JW_OK)
		status = jw_check_range("diameter_m", orifice->diameter_m, JW_LEAST_BORE_M, 1.0, error);
	if (status == JW_OK)
		status = jw_check_shape(orifice, error);
	if (status == JW_OK)
		status = jw_check_liquid(liquid, error);
	if (status < 0)
		return status;
	if (kg_s == 0.0) {
		*drop_pa = 0.0;
		return JW_OK;
	}
	/* A small coefficient is divided by before it is squared, or the square would be lost. */
	const double flux =
	    fabs(kg_s) / jw_orifice_area(orifice) / (orifice->coefficient > 0.0 ? orifice->coefficient : 1.0);
	double drop = jw_square(flux) / (2.0 * liquid->density_kg_m3), flow;
	if (orifice->coefficient == 0.0)
		status = drop_by_law(orifice, liquid, fabs(kg_s), drop, &drop, error);
	if (status < 0)
		return status;
	drop = copysign(drop, kg_s);
	status = jw_liquid_mass_flow(orifice, liquid, drop, &flow);
	if (status < 0 || !isfinite(drop))
		return jw_fail(error, JW_E_NOT_FINITE, "drop_pa", drop, 0.0, HUGE_VAL);
	*drop_pa = drop;
	return status;
}

static double flow_of_bore(const flow_target *target, double bore_m)
{
	jw_orifice orifice = target->orifice;
	double kg_s = 0;
	orifice.diameter_m = bore_m;
	jw_liquid_mass_flow(&orifice, target->liquid, target->drop_pa, &kg_s);
	return kg_s;
}

jw_status jw_bore_within(const jw_orifice *shape, const jw_liquid_flow *liquid, double drop_pa, double kg_s,
                         double low_m, double high_m, double *diameter_m)
{
	flow_target target = {*shape, liquid, drop_pa, kg_s};
	double root, flow;
	jw_status status = jw_root(excess_at_bore, &target, low_m, high_m, fmin(1e-15, 1e-12 * high_m), &root, NULL);
	if (status < 0)
		return status;
	*diameter_m = target.orifice.diameter_m = root;
	return jw_liquid_mass_flow(&target.orifice, liquid, drop_pa, &flow);
}

jw_status jw_bore_for_liquid_flow(const jw_orifice *shape, const jw_liquid_flow *liquid, double drop_pa, double kg_s,
                                  double *diameter_m, jw_error *error)
{
	if (!(kg_s > 0.0) || !isfinite(kg_s))
		return jw_fail(error, JW_E_RANGE, "kg_s", kg_s, 0.0, 1e3);
	if (!(drop_pa > 0.0) || !isfinite(drop_pa))
		return jw_fail(error, JW_E_RANGE, "drop_pa", drop_pa, 0.0, 1e9);
	jw_status status = jw_check_shape(shape, error);
	if (status == JW_OK)
		status = jw_check_liquid(liquid, error);
	if (status < 0)
		return status;
	const flow_target target = {*shape, liquid, drop_pa, kg_s};
	status = jw_bore_within(shape, liquid, drop_pa, kg_s, JW_SMALLEST_JET_M, JW_LARGEST_JET_M, diameter_m);
	if (status < 0)
		return jw_fail(error, JW_E_RANGE, "kg_s", kg_s, flow_of_bore(&target, JW_SMALLEST_JET_M),
		               flow_of_bore(&target, JW_LARGEST_JET_M));
	return status;
}

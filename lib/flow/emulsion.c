/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/flow.h>

#include "base/base.h"

double jw_emulsion_density(const jw_emulsion *e, double pressure_pa)
{
	return 1.0 / (e->quality * e->gas_rt_j_kg / pressure_pa + (1.0 - e->quality) / e->liquid_density_kg_m3);
}

double jw_void_fraction(const jw_emulsion *e, double pressure_pa)
{
	double gas = e->quality * e->gas_rt_j_kg / pressure_pa;
	return gas / (gas + (1.0 - e->quality) / e->liquid_density_kg_m3);
}

double jw_mixture_viscosity(double quality, double gas_pa_s, double liquid_pa_s)
{
	return 1.0 / (quality / gas_pa_s + (1.0 - quality) / liquid_pa_s);
}

/* Half the squared speed over R T x, less half the squared sonic speed; falls with the pressure ratio, 0 where flux is
 * greatest. liquid is the volume of the liquid over that of the gas at the upstream pressure. */
static double choke_excess(double ratio, double liquid)
{
	return 2.0 * (liquid * (1.0 - ratio) - log(ratio)) - jw_square(1.0 + liquid * ratio);
}

/* Guarded Newton from a start that is exact for pure gas and for nearly pure liquid. */
static double choke_ratio(double liquid)
{
	double low = 0.0, high = 1.0, ratio = 1.0 / (1.6487 + sqrt(0.5 * liquid));
	for (int i = 0; i < 60; i++) {
		double excess = choke_excess(ratio, liquid);
		*(excess > 0.0 ? &low : &high) = ratio;
		double slope = -2.0 / ratio - 2.0 * liquid * (2.0 + liquid * ratio);
		double next = ratio - excess / slope;
		if (!(next > low && next < high))
			next = 0.5 * (low + high);
		if (fabs(next - ratio) < 1e-8) /* the error left is its square */
			return next;
		ratio = next;
	}
	return ratio;
}

/* Volume per mass of the emulsion that carries its momentum: gas / p + liquid. */
static void specific_volumes(const jw_emulsion *e, double upstream_pa, double *gas, double *liquid)
{
	double x = e->quality;
	*gas = x * e->gas_rt_j_kg;
	*liquid = (1.0 - x) / e->liquid_density_kg_m3;
	if (!e->slip || !(x > 0.0))
		return;
	double mixture = *gas / upstream_pa + *liquid;
	double ratio = sqrt(fmax(mixture * e->liquid_density_kg_m3, 1.0));
	double momentum = x + (1.0 - x) / ratio;
	*gas *= momentum;
	*liquid *= momentum * ratio;
}

jw_status jw_emulsion_mass_flow(double effective_area_m2, const jw_emulsion *e, double upstream_pa,
                                double downstream_pa, double *kg_s)
{
	double drop = upstream_pa - downstream_pa;
	if (!(drop > 0.0) || !(downstream_pa > 0.0)) {
		*kg_s = 0.0;
		return JW_OK;
	}
	double gas, liquid;
	specific_volumes(e, upstream_pa, &gas, &liquid);
	if (!(gas > 0.0)) {
		*kg_s = effective_area_m2 * sqrt(2.0 * drop / liquid);
		return JW_OK;
	}
	double liquid_share = liquid * upstream_pa / gas;
	double ratio = downstream_pa / upstream_pa;
	double half_speed_squared = -log(ratio) + liquid_share * (1.0 - ratio); /* over R T x */
	double sonic = 0.5 * jw_square(1.0 + liquid_share * ratio);
	int choked = half_speed_squared > sonic;
	if (choked) {
		ratio = choke_ratio(liquid_share);
		half_speed_squared = 0.5 * jw_square(1.0 + liquid_share * ratio);
	}
	double volume = gas / (ratio * upstream_pa) + liquid;
	*kg_s = effective_area_m2 * sqrt(2.0 * gas * half_speed_squared) / volume;
	return choked ? JW_W_CHOKED : JW_OK;
}

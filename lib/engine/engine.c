/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/engine.h>

#include "base/base.h"

#define GAMMA 1.4

double jw_displacement(const jw_engine *engine)
{
	return engine->cylinders * 0.25 * JW_PI * jw_square(engine->bore_m) * engine->stroke_m;
}

jw_status jw_volumetric_efficiency(const jw_engine *engine, double speed_rev_s, double *ve)
{
	int last = engine->ve_points - 1;
	const double *at = engine->ve_speed_rev_s;
	if (speed_rev_s <= at[0] || last == 0) {
		*ve = engine->ve[0];
		return speed_rev_s < at[0] ? JW_W_EXTRAPOLATED : JW_OK;
	}
	if (speed_rev_s >= at[last]) {
		*ve = engine->ve[last];
		return speed_rev_s > at[last] ? JW_W_EXTRAPOLATED : JW_OK;
	}
	int i = 1;
	while (speed_rev_s > at[i])
		i++;
	double share = (speed_rev_s - at[i - 1]) / (at[i] - at[i - 1]);
	*ve = engine->ve[i - 1] + share * (engine->ve[i] - engine->ve[i - 1]);
	return JW_OK;
}

double jw_air_consumption(double displacement_m3, int strokes, double speed_rev_s, double ve, double density_kg_m3)
{
	return ve * density_kg_m3 * displacement_m3 * speed_rev_s * 2.0 / strokes;
}

double jw_part_throttle_factor(double compression_ratio, double exhaust_over_intake)
{
	double r = compression_ratio;
	return fmax(r / (r - 1.0) - (exhaust_over_intake + GAMMA - 1.0) / (GAMMA * (r - 1.0)), 0.0);
}

jw_status jw_engine_demand(const jw_engine *engine, double ambient_pa, double ambient_k, double gas_constant_j_kg_k,
                           double manifold_pa, double speed_rev_s, double *kg_s)
{
	double ve;
	jw_status status = jw_volumetric_efficiency(engine, speed_rev_s, &ve);
	double density = manifold_pa / (gas_constant_j_kg_k * (ambient_k + engine->manifold_heating_k));
	double exhaust = ambient_pa + engine->exhaust_back_pa;
	/* What stays in the crankcase of a two-stroke expands as the residual of a four-stroke's clearance does. */
	double ratio = engine->strokes == 2 ? engine->crankcase_ratio : engine->compression_ratio;
	double filling = jw_part_throttle_factor(ratio, exhaust / manifold_pa);
	*kg_s = filling * jw_air_consumption(jw_displacement(engine), engine->strokes, speed_rev_s, ve, density);
	return status;
}

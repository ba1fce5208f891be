/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/carburetor.h>

#include "base/base.h"

double jw_pump_travel(const jw_pump *pump, double throttle)
{
	if (!(pump->shot_m3 > 0.0))
		return 0.0;
	return jw_clamp((throttle - pump->from_throttle) / (pump->to_throttle - pump->from_throttle), 0.0, 1.0);
}

double jw_pump_pressure(const jw_pump *pump)
{
	return pump->shot_m3 > 0.0 ? pump->spring_n / (0.25 * JW_PI * jw_square(pump->plunger_m)) : 0.0;
}

double jw_pump_flow(const jw_pump *pump, const jw_liquid_flow *fuel)
{
	double flow = 0.0;
	if (pump->shot_m3 > 0.0)
		jw_liquid_mass_flow(&pump->nozzle, fuel, jw_pump_pressure(pump), &flow);
	return flow;
}

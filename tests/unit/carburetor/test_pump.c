/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/carburetor.h>

static const jw_pump pump = {.shot_m3 = 0.6e-6,
                             .plunger_m = 11e-3,
                             .spring_n = 3.2,
                             .nozzle = {.diameter_m = 0.45e-3, .length_m = 1.3e-3, .coefficient = 0.8},
                             .from_throttle = 0.15,
                             .to_throttle = 0.65};

Test(pump, moves_evenly_between_its_openings)
{
	cr_expect_eq(jw_pump_travel(&pump, 0.1), 0);
	JW_NEAR_REL(jw_pump_travel(&pump, 0.275), 0.25, 1e-12);
	cr_expect_eq(jw_pump_travel(&pump, 0.9), 1);
}

Test(pump, spring_over_plunger_drives_the_nozzle)
{
	const double pi = 3.14159265358979, density = 742.0;
	const jw_liquid_flow fuel = {density, 0.55e-6};
	const double pressure = 3.2 / (pi / 4 * 11e-3 * 11e-3);
	JW_NEAR_REL(jw_pump_pressure(&pump), pressure, 1e-12);
	JW_NEAR_REL(jw_pump_flow(&pump, &fuel), 0.8 * pi / 4 * 0.45e-3 * 0.45e-3 * sqrt(2 * density * pressure), 1e-9);
}

Test(pump, without_one_nothing_moves)
{
	const jw_pump none = {0};
	const jw_liquid_flow fuel = {742.0, 0.55e-6};
	cr_expect_eq(jw_pump_travel(&none, 0.5), 0);
	cr_expect_eq(jw_pump_pressure(&none), 0);
	cr_expect_eq(jw_pump_flow(&none, &fuel), 0);
}

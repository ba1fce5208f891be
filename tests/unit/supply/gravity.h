/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GRAVITY_H
#define GRAVITY_H

#include <jetwright/supply.h>

/* A small tank above the carburetor. */
static inline jw_supply gravity(void)
{
	return (jw_supply){.head_m = 0.25,
	                   .tank_air_m3 = 3e-3,
	                   .vent_m = 1e-3,
	                   .tap_m = 3e-3,
	                   .hose_m = 5e-3,
	                   .hose_length_m = 0.3,
	                   .filter_pa = 300,
	                   .filter_m3_s = 2e-6,
	                   .seat_m = 1.6e-3,
	                   .seat_coefficient = 0.62,
	                   .travel_m = 1.5e-3,
	                   .bowl_area_m2 = 15e-4,
	                   .jet_depth_m = 20e-3,
	                   .overflow_m = 8e-3};
}

#endif

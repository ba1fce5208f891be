/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A tank above the carburetor whose cap vent is nearly shut: how the level falls. */
#include "must.h"

int main(void)
{
	const jw_supply supply = {.head_m = 0.3,
	                          .tank_air_m3 = 3e-3,
	                          .vent_m = 0.4e-3,
	                          .tap_m = 3e-3,
	                          .hose_m = 6e-3,
	                          .hose_length_m = 0.4,
	                          .filter_pa = 200,
	                          .filter_m3_s = 1e-5,
	                          .seat_m = 1.5e-3,
	                          .seat_coefficient = 0.7,
	                          .travel_m = 3e-3,
	                          .bowl_area_m2 = 1.5e-3,
	                          .jet_depth_m = 20e-3,
	                          .overflow_m = 8e-3};
	const jw_supply_ends ends = {
	    .fuel = {745, 0.55e-6}, .air = {288.15, JW_AIR_GAS_CONSTANT, 1.79e-5}, .ambient_pa = 101325, .bowl_pa = 101325};
	jw_error error = {0};
	for (double kg_s = 2e-4; kg_s < 2e-3; kg_s *= 2) {
		double tank_pa, level_m;
		must(jw_supply_tank(&supply, &ends, kg_s, &tank_pa, &error), &error);
		const jw_status status = jw_supply_level(&supply, &ends, kg_s, &level_m, &error);
		must(status, &error);
		printf("%.1f g/s: tank %6.0f Pa below the air, level %.2f mm, needle %.2f mm2%s\n", 1e3 * kg_s,
		       ends.ambient_pa - tank_pa, 1e3 * level_m, 1e6 * jw_float_needle_area(&supply, level_m),
		       status & JW_W_SHORT_SUPPLY ? "; it cannot pass so much for long" : "");
	}

	jw_supply_flow flow;
	must(jw_supply_pass(&supply, &ends, -3e-3, &flow, &error), &error);
	printf("wide open: %.2f g/s; head %.0f Pa, lost in tap %.0f, hose %.0f, filter %.0f, seat %.0f; vent at 1 kPa "
	       "below %.4f g/s\n",
	       1e3 * flow.kg_s, flow.head_pa, flow.tap_pa, flow.hose_pa, flow.filter_pa, flow.seat_pa,
	       1e3 * jw_vent_flow(&supply, &ends, ends.ambient_pa - 1000));
	return 0;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A main circuit with an air jet, at rising depression: the bleed flattens what the jet alone would pass. */
#include "must.h"

int main(void)
{
	const jw_circuit circuit = {.fuel_jet = {.diameter_m = 1.05e-3, .length_m = 2.1e-3},
	                            .air_jet = {.diameter_m = 0.8e-3, .length_m = 2e-3},
	                            .bleed_depth_m = 4e-3,
	                            .outlet_height_m = 6e-3,
	                            .fuel_coefficient = 1};
	jw_circuit_ends ends = {.bowl_pa = 101325,
	                        .air_pa = 101325,
	                        .outlets = 1,
	                        .fuel = {745, 0.55e-6},
	                        .air = {288.15, JW_AIR_GAS_CONSTANT, 1.79e-5}};
	jw_error error = {0};
	for (double pull_pa = 500; pull_pa < 9000; pull_pa *= 2) {
		jw_circuit_flow flow;
		ends.outlet[0] = (jw_outlet){3e-6, ends.bowl_pa - pull_pa};
		must(jw_circuit_solve(&circuit, &ends, &flow, &error), &error);
		printf("%5.0f Pa: fuel %6.1f mg/s, air %5.2f mg/s, well %6.1f Pa below the bowl; a circuit fed from it: %6.1f "
		       "Pa\n",
		       pull_pa, 1e6 * flow.fuel_kg_s, 1e6 * flow.bleed_kg_s, ends.bowl_pa - flow.well_pa,
		       ends.bowl_pa - jw_branch_feed(&circuit, &ends, flow.well_pa));
	}
	return 0;
}

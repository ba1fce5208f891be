/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A blend of petrol with ten per cent of ethanol, cold and warm. */
#include "must.h"

int main(void)
{
	const jw_fuel e10 = {
	    .part = {{.liquid = JW_PETROL, .volume_fraction = 0.9}, {.liquid = JW_ETHANOL, .volume_fraction = 0.1}},
	    .parts = 2};
	jw_error error = {0};
	for (int celsius = -20; celsius <= 40; celsius += 20) {
		jw_fuel_state state;
		must(jw_fuel_at(&e10, 273.15 + celsius, &state, &error), &error);
		printf("%3d C: %.1f kg/m3, %.3f mm2/s, stoichiometric at %.2f\n", celsius, state.density_kg_m3,
		       1e6 * state.viscosity_m2_s, state.stoichiometric_afr);
	}

	double density, viscosity, factor;
	must(jw_liquid_at(JW_ETHANOL, 293.15, &density, &viscosity, &error), &error);
	must(jw_petroleum_volume_factor(745, 313.15, &factor, &error), &error);
	printf("%s alone: %.1f kg/m3, %.2f mPa s, stoichiometric at %.3f\n", jw_liquid_name(JW_ETHANOL), density,
	       1e3 * viscosity, jw_stoichiometric_afr(2, 6, 1));
	printf("petrol of 745 kg/m3 at 60 F has %.1f at 40 C\n", 745 * factor);
	return 0;
}

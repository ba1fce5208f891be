/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What one passage passes: a jet, an air jet, an emulsion, a hose; and how much of it dirt shuts. */
#include "must.h"

static const jw_liquid_flow petrol = {745, 0.55e-6};
static const jw_gas air = {288.15, JW_AIR_GAS_CONSTANT, 1.79e-5};

static void show_jet(void)
{
	const jw_orifice jet = {.diameter_m = 1.05e-3, .length_m = 2.1e-3};
	jw_error error = {0};
	double kg_s, drop_pa, bore_m, cd;
	must(jw_liquid_mass_flow(&jet, &petrol, 2000, &kg_s), NULL);
	must(jw_liquid_drop(&jet, &petrol, kg_s, &drop_pa, &error), &error);
	must(jw_bore_for_liquid_flow(&jet, &petrol, 2000, 1.1 * kg_s, &bore_m, &error), &error);
	must(jw_discharge_coefficient(4400, jet.length_m / jet.diameter_m, &cd), NULL);
	printf("jet of %.3f mm2: %.1f mg/s at %.0f Pa, Cd about %.2f; for a tenth more it takes %.3f mm\n",
	       1e6 * jw_orifice_area(&jet), 1e6 * kg_s, drop_pa, cd, 1e3 * bore_m);

	jw_restriction left;
	must(jw_restrict(&jet, JW_FILM, 0.03e-3, &petrol, 2000, &left, &error), &error);
	printf("a film of 0.03 mm shuts %.0f %% of its area and leaves %.0f %% of its flow\n", 100 * left.blocked_area,
	       100 * left.flow_share);
}

static void show_hose(void)
{
	jw_error error = {0};
	double drop_pa;
	must(jw_pipe_drop(6e-3, 0.4, &petrol, 2e-3, &drop_pa, &error), &error);
	printf("0.4 m of 6 mm hose takes %.1f Pa at 2 g/s; friction factor %.4f\n", drop_pa,
	       jw_friction_factor(4 * 2e-3 / (3.14159265 * 6e-3 * petrol.density_kg_m3 * petrol.viscosity_m2_s)));
}

static void show_air(void)
{
	const jw_orifice air_jet = {.diameter_m = 0.8e-3, .length_m = 2e-3};
	double kg_s, small_kg_s, downstream_pa;
	must(jw_gas_mass_flow(1e-5, &air, 101325, 60000, &kg_s), NULL);
	must(jw_gas_orifice_flow(&air_jet, &air, 101325, 101025, &small_kg_s), NULL);
	must(jw_gas_downstream_pressure(1e-5, &air, 101325, kg_s, &downstream_pa), NULL);
	printf("10 mm2 pass %.2f g/s of air into %.1f kPa, at most %.2f; in a row with 5 mm2 %.2f; an air jet %.2f mg/s\n",
	       1e3 * kg_s, downstream_pa / 1e3, 1e3 * jw_gas_choked_flow(1e-5, &air, 101325),
	       1e3 * jw_gas_choked_series(1e-5, 5e-6, &air, 101325), 1e6 * small_kg_s);
	printf("critical ratio %.4f; at a ratio of 0.95: compressibility %.4f, orifice %.4f, nozzle %.4f\n",
	       jw_critical_pressure_ratio(JW_AIR_GAMMA), jw_compressibility_factor(0.95, JW_AIR_GAMMA),
	       jw_orifice_expansibility(0.3, 0.95, JW_AIR_GAMMA), jw_nozzle_expansibility(0.3, 0.95, JW_AIR_GAMMA));
}

static void show_emulsion(void)
{
	const jw_emulsion emulsion = {
	    .quality = 0.01, .liquid_density_kg_m3 = 745, .gas_rt_j_kg = JW_AIR_GAS_CONSTANT * 288.15};
	double kg_s;
	must(jw_emulsion_mass_flow(1e-6, &emulsion, 101000, 99000, &kg_s), NULL);
	printf("an emulsion with 1 %% of air: %.1f kg/m3, %.0f %% of it air by volume, %.3g Pa s; 1 mm2 passes %.0f mg/s\n",
	       jw_emulsion_density(&emulsion, 101325), 100 * jw_void_fraction(&emulsion, 101325),
	       jw_mixture_viscosity(0.01, 1.79e-5, 4.1e-4), 1e6 * kg_s);
}

int main(void)
{
	show_jet();
	show_hose();
	show_air();
	show_emulsion();
	return 0;
}

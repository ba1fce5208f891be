/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Prints what the library computes over grids of inputs, for crosscheck.py: quantity, inputs, result. */
#include <jetwright/jetwright.h>
#include <stdio.h>
#include <stdlib.h>

/* All points lie where the library answers without a warning: a point left out would be one not compared. */
static void must(jw_status status)
{
	if (status == JW_OK)
		return;
	fprintf(stderr, "status %d at a point of the grid\n", (int)status);
	exit(1);
}

static void atmosphere(void)
{
	for (double h = -1500.0; h <= 11000.0; h += 625.0) {
		jw_atmosphere level, geometric;
		must(jw_standard_atmosphere(h, &level, NULL));
		must(jw_standard_atmosphere(jw_geopotential_altitude(h), &geometric, NULL));
		printf("geopotential_temperature %.17g %.17g\n", h, level.temperature_k);
		printf("geopotential_pressure %.17g %.17g\n", h, level.pressure_pa);
		printf("geometric_temperature %.17g %.17g\n", h, geometric.temperature_k);
		printf("geometric_pressure %.17g %.17g\n", h, geometric.pressure_pa);
		printf("geometric_density %.17g %.17g\n", h, geometric.density_kg_m3);
		printf("geometric_viscosity %.17g %.17g\n", h, jw_air_viscosity(geometric.temperature_k));
	}
}

static void moist_air(void)
{
	for (double t = 273.16; t <= 333.2; t += 5.0)
		printf("saturation_pressure %.17g %.17g\n", t, jw_saturation_pressure(t));
	for (double t = 243.15; t < 328.16; t += 28.333333)
		for (double p = 50e3; p <= 110e3; p += 30e3)
			for (double h = 0.1; h <= 1.0; h += 0.45) {
				jw_air air;
				must(jw_air_from_humidity(p, t, h, &air, NULL));
				/* Above this is hotter than any weather when saturated, and beyond what CIPM-2007 was fitted to. */
				const char *quantity = air.vapour_fraction <= 0.075 ? "moist_density" : "steamy_density";
				printf("%s %.17g %.17g %.17g %.17g\n", quantity, p, t, air.vapour_fraction, air.density_kg_m3);
				printf("dry_fraction %.17g %.17g %.17g %.17g\n", p, t, air.vapour_fraction, air.dry_fraction);
			}
}

static void gas(void)
{
	for (double gamma = 1.29; gamma < 1.7; gamma += 0.037)
		printf("critical_ratio %.17g %.17g\n", gamma, jw_critical_pressure_ratio(gamma));
	for (double beta = 0.21; beta < 0.75; beta += 0.13)
		for (double ratio = 0.8; ratio < 1.0; ratio += 0.037) {
			printf("orifice_expansibility %.17g %.17g %.17g\n", beta, ratio,
			       jw_orifice_expansibility(beta, ratio, 1.4));
			printf("nozzle_expansibility %.17g %.17g %.17g\n", beta, ratio, jw_nozzle_expansibility(beta, ratio, 1.4));
		}
}

static void emulsion(void)
{
	for (double x = 0.0013; x < 0.9; x *= 2.3) {
		jw_emulsion mixture = {x, 742.3, 84.1e3, 0};
		printf("void_fraction %.17g %.17g %.17g %.17g\n", x, 742.3, 97.1e3 / 84.1e3,
		       jw_void_fraction(&mixture, 97.1e3));
		printf("mixture_viscosity %.17g %.17g\n", x, jw_mixture_viscosity(x, 1.8e-5, 4.1e-4));
	}
}

/* Fuel hose and far beyond, from creeping to turbulent. */
static void pipes(void)
{
	for (double reynolds = 0.7; reynolds < 1e6; reynolds *= 1.7)
		printf("friction_factor %.17g %.17g\n", reynolds, jw_friction_factor(reynolds));
	for (double bore = 0.9e-3; bore < 12e-3; bore *= 1.9)
		for (double kg_s = 0.03e-3; kg_s < 0.1; kg_s *= 3.1) {
			jw_liquid_flow fuel = {742.3, 0.55e-6};
			double drop;
			must(jw_pipe_drop(bore, 0.43, &fuel, kg_s, &drop, NULL));
			printf("pipe_drop %.17g %.17g %.17g\n", bore, kg_s, drop);
		}
}

int main(void)
{
	pipes();
	atmosphere();
	moist_air();
	gas();
	emulsion();
	return 0;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Textbook examples of the simple carburetor, each written as a profile in simple/: no bleed, no pulse, no pilot. */
#include "simple.h"

#include <jetwright/jetwright.h>
#include <math.h>
#include <stdio.h>

#define LIBRARY "tests/published/simple"
#define GAMMA 1.4
#define AIR_J_KG_K 287.0
#define AIR_CP 1005.0
/* The inputs of every call: the number of the example, and the air outside. */
#define EXAMPLE (in[0].value[0])
#define PRESSURE (in[1].value[0])
#define TEMPERATURE (in[2].value[0])
#define DROP (in[3].value[0])
#define OUT (out->value[0])

static jw_status load(double example, jw_setup *setup)
{
	char path[128];
	jw_faults faults;
	jw_profile *profile = NULL;
	snprintf(path, sizeof path, LIBRARY "/engines/example-%g.yaml", example);
	jw_status status = jw_profile_load(path, LIBRARY, &profile, &faults);
	if (status >= 0)
		*setup = *jw_profile_setup(profile);
	jw_profile_free(profile);
	return status;
}

/* ---- as the engine draws it, wide open ---- */

static jw_status solve_full(const values *in, jw_mixture *mixture)
{
	jw_setup setup;
	jw_air air;
	jw_status status = load(EXAMPLE, &setup);
	if (status >= 0)
		status = jw_air_from_humidity(PRESSURE, TEMPERATURE, 0, &air, NULL);
	return status < 0 ? status : jw_mixture_at(&setup, &air, &setup.range[JW_FULL], mixture, NULL);
}

jw_status simple_afr(const values *in, values *out)
{
	jw_mixture mixture;
	jw_status status = solve_full(in, &mixture);
	if (status >= 0)
		OUT = mixture.afr;
	return status;
}

/* Of an isentropic fall to the pressure of the throat. */
jw_status simple_velocity(const values *in, values *out)
{
	jw_mixture mixture;
	jw_status status = solve_full(in, &mixture);
	if (status < 0)
		return status;
	double fall = 1 - pow(mixture.path.throat_steady_pa / PRESSURE, (GAMMA - 1) / GAMMA);
	OUT = sqrt(2 * AIR_CP * TEMPERATURE * fall);
	return status;
}

/* ---- the carburetor alone, at a flow of air ---- */

static jw_status meter(const jw_setup *setup, const values *in, double air_kg_s, jw_air_path *path, double *fuel_kg_s)
{
	const jw_controls open = {1, 0};
	const jw_gas air = {TEMPERATURE, AIR_J_KG_K, 1.8e-5};
	jw_fuel_state fuel;
	jw_carburetor_flow flow;
	jw_status status = jw_fuel_at(&setup->fuel, TEMPERATURE, &fuel, NULL);
	if (status >= 0)
		status = jw_carburetor_air(&setup->carburetor, &open, &air, PRESSURE, air_kg_s, 1, path, NULL);
	if (status < 0)
		return status;
	const jw_fuel_ends ends = {*path, PRESSURE, path->plate_pa, open, 1, {fuel.density_kg_m3, fuel.viscosity_m2_s},
	                           air, 0};
	status = jw_carburetor_fuel(&setup->carburetor, &ends, &flow, NULL);
	*fuel_kg_s = flow.main.fuel_kg_s;
	return status;
}

/* The books take air as incompressible, which the compressibility factor undoes. */
jw_status simple_afr_at_drop(const values *in, values *out)
{
	jw_setup setup;
	jw_air_path path;
	double air_kg_s, fuel_kg_s;
	const jw_gas air = {TEMPERATURE, AIR_J_KG_K, 1.8e-5};
	jw_status status = load(EXAMPLE, &setup);
	if (status < 0)
		return status;
	const jw_throat *throat = &setup.carburetor.throat;
	const jw_orifice bore = {.diameter_m = throat->bore_m};
	jw_gas_mass_flow(throat->coefficient * jw_orifice_area(&bore), &air, PRESSURE, PRESSURE - DROP, &air_kg_s);
	status = meter(&setup, in, air_kg_s, &path, &fuel_kg_s);
	OUT = air_kg_s / fuel_kg_s / jw_compressibility_factor(1 - DROP / PRESSURE, GAMMA);
	return status;
}

/* Air in the throat when the first fuel comes over the lip, without the throat's coefficient. */
jw_status simple_start(const values *in, values *out)
{
	jw_setup setup;
	jw_air_path path = {0};
	double dry_kg_s = 0, wet_kg_s = 0.02, fuel_kg_s;
	jw_status status = load(EXAMPLE, &setup);
	for (int i = 0; i < 50 && status >= 0; i++) {
		double air_kg_s = 0.5 * (dry_kg_s + wet_kg_s);
		status = meter(&setup, in, air_kg_s, &path, &fuel_kg_s);
		*(fuel_kg_s > 0 ? &wet_kg_s : &dry_kg_s) = air_kg_s;
	}
	OUT = sqrt(2 * (PRESSURE - path.throat_pa) * AIR_J_KG_K * TEMPERATURE / PRESSURE);
	return status;
}

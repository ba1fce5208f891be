/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuel/liquid.h"

#define TEMPERATURE_LOW_K 213.15
#define TEMPERATURE_HIGH_K 393.15
#define PSI 6894.757293168

static jw_status check_temperature(double temperature_k, jw_error *error)
{
	jw_status status = jw_check_range("temperature_k", temperature_k, TEMPERATURE_LOW_K, TEMPERATURE_HIGH_K, error);
	if (status == JW_OK && (temperature_k < 243.15 || temperature_k > 333.15))
		return JW_W_EXTRAPOLATED;
	return status;
}

static jw_status find_liquid(jw_liquid liquid, const jw_liquid_data **row, jw_error *error)
{
	*row = jw_liquid_row(liquid);
	return *row ? JW_OK : jw_fail(error, JW_E_RANGE, "liquid", liquid, 0, JW_LIQUID_COUNT - 1);
}

jw_status jw_liquid_at(jw_liquid liquid, double temperature_k, double *density_kg_m3, double *viscosity_pa_s,
                       jw_error *error)
{
	const jw_liquid_data *row;
	jw_status status = find_liquid(liquid, &row, error);
	if (status == JW_OK)
		status = check_temperature(temperature_k, error);
	if (status < 0)
		return status;
	*density_kg_m3 = jw_liquid_density(row, row->density_15c, temperature_k);
	*viscosity_pa_s = *density_kg_m3 * exp(row->viscosity(row->viscosity_c, temperature_k, *density_kg_m3));
	return status;
}

double jw_stoichiometric_afr(double carbon, double hydrogen, double oxygen)
{
	return (carbon + 0.25 * hydrogen - 0.5 * oxygen) * (31.998 + 3.773 * 28.16) /
	       (12.011 * carbon + 1.008 * hydrogen + 15.999 * oxygen);
}

/* 0 takes the default; a pure liquid has no other value. */
static jw_status choose(const char *field, double given, double fallback, double low, double high, double *value,
                        jw_error *error)
{
	*value = fallback;
	if (given == 0.0)
		return JW_OK;
	*value = given;
	return jw_check_range(field, given, low, high, error);
}

/* A part with its defaults filled in. */
typedef struct part_data {
	const jw_liquid_data *row;
	double volume, density_15c, hydrogen;
} part_data;

static jw_status read_part(const jw_fuel_part *part, part_data *data, jw_error *error)
{
	jw_status status = find_liquid(part->liquid, &data->row, error);
	if (status == JW_OK)
		status = jw_check_range("volume_fraction", part->volume_fraction, 0.0, 1.0, error);
	if (status != JW_OK)
		return status;
	const jw_liquid_data *row = data->row;
	int petroleum = row->density_15c > 0.0;
	data->volume = part->volume_fraction;
	status = choose("density_15c_kg_m3", part->density_15c_kg_m3, row->density_15c, row->density_15c_low,
	                row->density_15c_high, &data->density_15c, error);
	if (status == JW_OK)
		status = choose("hydrogen_per_carbon", part->hydrogen_per_carbon, row->hydrogen, petroleum ? 1.5 : 0.0,
		                petroleum ? 2.3 : 0.0, &data->hydrogen, error);
	if (status == JW_OK && !petroleum)
		data->density_15c = jw_liquid_density(row, 0.0, JW_DENSITY_BASE_K);
	return status;
}

/* ln P = a - b/T in psi and degrees Rankine, EPA AP-42, ch. 7.1, with the slope of the distillation curve of motor
 * gasoline. */
static double vapour_pressure(double reid_pa, double temperature_k)
{
	if (!(reid_pa > 0.0))
		return 0.0;
	double slope = sqrt(3.0), reid = log(reid_pa / PSI);
	double a = 15.64 - 1.854 * slope - (0.8742 - 0.3280 * slope) * reid;
	double b = 8742.0 - 1042.0 * slope - (1049.0 - 179.4 * slope) * reid;
	return PSI * exp(a - b / (1.8 * temperature_k));
}

static jw_status read_parts(const jw_fuel *fuel, part_data *data, jw_error *error)
{
	if (fuel->parts < 1 || fuel->parts > JW_FUEL_PARTS)
		return jw_fail(error, JW_E_RANGE, "parts", fuel->parts, 1, JW_FUEL_PARTS);
	double sum = 0.0;
	for (int i = 0; i < fuel->parts; i++) {
		jw_status status = read_part(&fuel->part[i], &data[i], error);
		if (status != JW_OK)
			return status;
		sum += data[i].volume;
	}
	jw_status status = jw_check_range("sum of volume_fraction", sum, 1.0 - 1e-6, 1.0 + 1e-6, error);
	if (status < 0 || fuel->reid_pa == 0.0)
		return status;
	return jw_check_range("reid_pa", fuel->reid_pa, 10e3, 110e3, error);
}

jw_status jw_fuel_at(const jw_fuel *fuel, double temperature_k, jw_fuel_state *state, jw_error *error)
{
	part_data data[JW_FUEL_PARTS];
	jw_status status = read_parts(fuel, data, error);
	if (status == JW_OK)
		status = check_temperature(temperature_k, error);
	if (status < 0)
		return status;
	/* Sums per m3 of blend at 15 C. */
	double mass = 0.0, volume = 0.0, air = 0.0, heat = 0.0, oxygen = 0.0, log_viscosity = 0.0;
	for (int i = 0; i < fuel->parts; i++) {
		const jw_liquid_data *row = data[i].row;
		double part_mass = data[i].volume * data[i].density_15c;
		double density = jw_liquid_density(row, data[i].density_15c, temperature_k);
		double molecule = 12.011 * row->carbon + 1.008 * data[i].hydrogen + 15.999 * row->oxygen;
		mass += part_mass;
		volume += part_mass / density;
		air += part_mass * jw_stoichiometric_afr(row->carbon, data[i].hydrogen, row->oxygen);
		heat += part_mass * row->heating_value_j_kg;
		oxygen += part_mass * 15.999 * row->oxygen / molecule;
		log_viscosity += data[i].volume * row->viscosity(row->viscosity_c, temperature_k, density);
	}
	*state = (jw_fuel_state){
	    .temperature_k = temperature_k,
	    .density_kg_m3 = mass / volume,
	    .viscosity_m2_s = exp(log_viscosity),
	    .stoichiometric_afr = air / mass,
	    .heating_value_j_kg = heat / mass,
	    .oxygen_mass_fraction = oxygen / mass,
	    .vapour_pa = vapour_pressure(fuel->reid_pa, temperature_k),
	};
	return status;
}

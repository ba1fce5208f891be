/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "ambient.h"
#include "show.h"
#include <math.h>

const cli_option air_options[] = {
    {"altitude", OPTION_QUANTITY, JW_LENGTH, AIR_ALTITUDE_LOW_M, AIR_ALTITUDE_HIGH_M, "1600m",
     "height above sea level; sets pressure and, unless given, temperature by the standard atmosphere"},
    {"pressure", OPTION_QUANTITY, JW_PRESSURE, AIR_PRESSURE_LOW_PA, AIR_PRESSURE_HIGH_PA, "84kPa",
     "pressure on the spot, as a barometer there reads"},
    {"sea-level-pressure", OPTION_QUANTITY, JW_PRESSURE, 87e3, 109e3, "1013hPa",
     "pressure reduced to sea level, as weather reports state it; with --altitude"},
    {"temperature", OPTION_QUANTITY, JW_TEMPERATURE, ZERO_CELSIUS + AIR_CELSIUS_LOW, ZERO_CELSIUS + AIR_CELSIUS_HIGH,
     "30C", "temperature of the air"},
    {"humidity", OPTION_QUANTITY, JW_FRACTION, 0, 1, "60%", "relative humidity"},
    {"dew-point", OPTION_QUANTITY, JW_TEMPERATURE, ZERO_CELSIUS - 60, ZERO_CELSIUS + AIR_CELSIUS_HIGH, "12C",
     "dew point"},
    {0},
};

int any_air_option(const cli_arguments *arguments)
{
	for (const cli_option *option = air_options; option->name; option++)
		if (has(arguments, option->name))
			return 1;
	return 0;
}

/* Pressure and temperature; errors of the atmosphere's formulas come back as a status. */
static jw_status pressure_and_temperature(const cli_arguments *arguments, const jw_air *usual, double *pressure,
                                          double *temperature, jw_error *error)
{
	double altitude = jw_geopotential_altitude(value_of(arguments, "altitude", 0));
	*pressure = value_of(arguments, "pressure", usual ? usual->pressure_pa : STANDARD_PRESSURE);
	*temperature = usual ? usual->temperature_k : STANDARD_TEMPERATURE;
	jw_status status = JW_OK;
	if (has(arguments, "altitude")) {
		jw_atmosphere level;
		status = jw_standard_atmosphere(altitude, &level, error);
		if (status < 0)
			return status;
		*temperature = level.temperature_k;
	}
	*temperature = value_of(arguments, "temperature", *temperature);
	if (has(arguments, "altitude") || has(arguments, "sea-level-pressure"))
		status = jw_station_pressure(value_of(arguments, "sea-level-pressure", STANDARD_PRESSURE), altitude, pressure,
		                             error);
	return status;
}

int read_air(const cli_arguments *arguments, const jw_air *usual, jw_air *air, jw_status *status)
{
	double pressure, temperature;
	jw_error error = {0};
	const cli_command *command = arguments->command;
	if (has(arguments, "pressure") && (has(arguments, "altitude") || has(arguments, "sea-level-pressure"))) {
		return wrong_use(command,
		                 "--pressure is the pressure on the spot: give it alone, or --altitude with or without "
		                 "--sea-level-pressure");
	}
	if (has(arguments, "humidity") && has(arguments, "dew-point")) {
		return wrong_use(command, "--humidity and --dew-point say the same thing: give one of them");
	}
	if (usual && !any_air_option(arguments)) {
		*air = *usual;
		return ANSWERED;
	}
	jw_status now = pressure_and_temperature(arguments, usual, &pressure, &temperature, &error);
	if (now >= 0 && has(arguments, "dew-point") && value_of(arguments, "dew-point", 0) > temperature) {
		return wrong_use(command, "--dew-point %s is above the temperature of the air, %.1f C",
		                 text_of(arguments, "dew-point", ""), temperature - ZERO_CELSIUS);
	}
	if (now >= 0)
		now = has(arguments, "dew-point")
		          ? jw_air_from_dew_point(pressure, temperature, value_of(arguments, "dew-point", 0), air, &error)
		          : jw_air_from_humidity(pressure, temperature,
		                                 value_of(arguments, "humidity", usual ? jw_relative_humidity(usual) : 0), air,
		                                 &error);
	if (now < 0)
		return library_error(command, now, &error);
	*status |= now;
	return ANSWERED;
}

air_words air_text(const jw_air *air)
{
	air_words words;
	const double kpa = air->pressure_pa / 1e3, celsius = air->temperature_k - ZERO_CELSIUS;
	if (air->vapour_fraction > 0)
		snprintf(words.text, sizeof words.text, "%.1f kPa, %.1f C, %.0f %% relative humidity", kpa, celsius,
		         100 * jw_relative_humidity(air));
	else
		snprintf(words.text, sizeof words.text, "%.1f kPa, %.1f C, dry", kpa, celsius);
	return words;
}

void json_air(cli_json *json, const char *key, const jw_air *air)
{
	json_object(json, key);
	json_number(json, "pressure_pa", air->pressure_pa);
	json_number(json, "temperature_k", air->temperature_k);
	json_number(json, "relative_humidity", jw_relative_humidity(air));
	json_number(json, "vapour_fraction", air->vapour_fraction);
	json_number(json, "density_kg_m3", air->density_kg_m3);
	json_number(json, "dry_fraction", air->dry_fraction);
	json_number(json, "viscosity_pa_s", air->viscosity_pa_s);
	json_object_end(json);
}

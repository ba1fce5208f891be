/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/air.h>

#include "air/limits.h"
#include "base/base.h"

/* CIPM-2007 (Picard et al., Metrologia 45, 2008, 149): 400 ppm of CO2. */
#define MOLAR_GAS_CONSTANT 8.314472
#define MOLAR_MASS_AIR 28.96546e-3
#define MOLAR_MASS_WATER 18.01528e-3

/* Above this there is more vapour than air, which is no weather and not what the formula was fitted to. */
#define VAPOUR_FRACTION_MAX 0.5

/* ISO 2533. */
#define SEA_LEVEL_K 288.15
#define SEA_LEVEL_PA 101325.0
#define LAPSE_K_M 0.0065
#define EARTH_RADIUS_M 6356766.0
#define ALTITUDE_LOW_M (-2000.0)
#define ALTITUDE_HIGH_M 11000.0

/* fmin and fmax keep a NaN from passing through. */
static double limited(double x, double low, double high)
{
	return fmin(fmax(x, low), high);
}

double jw_saturation_pressure(double temperature_k)
{
	double t = limited(temperature_k, 173.0, 400.0);
	return exp((1.2378847e-5 * t - 1.9121316e-2) * t + 33.93711047 - 6343.1645 / t);
}

/* Mole fraction of vapour in saturated air: the saturation pressure raised by the presence of air. */
static double saturation_fraction(double pressure_pa, double temperature_k)
{
	double t = temperature_k - JW_ICE_POINT_K;
	double enhancement = 1.00062 + 3.14e-8 * pressure_pa + 5.6e-7 * t * t;
	return enhancement * jw_saturation_pressure(temperature_k) / pressure_pa;
}

static double compressibility(double pressure_pa, double temperature_k, double xv)
{
	double t = temperature_k - JW_ICE_POINT_K, ratio = pressure_pa / temperature_k;
	double second = 1.58123e-6 + (-2.9331e-8 + 1.1043e-10 * t) * t + (5.707e-6 - 2.051e-8 * t) * xv +
	                (1.9898e-4 - 2.376e-6 * t) * xv * xv;
	return 1.0 - ratio * second + ratio * ratio * (1.83e-11 - 0.765e-8 * xv * xv);
}

static jw_air moist_air(double pressure_pa, double temperature_k, double xv)
{
	double molar_mass = MOLAR_MASS_AIR - xv * (MOLAR_MASS_AIR - MOLAR_MASS_WATER);
	double gas_constant = compressibility(pressure_pa, temperature_k, xv) * MOLAR_GAS_CONSTANT / molar_mass;
	return (jw_air){
	    .pressure_pa = pressure_pa,
	    .temperature_k = temperature_k,
	    .vapour_fraction = xv,
	    .density_kg_m3 = pressure_pa / (gas_constant * temperature_k),
	    .dry_fraction = 1.0 - xv * MOLAR_MASS_WATER / molar_mass,
	    .gas_constant_j_kg_k = gas_constant,
	    .viscosity_pa_s = jw_air_viscosity(temperature_k),
	};
}

static jw_status check_state(double pressure_pa, double temperature_k, jw_error *error)
{
	jw_status status =
	    jw_check_range("pressure_pa", pressure_pa, JW_AIR_PRESSURE_LOW_PA, JW_AIR_PRESSURE_HIGH_PA, error);
	if (status == JW_OK)
		status =
		    jw_check_range("temperature_k", temperature_k, JW_AIR_TEMPERATURE_LOW_K, JW_AIR_TEMPERATURE_HIGH_K, error);
	return status;
}

static jw_status fitted_range(double pressure_pa, double temperature_k)
{
	int inside = pressure_pa >= 50e3 && pressure_pa <= 110e3 && temperature_k >= 243.15 && temperature_k <= 328.15;
	return inside ? JW_OK : JW_W_EXTRAPOLATED;
}

jw_status jw_air_from_humidity(double pressure_pa, double temperature_k, double relative_humidity, jw_air *air,
                               jw_error *error)
{
	jw_status status = check_state(pressure_pa, temperature_k, error);
	if (status != JW_OK)
		return status;
	double saturated = saturation_fraction(pressure_pa, temperature_k);
	status =
	    jw_check_range("relative_humidity", relative_humidity, 0.0, fmin(1.0, VAPOUR_FRACTION_MAX / saturated), error);
	if (status != JW_OK)
		return status;
	/* At the limit the product may round beyond it. */
	*air = moist_air(pressure_pa, temperature_k, fmin(relative_humidity * saturated, VAPOUR_FRACTION_MAX));
	return fitted_range(pressure_pa, temperature_k);
}

/* Each member and its limits. */
#define MEMBER(member, low, high)                                                                                      \
	{                                                                                                                  \
		"air." #member, offsetof(jw_air, member), low, high                                                            \
	}
static const struct {
	const char *field;
	size_t offset;
	double low, high;
} members[] = {
    MEMBER(pressure_pa, JW_AIR_PRESSURE_LOW_PA, JW_AIR_PRESSURE_HIGH_PA),
    MEMBER(temperature_k, JW_AIR_TEMPERATURE_LOW_K, JW_AIR_TEMPERATURE_HIGH_K),
    MEMBER(vapour_fraction, 0.0, VAPOUR_FRACTION_MAX),
    MEMBER(density_kg_m3, 0.1, 3.0),
    MEMBER(dry_fraction, 0.5, 1.0),
    MEMBER(gas_constant_j_kg_k, 250.0, 400.0),
    MEMBER(viscosity_pa_s, 1e-6, 1e-4),
};

/* Every point is asked for, so what is sound costs two comparisons. */
jw_status jw_air_check(const jw_air *air, jw_error *error)
{
	for (size_t i = 0; i < sizeof members / sizeof *members; i++) {
		double value = jw_value_at(air, members[i].offset);
		if (!(value >= members[i].low && value <= members[i].high))
			return jw_check_range(members[i].field, value, members[i].low, members[i].high, error);
	}
	return JW_OK;
}

double jw_relative_humidity(const jw_air *air)
{
	return fmin(air->vapour_fraction / saturation_fraction(air->pressure_pa, air->temperature_k), 1.0);
}

jw_status jw_air_from_dew_point(double pressure_pa, double temperature_k, double dew_point_k, jw_air *air,
                                jw_error *error)
{
	jw_status status = check_state(pressure_pa, temperature_k, error);
	if (status == JW_OK)
		status = jw_check_range("dew_point_k", dew_point_k, 173.15, temperature_k, error);
	if (status != JW_OK)
		return status;
	double xv = saturation_fraction(pressure_pa, dew_point_k);
	status = jw_check_range("vapour_fraction", xv, 0.0, VAPOUR_FRACTION_MAX, error);
	if (status != JW_OK)
		return status;
	*air = moist_air(pressure_pa, temperature_k, xv);
	return fitted_range(pressure_pa, temperature_k);
}

/* Temperature at an altitude over that at sea level. */
static double lapse_ratio(double geopotential_m)
{
	return 1.0 - LAPSE_K_M * geopotential_m / SEA_LEVEL_K;
}

static double station_pressure(double sea_level_pa, double geopotential_m)
{
	return sea_level_pa * pow(lapse_ratio(geopotential_m), JW_GRAVITY / (JW_AIR_GAS_CONSTANT * LAPSE_K_M));
}

jw_status jw_standard_atmosphere(double geopotential_m, jw_atmosphere *level, jw_error *error)
{
	jw_status status = jw_check_range("geopotential_m", geopotential_m, ALTITUDE_LOW_M, ALTITUDE_HIGH_M, error);
	if (status != JW_OK)
		return status;
	double t = SEA_LEVEL_K * lapse_ratio(geopotential_m), p = station_pressure(SEA_LEVEL_PA, geopotential_m);
	*level = (jw_atmosphere){t, p, p / (JW_AIR_GAS_CONSTANT * t)};
	return JW_OK;
}

double jw_geopotential_altitude(double geometric_m)
{
	return EARTH_RADIUS_M * geometric_m / (EARTH_RADIUS_M + geometric_m);
}

jw_status jw_station_pressure(double sea_level_pa, double geopotential_m, double *pressure_pa, jw_error *error)
{
	jw_status status = jw_check_range("sea_level_pa", sea_level_pa, 87e3, 109e3, error);
	if (status == JW_OK)
		status = jw_check_range("geopotential_m", geopotential_m, ALTITUDE_LOW_M, ALTITUDE_HIGH_M, error);
	if (status == JW_OK)
		*pressure_pa = station_pressure(sea_level_pa, geopotential_m);
	return status;
}

double jw_air_viscosity(double temperature_k)
{
	double t = limited(temperature_k, 100.0, 1900.0);
	return 1.458e-6 * t * sqrt(t) / (t + 110.4);
}

double jw_humidity_ratio(double vapour_pa, double pressure_pa)
{
	return 0.621945 * vapour_pa / (pressure_pa - vapour_pa);
}

double jw_density_rule(double density_kg_m3, double reference_kg_m3)
{
	return sqrt(density_kg_m3 / reference_kg_m3);
}

double jw_power_correction(double dry_pressure_pa, double temperature_k)
{
	/* The standard writes Celsius + 273, hence the 0.15. */
	return 1.180 * (99e3 / dry_pressure_pa) * sqrt((temperature_k - 0.15) / 298.0) - 0.18;
}

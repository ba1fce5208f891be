/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file air.h
 * Ambient air: standard atmosphere, moist density, viscosity, and the share of it that burns.
 */
#ifndef JETWRIGHT_AIR_H
#define JETWRIGHT_AIR_H

#include <jetwright/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Gas constant of dry air, J/(kg K) (ISO 2533). */
#define JW_AIR_GAS_CONSTANT 287.05287
/** Ratio of specific heats of air. */
#define JW_AIR_GAMMA 1.4
/** Standard acceleration of free fall, m/s2. */
#define JW_GRAVITY 9.80665

/** The ambient state. Make it with ::jw_air_from_humidity or ::jw_air_from_dew_point; all members agree, which nothing
 * checks. Each is in its range, which functions that take it with a status do check: the error names the member
 * ("air.pressure_pa"). */
typedef struct jw_air {
	double pressure_pa;       /**< absolute, at the engine (not reduced to sea level); 20e3..120e3 */
	double temperature_k;     /**< 213.15..353.15 */
	double vapour_fraction;   /**< mole fraction of water vapour, 0..0.5 */
	double density_kg_m3;     /**< moist: what the carburetor meters on; 0.1..3 */
	double dry_fraction;      /**< mass of dry air per mass of moist air: what lambda counts; 0.5..1 */
	double gas_constant_j_kg_k; /**< pressure / (density * temperature), compressibility included; 250..400 */
	double viscosity_pa_s;      /**< 1e-6..1e-4 */
} jw_air;

/** A level of the standard atmosphere. */
typedef struct jw_atmosphere {
	double temperature_k, pressure_pa, density_kg_m3;
} jw_atmosphere;

/** Air from pressure, temperature and relative humidity (over water).
 * Density by CIPM-2007 (Picard, Davis, Glaser, Fujii, Metrologia 45, 2008), viscosity by Sutherland (ICAO). Against
 * real-gas humid air (IAPWS G8-10) within 5e-5 up to a vapour fraction of 0.075, 4e-4 up to 0.32.
 * \param pressure_pa 20..120 kPa, made for 50..110
 * \param temperature_k -60..80 C, made for -30..55
 * \param relative_humidity 0..1, and vapour no more than half of the molecules
 * \return JW_OK, JW_W_EXTRAPOLATED (outside of what it is made for), JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_air_from_humidity(double pressure_pa, double temperature_k, double relative_humidity, jw_air *air,
                                      jw_error *error);

/** Air from pressure, temperature and dew point; law, ranges and accuracy as of ::jw_air_from_humidity.
 * \param dew_point_k -100 C up to the temperature
 * \return as ::jw_air_from_humidity */
JW_API jw_status jw_air_from_dew_point(double pressure_pa, double temperature_k, double dew_point_k, jw_air *air,
                                       jw_error *error);

/** Standard atmosphere at a geopotential altitude (ISO 2533).
 * \param geopotential_m -2000..11000
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_standard_atmosphere(double geopotential_m, jw_atmosphere *level, jw_error *error);

/** Geopotential altitude of a geometric one, m (ISO 2533, earth radius 6356766 m).
 * \param geometric_m any above -6356766, a few kilometres being meant; not checked */
JW_API double jw_geopotential_altitude(double geometric_m);

/** Station pressure at an altitude from the pressure reduced to sea level, through the standard column (ISO 2533:
 * 288.15 K, 6.5 K/km).
 * \param sea_level_pa 87..109 kPa
 * \param geopotential_m -2000..11000
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_station_pressure(double sea_level_pa, double geopotential_m, double *pressure_pa, jw_error *error);

/** Saturation pressure of water vapour over water, Pa (CIPM-2007 form, fitted for 0..60 C; the argument is held within 173..400 K). */
JW_API double jw_saturation_pressure(double temperature_k);

/** Dynamic viscosity of air by Sutherland's formula, Pa s (1.458e-6 T^1.5/(T + 110.4), T held within 100..1900 K). */
JW_API double jw_air_viscosity(double temperature_k);

/** Relative humidity of an ambient state over water, 0..1: what ::jw_air_from_humidity was given (CIPM-2007).
 * \param air as made by ::jw_air_from_humidity or ::jw_air_from_dew_point */
JW_API double jw_relative_humidity(const jw_air *air);

/** Humidity ratio, kg water per kg dry air, from vapour and total pressure, vapour_pa < pressure_pa (ratio of molar
 * masses 0.621945, ASHRAE Handbook Fundamentals, 2017, ch. 1). */
JW_API double jw_humidity_ratio(double vapour_pa, double pressure_pa);

/** First-order rule: lambda at one density over lambda at another, brass unchanged: factor sqrt(density/reference)
 * (Heywood, Internal Combustion Engine Fundamentals, 1988, 7.2: fixed venturi).
 * Both densities above 0; not checked. */
JW_API double jw_density_rule(double density_kg_m3, double reference_kg_m3);

/** Factor on the power of a spark-ignition engine that brings it to standard air (SAE J1349, June 1990).
 * \param dry_pressure_pa above 0: ambient less that of the vapour; not checked */
JW_API double jw_power_correction(double dry_pressure_pa, double temperature_k);

#ifdef __cplusplus
}
#endif
#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file fuel.h
 * Fuel as a blend by volume, and what of it matters to a jet and to lambda at a temperature.
 */
#ifndef JETWRIGHT_FUEL_H
#define JETWRIGHT_FUEL_H

#include <jetwright/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Parts of a blend, at most. */
#define JW_FUEL_PARTS 6

/** Liquids that a blend may hold; the words are those of the YAML files. */
typedef enum jw_liquid {
	JW_PETROL,
	JW_ETHANOL,
	JW_METHANOL,
	JW_ISOOCTANE,
	JW_N_HEPTANE,
	JW_TOLUENE,
	JW_MTBE,
	JW_PREMIX_OIL,
	JW_LIQUID_COUNT
} jw_liquid;

/** One part of a blend. */
typedef struct jw_fuel_part {
	jw_liquid liquid;
	double volume_fraction;     /**< at 15 C, 0..1 */
	double density_15c_kg_m3;   /**< petrol 653..787, premix oil 780..950; 0 takes the default (745, 870);
	                                 a pure liquid takes 0 only */
	double hydrogen_per_carbon; /**< petrol and oil: H/C by atoms, 1.5..2.3; 0 takes the default (1.87, 1.9);
	                                 a pure liquid takes 0 only */
} jw_fuel_part;

/** A fuel; the volume fractions of its parts sum to 1 within 1e-6. */
typedef struct jw_fuel {
	jw_fuel_part part[JW_FUEL_PARTS];
	int parts;
	double reid_pa; /**< Reid vapour pressure of the blend (37.8 C), 10..110 kPa; 0 = not known */
} jw_fuel;

/** A fuel at a temperature. */
typedef struct jw_fuel_state {
	double temperature_k;
	double density_kg_m3;
	double viscosity_m2_s;       /**< kinematic */
	double stoichiometric_afr;   /**< kg dry air per kg fuel at lambda 1 */
	double heating_value_j_kg;   /**< lower */
	double oxygen_mass_fraction; /**< 0..1 */
	double vapour_pa;            /**< pressure at which it begins to boil; 0 where not known */
} jw_fuel_state;

/** Density, viscosity, stoichiometry, heating value and vapour pressure of a blend at a temperature.
 * Petrol density by API MPMS 11.1-2004 (ASTM D1250), pure liquids by DIPPR 105 (Perry, 8th ed.; within 0.4 %), ideal
 * mixing of volumes. Viscosity of pure liquids by DIPPR 101, of petrol and MTBE by ln(nu) linear in 1/T through the
 * AFDC table (sources differ by 10 %), of premix oil by ASTM D341, of blends by logarithmic mixing on volume (about 10
 * %). Stoichiometry and heating value are weighted by mass. Vapour pressure from Reid's by the formula for motor
 * gasoline of EPA AP-42, ch. 7.1 (from memory), its logarithm linear in 1/T as Clausius and Clapeyron have it; for
 * fresh fuel with little alcohol.
 * \param temperature_k -60..120 C, made for -30..60
 * \return JW_OK, JW_W_EXTRAPOLATED (outside of what it is made for), JW_E_RANGE (also for a bad blend), JW_E_NOT_FINITE
 */
JW_API jw_status jw_fuel_at(const jw_fuel *fuel, double temperature_k, jw_fuel_state *state, jw_error *error);

/** Stoichiometric ratio of air to fuel by mass, kg dry air per kg of CxHyOz (3.773 N2 per O2; Heywood 1988, ch. 3).
 * \param carbon x, by atoms; with hydrogen above 0 together, not checked
 * \param hydrogen y
 * \param oxygen z */
JW_API double jw_stoichiometric_afr(double carbon, double hydrogen, double oxygen);

/** Volume correction factor of a petroleum liquid from 60 F: density = rho60 * factor (API MPMS 11.1-2004, ASTM D1250).
 * \param density_60f_kg_m3 610.6..1163.5
 * \param temperature_k 223.15..423.15
 * \param[out] factor about 1
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_petroleum_volume_factor(double density_60f_kg_m3, double temperature_k, double *factor,
                                            jw_error *error);

/** Density and dynamic viscosity of one liquid, as in ::jw_fuel_at (DIPPR, API MPMS 11.1); petrol and premix oil take
 * their defaults.
 * \param temperature_k -60..120 C, made for -30..60
 * \return JW_OK, JW_W_EXTRAPOLATED, JW_E_RANGE (also for an unknown liquid), JW_E_NOT_FINITE */
JW_API jw_status jw_liquid_at(jw_liquid liquid, double temperature_k, double *density_kg_m3, double *viscosity_pa_s,
                              jw_error *error);

/** The YAML word of a liquid, or NULL. */
JW_API const char *jw_liquid_name(jw_liquid liquid);

#ifdef __cplusplus
}
#endif
#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/tune.h>

#include "base/base.h"
#include "solve/root.h"

#define WATER_GAS 3.5
#define HEXANE 6.0
/* Relative atomic masses, and air per molecule of oxygen, as in jw_stoichiometric_afr. */
#define CARBON 12.011
#define HYDROGEN 1.008
#define OXYGEN 15.999
#define AIR_PER_O2 (31.998 + 3.773 * 28.16)

static jw_status check(const jw_gas_analysis *gas, double hydrogen, double oxygen, jw_error *error)
{
	const jw_bound bounds[] = {
	    {"gas.co", gas->co, 0.0, 0.25},
	    {"gas.co2", gas->co2, 0.0, 0.25},
	    {"gas.o2", gas->o2, 0.0, 0.25},
	    {"gas.hc", gas->hc, 0.0, 0.1},
	    {"gas.no", gas->no, 0.0, 0.02},
	    {"gas.co2 + gas.co", gas->co2 + gas->co, 0.01, 0.5},
	    {"hydrogen_per_carbon", hydrogen, 0.0, 4.0},
	    {"oxygen_per_carbon", oxygen, 0.0, 1.0},
	};
	return jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
}

jw_status jw_lambda_from_gas(const jw_gas_analysis *gas, double hydrogen_per_carbon, double oxygen_per_carbon,
                             double *lambda, jw_error *error)
{
	jw_status status = check(gas, hydrogen_per_carbon, oxygen_per_carbon, error);
	if (status < 0)
		return status;
	double carbon = gas->co2 + gas->co;
	/* K/(K + CO/CO2), written so that no CO2 is no division by zero. */
	double water = WATER_GAS * gas->co2 / (WATER_GAS * gas->co2 + gas->co);
	double oxygen = gas->co2 + 0.5 * gas->co + gas->o2 + 0.5 * gas->no +
	                (0.25 * hydrogen_per_carbon * water - 0.5 * oxygen_per_carbon) * carbon;
	double wanted = (1.0 + 0.25 * hydrogen_per_carbon - 0.5 * oxygen_per_carbon) * (carbon + HEXANE * gas->hc);
	*lambda = oxygen / wanted;
	return JW_OK;
}

/* Rich combustion of one carbon in dry air. */
typedef struct rich {
	double hydrogen, oxygen, co; /* of the fuel, per carbon; measured */
} rich;

#define DRY_AIR_NITROGEN 3.773 /* per oxygen, argon included (Heywood 1988, ch. 3) */

/* Molecules of O2 taken in where a share `a` of the carbon burns to CO: the water gas fixes H2, the balance the rest.
 */
static double oxygen_in(const rich *r, double a, double *hydrogen)
{
	*hydrogen = a * 0.5 * r->hydrogen / (WATER_GAS * (1 - a) + a);
	return 0.5 * (2 - a + 0.5 * r->hydrogen - *hydrogen - r->oxygen);
}

static double co_too_high(double a, void *context)
{
	const rich *r = context;
	double hydrogen, in = oxygen_in(r, a, &hydrogen);
	return a / (1 + hydrogen + DRY_AIR_NITROGEN * in) - r->co;
}

jw_status jw_lambda_from_co(double co, double hydrogen_per_carbon, double oxygen_per_carbon, double *lambda,
                            jw_error *error)
{
	const jw_bound bounds[] = {{"co", co, 0.005, 0.2},
	                           {"hydrogen_per_carbon", hydrogen_per_carbon, 0.0, 4.0},
	                           {"oxygen_per_carbon", oxygen_per_carbon, 0.0, 1.0}};
	jw_status status = jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
	rich r = {hydrogen_per_carbon, oxygen_per_carbon, co};
	double a, hydrogen;
	if (status >= 0)
		status = jw_root(co_too_high, &r, 0, 1, 1e-12, &a, error);
	if (status >= 0)
		*lambda = oxygen_in(&r, a, &hydrogen) / (1 + 0.25 * hydrogen_per_carbon - 0.5 * oxygen_per_carbon);
	return status;
}

/* With M = C + H y + O z the mass per carbon: w M = O z for the oxygen, A M = (air per O2)(1 + y/4 - z/2) for the air.
 */
jw_status jw_fuel_atoms(const jw_fuel_state *fuel, double *hydrogen_per_carbon, double *oxygen_per_carbon,
                        jw_error *error)
{
	double afr = fuel->stoichiometric_afr, share = fuel->oxygen_mass_fraction;
	jw_status status = jw_check_range("oxygen_mass_fraction", share, 0.0, 0.6, error);
	if (status == JW_OK)
		status = jw_check_range("stoichiometric_afr", afr, 1.0, 20.0, error);
	if (status < 0)
		return status;
	double per_mass = AIR_PER_O2 * ((1.0 - share) / (4.0 * HYDROGEN) - share / (2.0 * OXYGEN)) - afr;
	double mass = AIR_PER_O2 * (CARBON / (4.0 * HYDROGEN) - 1.0) / per_mass;
	double hydrogen = ((1.0 - share) * mass - CARBON) / HYDROGEN;
	status = jw_check_range("hydrogen_per_carbon", hydrogen, 0.0, 4.0 + 1e-9, error);
	if (status < 0)
		return status;
	*hydrogen_per_carbon = fmin(hydrogen, 4.0);
	*oxygen_per_carbon = share * mass / OXYGEN;
	return JW_OK;
}

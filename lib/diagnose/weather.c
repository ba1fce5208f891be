/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/weather.h"
#include "base/base.h"
#include "diagnose/want.h"

/* Air of a usual day, in which it is as likely as over the year. */
#define USUAL_K 293.15
#define USUAL_PA 101325.0
/* By how much odds grow with the share of the air's pressure that the fuel's vapour has, and how far weather moves
 * them. Trade practice, no source. */
#define STEEPNESS 2.0
#define LEAST 0.1
#define MOST 5.0
/* By how much evaporating fuel cools the charge in a carburetor, and how far that differs between engines: 20 K and
 * more are told of (common practice, no source). */
#define COOLED_K 20.0
#define COOLED_SPREAD_K 6.0
/* Saturation pressure changes by so much in its logarithm over that spread. */
#define DAMP_SPREAD 0.4
/* Of ice beforehand, in air that can freeze and is damp enough. */
#define FREEZES 2.0

static double boiling(const jw_setup *setup, double temperature_k, double pressure_pa)
{
	jw_fuel_state fuel;
	if (jw_fuel_at(&setup->fuel, temperature_k + setup->bowl_heating_k, &fuel, NULL) < 0)
		return 0.0;
	return fuel.vapour_pa / pressure_pa;
}

double jw_boiling_weather(const jw_setup *setup, const jw_air *air)
{
	const double usual = boiling(setup, USUAL_K, USUAL_PA), now = boiling(setup, air->temperature_k, air->pressure_pa);
	return usual > 0.0 && now > 0.0 ? jw_clamp(pow(now / usual, STEEPNESS), LEAST, MOST) : 1.0;
}

double jw_icing_weather(const jw_setup *setup, const jw_air *air)
{
	(void)setup;
	const double humidity = jw_relative_humidity(air), cold = air->temperature_k - COOLED_K;
	const double freezes = jw_normal_cdf((JW_ICE_POINT_K - cold) / COOLED_SPREAD_K);
	if (!(humidity > 0.0)) /* quite dry: nobody said how damp it is */
		return freezes;
	const double damp = log(humidity * jw_saturation_pressure(air->temperature_k) / jw_saturation_pressure(cold));
	return FREEZES * freezes * jw_normal_cdf(damp / DAMP_SPREAD);
}

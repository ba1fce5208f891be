/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air of a hot day in the mountains, and what it does to mixture and power. */
#include "must.h"

int main(void)
{
	jw_error error = {0};
	jw_atmosphere level;
	jw_air valley, pass, damp;
	double pressure_pa;
	must(jw_standard_atmosphere(0, &level, &error), &error);
	must(jw_air_from_humidity(level.pressure_pa, level.temperature_k, 0, &valley, &error), &error);

	/* The weather report reduces its pressure to sea level. */
	must(jw_station_pressure(102000, jw_geopotential_altitude(1800), &pressure_pa, &error), &error);
	must(jw_air_from_humidity(pressure_pa, 303.15, 0.4, &pass, &error), &error);
	must(jw_air_from_dew_point(pressure_pa, 303.15, 288.15, &damp, &error), &error);
	printf("at 1800 m: %.1f kPa, %.3f kg/m3, of that %.2f %% dry; with a dew point of 15 C %.0f %% humidity\n",
	       pass.pressure_pa / 1e3, pass.density_kg_m3, 100 * pass.dry_fraction, 100 * jw_relative_humidity(&damp));

	const double vapour_pa = 0.4 * jw_saturation_pressure(303.15);
	printf("vapour %.0f Pa, %.4f kg a kg of dry air; viscosity %.3g Pa s\n", vapour_pa,
	       jw_humidity_ratio(vapour_pa, pressure_pa), jw_air_viscosity(303.15));
	printf("first order: lambda is %.3f of that at sea level; power is %.3f of that in standard air\n",
	       jw_density_rule(pass.density_kg_m3, valley.density_kg_m3),
	       1 / jw_power_correction(pressure_pa - vapour_pa, 303.15));
	return 0;
}

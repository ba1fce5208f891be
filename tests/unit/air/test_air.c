/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/air.h>
#include <string.h>

static jw_air air_at(double pressure_pa, double temperature_k, double humidity)
{
	jw_air air = {0};
	cr_assert_geq(jw_air_from_humidity(pressure_pa, temperature_k, humidity, &air, NULL), 0);
	return air;
}

Test(air, members_agree)
{
	jw_air air = air_at(98765.4, 297.31, 0.57);
	JW_NEAR_REL(air.density_kg_m3 * air.gas_constant_j_kg_k * air.temperature_k, air.pressure_pa, 1e-14);
	double vapour_per_dry = 1.0 / air.dry_fraction - 1.0;
	double vapour_pa = air.vapour_fraction * air.pressure_pa;
	/* Two roundings of the ratio of molar masses differ by 2e-5. */
	JW_NEAR_REL(vapour_per_dry, jw_humidity_ratio(vapour_pa, air.pressure_pa), 3e-5);
	JW_NEAR_REL(air.viscosity_pa_s, jw_air_viscosity(297.31), 0.0);
}

Test(air, dry_air_is_all_dry)
{
	jw_air air = air_at(101325.0, 288.15, 0.0);
	cr_expect_eq(air.vapour_fraction, 0.0);
	cr_expect_eq(air.dry_fraction, 1.0);
	/* Compressibility lowers R T by 4e-4 at most. */
	JW_NEAR_REL(air.gas_constant_j_kg_k, JW_AIR_GAS_CONSTANT, 5e-4);
}

Test(air, humidity_and_heat_thin_the_air)
{
	for (double t = 245.3; t < 327.0; t += 7.9)
		for (double p = 52.1e3; p < 110e3; p += 6.7e3) {
			jw_air last = air_at(p, t, 0.0), hotter = air_at(p, t + 0.9, 0.43), air = air_at(p, t, 0.43);
			cr_expect_lt(hotter.density_kg_m3, air.density_kg_m3, "%g K %g Pa", t, p);
			cr_expect_gt(air_at(p + 37.0, t, 0.43).density_kg_m3, air.density_kg_m3, "%g K %g Pa", t, p);
			for (double h = 0.13; h <= 1.0; h += 0.29) {
				air = air_at(p, t, h);
				cr_expect_lt(air.dry_fraction, last.dry_fraction, "%g K %g Pa %g", t, p, h);
				cr_expect_lt(air.density_kg_m3, last.density_kg_m3, "%g K %g Pa %g", t, p, h);
				cr_expect_gt(air.dry_fraction, 0.5);
				last = air;
			}
		}
}

Test(air, relative_humidity_gives_back_what_made_the_air)
{
	for (double h = 0.0; h <= 1.0; h += 0.13) {
		jw_air air = air_at(87654.3, 301.2, h);
		cr_expect(fabs(jw_relative_humidity(&air) - h) < 1e-12, "%g: %g", h, jw_relative_humidity(&air));
	}
}

Test(air, dew_point_and_humidity_say_the_same)
{
	/* Saturated air: the dew point is the temperature. */
	jw_air wet = air_at(93123.0, 301.7, 1.0), dew;
	cr_assert_eq(jw_air_from_dew_point(93123.0, 301.7, 301.7, &dew, NULL), JW_OK);
	JW_NEAR_REL(dew.density_kg_m3, wet.density_kg_m3, 1e-15);
	/* Below saturation the humidity is the ratio of saturation pressures but for the enhancement factor. */
	cr_assert_eq(jw_air_from_dew_point(93123.0, 301.7, 285.2, &dew, NULL), JW_OK);
	jw_air same = air_at(93123.0, 301.7, jw_saturation_pressure(285.2) / jw_saturation_pressure(301.7));
	JW_NEAR_REL(dew.vapour_fraction, same.vapour_fraction, 5e-4);
}

Test(air, errors_name_the_field_and_leave_the_output)
{
	jw_air air = {.pressure_pa = -7.0};
	jw_error error;
	cr_expect_eq(jw_air_from_humidity(19.9e3, 290.0, 0.5, &air, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "pressure_pa");
	cr_expect_eq(error.low, 20e3);
	cr_expect_eq(jw_air_from_humidity(1e5, 353.2, 0.5, &air, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "temperature_k");
	cr_expect_eq(jw_air_from_humidity(1e5, 290.0, 1.01, &air, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "relative_humidity");
	cr_expect_eq(jw_air_from_humidity(1e5, NAN, 0.5, &air, &error), JW_E_NOT_FINITE);
	cr_expect_str_eq(error.field, "temperature_k");
	cr_expect_eq(jw_air_from_humidity(21e3, 350.0, 1.0, &air, &error), JW_E_RANGE, "more vapour than air");
	cr_expect_lt(error.high, 1.0);
	cr_expect_eq(jw_air_from_dew_point(1e5, 290.0, 290.1, &air, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "dew_point_k");
	cr_expect_eq(jw_air_from_dew_point(21e3, 350.0, 350.0, &air, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "vapour_fraction");
	cr_expect_eq(jw_air_from_dew_point(1e5, 290.0, NAN, &air, NULL), JW_E_NOT_FINITE);
	cr_expect_eq(air.pressure_pa, -7.0);
}

Test(air, warns_outside_the_fitted_range)
{
	static const struct {
		double pressure_pa, temperature_k;
		jw_status expected;
	} rows[] = {{50e3, 243.15, JW_OK},
	            {110e3, 328.15, JW_OK},
	            {49.9e3, 300.1, JW_W_EXTRAPOLATED},
	            {110.1e3, 300.1, JW_W_EXTRAPOLATED},
	            {97e3, 243.1, JW_W_EXTRAPOLATED},
	            {97e3, 328.2, JW_W_EXTRAPOLATED}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_air air;
		cr_expect_eq(jw_air_from_humidity(rows[i].pressure_pa, rows[i].temperature_k, 0.3, &air, NULL),
		             rows[i].expected, "row %zu", i);
		cr_expect_eq(jw_air_from_dew_point(rows[i].pressure_pa, rows[i].temperature_k, 240.0, &air, NULL),
		             rows[i].expected, "row %zu", i);
		cr_expect(isfinite(air.density_kg_m3), "row %zu", i);
	}
}

Test(air, standard_atmosphere_and_station_pressure_share_one_column)
{
	for (double h = -1987.0; h < 11000.0; h += 731.0) {
		jw_atmosphere level;
		double p;
		cr_assert_eq(jw_standard_atmosphere(h, &level, NULL), JW_OK);
		cr_assert_eq(jw_station_pressure(101325.0, h, &p, NULL), JW_OK);
		JW_NEAR_REL(p, level.pressure_pa, 1e-15);
		cr_assert_eq(jw_station_pressure(98700.0, h, &p, NULL), JW_OK);
		JW_NEAR_REL(p / level.pressure_pa, 98700.0 / 101325.0, 1e-14);
		cr_expect_lt(jw_geopotential_altitude(h), h + 1e-9);
	}
}

/* The tropopause: 11000 m geopotential are 11019 m geometric (U.S. Standard Atmosphere, 1976). */
Test(air, a_geometric_altitude_is_more_than_its_geopotential_one)
{
	JW_NEAR_ABS(jw_geopotential_altitude(11019), 11000, 0.5);
}

Test(air, altitude_errors)
{
	jw_atmosphere level = {.pressure_pa = -7.0};
	double p = -7.0;
	jw_error error;
	cr_expect_eq(jw_standard_atmosphere(11000.1, &level, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "geopotential_m");
	cr_expect_eq(jw_standard_atmosphere(NAN, &level, NULL), JW_E_NOT_FINITE);
	cr_expect_eq(jw_station_pressure(86.9e3, 12.0, &p, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "sea_level_pa");
	cr_expect_eq(jw_station_pressure(101e3, -2000.1, &p, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "geopotential_m");
	cr_expect_eq(level.pressure_pa, -7.0);
	cr_expect_eq(p, -7.0);
}

Test(air, plain_functions_stay_finite)
{
	static const double wild[] = {-1e300, -40.0, 0.0, 1e300, INFINITY, NAN};
	for (size_t i = 0; i < sizeof wild / sizeof *wild; i++) {
		cr_expect(isfinite(jw_saturation_pressure(wild[i])), "%g", wild[i]);
		cr_expect(isfinite(jw_air_viscosity(wild[i])), "%g", wild[i]);
	}
}

Test(air, first_order_rules)
{
	/* Three quarters of the density: lambda falls to 0.866; thinner, hotter air asks for a factor above 1. */
	JW_NEAR_REL(jw_density_rule(0.918, 1.224), sqrt(0.75), 1e-15);
	JW_NEAR_REL(jw_density_rule(1.07, 1.19) * jw_density_rule(1.19, 1.07), 1.0, 1e-15);
	cr_expect_gt(jw_power_correction(95e3, 298.15), 1.0);
	cr_expect_gt(jw_power_correction(99e3, 305.0), 1.0);
	cr_expect_lt(jw_power_correction(101e3, 290.0), 1.0);
}

/* A column of air at rest weighs what it presses: dp/dh = -g p/(R T), and it is colder by 6.5 K a kilometre (ISO 2533).
 */
Test(air, standard_column_is_in_balance)
{
	for (double h = -1900; h < 10900; h += 640) {
		jw_atmosphere at, below, above;
		double station_below, station_above;
		cr_assert_eq(jw_standard_atmosphere(h, &at, NULL), JW_OK);
		cr_assert_eq(jw_standard_atmosphere(h - 1, &below, NULL), JW_OK);
		cr_assert_eq(jw_standard_atmosphere(h + 1, &above, NULL), JW_OK);
		JW_NEAR_REL((above.pressure_pa - below.pressure_pa) / 2, -9.80665 * at.density_kg_m3, 1e-6);
		JW_NEAR_REL(at.density_kg_m3 * 287.05287 * at.temperature_k, at.pressure_pa, 1e-7);
		JW_NEAR_REL(below.temperature_k - above.temperature_k, 0.013, 1e-9);
		cr_assert_eq(jw_station_pressure(98e3, h - 1, &station_below, NULL), JW_OK);
		cr_assert_eq(jw_station_pressure(98e3, h + 1, &station_above, NULL), JW_OK);
		JW_NEAR_REL(station_above / station_below, above.pressure_pa / below.pressure_pa, 1e-12);
	}
}

/* Water boils at 78.7 C under 45 kPa (steam tables, from memory): air of that dew point at 90 kPa is half vapour, and
 * no more is taken. */
Test(air, is_half_vapour_at_most)
{
	jw_air air;
	jw_error error = {0};
	const double dew_point = 273.15 + 78.7, pressure = 90e3;
	JW_NEAR_REL(jw_saturation_pressure(dew_point), 0.5 * pressure, 0.005);
	cr_assert_geq(jw_air_from_dew_point(pressure, 353.15, dew_point - 0.5, &air, NULL), 0);
	cr_expect(air.vapour_fraction > 0.48 && air.vapour_fraction < 0.5, "%g", air.vapour_fraction);
	cr_expect_eq(jw_air_from_dew_point(pressure, 353.15, dew_point + 0.5, &air, &error), JW_E_RANGE);
	cr_expect(!strcmp(error.field, "vapour_fraction") && error.high == 0.5);
	cr_expect_eq(jw_air_from_humidity(60e3, 353.15, 0.9, &air, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "relative_humidity");
	JW_NEAR_REL(error.high, 0.5 * 60e3 / jw_saturation_pressure(353.15), 0.01);
}

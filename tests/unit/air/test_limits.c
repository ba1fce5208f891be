/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The limits that air.h states. */
#include "limits.h"
#include <jetwright/air.h>

static jw_status from_humidity(int which, double value, jw_error *error)
{
	double state[] = {95e3, 290, 0.4};
	jw_air air;
	state[which] = value;
	return jw_air_from_humidity(state[0], state[1], state[2], &air, error);
}

static jw_status from_dew_point(int which, double value, jw_error *error)
{
	double state[] = {95e3, 290, 280};
	jw_air air;
	state[which] = value;
	return jw_air_from_dew_point(state[0], state[1], state[2], &air, error);
}

static jw_status station(int which, double value, jw_error *error)
{
	double state[] = {100e3, 500}, pressure_pa;
	state[which] = value;
	return jw_station_pressure(state[0], state[1], &pressure_pa, error);
}

static jw_status standard(int which, double value, jw_error *error)
{
	(void)which;
	jw_atmosphere level;
	return jw_standard_atmosphere(value, &level, error);
}

/* Of humidity all that the air of 290 K holds, of dew points those down to -100 C. */
Test(limits, of_air)
{
	static const limits humid[] = {{"pressure_pa", 20e3, 120e3},
	                               {"temperature_k", 213.15, 353.15},
	                               {"relative_humidity", 0, 1}},
	                    dew[] = {{"pressure_pa", 20e3, 120e3}},
	                    dew_point[] = {{"pressure_pa", 20e3, 120e3}, {"", 0, 0}, {"dew_point_k", 173.15, 290}},
	                    sea[] = {{"sea_level_pa", 87e3, 109e3}, {"geopotential_m", -2000, 11000}},
	                    level[] = {{"geopotential_m", -2000, 11000}};
	hold_limits(from_humidity, humid, 3);
	hold_limits(from_dew_point, dew, 1);
	expect_refused(from_dew_point, &dew_point[2], 2, nextafter(173.15, 0), JW_E_RANGE);
	expect_refused(from_dew_point, &dew_point[2], 2, nextafter(290, 400), JW_E_RANGE);
	expect_taken(from_dew_point, &dew_point[2], 2, 173.15);
	expect_taken(from_dew_point, &dew_point[2], 2, 290);
	hold_limits(station, sea, 2);
	hold_limits(standard, level, 1);
}

/* Where the fits end air is still made, with a word. */
Test(limits, of_what_was_fitted)
{
	static const struct {
		int which;
		double inside, outside;
	} rows[] = {{0, 50e3, 49.99e3}, {0, 110e3, 110.01e3}, {1, 243.15, 243.14}, {1, 328.15, 328.16}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		cr_expect_eq(from_humidity(rows[i].which, rows[i].inside, NULL), JW_OK, "row %zu", i);
		cr_expect_eq(from_humidity(rows[i].which, rows[i].outside, NULL), JW_W_EXTRAPOLATED, "row %zu", i);
	}
	double state[] = {49.99e3, 110.01e3};
	jw_air air;
	for (int i = 0; i < 2; i++)
		cr_expect_eq(jw_air_from_dew_point(state[i], 290, 280, &air, NULL), JW_W_EXTRAPOLATED);
	cr_expect_eq(jw_air_from_dew_point(50e3, 290, 280, &air, NULL), JW_OK);
}

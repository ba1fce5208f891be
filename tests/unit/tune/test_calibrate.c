/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A baseline made from known coefficients gives them back. */
#include "base/base.h"
#include "bundled.h"
#include "draw.h"
#include <string.h>

static jw_baseline baseline_of(const jw_setup *setup, const jw_air *air)
{
	return (jw_baseline){*air, 1 / phi_at(setup, air, JW_IDLE), 1 / phi_at(setup, air, JW_HALF),
	                     1 / phi_at(setup, air, JW_FULL)};
}

static double detuned(draw *d)
{
	return draw_between(d, 0.85, 1.2);
}

static double far_from_one(const jw_coefficients *c)
{
	return jw_square(log(c->main)) + jw_square(log(c->needle)) + jw_square(log(c->pilot));
}

/* Three lambdas settle three coefficients on the scooter and the estate car. On the others several sets of main and
 * needle coefficients give the same three: what comes back is the mixture, by a set no farther from 1. */
static int settles(const char *engine)
{
	return strcmp(engine, "courier-150") == 0 || strcmp(engine, "estate-1100") == 0;
}

Test(calibrate, returns_the_coefficients_that_made_the_baseline)
{
	draw d = {150};
	for (int i = 0; i < 200; i++) {
		const char *engine = bundled_names[i % BUNDLED];
		jw_setup setup = bundled(engine);
		const jw_air air = air_of(draw_between(&d, 85e3, 103e3), draw_between(&d, 268, 308), draw_unit(&d));
		setup.coefficient = (jw_coefficients){draw_between(&d, 0.9, 1.1), detuned(&d), detuned(&d), detuned(&d)};
		const jw_setup before = setup;
		const jw_baseline baseline = baseline_of(&setup, &air);
		jw_calibration found;
		jw_error error = {0};
		jw_status status = jw_calibrate(&setup, &baseline, &found, &error);
		cr_assert(status >= 0, "draw %d, %s: %s %s", i, engine, jw_status_name(status), error.field ? error.field : "");
		cr_expect_eq(memcmp(&setup, &before, sizeof setup), 0);
		setup.coefficient = found.coefficient;
		JW_NEAR_REL(phi_at(&setup, &air, JW_IDLE) * baseline.lambda_idle, 1, 1e-8);
		JW_NEAR_REL(phi_at(&setup, &air, JW_HALF) * baseline.lambda_half, 1, 1e-8);
		JW_NEAR_REL(phi_at(&setup, &air, JW_FULL) * baseline.lambda_full, 1, 1e-8);
		cr_expect_eq(found.coefficient.air, before.coefficient.air);
		cr_expect(far_from_one(&found.coefficient) <= far_from_one(&before.coefficient) + 1e-6,
		          "draw %d, %s: main %g needle %g pilot %g, made by %g %g %g", i, engine, found.coefficient.main,
		          found.coefficient.needle, found.coefficient.pilot, before.coefficient.main, before.coefficient.needle,
		          before.coefficient.pilot);
		if (settles(engine)) {
			cr_expect_eq(status, JW_OK, "draw %d", i);
			JW_NEAR_REL(found.coefficient.main, before.coefficient.main, 1e-6);
			JW_NEAR_REL(found.coefficient.needle, before.coefficient.needle, 1e-6);
			JW_NEAR_REL(found.coefficient.pilot, before.coefficient.pilot, 1e-6);
		}
		setup.coefficient = (jw_coefficients){before.coefficient.air, 1, 1, 1};
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			JW_NEAR_REL(found.lambda_uncalibrated[r], 1 / phi_at(&setup, &air, (jw_range)r), 1e-12);
	}
}

/* A coefficient beyond 0.8 to 1.25 hides a wrong dimension. */
Test(calibrate, warns_of_coefficients_far_from_one)
{
	const jw_air air = mild_air();
	const struct {
		double main, pilot;
		jw_status status;
	} rows[] = {{0.81, 1.24, JW_OK}, {0.79, 1, JW_W_COEFFICIENT}, {1, 1.26, JW_W_COEFFICIENT}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup setup = scooter();
		setup.coefficient.main = rows[i].main, setup.coefficient.pilot = rows[i].pilot;
		const jw_baseline baseline = baseline_of(&setup, &air);
		jw_calibration found;
		cr_expect_eq(jw_calibrate(&setup, &baseline, &found, NULL), rows[i].status, "row %zu", i);
		JW_NEAR_REL(found.coefficient.main, rows[i].main, 1e-6);
		JW_NEAR_REL(found.coefficient.pilot, rows[i].pilot, 1e-6);
	}
}

static void keep(jw_setup *setup)
{
	(void)setup;
}

static void shut_pilot_jet(jw_setup *setup)
{
	setup->carburetor.pilot.fuel_jet.diameter_m = 0;
}

static void shut_main_jet(jw_setup *setup)
{
	setup->carburetor.main.fuel_jet.diameter_m = 0;
}

static void shut_annulus(jw_setup *setup)
{
	setup->carburetor.needle.straight_length_m = 70e-3;
	setup->carburetor.needle.straight_m = setup->carburetor.needle.tip_m = 0.9999 * setup->carburetor.needle.jet_m;
}

static void stall_at_quarter(jw_setup *setup)
{
	setup->range[JW_QUARTER].speed_rev_s = 0;
}

Test(calibrate, says_what_cannot_be_met)
{
	static const struct {
		const char *what;
		void (*change)(jw_setup *setup);
		double idle, half, full;
		jw_status status;
		const char *field;
	} rows[] = {
	    {"idle far too lean", keep, 7, 0.94, 0.89, JW_E_RANGE, "baseline.idle"},
	    {"half too rich", keep, 0.9, 0.49, 0.89, JW_E_RANGE, "baseline.half"},
	    {"full unknown", keep, 0.9, 0.94, NAN, JW_E_NOT_FINITE, "baseline.full"},
	    {"a range without speed", stall_at_quarter, 0.9, 0.94, 0.89, JW_E_RANGE, "speed_rev_s"},
	    {"pilot jet shut", shut_pilot_jet, 0.9, 0.94, 0.89, JW_E_BASELINE, "baseline.idle"},
	    {"main jet shut", shut_main_jet, 0.9, 0.94, 0.89, JW_E_BASELINE, "baseline.full"},
	    {"needle jet stuffed", shut_annulus, 0.9, 0.94, 0.89, JW_E_BASELINE, NULL},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup setup = scooter();
		const jw_baseline baseline = {mild_air(), rows[i].idle, rows[i].half, rows[i].full};
		jw_calibration found = {.coefficient = {.air = 7}};
		jw_error error = {0};
		rows[i].change(&setup);
		cr_expect_eq(jw_calibrate(&setup, &baseline, &found, &error), rows[i].status, "%s", rows[i].what);
		cr_assert_not_null(error.field, "%s", rows[i].what);
		if (rows[i].field)
			cr_expect_str_eq(error.field, rows[i].field, "%s: %s", rows[i].what, error.field);
		else /* main and needle coefficients share what neither can give */
			cr_expect(strcmp(error.field, "baseline.half") == 0 || strcmp(error.field, "baseline.full") == 0, "%s: %s",
			          rows[i].what, error.field);
		cr_expect_eq(found.coefficient.air, 7, "%s", rows[i].what);
	}
}

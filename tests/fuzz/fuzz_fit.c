/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any readings of any set-up that the check accepts: fitted or refused; what is fitted is a set-up that can be solved.
 */
#include "taken.h"
#include <jetwright/tune.h>

enum { READINGS = 4 };

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "trail-250", "pump-200")

static jw_reading take_reading(bytes *b, const jw_setup *setup, const jw_air *air)
{
	static const double limits[][2] = {
	    [JW_READING_LAMBDA] = {0.6, 1.4},      [JW_READING_AFR] = {8, 20},           [JW_READING_GAS] = {0, 1},
	    [JW_READING_JET_FLOW] = {1e-7, 1e-5},  [JW_READING_LEVEL] = {-20e-3, 20e-3}, [JW_READING_LIFT] = {0, 30e-3},
	    [JW_READING_DEPRESSION] = {100, 10e3},
	};
	jw_reading r = {.kind = (jw_reading_kind)take_whole(b, JW_READING_KIND_COUNT), .air = *air};
	const double *limit = limits[(unsigned)r.kind < JW_READING_KIND_COUNT ? r.kind : JW_READING_LAMBDA];
	if (take_byte(b) % 8 == 0)
		r.air = take_air(b);
	unsigned range = take_byte(b) % (JW_RANGE_COUNT + 1);
	r.point = range < JW_RANGE_COUNT ? setup->range[range] : take_point(b);
	r.value = take_between(b, limit[0], limit[1]);
	r.uncertainty = take_between(b, 1e-3, 0.2) * fmax(fabs(limit[0]), limit[1]);
	r.stoichiometric_afr = take_byte(b) % 4 ? 0 : take_between(b, 5, 16);
	if (r.kind == JW_READING_GAS)
		r.gas = take_gas_analysis(b);
	r.jet = (jw_part)take_whole(b, 2);
	r.head_m = take_between(b, 0.1, 1);
	return r;
}

static void check_fit(const jw_fit *fit, const jw_fit_reading *each, int readings)
{
	require(jw_setup_check(&fit->setup, NULL) >= 0);
	require(isfinite(fit->chi_squared) && fit->chi_squared >= 0 && fit->worst >= 0 && fit->worst < readings);
	require(doubles_finite(fit->covariance, sizeof fit->covariance));
	require(doubles_finite(each, sizeof *each * (size_t)readings));
	for (int i = 0; i < JW_UNKNOWN_COUNT; i++)
		require(fit->covariance[i][i] >= 0 && isfinite(jw_unknown_value(&fit->setup, (jw_unknown)i)));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	bytes b = {data, data + size};
	jw_setup setup;
	if (!take_setup(&b, setups, sizeof setups / sizeof *setups, &setup))
		return 0;
	const jw_air air = take_air(&b);
	jw_reading reading[READINGS];
	jw_fit_reading each[READINGS];
	jw_fit fit;
	int readings = (int)(take_byte(&b) % (READINGS + 1));
	for (int i = 0; i < readings; i++)
		reading[i] = take_reading(&b, &setup, &air);
	if (jw_fit_readings(&setup, reading, readings, &fit, each, NULL) >= 0)
		check_fit(&fit, each, readings);
	return 0;
}

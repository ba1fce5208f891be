/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any set-up that the check accepts, a few coarse cycles: they end, and what comes out is finite. */
#include "taken.h"
#include <jetwright/cycle.h>

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "kart-125", "pump-200")

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static jw_cycle cycle;
	bytes b = {data, data + size};
	jw_setup setup;
	if (!take_setup(&b, setups, sizeof setups / sizeof *setups, &setup))
		return 0;
	const jw_air air = take_air(&b);
	const jw_point point = take_point(&b);
	jw_cycle_options options = {.relative = 1e-2, .settled = 1e-2, .cycles = 30};
	options.column_factor = take_between(&b, -1, 2);
	if (options.column_factor >= 0)
		options.column_factor = fmax(options.column_factor, 0.1); /* lighter ones take very short steps */
	if (jw_cycle_at(&setup, &air, &point, &options, &cycle, NULL) < 0)
		return 0;
	require(isfinite(cycle.phi) && isfinite(cycle.air_kg_s) && isfinite(cycle.fuel_kg_s) && isfinite(cycle.mass_error));
	require(doubles_finite(&cycle.trace, sizeof cycle.trace));
	return 0;
}

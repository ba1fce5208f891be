/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A table of the pulse's factors for any set-up that the check accepts: one that the check accepts too, or none. */
#include "taken.h"
#include <jetwright/tune.h>

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "kart-125", "moped-50")

static void check_table(jw_setup *setup, const jw_air *air, const jw_pulse_table *table, int bridged)
{
	jw_mixture mixture;
	double factor[JW_PULSE_FACTORS];
	require(table->nodes > 0 && table->nodes <= JW_PULSE_NODES && bridged >= 0 && bridged < table->nodes);
	setup->pulses = *table;
	require(jw_setup_check(setup, NULL) >= 0);
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		const jw_point *p = &setup->range[i];
		require(jw_pulse_table_at(table, p->speed_rev_s, p->throttle, factor) >= 0);
		require(doubles_finite(factor, sizeof factor));
		require(jw_mixture_at(setup, air, p, &mixture, NULL) < 0 || isfinite(mixture.phi));
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	bytes b = {data, data + size};
	jw_setup setup;
	jw_pulse_table table;
	int bridged = -1;
	if (!take_setup(&b, setups, sizeof setups / sizeof *setups, &setup))
		return 0;
	const jw_air air = take_air(&b);
	if (jw_pulses_tabulate(&setup, &air, &table, &bridged, NULL) >= 0)
		check_table(&setup, &air, &table, bridged);
	return 0;
}

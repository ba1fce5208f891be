/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: cycle PROFILES. One point over the crank angle, and a table of it for the mean-value model. */
#include "must.h"

int main(int argc, char **argv)
{
	static jw_cycle cycle;
	static jw_pulse_table table;
	jw_profile *profile = engine_of(argc > 1 ? argv[1] : "profiles", "courier-150");
	const jw_setup *setup = jw_profile_setup(profile);
	const jw_point *half = &setup->range[JW_HALF];
	double factor[JW_PULSE_FACTORS];
	jw_error error = {0};
	jw_air air;
	int bridged;
	must(jw_air_from_humidity(101325, 288.15, 0, &air, &error), &error);
	must(jw_cycle_at(setup, &air, half, NULL, &cycle, &error), &error);
	printf("at half: lambda %.2f; the nozzle sees %.1f kPa at top centre, %.1f a quarter of the cycle later; the slide "
	       "%s\n",
	       1 / cycle.phi, cycle.trace.nozzle_pa[0] / 1e3, cycle.trace.nozzle_pa[JW_CYCLE_NODES / 4] / 1e3,
	       jw_slide_moves(&setup->carburetor) ? "moves meanwhile" : "stands");

	must(jw_pulses_tabulate(setup, &air, &table, &bridged, &error), &error);
	must(jw_pulse_table_at(&table, half->speed_rev_s, half->throttle, factor), &error);
	printf("a table of %d nodes, %d bridged: air %.3f, pull on the main circuit %.2f\n", table.nodes, bridged,
	       factor[JW_PULSE_AIR], factor[JW_PULSE_MAIN]);
	jw_profile_free(profile);
	return 0;
}

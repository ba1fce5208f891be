/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: engine PROFILES. What an engine draws, and how it pulses. */
#include "must.h"

int main(int argc, char **argv)
{
	jw_profile *profile = engine_of(argc > 1 ? argv[1] : "profiles", "courier-150");
	const jw_engine *engine = &jw_profile_setup(profile)->engine;
	const double speed_rev_s = 6000 / 60.0;
	double ve, kg_s;
	must(jw_volumetric_efficiency(engine, speed_rev_s, &ve), NULL);
	must(jw_engine_demand(engine, 101325, 288.15, JW_AIR_GAS_CONSTANT, 60000, speed_rev_s, &kg_s), NULL);
	printf("%.1f cm3, filled to %.2f: %.2f g/s unthrottled, %.2f g/s at 60 kPa in the manifold (ideal cycle: %.2f of "
	       "it)\n",
	       1e6 * jw_displacement(engine), ve,
	       1e3 * jw_air_consumption(jw_displacement(engine), engine->strokes, speed_rev_s, ve, 1.225), 1e3 * kg_s,
	       jw_part_throttle_factor(engine->compression_ratio, 101325 / 60000.0));

	const jw_pulse pulse = jw_engine_pulse(engine, speed_rev_s, 2e-4, 340);
	printf("the draught pulls %.2f times as hard as if it were steady (%.2f for a third of the time); a column of 1 ms "
	       "feels %.2f\n",
	       pulse.throat, jw_pulse_factor(1 / 3.0), jw_pulse_response(pulse.angular_frequency_rad_s, 1e-3));

	const jw_breathing usual = jw_breathing_usual(engine);
	printf("usual for its size: inlet valve of %.1f mm, %.1f mm lift\n", 1e3 * usual.inlet.size_m,
	       1e3 * usual.inlet.lift_m);
	jw_profile_free(profile);
	return 0;
}

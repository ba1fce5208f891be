/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: transient PROFILES. A car's throttle snapped open on cold walls without its accelerator pump: how lean it
 * goes. */
#include "must.h"

int main(int argc, char **argv)
{
	enum { INSTANTS = 201 };
	static jw_instant instants[INSTANTS];
	jw_profile *profile = engine_of(argc > 1 ? argv[1] : "profiles", "estate-1100");
	jw_setup setup = *jw_profile_setup(profile);
	const jw_snap snap = {.speed_rev_s = 1400 / 60.0, .to = 1, .opening_s = 0.1, .wall_k = 293.15, .step_s = 0.01};
	jw_error error = {0};
	jw_air air;
	must(jw_air_from_humidity(98900, 293.15, 0.6, &air, &error), &error);
	setup.carburetor.pump.shot_m3 = 0;
	must(jw_snap_follow(&setup, &air, &snap, instants, INSTANTS, &error), &error);
	const jw_stumble stumble = jw_snap_stumble(instants, INSTANTS, 1 / jw_lean_limit(JW_FULL));
	printf("leanest after %.2f s, lambda %.2f; too lean for %.2f s\n", stumble.leanest_s, 1 / stumble.leanest_phi,
	       stumble.lean_s);

	/* The film alone: fuel that enters doubles at once. */
	const jw_wall wall = jw_film_at(&setup.film, snap.wall_k);
	const double entering_kg_s[2] = {2e-4, 2e-4};
	double film_kg = 1e-4 * wall.share * wall.constant_s, cylinder_kg_s;
	must(jw_film_step(&wall, entering_kg_s, wall.constant_s, &film_kg, &cylinder_kg_s, &error), &error);
	printf("%.0f %% of it lands on the wall for %.1f s; after that time the cylinders get %.0f of 200 mg/s\n",
	       100 * wall.share, wall.constant_s, 1e6 * cylinder_kg_s);
	jw_profile_free(profile);
	return 0;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any set-up that the check accepts, its throttle moved, and any film of fuel: what comes out is finite. */
#include "taken.h"
#include <jetwright/transient.h>

enum { INSTANTS = 6 };

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "cruiser-1200", "estate-1100")

static jw_snap take_snap(bytes *b)
{
	jw_snap snap;
	snap.speed_rev_s = take_between(b, 1, 500);
	snap.from = take_between(b, 0, 1);
	snap.to = take_between(b, 0, 1);
	snap.opening_s = take_between(b, 0, 1);
	snap.enrichener = take_between(b, 0, 1);
	snap.wall_k = take_between(b, 200, 500);
	snap.step_s = take_between(b, 1e-4, 1);
	return snap;
}

static void check_instants(const jw_instant *instant, int instants, double lean_phi)
{
	for (int i = 0; i < instants; i++) {
		require(doubles_finite(&instant[i], sizeof instant[i]));
		require(instant[i].phi >= 0 && instant[i].film_kg >= 0 && instant[i].manifold_kg >= 0);
		require(!i || instant[i].time_s > instant[i - 1].time_s);
	}
	jw_stumble stumble = jw_snap_stumble(instant, instants, lean_phi);
	require(doubles_finite(&stumble, sizeof stumble) && stumble.lean_s >= 0);
	require(stumble.lean_s <= instant[instants - 1].time_s - instant[0].time_s + 1e-9);
}

static void follow(bytes *b)
{
	jw_setup setup;
	if (!take_setup(b, setups, sizeof setups / sizeof *setups, &setup))
		return;
	const jw_air air = take_air(b);
	const jw_snap snap = take_snap(b);
	jw_instant instant[INSTANTS];
	int instants = (int)(take_byte(b) % (INSTANTS + 1));
	if (jw_snap_follow(&setup, &air, &snap, instant, instants, NULL) >= 0)
		check_instants(instant, instants, 0.1 + take_share(b));
}

static void step_film(bytes *b)
{
	const jw_film film = {take_share(b), 1e-3 + take_share(b), take_share(b), 1e-3 + take_share(b), 0};
	jw_wall wall = jw_film_at(&film, take_between(b, 200, 500));
	require(isnan(wall.share) || (wall.share >= 0 && wall.share <= 1 && wall.constant_s > 0));
	if (take_byte(b) % 4 == 0)
		wall = (jw_wall){take_between(b, 0, 1), take_between(b, 0, 2)};
	const double entering[2] = {take_between(b, 0, 1e-2), take_between(b, 0, 1e-2)};
	double film_kg = take_between(b, 0, 1e-3), before = film_kg, cylinder = 0;
	jw_status status = jw_film_step(&wall, entering, take_between(b, 0, 10), &film_kg, &cylinder, NULL);
	if (status >= 0)
		require(isfinite(film_kg) && isfinite(cylinder) && film_kg >= 0);
	else
		require(memcmp(&film_kg, &before, sizeof before) == 0 && cylinder == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	bytes b = {data, data + size};
	if (take_byte(&b) % 8 == 0)
		step_film(&b);
	else
		follow(&b);
	return 0;
}

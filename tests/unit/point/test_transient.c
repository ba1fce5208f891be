/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Film, pump and snap against the equation integrated another way, balances of mass, limits, and trade facts (common
 * practice, no source). */
#include "bundled.h"
#include "draw.h"
#include <jetwright/transient.h>

enum { INSTANTS = 601 };

static int near_rel(double actual, double expected, double tolerance)
{
	return fabs(actual - expected) <= tolerance * fabs(expected);
}

/* dm/dt = X mi - m/tau by the classical Runge-Kutta scheme. */
static double film_by_runge_kutta(const jw_wall *w, double from, double to, double step, double film)
{
	const int parts = 2000;
	const double h = step / parts;
	for (int i = 0; i < parts; i++) {
		const double a = from + (to - from) * i / parts, b = from + (to - from) * (i + 1) / parts, half = 0.5 * (a + b);
		const double k1 = w->share * a - film / w->constant_s;
		const double k2 = w->share * half - (film + 0.5 * h * k1) / w->constant_s;
		const double k3 = w->share * half - (film + 0.5 * h * k2) / w->constant_s;
		const double k4 = w->share * b - (film + h * k3) / w->constant_s;
		film += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
	}
	return film;
}

Test(film, step_agrees_with_runge_kutta)
{
	draw d = {8104941};
	for (int i = 0; i < 200; i++) {
		const jw_wall wall = {draw_unit(&d), draw_between(&d, 0.05, 3.0)};
		const double entering[2] = {draw_unit(&d) * 1e-3, draw_unit(&d) * 1e-3}, step = draw_between(&d, 1e-4, 2.0);
		double film = draw_unit(&d) * 1e-3, cylinder = 0;
		const double expected = film_by_runge_kutta(&wall, entering[0], entering[1], step, film);
		cr_assert_eq(jw_film_step(&wall, entering, step, &film, &cylinder, NULL), JW_OK);
		cr_expect(near_rel(film, expected, 1e-9), "draw %d", i);
		cr_expect(near_rel(cylinder, (1 - wall.share) * entering[1] + expected / wall.constant_s, 1e-9), "draw %d", i);
	}
}

Test(film, refuses_what_is_no_film)
{
	const struct {
		jw_wall wall;
		double from, to, step, film;
		const char *field;
	} rows[] = {{{1.1, 1}, 1, 1, 1, 1, "wall.share"},     {{0.3, 0}, 1, 1, 1, 1, "wall.constant_s"},
	            {{0.3, 1}, -1, 1, 1, 1, "entering_kg_s"}, {{0.3, 1}, 1, NAN, 1, 1, "entering_kg_s"},
	            {{0.3, 1}, 1, 1, -1, 1, "step_s"},        {{0.3, 1}, 1, 1, 1, -1, "film_kg"}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const double entering[2] = {rows[i].from, rows[i].to};
		double film = rows[i].film, cylinder = 7;
		jw_error error = {0};
		cr_expect_lt(jw_film_step(&rows[i].wall, entering, rows[i].step, &film, &cylinder, &error), 0, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		cr_expect(film == rows[i].film && cylinder == 7, "row %zu", i);
	}
}

Test(film, lies_between_cold_and_warm)
{
	const jw_film film = {0.6, 2.0, 0.2, 0.4, 0.5};
	const struct {
		double wall_k, share, constant_s;
	} rows[] = {{200, 0.6, 2.0}, {273.15, 0.6, 2.0}, {318.15, 0.4, 1.2}, {363.15, 0.2, 0.4}, {450, 0.2, 0.4}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_wall wall = jw_film_at(&film, rows[i].wall_k);
		cr_expect(near_rel(wall.share, rows[i].share, 1e-12) && near_rel(wall.constant_s, rows[i].constant_s, 1e-12),
		          "row %zu", i);
	}
}

/* Off idle to wide open, engine warm. */
static jw_snap usual_snap(const jw_setup *s)
{
	return (jw_snap){.speed_rev_s = s->range[JW_QUARTER].speed_rev_s,
	                 .from = s->range[JW_OFF_IDLE].throttle,
	                 .to = 0.6,
	                 .opening_s = 0.15,
	                 .wall_k = 343.15,
	                 .step_s = 0.01};
}

static void follow(const jw_setup *s, const jw_snap *snap, jw_instant instant[INSTANTS])
{
	const jw_air air = mild_air();
	jw_error error = {0};
	const jw_status status = jw_snap_follow(s, &air, snap, instant, INSTANTS, &error);
	cr_assert(status >= 0, "%s: %s %g", jw_status_name(status), error.field ? error.field : "", error.value);
}

static double leanest(const jw_setup *s, const jw_snap *snap)
{
	static jw_instant instant[INSTANTS];
	follow(s, snap, instant);
	return jw_snap_stumble(instant, INSTANTS, 0.8).leanest_phi;
}

Test(snap, begins_and_ends_in_the_steady_points)
{
	static jw_instant instant[INSTANTS];
	const jw_air air = mild_air();
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		const jw_snap snap = usual_snap(&s);
		const jw_point from = {snap.speed_rev_s, snap.from, 0}, to = {snap.speed_rev_s, snap.to, 0};
		const jw_mixture before = mixture_of(&s, &air, &from), after = mixture_of(&s, &air, &to);
		follow(&s, &snap, instant);
		cr_expect(near_rel(instant[0].phi, before.phi, 1e-12), "%s", bundled_names[e]);
		/* Six seconds are at least ten time constants of the film. */
		cr_expect(near_rel(instant[INSTANTS - 1].phi, after.phi, 2e-4), "%s", bundled_names[e]);
		cr_expect_eq(instant[INSTANTS - 1].throttle, snap.to);
	}
}

/* What entered and did not burn lies on the wall; each integral by the trapezoid rule on the instants alone. */
Test(snap, keeps_the_mass_of_fuel)
{
	static jw_instant instant[INSTANTS];
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		jw_snap snap = usual_snap(&s);
		snap.step_s = 0.002;
		follow(&s, &snap, instant);
		double entered = 0, burnt = 0;
		for (int i = 1; i < INSTANTS; i++) {
			const jw_instant *a = &instant[i - 1], *b = &instant[i];
			entered += snap.step_s * (0.5 * (a->metered_kg_s + b->metered_kg_s) + b->pump_kg_s);
			burnt += snap.step_s * 0.5 * (a->cylinder_kg_s + b->cylinder_kg_s);
		}
		const jw_instant *last = &instant[INSTANTS - 1];
		const jw_wall wall = jw_film_at(&s.film, snap.wall_k);
		JW_NEAR_REL(last->from_film_kg_s * wall.constant_s, last->film_kg, 1e-9); /* Aquino, SAE 810494 */
		const double kept = last->film_kg + last->manifold_kg - instant[0].film_kg - instant[0].manifold_kg;
		cr_expect(near_rel(entered, burnt + kept, 1e-4), "%s", bundled_names[e]);
	}
}

/* What the cylinders get in a step is then what entered in it. */
Test(snap, without_film_pump_and_manifold_is_quasi_steady)
{
	static jw_instant instant[INSTANTS];
	const jw_air air = mild_air();
	jw_setup s = bundled("estate-1100");
	s.film.cold_share = s.film.warm_share = 0;
	s.carburetor.pump.shot_m3 = 0;
	s.carburetor.main_column_m = 1e-9; /* no inertia */
	s.engine.manifold_volume_m3 = 0;
	jw_snap snap = usual_snap(&s);
	snap.step_s = 0.025;
	follow(&s, &snap, instant);
	for (int i = 1; i < 20; i++) {
		const jw_point points[2] = {{snap.speed_rev_s, instant[i - 1].throttle, 0},
		                            {snap.speed_rev_s, instant[i].throttle, 0}};
		const jw_mixture from = mixture_of(&s, &air, &points[0]), to = mixture_of(&s, &air, &points[1]);
		const double air_kg_s = from.dry_air_kg_s + to.dry_air_kg_s;
		const double phi = (from.phi * from.dry_air_kg_s + to.phi * to.dry_air_kg_s) / air_kg_s;
		cr_expect(near_rel(instant[i].phi, phi, 1e-9), "instant %d: %.12g %.12g", i, instant[i].phi, phi);
		cr_expect(near_rel(instant[i].dry_air_kg_s, 0.5 * air_kg_s, 1e-9), "instant %d", i);
	}
}

/* The manifold as a stirred volume: with a throttle that jumps, the air follows 1 - exp(-t n V_d ve/(2 V)). */
Test(snap, manifold_mixes_at_the_rate_of_the_draught)
{
	static jw_instant instant[INSTANTS];
	const jw_setup s = bundled("estate-1100");
	jw_snap snap = usual_snap(&s);
	snap.opening_s = 0;
	snap.step_s = 1e-4;
	follow(&s, &snap, instant);
	double ve;
	cr_assert(jw_volumetric_efficiency(&s.engine, snap.speed_rev_s, &ve) >= 0);
	const double draught = ve * jw_displacement(&s.engine) * snap.speed_rev_s / 2;
	const jw_air air = mild_air();
	const jw_point end = {snap.speed_rev_s, snap.to, 0};
	const double before = instant[0].dry_air_kg_s, after = mixture_of(&s, &air, &end).dry_air_kg_s;
	const double gone = exp(-instant[INSTANTS - 1].time_s * draught / s.engine.manifold_volume_m3);
	cr_expect(near_rel(instant[INSTANTS - 1].dry_air_kg_s, after + (before - after) * gone, 2e-3));
}

/* Five times finer steps tell the same. */
Test(snap, does_not_hang_on_its_step)
{
	static jw_instant coarse[INSTANTS], fine[INSTANTS];
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		jw_snap snap = usual_snap(&s);
		follow(&s, &snap, coarse);
		snap.step_s /= 5;
		follow(&s, &snap, fine);
		for (int i = 0; 5 * i < INSTANTS; i++)
			cr_expect(near_rel(coarse[i].phi, fine[5 * i].phi, 0.03), "%s at %g s: %g %g", bundled_names[e],
			          coarse[i].time_s, coarse[i].phi, fine[5 * i].phi);
	}
}

/* The column's fuel never outruns the steady flow on the way up, and its lag is gone after some constants. */
Test(snap, column_lags)
{
	static jw_instant quick[INSTANTS], slow[INSTANTS];
	jw_setup s = scooter();
	jw_snap snap = usual_snap(&s);
	snap.step_s = 0.002;
	follow(&s, &snap, quick);
	s.carburetor.main_column_m *= 4;
	s.carburetor.main_column_bore_m /= 2; /* 16 times the constant */
	follow(&s, &snap, slow);
	const double behind = quick[10].metered_kg_s - slow[10].metered_kg_s;
	cr_expect_gt(behind, 0.01 * quick[10].metered_kg_s);
}

/* With a throttle that hardly moves, what the main circuit gave before it still flows, however heavy its column. */
Test(snap, goes_on_with_what_flows)
{
	static jw_instant instant[INSTANTS];
	jw_setup s = scooter();
	s.carburetor.main_column_m *= 4;
	jw_snap snap = usual_snap(&s);
	snap.from = 0.6;
	snap.to = 0.6001;
	snap.step_s = 0.002;
	follow(&s, &snap, instant);
	for (int i = 1; i < 20; i++)
		JW_NEAR_REL(instant[i].metered_kg_s, instant[0].metered_kg_s, 1e-3);
}

/* Shot of the estate's pump: spring over plunger drives it through the nozzle until the loaded volume is out. */
Test(pump, delivers_its_shot_at_the_rate_of_its_spring)
{
	static jw_instant instant[INSTANTS];
	jw_setup s = bundled("estate-1100");
	jw_pump *pump = &s.carburetor.pump;
	cr_assert_gt(pump->shot_m3, 0);
	pump->nozzle.coefficient = 0.8;
	pump->from_throttle = 0.1;
	pump->to_throttle = 0.5;
	jw_snap snap = usual_snap(&s);
	snap.from = 0;
	snap.to = 0.3; /* half of the travel */
	follow(&s, &snap, instant);
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s.fuel, mild_air().temperature_k + s.bowl_heating_k, &fuel, NULL) >= 0);
	double shot = 0, greatest = 0;
	for (int i = 1; i < INSTANTS; i++) {
		shot += snap.step_s * instant[i].pump_kg_s;
		greatest = fmax(greatest, instant[i].pump_kg_s);
	}
	const double pi = 3.14159265358979, bore = pump->nozzle.diameter_m;
	const double pressure = pump->spring_n / (pi / 4 * pump->plunger_m * pump->plunger_m);
	cr_expect(near_rel(shot, 0.5 * pump->shot_m3 * fuel.density_kg_m3, 1e-9));
	cr_expect(near_rel(greatest, 0.8 * pi / 4 * bore * bore * sqrt(2 * fuel.density_kg_m3 * pressure), 1e-9));

	snap.from = 0.6; /* let go: it fills and gives nothing */
	snap.to = 0;
	follow(&s, &snap, instant);
	for (int i = 0; i < INSTANTS; i++)
		cr_expect_eq(instant[i].pump_kg_s, 0, "instant %d", i);
}

Test(timer, follows_its_pellet)
{
	const jw_timer timer = {150, 90, 298.15, 333.15};
	/* Pellet at T = Ta + 90 (1 - exp(-t/150)); worked out by hand. */
	const struct {
		double running_s, ambient_k, opening;
	} rows[] = {{0, 293.15, 1},          {8, 293.15, 1},  {60, 293.15, 0.295108},
	            {88, 293.15, 0.0018},    {90, 293.15, 0}, {600, 293.15, 0},
	            {150, 273.15, 0.088832}, {60, 258.15, 1}, {1e6, 243.15, 0}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const double opening = jw_enrichener_opening(&timer, rows[i].running_s, rows[i].ambient_k);
		cr_expect(fabs(opening - rows[i].opening) < 2e-3, "row %zu: %.6f", i, opening);
	}
	const jw_timer none = {0};
	cr_expect_eq(jw_enrichener_opening(&none, 0, 293.15), 0);
}

/* Trade facts: common practice, no source. */
Test(trade, what_deepens_the_dip)
{
	const jw_setup sound = bundled("estate-1100");
	jw_setup dead = sound, weak = sound, pilot = sound, port = sound;
	const jw_snap snap = usual_snap(&sound);
	jw_snap cold = snap, gentle = snap;
	dead.carburetor.pump.shot_m3 = 0;
	weak.carburetor.pump.nozzle.diameter_m *= 0.7;
	pilot.carburetor.pilot.fuel_jet.diameter_m *= 0.7;
	port.carburetor.screw.ports_open_area = 0.2;
	cold.wall_k = 283.15;
	gentle.opening_s = 2;
	const double phi = leanest(&sound, &snap);
	cr_expect_lt(leanest(&dead, &snap), 0.9 * phi, "a dead accelerator pump");
	cr_expect_lt(leanest(&weak, &snap), phi, "a clogged pump nozzle");
	cr_expect_lt(leanest(&pilot, &snap), phi, "a clogged pilot jet");
	cr_expect_lt(leanest(&port, &snap), phi, "clogged transfer ports");
	cr_expect_lt(leanest(&sound, &cold), phi, "a cold engine");
	cr_expect_gt(leanest(&dead, &gentle), leanest(&dead, &snap), "opened gently");
}

/* Letting go of the throttle leaves the film's fuel over: rich. */
Test(trade, closing_richens)
{
	static jw_instant instant[INSTANTS];
	const jw_air air = mild_air();
	const jw_setup s = bundled("estate-1100");
	jw_snap snap = usual_snap(&s);
	snap.from = 0.5;
	snap.to = 0.05;
	follow(&s, &snap, instant);
	const jw_point end = {snap.speed_rev_s, snap.to, 0};
	cr_expect_gt(instant[16].phi, 1.2 * mixture_of(&s, &air, &end).phi);
}

Test(stumble, sums_up_what_lies_below)
{
	const jw_instant instant[] = {{.time_s = 0, .phi = 1.0},
	                              {.time_s = 1, .phi = 0.5},
	                              {.time_s = 2, .phi = 0.5},
	                              {.time_s = 4, .phi = 0.9},
	                              {.time_s = 5, .phi = 0.7}};
	const jw_stumble s = jw_snap_stumble(instant, 5, 0.7);
	cr_expect(near_rel(s.lean_s, 0.4 + 1 + 1, 1e-12));
	cr_expect(s.leanest_phi == 0.5 && s.leanest_s == 1);
	cr_expect_eq(jw_snap_stumble(instant, 5, 0.5).lean_s, 0);
	cr_expect_eq(jw_snap_stumble(instant, 5, 1.5).lean_s, 5);

	const jw_instant rounded[] = {{.time_s = 0, .phi = 0.9}, {.time_s = 1, .phi = 0.9 * (1 - 1e-15)}};
	cr_expect_eq(jw_snap_stumble(rounded, 2, 0.7).leanest_s, 0);
}

Test(snap, refuses_what_is_no_movement)
{
	jw_instant instant[2];
	const jw_air air = mild_air();
	const jw_setup s = scooter();
	const struct {
		size_t offset;
		double value;
		const char *field;
	} rows[] = {
	    {offsetof(jw_snap, from), -0.1, "snap.from"},         {offsetof(jw_snap, to), 1.1, "snap.to"},
	    {offsetof(jw_snap, opening_s), -1, "snap.opening_s"}, {offsetof(jw_snap, wall_k), 20, "snap.wall_k"},
	    {offsetof(jw_snap, step_s), 0, "snap.step_s"},        {offsetof(jw_snap, speed_rev_s), 0, "speed_rev_s"},
	    {offsetof(jw_snap, enrichener), NAN, "enrichener"}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_snap snap = usual_snap(&s);
		jw_error error = {0};
		memcpy((char *)&snap + rows[i].offset, &rows[i].value, sizeof rows[i].value);
		cr_expect_lt(jw_snap_follow(&s, &air, &snap, instant, 2, &error), 0, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
	}
	const jw_snap snap = usual_snap(&s);
	cr_expect_eq(jw_snap_follow(&s, &air, &snap, instant, 1, NULL), JW_E_RANGE);

	/* A warning before the error leaves its number alone. */
	jw_air cold;
	jw_snap still = usual_snap(&s);
	still.speed_rev_s = 0;
	jw_air_from_humidity(101325, 240, 0, &cold, NULL);
	cr_expect_eq(jw_snap_follow(&s, &cold, &still, instant, 2, NULL), JW_E_RANGE);
}

/* Any set-up that the check accepts can be followed; every number stays finite and no fuel is negative. */
Test(snap, follows_any_setup)
{
	draw d = {424242};
	rejections turned_down = {0};
	jw_instant instant[40];
	for (int i = 0; i < 150; i++) {
		jw_setup s;
		jw_air air;
		jw_error error = {0};
		draw_accepted(&d, &s, &turned_down);
		draw_air(&d, &air);
		const jw_snap snap = {.speed_rev_s = draw_between(&d, 5, 250),
		                      .from = draw_unit(&d),
		                      .to = draw_unit(&d),
		                      .opening_s = draw_unit(&d),
		                      .wall_k = draw_between(&d, 240, 400),
		                      .step_s = draw_between(&d, 1e-3, 0.2)};
		const jw_status status = jw_snap_follow(&s, &air, &snap, instant, 40, &error);
		cr_assert(status >= 0, "draw %d: %s %s = %g", i, jw_status_name(status), error.field, error.value);
		for (int k = 0; k < 40; k++) {
			const jw_instant *at = &instant[k];
			cr_expect(isfinite(at->phi) && at->phi >= 0 && at->metered_kg_s >= 0 && at->pump_kg_s >= 0 &&
			              isfinite(at->cylinder_kg_s) && at->film_kg >= 0,
			          "draw %d, instant %d", i, k);
		}
	}
}

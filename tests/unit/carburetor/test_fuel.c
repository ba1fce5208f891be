/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the outlets of power jet and ports open. */
#include "base/base.h"
#include "carburetor/near.h"
#include "near.h"

#define AMBIENT 99.3e3

static const jw_gas air = {291.6, 287.6, 1.8e-5};

static jw_carburetor of_kind(jw_carburetor_kind kind)
{
	return (jw_carburetor){.kind = kind,
	                       .throat = {27e-3, 0.84, 0.61},
	                       .plate = {31e-3, 5e-3, 0.2, 0.29, 0.8},
	                       .slide = {.diaphragm_m = 55e-3,
	                                 .mass_kg = 0.03,
	                                 .spring_closed_n = 1.9,
	                                 .spring_rate_n_m = 17,
	                                 .base_area_m2 = kind == JW_CONSTANT_DEPRESSION ? 46e-6 : 0,
	                                 .stuck_lift_m = -1,
	                                 .cutaway_m = 4.1e-3,
	                                 .idle_lift_m = 0.9e-3,
	                                 .full_lift_m = 27e-3},
	                       .screw = {.turns = 2,
	                                 .pitch_m = 5e-4,
	                                 .hole_m = 1e-3,
	                                 .cone_rad = 0.2,
	                                 .coefficient = 0.7,
	                                 .open_area = 1,
	                                 .ports_open_area = 1},
	                       .port = {{0.8e-3, 40e-3}},
	                       .ports = 1,
	                       .power_outlet_m = 1.3e-3};
}

static jw_fuel_ends ends_at(const jw_carburetor *c, double throttle, double kg_s, double gain)
{
	jw_fuel_ends ends = {.ambient_pa = AMBIENT,
	                     .manifold_pa = 0.7 * AMBIENT,
	                     .controls = {throttle, 0},
	                     .main_gain = gain,
	                     .fuel = {745, 6e-7},
	                     .air = air};
	cr_assert(jw_carburetor_air(c, &ends.controls, &air, AMBIENT, kg_s, gain, &ends.path, NULL) == JW_OK);
	return ends;
}

static double power_pull(const jw_carburetor *c, const jw_fuel_ends *ends)
{
	return ends->path.mouth_pa - jw_carburetor_power(c, ends).ends.outlet[0].pressure_pa;
}

/* In the bore ahead of a slide air has the speed of its flow over density and bore (continuity), and has lost half its
 * density times the square of that (Bernoulli); times what the pulse adds. Air hardly expands by these pulls. */
Test(fuel, a_power_jet_ahead_of_a_slide_feels_the_speed_in_the_bore)
{
	const jw_carburetor c = of_kind(JW_PISTON_SLIDE);
	const double density = AMBIENT / (287.6 * 291.6), bore = JW_PI * 27e-3 * 27e-3 / 4;
	static const double throttle[] = {0, 0.1, 0.3, 0.6, 1};
	for (size_t i = 0; i < sizeof throttle / sizeof *throttle; i++)
		for (double gain = 1; gain < 3; gain += 0.9) {
			const double kg_s = 1.5e-3 + 12e-3 * throttle[i], speed = kg_s / density / bore;
			const jw_fuel_ends ends = ends_at(&c, throttle[i], kg_s, gain);
			JW_NEAR_REL(power_pull(&c, &ends), gain * 0.5 * density * speed * speed, 0.02);
		}
}

/* So that the slide shares out the pull: next to nothing of the nozzle's where it is down, most of it where it is up,
 * and never all. */
Test(fuel, a_power_jet_feels_the_square_of_the_opening)
{
	const jw_carburetor c = of_kind(JW_PISTON_SLIDE);
	double before = 0;
	for (double throttle = 0; throttle < 0.75; throttle += 0.1) {
		const jw_fuel_ends ends = ends_at(&c, throttle, 4e-3, 1.7);
		const double nozzle = 1.7 * (ends.path.mouth_pa - ends.path.throat_steady_pa);
		const double open = 0.84 * jw_slide_area(&c.throat, &c.slide, ends.path.lift_m + 4.1e-3);
		const double share = jw_square(open / (JW_PI * 27e-3 * 27e-3 / 4));
		JW_NEAR_REL(power_pull(&c, &ends), share * nozzle, 1e-9);
		cr_expect(share > before && share < 0.84 * 0.84, "%g: %g", throttle, share);
		before = share;
	}
	const jw_fuel_ends down = ends_at(&c, 0, 1e-3, 1);
	cr_expect(power_pull(&c, &down) < 0.02 * (down.path.mouth_pa - down.path.throat_pa));
}

/* Back through the gap: the pipe's end is at the pressure of the air that receives the jet (White, Fluid Mechanics,
 * from memory: a free jet leaves at the pressure around it), and so is the bore from where its speed is lost. The gap
 * itself stands lower, by what is regained from there. */
Test(fuel, air_that_flows_back_pulls_at_the_nozzle_alone)
{
	for (int kind = 0; kind < JW_CARBURETOR_KIND_COUNT; kind++) {
		const jw_carburetor c = of_kind((jw_carburetor_kind)kind);
		jw_fuel_ends back = ends_at(&c, 0.6, 8e-3, 1);
		const double drop = back.path.mouth_pa - back.path.throat_pa;
		back.path.plate_pa = back.path.mouth_pa + 0.39 * drop;
		back.path.throat_pa = back.path.throat_steady_pa = back.path.mouth_pa - 0.61 * drop;
		JW_NEAR_ABS(power_pull(&c, &back), kind == JW_PISTON_SLIDE ? 0 : 0.61 * drop, 1e-6);
	}
}

/* Elsewhere it ends beside the nozzle. */
Test(fuel, without_a_lifted_slide_a_power_jet_feels_the_nozzle)
{
	static const jw_carburetor_kind kinds[] = {JW_CONSTANT_DEPRESSION, JW_FIXED_VENTURI};
	for (size_t i = 0; i < 2; i++) {
		const jw_carburetor c = of_kind(kinds[i]);
		const jw_fuel_ends ends = ends_at(&c, 0.4, 5e-3, 1.4);
		JW_NEAR_REL(power_pull(&c, &ends), 1.4 * (ends.path.mouth_pa - ends.path.throat_steady_pa), 1e-9);
	}
}

/* What the throat regains lies behind the slide, but ahead of a plate. */
Test(fuel, ports_see_the_nozzle_under_a_slide_and_the_diffuser_before_a_plate)
{
	for (int kind = 0; kind < JW_CARBURETOR_KIND_COUNT; kind++) {
		const jw_carburetor c = of_kind((jw_carburetor_kind)kind);
		const jw_fuel_ends ends = ends_at(&c, 0.2, 3e-3, 1.3);
		const jw_outlet ahead = jw_carburetor_pilot(&c, &ends).ends.outlet[2];
		cr_expect(ends.path.plate_pa > ends.path.throat_pa + 10);
		JW_NEAR_REL(ahead.effective_area_m2, 0.7 * JW_PI * 0.8e-3 * 0.8e-3 / 4, 1e-12);
		cr_expect_eq(ahead.pressure_pa, kind == JW_PISTON_SLIDE ? ends.path.throat_pa : ends.path.plate_pa);
	}
}

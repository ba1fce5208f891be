/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Demand by hand, and the pulse against half sines summed up. */
#include "base/base.h"
#include "near.h"
#include <jetwright/engine.h>

#define SOUND 343.0
#define WIDE 4e-4 /* effective area of an open plate, m2 */

static jw_engine single(void)
{
	return (jw_engine){.strokes = 4,
	                   .cylinders = 1,
	                   .carburetors = 1,
	                   .bore_m = 57.4e-3,
	                   .stroke_m = 57.8e-3,
	                   .compression_ratio = 9.7,
	                   .intake_duration_rad = 4.1,
	                   .manifold_volume_m3 = 90e-6,
	                   .manifold_heating_k = 21,
	                   .exhaust_back_pa = 2e3,
	                   .ve_speed_rev_s = {30, 120},
	                   .ve = {0.8, 0.9},
	                   .ve_points = 2};
}

static double demand_of(const jw_engine *engine, double manifold_pa, double speed_rev_s)
{
	double kg_s = -1;
	cr_assert(jw_engine_demand(engine, 101e3, 293, 287.2, manifold_pa, speed_rev_s, &kg_s) >= 0);
	return kg_s;
}

/* Ideal cycle (Heywood, Internal Combustion Engine Fundamentals, 1988, 6.2), by hand: r 10, pe/pi 2; and where residual
 * gas fills all: r/(r-1) [g (r-1)] = pe/pi + g - 1. */
Test(engine, part_throttle_factor)
{
	const double ratios[] = {6.3, 10, 17.2};
	for (size_t i = 0; i < 3; i++) {
		double r = ratios[i], full_of_residual = 1.4 * r - 0.4;
		JW_NEAR_REL(jw_part_throttle_factor(r, 1), 1, 1e-14);
		JW_NEAR_ABS(jw_part_throttle_factor(r, full_of_residual), 0, 1e-14);
		JW_NEAR_ABS(jw_part_throttle_factor(r, 0.5 * (1 + full_of_residual)), 0.5, 1e-14);
		cr_expect_eq(jw_part_throttle_factor(r, 1.3 * full_of_residual), 0);
		cr_expect_gt(jw_part_throttle_factor(r, 0.9), 1); /* scavenged by a lower exhaust pressure */
	}
	JW_NEAR_REL(jw_part_throttle_factor(10, 2), 10.0 / 9 - 2.4 / 12.6, 1e-14);
}

/* By hand: 149.569 cm3; at 100 rev/s ve 0.877778; at 60 kPa charge 60e3/(287.2 * 314) = 0.665330 kg/m3, factor
 * 9.7/8.7 - (103/60 + 0.4)/(1.4 * 8.7) = 0.941160; half as many fillings as revolutions. */
Test(engine, demand_by_hand)
{
	const jw_engine e = single();
	double ve = 0;
	JW_NEAR_REL(jw_displacement(&e), 149.569e-6, 1e-5);
	cr_expect_eq(jw_volumetric_efficiency(&e, 100, &ve), JW_OK);
	JW_NEAR_REL(ve, 0.877778, 1e-6);
	JW_NEAR_REL(demand_of(&e, 60e3, 100), 0.941160 * 0.877778 * 0.665330 * 149.569e-6 * 50, 1e-5);
	jw_engine twin = e;
	twin.cylinders = 2;
	JW_NEAR_REL(demand_of(&twin, 60e3, 100), 2 * demand_of(&e, 60e3, 100), 1e-14);
	/* A two-stroke fills at every turn, and its residual is what stays in the crankcase. */
	jw_engine scavenged = e;
	scavenged.strokes = 2, scavenged.crankcase_ratio = 1.42;
	double factor = 1.42 / 0.42 - (103.0 / 90 + 0.4) / (1.4 * 0.42);
	JW_NEAR_REL(demand_of(&scavenged, 90e3, 100), factor * 0.877778 * 90e3 / (287.2 * 314) * 149.569e-6 * 100, 1e-5);
}

Test(engine, demand_rises_with_manifold_pressure)
{
	jw_engine four = single(), two = single();
	two.strokes = 2, two.crankcase_ratio = 1.42;
	const jw_engine *const engines[] = {&four, &two};
	for (size_t i = 0; i < 2; i++) {
		double before = -1;
		int silent = 0, drawing = 0;
		for (double p = 3e3; p < 103e3; p += 0.7e3) {
			double demand = demand_of(engines[i], p, 77);
			cr_expect(demand > before || (demand == 0 && before <= 0), "%g Pa", p);
			demand > 0 ? drawing++ : silent++;
			before = demand;
		}
		cr_expect(silent > 0 && drawing > 10);
	}
}

Test(engine, volumetric_efficiency_is_linear_between_its_points_and_held_beyond)
{
	jw_engine e = single();
	e.ve_points = 4;
	const double speeds[] = {28, 50, 75, 125}, ves[] = {0.8, 0.86, 0.92, 0.78};
	for (int i = 0; i < 4; i++)
		e.ve_speed_rev_s[i] = speeds[i], e.ve[i] = ves[i];
	const struct {
		double speed, ve;
		jw_status status;
	} rows[] = {{28, 0.8, JW_OK},
	            {39, 0.83, JW_OK},
	            {50, 0.86, JW_OK},
	            {60, 0.884, JW_OK},
	            {100, 0.85, JW_OK},
	            {125, 0.78, JW_OK},
	            {27.9, 0.8, JW_W_EXTRAPOLATED},
	            {125.1, 0.78, JW_W_EXTRAPOLATED}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double ve = 0, kg_s = 0;
		cr_expect_eq(jw_volumetric_efficiency(&e, rows[i].speed, &ve), rows[i].status, "row %zu", i);
		JW_NEAR_REL(ve, rows[i].ve, 1e-12);
		cr_expect_eq(jw_engine_demand(&e, 101e3, 293, 287.2, 8e4, rows[i].speed, &kg_s), rows[i].status, "row %zu", i);
	}
	e.ve_points = 1;
	double ve = 0;
	cr_expect_eq(jw_volumetric_efficiency(&e, 28, &ve), JW_OK);
	cr_expect_eq(jw_volumetric_efficiency(&e, 90, &ve), JW_OK); /* one figure is said of all speeds */
	cr_expect_eq(ve, 0.8);
}

/* Mean square over squared mean of half-sine draughts, one a cylinder, spread over the cycle. */
static double ripple_of(int cylinders, double share_of_cycle)
{
	const int steps = 30000;
	double mean = 0, square = 0;
	for (int i = 0; i < steps; i++) {
		double flow = 0;
		for (int k = 0; k < cylinders; k++) {
			double into = fmod((i + 0.5) / steps + (double)k / cylinders, 1);
			flow += into < share_of_cycle ? sin(JW_PI * into / share_of_cycle) : 0;
		}
		mean += flow / steps, square += flow * flow / steps;
	}
	return square / (mean * mean);
}

Test(engine, pulse_factor_is_that_of_half_sines)
{
	const double duties[] = {0.21, 0.3264, 0.5, 0.77, 1, 1.3333, 1.71, 2.6, 3.999, 5};
	for (size_t i = 0; i < sizeof duties / sizeof *duties; i++)
		JW_NEAR_REL(jw_pulse_factor(duties[i]), ripple_of(8, duties[i] / 8), 1e-6);
	for (int whole = 1; whole < 8; whole++) /* continuous where one more draught comes to overlap */
		JW_NEAR_REL(jw_pulse_factor(whole * (1 + 1e-9)), jw_pulse_factor(whole), 1e-8);

	/* Without a volume to smooth them the draughts of an engine are that. */
	jw_engine e = single();
	e.manifold_volume_m3 = 0;
	for (e.cylinders = 1; e.cylinders <= 12; e.cylinders++)
		JW_NEAR_REL(jw_engine_pulse(&e, 77, WIDE, SOUND).throat, ripple_of(e.cylinders, 4.1 / (4 * JW_PI)), 1e-6);
}

Test(engine, pulses_fade_behind_a_closed_plate_and_in_a_large_volume)
{
	jw_engine e = single();
	const double speeds[] = {28, 61, 120};
	for (size_t i = 0; i < 3; i++) {
		double before = 0;
		for (double area = 1e-9; area < 1; area *= 1.7) {
			jw_pulse pulse = jw_engine_pulse(&e, speeds[i], area, SOUND);
			cr_expect(pulse.throat > before || pulse.throat == 1, "area %g", area);
			cr_expect_eq(pulse.plate, pulse.throat);
			before = pulse.throat;
		}
		JW_NEAR_REL(before, jw_pulse_factor(4.1 / (4 * JW_PI)), 1e-6);
		JW_NEAR_ABS(jw_engine_pulse(&e, speeds[i], 0, SOUND).throat, 1, 1e-6);
	}
	double before = INFINITY;
	for (e.manifold_volume_m3 = 1e-6; e.manifold_volume_m3 < 1; e.manifold_volume_m3 *= 2) {
		double factor = jw_engine_pulse(&e, 120, WIDE, SOUND).throat;
		cr_expect_lt(factor, before);
		before = factor;
	}
	JW_NEAR_ABS(before, 1, 1e-5);
	/* One draught in two turns of a four-stroke, in one of a two-stroke. */
	e = single();
	JW_NEAR_REL(jw_engine_pulse(&e, 77, WIDE, SOUND).angular_frequency_rad_s, 2 * JW_PI * 38.5, 1e-12);
	e.strokes = 2;
	JW_NEAR_REL(jw_engine_pulse(&e, 77, WIDE, SOUND).angular_frequency_rad_s, 2 * JW_PI * 77, 1e-12);
}

/* Share of a first-order column: none without inertia, half at a time constant of one radian, all when slow. */
Test(engine, pulse_response)
{
	cr_expect_eq(jw_pulse_response(300, 0), 0);
	JW_NEAR_REL(jw_pulse_response(300, 1 / 300.0), 0.5, 1e-14);
	JW_NEAR_ABS(jw_pulse_response(300, 1e3), 1, 1e-10);
	for (double x = 0.01; x < 100; x *= 1.1)
		cr_expect_lt(jw_pulse_response(300, x / 300), jw_pulse_response(300, 1.1 * x / 300));
}

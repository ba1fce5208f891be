/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Areas against numerical integration of the shapes that they stand for. */
#include "base/base.h"
#include "near.h"
#include "carburetor/nozzle.h"
#include <jetwright/carburetor.h>

#define STRIPS 20000

/* Bore less the union of the tilted plate's ellipse and the shaft, strip by strip along the shaft. */
static double projected(const jw_plate *plate, double angle)
{
	double radius = 0.5 * plate->bore_m, tilt = cos(angle) / cos(plate->closed_rad), sum = 0.0;
	for (int i = 0; i < STRIPS; i++) {
		double x = radius * (i + 0.5) / STRIPS, half = sqrt(radius * radius - x * x);
		sum += half - fmax(tilt * half, fmin(0.5 * plate->shaft_m, half));
	}
	return 4.0 * sum * radius / STRIPS;
}

Test(carburetor, plate_area_is_its_projection)
{
	for (double shaft = 0.0; shaft < 12e-3; shaft += 2.7e-3)
		for (double angle = 0.11; angle < 1.57; angle += 0.083) {
			jw_plate plate = {.bore_m = 26.3e-3, .shaft_m = shaft, .closed_rad = 0.11};
			double bore = 0.25 * JW_PI * plate.bore_m * plate.bore_m;
			JW_NEAR_ABS(jw_plate_area(&plate, angle) / bore, projected(&plate, angle) / bore, 2e-6);
		}
}

/* Shut it leaves nothing but for what a shaft cannot add; wide open it hides behind its shaft. */
Test(carburetor, plate_area_at_both_ends)
{
	for (double shaft = 0; shaft < 13e-3; shaft += 2.3e-3) {
		const jw_plate plate = {.bore_m = 26.3e-3, .shaft_m = shaft, .closed_rad = 0.11, .idle_rad = 0.19};
		double bore = 0.25 * JW_PI * 26.3e-3 * 26.3e-3, before = -1;
		JW_NEAR_ABS(jw_plate_area(&plate, 0.11), 0, 1e-12 * bore);
		cr_expect_eq(jw_plate_area(&plate, -1), jw_plate_area(&plate, 0.11));
		cr_expect_eq(jw_plate_area(&plate, 2), jw_plate_area(&plate, 0.5 * JW_PI));
		if (shaft == 0)
			JW_NEAR_REL(jw_plate_area(&plate, 0.5 * JW_PI), bore, 1e-12);
		else
			JW_NEAR_REL(jw_plate_area(&plate, 0.5 * JW_PI), projected(&plate, 0.5 * JW_PI), 1e-5);
		for (double angle = 0.11; angle < 1.58; angle += 0.003) {
			double area = jw_plate_area(&plate, angle);
			cr_expect(area >= before, "shaft %g angle %g", shaft, angle);
			before = area;
		}
		cr_expect_eq(jw_plate_angle(&plate, -0.3), 0.19);
		cr_expect_eq(jw_plate_angle(&plate, 1.3), 0.5 * JW_PI);
		JW_NEAR_REL(jw_plate_angle(&plate, 0.37), 0.19 + 0.37 * (0.5 * JW_PI - 0.19), 1e-15);
	}
}

/* A choke plate is a throttle plate worked the other way, with holes that stay. */
Test(carburetor, choke_shuts_to_its_relief)
{
	const jw_choke choke = {
	    .bore_m = 23e-3, .shaft_m = 4e-3, .closed_rad = 0.17, .coefficient = 0.8, .relief_m2 = 6e-6};
	const jw_plate plate = {.bore_m = 23e-3, .shaft_m = 4e-3, .closed_rad = 0.17};
	JW_NEAR_REL(jw_choke_area(&choke, 1), 6e-6, 1e-9);
	JW_NEAR_REL(jw_choke_area(&choke, 0), projected(&plate, 0.5 * JW_PI) + 6e-6, 1e-5);
	JW_NEAR_REL(jw_choke_area(&choke, 0.4), projected(&plate, 0.17 + 0.6 * (0.5 * JW_PI - 0.17)) + 6e-6, 1e-4);
	double before = INFINITY;
	for (double shut = 0.15; shut < 1; shut += 0.01) { /* wide open it hides behind its shaft */
		cr_expect(jw_choke_area(&choke, shut) < before, "%g", shut);
		before = jw_choke_area(&choke, shut);
	}
	jw_choke gaping = choke;
	gaping.shaft_m = 0, gaping.relief_m2 = 1e-3;
	JW_NEAR_REL(jw_choke_area(&gaping, 0), 0.25 * JW_PI * 23e-3 * 23e-3, 1e-14);
}

Test(carburetor, slide_area_is_a_segment)
{
	jw_throat throat = {.bore_m = 23.7e-3};
	jw_slide slide = {.base_area_m2 = 11e-6};
	for (double lift = 0.7e-3; lift < 22e-3; lift += 1.9e-3) {
		double sum = 0.0, radius = 0.5 * throat.bore_m;
		for (int i = 0; i < STRIPS; i++) {
			double y = radius - lift * (i + 0.5) / STRIPS;
			sum += 2.0 * sqrt(radius * radius - y * y) * lift / STRIPS;
		}
		JW_NEAR_REL(jw_slide_area(&throat, &slide, lift), sum + 11e-6, 1e-5);
	}
	JW_NEAR_REL(jw_slide_area(&throat, &slide, -1.0), 11e-6, 1e-9);
	JW_NEAR_REL(jw_slide_area(&throat, &slide, 1.0), 0.25 * JW_PI * 23.7e-3 * 23.7e-3, 1e-12);
}

Test(carburetor, lift_balances_weight_and_spring)
{
	jw_throat throat = {.bore_m = 23e-3, .coefficient = 0.82};
	jw_slide slide = {.diaphragm_m = 54e-3,
	                  .mass_kg = 0.031,
	                  .spring_closed_n = 1.9,
	                  .spring_rate_n_m = 21,
	                  .base_area_m2 = 40e-6,
	                  .stuck_lift_m = -1};
	jw_gas air = {295.0, 287.3, 1.81e-5};
	for (double flow = 2e-3; flow < 8e-3; flow += 0.7e-3) {
		double lift, downstream;
		cr_assert(jw_slide_lift(&throat, &slide, &air, 99e3, 99e3, flow, 1.9, &lift, NULL) >= 0);
		jw_gas_downstream_pressure(0.82 * jw_slide_area(&throat, &slide, lift), &air, 99e3, flow, &downstream);
		JW_NEAR_REL(1.9 * (99e3 - downstream), jw_slide_depression(&slide, lift), 1e-5);
	}
}

Test(carburetor, port_is_uncovered_as_a_circle_is)
{
	jw_plate plate = {.bore_m = 26e-3, .closed_rad = 0.14};
	jw_port port = {0.8e-3, 1.3e-3};
	double before = 0.0;
	for (double angle = 0.14; angle < 0.5; angle += 0.004) {
		double share = jw_port_exposure(&plate, &port, angle), sum = 0.0;
		/* closed it touches the wall r tan(closed) along the bore from its axle; turned it keeps its length */
		double length = hypot(0.5 * plate.bore_m, 0.5 * plate.bore_m * tan(plate.closed_rad));
		double edge = length * sin(angle) - 0.5 * plate.bore_m * tan(plate.closed_rad) - port.position_m;
		for (int i = 0; i < STRIPS; i++) {
			double x = port.diameter_m * ((i + 0.5) / STRIPS - 0.5);
			sum += x < edge ? sqrt(0.25 * port.diameter_m * port.diameter_m - x * x) : 0.0;
		}
		sum *= 2.0 * port.diameter_m / STRIPS / (0.25 * JW_PI * port.diameter_m * port.diameter_m);
		JW_NEAR_ABS(share, sum, 2e-4);
		cr_expect(share >= before);
		before = share;
	}
	JW_NEAR_ABS(before, 1.0, 0.0);
}

/* Ring between jet and needle: half the difference of the diameters on the circle midway. By hand, millimetres:
 * straight 2.205 up to a lift of 2.5, then thinner by 2 tan(0.7 deg) = 0.024436 a millimetre, never below 1.6. */
Test(carburetor, needle_leaves_a_ring)
{
	const jw_needle stock = {2.24e-3, 2.205e-3, 2.5e-3, 1.4 * JW_PI / 180, 1.6e-3, 0, 0.7};
	const struct {
		double lift_mm, raised_mm, diameter_mm;
	} rows[] = {
	    {0, 0, 2.205},     {2.5, 0, 2.205},      {7.3, 0, 2.0877072}, {7.3, -4.8, 2.205}, {6.3, 1, 2.0877072},
	    {1.6, 0.7, 2.205}, {27.1, 0, 1.6038745}, {27.4, 0, 1.6},      {60, 0, 1.6},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_needle needle = stock;
		needle.raised_m = rows[i].raised_mm * 1e-3;
		double d = rows[i].diameter_mm, ring = JW_PI * 0.5 * (2.24 + d) * 0.5 * (2.24 - d);
		JW_NEAR_REL(jw_needle_area(&needle, rows[i].lift_mm * 1e-3), ring * 1e-6, 1e-5);
	}
	const jw_needle nozzle = {.jet_m = 2.08e-3},
	                stuffed = {.jet_m = 2.2e-3, .straight_m = 2.21e-3, .straight_length_m = 1};
	JW_NEAR_REL(jw_needle_area(&nozzle, 5e-3), 0.25 * JW_PI * 2.08e-3 * 2.08e-3, 1e-14);
	cr_expect_eq(jw_needle_area(&stuffed, 5e-3), 0);
}

/* Side of the frustum from the hole's edge to the nearest point of the lifted cone, found by search. */
static double gap_by_search(double lift, double hole, double cone)
{
	double radius = 0.5 * hole, half = 0.5 * cone, nearest = INFINITY, foot = 0;
	for (int i = 0; i <= STRIPS; i++) { /* points of the cone by their own radius, above and below the edge */
		double own = radius * i / STRIPS, height = lift - (radius - own) / tan(half);
		double distance = hypot(radius - own, height);
		if (distance < nearest)
			nearest = distance, foot = own;
	}
	return fmin(JW_PI * (radius + foot) * nearest, JW_PI * radius * radius);
}

Test(carburetor, cone_leaves_the_side_of_a_frustum)
{
	jw_screw screw = {.pitch_m = 0.5e-3, .hole_m = 0.9e-3, .air_seat_m = 1.3e-3, .open_area = 1};
	const double cones[] = {0.21, 0.43, 0.9, 1.5};
	const double turns[] = {0.13, 0.71, 1.9, 3.3};
	for (size_t i = 0; i < sizeof cones / sizeof *cones; i++)
		for (size_t k = 0; k < sizeof turns / sizeof *turns; k++) {
			screw.cone_rad = cones[i], screw.turns = turns[k];
			double lift = turns[k] * 0.5e-3;
			JW_NEAR_REL(jw_screw_area(&screw), gap_by_search(lift, 0.9e-3, cones[i]), 1e-3);
			JW_NEAR_REL(jw_air_screw_area(&screw), gap_by_search(lift, 1.3e-3, cones[i]), 1e-3);
		}
}

Test(carburetor, screws_open_and_close)
{
	const double hole = 0.25 * JW_PI * 0.81e-6;
	jw_screw screw = {.pitch_m = 0.5e-3, .hole_m = 0.9e-3, .air_seat_m = 1.3e-3, .cone_rad = 0.3, .open_area = 0.6};
	double before = -1.0, air_before = -1.0;
	for (screw.turns = 0; screw.turns < 30; screw.turns += 0.037) {
		double area = jw_screw_area(&screw), air = jw_air_screw_area(&screw);
		cr_expect(area >= before && area <= 0.6 * hole * (1 + 1e-12), "%g turns", screw.turns);
		cr_expect(air >= air_before, "%g turns", screw.turns);
		before = area, air_before = air;
	}
	JW_NEAR_REL(before, 0.6 * hole, 1e-12);
	JW_NEAR_REL(air_before, 0.25 * JW_PI * 1.69e-6, 1e-12);
	screw.turns = 0;
	cr_expect_eq(jw_screw_area(&screw), 0.0);
	cr_expect_eq(jw_air_screw_area(&screw), 0.0);
	screw.kind = JW_AIR_SCREW; /* its outlet is a plain hole */
	JW_NEAR_REL(jw_screw_area(&screw), 0.6 * hole, 1e-12);
}

Test(carburetor, rod_fills_its_jet)
{
	const jw_orifice jet = {1.41e-3, 4e-3, 0.7};
	const jw_rod rod = {0.61e-3, 0.2e-3, 0.7}, none = {0}, thick = {1.5e-3, 1.5e-3, 0.5};
	const jw_orifice lean = jw_rod_jet(&jet, &rod, 0.69), rich = jw_rod_jet(&jet, &rod, 0.7);
	JW_NEAR_REL(jw_orifice_area(&lean), jw_orifice_area(&jet) - 0.25 * JW_PI * 0.61e-3 * 0.61e-3, 1e-12);
	JW_NEAR_REL(jw_orifice_area(&rich), jw_orifice_area(&jet) - 0.25 * JW_PI * 0.2e-3 * 0.2e-3, 1e-12);
	cr_expect(lean.length_m == 4e-3 && lean.coefficient == 0.7);
	cr_expect_eq(jw_rod_jet(&jet, &none, 0.3).diameter_m, 1.41e-3);
	cr_expect_eq(jw_rod_jet(&jet, &thick, 0.3).diameter_m, 0);
}

Test(carburetor, critical_ratio_is_that_of_air)
{
	JW_NEAR_ABS(JW_CRITICAL_RATIO, jw_critical_pressure_ratio(1.4), 1e-16);
}

Test(carburetor, no_plate_lets_nothing_past)
{
	const jw_plate none = {.shaft_m = 5e-3}, all_shaft = {.bore_m = 5e-3, .shaft_m = 5e-3};
	cr_expect_eq(jw_plate_area(&none, 1), 0);
	cr_expect_eq(jw_plate_area(&all_shaft, 1), 0);
}

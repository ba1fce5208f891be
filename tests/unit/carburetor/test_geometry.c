/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Areas against numerical integration of the shapes that they stand for. */
#include "near.h"
#include <jetwright/carburetor.h>

#define STRIPS 20000
#define PI 3.14159265358979323846

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
			double bore = 0.25 * PI * plate.bore_m * plate.bore_m;
			JW_NEAR_ABS(jw_plate_area(&plate, angle) / bore, projected(&plate, angle) / bore, 2e-6);
		}
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
	JW_NEAR_REL(jw_slide_area(&throat, &slide, 1.0), 0.25 * PI * 23.7e-3 * 23.7e-3, 1e-12);
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
		double edge = 0.5 * plate.bore_m * (sin(angle) - sin(plate.closed_rad)) - port.position_m;
		for (int i = 0; i < STRIPS; i++) {
			double x = port.diameter_m * ((i + 0.5) / STRIPS - 0.5);
			sum += x < edge ? sqrt(0.25 * port.diameter_m * port.diameter_m - x * x) : 0.0;
		}
		sum *= 2.0 * port.diameter_m / STRIPS / (0.25 * PI * port.diameter_m * port.diameter_m);
		JW_NEAR_ABS(share, sum, 2e-4);
		cr_expect(share >= before);
		before = share;
	}
	JW_NEAR_ABS(before, 1.0, 0.0);
}

Test(carburetor, screws_open_and_close)
{
	jw_screw screw = {.turns = 0, .pitch_m = 0.5e-3, .hole_m = 0.9e-3, .cone_rad = 0.3, .open_area = 1};
	double before = -1.0;
	for (screw.turns = 0; screw.turns < 8; screw.turns += 0.37) {
		double area = jw_screw_area(&screw);
		cr_expect(area >= before && area <= 0.25 * PI * 0.81e-6 * 1.0000001);
		before = area;
	}
	screw.turns = 0;
	cr_expect_eq(jw_screw_area(&screw), 0.0);
}

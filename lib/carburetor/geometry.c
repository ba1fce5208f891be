/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/air.h>
#include <jetwright/carburetor.h>

#include "base/base.h"
#include "carburetor/near.h"

/* Heywood 1988, 7.6, in shares of the bore's area: the bore less the union of tilted plate and shaft. The signs of the
 * arcsine terms follow from that union; the tests compare with a numerical projection. */
double jw_plate_area(const jw_plate *plate, double angle_rad)
{
	double bore = 0.25 * JW_PI * jw_square(plate->bore_m);
	double a = plate->shaft_m / plate->bore_m;
	if (!(a < 1.0)) /* no plate, or nothing but shaft */
		return 0.0;
	double ratio = cos(jw_clamp(angle_rad, plate->closed_rad, 0.5 * JW_PI)) / cos(plate->closed_rad);
	double shaft = 2.0 / JW_PI * (a * sqrt(1.0 - a * a) + asin(a));
	/* Beyond this angle the plate hides behind its shaft. */
	if (ratio <= a)
		return bore * (1.0 - shaft);
	double beside = a > 0.0 ? a * sqrt(1.0 - jw_square(a / ratio)) + ratio * asin(a / ratio) : 0.0;
	return bore * fmax(1.0 - ratio + 2.0 / JW_PI * beside - shaft, 0.0);
}

double jw_plate_angle(const jw_plate *plate, double throttle)
{
	return plate->idle_rad + jw_clamp(throttle, 0.0, 1.0) * (0.5 * JW_PI - plate->idle_rad);
}

double jw_slide_area(const jw_throat *throat, const jw_slide *slide, double lift_m)
{
	double radius = 0.5 * throat->bore_m;
	double lift = jw_clamp(lift_m, 0.0, throat->bore_m);
	double below = radius - lift;
	double segment = radius * radius * acos(below / radius) - below * sqrt(fmax(radius * radius - below * below, 0.0));
	return fmin(segment + slide->base_area_m2, JW_PI * radius * radius);
}

double jw_slide_depression(const jw_slide *slide, double lift_m)
{
	double force = slide->mass_kg * JW_GRAVITY + slide->spring_closed_n + slide->spring_rate_n_m * lift_m;
	return force / (0.25 * JW_PI * jw_square(slide->diaphragm_m));
}

double jw_needle_area(const jw_needle *needle, double lift_m)
{
	double in_taper = fmax(lift_m + needle->raised_m - needle->straight_length_m, 0.0);
	double diameter = fmax(needle->straight_m - 2.0 * tan(0.5 * needle->taper_rad) * in_taper, needle->tip_m);
	return 0.25 * JW_PI * fmax(jw_square(needle->jet_m) - jw_square(diameter), 0.0);
}

/* A cone lifted out of a sharp-edged hole leaves the side of a frustum, at most the hole. */
static double cone_gap(double lift_m, double hole_m, double cone_rad)
{
	double s = sin(0.5 * cone_rad), c = cos(0.5 * cone_rad);
	double lift = fmin(lift_m, hole_m / (2.0 * s * c));
	return fmin(JW_PI * lift * s * (hole_m - lift * s * c), 0.25 * JW_PI * jw_square(hole_m));
}

double jw_screw_area(const jw_screw *screw)
{
	if (screw->kind == JW_AIR_SCREW)
		return screw->open_area * 0.25 * JW_PI * jw_square(screw->hole_m);
	return screw->open_area * cone_gap(screw->turns * screw->pitch_m, screw->hole_m, screw->cone_rad);
}

double jw_air_screw_area(const jw_screw *screw)
{
	return cone_gap(screw->turns * screw->pitch_m, screw->air_seat_m, screw->cone_rad);
}

double jw_choke_area(const jw_choke *choke, double shut)
{
	double angle = choke->closed_rad + (1.0 - jw_clamp(shut, 0.0, 1.0)) * (0.5 * JW_PI - choke->closed_rad);
	jw_plate plate = {.bore_m = choke->bore_m, .shaft_m = choke->shaft_m, .closed_rad = choke->closed_rad};
	return fmin(jw_plate_area(&plate, angle) + choke->relief_m2, 0.25 * JW_PI * jw_square(choke->bore_m));
}

double jw_rod_in_jet(const jw_rod *rod, double throttle)
{
	return throttle < rod->from_throttle ? rod->lean_m : rod->rich_m;
}

jw_orifice jw_rod_jet(const jw_orifice *jet, const jw_rod *rod, double throttle)
{
	jw_orifice left = *jet;
	left.diameter_m = sqrt(fmax(jw_square(jet->diameter_m) - jw_square(jw_rod_in_jet(rod, throttle)), 0.0));
	return left;
}

/* Share of a circle's area below a chord at height h of its diameter d. */
static double circle_share(double h, double d)
{
	double x = jw_clamp(2.0 * h / d - 1.0, -1.0, 1.0);
	return 0.5 + (x * sqrt(1.0 - x * x) + asin(x)) / JW_PI;
}

double jw_port_exposure(const jw_plate *plate, const jw_port *port, double angle_rad)
{
	/* The plate is an ellipse that fills the bore at its closed angle: longer than the bore is wide. */
	double edge = 0.5 * plate->bore_m / cos(plate->closed_rad) * (sin(angle_rad) - sin(plate->closed_rad));
	return circle_share(edge - port->position_m + 0.5 * port->diameter_m, port->diameter_m);
}

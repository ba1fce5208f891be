/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/carburetor.h>

#include "base/base.h"
#include "solve/root.h"

/* The flow at which filter losses are stated is measured in air of this density. */
#define LOSS_DENSITY 1.2
/* Share of the choked flow taken as the most a throat can pass, so that a pressure always belongs to a flow. */
#define CAPACITY_SHARE 0.98
#define LIFT_TOLERANCE_M 1e-9

static double gas_density(const jw_gas *air, double pressure_pa)
{
	return pressure_pa / (air->gas_constant_j_kg_k * air->temperature_k);
}

/* Pa per (kg/s)^2 */
static double intake_resistance(const jw_intake *intake, double density)
{
	if (!(intake->loss_pa > 0.0))
		return 0.0;
	return intake->loss_pa / jw_square(intake->loss_flow_kg_s) * LOSS_DENSITY / density;
}

static double steady_depression(const jw_gas *air, double effective_area_m2, double upstream_pa, double kg_s)
{
	double downstream;
	jw_gas_downstream_pressure(effective_area_m2, air, upstream_pa, kg_s, &downstream);
	return upstream_pa - downstream;
}

typedef struct float_balance {
	const jw_throat *throat;
	const jw_slide *slide;
	const jw_gas *air;
	double upstream_pa, kg_s, gain;
} float_balance;

/* Weight and spring less the pull of the depression: rises with lift, so the lift is unique. */
static double downward_excess(double lift_m, void *context)
{
	const float_balance *b = context;
	double area = b->throat->coefficient * jw_slide_area(b->throat, b->slide, lift_m);
	return jw_slide_depression(b->slide, lift_m) - b->gain * steady_depression(b->air, area, b->upstream_pa, b->kg_s);
}

jw_status jw_slide_lift(const jw_throat *throat, const jw_slide *slide, const jw_gas *air, double upstream_pa,
                        double kg_s, double depression_gain, double *lift_m, jw_error *error)
{
	if (slide->stuck_lift_m >= 0.0) {
		*lift_m = fmin(slide->stuck_lift_m, throat->bore_m);
		return JW_OK;
	}
	float_balance b = {throat, slide, air, upstream_pa, kg_s, depression_gain};
	if (downward_excess(0.0, &b) >= 0.0) {
		*lift_m = 0.0;
		return JW_OK;
	}
	if (downward_excess(throat->bore_m, &b) <= 0.0) {
		*lift_m = throat->bore_m;
		return JW_OK;
	}
	return jw_root(downward_excess, &b, 0.0, throat->bore_m, LIFT_TOLERANCE_M, lift_m, error);
}

static double widest_throat(const jw_carburetor *c)
{
	double lift = c->slide.stuck_lift_m >= 0.0 ? c->slide.stuck_lift_m : c->throat.bore_m;
	return c->throat.coefficient * jw_slide_area(&c->throat, &c->slide, lift);
}

/* The flow m at which m = share * choked flow behind the filter, whose loss grows with m^2. */
double jw_carburetor_capacity(const jw_carburetor *c, const jw_gas *air, double ambient_pa)
{
	double choked = CAPACITY_SHARE * jw_gas_choked_flow(widest_throat(c), air, ambient_pa);
	double k = intake_resistance(&c->intake, gas_density(air, ambient_pa)) * choked / ambient_pa;
	return 2.0 * choked / (1.0 + sqrt(1.0 + 4.0 * k * choked));
}

jw_status jw_carburetor_air(const jw_carburetor *c, const jw_gas *air, double ambient_pa, double kg_s,
                            double depression_gain, jw_air_path *path, jw_error *error)
{
	double capacity = jw_carburetor_capacity(c, air, ambient_pa);
	double flow = jw_clamp(kg_s, 0.0, capacity);
	double box = ambient_pa - intake_resistance(&c->intake, gas_density(air, ambient_pa)) * flow * flow;
	double lift;
	jw_status status = jw_slide_lift(&c->throat, &c->slide, air, box, flow, depression_gain, &lift, error);
	if (status < 0)
		return status;
	double area = jw_slide_area(&c->throat, &c->slide, lift);
	double steady = steady_depression(air, c->throat.coefficient * area, box, flow);
	/* A mean depression below the critical pressure has no meaning for a pulse that chokes. */
	double mean = fmin(depression_gain * steady, box * (1.0 - jw_critical_pressure_ratio(1.4)));
	*path = (jw_air_path){
	    .box_pa = box,
	    .throat_pa = box - mean,
	    .throat_steady_pa = box - steady,
	    .plate_pa = box - (1.0 - c->throat.recovery) * mean,
	    .lift_m = lift,
	    .throat_area_m2 = area,
	};
	return kg_s > capacity ? JW_W_CHOKED : status;
}

double jw_carburetor_plate(const jw_carburetor *c, double throttle)
{
	return c->plate.coefficient * jw_plate_area(&c->plate, jw_plate_angle(&c->plate, throttle));
}

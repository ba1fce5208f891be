/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/carburetor.h>

#include "base/base.h"
#include "carburetor/nozzle.h"
#include "solve/root.h"

/* The flow at which filter losses are stated is measured in air of this density. */
#define LOSS_DENSITY 1.2
/* Share of the choked flow taken as the most that plate and throat can pass, so that a pressure always belongs to a
 * flow. */
#define CAPACITY_SHARE 0.98
#define LIFT_TOLERANCE_M 1e-9
#define LEAST_REFERENCE_PA 50.0

static double gas_density(const jw_gas *air, double pressure_pa)
{
	return pressure_pa / (air->gas_constant_j_kg_k * air->temperature_k);
}

/* Filter and airbox: Pa per (kg/s)^2. */
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

static double behind_choke(const jw_choke *choke, double shut, const jw_gas *air, double box_pa, double kg_s)
{
	if (!(choke->bore_m > 0.0))
		return box_pa;
	return box_pa - steady_depression(air, choke->coefficient * jw_choke_area(choke, shut), box_pa, kg_s);
}

/* What chokes the throat, or the choke plate ahead of it. */
static double choked_flow(const jw_choke *choke, double shut, double throat_area_m2, const jw_gas *air, double box_pa)
{
	if (!(choke->bore_m > 0.0))
		return jw_gas_choked_flow(throat_area_m2, air, box_pa);
	return jw_gas_choked_series(choke->coefficient * jw_choke_area(choke, shut), throat_area_m2, air, box_pa);
}

typedef struct float_balance {
	const jw_throat *throat;
	const jw_slide *slide;
	const jw_gas *air;
	double upstream_pa, reference_pa, kg_s, gain;
} float_balance;

/* Weight and spring less the pull of the depression: rises with lift, so the lift is unique. */
static double downward_excess(double lift_m, void *context)
{
	const float_balance *b = context;
	double area = b->throat->coefficient * jw_slide_area(b->throat, b->slide, lift_m);
	double pull = b->gain * steady_depression(b->air, area, b->upstream_pa, b->kg_s) + b->reference_pa - b->upstream_pa;
	return jw_slide_depression(b->slide, lift_m) - pull;
}

jw_status jw_slide_lift(const jw_throat *throat, const jw_slide *slide, const jw_gas *air, double upstream_pa,
                        double reference_pa, double kg_s, double depression_gain, double *lift_m, jw_error *error)
{
	if (slide->stuck_lift_m >= 0.0) {
		*lift_m = fmin(slide->stuck_lift_m, throat->bore_m);
		return JW_OK;
	}
	float_balance b = {throat, slide, air, upstream_pa, reference_pa, kg_s, depression_gain};
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

/* ---- one row a kind of carburetor ---- */

static double floating_widest(const jw_carburetor *c, double throttle)
{
	(void)throttle;
	return c->slide.stuck_lift_m >= 0.0 ? fmin(c->slide.stuck_lift_m, c->throat.bore_m) : c->throat.bore_m;
}

static double lifted(const jw_carburetor *c, double throttle)
{
	if (c->slide.stuck_lift_m >= 0.0)
		return fmin(c->slide.stuck_lift_m, c->throat.bore_m);
	return c->slide.idle_lift_m + jw_clamp(throttle, 0.0, 1.0) * (c->slide.full_lift_m - c->slide.idle_lift_m);
}

static double bare_bore(const jw_carburetor *c, double throttle)
{
	(void)throttle;
	return c->throat.bore_m;
}

static double floating_reference(const jw_carburetor *c, const jw_gas *air, double ambient_pa, double kg_s)
{
	(void)air, (void)ambient_pa, (void)kg_s;
	return jw_slide_depression(&c->slide, 0.5 * c->throat.bore_m);
}

static double open_reference(const jw_carburetor *c, const jw_gas *air, double ambient_pa, double kg_s)
{
	double area = c->throat.coefficient * 0.25 * JW_PI * jw_square(c->throat.bore_m);
	return fmax(steady_depression(air, area, ambient_pa, kg_s), LEAST_REFERENCE_PA);
}

static double plate_opening(const jw_carburetor *c, double throttle)
{
	return c->plate.coefficient * jw_plate_area(&c->plate, jw_plate_angle(&c->plate, throttle));
}

static double rear_edge_opening(const jw_carburetor *c, double throttle)
{
	return c->throat.coefficient * jw_slide_area(&c->throat, &c->slide, lifted(c, throttle));
}

static const struct kind_row {
	int floats;                                                /* lift follows the flow */
	double (*widest)(const jw_carburetor *c, double throttle); /* lift that opens the throat most */
	double (*reference)(const jw_carburetor *c, const jw_gas *air, double ambient_pa, double kg_s);
	double (*opening)(const jw_carburetor *c, double throttle); /* Cd A of what throttles */
} kinds[JW_CARBURETOR_KIND_COUNT] = {
    [JW_CONSTANT_DEPRESSION] = {1, floating_widest, floating_reference, plate_opening},
    [JW_PISTON_SLIDE] = {0, lifted, open_reference, rear_edge_opening},
    [JW_FIXED_VENTURI] = {0, bare_bore, open_reference, plate_opening},
};

/* The front edge stands higher than the rear one by the cutaway; other kinds have none. */
static double throat_area(const jw_carburetor *c, double lift_m)
{
	return jw_slide_area(&c->throat, &c->slide, lift_m + c->slide.cutaway_m);
}

/* ---- the path ---- */

/* The flow m at which m = share * choked flow behind the filter, whose loss grows with m^2. */
double jw_carburetor_capacity(const jw_carburetor *c, const jw_controls *controls, const jw_gas *air, double ambient_pa)
{
	double density = gas_density(air, ambient_pa);
	double throat = c->throat.coefficient * throat_area(c, kinds[c->kind].widest(c, controls->throttle));
	double choked = CAPACITY_SHARE * choked_flow(&c->choke, controls->enrichener, throat, air, ambient_pa);
	double k = intake_resistance(&c->intake, density) * choked / ambient_pa;
	return 2.0 * choked / (1.0 + sqrt(1.0 + 4.0 * k * choked));
}

jw_status jw_carburetor_air(const jw_carburetor *c, const jw_controls *controls, const jw_gas *air, double ambient_pa,
                            double kg_s, double depression_gain, jw_air_path *path, jw_error *error)
{
	double capacity = jw_carburetor_capacity(c, controls, air, ambient_pa);
	double density = gas_density(air, ambient_pa);
	double flow = jw_clamp(kg_s, 0.0, capacity);
	double box = ambient_pa - intake_resistance(&c->intake, density) * flow * flow;
	double mouth = behind_choke(&c->choke, controls->enrichener, air, box, flow);
	double lift = kinds[c->kind].widest(c, controls->throttle);
	jw_status status = JW_OK;
	if (kinds[c->kind].floats) {
		double reference = c->slide.reference == JW_VENT_ATMOSPHERE ? ambient_pa : box;
		status = jw_slide_lift(&c->throat, &c->slide, air, mouth, reference, flow, depression_gain, &lift, error);
	}
	if (status < 0)
		return status;
	double area = throat_area(c, lift);
	double steady = steady_depression(air, c->throat.coefficient * area, mouth, flow);
	/* A mean depression below the critical pressure has no meaning for a pulse that chokes. */
	double mean = fmin(depression_gain * steady, mouth * (1.0 - JW_CRITICAL_RATIO));
	*path = (jw_air_path){
	    .box_pa = box,
	    .mouth_pa = mouth,
	    .throat_pa = mouth - mean,
	    .throat_steady_pa = mouth - steady,
	    .plate_pa = mouth - (1.0 - c->throat.recovery) * mean,
	    .lift_m = lift,
	    .throat_area_m2 = area,
	};
	return kg_s > capacity ? JW_W_CHOKED : status;
}

double jw_carburetor_reference(const jw_carburetor *c, const jw_gas *air, double ambient_pa, double kg_s)
{
	return kinds[c->kind].reference(c, air, ambient_pa, kg_s);
}

double jw_carburetor_plate(const jw_carburetor *c, double throttle)
{
	return kinds[c->kind].opening(c, throttle);
}

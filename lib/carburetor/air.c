/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/carburetor.h>

#include "base/base.h"
#include "carburetor/near.h"
#include "carburetor/nozzle.h"
#include "carburetor/slide.h"
#include "solve/root.h"

/* The flow at which filter losses are stated is measured in air of this density. */
#define LOSS_DENSITY 1.2
/* Share of the choked flow taken as the most that plate and throat can pass, so that a pressure always belongs to a
 * flow. */
#define CAPACITY_SHARE 0.98
/* Of the flow that floats the slide and the one that passes. */
#define LIFT_IMBALANCE 1e-10
/* Of the bore: as near to a stop as the search for the lift may end, where the slide lies on it. */
#define ON_STOP 1e-12
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

typedef struct float_balance {
	const jw_throat *throat;
	const jw_slide *slide;
	const jw_gas *air;
	double upstream_pa, reference_pa, kg_s, gain;
} float_balance;

/* The fall of pressure into the throat that floats the slide at a lift. */
static double floating_drop(const float_balance *b, double lift_m)
{
	return (jw_slide_depression(b->slide, lift_m) + b->upstream_pa - b->reference_pa) / b->gain;
}

/* The flow that would float the slide at a lift, against the one that passes; rises with lift, so the lift is unique.
 */
static double floating_excess(double lift_m, void *context)
{
	const float_balance *b = context;
	double drop = floating_drop(b, lift_m), flow = 0.0;
	if (drop > 0.0)
		jw_gas_mass_flow(b->throat->coefficient * jw_slide_area(b->throat, b->slide, lift_m), b->air, b->upstream_pa,
		                 b->upstream_pa - drop, &flow);
	return flow > 0.0 ? (flow - b->kg_s) / (flow + b->kg_s) : -1.0;
}

static int is_off_stops(const jw_throat *throat, double lift_m)
{
	double nearest = fmin(lift_m, throat->bore_m - lift_m);
	return nearest > ON_STOP * throat->bore_m;
}

static jw_guess lift_guess(double bore_m, double near_m)
{
	double start = near_m >= 0.0 && near_m <= bore_m ? near_m : 0.5 * bore_m;
	return (jw_guess){0.0, bore_m, start, 0.5 / start}; /* as if the area were in proportion to the lift */
}

jw_guess jw_lift_guess(const jw_carburetor *carburetor, double near_m)
{
	return lift_guess(carburetor->throat.bore_m, near_m);
}

static jw_status float_slide(float_balance *b, jw_guess *lift, jw_error *error)
{
	if (b->slide->stuck_lift_m >= 0.0) {
		lift->x = fmin(b->slide->stuck_lift_m, b->throat->bore_m);
		return JW_OK;
	}
	return jw_rising_root(floating_excess, b, lift, LIFT_IMBALANCE, error);
}

jw_status jw_slide_lift(const jw_throat *throat, const jw_slide *slide, const jw_gas *air, double upstream_pa,
                        double reference_pa, double kg_s, double depression_gain, double *lift_m, jw_error *error)
{
	float_balance b = {throat, slide, air, upstream_pa, reference_pa, kg_s, depression_gain};
	jw_guess lift = lift_guess(throat->bore_m, NAN);
	jw_status status = float_slide(&b, &lift, error);
	if (status >= 0)
		*lift_m = lift.x;
	return status;
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

static double bore_area(const jw_carburetor *c)
{
	return 0.25 * JW_PI * jw_square(c->throat.bore_m);
}

static double open_reference(const jw_carburetor *c, const jw_gas *air, double ambient_pa, double kg_s)
{
	double area = c->throat.coefficient * bore_area(c);
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
	int slide_throttles; /* nozzle and ports lie under it, a power jet ahead of it */
} kinds[JW_CARBURETOR_KIND_COUNT] = {
    [JW_CONSTANT_DEPRESSION] = {1, floating_widest, floating_reference, plate_opening, 0},
    [JW_PISTON_SLIDE] = {0, lifted, open_reference, rear_edge_opening, 1},
    [JW_FIXED_VENTURI] = {0, bare_bore, open_reference, plate_opening, 0},
};

/* Under the front edge of a lifted slide, which stands higher than the rear one; a floating slide has one edge. */
double jw_throat_area(const jw_carburetor *c, double lift_m)
{
	double cutaway = kinds[c->kind].floats ? 0.0 : c->slide.cutaway_m;
	return c->throat.coefficient * jw_slide_area(&c->throat, &c->slide, lift_m + cutaway);
}

double jw_power_share(const jw_carburetor *c, double lift_m)
{
	return kinds[c->kind].slide_throttles ? jw_square(jw_throat_area(c, lift_m) / bore_area(c)) : 1.0;
}

double jw_power_pa(const jw_carburetor *c, double share, double mouth_pa, double nozzle_pa, double plate_pa)
{
	if (kinds[c->kind].slide_throttles && plate_pa > mouth_pa)
		return mouth_pa;
	return mouth_pa - share * (mouth_pa - nozzle_pa);
}

int jw_ports_at_nozzle(const jw_carburetor *c)
{
	return kinds[c->kind].slide_throttles;
}

/* ---- the path ---- */

/* The flow m at which m = share * choked flow behind the filter, whose loss grows with m^2. */
static double capacity_of(const jw_path *p)
{
	double choked =
	    CAPACITY_SHARE * (p->choke_m2 > 0.0 ? jw_gas_choked_series(p->choke_m2, p->throat_m2, p->air, p->ambient_pa)
	                                        : jw_gas_choked_flow(p->throat_m2, p->air, p->ambient_pa));
	double k = p->filter_pa * choked / p->ambient_pa;
	return 2.0 * choked / (1.0 + sqrt(1.0 + 4.0 * k * choked));
}

jw_path jw_path_of(const jw_carburetor *c, const jw_controls *controls, const jw_gas *air, double ambient_pa,
                   double depression_gain)
{
	const jw_choke *choke = &c->choke;
	jw_path p = {.carburetor = c, .air = air, .ambient_pa = ambient_pa, .depression_gain = depression_gain};
	p.filter_pa = intake_resistance(&c->intake, gas_density(air, ambient_pa));
	p.choke_m2 = choke->bore_m > 0.0 ? choke->coefficient * jw_choke_area(choke, controls->enrichener) : 0.0;
	p.widest_m = kinds[c->kind].widest(c, controls->throttle);
	p.throat_m2 = jw_throat_area(c, p.widest_m);
	p.capacity_kg_s = capacity_of(&p);
	return p;
}

double jw_carburetor_capacity(const jw_carburetor *c, const jw_controls *controls, const jw_gas *air, double ambient_pa)
{
	return jw_path_of(c, controls, air, ambient_pa, 1.0).capacity_kg_s;
}

/* Off its stops the slide itself tells the drop: near the choke, or all but shut, the flow hardly does. */
static int slide_tells_drop(const jw_carburetor *c, double kg_s, double lift_m)
{
	return kg_s > 0.0 && jw_slide_floats(c) && is_off_stops(&c->throat, lift_m);
}

jw_status jw_path_at(const jw_path *p, double kg_s, jw_guess *guess, jw_air_path *at, jw_error *error)
{
	const jw_carburetor *c = p->carburetor;
	double flow = jw_clamp(kg_s, 0.0, p->capacity_kg_s);
	double box = p->ambient_pa - p->filter_pa * flow * flow;
	double mouth = p->choke_m2 > 0.0 ? box - steady_depression(p->air, p->choke_m2, box, flow) : box;
	double most_drop = mouth * (1.0 - JW_CRITICAL_RATIO), lift = p->widest_m, throat = p->throat_m2;
	double reference = c->slide.reference == JW_VENT_ATMOSPHERE ? p->ambient_pa : box;
	float_balance b = {&c->throat, &c->slide, p->air, mouth, reference, flow, p->depression_gain};
	if (kinds[c->kind].floats) {
		jw_status status = float_slide(&b, guess, error);
		if (status < 0)
			return status;
		lift = guess->x;
		throat = jw_throat_area(c, lift);
	}
	double steady = slide_tells_drop(c, flow, lift) ? fmin(floating_drop(&b, lift), most_drop)
	                                                : steady_depression(p->air, throat, mouth, flow);
	/* A mean depression below the critical pressure has no meaning for a pulse that chokes. */
	double mean = fmin(p->depression_gain * steady, most_drop);
	*at = (jw_air_path){
	    .box_pa = box,
	    .mouth_pa = mouth,
	    .throat_pa = mouth - mean,
	    .throat_steady_pa = mouth - steady,
	    .plate_pa = mouth - (1.0 - c->throat.recovery) * mean,
	    .lift_m = lift,
	    .throat_area_m2 = throat / c->throat.coefficient,
	};
	return kg_s > p->capacity_kg_s ? JW_W_CHOKED : JW_OK;
}

jw_status jw_carburetor_air(const jw_carburetor *c, const jw_controls *controls, const jw_gas *air, double ambient_pa,
                            double kg_s, double depression_gain, jw_air_path *path, jw_error *error)
{
	jw_path p = jw_path_of(c, controls, air, ambient_pa, depression_gain);
	jw_guess lift = jw_lift_guess(c, NAN);
	return jw_path_at(&p, kg_s, &lift, path, error);
}

double jw_carburetor_reference(const jw_carburetor *c, const jw_gas *air, double ambient_pa, double kg_s)
{
	return kinds[c->kind].reference(c, air, ambient_pa, kg_s);
}

double jw_carburetor_plate(const jw_carburetor *c, double throttle)
{
	return kinds[c->kind].opening(c, throttle);
}

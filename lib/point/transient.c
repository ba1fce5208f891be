/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/transient.h>

#include "air/limits.h"
#include "base/base.h"
#include "point/burns.h"

#define LEAST_CONSTANT_S 1e-3
/* In phi: below it a later instant is the same mixture but for rounding. */
#define LEAST_LEANING 1e-9

jw_wall jw_film_at(const jw_film *film, double wall_k)
{
	double warmth = jw_clamp((wall_k - JW_FILM_COLD_K) / (JW_FILM_WARM_K - JW_FILM_COLD_K), 0.0, 1.0);
	return (jw_wall){film->cold_share + warmth * (film->warm_share - film->cold_share),
	                 film->cold_s + warmth * (film->warm_s - film->cold_s)};
}

jw_status jw_film_step(const jw_wall *wall, const double entering_kg_s[2], double step_s, double *film_kg,
                       double *cylinder_kg_s, jw_error *error)
{
	const jw_bound bounds[] = {{"wall.share", wall->share, 0.0, 1.0},
	                           {"wall.constant_s", wall->constant_s, LEAST_CONSTANT_S, 1e3},
	                           {"entering_kg_s", entering_kg_s[0], 0.0, 1e3},
	                           {"entering_kg_s", entering_kg_s[1], 0.0, 1e3},
	                           {"step_s", step_s, 0.0, 1e6},
	                           {"film_kg", *film_kg, 0.0, 1e6}};
	jw_status status = jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
	if (status < 0)
		return status;
	double times = step_s / wall->constant_s, faded = -expm1(-times);
	/* What is left at the end of fuel that landed evenly from none to all over the step, over what would lie there. */
	double ramp = times > 0.0 ? 1.0 - faded / times : 0.0;
	double landed = entering_kg_s[0] * faded + (entering_kg_s[1] - entering_kg_s[0]) * ramp;
	*film_kg = fmax(*film_kg * (1.0 - faded) + wall->share * wall->constant_s * landed, 0.0);
	*cylinder_kg_s = (1.0 - wall->share) * entering_kg_s[1] + *film_kg / wall->constant_s;
	return JW_OK;
}

/* What is carried from one instant to the next. */
typedef struct journey {
	const jw_setup *setup;
	const jw_air *air;
	const jw_snap *snap;
	jw_fuel_state fuel;
	jw_wall wall;
	jw_wall manifold;      /* all that enters it stays for a while: a film that takes everything */
	double pump_flow_kg_s; /* while there is any left of the shot */
	/* state */
	double main_kg_s, air_kg_s; /* that enter */
	double shot_kg;             /* pressed out so far */
	double film_kg, manifold_air_kg, manifold_fuel_kg;
} journey;

static double throttle_at(const jw_snap *snap, double time_s)
{
	double moved = snap->opening_s > 0.0 ? jw_clamp(time_s / snap->opening_s, 0.0, 1.0) : time_s > 0.0;
	return (1.0 - moved) * snap->from + moved * snap->to; /* exact at both ends */
}

/* Fuel that the linkage has loaded the pump with at a throttle opening. */
static double loaded(const journey *j, double throttle)
{
	const jw_pump *pump = &j->setup->carburetor.pump;
	return j->fuel.density_kg_m3 * pump->shot_m3 * jw_pump_travel(pump, throttle);
}

/* The main circuit's fuel answers a new depression with the inertia of its column: (L/A) dm/dt = dp - m^2/(2 rho (Cd
 * A)^2), linear about the new flow. */
static double column_constant(const jw_carburetor *c, const jw_mixture *m)
{
	double column = 0.25 * JW_PI * jw_square(c->main_column_bore_m);
	return m->flow.depression_pa > 0.0
	           ? 0.5 * c->main_column_m / column * m->flow.main.fuel_kg_s / m->flow.depression_pa
	           : 0.0;
}

static jw_status point_at(const journey *j, double throttle, jw_mixture *mixture, jw_error *error)
{
	const jw_point point = {j->snap->speed_rev_s, throttle, j->snap->enrichener};
	return jw_mixture_at(j->setup, j->air, &point, mixture, error);
}

/* Time that a charge stays in the manifold; below the least that a film may take there is no manifold to speak of. */
static double manifold_constant(const jw_engine *engine, double speed_rev_s)
{
	double efficiency;
	jw_volumetric_efficiency(engine, speed_rev_s, &efficiency);
	double m3_s = jw_air_consumption(jw_displacement(engine), engine->strokes, speed_rev_s, efficiency, 1.0);
	return fmax(engine->manifold_volume_m3 / m3_s, LEAST_CONSTANT_S);
}

/* Completes an instant whose flows stand. */
static void sum_up(const journey *j, jw_instant *at)
{
	at->film_kg = j->film_kg;
	at->manifold_kg = j->manifold_fuel_kg;
	at->from_film_kg_s = j->film_kg / j->wall.constant_s;
	int burns = jw_burns(at->cylinder_kg_s, at->dry_air_kg_s);
	at->phi = burns ? j->fuel.stoichiometric_afr * at->cylinder_kg_s / at->dry_air_kg_s : 0.0;
}

static jw_status start(journey *j, jw_instant *at, jw_error *error)
{
	jw_mixture m;
	jw_status status = point_at(j, j->snap->from, &m, error);
	if (status < 0)
		return status;
	j->main_kg_s = m.flow.main.fuel_kg_s;
	j->shot_kg = loaded(j, j->snap->from);
	j->air_kg_s = m.dry_air_kg_s;
	j->film_kg = j->wall.share * j->wall.constant_s * m.fuel_kg_s;
	j->manifold_air_kg = j->manifold.constant_s * m.dry_air_kg_s;
	j->manifold_fuel_kg = j->manifold.constant_s * m.fuel_kg_s;
	*at = (jw_instant){.throttle = j->snap->from,
	                   .dry_air_kg_s = m.dry_air_kg_s,
	                   .metered_kg_s = m.fuel_kg_s,
	                   .cylinder_kg_s = m.fuel_kg_s};
	sum_up(j, at);
	return status;
}

/* Fuel past the film into the manifold, and air and fuel out of it: what the film did not keep has entered, so mass
 * closes whatever the step. */
static jw_status pass(journey *j, const double entering_kg_s[2], double air_kg_s, double step, jw_instant *at,
                      jw_error *error)
{
	double film_before = j->film_kg, past;
	jw_status status = jw_film_step(&j->wall, entering_kg_s, step, &j->film_kg, &past, error);
	if (status < 0)
		return status;
	double kept = (j->film_kg - film_before) / step;
	double fuel = fmax(0.5 * (entering_kg_s[0] + entering_kg_s[1]) - kept, 0.0), air = 0.5 * (j->air_kg_s + air_kg_s);
	j->air_kg_s = air_kg_s;
	status =
	    jw_film_step(&j->manifold, (const double[]){fuel, fuel}, step, &j->manifold_fuel_kg, &at->cylinder_kg_s, error);
	if (status == JW_OK)
		status =
		    jw_film_step(&j->manifold, (const double[]){air, air}, step, &j->manifold_air_kg, &at->dry_air_kg_s, error);
	return status;
}

static jw_status advance(journey *j, const jw_instant *before, jw_instant *at, double time_s, jw_error *error)
{
	jw_mixture m;
	double step = time_s - before->time_s, throttle = throttle_at(j->snap, time_s);
	jw_status status = point_at(j, throttle, &m, error);
	if (status < 0)
		return status;
	double constant = column_constant(&j->setup->carburetor, &m);
	double behind = constant > 0.0 ? exp(-step / constant) : 0.0;
	double steady_main = m.flow.main.fuel_kg_s;
	j->main_kg_s = steady_main + (j->main_kg_s - steady_main) * behind;

	/* The spring presses out what is loaded; a closing throttle draws the pump full again. */
	double pressed = fmin(loaded(j, throttle), j->shot_kg + j->pump_flow_kg_s * step);
	double shot = fmax(pressed - j->shot_kg, 0.0);
	j->shot_kg = pressed;

	*at = (jw_instant){.time_s = time_s,
	                   .throttle = throttle,
	                   .metered_kg_s = fmax(m.fuel_kg_s - steady_main + j->main_kg_s, 0.0),
	                   .pump_kg_s = shot / step};
	const double entering[2] = {before->metered_kg_s + at->pump_kg_s, at->metered_kg_s + at->pump_kg_s};
	jw_status passed = pass(j, entering, m.dry_air_kg_s, step, at, error);
	if (passed < 0)
		return passed;
	sum_up(j, at);
	return status;
}

static jw_status check(const jw_snap *snap, int instants, jw_error *error)
{
	const jw_bound bounds[] = {{"snap.from", snap->from, 0.0, 1.0},
	                           {"snap.to", snap->to, 0.0, 1.0},
	                           {"snap.opening_s", snap->opening_s, 0.0, 60.0},
	                           {"snap.wall_k", snap->wall_k, 200.0, 500.0},
	                           {"snap.step_s", snap->step_s, 1e-4, 1.0},
	                           {"instants", instants, 2, 1e6}};
	return jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
}

jw_status jw_snap_follow(const jw_setup *setup, const jw_air *air, const jw_snap *snap, jw_instant *instant,
                         int instants, jw_error *error)
{
	journey j = {.setup = setup, .air = air, .snap = snap};
	jw_status status = check(snap, instants, error);
	if (status == JW_OK)
		status = jw_air_check(air, error);
	if (status == JW_OK)
		status = jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, &j.fuel, error);
	if (status < 0)
		return status;
	const jw_liquid_flow liquid = {j.fuel.density_kg_m3, j.fuel.viscosity_m2_s};
	j.wall = jw_film_at(&setup->film, snap->wall_k);
	j.manifold = (jw_wall){1.0, manifold_constant(&setup->engine, snap->speed_rev_s)};
	j.pump_flow_kg_s = jw_pump_flow(&setup->carburetor.pump, &liquid);
	for (int i = 0; i < instants && status >= 0; i++) {
		jw_status passed =
		    i > 0 ? advance(&j, &instant[i - 1], &instant[i], i * snap->step_s, error) : start(&j, &instant[0], error);
		status = jw_both(status, passed);
	}
	return status;
}

/* Share of a step that lies below zero, linear from one end to the other. */
static double share_below(double from, double to)
{
	double lowest = fmin(from, to), highest = fmax(from, to);
	if (highest <= 0.0)
		return lowest < 0.0;
	return lowest < 0.0 ? -lowest / (highest - lowest) : 0.0;
}

jw_stumble jw_snap_stumble(const jw_instant *instant, int instants, double lean_phi)
{
	jw_stumble s = {.leanest_phi = instant[0].phi, .leanest_s = instant[0].time_s};
	for (int i = 1; i < instants; i++) {
		const jw_instant *before = &instant[i - 1], *at = &instant[i];
		s.lean_s += (at->time_s - before->time_s) * share_below(before->phi - lean_phi, at->phi - lean_phi);
		if (at->phi < s.leanest_phi - LEAST_LEANING) {
			s.leanest_phi = at->phi;
			s.leanest_s = at->time_s;
		}
	}
	return s;
}

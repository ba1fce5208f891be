/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/point.h>

#include "air/limits.h"
#include "base/base.h"
#include "carburetor/near.h"
#include "circuit/near.h"
#include "point/burns.h"
#include "point/leak.h"
#include "solve/root.h"

/* Discharge coefficient of a bore where none is stated: about Lichtarowicz's law where Reynolds numbers are thousands.
 */
#define USUAL_COEFFICIENT 0.75
/* Of what the plate offers and what is needed, as a share of the engine's greatest demand. */
#define IMBALANCE 1e-10
/* No engine draws at this share of ambient pressure; below the lowest pressure of any closed throttle. */
#define LOWEST_SHARE 0.01
/* Of the manifold's pressure, that a table may add to what pulls at the pilot's outlets. */
#define MOST_PILOT_SHARE 0.4
/* Of a map's step beyond which the last two answers foretell nothing. */
#define MOST_STEPS_ON 2.0

static const char *const range_names[JW_RANGE_COUNT] = {"idle", "off_idle", "quarter", "half", "three_quarter", "full"};

const char *jw_range_name(jw_range range)
{
	return (unsigned)range < JW_RANGE_COUNT ? range_names[range] : NULL;
}

/* The air side while the manifold pressure is sought. */
typedef struct balance {
	const jw_setup *setup;
	const jw_air *air;
	const jw_point *point;
	jw_controls controls;
	jw_gas gas;
	jw_pulse pulse;
	double factor[JW_PULSE_FACTORS]; /* of the table; 1 without one */
	jw_path way;
	double plate_area, leak_area;
	double most;  /* demand at ambient pressure */
	double scale; /* of flows */
	jw_guess lift;
	/* of the last trial */
	double manifold_pa, drawn, leak, through;
	jw_air_path path;
	jw_status status;
} balance;

static double demand_at(balance *b, double manifold_pa)
{
	double demand;
	b->status = jw_engine_demand(&b->setup->engine, b->air->pressure_pa, b->air->temperature_k,
	                             b->gas.gas_constant_j_kg_k, manifold_pa, b->point->speed_rev_s, &demand);
	return b->factor[JW_PULSE_AIR] * b->setup->coefficient.air * demand;
}

/* What plate and throat offer less what the engine takes through them, in the scale of its greatest demand. Rises with
 * the root of the depression: flow past a plate is nearly a straight line there. */
static double surplus(double root_depression, void *context)
{
	balance *b = context;
	b->manifold_pa = b->air->pressure_pa - jw_square(root_depression);
	b->drawn = demand_at(b, b->manifold_pa);
	if (b->leak_area > 0.0)
		jw_gas_mass_flow(b->leak_area, &b->gas, b->air->pressure_pa, b->manifold_pa, &b->leak);
	double needed = b->drawn - b->leak, offered;
	b->status |= jw_path_at(&b->way, needed, &b->lift, &b->path, NULL);
	b->status |= jw_gas_mass_flow(b->plate_area, &b->gas, b->path.plate_pa, b->manifold_pa, &offered);
	b->through = fmin(offered, b->way.capacity_kg_s);
	return (b->through - needed) / b->scale;
}

/* Where air does not expand and the leak is tight: losses go with the square of the flow up to the choke, demand falls
 * in a straight line. */
static jw_guess guess_depression(balance *b)
{
	double ambient = b->air->pressure_pa, most_root = sqrt((1.0 - LOWEST_SHARE) * ambient);
	double twice_density = 2.0 * ambient / (b->gas.gas_constant_j_kg_k * b->gas.temperature_k);
	double unregained = (1.0 - b->setup->carburetor.throat.recovery) * b->pulse.throat;
	double loss =
	    b->way.filter_pa + (1.0 / jw_square(b->plate_area) + unregained / jw_square(b->way.throat_m2)) / twice_density;
	double passed = 1.0 / sqrt(loss); /* kg/s per root Pa */
	double fall = (b->most - demand_at(b, 0.5 * ambient)) / (0.5 * ambient);
	double root = 2.0 * b->most / (passed + sqrt(jw_square(passed) + 4.0 * fall * b->most));
	double choked = fmin(jw_gas_choked_flow(b->plate_area, &b->gas, ambient), b->way.capacity_kg_s);
	if (passed * root > choked) {
		passed = 0.0;
		root = sqrt((b->most - choked) / fall);
	}
	if (!(root > 0.0 && root < most_root))
		root = 0.5 * most_root;
	return (jw_guess){0.0, most_root, root, (passed + 2.0 * fall * root) / b->scale};
}

/* By the formulas of engine and speed, or by the table where there is one. */
static jw_status find_pulse(balance *b, double opening_m2)
{
	const jw_setup *s = b->setup;
	double sound = sqrt(JW_AIR_GAMMA * b->gas.gas_constant_j_kg_k * b->gas.temperature_k);
	b->pulse = jw_engine_pulse(&s->engine, b->point->speed_rev_s, opening_m2, sound);
	for (int i = 0; i < JW_PULSE_FACTORS; i++)
		b->factor[i] = 1.0;
	if (s->pulses.nodes < 1)
		return JW_OK;
	jw_status status = jw_pulse_table_at(&s->pulses, b->point->speed_rev_s, b->point->throttle, b->factor);
	b->pulse.throat = b->factor[JW_PULSE_THROAT];
	return status;
}

static jw_status solve_air(balance *b, const jw_mixture *near, jw_error *error)
{
	const jw_setup *s = b->setup;
	double opening = jw_carburetor_plate(&s->carburetor, b->point->throttle);
	double ambient = b->air->pressure_pa;
	jw_status tabulated = find_pulse(b, opening);
	b->way = jw_path_of(&s->carburetor, &b->controls, &b->gas, ambient, b->pulse.throat);
	b->plate_area = b->factor[JW_PULSE_AIR] * opening / sqrt(b->pulse.plate);
	b->leak_area = jw_leak_area(s);
	b->lift = jw_lift_guess(&s->carburetor, near ? near->path.lift_m : NAN);
	b->most = demand_at(b, ambient);
	b->scale = b->most > 0.0 ? b->most : b->way.capacity_kg_s;
	jw_guess guess = guess_depression(b);
	double root = near ? sqrt(ambient - near->manifold_pa) : NAN; /* not a number either where it is above ambient */
	if (root > guess.low && root < guess.high)
		guess.x = root;
	jw_status status = jw_rising_root(surplus, b, &guess, IMBALANCE, error);
	if (status < 0)
		return status;
	/* A plate that chokes is how idle is; the path's own choke is told as its capacity. */
	status = tabulated | (b->status & ~JW_W_CHOKED);
	if (b->through >= b->way.capacity_kg_s)
		status |= JW_W_CAPACITY;
	if (!(opening > 0.0))
		status |= JW_W_CLOSED;
	if (!(b->through > 0.0))
		status |= b->leak > 0.0 ? JW_W_LEAK_ABOVE_DEMAND : JW_W_NO_DEMAND;
	return status;
}

/* By the table: the lift stands as it was tabulated, what is above it grows with the depression.
 * \param share of the nozzle's pull that the outlet feels */
static double gain_above(const balance *b, jw_pulse_factor_kind lift, jw_pulse_factor_kind above, double share)
{
	return b->factor[lift] / jw_steady_pull(&b->path, share) + fmax(b->factor[above], 0.0);
}

/* Of the usual bore that passes as much. */
static double usual_area(const jw_orifice *bore)
{
	double times = bore->coefficient > 0.0 ? bore->coefficient / USUAL_COEFFICIENT : 1.0;
	return times * jw_orifice_area(bore);
}

/* How far the main circuit's fuel follows the mean of the pulses, from geometry and speed, as the parts are stated:
 * what calibration finds and the rod in the jet do not move it. The loss of usual bores is not counted: with it the
 * cycle is farther off, as the depression is but a typical one. */
static double main_gain(const jw_setup *s, const balance *b, double fuel_density)
{
	const jw_carburetor *c = &s->carburetor;
	double jet = c->main.fuel_coefficient * usual_area(&c->main.fuel_jet), bleed = usual_area(&c->main.air_jet);
	if (!(jet > 0.0))
		return 1.0;
	double column = 0.25 * JW_PI * jw_square(c->main_column_bore_m);
	if (s->pulses.nodes > 0)
		return gain_above(b, JW_PULSE_MAIN_LIFT, JW_PULSE_MAIN, 1.0);
	const jw_pulse *pulse = &b->pulse;
	double full_air = jw_air_consumption(jw_displacement(&s->engine), s->engine.strokes, b->point->speed_rev_s, 1.0,
	                                     b->air->density_kg_m3);
	double reference = jw_carburetor_reference(c, &b->gas, b->air->pressure_pa, full_air);
	double constant_s = c->main_column_m / column * jet * sqrt(0.5 * fuel_density / reference);
	/* Bleed air answers at once and takes its part of the swing from the fuel. */
	double carried = jet / (jet + bleed);
	return 1.0 + (pulse->throat - 1.0) * carried * jw_pulse_response(pulse->angular_frequency_rad_s, constant_s);
}

static jw_carburetor calibrated(const jw_setup *s)
{
	jw_carburetor c = s->carburetor;
	c.main.fuel_coefficient *= s->coefficient.main;
	c.pilot.fuel_coefficient *= s->coefficient.pilot;
	c.needle.coefficient *= s->coefficient.needle;
	return c;
}

/* \param draws whether more than bleed air comes: that alone is no filling */
static void sum_up(jw_mixture *m, const jw_air *air, double stoichiometric_afr, int draws)
{
	const jw_carburetor_flow *f = &m->flow;
	m->fuel_kg_s = f->main.fuel_kg_s + f->pilot.fuel_kg_s + f->power.fuel_kg_s + f->enrichener.fuel_kg_s;
	m->air_kg_s = m->plate_kg_s + m->leak_kg_s + jw_circuit_air(&f->main) + jw_circuit_air(&f->pilot) +
	              jw_circuit_air(&f->power) + jw_circuit_air(&f->enrichener);
	m->dry_air_kg_s = m->air_kg_s * air->dry_fraction;
	int burns = draws && jw_burns(m->fuel_kg_s, m->dry_air_kg_s);
	m->phi = burns ? stoichiometric_afr * m->fuel_kg_s / m->dry_air_kg_s : 0.0;
	m->afr = burns ? m->dry_air_kg_s / m->fuel_kg_s : 0.0;
}

/* What is alike at every point. */
typedef struct conditions {
	const jw_setup *setup;
	const jw_air *air;
	jw_gas gas;
	jw_fuel_state fuel;
	jw_carburetor carburetor; /* with its coefficients */
	jw_status status;
} conditions;

static jw_status prepare(const jw_setup *setup, const jw_air *air, conditions *c, jw_error *error)
{
	c->setup = setup;
	c->air = air;
	c->gas = (jw_gas){air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s};
	c->carburetor = calibrated(setup);
	return c->status = jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, &c->fuel, error);
}

static jw_status check_point(const jw_point *point, jw_error *error)
{
	jw_status status = jw_check_range("speed_rev_s", point->speed_rev_s, 1.0, 500.0, error);
	if (status == JW_OK)
		status = jw_check_range("throttle", point->throttle, 0.0, 1.0, error);
	if (status == JW_OK)
		status = jw_check_range("enrichener", point->enrichener, 0.0, 1.0, error);
	return status;
}

static jw_status solve_fuel(const conditions *c, const balance *b, const jw_mixture *near, jw_mixture *m,
                            jw_error *error)
{
	jw_fuel_ends ends = {.path = m->path,
	                     .ambient_pa = c->air->pressure_pa,
	                     .manifold_pa = m->manifold_pa,
	                     .controls = b->controls,
	                     .main_gain = m->main_gain,
	                     .fuel = {c->fuel.density_kg_m3, c->fuel.viscosity_m2_s},
	                     .air = c->gas};
	double pilot = b->factor[JW_PULSE_PILOT];
	ends.pilot_pull_pa =
	    fmin(fmax(pilot - 1.0, 0.0) * jw_steady_pull(&b->path, 1.0), MOST_PILOT_SHARE * m->manifold_pa);
	jw_carburetor carburetor = c->carburetor;
	carburetor.pilot.fuel_coefficient *= fmin(pilot, 1.0);
	jw_status status = jw_carburetor_fuel_near(&carburetor, &ends, near ? &near->flow : NULL, &m->flow, error);
	if (status < 0 || c->setup->pulses.nodes < 1 || !(carburetor.power_outlet_m > 0.0))
		return status;
	/* The power jet feels the pulses otherwise than the main circuit. */
	ends.main_gain = gain_above(b, JW_PULSE_POWER_LIFT, JW_PULSE_POWER, jw_power_share(&carburetor, m->path.lift_m));
	return jw_both(status, jw_carburetor_power_near(&carburetor, &ends, m->flow.power.well_pa, &m->flow.power, error));
}

static jw_status solve_point(const conditions *c, const jw_point *point, const jw_mixture *near, jw_mixture *mixture,
                             jw_error *error)
{
	balance b = {.setup = c->setup,
	             .air = c->air,
	             .point = point,
	             .controls = {point->throttle, point->enrichener},
	             .gas = c->gas};
	jw_status air_status = solve_air(&b, near, error);
	if (air_status < 0)
		return air_status;
	jw_mixture m = {.manifold_pa = b.manifold_pa,
	                .pulse = b.pulse,
	                .path = b.path,
	                .plate_kg_s = b.drawn - b.leak,
	                .leak_kg_s = b.leak,
	                .demand_kg_s = b.drawn,
	                .main_gain = main_gain(c->setup, &b, c->fuel.density_kg_m3)};
	jw_status fuel_status = solve_fuel(c, &b, near, &m, error);
	if (fuel_status < 0)
		return fuel_status;
	if (c->fuel.vapour_pa >= m.flow.bowl_pa)
		fuel_status |= JW_W_BOILING;
	sum_up(&m, c->air, c->fuel.stoichiometric_afr, !(air_status & JW_W_NO_DEMAND));
	*mixture = m;
	return c->status | air_status | (fuel_status & ~JW_W_NO_FUEL) | jw_fuel_comes(m.fuel_kg_s);
}

jw_status jw_mixture_near(const jw_setup *setup, const jw_air *air, const jw_point *point, const jw_mixture *neighbour,
                          jw_mixture *mixture, jw_error *error)
{
	conditions c;
	jw_status status = check_point(point, error);
	if (status == JW_OK)
		status = jw_air_check(air, error);
	if (status == JW_OK)
		status = prepare(setup, air, &c, error);
	return status < 0 ? status : solve_point(&c, point, neighbour, mixture, error);
}

jw_status jw_mixture_at(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_mixture *mixture,
                        jw_error *error)
{
	return jw_mixture_near(setup, air, point, NULL, mixture, error);
}

/* How far the third point lies on the way from the first to the second, in steps of that length; 0 where it turns off,
 * or leaps as to the next row of a map. */
static double steps_on(const jw_point *first, const jw_point *second, const jw_point *third)
{
	double speed = (second->speed_rev_s - first->speed_rev_s) / second->speed_rev_s;
	double throttle = second->throttle - first->throttle, enrichener = second->enrichener - first->enrichener;
	double along = speed * (third->speed_rev_s - second->speed_rev_s) / second->speed_rev_s +
	               throttle * (third->throttle - second->throttle) +
	               enrichener * (third->enrichener - second->enrichener);
	double steps = along / (jw_square(speed) + jw_square(throttle) + jw_square(enrichener));
	return steps > 0.0 && steps < MOST_STEPS_ON ? steps : 0.0;
}

/* The answer with what searches start from drawn on in a straight line. */
static jw_mixture drawn_on(const jw_mixture *first, const jw_mixture *second, double steps)
{
	jw_mixture on = *second;
	const jw_carburetor_flow *from = &first->flow, *to = &second->flow;
	on.manifold_pa += steps * (second->manifold_pa - first->manifold_pa);
	on.path.lift_m += steps * (second->path.lift_m - first->path.lift_m);
	on.flow.main.well_pa += steps * (to->main.well_pa - from->main.well_pa);
	on.flow.pilot.well_pa += steps * (to->pilot.well_pa - from->pilot.well_pa);
	on.flow.power.well_pa += steps * (to->power.well_pa - from->power.well_pa);
	on.flow.enrichener.well_pa += steps * (to->enrichener.well_pa - from->enrichener.well_pa);
	return on;
}

/* From the two answers before it, from one, or from none. */
static jw_status solve_next(const conditions *c, const jw_point *points, size_t i, jw_mixture *mixtures,
                            jw_error *error)
{
	double steps = i > 1 ? steps_on(&points[i - 2], &points[i - 1], &points[i]) : 0.0;
	if (!(steps > 0.0))
		return solve_point(c, &points[i], i > 0 ? &mixtures[i - 1] : NULL, &mixtures[i], error);
	jw_mixture start = drawn_on(&mixtures[i - 2], &mixtures[i - 1], steps);
	return solve_point(c, &points[i], &start, &mixtures[i], error);
}

jw_status jw_mixture_map(const jw_setup *setup, const jw_air *air, const jw_point *points, size_t count,
                         jw_mixture *mixtures, jw_status *statuses, jw_error *error)
{
	conditions c;
	jw_status all = jw_air_check(air, error);
	if (all == JW_OK)
		all = prepare(setup, air, &c, error);
	for (size_t i = 0; i < count && all >= 0; i++) {
		jw_status status = check_point(&points[i], error);
		all = status < 0 ? status : all;
	}
	for (size_t i = 0; i < count && all >= 0; i++) {
		jw_status status = solve_next(&c, points, i, mixtures, error);
		if (status >= 0 && statuses)
			statuses[i] = status;
		all = jw_both(all, status);
	}
	return all;
}

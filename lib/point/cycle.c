/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "point/cycle.h"

#include "air/limits.h"
#include "base/base.h"
#include "point/burns.h"

#include <stdlib.h>
#include <string.h>

/* Lighter columns answer the sooner: their steps are shortened as much. */
#define LEAST_COLUMN_FACTOR 0.01

static const jw_cycle_options usual = {.relative = 4e-6,
                                       .settled = 1e-5,
                                       .cycles = 100,
                                       .fuel_parts = 1,
                                       .relaxation_rad = 0.125 * JW_PI / 180.0,
                                       .column_factor = 1.0};

static double or_usual(double stated, double otherwise)
{
	return stated != 0.0 ? stated : otherwise;
}

static jw_cycle_options options_of(const jw_cycle_options *stated)
{
	if (!stated)
		return usual;
	return (jw_cycle_options){.relative = or_usual(stated->relative, usual.relative),
	                          .settled = or_usual(stated->settled, usual.settled),
	                          .cycles = stated->cycles != 0 ? stated->cycles : usual.cycles,
	                          .fuel_parts = stated->fuel_parts != 0 ? stated->fuel_parts : usual.fuel_parts,
	                          .relaxation_rad = or_usual(stated->relaxation_rad, usual.relaxation_rad),
	                          .column_factor = or_usual(stated->column_factor, usual.column_factor)};
}

static jw_status check(const jw_point *point, const jw_cycle_options *o, jw_error *error)
{
	const jw_bound bounds[] = {
	    {"speed_rev_s", point->speed_rev_s, 1.0, 500.0},
	    {"throttle", point->throttle, 0.0, 1.0},
	    {"enrichener", point->enrichener, 0.0, 1.0},
	    {"relative", o->relative, 1e-12, 1e-2},
	    {"settled", o->settled, 1e-8, 1e-2},
	    {"cycles", o->cycles, 1.0, 10000.0},
	    {"fuel_parts", o->fuel_parts, 1.0, 64.0},
	    {"relaxation_rad", o->relaxation_rad, 1e-6, 0.1},
	    {"column_factor", o->column_factor, o->column_factor < 0.0 ? -1e3 : LEAST_COLUMN_FACTOR, 1e3},
	};
	return jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
}

static jw_carburetor calibrated(const jw_setup *s)
{
	jw_carburetor c = s->carburetor;
	c.main.fuel_coefficient *= s->coefficient.main;
	c.pilot.fuel_coefficient *= s->coefficient.pilot;
	c.needle.coefficient *= s->coefficient.needle;
	return c;
}

static void tell_trace(const jw_cycle_air *a, jw_cycle *c)
{
	for (int n = 0; n <= JW_CYCLE_NODES; n++) {
		const jw_air_moment *m = &a->node[n];
		c->trace.nozzle_pa[n] = m->nozzle_pa;
		c->trace.manifold_pa[n] = m->manifold_pa;
		c->trace.cylinder_pa[n] = a->cylinder_pa[n];
		c->trace.crankcase_pa[n] = a->crankcase_pa[n];
		c->trace.air_kg_s[n] = m->flow_kg_s;
		c->trace.lift_m[n] = m->lift_m;
		if (n < JW_CYCLE_NODES)
			c->manifold_pa += m->manifold_pa / JW_CYCLE_NODES;
	}
}

static void tell_air(const jw_cycle_air *a, jw_cycle *c)
{
	c->nozzle_pa = a->box_pa - a->y[a->first + JW_AIR_DEPRESSION] / a->breather.part_s;
	c->plate_kg_s = a->mean_kg_s;
	c->leak_kg_s = a->leak_kg_s;
	c->air_kg_s = a->mean_kg_s + a->leak_kg_s;
	c->lift_m = a->lift_m;
	c->box_pa = a->box_pa;
	c->cycles = a->cycles;
	c->closing_pa = a->closing_pa;
	c->residual = a->residual;
	c->mass_error = a->mass_error;
	c->energy_error = a->energy_error;
	double swept = jw_displacement(&a->setup->engine), inlet_k = a->gas.temperature_k;
	double per_density = c->air_kg_s * a->period_s / swept;
	c->volumetric_efficiency = per_density / a->air->density_kg_m3;
	c->closing_efficiency =
	    per_density * a->gas.gas_constant_j_kg_k * (inlet_k + a->setup->engine.manifold_heating_k) / a->closing_pa;
}

/* What the mean-value model takes for a pulse, as it comes out here. */
static void tell_factors(const jw_cycle_air *a, jw_cycle *c)
{
	double felt = a->box_pa - c->nozzle_pa, rt = a->gas.gas_constant_j_kg_k * a->gas.temperature_k;
	double plate_pa = 0.0;
	for (int n = 0; n < JW_CYCLE_NODES; n++)
		plate_pa += a->node[n].plate_pa / JW_CYCLE_NODES;
	double steady = jw_pressure_ahead(a->plate_m2, rt, c->manifold_pa, a->mean_kg_s) - c->manifold_pa;
	c->pulse.throat = c->steady_depression_pa > 0.0 ? felt / c->steady_depression_pa : 1.0;
	c->pulse.plate = a->mean_kg_s > 0.0 ? (plate_pa - c->manifold_pa) / steady : 1.0;
	c->pulse.angular_frequency_rad_s = 2.0 * JW_PI * a->breather.cylinders / a->period_s;
	c->fuel_response = c->pulse.throat > 1.0 ? (c->main_gain - 1.0) / (c->pulse.throat - 1.0) : 0.0;
}

static jw_status solve(jw_cycle_air *a, const jw_setup *setup, const jw_air *air, const jw_point *point,
                       const jw_cycle_options *options, const jw_fuel_state *fuel, jw_cycle *c, jw_error *error)
{
	jw_status status = jw_cycle_gas(a, setup, air, point, options, error);
	if (status < 0)
		return status;
	tell_trace(a, c);
	tell_air(a, c);
	jw_carburetor carburetor = calibrated(setup);
	jw_liquid_flow liquid = {fuel->density_kg_m3, fuel->viscosity_m2_s};
	jw_status fuel_status = jw_cycle_columns(a, &carburetor, &liquid, c, error);
	if (fuel_status < 0)
		return fuel_status;
	tell_factors(a, c);
	c->dry_air_kg_s = c->air_kg_s * air->dry_fraction;
	int burns = jw_burns(c->fuel_kg_s, c->dry_air_kg_s);
	c->phi = burns ? fuel->stoichiometric_afr * c->fuel_kg_s / c->dry_air_kg_s : 0.0;
	c->afr = burns ? c->dry_air_kg_s / c->fuel_kg_s : 0.0;
	return status | fuel_status | jw_fuel_comes(c->fuel_kg_s);
}

jw_status jw_cycle_at(const jw_setup *setup, const jw_air *air, const jw_point *point, const jw_cycle_options *options,
                      jw_cycle *cycle, jw_error *error)
{
	jw_cycle_options o = options_of(options);
	jw_fuel_state fuel;
	jw_status status = check(point, &o, error);
	if (status == JW_OK)
		status = jw_air_check(air, error);
	if (status == JW_OK)
		status = jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, &fuel, error);
	if (status < 0)
		return status;
	jw_cycle_air *a = calloc(1, sizeof *a);
	jw_cycle *found = calloc(1, sizeof *found);
	jw_status solved = a && found ? solve(a, setup, air, point, &o, &fuel, found, error) : jw_no_memory(error, "cycle");
	if (solved >= 0)
		*cycle = *found;
	free(found);
	free(a);
	return jw_both(status, solved);
}

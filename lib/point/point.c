/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/point.h>

#include "base/base.h"
#include "solve/root.h"

#define LEAK_COEFFICIENT 0.6
#define ROOT_TOLERANCE_PA 1e-5
/* No engine draws at this share of ambient pressure; below the lowest pressure of any closed throttle. */
#define LOWEST_SHARE 0.01

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
	double plate_area, leak_area, capacity;
	/* of the last trial */
	double drawn, leak, through;
	jw_air_path path;
	jw_status status;
} balance;

/* What plate and throat offer less what the engine takes through them: falls as the manifold pressure rises. */
static double surplus(double manifold_pa, void *context)
{
	balance *b = context;
	double demand;
	b->status = jw_engine_demand(&b->setup->engine, b->air->pressure_pa, b->air->temperature_k,
	                             b->gas.gas_constant_j_kg_k, manifold_pa, b->point->speed_rev_s, &demand);
	jw_gas_mass_flow(b->leak_area, &b->gas, b->air->pressure_pa, manifold_pa, &b->leak);
	b->drawn = b->setup->coefficient.air * demand;
	double needed = b->drawn - b->leak;
	b->status |= jw_carburetor_air(&b->setup->carburetor, &b->controls, &b->gas, b->air->pressure_pa, needed,
	                               b->pulse.throat, &b->path, NULL);
	double offered;
	b->status |= jw_gas_mass_flow(b->plate_area, &b->gas, b->path.plate_pa, manifold_pa, &offered);
	b->through = fmin(offered, b->capacity);
	return b->through - needed;
}

static jw_status solve_air(balance *b, double *manifold_pa, jw_error *error)
{
	const jw_setup *s = b->setup;
	double opening = jw_carburetor_plate(&s->carburetor, b->point->throttle);
	double sound = sqrt(JW_AIR_GAMMA * b->gas.gas_constant_j_kg_k * b->gas.temperature_k);
	b->pulse = jw_engine_pulse(&s->engine, b->point->speed_rev_s, opening, sound);
	b->plate_area = opening / sqrt(b->pulse.plate);
	b->leak_area = LEAK_COEFFICIENT * 0.25 * JW_PI * jw_square(s->leak_m);
	b->capacity = jw_carburetor_capacity(&s->carburetor, &b->controls, &b->gas, b->air->pressure_pa);
	double ambient = b->air->pressure_pa;
	jw_status status = jw_root(surplus, b, LOWEST_SHARE * ambient, ambient, ROOT_TOLERANCE_PA, manifold_pa, error);
	if (status < 0)
		return status;
	surplus(*manifold_pa, b);
	/* A plate that chokes is how idle is; the path's own choke is told as its capacity. */
	status = b->status & ~JW_W_CHOKED;
	if (b->through >= b->capacity)
		status |= JW_W_CAPACITY;
	if (!(opening > 0.0))
		status |= JW_W_CLOSED;
	if (!(b->through > 0.0))
		status |= s->leak_m > 0.0 ? JW_W_LEAK_ABOVE_DEMAND : JW_W_NO_DEMAND;
	return status;
}

/* How far the main circuit's fuel follows the mean of the pulses, from geometry and speed. */
static double main_gain(const jw_setup *s, const balance *b, double fuel_density)
{
	const jw_carburetor *c = &s->carburetor;
	double jet = jw_orifice_area(&c->main.fuel_jet), bleed = jw_orifice_area(&c->main.air_jet);
	if (!(jet > 0.0))
		return 1.0;
	double column = 0.25 * JW_PI * jw_square(c->main_column_bore_m);
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

/* Air that enters through a circuit: its bleed and what its outlets draw in. */
static double air_of(const jw_circuit_flow *flow)
{
	double air = flow->bleed_kg_s;
	for (int i = 0; i < JW_OUTLETS; i++)
		if (flow->outlet_kg_s[i] < 0.0)
			air -= flow->outlet_kg_s[i];
	return air;
}

static void sum_up(jw_mixture *m, const jw_air *air, double stoichiometric_afr)
{
	const jw_carburetor_flow *f = &m->flow;
	m->fuel_kg_s = f->main.fuel_kg_s + f->pilot.fuel_kg_s + f->power.fuel_kg_s + f->enrichener.fuel_kg_s;
	m->air_kg_s = m->plate_kg_s + m->leak_kg_s + air_of(&f->main) + air_of(&f->pilot) + air_of(&f->power) +
	              air_of(&f->enrichener);
	m->dry_air_kg_s = m->air_kg_s * air->dry_fraction;
	/* Bleed air alone is no filling: nothing that would burn is drawn. */
	int burns = m->plate_kg_s + m->leak_kg_s > 0.0 && m->fuel_kg_s > 0.0;
	m->phi = burns ? stoichiometric_afr * m->fuel_kg_s / m->dry_air_kg_s : 0.0;
	m->afr = burns ? m->dry_air_kg_s / m->fuel_kg_s : 0.0;
}

jw_status jw_mixture_at(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_mixture *mixture,
                        jw_error *error)
{
	jw_status status = jw_check_range("speed_rev_s", point->speed_rev_s, 1.0, 500.0, error);
	if (status == JW_OK)
		status = jw_check_range("throttle", point->throttle, 0.0, 1.0, error);
	if (status == JW_OK)
		status = jw_check_range("enrichener", point->enrichener, 0.0, 1.0, error);
	jw_fuel_state fuel;
	if (status == JW_OK)
		status = jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, &fuel, error);
	if (status < 0)
		return status;

	balance b = {.setup = setup,
	             .air = air,
	             .point = point,
	             .controls = {point->throttle, point->enrichener},
	             .gas = {air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s}};
	jw_mixture m = {0};
	jw_status air_status = solve_air(&b, &m.manifold_pa, error);
	if (air_status < 0)
		return air_status;
	m.pulse = b.pulse;
	m.path = b.path;
	m.plate_kg_s = b.drawn - b.leak;
	m.leak_kg_s = b.leak;
	m.demand_kg_s = b.drawn;
	m.main_gain = main_gain(setup, &b, fuel.density_kg_m3);

	jw_carburetor carburetor = calibrated(setup);
	jw_fuel_ends ends = {.path = b.path,
	                     .ambient_pa = air->pressure_pa,
	                     .manifold_pa = m.manifold_pa,
	                     .controls = b.controls,
	                     .main_gain = m.main_gain,
	                     .fuel = {fuel.density_kg_m3, fuel.viscosity_m2_s},
	                     .air = b.gas};
	jw_status fuel_status = jw_carburetor_fuel(&carburetor, &ends, &m.flow, error);
	if (fuel_status < 0)
		return fuel_status;
	sum_up(&m, air, fuel.stoichiometric_afr);
	*mixture = m;
	return status | air_status | fuel_status;
}

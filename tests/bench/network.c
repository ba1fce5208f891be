/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "network.h"

#include <math.h>

#define PI 3.14159265358979323846
#define LEAK_COEFFICIENT 0.6
/* Flows at the answer differ from those of the answer by the tolerance of the manifold pressure. */
#define AGREEMENT 1e-6

static double circle(double diameter_m)
{
	return 0.25 * PI * diameter_m * diameter_m;
}

/* ---- a circuit ---- */

typedef struct outlets {
	jw_outlet item[JW_OUTLETS];
	int count;
} outlets;

static void add(outlets *all, double effective_area_m2, double pressure_pa)
{
	all->item[all->count++] = (jw_outlet){effective_area_m2, pressure_pa};
}

static outlets main_outlets(const network *n)
{
	outlets all = {.count = 0};
	const jw_needle *needle = &n->held.needle;
	add(&all, needle->coefficient * jw_needle_area(needle, n->answer.path.lift_m),
	    n->answer.flow.bowl_pa - n->answer.flow.depression_pa);
	return all;
}

static outlets pilot_outlets(const network *n)
{
	outlets all = {.count = 0};
	const jw_carburetor *c = &n->held;
	double angle = jw_plate_angle(&c->plate, n->point.throttle), behind = 0.0, ahead = 0.0;
	for (int i = 0; i < c->ports; i++) {
		double exposed = jw_port_exposure(&c->plate, &c->port[i], angle);
		double area = c->screw.coefficient * c->screw.ports_open_area * circle(c->port[i].diameter_m);
		behind += exposed * area;
		ahead += (1.0 - exposed) * area;
	}
	add(&all, c->screw.coefficient * jw_screw_area(&c->screw), n->answer.manifold_pa);
	add(&all, behind, n->answer.manifold_pa);
	add(&all, ahead, n->answer.path.plate_pa);
	return all;
}

static void feeds(const network *n, const jw_circuit *c, double well_pa, jw_circuit_flow *flow)
{
	double bowl_pa = n->answer.flow.bowl_pa + n->fuel.density_kg_m3 * JW_GRAVITY * c->bleed_depth_m;
	double air_pa = n->answer.path.box_pa;
	jw_liquid_mass_flow(&c->fuel_jet, &n->fuel, fmax(bowl_pa - well_pa, 0.0), &flow->fuel_kg_s);
	jw_gas_orifice_flow(&c->air_jet, &n->gas, air_pa, fmin(well_pa, air_pa), &flow->bleed_kg_s);
	flow->fuel_kg_s *= c->fuel_coefficient;
}

/* Emulsion leaves by outlets below the pressure inside; those above it draw air in. Returns what leaves less what
 * enters. */
static double leave(const network *n, const jw_circuit *c, const outlets *all, double inside_pa, jw_circuit_flow *flow)
{
	double drawn = 0.0, out = 0.0;
	for (int i = 0; i < all->count; i++) {
		const jw_outlet *o = &all->item[i];
		if (o->pressure_pa > inside_pa) {
			jw_gas_mass_flow(o->effective_area_m2, &n->gas, inside_pa, o->pressure_pa, &flow->outlet_kg_s[i]);
			drawn -= flow->outlet_kg_s[i];
		}
	}
	double in = flow->fuel_kg_s + flow->bleed_kg_s + drawn;
	jw_emulsion emulsion = {in > 0.0 ? (in - flow->fuel_kg_s) / in : 1.0, n->fuel.density_kg_m3,
	                        n->gas.gas_constant_j_kg_k * n->gas.temperature_k, c->slip};
	for (int i = 0; i < all->count; i++) {
		const jw_outlet *o = &all->item[i];
		if (o->pressure_pa <= inside_pa) {
			jw_emulsion_mass_flow(o->effective_area_m2, &emulsion, inside_pa, o->pressure_pa, &flow->outlet_kg_s[i]);
			out += flow->outlet_kg_s[i];
		}
	}
	return out - in;
}

static void circuit(const network *n, const jw_circuit *c, const outlets *all, double head_pa, jw_circuit_flow *flow)
{
	feeds(n, c, flow->well_pa, flow);
	leave(n, c, all, flow->well_pa - head_pa, flow);
}

/* The library does not tell the head from bleed to outlet: the one at which what enters leaves. */
static double head_of(const network *n, const jw_circuit *c, const outlets *all, const jw_circuit_flow *at)
{
	jw_circuit_flow flow = {0};
	feeds(n, c, at->well_pa, &flow);
	double low = 0.0, high = n->fuel.density_kg_m3 * JW_GRAVITY * fmax(c->outlet_height_m + c->bleed_depth_m, 0.0);
	for (int i = 0; i < 60; i++) {
		double head = 0.5 * (low + high);
		*(leave(n, c, all, at->well_pa - head, &flow) > 0.0 ? &low : &high) = head;
	}
	return high;
}

/* ---- the whole ---- */

static void air_side(const network *n, network_flow *flow)
{
	const jw_setup *s = n->setup;
	const jw_mixture *m = &n->answer;
	double ambient = n->air.pressure_pa;
	jw_engine_demand(&s->engine, ambient, n->air.temperature_k, n->air.gas_constant_j_kg_k, m->manifold_pa,
	                 n->point.speed_rev_s, &flow->demand_kg_s);
	flow->demand_kg_s *= s->coefficient.air;
	jw_gas_mass_flow(LEAK_COEFFICIENT * circle(s->leak_m), &n->gas, ambient, m->manifold_pa, &flow->leak_kg_s);
	jw_controls controls = {n->point.throttle, n->point.enrichener};
	jw_carburetor_air(&n->held, &controls, &n->gas, ambient, m->plate_kg_s, m->pulse.throat, &flow->path, NULL);
	double plate = jw_carburetor_plate(&n->held, n->point.throttle) / sqrt(m->pulse.plate);
	jw_gas_mass_flow(plate, &n->gas, flow->path.plate_pa, m->manifold_pa, &flow->plate_kg_s);
}

void network_evaluate(const network *n, network_flow *flow)
{
	outlets main = main_outlets(n), pilot = pilot_outlets(n);
	*flow = (network_flow){.main.well_pa = n->answer.flow.main.well_pa, .pilot.well_pa = n->answer.flow.pilot.well_pa};
	air_side(n, flow);
	circuit(n, &n->held.main, &main, n->main_head_pa, &flow->main);
	circuit(n, &n->held.pilot, &pilot, n->pilot_head_pa, &flow->pilot);
}

static int near(double a, double b)
{
	return fabs(a - b) <= AGREEMENT * fmax(fabs(a), fabs(b));
}

static int near_circuit(const jw_circuit_flow *a, const jw_circuit_flow *b)
{
	int all = near(a->fuel_kg_s, b->fuel_kg_s) && near(a->bleed_kg_s, b->bleed_kg_s);
	for (int i = 0; i < JW_OUTLETS; i++)
		all = all && near(a->outlet_kg_s[i], b->outlet_kg_s[i]);
	return all;
}

static int agrees(const network *n)
{
	network_flow f;
	const jw_mixture *m = &n->answer;
	network_evaluate(n, &f);
	return near(f.demand_kg_s, m->demand_kg_s) && near(f.leak_kg_s, m->leak_kg_s) &&
	       near(f.plate_kg_s, m->plate_kg_s) && near(f.path.plate_pa, m->path.plate_pa) &&
	       near_circuit(&f.main, &m->flow.main) && near_circuit(&f.pilot, &m->flow.pilot);
}

int network_prepare(const jw_setup *setup, const jw_air *air, const jw_point *point, network *n)
{
	jw_fuel_state fuel;
	*n = (network){.setup = setup, .air = *air, .point = *point, .held = setup->carburetor};
	if (jw_mixture_at(setup, air, point, &n->answer, NULL) < 0 ||
	    jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, &fuel, NULL) < 0)
		return 0;
	n->gas = (jw_gas){air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s};
	n->fuel = (jw_liquid_flow){fuel.density_kg_m3, fuel.viscosity_m2_s};
	n->held.slide.stuck_lift_m = n->answer.path.lift_m;
	n->held.main.fuel_coefficient *= setup->coefficient.main;
	n->held.pilot.fuel_coefficient *= setup->coefficient.pilot;
	n->held.needle.coefficient *= setup->coefficient.needle;
	outlets main = main_outlets(n), pilot = pilot_outlets(n);
	n->main_head_pa = head_of(n, &n->held.main, &main, &n->answer.flow.main);
	n->pilot_head_pa = head_of(n, &n->held.pilot, &pilot, &n->answer.flow.pilot);
	return agrees(n);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/carburetor.h>

#include "base/base.h"

/* Of a drilled outlet whose coefficient is not stated. */
#define OUTLET_COEFFICIENT 0.7

/* The circuit as the actual fuel level sees it. */
static jw_circuit at_level(const jw_circuit *circuit, const jw_bowl *bowl)
{
	jw_circuit moved = *circuit;
	moved.bleed_depth_m += bowl->level_error_m;
	moved.outlet_height_m -= bowl->level_error_m;
	return moved;
}

static jw_circuit_ends ends_of(const jw_fuel_ends *ends, double bowl_pa)
{
	return (jw_circuit_ends){.bowl_pa = bowl_pa, .air_pa = ends->path.box_pa, .fuel = ends->fuel, .air = ends->air};
}

static void add_outlet(jw_circuit_ends *ends, double effective_area_m2, double pressure_pa)
{
	ends->outlet[ends->outlets++] = (jw_outlet){effective_area_m2, pressure_pa};
}

/* Each port is split by the plate's edge: one part sees the engine, the other the air ahead of the plate. */
static void add_ports(const jw_carburetor *c, const jw_fuel_ends *ends, jw_circuit_ends *pilot)
{
	double angle = jw_plate_angle(&c->plate, ends->throttle);
	double behind = 0.0, ahead = 0.0;
	for (int i = 0; i < c->ports; i++) {
		double area = c->screw.coefficient * c->screw.ports_open_area * 0.25 * JW_PI * jw_square(c->port[i].diameter_m);
		double exposed = jw_port_exposure(&c->plate, &c->port[i], angle);
		behind += exposed * area;
		ahead += (1.0 - exposed) * area;
	}
	add_outlet(pilot, behind, ends->manifold_pa);
	add_outlet(pilot, ahead, ends->path.plate_pa);
}

jw_status jw_carburetor_fuel(const jw_carburetor *c, const jw_fuel_ends *ends, jw_carburetor_flow *flow,
                             jw_error *error)
{
	double bowl_pa = c->bowl.vent == JW_VENT_AIRBOX ? ends->path.box_pa : ends->ambient_pa;
	double felt = ends->main_gain * (ends->path.box_pa - ends->path.throat_steady_pa);
	double nozzle_pa = fmax(ends->path.box_pa - felt, ends->path.box_pa * jw_critical_pressure_ratio(1.4));
	flow->bowl_pa = bowl_pa;
	flow->depression_pa = bowl_pa - nozzle_pa;

	jw_circuit main = at_level(&c->main, &c->bowl);
	jw_circuit_ends main_ends = ends_of(ends, bowl_pa);
	add_outlet(&main_ends, c->needle.coefficient * jw_needle_area(&c->needle, ends->path.lift_m), nozzle_pa);
	jw_status main_status = jw_circuit_solve(&main, &main_ends, &flow->main, error);
	if (main_status < 0)
		return main_status;

	jw_circuit pilot = at_level(&c->pilot, &c->bowl);
	jw_circuit_ends pilot_ends = ends_of(ends, bowl_pa);
	add_outlet(&pilot_ends, c->screw.coefficient * jw_screw_area(&c->screw), ends->manifold_pa);
	add_ports(c, ends, &pilot_ends);
	jw_status pilot_status = jw_circuit_solve(&pilot, &pilot_ends, &flow->pilot, error);
	if (pilot_status < 0)
		return pilot_status;

	flow->enrichener = (jw_circuit_flow){.well_pa = bowl_pa, .quality = 1.0};
	jw_status enrichener_status = JW_W_NO_FUEL;
	double outlet = OUTLET_COEFFICIENT * 0.25 * JW_PI * jw_square(c->enrichener_outlet_m) * ends->enrichener;
	if (outlet > 0.0) {
		jw_circuit enrichener = at_level(&c->enrichener, &c->bowl);
		jw_circuit_ends enrichener_ends = ends_of(ends, bowl_pa);
		add_outlet(&enrichener_ends, outlet, ends->manifold_pa);
		enrichener_status = jw_circuit_solve(&enrichener, &enrichener_ends, &flow->enrichener, error);
		if (enrichener_status < 0)
			return enrichener_status;
	}
	/* Fuel is missing only where no circuit brings any. */
	jw_status none = main_status & pilot_status & enrichener_status & JW_W_NO_FUEL;
	return ((main_status | pilot_status | enrichener_status) & ~JW_W_NO_FUEL) | none;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/carburetor.h>

#include "base/base.h"
#include "carburetor/near.h"
#include "carburetor/nozzle.h"
#include "circuit/near.h"

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

static double bowl_pressure(const jw_carburetor *c, const jw_fuel_ends *ends)
{
	return c->bowl.vent == JW_VENT_AIRBOX ? ends->path.box_pa : ends->ambient_pa;
}

static double nozzle_pressure(const jw_fuel_ends *ends)
{
	double felt = ends->main_gain * (ends->path.mouth_pa - ends->path.throat_steady_pa);
	return fmax(ends->path.mouth_pa - felt, ends->path.mouth_pa * JW_CRITICAL_RATIO);
}

/* At its fuel level, no outlet yet. */
static jw_branch branch_of(const jw_carburetor *c, const jw_circuit *circuit, const jw_fuel_ends *ends)
{
	return (jw_branch){
	    .circuit = at_level(circuit, &c->bowl),
	    .ends = {.bowl_pa = bowl_pressure(c, ends), .air_pa = ends->path.box_pa, .fuel = ends->fuel, .air = ends->air}};
}

static void add_outlet(jw_circuit_ends *ends, double effective_area_m2, double pressure_pa)
{
	ends->outlet[ends->outlets++] = (jw_outlet){effective_area_m2, pressure_pa};
}

/* Each port is split by the plate's edge: one part sees the engine, the other the air ahead of the plate. Ports under a
 * piston slide lie ahead of its rear edge at any lift. */
static void add_ports(const jw_carburetor *c, const jw_fuel_ends *ends, jw_circuit_ends *pilot)
{
	double angle = jw_plate_angle(&c->plate, ends->controls.throttle);
	double behind = 0.0, ahead = 0.0;
	for (int i = 0; i < c->ports; i++) {
		double area = c->screw.coefficient * c->screw.ports_open_area * 0.25 * JW_PI * jw_square(c->port[i].diameter_m);
		double exposed = c->kind == JW_PISTON_SLIDE ? 0.0 : jw_port_exposure(&c->plate, &c->port[i], angle);
		behind += exposed * area;
		ahead += (1.0 - exposed) * area;
	}
	add_outlet(pilot, behind, ends->manifold_pa - ends->pilot_pull_pa);
	double ahead_pa = jw_ports_at_nozzle(c) ? ends->path.throat_pa : ends->path.plate_pa;
	add_outlet(pilot, ahead, ahead_pa - ends->pilot_pull_pa);
}

/* An air screw and the air jet behind it, in series: as much as one jet of the joint area. */
static void put_air_screw(const jw_screw *screw, jw_orifice *air_jet)
{
	if (screw->kind != JW_AIR_SCREW)
		return;
	double jet = jw_orifice_area(air_jet), gap = jw_air_screw_area(screw);
	double joint = jet > 0.0 && gap > 0.0 ? jet * gap / hypot(jet, gap) : 0.0;
	air_jet->diameter_m = sqrt(joint / (0.25 * JW_PI));
}

double jw_carburetor_annulus(const jw_carburetor *c, double lift_m)
{
	return c->needle.coefficient * jw_needle_area(&c->needle, lift_m);
}

jw_branch jw_carburetor_main(const jw_carburetor *c, const jw_fuel_ends *ends)
{
	jw_branch main = branch_of(c, &c->main, ends);
	main.circuit.fuel_jet = jw_rod_jet(&main.circuit.fuel_jet, &c->rod, ends->controls.throttle);
	add_outlet(&main.ends, jw_carburetor_annulus(c, ends->path.lift_m), nozzle_pressure(ends));
	return main;
}

jw_branch jw_carburetor_pilot(const jw_carburetor *c, const jw_fuel_ends *ends)
{
	jw_branch pilot = branch_of(c, &c->pilot, ends);
	put_air_screw(&c->screw, &pilot.circuit.air_jet);
	add_outlet(&pilot.ends, c->screw.coefficient * jw_screw_area(&c->screw), ends->manifold_pa - ends->pilot_pull_pa);
	add_ports(c, ends, &pilot.ends);
	return pilot;
}

static double drilled_area(double bore_m)
{
	return OUTLET_COEFFICIENT * 0.25 * JW_PI * jw_square(bore_m);
}

jw_branch jw_carburetor_power(const jw_carburetor *c, const jw_fuel_ends *ends)
{
	jw_branch power = branch_of(c, &c->power, ends);
	double share = jw_power_share(c, ends->path.lift_m);
	add_outlet(&power.ends, drilled_area(c->power_outlet_m),
	           jw_power_pa(c, share, ends->path.mouth_pa, nozzle_pressure(ends), ends->path.plate_pa));
	return power;
}

jw_branch jw_carburetor_enrichener(const jw_carburetor *c, const jw_fuel_ends *ends)
{
	jw_branch enrichener = branch_of(c, &c->enrichener, ends);
	add_outlet(&enrichener.ends, drilled_area(c->enrichener_outlet_m) * ends->controls.enrichener, ends->manifold_pa);
	return enrichener;
}

/* Without an outlet the circuit rests. */
static jw_status solve_simple(const jw_branch *simple, double near_pa, jw_circuit_flow *flow, jw_error *error)
{
	*flow = (jw_circuit_flow){.well_pa = simple->ends.bowl_pa, .quality = 1.0};
	if (!(simple->ends.outlet[0].effective_area_m2 > 0.0))
		return JW_W_NO_FUEL;
	return jw_circuit_near(&simple->circuit, &simple->ends, near_pa, flow, error);
}

jw_status jw_carburetor_power_near(const jw_carburetor *c, const jw_fuel_ends *ends, double near_pa,
                                   jw_circuit_flow *flow, jw_error *error)
{
	const jw_branch power = jw_carburetor_power(c, ends);
	/* Near its start is told of the main circuit: a power jet adds little where it begins. */
	const jw_status status = solve_simple(&power, near_pa, flow, error);
	return status < 0 ? status : status & ~JW_W_NEAR_THRESHOLD;
}

static jw_status main_and_pilot(const jw_carburetor *c, const jw_fuel_ends *ends, const jw_carburetor_flow *near,
                                jw_carburetor_flow *flow, jw_status *pilot_status, jw_error *error)
{
	jw_branch main = jw_carburetor_main(c, ends), pilot = jw_carburetor_pilot(c, ends);
	main.ends.branch = c->pilot_from_main_well ? &pilot : NULL;
	jw_status status = jw_circuit_near(&main.circuit, &main.ends, near->main.well_pa, &flow->main, error);
	if (status < 0)
		return status;
	if (c->pilot_from_main_well)
		pilot.ends.bowl_pa = jw_branch_feed(&main.circuit, &main.ends, flow->main.well_pa);
	*pilot_status = jw_circuit_near(&pilot.circuit, &pilot.ends, near->pilot.well_pa, &flow->pilot, error);
	/* What the pilot took out of the main well came through the main jet, and is counted once. */
	flow->main.fuel_kg_s = fmax(flow->main.fuel_kg_s - flow->main.branch_kg_s, 0.0);
	if (!(flow->main.fuel_kg_s > 0.0))
		status |= JW_W_NO_FUEL;
	return *pilot_status < 0 ? *pilot_status : status;
}

/* No well known; each search makes its own guess. */
static const jw_carburetor_flow nowhere = {
    .main.well_pa = NAN, .pilot.well_pa = NAN, .power.well_pa = NAN, .enrichener.well_pa = NAN};

jw_status jw_carburetor_fuel(const jw_carburetor *c, const jw_fuel_ends *ends, jw_carburetor_flow *flow,
                             jw_error *error)
{
	return jw_carburetor_fuel_near(c, ends, NULL, flow, error);
}

jw_status jw_carburetor_fuel_near(const jw_carburetor *c, const jw_fuel_ends *ends, const jw_carburetor_flow *near,
                                  jw_carburetor_flow *flow, jw_error *error)
{
	if (!near)
		near = &nowhere;
	double bowl_pa = bowl_pressure(c, ends);
	jw_carburetor_flow found = {.bowl_pa = bowl_pa, .depression_pa = bowl_pa - nozzle_pressure(ends)};
	jw_status status[4];
	status[0] = main_and_pilot(c, ends, near, &found, &status[1], error);
	if (status[0] < 0)
		return status[0];
	status[2] = jw_carburetor_power_near(c, ends, near->power.well_pa, &found.power, error);
	if (status[2] < 0)
		return status[2];
	jw_branch enrichener = jw_carburetor_enrichener(c, ends);
	status[3] = solve_simple(&enrichener, near->enrichener.well_pa, &found.enrichener, error);
	if (status[3] < 0)
		return status[3];
	*flow = found;
	/* Fuel is missing only where no circuit brings any. */
	jw_status any = JW_OK, all = JW_W_NO_FUEL;
	for (int i = 0; i < 4; i++) {
		any |= status[i];
		all &= status[i];
	}
	return (any & ~JW_W_NO_FUEL) | all;
}

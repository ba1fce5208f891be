/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "point/members.h"

#include "base/base.h"
#include "carburetor/slide.h"

#define ROW(member, low, high)                                                                                         \
	{                                                                                                                  \
#member, offsetof(jw_setup, member), low, high                                                                 \
	}
#define COEFFICIENT_ROWS(block, low, high)                                                                             \
	ROW(block.air, low, high), ROW(block.main, low, high), ROW(block.needle, low, high), ROW(block.pilot, low, high)
#define JET_ROWS(jet, least, most)                                                                                     \
	ROW(jet.diameter_m, least, most), ROW(jet.length_m, 0.0, 50e-3), ROW(jet.coefficient, 0.0, 1.0)

/* Depressions that float a slide, shut and at full lift; slides in use float at 1 to 5 kPa. */
#define MOST_CLOSED_PA 10e3
#define MOST_LIFTED_PA 20e3
#define LEAST_FALLING_KG 1e-3 /* what weighs nothing has no fall */

#define WINDOW_ROWS(window)                                                                                            \
	ROW(window.opens_rad, -1.5, 3.1), ROW(window.closes_rad, -1.5, 3.1), ROW(window.size_m, 0.0, 0.2),                 \
	    ROW(window.lift_m, 0.0, 0.03)

static const jw_member_row members[] = {
    ROW(engine.bore_m, 20e-3, 150e-3),
    ROW(engine.stroke_m, 20e-3, 200e-3),
    ROW(engine.compression_ratio, 4.0, 18.0),
    ROW(engine.crankcase_ratio, 0.0, 3.0),
    ROW(engine.intake_duration_rad, 1.0, 8.0),
    ROW(engine.manifold_volume_m3, 0.0, 0.1),
    ROW(engine.manifold_heating_k, 0.0, 120.0),
    ROW(engine.exhaust_back_pa, 0.0, 60e3),
    ROW(engine.breathing.rod_ratio, 0.0, 12.0),
    WINDOW_ROWS(engine.breathing.inlet),
    WINDOW_ROWS(engine.breathing.exhaust),
    WINDOW_ROWS(engine.breathing.transfer),
    ROW(engine.breathing.runner_m, 0.0, 2.0),
    ROW(engine.breathing.runner_bore_m, 0.0, 0.15),
    ROW(engine.breathing.ahead_m, 0.0, 2.0),
    ROW(carburetor.intake.loss_pa, 0.0, JW_MOST_INTAKE_LOSS_PA),
    ROW(carburetor.intake.loss_flow_kg_s, 1e-5, 1.0),
    ROW(carburetor.throat.bore_m, 5e-3, 80e-3),
    ROW(carburetor.throat.coefficient, 0.3, 1.0),
    ROW(carburetor.throat.recovery, 0.0, 0.95),
    ROW(carburetor.slide.diaphragm_m, 0.0, 150e-3),
    ROW(carburetor.slide.mass_kg, 0.0, 0.5),
    ROW(carburetor.slide.spring_closed_n, 0.0, 50.0),
    ROW(carburetor.slide.spring_rate_n_m, 0.0, 1000.0),
    ROW(carburetor.slide.base_area_m2, 0.0, 1e-3),
    ROW(carburetor.slide.fall_s, 0.0, 2.0),
    ROW(carburetor.slide.stuck_lift_m, -1.0, 80e-3),
    ROW(carburetor.slide.cutaway_m, 0.0, 15e-3),
    ROW(carburetor.slide.idle_lift_m, 0.0, 10e-3),
    ROW(carburetor.slide.full_lift_m, 0.0, 80e-3),
    ROW(carburetor.plate.bore_m, 0.0, 80e-3),
    ROW(carburetor.plate.shaft_m, 0.0, 20e-3),
    ROW(carburetor.plate.closed_rad, 0.0, 0.5),
    ROW(carburetor.plate.idle_rad, 0.0, 0.8),
    ROW(carburetor.plate.coefficient, 0.0, 1.0),
    JET_ROWS(carburetor.main.fuel_jet, 0.0, 5e-3),
    JET_ROWS(carburetor.main.air_jet, 0.0, 5e-3),
    ROW(carburetor.main.bleed_depth_m, -30e-3, 60e-3),
    ROW(carburetor.main.outlet_height_m, -5e-3, 60e-3),
    ROW(carburetor.main.fuel_coefficient, 0.0, 5.0),
    ROW(carburetor.needle.jet_m, 0.5e-3, 8e-3),
    ROW(carburetor.needle.straight_m, 0.0, 8e-3),
    ROW(carburetor.needle.straight_length_m, 0.0, 80e-3),
    ROW(carburetor.needle.taper_rad, 0.0, 0.3),
    ROW(carburetor.needle.tip_m, 0.0, 8e-3),
    ROW(carburetor.needle.raised_m, -10e-3, 10e-3),
    ROW(carburetor.needle.coefficient, 0.05, 1.2),
    ROW(carburetor.main_column_m, 1e-3, 0.3),
    ROW(carburetor.main_column_bore_m, 0.5e-3, 20e-3),
    JET_ROWS(carburetor.pilot.fuel_jet, 0.0, 3e-3),
    JET_ROWS(carburetor.pilot.air_jet, 0.0, 5e-3),
    ROW(carburetor.pilot.bleed_depth_m, -30e-3, 60e-3),
    ROW(carburetor.pilot.outlet_height_m, -5e-3, 80e-3),
    ROW(carburetor.pilot.fuel_coefficient, 0.0, 5.0),
    ROW(carburetor.screw.turns, 0.0, 10.0),
    ROW(carburetor.screw.pitch_m, 0.1e-3, 2e-3),
    ROW(carburetor.screw.hole_m, 0.0, 4e-3),
    ROW(carburetor.screw.air_seat_m, 0.0, 5e-3),
    ROW(carburetor.screw.cone_rad, 0.05, 2.0),
    ROW(carburetor.screw.coefficient, 0.05, 1.2),
    ROW(carburetor.screw.open_area, 0.0, 1.0),
    ROW(carburetor.screw.ports_open_area, 0.0, 1.0),
    ROW(carburetor.choke.bore_m, 0.0, 80e-3),
    ROW(carburetor.choke.shaft_m, 0.0, 10e-3),
    ROW(carburetor.choke.closed_rad, 0.0, 0.5),
    ROW(carburetor.choke.coefficient, 0.0, 1.0),
    ROW(carburetor.choke.relief_m2, 0.0, 1e-3),
    ROW(carburetor.rod.lean_m, 0.0, 4e-3),
    ROW(carburetor.rod.rich_m, 0.0, 4e-3),
    ROW(carburetor.rod.from_throttle, 0.0, 1.0),
    JET_ROWS(carburetor.power.fuel_jet, 0.0, 5e-3),
    JET_ROWS(carburetor.power.air_jet, 0.0, 5e-3),
    ROW(carburetor.power.bleed_depth_m, -30e-3, 60e-3),
    ROW(carburetor.power.outlet_height_m, -5e-3, 80e-3),
    ROW(carburetor.power.fuel_coefficient, 0.0, 5.0),
    ROW(carburetor.power_outlet_m, 0.0, 10e-3),
    JET_ROWS(carburetor.enrichener.fuel_jet, 0.0, 5e-3),
    JET_ROWS(carburetor.enrichener.air_jet, 0.0, 10e-3),
    ROW(carburetor.enrichener.bleed_depth_m, -30e-3, 60e-3),
    ROW(carburetor.enrichener.outlet_height_m, -5e-3, 80e-3),
    ROW(carburetor.enrichener.fuel_coefficient, 0.0, 5.0),
    ROW(carburetor.enrichener_outlet_m, 0.0, 10e-3),
    ROW(carburetor.timer.constant_s, 0.0, 3600.0),
    ROW(carburetor.timer.heating_k, 0.0, 200.0),
    ROW(carburetor.timer.open_k, 0.0, 400.0),
    ROW(carburetor.timer.shut_k, 0.0, 450.0),
    ROW(carburetor.pump.shot_m3, 0.0, 20e-6),
    ROW(carburetor.pump.plunger_m, 0.0, 50e-3),
    ROW(carburetor.pump.spring_n, 0.0, 100.0),
    JET_ROWS(carburetor.pump.nozzle, 0.0, 3e-3),
    ROW(carburetor.pump.from_throttle, 0.0, 1.0),
    ROW(carburetor.pump.to_throttle, 0.0, 1.0),
    ROW(carburetor.bowl.level_error_m, -20e-3, 20e-3),
    COEFFICIENT_ROWS(coefficient, 0.05, 20.0),
    COEFFICIENT_ROWS(uncertainty, 0.0, 1.0),
    ROW(leak_m, 0.0, 20e-3),
    ROW(bowl_heating_k, -20.0, 60.0),
    ROW(supply.head_m, -2.0, 3.0),
    ROW(supply.tank_air_m3, 0.0, 1.0),
    ROW(supply.vent_m, 0.0, 20e-3),
    ROW(supply.tap_m, 0.0, 20e-3),
    ROW(supply.hose_m, 0.0, 30e-3),
    ROW(supply.hose_length_m, 0.0, 10.0),
    ROW(supply.filter_pa, 0.0, 100e3),
    ROW(supply.filter_m3_s, 0.0, 1e-3),
    ROW(supply.pump_pa, 0.0, 100e3),
    ROW(supply.pump_m3_s, 0.0, 1e-3),
    ROW(supply.pump_speed_rev_s, 0.0, 500.0),
    ROW(supply.seat_m, 0.0, 6e-3),
    ROW(supply.seat_coefficient, 0.0, 1.0),
    ROW(supply.needle_leak_m, 0.0, 6e-3),
    ROW(supply.travel_m, 0.0, 15e-3),
    ROW(supply.bowl_area_m2, 0.0, 0.05),
    ROW(supply.jet_depth_m, 0.0, 80e-3),
    ROW(supply.overflow_m, 0.0, 40e-3),
    ROW(film.cold_share, 0.0, 0.95),
    ROW(film.cold_s, 0.02, 20.0),
    ROW(film.warm_share, 0.0, 0.95),
    ROW(film.warm_s, 0.02, 20.0),
    ROW(film.uncertainty, 0.0, 1.0),
};

const jw_member_row *jw_setup_members(size_t *count)
{
	*count = sizeof members / sizeof *members;
	return members;
}

static jw_status check_members(const jw_setup *setup, jw_error *error)
{
	for (size_t i = 0; i < sizeof members / sizeof *members; i++) {
		const jw_member_row *row = &members[i];
		jw_status status = jw_check_range(row->field, jw_value_at(setup, row->offset), row->low, row->high, error);
		if (status < 0)
			return status;
	}
	return JW_OK;
}

/* Numbers bounded by others. */
static jw_status check_relations(const jw_setup *s, jw_error *error)
{
	const jw_carburetor *c = &s->carburetor;
	int choked = c->choke.bore_m > 0.0, pumped = c->pump.shot_m3 > 0.0, timed = c->timer.constant_s > 0.0,
	    plated = c->kind != JW_PISTON_SLIDE, floats = c->kind == JW_CONSTANT_DEPRESSION,
	    falls = floats && c->slide.fall_s > 0.0;
	double weight_n = c->slide.mass_kg * JW_GRAVITY, closed_n = c->slide.spring_closed_n + weight_n;
	double diaphragm = 0.25 * JW_PI * jw_square(c->slide.diaphragm_m);
	const jw_supply *f = &s->supply;
	const jw_breathing *b = &s->engine.breathing;
	int breathes = b->rod_ratio > 0.0, valves = breathes && s->engine.strokes == 4, ported = breathes && !valves;
	int supplied = f->bowl_area_m2 > 0.0;
	const jw_bound relations[] = {
	    {"carburetor.slide.diaphragm_m", c->slide.diaphragm_m, floats ? 10e-3 : 0.0, INFINITY},
	    {"carburetor.plate.bore_m", c->plate.bore_m, plated ? 5e-3 : 0.0, INFINITY},
	    {"carburetor.plate.coefficient", c->plate.coefficient, plated ? 0.3 : 0.0, INFINITY},
	    {"carburetor.plate.shaft_m", c->plate.shaft_m, 0.0, plated ? 0.6 * c->plate.bore_m : INFINITY},
	    {"carburetor.plate.idle_rad", c->plate.idle_rad, c->plate.closed_rad, 0.8},
	    {"carburetor.needle.straight_m", c->needle.straight_m, 0.0, 0.9999 * c->needle.jet_m},
	    {"carburetor.needle.tip_m", c->needle.tip_m, 0.0, c->needle.straight_m},
	    {"carburetor.main.outlet_height_m", c->main.outlet_height_m, -c->main.bleed_depth_m, INFINITY},
	    {"carburetor.pilot.outlet_height_m", c->pilot.outlet_height_m, -c->pilot.bleed_depth_m, INFINITY},
	    {"carburetor.enrichener.outlet_height_m", c->enrichener.outlet_height_m, -c->enrichener.bleed_depth_m,
	     INFINITY},
	    {"carburetor.power.outlet_height_m", c->power.outlet_height_m, -c->power.bleed_depth_m, INFINITY},
	    {"carburetor.slide.full_lift_m", c->slide.full_lift_m, c->slide.idle_lift_m, INFINITY},
	    /* What a kind does not have may be left at 0. */
	    {"engine.crankcase_ratio", s->engine.crankcase_ratio, s->engine.strokes == 2 ? 1.1 : 0.0, INFINITY},
	    {"carburetor.slide.full_lift_m", c->slide.full_lift_m, c->kind == JW_PISTON_SLIDE ? 5e-3 : 0.0, INFINITY},
	    {"engine.breathing.rod_ratio", b->rod_ratio, breathes ? 1.2 : 0.0, INFINITY},
	    {"engine.breathing.inlet.size_m", b->inlet.size_m, breathes ? 1e-3 : 0.0, INFINITY},
	    {"engine.breathing.exhaust.size_m", b->exhaust.size_m, breathes ? 1e-3 : 0.0, INFINITY},
	    {"engine.breathing.runner_bore_m", b->runner_bore_m, breathes ? 2e-3 : 0.0, INFINITY},
	    {"engine.breathing.inlet.lift_m", b->inlet.lift_m, valves ? 0.5e-3 : 0.0, INFINITY},
	    {"engine.breathing.exhaust.lift_m", b->exhaust.lift_m, valves ? 0.5e-3 : 0.0, INFINITY},
	    {"engine.breathing.transfer.size_m", b->transfer.size_m, ported ? 1e-3 : 0.0, INFINITY},
	    {"engine.breathing.inlet.opens_rad", b->inlet.opens_rad, ported ? 0.1 : -INFINITY, INFINITY},
	    {"engine.breathing.exhaust.opens_rad", b->exhaust.opens_rad, ported ? 0.1 : -INFINITY, INFINITY},
	    {"engine.breathing.transfer.opens_rad", b->transfer.opens_rad, ported ? 0.1 : -INFINITY, INFINITY},
	    {"engine.breathing.cam_points", b->cam_points, 0, JW_CAM_POINTS},
	    {"carburetor.screw.air_seat_m", c->screw.air_seat_m, c->screw.kind == JW_AIR_SCREW ? 0.1e-3 : 0.0, INFINITY},
	    {"carburetor.choke.shaft_m", c->choke.shaft_m, 0.0, choked ? 0.6 * c->choke.bore_m : INFINITY},
	    {"carburetor.choke.coefficient", c->choke.coefficient, choked ? 0.3 : 0.0, INFINITY},
	    {"carburetor.choke.relief_m2", c->choke.relief_m2, choked ? 1e-6 : 0.0, INFINITY},
	    {"carburetor.rod.rich_m", c->rod.rich_m, 0.0, c->rod.lean_m},
	    /* A rod as thick as its jet would shut it. */
	    {"carburetor.rod.lean_m", c->rod.lean_m, 0.0, c->rod.lean_m > 0.0 ? c->main.fuel_jet.diameter_m : INFINITY},
	    {"carburetor.pump.plunger_m", c->pump.plunger_m, pumped ? 2e-3 : 0.0, INFINITY},
	    {"carburetor.pump.spring_n", c->pump.spring_n, pumped ? 0.1 : 0.0, INFINITY},
	    {"carburetor.pump.to_throttle", c->pump.to_throttle, pumped ? c->pump.from_throttle + 0.01 : 0.0, INFINITY},
	    {"carburetor.timer.open_k", c->timer.open_k, timed ? 220.0 : 0.0, INFINITY},
	    {"carburetor.timer.shut_k", c->timer.shut_k, timed ? c->timer.open_k + 1.0 : 0.0, INFINITY},
	    {"carburetor.screw.kind", c->screw.kind, 0, JW_SCREW_KIND_COUNT - 1},
	    {"carburetor.slide.reference", c->slide.reference, 0, JW_VENT_COUNT - 1},
	    {"carburetor.pilot_from_main_well", c->pilot_from_main_well, 0, 1},
	    {"carburetor.main.slip", c->main.slip, 0, 1},
	    {"carburetor.pilot.slip", c->pilot.slip, 0, 1},
	    {"carburetor.power.slip", c->power.slip, 0, 1},
	    {"carburetor.enrichener.slip", c->enrichener.slip, 0, 1},
	    {"engine.carburetors", s->engine.carburetors, 0, 12},
	    {"engine.strokes", s->engine.strokes, s->engine.strokes == 2 ? 2 : 4, 4},
	    {"engine.cylinders", s->engine.cylinders, 1, 12},
	    {"engine.ve_points", s->engine.ve_points, 1, JW_VE_POINTS},
	    {"carburetor.ports", c->ports, 0, JW_PORTS},
	    {"carburetor.kind", c->kind, 0, JW_CARBURETOR_KIND_COUNT - 1},
	    {"carburetor.bowl.vent", c->bowl.vent, 0, JW_VENT_COUNT - 1},
	    {"engine.intake_duration_rad", s->engine.intake_duration_rad, 1.0, s->engine.strokes * JW_PI},
	    {"supply.bowl_area_m2", f->bowl_area_m2, supplied ? 1e-5 : 0.0, INFINITY},
	    {"supply.jet_depth_m", f->jet_depth_m, supplied ? 2e-3 : 0.0, INFINITY},
	    {"supply.tank_air_m3", f->tank_air_m3, supplied ? 1e-6 : 0.0, INFINITY},
	    {"supply.filter_m3_s", f->filter_m3_s, f->filter_pa > 0.0 ? 1e-9 : 0.0, INFINITY},
	    {"supply.pump_m3_s", f->pump_m3_s, f->pump_pa > 0.0 ? 1e-9 : 0.0, INFINITY},
	    /* A slide without weight and spring never falls; one that asks for more than the throat can draw before it
	     * chokes never rises. */
	    {"carburetor.slide.mass_kg", c->slide.mass_kg, falls ? LEAST_FALLING_KG : 0.0,
	     floats ? MOST_CLOSED_PA * diaphragm / JW_GRAVITY : INFINITY},
	    {"carburetor.slide.spring_closed_n", c->slide.spring_closed_n, floats ? fmax(0.05 - weight_n, 0.0) : 0.0,
	     floats ? MOST_CLOSED_PA * diaphragm - weight_n : INFINITY},
	    {"carburetor.slide.spring_rate_n_m", c->slide.spring_rate_n_m, 0.0,
	     floats ? (MOST_LIFTED_PA * diaphragm - closed_n) / c->throat.bore_m : INFINITY},
	    /* Nothing falls faster than it would undamped. */
	    {"carburetor.slide.fall_s", c->slide.fall_s, falls ? jw_slide_undamped_fall(&c->slide, c->throat.bore_m) : 0.0,
	     INFINITY},
	};
	return jw_check_bounds(relations, sizeof relations / sizeof *relations, error);
}

static jw_status check_lists(const jw_setup *s, jw_error *error)
{
	jw_status status = JW_OK;
	for (int i = 0; i < s->carburetor.ports && status == JW_OK; i++) {
		status = jw_check_range("carburetor.port.diameter_m", s->carburetor.port[i].diameter_m, 0.1e-3, 4e-3, error);
		if (status == JW_OK)
			status =
			    jw_check_range("carburetor.port.position_m", s->carburetor.port[i].position_m, -5e-3, 15e-3, error);
	}
	double before = 0.0;
	for (int i = 0; i < s->engine.ve_points && status == JW_OK; i++) {
		double speed = s->engine.ve_speed_rev_s[i];
		if (!(speed > before))
			return jw_fail(error, JW_E_RANGE, "engine.ve_speed_rev_s", speed, before, 500.0);
		before = speed;
		status = jw_check_range("engine.ve_speed_rev_s", speed, 0.1, 500.0, error);
		if (status == JW_OK)
			status = jw_check_range("engine.ve", s->engine.ve[i], 0.1, 1.6, error);
	}
	const jw_breathing *b = &s->engine.breathing;
	for (int i = 0; i < b->cam_points && status == JW_OK; i++) {
		status = jw_check_range("engine.breathing.cam_rad", b->cam_rad[i], i > 0 ? b->cam_rad[i - 1] + 1e-3 : -4.0, 8.0,
		                        error);
		if (status == JW_OK)
			status = jw_check_range("engine.breathing.cam_lift_m", b->cam_lift_m[i], 0.0, 0.03, error);
	}
	for (int i = 0; i < JW_RANGE_COUNT && status == JW_OK; i++) {
		status = jw_check_range("range.speed_rev_s", s->range[i].speed_rev_s, 1.0, 500.0, error);
		if (status == JW_OK)
			status = jw_check_range("range.throttle", s->range[i].throttle, 0.0, 1.0, error);
		if (status == JW_OK)
			status = jw_check_range("range.enrichener", s->range[i].enrichener, 0.0, 1.0, error);
	}
	return status;
}

/* A full grid, speed by speed. */
static jw_status check_pulses(const jw_pulse_table *t, jw_error *error)
{
	jw_status status = jw_check_range("pulses.nodes", t->nodes, 0, JW_PULSE_NODES, error);
	int openings = 0;
	while (status == JW_OK && openings < t->nodes && t->speed_rev_s[openings] == t->speed_rev_s[0])
		openings++;
	for (int i = 0; i < t->nodes && status == JW_OK; i++) {
		const int row = i / openings, column = i % openings;
		const double speed = t->speed_rev_s[row * openings], throttle = t->throttle[column];
		const double above = column > 0 ? t->throttle[i - 1] + 1e-4 : 0.0;
		const double least = row > 0 ? 1.001 * t->speed_rev_s[i - openings] : 1.0;
		const jw_bound bounds[] = {
		    {"pulses.throttle", t->throttle[i], fmax(above, throttle), row > 0 ? throttle : 1.0},
		    {"pulses.speed_rev_s", t->speed_rev_s[i], fmax(least, speed), column > 0 ? speed : 500.0},
		    {"pulses.air", t->factor[JW_PULSE_AIR][i], 0.01, 100.0},
		    {"pulses.throat", t->factor[JW_PULSE_THROAT][i], 0.01, 1000.0},
		    {"pulses.main_lift", t->factor[JW_PULSE_MAIN_LIFT][i], 0.0, 10e3},
		    {"pulses.main", t->factor[JW_PULSE_MAIN][i], -1000.0, 1000.0},
		    {"pulses.power_lift", t->factor[JW_PULSE_POWER_LIFT][i], 0.0, 10e3},
		    {"pulses.power", t->factor[JW_PULSE_POWER][i], -1000.0, 1000.0},
		    {"pulses.pilot", t->factor[JW_PULSE_PILOT][i], 0.001, 1000.0},
		};
		status = jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
	}
	if (status == JW_OK && t->nodes > 0 && t->nodes % openings != 0)
		status = jw_fail(error, JW_E_RANGE, "pulses.throttle", t->throttle[t->nodes - 1], t->throttle[openings - 1],
		                 t->throttle[openings - 1]);
	return status;
}

jw_status jw_setup_check(const jw_setup *setup, jw_error *error)
{
	jw_status status = check_members(setup, error);
	if (status == JW_OK)
		status = check_relations(setup, error);
	if (status == JW_OK)
		status = check_lists(setup, error);
	if (status == JW_OK)
		status = check_pulses(&setup->pulses, error);
	if (status < 0)
		return status;
	jw_fuel_state fuel;
	return jw_fuel_at(&setup->fuel, 288.15, &fuel, error);
}

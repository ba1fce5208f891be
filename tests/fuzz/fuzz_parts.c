/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any set-up that the check accepts, one of its parts, or one question about it: what comes out is finite. */
#include "taken.h"
#include <jetwright/bank.h>
#include <jetwright/diagnose.h>
#include <jetwright/transient.h>

static jw_setup setups[4];
LOAD_SETUPS(setups, "courier-150", "trail-250", "cruiser-1200", "kart-125")

/* What a question is about. */
typedef struct scene {
	jw_setup setup;
	jw_air air;
	jw_point point;
	jw_gas gas;
} scene;

static void engine(bytes *b, const scene *s)
{
	const jw_engine *e = &s->setup.engine;
	double speed = within(b, 1, 500), manifold = within(b, 1e3, s->air.pressure_pa), ve, kg_s;
	jw_breathing usual = jw_breathing_usual(e);
	require(usual.rod_ratio > 0 && usual.runner_bore_m > 0 && jw_displacement(e) > 0);
	require(jw_volumetric_efficiency(e, speed, &ve) >= 0 && ve > 0);
	require(jw_engine_demand(e, s->air.pressure_pa, s->air.temperature_k, s->air.gas_constant_j_kg_k, manifold, speed,
	                         &kg_s) >= 0 &&
	        isfinite(kg_s) && kg_s >= 0);
	require(jw_air_consumption(jw_displacement(e), e->strokes, speed, ve, 1.2) > 0);
	double left = jw_part_throttle_factor(e->compression_ratio, within(b, 0.1, 100));
	require(left >= 0 && isfinite(left));
	jw_pulse pulse = jw_engine_pulse(e, speed, within(b, 0, 1e-2), within(b, 250, 400));
	require(doubles_finite(&pulse, sizeof pulse) && pulse.throat >= 1 && pulse.plate >= 1 - 1e-12);
	require(jw_pulse_factor(within(b, 1e-3, 10)) >= 1 - 1e-12);
	double response = jw_pulse_response(within(b, 0, 1e4), within(b, 0, 10));
	require(response >= 0 && response <= 1);
}

static void geometry(bytes *b, const scene *s)
{
	const jw_carburetor *c = &s->setup.carburetor;
	double angle = jw_plate_angle(&c->plate, within(b, -0.5, 1.5)), lift = within(b, -5e-3, 80e-3);
	require(jw_plate_area(&c->plate, angle) >= 0 && jw_slide_area(&c->throat, &c->slide, lift) >= 0);
	require(jw_needle_area(&c->needle, lift) >= 0);
	require(c->kind != JW_CONSTANT_DEPRESSION || isfinite(jw_slide_depression(&c->slide, lift)));
	require(!jw_slide_moves(c) || c->kind == JW_CONSTANT_DEPRESSION);
	require(jw_screw_area(&c->screw) >= 0 && jw_air_screw_area(&c->screw) >= 0);
	require(jw_choke_area(&c->choke, within(b, -0.5, 1.5)) >= 0);
	require(jw_rod_jet(&c->main.fuel_jet, &c->rod, within(b, 0, 1)).diameter_m <= c->main.fuel_jet.diameter_m);
	double travel = jw_pump_travel(&c->pump, within(b, 0, 1));
	require(travel >= 0 && travel <= 1 && jw_pump_pressure(&c->pump) >= 0);
	const jw_liquid_flow petrol = {within(b, 600, 900), within(b, 1e-7, 1e-5)};
	require(jw_pump_flow(&c->pump, &petrol) >= 0);
	double opening = jw_enrichener_opening(&c->timer, within(b, 0, 1e4), within(b, 220, 330));
	require(opening >= 0 && opening <= 1);
	for (int i = 0; i < c->ports; i++) {
		double share = jw_port_exposure(&c->plate, &c->port[i], angle);
		require(share >= 0 && share <= 1);
	}
}

static void carburetor(bytes *b, const scene *s)
{
	const jw_carburetor *c = &s->setup.carburetor;
	const jw_controls controls = {within(b, 0, 1), within(b, 0, 1)};
	const double ambient = s->air.pressure_pa, gain = within(b, 1, 10);
	double most = jw_carburetor_capacity(c, &controls, &s->gas, ambient), kg_s = within(b, 0, 1.5) * most, lift;
	require(most >= 0 && isfinite(most) && jw_carburetor_plate(c, controls.throttle) >= 0);
	require(isfinite(jw_carburetor_reference(c, &s->gas, ambient, kg_s)));
	if (c->kind == JW_CONSTANT_DEPRESSION &&
	    jw_slide_lift(&c->throat, &c->slide, &s->gas, ambient, ambient, kg_s, gain, &lift, NULL) >= 0)
		require(isfinite(lift));
	jw_fuel_ends ends = {.ambient_pa = ambient, .controls = controls, .main_gain = gain, .air = s->gas};
	if (jw_carburetor_air(c, &controls, &s->gas, ambient, kg_s, gain, &ends.path, NULL) < 0)
		return;
	require(doubles_finite(&ends.path, sizeof ends.path) && ends.path.plate_pa > 0);
	ends.manifold_pa = within(b, 0.05, 1) * ambient;
	ends.fuel = (jw_liquid_flow){within(b, 600, 900), within(b, 1e-7, 1e-5)};
	jw_carburetor_flow flow;
	if (jw_carburetor_fuel(c, &ends, &flow, NULL) >= 0)
		require(doubles_finite(&flow, sizeof flow) && flow.main.fuel_kg_s >= 0 && flow.pilot.fuel_kg_s >= 0);
}

static void supply(bytes *b, const scene *s)
{
	const jw_supply *supply = &s->setup.supply;
	const jw_supply_ends ends = {.fuel = take_liquid(b),
	                             .air = s->gas,
	                             .ambient_pa = s->air.pressure_pa,
	                             .bowl_pa = take_between(b, 50e3, 120e3),
	                             .vapour_pa = take_between(b, 0, 50e3),
	                             .tank_pa = take_byte(b) % 2 ? 0 : take_between(b, 50e3, 120e3),
	                             .speed_rev_s = take_between(b, 0, 200)};
	double level, tank;
	jw_supply_flow flow;
	if (!(supply->bowl_area_m2 > 0))
		return;
	require(jw_float_needle_area(supply, within(b, -0.1, 0.1)) >= 0);
	require(isfinite(
	    jw_vent_flow(supply, &(jw_supply_ends){.air = s->gas, .ambient_pa = s->air.pressure_pa}, within(b, 1e3, 2e5))));
	if (jw_supply_tank(supply, &ends, take_between(b, 0, 1e-2), &tank, NULL) >= 0)
		require(isfinite(tank) && tank >= 0);
	if (jw_supply_pass(supply, &ends, take_between(b, -0.1, 0.1), &flow, NULL) >= 0)
		require(doubles_finite(&flow, sizeof flow) && flow.kg_s >= 0);
	if (jw_supply_level(supply, &ends, take_between(b, 0, 1e-2), &level, NULL) >= 0)
		require(isfinite(level));
}

static void lasting(bytes *b, const scene *s)
{
	jw_lasting lasting;
	if (jw_supply_lasts(&s->setup, &s->air, &s->point, take_between(b, 0.5, 10), take_between(b, 1e-3, 100), &lasting,
	                    NULL) >= 0)
		require(isfinite(lasting.seconds) && isfinite(lasting.level_m) && isfinite(lasting.tank_pa) &&
		        isfinite(lasting.phi));
}

static void bank(bytes *b, const scene *s)
{
	const jw_bank two = {2, {&s->setup, &setups[take_byte(b) % 4]}, {0, take_between(b, -0.25, 0.25)}};
	double offset;
	if (jw_bank_balance(&two, &s->air, &s->point, take_whole(b, 2), take_whole(b, 2), &offset, NULL) >= 0)
		require(isfinite(offset));
}

static void map(bytes *b, const scene *s)
{
	jw_point points[3] = {s->point, s->point, take_point(b)};
	jw_mixture mixture[3];
	jw_status statuses[3];
	points[1].throttle = take_between(b, 0, 1);
	size_t count = take_byte(b) % 4;
	if (jw_mixture_map(&s->setup, &s->air, points, count, mixture, take_byte(b) % 2 ? statuses : NULL, NULL) >= 0)
		require(doubles_finite(mixture, count * sizeof *mixture));
}

static void contributions(bytes *b, const scene *s)
{
	const jw_unmeasured open[] = {{"main jet", offsetof(jw_setup, carburetor.main.fuel_jet.diameter_m), 0, 1, 0.02, 0},
	                              {"needle", offsetof(jw_setup, carburetor.needle.straight_m), 0, 1, 0, 1e-5},
	                              {"filling", offsetof(jw_setup, engine.ve), sizeof(double), s->setup.engine.ve_points,
	                               take_between(b, 0, 0.2), 0}};
	jw_setup shifted = s->setup;
	double contribution[3], relative;
	jw_setup_shift(&shifted, &open[take_byte(b) % 3], take_between(b, -3, 3));
	int count = (int)(take_byte(b) % 4);
	const jw_air *anchor = take_byte(b) % 2 ? &s->air : NULL;
	if (jw_mixture_contributions(&s->setup, &s->air, &s->point, open, count, anchor, contribution, &relative, NULL) >=
	    0)
		require(isfinite(relative) && relative >= 0 && doubles_finite(contribution, sizeof(double) * (size_t)count));
}

static void calibrate(bytes *b, const scene *s)
{
	jw_baseline baseline = {.air = s->air};
	jw_calibration found;
	baseline.lambda_idle = take_between(b, 0.7, 1.2);
	baseline.lambda_half = take_between(b, 0.7, 1.2);
	baseline.lambda_full = take_between(b, 0.7, 1.2);
	if (jw_calibrate(&s->setup, &baseline, &found, NULL) >= 0)
		require(doubles_finite(&found, sizeof found) && found.coefficient.main > 0 && found.coefficient.pilot > 0);
}

static void brass(bytes *b, const scene *s)
{
	jw_setup fitted = s->setup;
	double value, phi = take_between(b, 0.5, 2);
	jw_part part = (jw_part)take_whole(b, JW_PART_COUNT + 1);
	if (jw_part_for_phi(&s->setup, &s->air, &s->point, part, phi, &value, NULL) >= 0)
		require(isfinite(value) && jw_part_set(&fitted, part, value, NULL) >= 0);
	if (jw_change_apply(&fitted, (jw_change_kind)take_whole(b, JW_CHANGE_KIND_COUNT), NULL) >= 0)
		require(jw_setup_check(&fitted, NULL) >= 0);
}

static void passage(bytes *b, const scene *s)
{
	jw_passage which = (jw_passage)take_whole(b, JW_PASSAGE_COUNT + 1);
	jw_passage_left left;
	jw_mixture mixture;
	require(jw_passage_bore(&s->setup, which) >= 0);
	if (jw_passage_restrict(&s->setup, &s->air, which, &s->point, (jw_restriction_kind)take_whole(b, 3),
	                        take_between(b, 0, 1), &left, NULL) >= 0)
		require(isfinite(left.left.flow_share) && jw_setup_check(&left.setup, NULL) >= 0);
	if (jw_mixture_at(&s->setup, &s->air, &s->point, &mixture, NULL) >= 0)
		require(isfinite(jw_passage_flow(&mixture, which)));
}

static void cause(bytes *b, const scene *s)
{
	int which = take_whole(b, jw_cause_count() + 1);
	double severity = take_between(b, 0, 1), value;
	jw_setup faulty;
	jw_part part = JW_PART_MAIN_JET;
	require(jw_cause_part(which, &part) == 0 || part < JW_PART_COUNT);
	require(jw_cause_need(which) < JW_NEED_COUNT && jw_cause_minutes(which) >= 0 && jw_remedy_holds(which) <= 1);
	require(!jw_remedy_mends(which, take_whole(b, 64)) || jw_cause_at(which));
	require(!jw_cause_effect_words(which) || jw_cause_meters(which));
	if (jw_cause_apply(&s->setup, which, severity, &faulty, NULL) >= 0)
		require(jw_setup_check(&faulty, NULL) >= 0);
	if (jw_cause_effect(&s->setup, &s->air, which, severity, &value, NULL) >= 0)
		require(isfinite(value));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static void (*const questions[])(bytes *, const scene *) = {
	    engine, geometry, carburetor, supply, lasting, bank, map, contributions, calibrate, brass, passage, cause};
	bytes b = {data, data + size};
	scene s;
	unsigned which = take_byte(&b) % (sizeof questions / sizeof *questions);
	if (!take_setup(&b, setups, sizeof setups / sizeof *setups, &s.setup))
		return 0;
	s.air = take_air(&b);
	s.point = take_point(&b);
	s.gas = (jw_gas){s.air.temperature_k, s.air.gas_constant_j_kg_k, s.air.viscosity_pa_s};
	questions[which](&b, &s);
	return 0;
}

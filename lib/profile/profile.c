/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/class.h"
#include "profile/unmeasured.h"

#include <stdlib.h>
#include <string.h>

/* ---- words ---- */

static const struct cycle_row {
	const char *word;
	int strokes;
} cycles[] = {{"four_stroke", 4}, {"two_stroke", 2}};

static const char *const carburetor_words[JW_CARBURETOR_KIND_COUNT] = {[JW_CONSTANT_DEPRESSION] = "constant_depression",
                                                                       [JW_PISTON_SLIDE] = "piston_slide",
                                                                       [JW_FIXED_VENTURI] = "fixed_venturi"};
static const char *const vent_words[JW_VENT_COUNT] = {[JW_VENT_ATMOSPHERE] = "atmosphere", [JW_VENT_AIRBOX] = "airbox"};
static const char *const screw_words[JW_SCREW_KIND_COUNT] = {[JW_FUEL_SCREW] = "fuel", [JW_AIR_SCREW] = "air"};
static const char *const feed_words[] = {"bowl", "main_well"};
static const char *const emulsion_words[] = {"homogeneous", "slip"};

#define WORD(name, words)                                                                                              \
	static const char *name(int index)                                                                                 \
	{                                                                                                                  \
		return index < (int)(sizeof words / sizeof *words) ? words[index] : NULL;                                      \
	}
WORD(carburetor_word, carburetor_words)
WORD(vent_word, vent_words)
WORD(screw_word, screw_words)
WORD(feed_word, feed_words)
WORD(emulsion_word, emulsion_words)

static const char *cycle_word(int index)
{
	return index < (int)(sizeof cycles / sizeof *cycles) ? cycles[index].word : NULL;
}

/* ---- rows ---- */

#define SETUP(key, unit, least, greatest, otherwise, place)                                                            \
	JW_QUANTITY_FIELD(key, unit, least, greatest, otherwise, jw_profile, setup.place, #place)
#define CELL(key, unit, least, greatest, type, place, name, size)                                                      \
	{                                                                                                                  \
		key, JW_FIELD_QUANTITY, JW_REQUIRED, unit, least, greatest, .member = name, JW_AT(type, place),                \
		                                                            .stride = (size)                                   \
	}
/* A fuel and an air jet; a measured discharge coefficient replaces the law of short bores, 0 keeps it.
 * A length that nobody measured is that of a common jet. */
#define JETS(block, circuit, least, greatest, length, most_air)                                                        \
	SETUP(block ".jet", JW_LENGTH, least, greatest, JW_REQUIRED, circuit.fuel_jet.diameter_m),                         \
	    SETUP(block ".jet_length", JW_LENGTH, "0.2 mm", "20 mm", length, circuit.fuel_jet.length_m),                   \
	    SETUP(block ".jet_coefficient", JW_NUMBER, "0", "1", "0", circuit.fuel_jet.coefficient),                       \
	    SETUP(block ".air_jet", JW_LENGTH, "0 mm", most_air, JW_REQUIRED, circuit.air_jet.diameter_m),                 \
	    SETUP(block ".air_jet_length", JW_LENGTH, "0.2 mm", "20 mm", "3 mm", circuit.air_jet.length_m),                \
	    SETUP(block ".air_jet_coefficient", JW_NUMBER, "0", "1", "0", circuit.air_jet.coefficient),                    \
	    SETUP(block ".bleed_below_level", JW_LENGTH, "-30 mm", "50 mm", JW_REQUIRED, circuit.bleed_depth_m)
#define RANGE(key, index)                                                                                              \
	{                                                                                                                  \
		"ranges." key, JW_FIELD_ROW, JW_REQUIRED, .columns = point_cells, JW_AT(jw_profile, setup.range[index])        \
	}
#define OPTIONAL_BLOCK(key)                                                                                            \
	{                                                                                                                  \
		key, JW_FIELD_BLOCK, .standard = JW_OPTIONAL                                                                   \
	}

/* A valve or port; what a port, or the other cycle, does not have may be left out, or be 0. */
#define WINDOW(key, window, smallest, needed)                                                                          \
	SETUP("engine.breathing." key "_opens", JW_ANGLE, "-80 deg", "175 deg", needed("60 deg"), window.opens_rad),       \
	    SETUP("engine.breathing." key "_closes", JW_ANGLE, "-80 deg", "175 deg", "0 deg", window.closes_rad),          \
	    SETUP("engine.breathing." key "_size", JW_LENGTH, smallest, "150 mm", needed("20 mm"), window.size_m),         \
	    SETUP("engine.breathing." key "_lift", JW_LENGTH, "0 mm", "30 mm", "0 mm", window.lift_m)
#define ALWAYS(otherwise) JW_REQUIRED
#define OR_ELSE(otherwise) otherwise

static const jw_field filling_cells[] = {
    CELL("speed", JW_SPEED, "100 rpm", "25000 rpm", jw_engine, ve_speed_rev_s, "engine.ve_speed_rev_s", sizeof(double)),
    CELL("efficiency", JW_NUMBER, "0.1", "1.5", jw_engine, ve, "engine.ve", sizeof(double)), JW_END_OF_FIELDS};

static const jw_field cam_cells[] = {
    CELL("angle", JW_ANGLE, "-200 deg", "400 deg", jw_breathing, cam_rad, "engine.breathing.cam_rad", sizeof(double)),
    CELL("lift", JW_LENGTH, "0 mm", "30 mm", jw_breathing, cam_lift_m, "engine.breathing.cam_lift_m", sizeof(double)),
    JW_END_OF_FIELDS};

#define FACTOR_CELL(key, least, greatest, kind)                                                                        \
	CELL(key, JW_NUMBER, least, greatest, jw_pulse_table, factor[kind], "pulses." key, sizeof(double))
static const jw_field pulse_cells[] = {
    CELL("speed", JW_SPEED, "100 rpm", "25000 rpm", jw_pulse_table, speed_rev_s, "pulses.speed_rev_s", sizeof(double)),
    CELL("throttle", JW_FRACTION, "0%", "100%", jw_pulse_table, throttle, "pulses.throttle", sizeof(double)),
    FACTOR_CELL("air", "0.02", "20", JW_PULSE_AIR),
    FACTOR_CELL("throat", "0.1", "500", JW_PULSE_THROAT),
    CELL("main_lift", JW_PRESSURE, "0 Pa", "10 kPa", jw_pulse_table, factor[JW_PULSE_MAIN_LIFT], "pulses.main_lift",
         sizeof(double)),
    FACTOR_CELL("main", "-500", "500", JW_PULSE_MAIN),
    CELL("power_lift", JW_PRESSURE, "0 Pa", "10 kPa", jw_pulse_table, factor[JW_PULSE_POWER_LIFT], "pulses.power_lift",
         sizeof(double)),
    FACTOR_CELL("power", "-500", "500", JW_PULSE_POWER),
    FACTOR_CELL("pilot", "0.02", "500", JW_PULSE_PILOT),
    JW_END_OF_FIELDS};

static const jw_field port_cells[] = {
    CELL("diameter", JW_LENGTH, "0.2 mm", "3 mm", jw_port, diameter_m, "carburetor.port.diameter_m", sizeof(jw_port)),
    CELL("position", JW_LENGTH, "-3 mm", "12 mm", jw_port, position_m, "carburetor.port.position_m", sizeof(jw_port)),
    JW_END_OF_FIELDS};

static const jw_field point_cells[] = {
    CELL("speed", JW_SPEED, "200 rpm", "25000 rpm", jw_point, speed_rev_s, "range.speed_rev_s", 0),
    CELL("throttle", JW_FRACTION, "0%", "100%", jw_point, throttle, "range.throttle", 0), JW_END_OF_FIELDS};

/* clang-format off */
const jw_field jw_engine_fields[] = {
    JW_SCHEMA_FIELD("profile", jw_profile),
    {"name", JW_FIELD_TEXT, JW_REQUIRED, .most = JW_TITLE_MOST, JW_AT(jw_profile, name)},
    JW_ABOUT_FIELD(jw_profile),
    {"fuel", JW_FIELD_NAME, JW_REQUIRED, .most = JW_NAME_MOST, JW_AT(jw_profile, fuel)},
    {"based_on", JW_FIELD_NAME, JW_OPTIONAL, .most = JW_NAME_MOST, JW_AT(jw_profile, based_on)},
    SETUP("bowl_heating", JW_TEMPERATURE_DIFFERENCE, "0 K", "50 K", "0 K", bowl_heating_k),

    {"engine.cycle", JW_FIELD_WORD, JW_REQUIRED, .word = cycle_word, JW_AT(jw_profile, cycle)},
    {"engine.cylinders", JW_FIELD_INTEGER, JW_REQUIRED, .low = "1", .high = "12",
     JW_AT(jw_profile, setup.engine.cylinders)},
    {"engine.carburetors", JW_FIELD_INTEGER, "1", .low = "1", .high = "12", JW_AT(jw_profile, setup.engine.carburetors)},
    SETUP("engine.bore", JW_LENGTH, "20 mm", "150 mm", JW_REQUIRED, engine.bore_m),
    SETUP("engine.stroke", JW_LENGTH, "20 mm", "200 mm", JW_REQUIRED, engine.stroke_m),
    SETUP("engine.compression_ratio", JW_NUMBER, "4", "18", JW_REQUIRED, engine.compression_ratio),
    SETUP("engine.crankcase_ratio", JW_NUMBER, "1.1", "3", JW_OPTIONAL, engine.crankcase_ratio),
    SETUP("engine.intake_duration", JW_ANGLE, "120 deg", "330 deg", JW_REQUIRED, engine.intake_duration_rad),
    SETUP("engine.manifold_volume", JW_VOLUME, "1 cm3", "5000 cm3", JW_REQUIRED, engine.manifold_volume_m3),
    SETUP("engine.charge_heating", JW_TEMPERATURE_DIFFERENCE, "0 K", "100 K", JW_REQUIRED, engine.manifold_heating_k),
    SETUP("engine.exhaust_back_pressure", JW_PRESSURE, "0 kPa", "50 kPa", JW_REQUIRED, engine.exhaust_back_pa),
    {"engine.volumetric_efficiency", JW_FIELD_ROWS, JW_REQUIRED, .most = JW_VE_POINTS, .columns = filling_cells,
     JW_AT(jw_profile, setup.engine), .count = offsetof(jw_profile, setup.engine.ve_points)},

    OPTIONAL_BLOCK("engine.breathing"),
    SETUP("engine.breathing.rod_ratio", JW_NUMBER, "2", "10", JW_REQUIRED, engine.breathing.rod_ratio),
    WINDOW("inlet", engine.breathing.inlet, "2 mm", ALWAYS),
    WINDOW("exhaust", engine.breathing.exhaust, "2 mm", ALWAYS),
    WINDOW("transfer", engine.breathing.transfer, "0 mm", OR_ELSE),
    SETUP("engine.breathing.runner_length", JW_LENGTH, "0 mm", "1.5 m", JW_REQUIRED, engine.breathing.runner_m),
    SETUP("engine.breathing.runner_bore", JW_LENGTH, "3 mm", "100 mm", JW_REQUIRED, engine.breathing.runner_bore_m),
    SETUP("engine.breathing.ahead_length", JW_LENGTH, "0 mm", "1.5 m", "0 mm", engine.breathing.ahead_m),
    {"engine.breathing.inlet_cam", JW_FIELD_ROWS, JW_OPTIONAL, .most = JW_CAM_POINTS, .columns = cam_cells,
     JW_AT(jw_profile, setup.engine.breathing), .count = offsetof(jw_profile, setup.engine.breathing.cam_points)},

    SETUP("intake.filter_loss", JW_PRESSURE, "0 Pa", "10 kPa", JW_REQUIRED, carburetor.intake.loss_pa),
    SETUP("intake.at_air_flow", JW_MASS_FLOW, "0.1 g/s", "500 g/s", JW_REQUIRED, carburetor.intake.loss_flow_kg_s),

    {"carburetor.kind", JW_FIELD_WORD, JW_REQUIRED, .word = carburetor_word, JW_AT(jw_profile, setup.carburetor.kind)},
    {"carburetor.emulsion", JW_FIELD_WORD, "homogeneous", .word = emulsion_word, JW_AT(jw_profile, slip)},
    {"carburetor.bowl.vent", JW_FIELD_WORD, JW_REQUIRED, .word = vent_word,
     JW_AT(jw_profile, setup.carburetor.bowl.vent)},
    SETUP("carburetor.bowl.level_error", JW_LENGTH, "-15 mm", "15 mm", "0 mm", carburetor.bowl.level_error_m),
    SETUP("carburetor.throat.bore", JW_LENGTH, "8 mm", "60 mm", JW_REQUIRED, carburetor.throat.bore_m),
    SETUP("carburetor.throat.coefficient", JW_NUMBER, "0.5", "1", "0.85", carburetor.throat.coefficient),
    SETUP("carburetor.throat.recovery", JW_NUMBER, "0", "0.95", "0.6", carburetor.throat.recovery),
    OPTIONAL_BLOCK("carburetor.slide"),
    {"carburetor.slide.reference", JW_FIELD_WORD, "airbox", .word = vent_word,
     JW_AT(jw_profile, setup.carburetor.slide.reference)},
    SETUP("carburetor.slide.diaphragm", JW_LENGTH, "15 mm", "120 mm", JW_REQUIRED, carburetor.slide.diaphragm_m),
    SETUP("carburetor.slide.mass", JW_MASS, "1 g", "300 g", JW_REQUIRED, carburetor.slide.mass_kg),
    SETUP("carburetor.slide.spring_closed", JW_FORCE, "0 N", "20 N", JW_REQUIRED, carburetor.slide.spring_closed_n),
    SETUP("carburetor.slide.spring_rate", JW_STIFFNESS, "0 N/m", "500 N/m", JW_REQUIRED,
          carburetor.slide.spring_rate_n_m),
    SETUP("carburetor.slide.fall_time", JW_TIME, "0 s", "2 s", "0 s", carburetor.slide.fall_s),
    SETUP("carburetor.slide.base_area", JW_AREA, "0 mm2", "100 mm2", JW_REQUIRED, carburetor.slide.base_area_m2),
    OPTIONAL_BLOCK("carburetor.piston"),
    SETUP("carburetor.piston.cutaway", JW_LENGTH, "0 mm", "10 mm", JW_REQUIRED, carburetor.slide.cutaway_m),
    SETUP("carburetor.piston.idle_lift", JW_LENGTH, "0 mm", "10 mm", JW_REQUIRED, carburetor.slide.idle_lift_m),
    SETUP("carburetor.piston.full_lift", JW_LENGTH, "5 mm", "60 mm", JW_REQUIRED, carburetor.slide.full_lift_m),

    OPTIONAL_BLOCK("carburetor.plate"),
    SETUP("carburetor.plate.bore", JW_LENGTH, "8 mm", "60 mm", JW_REQUIRED, carburetor.plate.bore_m),
    SETUP("carburetor.plate.shaft", JW_LENGTH, "0 mm", "15 mm", JW_REQUIRED, carburetor.plate.shaft_m),
    SETUP("carburetor.plate.closed_angle", JW_ANGLE, "0 deg", "20 deg", JW_REQUIRED, carburetor.plate.closed_rad),
    SETUP("carburetor.plate.idle_angle", JW_ANGLE, "0 deg", "40 deg", JW_REQUIRED, carburetor.plate.idle_rad),
    SETUP("carburetor.plate.coefficient", JW_NUMBER, "0.5", "1", "0.85", carburetor.plate.coefficient),

    OPTIONAL_BLOCK("carburetor.choke"),
    SETUP("carburetor.choke.bore", JW_LENGTH, "8 mm", "60 mm", JW_REQUIRED, carburetor.choke.bore_m),
    SETUP("carburetor.choke.shaft", JW_LENGTH, "0 mm", "10 mm", JW_REQUIRED, carburetor.choke.shaft_m),
    SETUP("carburetor.choke.closed_angle", JW_ANGLE, "0 deg", "25 deg", JW_REQUIRED, carburetor.choke.closed_rad),
    SETUP("carburetor.choke.relief_area", JW_AREA, "1 mm2", "200 mm2", JW_REQUIRED, carburetor.choke.relief_m2),
    SETUP("carburetor.choke.coefficient", JW_NUMBER, "0.3", "1", "0.8", carburetor.choke.coefficient),

    JETS("carburetor.main", carburetor.main, "0.3 mm", "4 mm", "2 mm", "4 mm"),
    SETUP("carburetor.main.nozzle_above_level", JW_LENGTH, "-5 mm", "50 mm", JW_REQUIRED,
          carburetor.main.outlet_height_m),
    SETUP("carburetor.main.needle_jet", JW_LENGTH, "0.8 mm", "6 mm", JW_REQUIRED, carburetor.needle.jet_m),
    SETUP("carburetor.main.needle_straight", JW_LENGTH, "0 mm", "6 mm", "0 mm", carburetor.needle.straight_m),
    SETUP("carburetor.main.needle_straight_length", JW_LENGTH, "0 mm", "50 mm", "0 mm",
          carburetor.needle.straight_length_m),
    SETUP("carburetor.main.needle_taper", JW_ANGLE, "0 deg", "15 deg", "0 deg", carburetor.needle.taper_rad),
    SETUP("carburetor.main.needle_tip", JW_LENGTH, "0 mm", "6 mm", "0 mm", carburetor.needle.tip_m),
    SETUP("carburetor.main.needle_raised", JW_LENGTH, "-8 mm", "8 mm", "0 mm", carburetor.needle.raised_m),
    SETUP("carburetor.main.annulus_coefficient", JW_NUMBER, "0.05", "1.2", "0.65", carburetor.needle.coefficient),
    SETUP("carburetor.main.column_length", JW_LENGTH, "5 mm", "200 mm", JW_REQUIRED, carburetor.main_column_m),
    SETUP("carburetor.main.column_bore", JW_LENGTH, "1 mm", "15 mm", JW_REQUIRED, carburetor.main_column_bore_m),

    JETS("carburetor.pilot", carburetor.pilot, "0.15 mm", "2 mm", "1 mm", "4 mm"),
    SETUP("carburetor.pilot.outlet", JW_LENGTH, "0.3 mm", "3 mm", JW_REQUIRED, carburetor.screw.hole_m),
    SETUP("carburetor.pilot.outlet_above_level", JW_LENGTH, "-5 mm", "60 mm", JW_REQUIRED,
          carburetor.pilot.outlet_height_m),
    SETUP("carburetor.pilot.outlet_coefficient", JW_NUMBER, "0.05", "1.2", "0.65", carburetor.screw.coefficient),
    SETUP("carburetor.pilot.screw_turns", JW_NUMBER, "0", "8", JW_REQUIRED, carburetor.screw.turns),
    SETUP("carburetor.pilot.screw_pitch", JW_LENGTH, "0.2 mm", "1.5 mm", JW_REQUIRED, carburetor.screw.pitch_m),
    SETUP("carburetor.pilot.screw_cone", JW_ANGLE, "5 deg", "90 deg", JW_REQUIRED, carburetor.screw.cone_rad),
    {"carburetor.pilot.screw", JW_FIELD_WORD, "fuel", .word = screw_word,
     JW_AT(jw_profile, setup.carburetor.screw.kind)},
    SETUP("carburetor.pilot.air_seat", JW_LENGTH, "0.3 mm", "4 mm", JW_OPTIONAL, carburetor.screw.air_seat_m),
    {"carburetor.pilot.fed_from", JW_FIELD_WORD, "bowl", .word = feed_word,
     JW_AT(jw_profile, setup.carburetor.pilot_from_main_well)},
    {"carburetor.pilot.ports", JW_FIELD_ROWS, JW_OPTIONAL, .most = JW_PORTS, .columns = port_cells,
     JW_AT(jw_profile, setup.carburetor.port), .count = offsetof(jw_profile, setup.carburetor.ports)},

    OPTIONAL_BLOCK("carburetor.rod"),
    SETUP("carburetor.rod.lean", JW_LENGTH, "0.1 mm", "4 mm", JW_REQUIRED, carburetor.rod.lean_m),
    SETUP("carburetor.rod.rich", JW_LENGTH, "0 mm", "4 mm", JW_REQUIRED, carburetor.rod.rich_m),
    SETUP("carburetor.rod.from_throttle", JW_FRACTION, "0%", "100%", JW_REQUIRED, carburetor.rod.from_throttle),

    OPTIONAL_BLOCK("carburetor.power_jet"),
    JETS("carburetor.power_jet", carburetor.power, "0.15 mm", "4 mm", "1 mm", "4 mm"),
    SETUP("carburetor.power_jet.outlet", JW_LENGTH, "0.3 mm", "8 mm", JW_REQUIRED, carburetor.power_outlet_m),
    SETUP("carburetor.power_jet.outlet_above_level", JW_LENGTH, "0 mm", "60 mm", JW_REQUIRED,
          carburetor.power.outlet_height_m),

    OPTIONAL_BLOCK("carburetor.enrichener"),
    JETS("carburetor.enrichener", carburetor.enrichener, "0.15 mm", "4 mm", "1 mm", "8 mm"),
    SETUP("carburetor.enrichener.outlet", JW_LENGTH, "0.3 mm", "8 mm", JW_REQUIRED, carburetor.enrichener_outlet_m),
    SETUP("carburetor.enrichener.outlet_above_level", JW_LENGTH, "-5 mm", "60 mm", JW_REQUIRED,
          carburetor.enrichener.outlet_height_m),

    OPTIONAL_BLOCK("carburetor.timer"),
    SETUP("carburetor.timer.time_constant", JW_TIME, "1 s", "60 min", JW_REQUIRED, carburetor.timer.constant_s),
    SETUP("carburetor.timer.heating", JW_TEMPERATURE_DIFFERENCE, "5 K", "200 K", JW_REQUIRED,
          carburetor.timer.heating_k),
    SETUP("carburetor.timer.open_below", JW_TEMPERATURE, "-50 C", "120 C", JW_REQUIRED, carburetor.timer.open_k),
    SETUP("carburetor.timer.shut_above", JW_TEMPERATURE, "-40 C", "170 C", JW_REQUIRED, carburetor.timer.shut_k),

    OPTIONAL_BLOCK("carburetor.pump"),
    SETUP("carburetor.pump.shot", JW_VOLUME, "0.01 cm3", "20 cm3", JW_REQUIRED, carburetor.pump.shot_m3),
    SETUP("carburetor.pump.plunger", JW_LENGTH, "2 mm", "50 mm", JW_REQUIRED, carburetor.pump.plunger_m),
    SETUP("carburetor.pump.spring", JW_FORCE, "0.1 N", "100 N", JW_REQUIRED, carburetor.pump.spring_n),
    SETUP("carburetor.pump.nozzle", JW_LENGTH, "0.15 mm", "3 mm", JW_REQUIRED, carburetor.pump.nozzle.diameter_m),
    SETUP("carburetor.pump.nozzle_length", JW_LENGTH, "0.2 mm", "20 mm", "1 mm", carburetor.pump.nozzle.length_m),
    SETUP("carburetor.pump.nozzle_coefficient", JW_NUMBER, "0", "1", "0", carburetor.pump.nozzle.coefficient),
    SETUP("carburetor.pump.from_throttle", JW_FRACTION, "0%", "99%", "0%", carburetor.pump.from_throttle),
    SETUP("carburetor.pump.to_throttle", JW_FRACTION, "1%", "100%", "100%", carburetor.pump.to_throttle),

    SETUP("film.cold_share", JW_FRACTION, "0%", "95%", "50%", film.cold_share),
    SETUP("film.cold_time", JW_TIME, "20 ms", "20 s", "1.5 s", film.cold_s),
    SETUP("film.warm_share", JW_FRACTION, "0%", "95%", "25%", film.warm_share),
    SETUP("film.warm_time", JW_TIME, "20 ms", "20 s", "0.4 s", film.warm_s),
    SETUP("film.uncertainty", JW_FRACTION, "0%", "100%", "50%", film.uncertainty),

    OPTIONAL_BLOCK("supply"),
    SETUP("supply.tank_head", JW_LENGTH, "-2 m", "3 m", JW_REQUIRED, supply.head_m),
    SETUP("supply.tank_air", JW_VOLUME, "10 cm3", "200 l", JW_REQUIRED, supply.tank_air_m3),
    SETUP("supply.cap_vent", JW_LENGTH, "0 mm", "15 mm", JW_REQUIRED, supply.vent_m),
    SETUP("supply.tap", JW_LENGTH, "0 mm", "15 mm", JW_REQUIRED, supply.tap_m),
    SETUP("supply.hose", JW_LENGTH, "0 mm", "20 mm", JW_REQUIRED, supply.hose_m),
    SETUP("supply.hose_length", JW_LENGTH, "0 m", "10 m", JW_REQUIRED, supply.hose_length_m),
    SETUP("supply.filter_loss", JW_PRESSURE, "0 Pa", "100 kPa", "0 Pa", supply.filter_pa),
    SETUP("supply.filter_flow", JW_VOLUME_FLOW, "1 ml/min", "20 l/min", "100 ml/min", supply.filter_m3_s),
    SETUP("supply.pump_pressure", JW_PRESSURE, "0 kPa", "100 kPa", "0 kPa", supply.pump_pa),
    SETUP("supply.pump_flow", JW_VOLUME_FLOW, "1 ml/min", "20 l/min", "500 ml/min", supply.pump_m3_s),
    SETUP("supply.pump_speed", JW_SPEED, "0 rpm", "20000 rpm", "0 rpm", supply.pump_speed_rev_s),
    SETUP("supply.seat", JW_LENGTH, "0 mm", "6 mm", JW_REQUIRED, supply.seat_m),
    SETUP("supply.seat_coefficient", JW_NUMBER, "0.1", "1", "0.62", supply.seat_coefficient),
    SETUP("supply.needle_leak", JW_LENGTH, "0 mm", "6 mm", "0 mm", supply.needle_leak_m),
    SETUP("supply.needle_travel", JW_LENGTH, "0.1 mm", "15 mm", JW_REQUIRED, supply.travel_m),
    SETUP("supply.bowl_area", JW_AREA, "50 mm2", "20000 mm2", JW_REQUIRED, supply.bowl_area_m2),
    SETUP("supply.jet_below_level", JW_LENGTH, "2 mm", "80 mm", JW_REQUIRED, supply.jet_depth_m),
    SETUP("supply.overflow_above_level", JW_LENGTH, "0 mm", "40 mm", JW_REQUIRED, supply.overflow_m),

    {"pulse_table", JW_FIELD_ROWS, JW_OPTIONAL, .most = JW_PULSE_NODES, .columns = pulse_cells,
     JW_AT(jw_profile, setup.pulses), .count = offsetof(jw_profile, setup.pulses.nodes)},

    RANGE("idle", JW_IDLE), RANGE("off_idle", JW_OFF_IDLE), RANGE("quarter", JW_QUARTER), RANGE("half", JW_HALF),
    RANGE("three_quarter", JW_THREE_QUARTER), RANGE("full", JW_FULL),

    OPTIONAL_BLOCK("baseline"),
    JW_AIR_FIELDS("baseline", jw_profile, air),
    JW_QUANTITY_FIELD("baseline.idle", JW_NUMBER, "0.6", "1.4", JW_REQUIRED, jw_profile, baseline.lambda_idle,
                      "lambda_idle"),
    JW_QUANTITY_FIELD("baseline.half", JW_NUMBER, "0.6", "1.4", JW_REQUIRED, jw_profile, baseline.lambda_half,
                      "lambda_half"),
    JW_QUANTITY_FIELD("baseline.full", JW_NUMBER, "0.6", "1.4", JW_REQUIRED, jw_profile, baseline.lambda_full,
                      "lambda_full"),

    OPTIONAL_BLOCK("coefficients"),
    SETUP("coefficients.air", JW_NUMBER, "0.2", "5", "1", coefficient.air),
    SETUP("coefficients.main", JW_NUMBER, "0.2", "5", "1", coefficient.main),
    SETUP("coefficients.needle", JW_NUMBER, "0.2", "5", "1", coefficient.needle),
    SETUP("coefficients.pilot", JW_NUMBER, "0.2", "5", "1", coefficient.pilot),

    SETUP("uncertainty.air", JW_FRACTION, "0%", "100%", "5%", uncertainty.air),
    SETUP("uncertainty.main", JW_FRACTION, "0%", "100%", "5%", uncertainty.main),
    SETUP("uncertainty.needle", JW_FRACTION, "0%", "100%", "5%", uncertainty.needle),
    SETUP("uncertainty.pilot", JW_FRACTION, "0%", "100%", "5%", uncertainty.pilot),

    {"spread", JW_FIELD_SPREADS, JW_OPTIONAL, .most = JW_UNMEASURED, .keyed = jw_engine_fields,
     JW_AT(jw_profile, spread), .count = offsetof(jw_profile, spreads)},
    JW_END_OF_FIELDS};
/* clang-format on */

/* ---- loading ---- */

/* What no file states: the engine is sound and nothing is calibrated yet. */
static void complete(jw_setup *setup, int cycle, int slip)
{
	jw_carburetor *c = &setup->carburetor;
	setup->engine.strokes = cycles[cycle].strokes;
	jw_circuit *const circuits[] = {&c->main, &c->pilot, &c->power, &c->enrichener};
	for (size_t i = 0; i < sizeof circuits / sizeof *circuits; i++) {
		circuits[i]->fuel_coefficient = 1;
		circuits[i]->slip = slip;
	}
	c->slide.stuck_lift_m = -1;
	c->screw.open_area = c->screw.ports_open_area = 1;
}

static jw_status blame(const jw_node *root, const jw_error *error, jw_status status, jw_faults *faults)
{
	if (status >= 0)
		return status;
	jw_fields_blame(jw_engine_fields, root, error, faults);
	return status == JW_E_BASELINE || status == JW_E_MEMORY ? status : JW_E_SCHEMA;
}

/* Coefficients that a file states, from readings, say more than a baseline. */
static int calibrates(const jw_profile *p)
{
	return p->has_baseline && !p->has_coefficients;
}

static jw_status calibrate(jw_profile *p, const jw_node *root, jw_faults *faults)
{
	jw_error error = {0};
	if (!calibrates(p))
		return JW_OK;
	jw_status status = jw_calibrate(&p->setup, &p->baseline, &p->calibration, &error);
	if (status >= 0)
		p->setup.coefficient = p->calibration.coefficient;
	return blame(root, &error, status, faults);
}

/* ---- what a kind of carburetor cannot have ---- */

/* A block that would be read and then used by nobody. */
static void refuse_foreign(const jw_profile *p, const jw_node *root, jw_faults *faults)
{
	static const struct {
		const char *block;
		int fits[JW_CARBURETOR_KIND_COUNT];
		const char *message;
	} blocks[] = {
	    {"carburetor.slide",
	     {[JW_CONSTANT_DEPRESSION] = 1},
	     "is a slide that the depression floats, expected kind constant_depression beside it"},
	    {"carburetor.piston",
	     {[JW_PISTON_SLIDE] = 1},
	     "is a slide that the throttle lifts, expected kind piston_slide beside it"},
	    {"carburetor.plate",
	     {[JW_CONSTANT_DEPRESSION] = 1, [JW_FIXED_VENTURI] = 1},
	     "is a throttle plate, which a piston slide does not have: expected another kind beside it"},
	};
	for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) {
		const jw_node *node = jw_node_find(root, blocks[i].block, NULL);
		if (node && !blocks[i].fits[p->setup.carburetor.kind])
			jw_fault_node(faults, node, blocks[i].message);
	}
}

/* ---- all of it ---- */

/* Faults that do not depend on each other are all found before the first step that needs a sound profile. */
static jw_status fill_over(jw_profile *p, const jw_node *root, const char *path, const char *library, const jw_basis *b,
                           jw_faults *faults)
{
	jw_status air = JW_OK, fuel = JW_OK;
	jw_error error = {0};
	p->air = JW_AIR_UNSAID;
	p->has_baseline = jw_node_find(root, "baseline", NULL) != NULL;
	p->has_coefficients = jw_node_find(root, "coefficients", NULL) != NULL;
	jw_fields_read_over(jw_engine_fields, root, b->root, p, faults);
	if (b->root)
		jw_class_scale(p, root, b, faults);
	jw_unmeasured_list(p, root, b, faults);
	refuse_foreign(p, root, faults);
	if (p->has_baseline)
		air = jw_air_from_block(&p->air, jw_engine_fields, root, "baseline", &p->baseline.air, faults);
	if (*p->fuel)
		fuel = jw_fuel_named(library, path, root, "fuel", p->fuel, &p->setup.fuel, faults);
	if (fuel == JW_E_MEMORY || faults->count)
		return fuel == JW_E_MEMORY ? fuel : JW_E_SCHEMA;

	complete(&p->setup, p->cycle, p->slip);
	jw_status status = blame(root, &error, jw_setup_check(&p->setup, &error), faults);
	if (status >= 0)
		status = calibrate(p, root, faults);
	if (status < 0)
		return status;
	p->stated = p->setup.uncertainty;
	if (jw_profile_widened(p))
		jw_unmeasured_widen(p);
	return status | air | fuel;
}

static jw_status fill(void *into, const jw_node *root, const char *path, const char *library, jw_faults *faults)
{
	jw_profile *p = into;
	jw_basis b = {0};
	p->setup.coefficient = (jw_coefficients){1, 1, 1, 1};
	jw_status status = jw_class_load(p, root, path, library, &b, faults);
	if (status >= 0)
		status = fill_over(p, root, path, library, &b, faults);
	jw_tree_free(b.root);
	return status;
}

static jw_status hand_over(jw_profile *loaded, jw_status status, jw_profile **profile)
{
	if (status < 0)
		jw_profile_free(loaded);
	else
		*profile = loaded;
	return status;
}

jw_status jw_profile_load(const char *path, const char *library, jw_profile **profile, jw_faults *faults)
{
	if (!path || !profile || !faults)
		return JW_E_ARGUMENT;
	jw_profile *loaded = calloc(1, sizeof *loaded);
	return hand_over(loaded, jw_file_read(path, library, fill, loaded, faults), profile);
}

jw_status jw_profile_parse(const char *text, const char *library, jw_profile **profile, jw_faults *faults)
{
	jw_profile *loaded = calloc(1, sizeof *loaded);
	return hand_over(loaded, jw_text_read(text, library, fill, loaded, faults), profile);
}

const char *jw_profile_carburetor(const jw_profile *profile)
{
	return carburetor_words[profile->setup.carburetor.kind];
}

void jw_profile_free(jw_profile *profile)
{
	free(profile);
}

const char *jw_profile_name(const jw_profile *profile)
{
	return profile->name;
}

const char *jw_profile_about(const jw_profile *profile)
{
	return profile->about;
}

const char *jw_profile_fuel(const jw_profile *profile)
{
	return profile->fuel;
}

const jw_setup *jw_profile_setup(const jw_profile *profile)
{
	return &profile->setup;
}

const jw_baseline *jw_profile_baseline(const jw_profile *profile)
{
	return profile->has_baseline ? &profile->baseline : NULL;
}

const jw_calibration *jw_profile_calibration(const jw_profile *profile)
{
	return calibrates(profile) ? &profile->calibration : NULL;
}

const char *jw_profile_based_on(const jw_profile *profile)
{
	return *profile->based_on ? profile->based_on : NULL;
}

jw_status jw_profile_with(const jw_profile *profile, const jw_setup *setup, jw_profile **variant)
{
	jw_profile *p = malloc(sizeof *p);
	if (!p)
		return JW_E_MEMORY;
	*p = *profile;
	p->setup = *setup;
	*variant = p;
	return JW_OK;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The check names the member that is out of its range, or out of tune with the others. */
#include "bundled.h"
#include "member.h"
#include <stdint.h>
#include <string.h>

static void set_member(jw_setup *setup, const jw_member_row *row, double value)
{
	memcpy((char *)setup + row->offset, &value, sizeof value);
}

Test(check, accepts_what_comes_along)
{
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		jw_error error = {0};
		cr_expect(jw_setup_check(&s, &error) >= 0, "%s: %s", bundled_names[e], error.field);
	}
}

/* Every member, beyond each end of its range and where it is no number. */
Test(check, names_each_member_outside_its_range)
{
	size_t count;
	const jw_member_row *rows = jw_setup_members(&count);
	cr_assert(count > 80);
	const jw_setup sound = scooter();
	for (size_t i = 0; i < count; i++) {
		double width = rows[i].high - rows[i].low;
		const struct {
			double value;
			jw_status status;
		} wrong[] = {{rows[i].low - 1e-9 * width, JW_E_RANGE},
		             {rows[i].high + 1e-9 * width, JW_E_RANGE},
		             {NAN, JW_E_NOT_FINITE},
		             {INFINITY, JW_E_NOT_FINITE},
		             {-INFINITY, JW_E_NOT_FINITE}};
		for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++) {
			jw_setup s = sound;
			jw_error error = {0};
			set_member(&s, &rows[i], wrong[k].value);
			jw_status status = jw_setup_check(&s, &error);
			cr_expect_eq(status, wrong[k].status, "%s = %g: %s", rows[i].field, wrong[k].value, jw_status_name(status));
			cr_assert_not_null(error.field, "%s = %g", rows[i].field, wrong[k].value);
			cr_expect_str_eq(error.field, rows[i].field, "%s = %g", rows[i].field, wrong[k].value);
			cr_expect(error.status == status && error.low == rows[i].low && error.high == rows[i].high, "%s",
			          rows[i].field);
		}
	}
}

/* Of what stands in lists, just beyond either end. */
Test(check, names_each_entry_outside_its_range)
{
	jw_setup s = scooter();
	cr_assert(s.carburetor.ports > 1);
	s.engine.breathing.cam_points = 2;
	s.engine.breathing.cam_rad[0] = 0.1;
	s.engine.breathing.cam_rad[1] = 0.3;
	cr_assert(jw_setup_check(&s, NULL) >= 0);
	const struct {
		const char *field;
		double *entry, low, high;
	} rows[] = {
	    {"carburetor.port.diameter_m", &s.carburetor.port[1].diameter_m, 0.1e-3, 4e-3},
	    {"carburetor.port.position_m", &s.carburetor.port[1].position_m, -5e-3, 15e-3},
	    {"engine.ve_speed_rev_s", &s.engine.ve_speed_rev_s[0], 0.1, 500},
	    {"engine.ve", &s.engine.ve[1], 0.1, 1.6},
	    {"engine.breathing.cam_rad", &s.engine.breathing.cam_rad[0], -4, 8},
	    {"engine.breathing.cam_rad", &s.engine.breathing.cam_rad[1], 0.1 + 1e-3, 8},
	    {"engine.breathing.cam_lift_m", &s.engine.breathing.cam_lift_m[1], 0, 0.03},
	    {"range.speed_rev_s", &s.range[JW_HALF].speed_rev_s, 1, 500},
	    {"range.throttle", &s.range[JW_HALF].throttle, 0, 1},
	    {"range.enrichener", &s.range[JW_HALF].enrichener, 0, 1},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
		for (int k = 0; k < 2; k++) {
			const double before = *rows[i].entry, beyond = 1e-9 * (rows[i].high - rows[i].low);
			jw_error error = {0};
			*rows[i].entry = k ? rows[i].high + beyond : rows[i].low - beyond;
			cr_expect_eq(jw_setup_check(&s, &error), JW_E_RANGE, "row %zu", i);
			cr_assert_not_null(error.field, "row %zu", i);
			cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
			JW_NEAR_ABS(error.low, rows[i].low, 1e-12);
			JW_NEAR_ABS(error.high, rows[i].high, 1e-12);
			*rows[i].entry = before;
		}
}

Test(check, members_are_told_once)
{
	size_t count;
	const jw_member_row *rows = jw_setup_members(&count);
	for (size_t i = 0; i < count; i++) {
		cr_expect(rows[i].low < rows[i].high, "%s", rows[i].field);
		for (size_t k = 0; k < i; k++)
			cr_expect(rows[i].offset != rows[k].offset && strcmp(rows[i].field, rows[k].field) != 0, "%s",
			          rows[i].field);
	}
}

/* A page of the reference, so that it and the table cannot drift apart. */
Test(check, reference_prints_the_ranges)
{
	char page[65536], *table = NULL;
	FILE *file = fopen(JW_SOURCE_DIR "/include/jetwright/ranges.dox", "r");
	cr_assert(file);
	page[fread(page, 1, sizeof page - 1, file)] = '\0';
	fclose(file);
	size_t count, size;
	const jw_member_row *rows = jw_setup_members(&count);
	FILE *out = open_memstream(&table, &size);
	fputs(" * | --- | --- | --- |\n", out);
	for (size_t i = 0; i < count; i++)
		fprintf(out, " * | %s | %.12g | %.12g |\n", rows[i].field, rows[i].low, rows[i].high);
	fputs(" */\n", out);
	fclose(out);
	cr_expect(strstr(page, table), "include/jetwright/ranges.dox lacks this table:\n%s", table);
	free(table);
}

/* Where junk may stand: list entries beyond their count. */
static int may_hold_junk(const jw_setup *s, size_t offset)
{
	const jw_engine *e = &s->engine;
	const jw_carburetor *c = &s->carburetor;
	const struct {
		const void *from, *to;
	} unread[] = {
	    {&e->ve_speed_rev_s[e->ve_points], &e->ve_speed_rev_s[JW_VE_POINTS]},
	    {&e->ve[e->ve_points], &e->ve[JW_VE_POINTS]},
	    {&e->breathing.cam_rad[e->breathing.cam_points], &e->breathing.cam_rad[JW_CAM_POINTS]},
	    {&e->breathing.cam_lift_m[e->breathing.cam_points], &e->breathing.cam_lift_m[JW_CAM_POINTS]},
	    {&c->port[c->ports], &c->port[JW_PORTS]},
	    {&s->pulses, &s->pulses.nodes}, /* none in the set-up tried */
	    {&s->fuel.part[s->fuel.parts], &s->fuel.part[JW_FUEL_PARTS]},
	};
	const char *at = (const char *)s + offset;
	for (size_t i = 0; i < sizeof unread / sizeof *unread; i++)
		if (at >= (const char *)unread[i].from && at < (const char *)unread[i].to)
			return 1;
	return 0;
}

/* Every eight bytes of a set-up in turn: as a number no number, as counts and words beyond all of them. */
Test(check, lets_no_junk_pass)
{
	const jw_setup sound = scooter();
	const uint64_t junk = 0x7ff8deadbeef1234u;
	for (size_t offset = 0; offset + sizeof junk <= sizeof sound; offset += sizeof junk) {
		jw_setup s = sound;
		memcpy((char *)&s + offset, &junk, sizeof junk);
		cr_expect((jw_setup_check(&s, NULL) < 0) != may_hold_junk(&sound, offset), "offset %zu", offset);
	}
}

/* Changes of a bundled engine that break one relation, or one entry of a list. */
#define BREAK(name, statement)                                                                                         \
	static void name(jw_setup *s)                                                                                      \
	{                                                                                                                  \
		jw_carburetor *c = &s->carburetor;                                                                             \
		jw_engine *e = &s->engine;                                                                                     \
		(void)c, (void)e;                                                                                              \
		statement;                                                                                                     \
	}
BREAK(thick_shaft, c->plate.shaft_m = 0.61 * c->plate.bore_m)
BREAK(idle_below_closed, c->plate.idle_rad = c->plate.closed_rad - 1e-6)
BREAK(needle_fills_jet, c->needle.straight_m = c->needle.jet_m)
BREAK(tip_thicker, c->needle.tip_m = c->needle.straight_m + 1e-6)
BREAK(nozzle_below_holes, c->main.bleed_depth_m = -c->main.outlet_height_m - 1e-6)
BREAK(pilot_below_holes, c->pilot.bleed_depth_m = -c->pilot.outlet_height_m - 1e-6)
BREAK(enrichener_below_holes, c->enrichener.bleed_depth_m = -c->enrichener.outlet_height_m - 1e-6)
BREAK(power_below_holes, c->power.outlet_height_m = 20e-3; c->power.bleed_depth_m = -20.1e-3)
BREAK(three_strokes, e->strokes = 3)
BREAK(no_strokes, e->strokes = 0)
BREAK(open_crankcase, e->crankcase_ratio = 1.09)
BREAK(no_cylinder, e->cylinders = 0)
BREAK(thirteen_cylinders, e->cylinders = 13)
BREAK(thirteen_carburetors, e->carburetors = 13)
BREAK(no_filling, e->ve_points = 0)
BREAK(much_filling, e->ve_points = JW_VE_POINTS + 1)
BREAK(five_ports, c->ports = JW_PORTS + 1)
BREAK(unknown_kind, c->kind = JW_CARBURETOR_KIND_COUNT)
BREAK(unknown_vent, c->bowl.vent = JW_VENT_COUNT)
BREAK(unknown_reference, c->slide.reference = JW_VENT_COUNT)
BREAK(unknown_screw, c->screw.kind = JW_SCREW_KIND_COUNT)
BREAK(unknown_slip, c->main.slip = 2)
BREAK(unknown_power_slip, c->power.slip = 2)
BREAK(unknown_enrichener_slip, c->enrichener.slip = -1)
BREAK(enrichener_beyond_on, s->range[JW_IDLE].enrichener = 1.001)
BREAK(half_nested, c->pilot_from_main_well = -1)
BREAK(draws_all_the_time, e->intake_duration_rad = 6.4)
BREAK(weightless, c->slide.mass_kg = c->slide.spring_closed_n = 0)
BREAK(no_diaphragm, c->slide.diaphragm_m = 9.9e-3)
BREAK(no_plate, c->plate.bore_m = 4.9e-3)
BREAK(no_lift, c->slide.full_lift_m = 4.9e-3)
BREAK(no_air_seat, c->screw.air_seat_m = 0)
BREAK(thick_choke_shaft, c->choke.bore_m = c->choke.shaft_m / 0.61)
BREAK(tight_choke, c->choke.relief_m2 = 0)
BREAK(rod_backwards, c->rod.rich_m = c->rod.lean_m + 1e-6)
BREAK(rod_fills_jet, c->rod.lean_m = c->main.fuel_jet.diameter_m + 1e-6)
BREAK(pinhole_port, c->port[1].diameter_m = 0.09e-3)
BREAK(port_far_ahead, c->port[0].position_m = 15.1e-3)
BREAK(speeds_fall, e->ve_speed_rev_s[2] = e->ve_speed_rev_s[1])
BREAK(speed_too_high, e->ve_speed_rev_s[e->ve_points - 1] = 501)
BREAK(filling_too_low, e->ve[3] = 0.09)
BREAK(filling_unknown, e->ve[3] = NAN)
BREAK(standing, s->range[JW_QUARTER].speed_rev_s = 0)
BREAK(beyond_open, s->range[JW_FULL].throttle = 1.001)
BREAK(no_fuel, s->fuel.parts = 0)
BREAK(shares_above_one, s->fuel.part[0].volume_fraction = 1.1)

/* A sound table of two speeds and two openings. */
static void put_table(jw_setup *s)
{
	s->pulses = (jw_pulse_table){.nodes = 4, .speed_rev_s = {30, 30, 60, 60}, .throttle = {0, 1, 0, 1}};
	for (int f = 0; f < JW_PULSE_FACTORS; f++)
		for (int i = 0; i < 4; i++)
			s->pulses.factor[f][i] = 1;
}
#define SPOIL(name, statement) BREAK(name, put_table(s); statement)
SPOIL(table_whole, (void)0)
SPOIL(table_short, s->pulses.nodes = 3)
SPOIL(table_too_long, s->pulses.nodes = JW_PULSE_NODES + 1)
SPOIL(table_falls, s->pulses.speed_rev_s[2] = s->pulses.speed_rev_s[3] = 20)
SPOIL(table_askew, s->pulses.throttle[3] = 0.9)
SPOIL(table_backwards, s->pulses.throttle[0] = 1)
SPOIL(table_torn, s->pulses.speed_rev_s[3] = 61)
SPOIL(table_unknown, s->pulses.factor[JW_PULSE_THROAT][1] = NAN)
SPOIL(table_nothing, s->pulses.factor[JW_PULSE_PILOT][2] = 0)
SPOIL(table_falls_up, s->pulses.factor[JW_PULSE_MAIN_LIFT][1] = -1)

Test(check, accepts_a_whole_table)
{
	jw_setup s = scooter();
	jw_error error = {0};
	table_whole(&s);
	cr_expect_eq(jw_setup_check(&s, &error), JW_OK, "%s %g", error.field, error.value);
}

Test(check, names_what_does_not_fit_together)
{
	static const struct {
		const char *engine;
		void (*change)(jw_setup *s);
		const char *field; /* NULL: any */
	} rows[] = {
	    {"courier-150", thick_shaft, "carburetor.plate.shaft_m"},
	    {"courier-150", idle_below_closed, "carburetor.plate.idle_rad"},
	    {"courier-150", needle_fills_jet, "carburetor.needle.straight_m"},
	    {"courier-150", tip_thicker, "carburetor.needle.tip_m"},
	    {"courier-150", nozzle_below_holes, "carburetor.main.outlet_height_m"},
	    {"courier-150", pilot_below_holes, "carburetor.pilot.outlet_height_m"},
	    {"courier-150", enrichener_below_holes, "carburetor.enrichener.outlet_height_m"},
	    {"trail-250", power_below_holes, "carburetor.power.outlet_height_m"},
	    {"courier-150", three_strokes, "engine.strokes"},
	    {"courier-150", no_strokes, "engine.strokes"},
	    {"moped-50", open_crankcase, "engine.crankcase_ratio"},
	    {"courier-150", no_cylinder, "engine.cylinders"},
	    {"courier-150", thirteen_cylinders, "engine.cylinders"},
	    {"courier-150", thirteen_carburetors, "engine.carburetors"},
	    {"courier-150", no_filling, "engine.ve_points"},
	    {"courier-150", much_filling, "engine.ve_points"},
	    {"courier-150", five_ports, "carburetor.ports"},
	    {"courier-150", unknown_kind, "carburetor.kind"},
	    {"courier-150", unknown_vent, "carburetor.bowl.vent"},
	    {"courier-150", unknown_reference, "carburetor.slide.reference"},
	    {"courier-150", unknown_screw, "carburetor.screw.kind"},
	    {"courier-150", unknown_slip, "carburetor.main.slip"},
	    {"courier-150", unknown_power_slip, "carburetor.power.slip"},
	    {"courier-150", unknown_enrichener_slip, "carburetor.enrichener.slip"},
	    {"courier-150", enrichener_beyond_on, "range.enrichener"},
	    {"courier-150", half_nested, "carburetor.pilot_from_main_well"},
	    {"moped-50", draws_all_the_time, "engine.intake_duration_rad"},
	    {"courier-150", weightless, "carburetor.slide.spring_closed_n"},
	    {"courier-150", no_diaphragm, "carburetor.slide.diaphragm_m"},
	    {"pump-200", no_plate, "carburetor.plate.bore_m"},
	    {"trail-250", no_lift, "carburetor.slide.full_lift_m"},
	    {"moped-50", no_air_seat, "carburetor.screw.air_seat_m"},
	    {"pump-200", thick_choke_shaft, "carburetor.choke.shaft_m"},
	    {"pump-200", tight_choke, "carburetor.choke.relief_m2"},
	    {"estate-1100", rod_backwards, "carburetor.rod.rich_m"},
	    {"estate-1100", rod_fills_jet, "carburetor.rod.lean_m"},
	    {"courier-150", pinhole_port, "carburetor.port.diameter_m"},
	    {"courier-150", port_far_ahead, "carburetor.port.position_m"},
	    {"courier-150", speeds_fall, "engine.ve_speed_rev_s"},
	    {"courier-150", speed_too_high, "engine.ve_speed_rev_s"},
	    {"courier-150", filling_too_low, "engine.ve"},
	    {"courier-150", filling_unknown, "engine.ve"},
	    {"courier-150", standing, "range.speed_rev_s"},
	    {"courier-150", beyond_open, "range.throttle"},
	    {"courier-150", no_fuel, NULL},
	    {"courier-150", shares_above_one, NULL},
	    {"courier-150", table_short, "pulses.throttle"},
	    {"courier-150", table_too_long, "pulses.nodes"},
	    {"courier-150", table_falls, "pulses.speed_rev_s"},
	    {"courier-150", table_askew, "pulses.throttle"},
	    {"courier-150", table_backwards, "pulses.throttle"},
	    {"courier-150", table_torn, "pulses.speed_rev_s"},
	    {"courier-150", table_unknown, "pulses.throat"},
	    {"courier-150", table_nothing, "pulses.pilot"},
	    {"courier-150", table_falls_up, "pulses.main_lift"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup s = bundled(rows[i].engine);
		jw_error error = {0};
		rows[i].change(&s);
		jw_status status = jw_setup_check(&s, &error);
		cr_expect(status < 0, "row %zu: %s", i, jw_status_name(status));
		cr_assert_not_null(error.field, "row %zu", i);
		if (rows[i].field)
			cr_expect_str_eq(error.field, rows[i].field, "row %zu: %s", i, error.field);
		cr_expect_eq(error.status, status, "row %zu", i);
	}
}

/* Valves of a four-stroke, or ports of a two-stroke. */
static const jw_breathing breathing = {.rod_ratio = 4,
                                       .inlet = {0.8, 0.8, 30e-3, 8e-3},
                                       .exhaust = {0.8, 0.8, 26e-3, 7e-3},
                                       .transfer = {0.8, 0.8, 20e-3},
                                       .runner_bore_m = 20e-3};

/* A part that an engine has needs more of some numbers than one that it has not, where they may be 0. */
Test(check, names_what_a_part_lacks)
{
	static const struct {
		const char *engine, *field;
		double least;
	} rows[] = {
	    {"courier-150", "carburetor.slide.diaphragm_m", 10e-3},
	    {"pump-200", "carburetor.plate.bore_m", 5e-3},
	    {"pump-200", "carburetor.plate.coefficient", 0.3},
	    {"trail-250", "carburetor.slide.full_lift_m", 5e-3},
	    {"moped-50", "engine.crankcase_ratio", 1.1},
	    {"courier-150", "engine.breathing.rod_ratio", 1.2},
	    {"courier-150", "engine.breathing.inlet.size_m", 1e-3},
	    {"courier-150", "engine.breathing.exhaust.size_m", 1e-3},
	    {"courier-150", "engine.breathing.runner_bore_m", 2e-3},
	    {"courier-150", "engine.breathing.inlet.lift_m", 0.5e-3},
	    {"courier-150", "engine.breathing.exhaust.lift_m", 0.5e-3},
	    {"moped-50", "engine.breathing.transfer.size_m", 1e-3},
	    {"moped-50", "engine.breathing.inlet.opens_rad", 0.1},
	    {"moped-50", "engine.breathing.exhaust.opens_rad", 0.1},
	    {"moped-50", "engine.breathing.transfer.opens_rad", 0.1},
	    {"moped-50", "carburetor.screw.air_seat_m", 0.1e-3},
	    {"pump-200", "carburetor.choke.coefficient", 0.3},
	    {"pump-200", "carburetor.choke.relief_m2", 1e-6},
	    {"estate-1100", "carburetor.pump.plunger_m", 2e-3},
	    {"estate-1100", "carburetor.pump.spring_n", 0.1},
	    {"courier-150", "carburetor.timer.open_k", 220},
	    {"estate-1100", "supply.bowl_area_m2", 1e-5},
	    {"estate-1100", "supply.jet_depth_m", 2e-3},
	    {"estate-1100", "supply.tank_air_m3", 1e-6},
	    {"courier-150", "supply.filter_m3_s", 1e-9},
	    {"estate-1100", "supply.pump_m3_s", 1e-9},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup s = bundled(rows[i].engine);
		jw_error error = {0};
		s.engine.breathing = breathing;
		cr_assert(jw_setup_check(&s, &error) >= 0, "%s: %s", rows[i].engine, error.field);
		set_member(&s, member(rows[i].field), nextafter(rows[i].least, -INFINITY));
		cr_expect_eq(jw_setup_check(&s, &error), JW_E_RANGE, "%s", rows[i].field);
		cr_assert_not_null(error.field, "%s", rows[i].field);
		cr_expect_str_eq(error.field, rows[i].field);
		cr_expect_eq(error.low, rows[i].least, "%s: %g", rows[i].field, error.low);
	}
}

/* What opens shuts later, warmer, or further up. */
Test(check, limits_that_another_member_sets)
{
	static const struct {
		const char *engine, *field, *other;
		double apart;
	} rows[] = {{"courier-150", "carburetor.timer.shut_k", "carburetor.timer.open_k", 1.0},
	            {"estate-1100", "carburetor.pump.to_throttle", "carburetor.pump.from_throttle", 0.01}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup s = bundled(rows[i].engine);
		jw_error error = {0};
		const double least = member_value(&s, rows[i].other) + rows[i].apart;
		set_member(&s, member(rows[i].field), least);
		cr_expect(jw_setup_check(&s, &error) >= 0, "%s: %s", rows[i].field, error.field ? error.field : "");
		set_member(&s, member(rows[i].field), nextafter(least, -INFINITY));
		cr_expect_eq(jw_setup_check(&s, &error), JW_E_RANGE, "%s", rows[i].field);
		cr_assert_not_null(error.field);
		cr_expect_str_eq(error.field, rows[i].field);
		cr_expect_eq(error.low, least, "%s: %g", rows[i].field, error.low);
	}
}

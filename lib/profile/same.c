/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/same.h"

#include "base/base.h"
#include "point/members.h"

#include <string.h>

/* Whole numbers and words. */
typedef struct int_row {
	const char *field;
	size_t offset;
} int_row;

#define INT(member)                                                                                                    \
	{                                                                                                                  \
#member, offsetof(jw_setup, member)                                                                            \
	}
static const int_row ints[] = {
    INT(engine.strokes),
    INT(engine.cylinders),
    INT(engine.carburetors),
    INT(engine.ve_points),
    INT(engine.breathing.cam_points),
    INT(carburetor.kind),
    INT(carburetor.slide.reference),
    INT(carburetor.screw.kind),
    INT(carburetor.ports),
    INT(carburetor.bowl.vent),
    INT(carburetor.pilot_from_main_well),
    INT(carburetor.main.slip),
    INT(carburetor.pilot.slip),
    INT(carburetor.power.slip),
    INT(carburetor.enrichener.slip),
    INT(fuel.parts),
    INT(pulses.nodes),
};

/* Numbers of a list. */
typedef struct list_row {
	const char *field;
	size_t offset, stride;
	size_t count; /* offset of the int that tells how many; 0: one for each range */
	int pulses;   /* a column of their table */
} list_row;

#define LIST(field, first, type, counted, ...)                                                                         \
	{                                                                                                                  \
		field, offsetof(jw_setup, first), sizeof(type), offsetof(jw_setup, counted), __VA_ARGS__                       \
	}
#define USUAL(field, first)                                                                                            \
	{                                                                                                                  \
		field, offsetof(jw_setup, first), sizeof(jw_point), 0, 0                                                       \
	}
#define FACTOR(field, kind) LIST(field, pulses.factor[kind][0], double, pulses.nodes, 1)
static const list_row lists[] = {
    LIST("engine.ve_speed_rev_s", engine.ve_speed_rev_s[0], double, engine.ve_points, 0),
    LIST("engine.ve", engine.ve[0], double, engine.ve_points, 0),
    LIST("engine.breathing.cam_rad", engine.breathing.cam_rad[0], double, engine.breathing.cam_points, 0),
    LIST("engine.breathing.cam_lift_m", engine.breathing.cam_lift_m[0], double, engine.breathing.cam_points, 0),
    LIST("carburetor.port.diameter_m", carburetor.port[0].diameter_m, jw_port, carburetor.ports, 0),
    LIST("carburetor.port.position_m", carburetor.port[0].position_m, jw_port, carburetor.ports, 0),
    LIST("fuel.part.volume_fraction", fuel.part[0].volume_fraction, jw_fuel_part, fuel.parts, 0),
    LIST("fuel.part.density_15c_kg_m3", fuel.part[0].density_15c_kg_m3, jw_fuel_part, fuel.parts, 0),
    LIST("fuel.part.hydrogen_per_carbon", fuel.part[0].hydrogen_per_carbon, jw_fuel_part, fuel.parts, 0),
    USUAL("range.speed_rev_s", range[0].speed_rev_s),
    USUAL("range.throttle", range[0].throttle),
    USUAL("range.enrichener", range[0].enrichener),
    LIST("pulses.speed_rev_s", pulses.speed_rev_s[0], double, pulses.nodes, 1),
    LIST("pulses.throttle", pulses.throttle[0], double, pulses.nodes, 1),
    FACTOR("pulses.air", JW_PULSE_AIR),
    FACTOR("pulses.throat", JW_PULSE_THROAT),
    FACTOR("pulses.main_lift", JW_PULSE_MAIN_LIFT),
    FACTOR("pulses.main", JW_PULSE_MAIN),
    FACTOR("pulses.power_lift", JW_PULSE_POWER_LIFT),
    FACTOR("pulses.power", JW_PULSE_POWER),
    FACTOR("pulses.pilot", JW_PULSE_PILOT),
};

static int int_at(const jw_setup *setup, size_t offset)
{
	int value;
	memcpy(&value, (const char *)setup + offset, sizeof value);
	return value;
}

/* What is no number is like nothing. */
static int is_like(const jw_setup *a, const jw_setup *b, size_t offset, double share)
{
	double x = jw_value_at(a, offset), y = jw_value_at(b, offset);
	return fabs(x - y) <= share * fmax(fabs(x), fabs(y));
}

static int is_coefficient(const jw_member_row *row)
{
	return row->offset >= offsetof(jw_setup, coefficient) &&
	       row->offset < offsetof(jw_setup, coefficient) + sizeof(jw_coefficients);
}

static const char *numbers_unlike(const jw_setup *a, const jw_setup *b, const jw_likeness *within)
{
	size_t count;
	const jw_member_row *rows = jw_setup_members(&count);
	for (size_t i = 0; i < count; i++)
		if ((within->coefficients || !is_coefficient(&rows[i])) && !is_like(a, b, rows[i].offset, within->number))
			return rows[i].field;
	return is_like(a, b, offsetof(jw_setup, fuel.reid_pa), within->number) ? NULL : "fuel.reid_pa";
}

static const char *ints_unlike(const jw_setup *a, const jw_setup *b)
{
	for (size_t i = 0; i < sizeof ints / sizeof *ints; i++)
		if (int_at(a, ints[i].offset) != int_at(b, ints[i].offset))
			return ints[i].field;
	for (int i = 0; i < a->fuel.parts; i++)
		if (a->fuel.part[i].liquid != b->fuel.part[i].liquid)
			return "fuel.part.liquid";
	return NULL;
}

/* Of lists that are as long as each other. */
static const char *lists_unlike(const jw_setup *a, const jw_setup *b, const jw_likeness *within)
{
	for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
		const list_row *row = &lists[i];
		int count = row->count ? int_at(a, row->count) : JW_RANGE_COUNT;
		for (int k = 0; k < count; k++)
			if (!is_like(a, b, row->offset + (size_t)k * row->stride, row->pulses ? within->pulse : within->number))
				return row->field;
	}
	return NULL;
}

const char *jw_setup_unlike(const jw_setup *a, const jw_setup *b, const jw_likeness *within)
{
	const char *field = ints_unlike(a, b);
	if (!field)
		field = numbers_unlike(a, b, within);
	return field ? field : lists_unlike(a, b, within);
}

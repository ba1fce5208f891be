/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/tune.h>

#include "base/base.h"
#include "solve/root.h"

/* What a person can exchange or turn, and how far it sensibly goes from where it is. */
typedef struct part_row {
	const char *name;
	size_t offset;
	double low, high;             /* absolute limits, SI */
	double share_low, share_high; /* limits relative to the present value; 0: absolute ones only */
} part_row;

#define AT(member) offsetof(jw_setup, carburetor.member)

static const part_row parts[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = {"main_jet", AT(main.fuel_jet.diameter_m), 0.1e-3, 5e-3, 0.4, 2.5},
    [JW_PART_PILOT_JET] = {"pilot_jet", AT(pilot.fuel_jet.diameter_m), 0.1e-3, 3e-3, 0.4, 2.5},
    [JW_PART_MAIN_AIR_JET] = {"main_air_jet", AT(main.air_jet.diameter_m), 0.0, 5e-3, 0.0, 3.0},
    [JW_PART_PILOT_AIR_JET] = {"pilot_air_jet", AT(pilot.air_jet.diameter_m), 0.0, 5e-3, 0.0, 3.0},
    [JW_PART_MIXTURE_SCREW] = {"mixture_screw", AT(screw.turns), 0.0, 6.0, 0.0, 0.0},
    [JW_PART_NEEDLE_POSITION] = {"needle_position", AT(needle.raised_m), -4e-3, 4e-3, 0.0, 0.0},
};

const char *jw_part_name(jw_part part)
{
	return (unsigned)part < JW_PART_COUNT ? parts[part].name : NULL;
}

double jw_part_value(const jw_setup *setup, jw_part part)
{
	return (unsigned)part < JW_PART_COUNT ? jw_value_at(setup, parts[part].offset) : 0.0;
}

jw_status jw_part_set(jw_setup *setup, jw_part part, double value, jw_error *error)
{
	if ((unsigned)part >= JW_PART_COUNT)
		return jw_fail(error, JW_E_ARGUMENT, "part", (double)part, 0, JW_PART_COUNT - 1);
	jw_status status = jw_check_range(parts[part].name, value, parts[part].low, parts[part].high, error);
	if (status == JW_OK)
		*jw_double_at(setup, parts[part].offset) = value;
	return status;
}

/* The rod in it goes through a main jet. */
static double least_of(const jw_setup *setup, jw_part part)
{
	return fmax(parts[part].low, part == JW_PART_MAIN_JET ? setup->carburetor.rod.lean_m : -INFINITY);
}

typedef struct sought {
	jw_setup setup;
	const jw_air *air;
	const jw_point *point;
	jw_part part;
	double phi;
	jw_status status;
	jw_error error;
} sought;

static double richness(double value, void *context)
{
	sought *s = context;
	*jw_double_at(&s->setup, parts[s->part].offset) = value;
	jw_mixture mixture = {0};
	if (s->status < 0)
		return 0.0;
	jw_status status = jw_mixture_at(&s->setup, s->air, s->point, &mixture, &s->error);
	if (status < 0)
		s->status = status;
	return mixture.phi / s->phi - 1.0;
}

jw_status jw_part_for_phi(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_part part, double phi,
                          double *value, jw_error *error)
{
	if ((unsigned)part >= JW_PART_COUNT)
		return jw_fail(error, JW_E_ARGUMENT, "part", (double)part, 0, JW_PART_COUNT - 1);
	jw_status status = jw_check_range("phi", phi, 0.01, 10.0, error);
	if (status < 0)
		return status;
	const part_row *row = &parts[part];
	double present = jw_part_value(setup, part), low = least_of(setup, part), high = row->high;
	if (row->share_high > 0.0) {
		low = fmax(low, row->share_low * present);
		high = fmin(high, row->share_high * present);
	}
	if (!(low < high))
		return jw_fail(error, JW_E_NO_ROOT, row->name, present, row->low, row->high);
	sought s = {.setup = *setup, .air = air, .point = point, .part = part, .phi = phi};
	double root;
	status = jw_root(richness, &s, low, high, 1e-9 * high, &root, NULL);
	if (s.status < 0 && error)
		*error = s.error;
	if (s.status < 0)
		return s.status;
	if (status < 0)
		return jw_fail(error, JW_E_NO_ROOT, row->name, present, low, high);
	*value = root;
	return JW_OK;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rejet/change.h"

#include "air/limits.h"
#include "base/base.h"
#include "point/members.h"
#include "solve/root.h"

/* A set-up with what its air is made from. */
typedef struct scene {
	jw_setup setup;
	double pressure_pa, temperature_k, humidity;
} scene;

/* ---- single changes ---- */

typedef struct idle_stop {
	jw_carburetor carburetor;
	double *stop;
	double area_m2;
} idle_stop;

static double idle_surplus(double stop, void *context)
{
	idle_stop *s = context;
	*s->stop = stop;
	return jw_carburetor_plate(&s->carburetor, 0.0) - s->area_m2;
}

/* A mechanic sets the idle stop so that the engine turns as before: as much stays free. */
static void reset_idle(jw_carburetor *c, double area_m2)
{
	idle_stop s = {.carburetor = *c, .area_m2 = area_m2};
	int lifted = c->kind == JW_PISTON_SLIDE;
	double found, low = lifted ? 0.0 : c->plate.closed_rad, high = lifted ? 10e-3 : 0.8;
	s.stop = lifted ? &s.carburetor.slide.idle_lift_m : &s.carburetor.plate.idle_rad;
	if (jw_root(idle_surplus, &s, low, high, 1e-9, &found, NULL) == JW_OK)
		*(lifted ? &c->slide.idle_lift_m : &c->plate.idle_rad) = found;
}

static void fit_carburetor(scene *s, const jw_rejet_change *change)
{
	double idle = jw_carburetor_plate(&s->setup.carburetor, 0.0);
	jw_intake intake = s->setup.carburetor.intake;
	jw_coefficients *own = &s->setup.coefficient, *doubt = &s->setup.uncertainty;
	s->setup.carburetor = change->other->carburetor;
	s->setup.carburetor.intake = intake;
	double air = own->air, air_doubt = doubt->air;
	*own = change->other->coefficient;
	*doubt = change->other->uncertainty;
	own->air = air;
	doubt->air = air_doubt;
	reset_idle(&s->setup.carburetor, idle);
}

static void bore_throat(scene *s, const jw_rejet_change *change)
{
	jw_carburetor *c = &s->setup.carburetor;
	double idle = jw_carburetor_plate(c, 0.0), grown = change->value / c->throat.bore_m;
	c->throat.bore_m = change->value;
	c->plate.bore_m *= grown;
	c->choke.bore_m *= grown;
	c->slide.full_lift_m *= grown;
	c->slide.base_area_m2 *= grown;
	reset_idle(c, idle);
}

/* Straight between the usual speeds of the ranges, which need not rise. */
static double factor_at(const jw_setup *setup, const double *factor, double speed)
{
	int below = -1, above = -1;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double at = setup->range[r].speed_rev_s;
		if (at <= speed && (below < 0 || at >= setup->range[below].speed_rev_s))
			below = r;
		if (at >= speed && (above < 0 || at < setup->range[above].speed_rev_s))
			above = r;
	}
	if (below < 0 || above < 0)
		return factor[below < 0 ? above : below];
	double from = setup->range[below].speed_rev_s, to = setup->range[above].speed_rev_s;
	return to > from ? factor[below] + (factor[above] - factor[below]) * (speed - from) / (to - from) : factor[below];
}

/* A point of the filling curve at a speed, on the line that it had there, where there is room. */
static void add_point(jw_engine *e, double speed)
{
	int at = 0;
	double ve;
	while (at < e->ve_points && e->ve_speed_rev_s[at] < speed)
		at++;
	if (e->ve_points >= JW_VE_POINTS || (at < e->ve_points && e->ve_speed_rev_s[at] == speed))
		return;
	jw_volumetric_efficiency(e, speed, &ve);
	for (int i = e->ve_points++; i > at; i--) {
		e->ve_speed_rev_s[i] = e->ve_speed_rev_s[i - 1];
		e->ve[i] = e->ve[i - 1];
	}
	e->ve_speed_rev_s[at] = speed;
	e->ve[at] = ve;
}

static void fill(scene *s, const jw_rejet_change *change)
{
	jw_engine *e = &s->setup.engine;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		add_point(e, s->setup.range[r].speed_rev_s);
	for (int i = 0; i < e->ve_points; i++)
		e->ve[i] *= factor_at(&s->setup, change->factor, e->ve_speed_rev_s[i]);
}

static void set_cylinders(scene *s, const jw_rejet_change *change)
{
	s->setup.engine.cylinders = (int)change->value;
}

static void set_vent(scene *s, const jw_rejet_change *change)
{
	s->setup.carburetor.bowl.vent = (jw_vent)change->value;
}

static void set_reference(scene *s, const jw_rejet_change *change)
{
	s->setup.carburetor.slide.reference = (jw_vent)change->value;
}

static void fit_brass(scene *s, const jw_rejet_change *change)
{
	for (int p = 0; p < JW_PART_COUNT; p++)
		jw_part_set(&s->setup, (jw_part)p, change->part[p], NULL);
}

static void set_fuel(scene *s, const jw_rejet_change *change)
{
	s->setup.fuel = change->fuel;
}

/* The other parts keep their proportions. A fuel with no room for oil stays: it is met where shares are told of a list
 * that changes it too. */
static void mix_oil(scene *s, const jw_rejet_change *change)
{
	jw_fuel *fuel = &s->setup.fuel;
	double others = 0.0;
	int oil = -1;
	for (int i = 0; i < fuel->parts; i++) {
		if (fuel->part[i].liquid == JW_PREMIX_OIL)
			oil = i;
		else
			others += fuel->part[i].volume_fraction;
	}
	if (oil < 0 && fuel->parts >= JW_FUEL_PARTS)
		return;
	if (oil < 0) {
		oil = fuel->parts++;
		fuel->part[oil] = (jw_fuel_part){.liquid = JW_PREMIX_OIL};
	}
	for (int i = 0; i < fuel->parts; i++)
		fuel->part[i].volume_fraction *= (1.0 - change->value) / others;
	fuel->part[oil].volume_fraction = change->value;
}

/* ---- which engine takes which ---- */

static int has_floating_slide(const jw_setup *setup)
{
	return setup->carburetor.kind == JW_CONSTANT_DEPRESSION;
}

static int takes_oil(const jw_setup *setup)
{
	if (setup->fuel.parts < JW_FUEL_PARTS)
		return 1;
	for (int i = 0; i < setup->fuel.parts; i++)
		if (setup->fuel.part[i].liquid == JW_PREMIX_OIL)
			return 1;
	return 0;
}

/* Doubts: what the mean-value form foretells beside the cycle-resolved one, on the nine bundled engines at quarter,
 * half and full throttle: the rms of their difference over this doubt (with LEAST_DOUBT) is about 1, and 92 % lie
 * within nine in ten; the others most where a floating slide stands at its stop, which they do not put at one flow. A
 * filter weighs up to twice as much in the mean-value form, so that it is half in doubt. Measured of bore, pressure,
 * temperature, filter, throat and fuel (`unit/rejet` repeats some of it); the others are given those of the one most
 * like them. Another cylinder draws more and more evenly, which pull lambda opposite ways and nearly cancel in some
 * engines, so that what is in doubt of it goes with its air: of doubled cylinders the rms is 0.95, and 93 % lie within
 * nine in ten.
 *
 * A table of pulses that is kept beyond what it was made for leads astray: `courier-150` with two cylinders on its old
 * one is 0.27 of ln(phi) off at full throttle, without its filter 0.04 at a quarter, as pulls are told above the
 * circuit's lift. One outlasts a filling, which the cycle does not read: made anew it would take it back. */
typedef struct kind_row {
	const char *name;
	size_t offset; /* of the double in a scene that the value becomes; 0: none */
	void (*make)(scene *s, const jw_rejet_change *change); /* where that is not all, or there is none */
	int (*fits)(const jw_setup *setup);                    /* NULL: every engine takes it */
	double low, high;                                      /* 0, 0: those of its member of the set-up */
	double doubt;
	jw_rejet_to_rule to_rule;
	int whole;  /* its value counts, or names one of a list */
	int pulses; /* a table of pulses does not outlast it */
	double air_doubt;
} kind_row;

#define AT(member) offsetof(scene, member)

static const kind_row kinds[JW_REJET_KIND_COUNT] = {
    [JW_REJET_CARBURETOR] = {"carburetor", .make = fit_carburetor, .doubt = 0.35, .to_rule = JW_RULE_UPSET,
                             .pulses = 1},
    [JW_REJET_THROAT] = {"throat", .offset = AT(setup.carburetor.throat.bore_m), .make = bore_throat, .doubt = 0.35,
                         .to_rule = JW_RULE_UPSET, .pulses = 1},
    [JW_REJET_BORE] = {"bore", .offset = AT(setup.engine.bore_m), .doubt = 0.25, .to_rule = JW_RULE_UPSET, .pulses = 1},
    [JW_REJET_STROKE] = {"stroke", .offset = AT(setup.engine.stroke_m), .doubt = 0.25, .to_rule = JW_RULE_UPSET,
                         .pulses = 1},
    [JW_REJET_CYLINDERS] = {"cylinders", .make = set_cylinders, .low = 1, .high = 12, .to_rule = JW_RULE_UPSET,
                            .whole = 1, .pulses = 1, .air_doubt = 0.25},
    [JW_REJET_COMPRESSION] = {"compression", .offset = AT(setup.engine.compression_ratio), .doubt = 0.25,
                              .to_rule = JW_RULE_UPSET, .pulses = 1},
    [JW_REJET_FILLING] = {"filling", .make = fill, .low = 0.3, .high = 3, .doubt = 0.25, .to_rule = JW_RULE_UPSET},
    [JW_REJET_FILTER] = {"filter", .offset = AT(setup.carburetor.intake.loss_pa), .high = 20e3, .doubt = 0.5,
                         .to_rule = JW_RULE_UPSET, .pulses = 1},
    [JW_REJET_VENT] = {"bowl_vent", .make = set_vent, .high = JW_VENT_COUNT - 1, .doubt = 0.5, .to_rule = JW_RULE_UPSET,
                       .whole = 1, .pulses = 1},
    [JW_REJET_REFERENCE] = {"diaphragm_reference", .make = set_reference, .fits = has_floating_slide,
                            .high = JW_VENT_COUNT - 1, .doubt = 0.5, .to_rule = JW_RULE_UPSET, .whole = 1},
    [JW_REJET_BRASS] = {"brass", .make = fit_brass, .doubt = 0.15, .to_rule = JW_RULE_EITHER},
    [JW_REJET_FUEL] = {"fuel", .make = set_fuel, .doubt = 0.03, .to_rule = JW_RULE_TAKEN},
    [JW_REJET_PREMIX] = {"premix", .make = mix_oil, .fits = takes_oil, .high = 0.2, .doubt = 0.1,
                         .to_rule = JW_RULE_TAKEN},
    [JW_REJET_PRESSURE] = {"pressure", .offset = AT(pressure_pa), .low = JW_AIR_PRESSURE_LOW_PA,
                           .high = JW_AIR_PRESSURE_HIGH_PA, .doubt = 0.15, .to_rule = JW_RULE_TAKEN},
    [JW_REJET_TEMPERATURE] = {"temperature", .offset = AT(temperature_k), .low = JW_AIR_TEMPERATURE_LOW_K,
                              .high = JW_AIR_TEMPERATURE_HIGH_K, .doubt = 0.15, .to_rule = JW_RULE_TAKEN},
    [JW_REJET_HUMIDITY] = {"humidity", .offset = AT(humidity), .high = 1, .doubt = 0.1, .to_rule = JW_RULE_TAKEN},
};

const char *jw_rejet_kind_name(jw_rejet_kind kind)
{
	return (unsigned)kind < JW_REJET_KIND_COUNT ? kinds[kind].name : NULL;
}

double jw_rejet_doubt(jw_rejet_kind kind)
{
	return kinds[kind].doubt;
}

double jw_rejet_air_doubt(jw_rejet_kind kind)
{
	return kinds[kind].air_doubt;
}

jw_rejet_to_rule jw_rejet_rule_takes(jw_rejet_kind kind)
{
	return kinds[kind].to_rule;
}

int jw_rejet_alters_pulses(jw_rejet_kind kind)
{
	return (unsigned)kind < JW_REJET_KIND_COUNT && kinds[kind].pulses;
}

jw_rejet_limits jw_rejet_limits_of(jw_rejet_kind kind)
{
	const kind_row *row = &kinds[kind];
	size_t count;
	const jw_member_row *member = jw_setup_members(&count);
	if (row->offset && !(row->high > row->low))
		for (size_t i = 0; i < count; i++)
			if (AT(setup) + member[i].offset == row->offset)
				return (jw_rejet_limits){member[i].low, member[i].high};
	return (jw_rejet_limits){row->low, row->high};
}

/* ---- lists ---- */

static jw_status check_one(const jw_rejet_change *change, const jw_setup *setup, jw_error *error)
{
	const kind_row *row = &kinds[change->kind];
	const jw_rejet_limits limits = jw_rejet_limits_of(change->kind);
	jw_status status = JW_OK;
	if ((row->fits && !row->fits(setup)) || (change->kind == JW_REJET_CARBURETOR && !change->other))
		return jw_fail(error, JW_E_ARGUMENT, row->name, change->value, limits.low, limits.high);
	jw_setup probe = *setup;
	for (int p = 0; change->kind == JW_REJET_BRASS && p < JW_PART_COUNT && status == JW_OK; p++)
		status = jw_part_set(&probe, (jw_part)p, change->part[p], error);
	if (change->kind == JW_REJET_FILLING)
		for (int r = 0; r < JW_RANGE_COUNT && status == JW_OK; r++)
			status = jw_check_range(row->name, change->factor[r], limits.low, limits.high, error);
	else if (limits.high > limits.low)
		status = jw_check_range(row->name, change->value, limits.low, limits.high, error);
	if (status == JW_OK && row->whole && change->value != floor(change->value))
		status = jw_fail(error, JW_E_ARGUMENT, row->name, change->value, limits.low, limits.high);
	return status;
}

jw_status jw_rejet_check(const jw_rejet_change *changes, int count, const jw_setup *setup, jw_error *error)
{
	unsigned seen = 0;
	jw_setup fitted = *setup; /* what the later changes meet */
	jw_status status = jw_check_range("changes", count, 0, JW_REJET_CHANGES, error);
	for (int i = 0; i < count && status == JW_OK; i++) {
		if (changes[i].kind == JW_REJET_CARBURETOR && changes[i].other)
			fitted.carburetor = changes[i].other->carburetor;
		if (changes[i].kind == JW_REJET_FUEL)
			fitted.fuel = changes[i].fuel;
	}
	status = status == JW_OK ? jw_check_range("parts", fitted.fuel.parts, 1, JW_FUEL_PARTS, error) : status;
	for (int i = 0; i < count && status == JW_OK; i++) {
		jw_rejet_kind kind = changes[i].kind;
		if ((unsigned)kind >= JW_REJET_KIND_COUNT)
			return jw_fail(error, JW_E_ARGUMENT, "change", (double)kind, 0, JW_REJET_KIND_COUNT - 1);
		if (seen & 1u << kind) {
			const jw_rejet_limits limits = jw_rejet_limits_of(kind);
			return jw_fail(error, JW_E_ARGUMENT, kinds[kind].name, changes[i].value, limits.low, limits.high);
		}
		seen |= 1u << kind;
		status = check_one(&changes[i], &fitted, error);
	}
	return status;
}

static void make_one(scene *s, const jw_rejet_change *change)
{
	const kind_row *row = &kinds[change->kind];
	if (row->make)
		row->make(s, change);
	else
		*jw_double_at(s, row->offset) = change->value;
}

jw_status jw_rejet_make(const jw_rejet_change *changes, int count, unsigned set, const jw_pulse_table *table,
                        jw_setup *setup, jw_air *air, jw_error *error)
{
	scene s = {*setup, air->pressure_pa, air->temperature_k, jw_relative_humidity(air)};
	for (int kind = 0; kind < JW_REJET_KIND_COUNT; kind++)
		for (int i = 0; i < count; i++)
			if ((int)changes[i].kind == kind && set >> i & 1)
				make_one(&s, &changes[i]);
	jw_air made = *air;
	jw_status status = JW_OK;
	if (s.pressure_pa != air->pressure_pa || s.temperature_k != air->temperature_k ||
	    s.humidity != jw_relative_humidity(air))
		status = jw_air_from_humidity(s.pressure_pa, s.temperature_k, s.humidity, &made, error);
	if (status < 0)
		return status;
	if (table)
		jw_rejet_put_table(changes, count, set, table, &s.setup);
	*setup = s.setup;
	*air = made;
	return status;
}

jw_status jw_rejet_apply_with(const jw_rejet_change *changes, int count, const jw_pulse_table *table, jw_setup *setup,
                              jw_air *air, jw_error *error)
{
	jw_setup changed = *setup;
	jw_air around = *air;
	jw_status status = jw_rejet_check(changes, count, setup, error);
	if (status == JW_OK)
		status = jw_rejet_make(changes, count, ~0u, table, &changed, &around, error);
	if (status >= 0)
		status = jw_both(status, jw_setup_check(&changed, error));
	if (status < 0)
		return status;
	*setup = changed;
	*air = around;
	return status;
}

jw_status jw_rejet_apply(const jw_rejet_change *changes, int count, jw_setup *setup, jw_air *air, jw_error *error)
{
	jw_pulse_table table;
	jw_status status = jw_rejet_check(changes, count, setup, error);
	if (status >= 0)
		status = jw_rejet_tabulate(changes, count, setup, air, &table, error);
	return status < 0 ? status : jw_both(status, jw_rejet_apply_with(changes, count, &table, setup, air, error));
}

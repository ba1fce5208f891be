/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random set-ups over the whole range of every member, and points; the same seed gives the same draws everywhere. */
#ifndef JW_TESTS_DRAW_H
#define JW_TESTS_DRAW_H

#include "point/members.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

typedef struct draw {
	uint64_t state;
} draw;

/* splitmix64 */
static inline double draw_unit(draw *d)
{
	uint64_t z = d->state += 0x9e3779b97f4a7c15u;
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
	z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
	return (double)((z ^ (z >> 31)) >> 11) * 0x1.0p-53;
}

static inline double draw_between(draw *d, double low, double high)
{
	return low + (high - low) * draw_unit(d);
}

/* Sum of twelve uniform draws: normal enough within three standard deviations. */
static inline double draw_normal(draw *d)
{
	double sum = -6.0;
	for (int i = 0; i < 12; i++)
		sum += draw_unit(d);
	return sum;
}

static inline int draw_whole(draw *d, int low, int high)
{
	return low + (int)(draw_unit(d) * (high - low + 1));
}

/* Any member anywhere in its range; ends are drawn now and then, where trouble lives. */
static inline double draw_member(draw *d, const jw_member_row *row)
{
	double where = draw_unit(d);
	if (where < 0.02)
		return row->low;
	return where > 0.98 ? row->high : draw_between(d, row->low, row->high);
}

/* What no steady point reads: drawn aside, so that it leaves the draws of all else as they were. */
static inline int draw_is_aside(size_t offset)
{
#define LIES_IN(member) (offset - offsetof(jw_setup, member) < sizeof ((jw_setup *)0)->member)
	return LIES_IN(engine.breathing) || LIES_IN(film) || LIES_IN(carburetor.pump) || LIES_IN(carburetor.timer);
#undef LIES_IN
}

/* Pump and timer of some carburetors, their parts in tune with each other. */
static inline void draw_fittings(draw *aside, jw_carburetor *c)
{
	if (draw_unit(aside) < 0.5)
		c->pump.shot_m3 = 0.0;
	c->pump.plunger_m = fmax(c->pump.plunger_m, 2e-3);
	c->pump.spring_n = fmax(c->pump.spring_n, 0.1);
	c->pump.from_throttle = fmin(c->pump.from_throttle, 0.9);
	c->pump.to_throttle = fmax(c->pump.to_throttle, c->pump.from_throttle + 0.05);
	if (draw_unit(aside) < 0.5)
		c->timer.constant_s = 0.0;
	c->timer.open_k = fmax(c->timer.open_k, 220.0);
	c->timer.shut_k = fmax(c->timer.shut_k, c->timer.open_k + 1.0);
}

/* Every member of the table, what is aside from draws of its own. */
static inline void draw_members(draw *d, draw *aside, jw_setup *setup)
{
	size_t count;
	const jw_member_row *rows = jw_setup_members(&count);
	for (size_t i = 0; i < count; i++) {
		double value = draw_member(draw_is_aside(rows[i].offset) ? aside : d, &rows[i]);
		memcpy((char *)setup + rows[i].offset, &value, sizeof value);
	}
}

/* Half of the jets take the law for their coefficient. */
static inline void draw_coefficients(draw *d, jw_carburetor *c)
{
	double *const coefficient[] = {&c->main.fuel_jet.coefficient, &c->main.air_jet.coefficient,
	                               &c->pilot.fuel_jet.coefficient, &c->pilot.air_jet.coefficient,
	                               &c->enrichener.fuel_jet.coefficient};
	for (size_t i = 0; i < sizeof coefficient / sizeof *coefficient; i++)
		if (draw_unit(d) < 0.5)
			*coefficient[i] = 0.0;
}

/* Most carburetors have no choke plate, rod or power jet. */
static inline void draw_carburetor(draw *d, jw_carburetor *c)
{
	c->kind = (jw_carburetor_kind)draw_whole(d, 0, JW_CARBURETOR_KIND_COUNT - 1);
	c->bowl.vent = (jw_vent)draw_whole(d, 0, JW_VENT_COUNT - 1);
	c->slide.reference = (jw_vent)draw_whole(d, 0, JW_VENT_COUNT - 1);
	c->screw.kind = (jw_screw_kind)draw_whole(d, 0, JW_SCREW_KIND_COUNT - 1);
	c->pilot_from_main_well = draw_unit(d) < 0.3;
	c->main.slip = c->pilot.slip = c->power.slip = c->enrichener.slip = draw_unit(d) < 0.3;
	if (draw_unit(d) < 0.6)
		c->choke.bore_m = 0.0;
	if (draw_unit(d) < 0.8)
		c->rod.lean_m = c->rod.rich_m = 0.0;
	if (draw_unit(d) < 0.8)
		c->power_outlet_m = 0.0;
	c->ports = draw_whole(d, 0, JW_PORTS);
	for (int i = 0; i < c->ports; i++)
		c->port[i] = (jw_port){draw_between(d, 0.1e-3, 4e-3), draw_between(d, -5e-3, 15e-3)};
}

static inline void draw_engine(draw *d, jw_engine *e)
{
	e->strokes = 2 * draw_whole(d, 1, 2);
	e->carburetors = 1;
	e->cylinders = draw_whole(d, 1, 12);
	e->ve_points = draw_whole(d, 1, JW_VE_POINTS);
	for (int i = 0; i < e->ve_points; i++) {
		e->ve_speed_rev_s[i] = 500.0 * (i + draw_unit(d) + 1e-3) / (e->ve_points + 1);
		e->ve[i] = draw_between(d, 0.1, 1.6);
	}
}

static inline void draw_setup(draw *d, jw_setup *setup)
{
	draw aside = {d->state ^ 0x5bd1e9955bd1e995u};
	memset(setup, 0, sizeof *setup);
	draw_members(d, &aside, setup);
	draw_fittings(&aside, &setup->carburetor);
	/* Half of the slides move, and half of the engines are tight. */
	if (draw_unit(d) < 0.5)
		setup->carburetor.slide.stuck_lift_m = -1.0;
	if (draw_unit(d) < 0.5)
		setup->leak_m = 0.0;
	draw_coefficients(d, &setup->carburetor);
	draw_carburetor(d, &setup->carburetor);
	draw_engine(d, &setup->engine);
	double ethanol = draw_unit(d);
	setup->fuel =
	    (jw_fuel){{{JW_PETROL, 1.0 - ethanol, draw_between(d, 700.0, 780.0), 1.85}, {JW_ETHANOL, ethanol, 0, 0}}, 2, 0};
	for (int i = 0; i < JW_RANGE_COUNT; i++)
		setup->range[i] = (jw_point){draw_between(d, 1.0, 500.0), draw_unit(d), 0.0};
}

static inline void draw_air(draw *d, jw_air *air)
{
	jw_error error;
	double pressure = draw_between(d, 50e3, 110e3), temperature = draw_between(d, 243.15, 328.15);
	if (jw_air_from_humidity(pressure, temperature, draw_unit(d), air, &error) < 0)
		fprintf(stderr, "air %g Pa %g K: %s\n", pressure, temperature, error.field);
}

static inline jw_point draw_point(draw *d)
{
	double throttle = draw_unit(d);
	if (draw_unit(d) < 0.1)
		throttle = draw_unit(d) < 0.5 ? 0.0 : 1.0;
	return (jw_point){draw_between(d, 5.0, 250.0), throttle, draw_unit(d) < 0.3 ? draw_unit(d) : 0.0};
}

/* Why set-ups were turned down, by field. */
typedef struct rejections {
	struct {
		const char *field;
		long count;
	} reason[128];
	int reasons;
	long drawn, accepted;
} rejections;

static inline void rejections_add(rejections *r, const char *field)
{
	int i = 0;
	while (i < r->reasons && strcmp(r->reason[i].field, field) != 0)
		i++;
	if (i == r->reasons && r->reasons < 128)
		r->reason[r->reasons++].field = field;
	if (i < 128)
		r->reason[i].count++;
}

static inline void rejections_print(const rejections *r)
{
	printf("%ld set-ups drawn, %ld accepted; turned down for:\n", r->drawn, r->accepted);
	for (int i = 0; i < r->reasons; i++)
		printf("  %5.1f %%  %s\n", 100.0 * (double)r->reason[i].count / (double)r->drawn, r->reason[i].field);
}

/* The next set-up that the check accepts. */
static inline void draw_accepted(draw *d, jw_setup *setup, rejections *r)
{
	jw_error error;
	for (;;) {
		draw_setup(d, setup);
		r->drawn++;
		if (jw_setup_check(setup, &error) >= 0) {
			r->accepted++;
			return;
		}
		rejections_add(r, error.field);
	}
}

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/supply.h>

#include <jetwright/air.h>

#include "flow/check.h"
#include "solve/root.h"

/* A drilled hole with sharp edges (common practice). */
#define HOLE_COEFFICIENT 0.6
/* Dynamic viscosity of petrol at 20 C, 0.55 mm2/s (US DOE AFDC table of fuel properties) at 741 kg/m3. */
#define PETROL_PA_S 0.408e-3
#define PRESSURE_TOLERANCE_PA 1e-5
#define FLOW_SHARE 1e-12
#define LEVEL_TOLERANCE_M 1e-10

static double circle(double bore_m)
{
	return 0.25 * JW_PI * jw_square(bore_m);
}

double jw_float_needle_area(const jw_supply *supply, double level_m)
{
	double seat = circle(supply->seat_m);
	double lifted = jw_clamp(-level_m / supply->travel_m, 0.0, 1.0);
	return fmin(lifted * seat + circle(supply->needle_leak_m), seat);
}

/* ---- tank ---- */

double jw_vent_flow(const jw_supply *supply, const jw_supply_ends *ends, double tank_pa)
{
	double in;
	jw_gas_mass_flow(HOLE_COEFFICIENT * circle(supply->vent_m), &ends->air, ends->ambient_pa, tank_pa, &in);
	return in;
}

typedef struct tank {
	const jw_supply *supply;
	const jw_supply_ends *ends;
	double m3_s, vapour_pa;
} tank;

/* Air let in less the air that fills the room of the fuel that left. */
static double air_surplus(double tank_pa, void *context)
{
	const tank *t = context;
	double rt = t->ends->air.gas_constant_j_kg_k * t->ends->air.temperature_k;
	return jw_vent_flow(t->supply, t->ends, tank_pa) - (tank_pa - t->vapour_pa) / rt * t->m3_s;
}

static jw_status check_ends(const jw_supply_ends *ends, jw_error *error)
{
	const jw_bound bounds[] = {
	    {"ambient_pa", ends->ambient_pa, 1e3, 1e6},
	    {"bowl_pa", ends->bowl_pa, 0.0, 1e6},
	    {"vapour_pa", ends->vapour_pa, 0.0, 1e7},
	    {"tank_pa", ends->tank_pa, 0.0, 1e6},
	    {"speed_rev_s", ends->speed_rev_s, 0.0, 1e3},
	    {"air.temperature_k", ends->air.temperature_k, 100.0, 1000.0},
	    {"air.gas_constant_j_kg_k", ends->air.gas_constant_j_kg_k, 10.0, 1e4},
	};
	jw_status status = jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
	return status == JW_OK ? jw_check_liquid(&ends->fuel, error) : status;
}

static jw_status draw_tank(const jw_supply *supply, const jw_supply_ends *ends, double kg_s, double *tank_pa,
                           jw_error *error)
{
	jw_status status = jw_check_range("kg_s", kg_s, 0.0, 1e3, error);
	if (status < 0)
		return status;
	if (kg_s == 0.0) {
		*tank_pa = ends->ambient_pa;
		return JW_OK;
	}
	tank t = {supply, ends, kg_s / ends->fuel.density_kg_m3, fmin(ends->vapour_pa, ends->ambient_pa)};
	return jw_root(air_surplus, &t, t.vapour_pa, ends->ambient_pa, PRESSURE_TOLERANCE_PA, tank_pa, error);
}

jw_status jw_supply_tank(const jw_supply *supply, const jw_supply_ends *ends, double kg_s, double *tank_pa,
                         jw_error *error)
{
	jw_status status = check_ends(ends, error);
	return status < 0 ? status : draw_tank(supply, ends, kg_s, tank_pa, error);
}

/* ---- chain ---- */

typedef struct chain {
	const jw_supply *supply;
	const jw_supply_ends *ends;
	double seat_m2; /* Cd A */
	jw_supply_flow flow;
	jw_status status;
} chain;

/* Of a hole of an effective area. */
static double hole_loss(double effective_m2, double density, double kg_s)
{
	return 0.5 / density * jw_square(kg_s / effective_m2);
}

static double pump_pressure(const jw_supply *s, double speed_rev_s, double m3_s)
{
	double free = s->pump_speed_rev_s > 0.0 ? s->pump_m3_s * speed_rev_s / s->pump_speed_rev_s : s->pump_m3_s;
	return s->pump_pa > 0.0 && m3_s < free ? s->pump_pa * (1.0 - m3_s / free) : 0.0;
}

/* Pushes less losses: falls as the flow rises. */
static double push_left(double kg_s, void *context)
{
	chain *c = context;
	const jw_supply *s = c->supply;
	const jw_liquid_flow *fuel = &c->ends->fuel;
	double density = fuel->density_kg_m3, m3_s = kg_s / density;
	jw_supply_flow f = {.kg_s = kg_s, .tank_pa = c->ends->tank_pa, .head_pa = density * JW_GRAVITY * s->head_m};
	if (!(f.tank_pa > 0.0))
		c->status = jw_both(c->status, draw_tank(s, c->ends, kg_s, &f.tank_pa, NULL));
	f.pump_pa = pump_pressure(s, c->ends->speed_rev_s, m3_s);
	f.tap_pa = hole_loss(HOLE_COEFFICIENT * circle(s->tap_m), density, kg_s);
	c->status = jw_both(c->status, jw_pipe_drop(s->hose_m, s->hose_length_m, fuel, kg_s, &f.hose_pa, NULL));
	if (s->filter_pa > 0.0)
		f.filter_pa = s->filter_pa * m3_s / s->filter_m3_s * fuel->viscosity_m2_s * density / PETROL_PA_S;
	f.seat_pa = hole_loss(c->seat_m2, density, kg_s);
	c->flow = f;
	return f.tank_pa - c->ends->bowl_pa + f.head_pa + f.pump_pa - f.tap_pa - f.hose_pa - f.filter_pa - f.seat_pa;
}

static int shut(const chain *c)
{
	return !(c->seat_m2 > 0.0 && c->supply->tap_m > 0.0 && c->supply->hose_m >= JW_LEAST_BORE_M);
}

/* With nothing flowing there are pushes but no losses. */
static void rest(chain *c)
{
	c->flow = (jw_supply_flow){
	    .tank_pa = c->ends->tank_pa > 0.0 ? c->ends->tank_pa : c->ends->ambient_pa,
	    .head_pa = c->ends->fuel.density_kg_m3 * JW_GRAVITY * c->supply->head_m,
	    .pump_pa = pump_pressure(c->supply, c->ends->speed_rev_s, 0.0),
	};
}

static double push_at_rest(const chain *c)
{
	return c->flow.tank_pa - c->ends->bowl_pa + c->flow.head_pa + c->flow.pump_pa;
}

static jw_status find_flow(chain *c, double push, jw_error *error)
{
	/* The seat alone would pass no more than this, rounding apart. */
	double most = 1.001 * c->seat_m2 * sqrt(2.0 * c->ends->fuel.density_kg_m3 * push), kg_s;
	jw_status status = jw_root(push_left, c, 0.0, most, FLOW_SHARE * most, &kg_s, error);
	if (status < 0)
		return status;
	if (kg_s > 2.0 * FLOW_SHARE * most) {
		push_left(kg_s, c);
	} else { /* without a vent the tank is drawn down until it holds its fuel */
		rest(c);
		c->flow.tank_pa -= push;
	}
	return c->status < 0 ? jw_fail(error, c->status, "supply", kg_s, 0.0, most) : JW_OK;
}

static jw_status pass(const jw_supply *supply, const jw_supply_ends *ends, double level_m, jw_supply_flow *flow,
                      jw_error *error)
{
	jw_status status = jw_check_range("level_m", level_m, -1.0, 1.0, error);
	if (status < 0)
		return status;
	chain c = {
	    .supply = supply, .ends = ends, .seat_m2 = supply->seat_coefficient * jw_float_needle_area(supply, level_m)};
	rest(&c);
	double push = push_at_rest(&c);
	if (!shut(&c) && push > 0.0)
		status = find_flow(&c, push, error);
	if (status < 0)
		return status;
	*flow = c.flow;
	return JW_OK;
}

jw_status jw_supply_pass(const jw_supply *supply, const jw_supply_ends *ends, double level_m, jw_supply_flow *flow,
                         jw_error *error)
{
	jw_status status = check_ends(ends, error);
	return status < 0 ? status : pass(supply, ends, level_m, flow, error);
}

/* ---- level ---- */

typedef struct drawn {
	const jw_supply *supply;
	const jw_supply_ends *ends;
	double kg_s;
	jw_status status;
} drawn;

static double inflow_left(double level_m, void *context)
{
	drawn *d = context;
	jw_supply_flow flow = {0};
	d->status = jw_both(d->status, pass(d->supply, d->ends, level_m, &flow, NULL));
	return flow.kg_s - d->kg_s;
}

jw_status jw_supply_level(const jw_supply *supply, const jw_supply_ends *ends, double kg_s, double *level_m,
                          jw_error *error)
{
	jw_status status = jw_check_range("kg_s", kg_s, 0.0, 1e3, error);
	if (status == JW_OK)
		status = check_ends(ends, error);
	if (status < 0)
		return status;
	drawn d = {supply, ends, kg_s, JW_OK};
	double open = -supply->travel_m, level = supply->overflow_m;
	if (inflow_left(level, &d) > 0.0)
		status = JW_W_OVERFLOW;
	else if (inflow_left(level = open, &d) < 0.0)
		status = JW_W_SHORT_SUPPLY;
	else
		status = jw_root(inflow_left, &d, open, 0.0, LEVEL_TOLERANCE_M, &level, error);
	if (status < 0 || d.status < 0)
		return status < 0 ? status : jw_fail(error, d.status, "kg_s", kg_s, 0.0, 1e3);
	*level_m = level;
	return status;
}

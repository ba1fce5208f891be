/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bowl between supply and jets: where its level settles, and how long it lasts. Levels here count from the one at
 * which the float needle shuts. */
#include <jetwright/point.h>

#include "air/limits.h"
#include "base/base.h"
#include "solve/ode.h"
#include "solve/root.h"

#define LEVEL_TOLERANCE_M 1e-13
#define RELATIVE_ERROR 1e-6
/* A tank that settles within this is taken to settle at once. */
#define TANK_AT_ONCE_S 1.0

typedef struct bowl {
	const jw_setup *setup;
	const jw_air *air;
	const jw_point *point;
	jw_supply_ends ends;
	double lowest_m, highest_m; /* at the lower edge of the main jet, and at the overflow */
	double lambda;              /* that ends it */
	int slow_tank;              /* its pressure lags behind what leaves it */
	/* of the last trial, or of the first that failed */
	jw_mixture mixture;
	jw_supply_flow flow;
	jw_status status;
	jw_error error;
} bowl;

static jw_status begin(bowl *b, jw_error *error)
{
	const jw_setup *s = b->setup;
	const jw_air *air = b->air;
	jw_status status = jw_check_range("supply.bowl_area_m2", s->supply.bowl_area_m2, 1e-5, 0.05, error);
	if (status == JW_OK)
		status = jw_air_check(air, error);
	jw_fuel_state fuel;
	if (status == JW_OK)
		status = jw_fuel_at(&s->fuel, air->temperature_k, &fuel, error);
	if (status < 0)
		return status;
	b->ends = (jw_supply_ends){.fuel = {fuel.density_kg_m3, fuel.viscosity_m2_s},
	                           .air = {air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s},
	                           .ambient_pa = air->pressure_pa,
	                           .vapour_pa = fmin(fuel.vapour_pa, air->pressure_pa),
	                           .speed_rev_s = b->point->speed_rev_s};
	b->lowest_m = -s->supply.jet_depth_m - s->carburetor.bowl.level_error_m;
	b->highest_m = s->supply.overflow_m - s->carburetor.bowl.level_error_m;
	return JW_OK;
}

/* Share of the main jet's bore that is under the surface. */
static double covered(const bowl *b, double level_m)
{
	double bore = b->setup->carburetor.main.fuel_jet.diameter_m, above = level_m - b->lowest_m;
	return bore > 0.0 ? jw_clamp(above / bore, 0.0, 1.0) : above > 0.0;
}

/* What the engine draws at a level, and what it makes of it. */
static void draw(bowl *b, double level_m)
{
	if (b->status < 0)
		return;
	double share = covered(b, level_m);
	jw_setup s = *b->setup;
	jw_carburetor *c = &s.carburetor;
	c->bowl.level_error_m += jw_clamp(level_m, b->lowest_m, b->highest_m);
	jw_circuit *const circuits[] = {&c->main, &c->power, &c->enrichener, &c->pilot};
	/* A pilot that hangs in the main well has no jet of its own in the bowl. */
	int fed = c->pilot_from_main_well ? 3 : 4;
	for (int i = 0; i < fed; i++)
		circuits[i]->fuel_coefficient *= share;
	b->status = jw_mixture_at(&s, b->air, b->point, &b->mixture, &b->error);
	if (b->status >= 0 && share < 1.0)
		b->status |= JW_W_STARVED;
	b->ends.bowl_pa = b->mixture.flow.bowl_pa;
}

/* Fuel that the supply brings less what is drawn: falls as the level rises; beyond where it can be, as a step too long
 * tries, it stays. After an error it is 0, which ends a search. */
static double inflow(double level_m, void *context)
{
	bowl *b = context;
	const double level = jw_clamp(level_m, b->lowest_m, b->highest_m);
	draw(b, level);
	if (b->status < 0)
		return 0.0;
	jw_status status = jw_supply_pass(&b->setup->supply, &b->ends, level, &b->flow, &b->error);
	b->status = status < 0 ? status : b->status | status;
	return status < 0 ? 0.0 : b->flow.kg_s - b->mixture.fuel_kg_s;
}

static jw_status failed(const bowl *b, jw_error *error)
{
	if (error)
		*error = b->error;
	return b->status;
}

static jw_status settle(bowl *b, double *level_m, jw_error *error)
{
	*level_m = b->highest_m;
	if (inflow(b->highest_m, b) > 0.0)
		return JW_W_OVERFLOW;
	jw_status status = JW_OK;
	*level_m = b->lowest_m; /* where nothing comes in, but for rounding */
	if (inflow(b->lowest_m, b) > 0.0)
		status = jw_root(inflow, b, b->lowest_m, b->highest_m, LEVEL_TOLERANCE_M, level_m, error);
	if (status < 0)
		return status;
	inflow(*level_m, b);
	return *level_m < -b->setup->supply.travel_m ? JW_W_SHORT_SUPPLY : JW_OK;
}

jw_status jw_mixture_supplied(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_supplied *supplied,
                              jw_error *error)
{
	bowl b = {.setup = setup, .air = air, .point = point};
	jw_status status = begin(&b, error);
	if (status < 0)
		return status;
	inflow(0.0, &b);
	if (b.status < 0)
		return failed(&b, error);
	jw_supplied s = {.needed_kg_s = b.mixture.fuel_kg_s};
	jw_supply_flow most;
	status = jw_supply_pass(&setup->supply, &b.ends, -setup->supply.travel_m, &most, error);
	if (status < 0)
		return status;
	s.could_kg_s = most.kg_s;
	double level;
	status = settle(&b, &level, error);
	if (b.status < 0)
		return failed(&b, error);
	if (status < 0)
		return status;
	s.level_m = level + setup->carburetor.bowl.level_error_m;
	s.tank_pa = b.flow.tank_pa;
	s.spilled_kg_s = status & JW_W_OVERFLOW ? b.flow.kg_s - b.mixture.fuel_kg_s : 0.0;
	s.mixture = b.mixture;
	*supplied = s;
	return status | b.status;
}

/* ---- over time ---- */

enum { LEVEL, TANK_AIR, TANK_ROOM, UNKNOWNS }; /* m, kg, m3 */

static double tank_pressure(const bowl *b, const double *y)
{
	double rt = b->ends.air.gas_constant_j_kg_k * b->ends.air.temperature_k;
	return b->ends.vapour_pa + fmax(y[TANK_AIR], 0.0) * rt / y[TANK_ROOM];
}

static double inflow_at(bowl *b, const double *y)
{
	b->ends.tank_pa = b->slow_tank ? fmax(tank_pressure(b, y), 1.0) : 0.0;
	return inflow(y[LEVEL], b);
}

static void rates(double t, const double *y, double *rate, void *context)
{
	bowl *b = context;
	(void)t;
	double net = inflow_at(b, y), density = b->ends.fuel.density_kg_m3;
	if (y[LEVEL] >= b->highest_m)
		net = fmin(net, 0.0); /* the rest runs over */
	rate[LEVEL] = net / (density * b->setup->supply.bowl_area_m2);
	if (!b->slow_tank)
		return;
	rate[TANK_AIR] = jw_vent_flow(&b->setup->supply, &b->ends, b->ends.tank_pa);
	rate[TANK_ROOM] = b->flow.kg_s / density;
}

/* Falls to 0 as the mixture leans. */
static double richness(double t, const double *y, void *context)
{
	bowl *b = context;
	(void)t;
	draw(b, y[LEVEL]);
	return b->status < 0 ? 0.0 : b->mixture.phi - 1.0 / b->lambda;
}

/* Whether the tank takes its time to the pressure at which its vent keeps up: the fuel must first have left the room
 * for it. Where it does not, following it would only shorten the steps. */
static jw_status time_tank(bowl *b, jw_error *error)
{
	double rest[UNKNOWNS] = {0}, settled_pa;
	inflow_at(b, rest);
	if (b->status < 0)
		return failed(b, error);
	double drawn = b->mixture.fuel_kg_s;
	jw_status status = jw_supply_tank(&b->setup->supply, &b->ends, drawn, &settled_pa, error);
	if (status < 0)
		return status;
	double share = (b->ends.ambient_pa - settled_pa) / fmax(b->ends.ambient_pa - b->ends.vapour_pa, 1.0);
	double left = b->setup->supply.tank_air_m3 * share * b->ends.fuel.density_kg_m3;
	b->slow_tank = left > TANK_AT_ONCE_S * drawn;
	return JW_OK;
}

static jw_status follow(bowl *b, double longest_s, jw_lasting *lasting, jw_error *error)
{
	static const double absolute[UNKNOWNS] = {1e-7, 1e-9, 1e-9};
	jw_status status = time_tank(b, error);
	if (status < 0)
		return status;
	double room = b->setup->supply.tank_air_m3, t = 0.0;
	double rt = b->ends.air.gas_constant_j_kg_k * b->ends.air.temperature_k;
	double y[UNKNOWNS] = {0.0, (b->ends.ambient_pa - b->ends.vapour_pa) * room / rt, room};
	jw_ode ode = {.rates = rates,
	              .event = richness,
	              .context = b,
	              .unknowns = b->slow_tank ? UNKNOWNS : 1,
	              .relative = RELATIVE_ERROR,
	              .absolute = absolute,
	              .longest = longest_s};
	int stopped;
	status = jw_ode_run(&ode, &t, longest_s, y, &stopped, error);
	inflow_at(b, y);
	if (b->status < 0)
		return failed(b, error);
	if (status < 0)
		return status;
	*lasting = (jw_lasting){.lean = stopped,
	                        .seconds = t,
	                        .level_m = y[LEVEL] + b->setup->carburetor.bowl.level_error_m,
	                        .tank_pa = b->flow.tank_pa,
	                        .phi = b->mixture.phi};
	return b->status;
}

jw_status jw_supply_lasts(const jw_setup *setup, const jw_air *air, const jw_point *point, double lambda,
                          double longest_s, jw_lasting *lasting, jw_error *error)
{
	bowl b = {.setup = setup, .air = air, .point = point, .lambda = lambda};
	jw_supplied settled;
	jw_status status = jw_check_range("lambda", lambda, 0.5, 10.0, error);
	if (status == JW_OK)
		status = jw_check_range("longest_s", longest_s, 1e-3, 1e5, error);
	if (status == JW_OK)
		status = jw_mixture_supplied(setup, air, point, &settled, error);
	if (status < 0)
		return status;
	/* Level and tank only fall on their way there. */
	if (settled.mixture.phi * lambda >= 1.0) {
		*lasting = (jw_lasting){0, longest_s, settled.level_m, settled.tank_pa, settled.mixture.phi};
		return status;
	}
	status = begin(&b, error);
	return status < 0 ? status : follow(&b, longest_s, lasting, error);
}

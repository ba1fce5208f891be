/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "point/cycle.h"

#include "base/base.h"
#include "point/leak.h"

#include <string.h>

/* A leak passes in proportion to differences below it: a square root there would make the integration creep. */
#define LEAK_LINEAR_PA 20.0
#define STEPS_A_CYCLE 72.0 /* at least */
/* Rounding, in distances of nodes. */
#define ON_NODE 1e-9
/* Of the relaxation of valves and ports: the volume behind a plate moves more slowly than what they feel. */
#define PLATE_RELAXATION 4.0
/* Of the error that the other flows may have: where a plate is nearly shut a little flow is much of its rate, and the
 * nozzle feels that. */
#define PLATE_SHARE 0.1

/* ---- the way of the air at a flow ---- */

/* Drop of a nozzle at a flow; beyond its choke it rises as the pressure ahead would have to. */
static double nozzle_drop(double area_m2, const jw_gas *gas, double ahead_pa, double choked_kg_s, double kg_s)
{
	double behind;
	jw_gas_downstream_pressure(area_m2, gas, ahead_pa, kg_s, &behind);
	return ahead_pa - behind + ahead_pa * fmax(kg_s / choked_kg_s - 1.0, 0.0);
}

static double leak_at(const jw_cycle_air *a, double manifold_pa)
{
	double flow, drop = a->air->pressure_pa - manifold_pa;
	if (!(a->leak_m2 > 0.0))
		return 0.0;
	double beyond = fmax(fabs(drop), LEAK_LINEAR_PA);
	jw_gas_mass_flow(a->leak_m2, &a->gas, a->air->pressure_pa, a->air->pressure_pa - copysign(beyond, drop), &flow);
	return flow * fabs(drop) / beyond;
}

/* At the throat, where the slide is just now. */
static double throat_drop(const jw_cycle_air *a, double lift_m, double kg_s)
{
	if (!a->moves)
		return nozzle_drop(a->throat_m2, &a->gas, a->box_pa, a->throat_choked_kg_s, kg_s);
	double area = jw_throat_area(&a->setup->carburetor, lift_m);
	return nozzle_drop(area, &a->gas, a->box_pa, jw_gas_choked_flow(area, &a->gas, a->box_pa), kg_s);
}

/* The column's momentum, and where that leaves nozzle and plate. The engine's column behind the plate shares its flow.
 */
static jw_air_moment moment_at(const jw_cycle_air *a, const double *y)
{
	double lift = y[a->first + JW_AIR_LIFT];
	if (a->moves) /* its stops give way a little */
		lift = jw_clamp(lift, 0.0, a->slide.top_m);
	jw_column_end inlet = jw_breather_inlet(&a->breather, y);
	double rt = a->gas.gas_constant_j_kg_k * a->gas.temperature_k;
	double flow = y[a->first + JW_AIR_FLOW], sign = flow >= 0.0 ? 1.0 : -1.0;
	double recovery = a->setup->carburetor.throat.recovery;
	double choke =
	    a->choke_m2 > 0.0 ? nozzle_drop(a->choke_m2, &a->gas, a->box_pa, a->choke_choked_kg_s, fabs(flow)) : 0.0;
	double throat = throat_drop(a, lift, fabs(flow));
	double lost = sign * (choke + (1.0 - recovery) * throat);
	jw_column_end ahead = {a->box_pa - lost, rt};
	double rate = jw_column_rate(a->ahead + a->behind, a->plate_m2, ahead, inlet, flow,
	                             PLATE_RELAXATION * a->breather.relaxation_s);
	double mouth = a->box_pa - sign * choke - a->ahead * rate;
	return (jw_air_moment){
	    .mouth_pa = mouth,
	    .nozzle_pa = mouth - (flow >= 0.0 ? throat : recovery * throat),
	    .plate_pa = mouth - sign * (1.0 - recovery) * throat,
	    .manifold_pa = inlet.pa,
	    .flow_kg_s = flow,
	    .rate_kg_s2 = rate,
	    .leak_kg_s = leak_at(a, inlet.pa),
	    .lift_m = lift,
	};
}

/* What the upper side of a floating slide's diaphragm is vented to. */
double jw_air_reference(const jw_cycle_air *a)
{
	return a->setup->carburetor.slide.reference == JW_VENT_ATMOSPHERE ? a->air->pressure_pa : a->box_pa;
}

static void move_slide(const jw_cycle_air *a, double nozzle_pa, const double *y, double *rate)
{
	double rise = y[a->first + JW_AIR_RISE];
	rate[a->first + JW_AIR_LIFT] = rise;
	rate[a->first + JW_AIR_RISE] =
	    jw_slide_acceleration(&a->slide, jw_air_reference(a) - nozzle_pa, y[a->first + JW_AIR_LIFT], rise);
}

static void rates(double time_s, const double *y, double *rate, void *context)
{
	const jw_cycle_air *a = context;
	jw_air_moment m = moment_at(a, y);
	jw_breather_rates(&a->breather, time_s, y, m.flow_kg_s + m.leak_kg_s,
	                  a->gas.gas_constant_j_kg_k * a->gas.temperature_k, rate);
	rate[a->first + JW_AIR_FLOW] = m.rate_kg_s2;
	rate[a->first + JW_AIR_LIFT] = rate[a->first + JW_AIR_RISE] = 0.0;
	if (a->moves)
		move_slide(a, m.nozzle_pa, y, rate);
	rate[a->first + JW_AIR_LEAK] = m.leak_kg_s;
	rate[a->first + JW_AIR_DEPRESSION] = a->box_pa - m.nozzle_pa;
}

/* ---- one part of the cycle ---- */

static void note_node(jw_cycle_air *a, int node, int chamber, const double *y)
{
	a->node[node] = moment_at(a, y);
	a->cylinder_pa[node] = y[3 * chamber];
	a->crankcase_pa[node] = a->breather.crankcase_m3 > 0.0 ? y[3 * chamber - 3] : 0.0;
}

/* Nodes of every part at once: in each another cylinder is where the first one is in the cycle. */
static void note_span(const jw_ode_span *span, void *context)
{
	jw_cycle_air *a = context;
	const jw_breather *b = &a->breather;
	double y[JW_ODE_UNKNOWNS], node_s = a->period_s / JW_CYCLE_NODES;
	for (int part = 0; part < b->cylinders; part++) {
		double before = part * b->part_s;
		int chamber = jw_cylinder_chamber(b, (b->cylinders - part) % b->cylinders);
		int first = (int)((before + span->from) / node_s + ON_NODE) + 1;
		int last = (int)((before + span->to) / node_s + ON_NODE);
		for (int n = first; n <= last; n++) {
			jw_ode_between(span, n * node_s - before, y);
			note_node(a, n, chamber, y);
		}
	}
}

/* The inlet as the last gate before it closes. */
static void note_closing(jw_cycle_air *a, const jw_gate *gate, const double *y)
{
	if (gate->kind == JW_EXHAUST)
		return;
	if (gate->kind == JW_INLET)
		a->closing_pa = y[0];
	const double *gas = &y[3 * gate->to];
	a->residual = gas[2] / gas[1];
}

static void at_stop(int stop, double time_s, double *y, void *context)
{
	jw_cycle_air *a = context;
	const jw_stop *s = &a->stop[stop];
	(void)time_s;
	if (s->kind == JW_STOP_CLOSES)
		note_closing(a, &a->breather.gate[s->index], y);
	a->heat_j += jw_breather_stop(&a->breather, s, y);
}

static void clear_sums(jw_cycle_air *a)
{
	for (int sum = 0; sum < JW_SUMS; sum++)
		a->y[jw_sum_place(&a->breather, (jw_sum)sum)] = 0.0;
	a->y[a->first + JW_AIR_LEAK] = a->y[a->first + JW_AIR_DEPRESSION] = 0.0;
	a->heat_j = 0.0;
}

static void sum_up(jw_cycle_air *a)
{
	const double *y = a->y;
	double in = y[jw_sum_place(&a->breather, JW_SUM_IN)], out = y[jw_sum_place(&a->breather, JW_SUM_OUT)];
	a->leak_kg_s = y[a->first + JW_AIR_LEAK] / a->breather.part_s;
	a->mean_kg_s = in / a->breather.part_s - a->leak_kg_s;
	a->mass_error = in > 0.0 ? (in - out) / in : 0.0;
	a->energy_error = a->heat_j > 0.0 ? y[jw_sum_place(&a->breather, JW_SUM_ENERGY)] / a->heat_j : 0.0;
}

jw_status jw_air_part(jw_cycle_air *a, double relative, jw_error *error)
{
	const jw_breather *b = &a->breather;
	double absolute[JW_ODE_UNKNOWNS], time_s = 0.0;
	int stopped;
	memcpy(absolute, a->scale, sizeof absolute);
	for (int i = 0; i < a->unknowns; i++)
		absolute[i] *= relative;
	jw_ode ode = {.rates = rates,
	              .context = a,
	              .unknowns = a->unknowns,
	              .relative = relative,
	              .absolute = absolute,
	              .longest = a->period_s / STEPS_A_CYCLE,
	              .stops = a->stop_s,
	              .stop_count = jw_breather_stops(b, a->stop),
	              .at_stop = at_stop,
	              .within = note_span};
	for (int i = 0; i < ode.stop_count; i++)
		a->stop_s[i] = a->stop[i].time_s;
	clear_sums(a);
	jw_status status = jw_ode_run(&ode, &time_s, b->part_s, a->y, &stopped, error);
	a->node[0] = a->node[JW_CYCLE_NODES];
	a->cylinder_pa[0] = a->cylinder_pa[JW_CYCLE_NODES];
	a->crankcase_pa[0] = a->crankcase_pa[JW_CYCLE_NODES];
	sum_up(a);
	jw_breather_turn(b, a->y);
	return status;
}

/* ---- set-up ---- */

/* Most air that the engine is stated to draw: at it the back pressure of the exhaust is stated. */
static double full_flow(const jw_engine *e, double density)
{
	double most = 0.0;
	for (int i = 0; i < e->ve_points; i++)
		most = fmax(most, jw_air_consumption(jw_displacement(e), e->strokes, e->ve_speed_rev_s[i], e->ve[i], density));
	return most;
}

/* Where the slide and the inlet may stand, from the mean-value form; a first guess. */
static void start(jw_cycle_air *a, const jw_point *point)
{
	jw_mixture guess;
	double inlet_pa = 0.7 * a->air->pressure_pa, lift_m = 0.5 * a->setup->carburetor.throat.bore_m;
	if (jw_mixture_at(a->setup, a->air, point, &guess, NULL) >= 0) {
		inlet_pa = guess.manifold_pa;
		lift_m = guess.path.lift_m;
		a->mean_kg_s = guess.plate_kg_s;
	}
	a->box_pa = a->air->pressure_pa;
	a->lift_m = lift_m;
	jw_air_fill_box(a);
	jw_air_set_throat(a);
	jw_breather_start(&a->breather, inlet_pa, a->gas.temperature_k, a->y);
	for (int i = a->first; i < a->unknowns; i++)
		a->y[i] = 0.0;
	a->y[a->first + JW_AIR_LIFT] = a->lift_m;
}

jw_status jw_cycle_gas(jw_cycle_air *a, const jw_setup *setup, const jw_air *air, const jw_point *point,
                       const jw_cycle_options *options, jw_error *error)
{
	const jw_carburetor *c = &setup->carburetor;
	a->setup = setup;
	a->air = air;
	a->options = *options;
	a->controls = (jw_controls){point->throttle, point->enrichener};
	a->gas = (jw_gas){air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s};
	a->breather = jw_breather_of(&setup->engine, point->speed_rev_s, air->pressure_pa, air->gas_constant_j_kg_k,
	                             options->relaxation_rad);
	a->full_kg_s = full_flow(&setup->engine, air->density_kg_m3);
	a->period_s = a->breather.cycle_rad / a->breather.turning_rad_s;
	jw_path path = jw_path_of(c, &a->controls, &a->gas, air->pressure_pa, 1.0);
	a->filter_pa = path.filter_pa;
	a->choke_m2 = path.choke_m2;
	a->plate_m2 = jw_carburetor_plate(c, point->throttle);
	a->moves = jw_slide_moves(c);
	if (a->moves)
		a->slide = jw_slide_motion_of(&c->slide, c->throat.bore_m);
	a->leak_m2 = jw_leak_area(setup);
	double bore = 0.25 * JW_PI * jw_square(c->throat.bore_m);
	double stated = setup->engine.breathing.ahead_m;
	a->ahead = (stated > 0.0 ? stated : JW_USUAL_AHEAD * c->throat.bore_m) / bore;
	/* The other half of the inlet's length lies behind its volume, in the runners. */
	a->behind = (c->throat.bore_m + 0.5 * setup->engine.manifold_volume_m3 / bore / setup->engine.cylinders) / bore;
	a->first = jw_breather_unknowns(&a->breather);
	a->unknowns = a->first + JW_AIR_UNKNOWNS;
	jw_breather_scales(&a->breather, a->gas.temperature_k, a->scale);
	a->scale[a->first + JW_AIR_FLOW] = PLATE_SHARE * a->scale[jw_gate_place(&a->breather, 0)];
	a->scale[a->first + JW_AIR_LIFT] = c->throat.bore_m;
	a->scale[a->first + JW_AIR_RISE] = c->throat.bore_m / a->period_s;
	a->scale[a->first + JW_AIR_LEAK] = a->scale[1];
	a->scale[a->first + JW_AIR_DEPRESSION] = a->scale[0] * a->period_s;
	start(a, point);
	return jw_air_settle(a, error);
}

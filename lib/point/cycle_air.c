/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "point/cycle.h"

#include "base/base.h"
#include "point/leak.h"
#include "solve/anderson.h"

#include <string.h>

/* A leak passes in proportion to differences below it: a square root there would make the integration creep. */
#define LEAK_LINEAR_PA 20.0
#define LEAST_LIFT_M 1e-5
#define STEPS_A_CYCLE 72.0 /* at least */
/* Rounding, in distances of nodes. */
#define ON_NODE 1e-9
#define MOST_BACK_PA 100e3
/* Of the relaxation of valves and ports: the volume behind a plate moves more slowly than what they feel. */
#define PLATE_RELAXATION 4.0
/* Of the error that the other flows may have: where a plate is nearly shut a little flow is much of its rate, and the
 * nozzle feels that. */
#define PLATE_SHARE 0.1
/* Steps leave an error of their own, that changes from part to part. */
#define ERRORS_A_CYCLE 2.0
/* Error allowed in a step, of what was off before, within limits. */
#define STEP_SHARE 0.01
#define COARSEST 1e-3
/* Where so many parts bring nothing nearer, the choice of steps swings with the state: finer steps swing less. */
#define NO_NEARER 3
#define NEARER 0.8
#define FINER 0.25
/* A few roundings of a double: by smaller errors steps are not told apart, and at last none can be made. */
#define FINEST 1e-15
/* What does not close of the mass is this much less strict: little may be drawn in of what a chamber holds. */
#define CLOSED 0.4
/* Mixing may ask for less than nothing of a gas: least of what the last part left. */
#define LEAST_KEPT 0.2
/* Airbox, exhaust, and the slide's lift and rise, last in line. */
#define STANDING 4

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
static double reference_pa(const jw_cycle_air *a)
{
	return a->setup->carburetor.slide.reference == JW_VENT_ATMOSPHERE ? a->air->pressure_pa : a->box_pa;
}

static void move_slide(const jw_cycle_air *a, double nozzle_pa, const double *y, double *rate)
{
	double rise = y[a->first + JW_AIR_RISE];
	rate[a->first + JW_AIR_LIFT] = rise;
	rate[a->first + JW_AIR_RISE] =
	    jw_slide_acceleration(&a->slide, reference_pa(a) - nozzle_pa, y[a->first + JW_AIR_LIFT], rise);
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

static jw_status run_part(jw_cycle_air *a, double relative, jw_error *error)
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

/* ---- what stands still over a cycle ---- */

/* Areas and choked flows, where airbox and slide stand; of a slide that moves, where it is on an average. */
static void set_throat(jw_cycle_air *a)
{
	a->throat_m2 = jw_throat_area(&a->setup->carburetor, a->lift_m);
	a->throat_choked_kg_s = jw_gas_choked_flow(a->throat_m2, &a->gas, a->box_pa);
	if (a->choke_m2 > 0.0)
		a->choke_choked_kg_s = jw_gas_choked_flow(a->choke_m2, &a->gas, a->box_pa);
}

/* What the cycle's draught does to a floating slide: its depression goes with the square of the area. */
typedef struct float_balance {
	const jw_cycle_air *a;
	double drop_pa; /* cycle mean, at the lift that stood */
} float_balance;

static double float_excess(double lift_m, void *context)
{
	const float_balance *b = context;
	const jw_cycle_air *a = b->a;
	const jw_carburetor *c = &a->setup->carburetor;
	double held = jw_slide_depression(&c->slide, lift_m) + a->box_pa - reference_pa(a);
	double felt = b->drop_pa * jw_square(a->throat_m2 / jw_throat_area(c, lift_m));
	return (held - felt) / (fabs(held) + felt);
}

/* To where it holds its balance over a cycle. */
static void float_slide(jw_cycle_air *a)
{
	const jw_carburetor *c = &a->setup->carburetor;
	float_balance b = {a, a->y[a->first + JW_AIR_DEPRESSION] / a->breather.part_s};
	jw_guess lift = {0.0, c->throat.bore_m, jw_clamp(a->lift_m, LEAST_LIFT_M, c->throat.bore_m),
	                 0.5 / c->throat.bore_m};
	if (!(b.drop_pa > 0.0) || jw_rising_root(float_excess, &b, &lift, 1e-12, NULL) < 0)
		lift.x = 0.0;
	a->y[a->first + JW_AIR_LIFT] = a->lift_m = lift.x;
}

static void average_slide(jw_cycle_air *a)
{
	a->lift_m = 0.0;
	for (int n = 0; n < JW_CYCLE_NODES; n++)
		a->lift_m += a->node[n].lift_m / JW_CYCLE_NODES;
}

static void place_slide(jw_cycle_air *a)
{
	if (a->moves)
		average_slide(a);
	else if (jw_slide_floats(&a->setup->carburetor))
		float_slide(a);
}

/* Most air that the engine is stated to draw: at it the back pressure of the exhaust is stated. */
static double full_flow(const jw_engine *e, double density)
{
	double most = 0.0;
	for (int i = 0; i < e->ve_points; i++)
		most = fmax(most, jw_air_consumption(jw_displacement(e), e->strokes, e->ve_speed_rev_s[i], e->ve[i], density));
	return most;
}

/* Filter and exhaust lose with the square of the flow. */
static void fill_box(jw_cycle_air *a)
{
	double box = a->air->pressure_pa - a->filter_pa * a->mean_kg_s * fabs(a->mean_kg_s);
	double back = fmin(a->setup->engine.exhaust_back_pa * jw_square(a->mean_kg_s / a->full_kg_s), MOST_BACK_PA);
	a->box_pa = jw_clamp(box, 0.5 * a->air->pressure_pa, a->air->pressure_pa);
	a->breather.exhaust.pa = a->air->pressure_pa + back;
}

/* ---- until it repeats itself ---- */

/* All that one part hands on to the next, in shares of the whole: chambers, flows, and what stands still within a part.
 * \return how many */
static int pack(const jw_cycle_air *a, double *x)
{
	int count = jw_sum_place(&a->breather, (jw_sum)0);
	for (int i = 0; i < count; i++)
		x[i] = a->y[i] / a->scale[i];
	x[count++] = a->y[a->first + JW_AIR_FLOW] / a->scale[a->first + JW_AIR_FLOW];
	x[count++] = a->box_pa / a->air->pressure_pa;
	x[count++] = a->breather.exhaust.pa / a->air->pressure_pa;
	x[count++] = a->y[a->first + JW_AIR_LIFT] / a->scale[a->first + JW_AIR_LIFT];
	x[count++] = a->y[a->first + JW_AIR_RISE] / a->scale[a->first + JW_AIR_RISE];
	return count;
}

static void unpack(jw_cycle_air *a, const double *x)
{
	int count = jw_sum_place(&a->breather, (jw_sum)0);
	for (int i = 0; i < count; i++)
		a->y[i] = x[i] * a->scale[i];
	a->y[a->first + JW_AIR_FLOW] = x[count] * a->scale[a->first + JW_AIR_FLOW];
	a->box_pa = x[count + 1] * a->air->pressure_pa;
	a->breather.exhaust.pa = x[count + 2] * a->air->pressure_pa;
	a->y[a->first + JW_AIR_LIFT] = x[count + 3] * a->scale[a->first + JW_AIR_LIFT];
	a->y[a->first + JW_AIR_RISE] = x[count + 4] * a->scale[a->first + JW_AIR_RISE];
	if (!a->moves)
		a->lift_m = a->y[a->first + JW_AIR_LIFT] = fmax(a->y[a->first + JW_AIR_LIFT], 0.0);
}

static int sound(const jw_cycle_air *a, const double *next, const double *image)
{
	for (int i = 0; i < 3 * a->breather.chambers; i++)
		if (next[i] < LEAST_KEPT * image[i])
			return 0;
	return 1;
}

/* Flows forget within the part: what chambers hold and what stands still tells whether it repeats itself. */
static double off_by(const jw_cycle_air *a, const double *x, const double *image, int count)
{
	double most = CLOSED * fabs(a->mass_error);
	if (a->moves) { /* one that falls slowly has far to go by small steps */
		int lift = count - 2;
		double steps = fmax(a->setup->carburetor.slide.fall_s / a->breather.part_s, 1.0);
		most = fmax(most, steps * fabs(image[lift] - x[lift]));
	}
	for (int i = 0; i < count; i++)
		if (i < 3 * a->breather.chambers || i >= count - STANDING)
			most = fmax(most, fabs(image[i] - x[i]) / (fabs(x[i]) + 1.0));
	return most;
}

static jw_status settle(jw_cycle_air *a, jw_error *error)
{
	jw_anderson mixing = {0};
	double x[JW_ANDERSON_UNKNOWNS], image[JW_ANDERSON_UNKNOWNS], next[JW_ANDERSON_UNKNOWNS];
	double finest = a->options.relative, relative = COARSEST, most = INFINITY, least = INFINITY;
	int parts = 0, in_vain = 0, settled = 0;
	double enough = fmax(a->options.settled, ERRORS_A_CYCLE * a->options.relative);
	for (; parts < a->options.cycles * a->breather.cylinders && !settled; parts++) {
		relative = fmin(relative, jw_clamp(STEP_SHARE * most, finest, COARSEST));
		mixing.unknowns = pack(a, x);
		jw_status status = run_part(a, relative, error);
		if (status < 0)
			return status;
		place_slide(a);
		fill_box(a);
		pack(a, image);
		most = off_by(a, x, image, mixing.unknowns);
		settled = most <= enough && relative <= a->options.relative;
		jw_anderson_next(&mixing, x, image, next);
		if (sound(a, next, image))
			unpack(a, next);
		set_throat(a);
		in_vain = most < NEARER * least ? 0 : in_vain + 1;
		least = fmin(least, most);
		if (in_vain == NO_NEARER) {
			relative = fmax(FINER * relative, FINEST);
			finest = fmin(finest, relative);
			in_vain = 0;
		}
	}
	a->cycles = (parts + a->breather.cylinders - 1) / a->breather.cylinders;
	return settled ? JW_OK : jw_fail(error, JW_E_NO_CONVERGENCE, "cycles", a->cycles, 1, a->options.cycles);
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
	fill_box(a);
	set_throat(a);
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
	return settle(a, error);
}

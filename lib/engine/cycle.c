/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/cycle.h"

#include <stdlib.h>
#include <string.h>

#define GAMMA 1.4
/* Of curtain and seat of a valve, and of a port. */
#define OPENING_COEFFICIENT 0.75
/* Free area of a valve's seat as a share of its head's. */
#define SEAT_SHARE 0.75
/* Heat of petrol per kg of air, and the share of it that is neither lost to the walls nor bound in hot gas. */
#define HEAT_J_KG 2.9e6
#define HEAT_KEPT 0.55
/* Of gas that comes back from the exhaust. */
#define EXHAUST_K 800.0
#define EXHAUST_PORT_M 0.05
/* Of the exhaust's pressure, and of the mass that would fill a chamber at it: less is no gas. */
#define LEAST_SHARE 1e-3

/* Lift over its greatest at a share of the opening: a half sine. */
static double lift_shape(double share)
{
	return fmax(sin(JW_PI * share), 0.0);
}

/* ---- the crank ---- */

/* Of one cylinder at a time: angle since its top centre, way of the piston from there over the stroke, its slope. */
typedef struct crank {
	double angle, way, slope;
} crank;

/* An angle less than two cycles off, brought into the cycle. */
static double within_cycle(const jw_breather *b, double angle)
{
	while (angle < 0.0)
		angle += b->cycle_rad;
	while (angle >= b->cycle_rad)
		angle -= b->cycle_rad;
	return angle;
}

static crank crank_of(const jw_breather *b, int cylinder, double time_s)
{
	double lag = b->cycle_rad * cylinder / b->cylinders;
	double angle = within_cycle(b, b->turning_rad_s * time_s - lag);
	double sine = sin(angle), cosine = cos(angle), rod = b->breathing.rod_ratio;
	double along = sqrt(rod * rod - sine * sine);
	return (crank){angle, 0.5 * (1.0 - cosine + rod - along), 0.5 * sine * (1.0 + cosine / along)};
}

static double way_at(const jw_breather *b, double angle)
{
	double rod = b->breathing.rod_ratio;
	return 0.5 * (1.0 - cos(angle) + rod - sqrt(rod * rod - jw_square(sin(angle))));
}

/* ---- openings ---- */

static const jw_window *window_of(const jw_breathing *b, jw_window_kind kind)
{
	return kind == JW_INLET ? &b->inlet : kind == JW_TRANSFER ? &b->transfer : &b->exhaust;
}

/* Where a window opens within the cycle, and for how long: one row a window and kind of engine. */
static void place_window(jw_breather *b, jw_window_kind kind)
{
	const jw_window *w = window_of(&b->breathing, kind);
	b->edge[kind] = way_at(b, w->opens_rad);
	if (b->engine->strokes == 4) {
		b->start_rad[kind] = (kind == JW_INLET ? 4.0 : 3.0) * JW_PI - w->opens_rad;
		b->open_rad[kind] = w->opens_rad + JW_PI + w->closes_rad;
	} else {
		b->start_rad[kind] = kind == JW_INLET ? 2.0 * JW_PI - w->opens_rad : w->opens_rad;
		b->open_rad[kind] = kind == JW_INLET ? 2.0 * w->opens_rad : 2.0 * (JW_PI - w->opens_rad);
	}
}

static double cam_lift(const jw_breathing *b, double angle)
{
	int i = 1;
	while (i < b->cam_points - 1 && angle > b->cam_rad[i])
		i++;
	double share = (angle - b->cam_rad[i - 1]) / (b->cam_rad[i] - b->cam_rad[i - 1]);
	return b->cam_lift_m[i - 1] + jw_clamp(share, 0.0, 1.0) * (b->cam_lift_m[i] - b->cam_lift_m[i - 1]);
}

/* Curtain and seat in series. */
static double valve_area(const jw_breather *b, jw_window_kind kind, double since_opening)
{
	const jw_window *w = window_of(&b->breathing, kind);
	int measured = kind == JW_INLET && b->breathing.cam_points > 1;
	double lift = measured ? cam_lift(&b->breathing, since_opening - w->opens_rad)
	                       : w->lift_m * lift_shape(since_opening / b->open_rad[kind]);
	double curtain = JW_PI * w->size_m * lift, seat = SEAT_SHARE * 0.25 * JW_PI * jw_square(w->size_m);
	return OPENING_COEFFICIENT * curtain * seat / sqrt(curtain * curtain + seat * seat);
}

static double port_area(const jw_breather *b, jw_window_kind kind, double way)
{
	const jw_window *w = window_of(&b->breathing, kind);
	double past = way - b->edge[kind];
	return OPENING_COEFFICIENT * w->size_m * b->engine->stroke_m * fmax(kind == JW_INLET ? -past : past, 0.0);
}

/* 0 while it is shut. */
static double open_area(const jw_breather *b, jw_window_kind kind, const crank *c)
{
	double since = within_cycle(b, c->angle - b->start_rad[kind]);
	if (since >= b->open_rad[kind])
		return 0.0;
	return b->engine->strokes == 4 ? valve_area(b, kind, since) : port_area(b, kind, c->way);
}

double jw_gate_area(const jw_breather *b, int gate, double time_s)
{
	crank c = crank_of(b, b->gate[gate].cylinder, time_s);
	return open_area(b, b->gate[gate].kind, &c);
}

/* ---- the parts and how they hang together ---- */

static double inertance(double length_m, double bore_m)
{
	return length_m / (0.25 * JW_PI * jw_square(bore_m));
}

static void add_gate(jw_breather *b, jw_window_kind kind, int cylinder, int from, int to)
{
	const jw_breathing *g = &b->breathing;
	double column = kind == JW_INLET ? inertance(g->runner_m, g->runner_bore_m)
	                                 : inertance(EXHAUST_PORT_M, 0.5 * b->engine->bore_m);
	double heating = kind == JW_INLET ? b->engine->manifold_heating_k : 0.0;
	b->gate[b->gates++] = (jw_gate){kind, cylinder, from, to, column, heating};
}

/* Chamber 0 is the inlet; then of each cylinder its crankcase, if it draws through one, and itself. */
static void join(jw_breather *b)
{
	b->chambers = 1 + b->own * b->cylinders;
	for (int i = 0; i < b->cylinders; i++) {
		int burns = jw_cylinder_chamber(b, i), draws = burns - b->own + 1;
		add_gate(b, JW_INLET, i, 0, draws);
		if (draws != burns)
			add_gate(b, JW_TRANSFER, i, draws, burns);
		add_gate(b, JW_EXHAUST, i, burns, JW_OUTSIDE);
	}
}

jw_breather jw_breather_of(const jw_engine *engine, double speed_rev_s, double ambient_pa, double gas_constant_j_kg_k,
                           double relaxation_rad)
{
	jw_breather b = {.engine = engine,
	                 .breathing = jw_breathing_usual(engine),
	                 .gas_constant_j_kg_k = gas_constant_j_kg_k,
	                 .exhaust = {ambient_pa + engine->exhaust_back_pa, gas_constant_j_kg_k * EXHAUST_K},
	                 .turning_rad_s = 2.0 * JW_PI * speed_rev_s,
	                 .cycle_rad = engine->strokes * JW_PI,
	                 .cylinders = engine->cylinders,
	                 .own = engine->strokes == 2 ? 2 : 1};
	b.relaxation_s = relaxation_rad / b.turning_rad_s;
	b.part_rad = b.cycle_rad / b.cylinders;
	b.part_s = b.part_rad / b.turning_rad_s;
	b.swept_m3 = jw_displacement(engine) / engine->cylinders;
	b.clearance_m3 = b.swept_m3 / (engine->compression_ratio - 1.0);
	b.crankcase_m3 = engine->strokes == 2 ? b.swept_m3 / (engine->crankcase_ratio - 1.0) : 0.0;
	for (int kind = 0; kind < JW_WINDOWS; kind++)
		place_window(&b, (jw_window_kind)kind);
	join(&b);
	return b;
}

/* ---- volumes ---- */

typedef struct volume {
	double m3, m3_s;
} volume;

static int is_crankcase(const jw_breather *b, int chamber)
{
	return chamber % b->own > 0;
}

/* The inlet's volume, which none moves, goes with the first. */
static int cylinder_of(const jw_breather *b, int chamber)
{
	return chamber > 0 ? (chamber - 1) / b->own : 0;
}

static volume volume_of(const jw_breather *b, int chamber, const crank *c)
{
	if (chamber == 0)
		return (volume){b->engine->manifold_volume_m3, 0.0};
	double swept = b->swept_m3, rate = swept * c->slope * b->turning_rad_s;
	if (is_crankcase(b, chamber))
		return (volume){b->crankcase_m3 + swept * (1.0 - c->way), -rate};
	return (volume){b->clearance_m3 + swept * c->way, rate};
}

double jw_chamber_volume(const jw_breather *b, int chamber, double time_s)
{
	crank c = crank_of(b, cylinder_of(b, chamber), time_s);
	return volume_of(b, chamber, &c).m3;
}

/* ---- the state ---- */

void jw_breather_start(const jw_breather *b, double inlet_pa, double inlet_k, double *y)
{
	memset(y, 0, sizeof *y * (size_t)jw_breather_unknowns(b));
	for (int i = 0; i < b->chambers; i++) {
		int burns = i > 0 && !is_crankcase(b, i), closed = burns && b->engine->strokes == 2;
		double temperature = burns ? EXHAUST_K : inlet_k, pressure = burns ? b->exhaust.pa : inlet_pa;
		double room = jw_chamber_volume(b, i, 0.0);
		/* What a two-stroke compresses: a port's opening mirrors its closing. */
		double filled =
		    closed ? jw_chamber_volume(
		                 b, i, b->breathing.exhaust.opens_rad / b->turning_rad_s + cylinder_of(b, i) * b->part_s)
		           : room;
		y[3 * i] = pressure * pow(filled / room, GAMMA);
		y[3 * i + 1] = pressure * filled / (b->gas_constant_j_kg_k * temperature);
		y[3 * i + 2] = burns ? y[3 * i + 1] : 0.0;
	}
}

void jw_breather_scales(const jw_breather *b, double inlet_k, double *scale)
{
	double mass = b->exhaust.pa * b->swept_m3 / (b->gas_constant_j_kg_k * inlet_k);
	double flow = mass * b->turning_rad_s / b->cycle_rad;
	for (int i = 0; i < b->chambers; i++) {
		scale[3 * i] = b->exhaust.pa;
		scale[3 * i + 1] = scale[3 * i + 2] = mass;
	}
	for (int i = 0; i < b->gates; i++)
		scale[jw_gate_place(b, i)] = flow;
	scale[jw_sum_place(b, JW_SUM_IN)] = scale[jw_sum_place(b, JW_SUM_OUT)] = mass;
	scale[jw_sum_place(b, JW_SUM_ENERGY)] = b->exhaust.pa * b->swept_m3;
}

/* A trial step that is far too long may empty a chamber: its rates stay finite, and the step is taken back. */
static jw_column_end end_of(const jw_breather *b, double volume_m3, const double *gas)
{
	double pressure = fmax(gas[0], LEAST_SHARE * b->exhaust.pa);
	double mass = fmax(gas[1], LEAST_SHARE * b->exhaust.pa * volume_m3 / b->exhaust.rt_j_kg);
	return (jw_column_end){pressure, pressure * volume_m3 / mass};
}

jw_column_end jw_breather_inlet(const jw_breather *b, const double *y)
{
	return end_of(b, b->engine->manifold_volume_m3, y);
}

static double burnt_share(const double *gas)
{
	return gas[1] > 0.0 ? jw_clamp(gas[2] / gas[1], 0.0, 1.0) : 0.0;
}

/* What one flow carries. */
typedef struct cargo {
	double kg_s, burnt_kg_s, watts; /* watts: enthalpy over gamma/(gamma - 1) */
} cargo;

static cargo carried(double kg_s, double rt_j_kg, double burnt_share)
{
	return (cargo){kg_s, kg_s * burnt_share, kg_s * rt_j_kg};
}

static void add(double *rate, int chamber, double sign, cargo flow)
{
	if (chamber == JW_OUTSIDE)
		return;
	rate[3 * chamber] += sign * flow.watts;
	rate[3 * chamber + 1] += sign * flow.kg_s;
	rate[3 * chamber + 2] += sign * flow.burnt_kg_s;
}

/* Flow of a gate on its way: what leaves one chamber and, warmed, enters the other. */
static void pass_gate(const jw_breather *b, int i, const crank *c, const jw_column_end *end, const double *y,
                      double *rate)
{
	const jw_gate *g = &b->gate[i];
	int place = jw_gate_place(b, i);
	double area = open_area(b, g->kind, &c[g->cylinder]), flow = y[place];
	if (!(area > 0.0))
		return;
	jw_column_end from = end[g->from], to = g->to == JW_OUTSIDE ? b->exhaust : end[g->to];
	rate[place] = jw_column_rate(g->inertance, area, from, to, flow, b->relaxation_s);
	int upstream = flow >= 0.0 ? g->from : g->to;
	double burnt = upstream == JW_OUTSIDE ? 1.0 : burnt_share(&y[3 * upstream]);
	double rt = flow >= 0.0 ? from.rt_j_kg : to.rt_j_kg;
	double warmed = rt + (flow >= 0.0 ? b->gas_constant_j_kg_k * g->heating_k : 0.0);
	add(rate, g->from, -1.0, carried(flow, rt, burnt));
	add(rate, g->to, 1.0, carried(flow, warmed, burnt));
	rate[jw_sum_place(b, JW_SUM_ENERGY)] += GAMMA / (GAMMA - 1.0) * flow * (warmed - rt);
	if (g->to == JW_OUTSIDE) {
		rate[jw_sum_place(b, JW_SUM_OUT)] += flow;
		rate[jw_sum_place(b, JW_SUM_ENERGY)] -= GAMMA / (GAMMA - 1.0) * flow * rt;
	}
}

void jw_breather_rates(const jw_breather *b, double time_s, const double *y, double inflow_kg_s, double inflow_rt_j_kg,
                       double *rate)
{
	crank c[JW_BREATHING_CYLINDERS];
	volume v[JW_CHAMBERS];
	jw_column_end end[JW_CHAMBERS];
	memset(rate, 0, sizeof *rate * (size_t)jw_breather_unknowns(b));
	for (int i = 0; i < b->cylinders; i++)
		c[i] = crank_of(b, i, time_s);
	for (int i = 0; i < b->chambers; i++) {
		v[i] = volume_of(b, i, &c[cylinder_of(b, i)]);
		end[i] = end_of(b, v[i].m3, &y[3 * i]);
	}
	double rt = inflow_kg_s >= 0.0 ? inflow_rt_j_kg : end[0].rt_j_kg;
	add(rate, 0, 1.0, carried(inflow_kg_s, rt, inflow_kg_s >= 0.0 ? 0.0 : burnt_share(y)));
	rate[jw_sum_place(b, JW_SUM_IN)] = inflow_kg_s;
	rate[jw_sum_place(b, JW_SUM_ENERGY)] = GAMMA / (GAMMA - 1.0) * inflow_kg_s * rt;
	for (int i = 0; i < b->gates; i++)
		pass_gate(b, i, c, end, y, rate);
	for (int i = 0; i < b->chambers; i++) {
		double work = y[3 * i] * v[i].m3_s;
		rate[3 * i] = GAMMA * (rate[3 * i] - work) / v[i].m3;
		rate[jw_sum_place(b, JW_SUM_ENERGY)] -= work;
	}
}

/* ---- stops ---- */

static int by_time(const void *a, const void *b)
{
	const jw_stop *first = a, *second = b;
	int later = (first->time_s > second->time_s) - (first->time_s < second->time_s);
	return later ? later : (int)first->kind - (int)second->kind;
}

/* What comes to the first cylinder at an angle comes to one of them within the first part. \return which */
static int within_part(const jw_breather *b, double angle, double *time_s)
{
	double turned = fmod(angle, b->cycle_rad) / b->part_rad;
	int before = (int)ceil(turned) - 1; /* parts; what lies between two belongs to the earlier */
	*time_s = fmin((turned - before) * b->part_s, b->part_s);
	return (b->cylinders - before) % b->cylinders;
}

int jw_breather_stops(const jw_breather *b, jw_stop *stop)
{
	int count = 0, gates = b->gates / b->cylinders;
	double time_s;
	for (int i = 0; i < gates; i++) {
		jw_window_kind kind = b->gate[i].kind;
		double opens = b->start_rad[kind], closes = opens + b->open_rad[kind];
		int cylinder = within_part(b, opens, &time_s);
		stop[count++] = (jw_stop){time_s, JW_STOP_OPENS, gates * cylinder + i};
		cylinder = within_part(b, closes, &time_s);
		stop[count++] = (jw_stop){time_s, JW_STOP_CLOSES, gates * cylinder + i};
	}
	/* Top centre after compression: half way through the cycle of a four-stroke. */
	int fires = within_part(b, b->engine->strokes == 4 ? 2.0 * JW_PI : b->cycle_rad, &time_s);
	stop[count++] = (jw_stop){time_s, JW_STOP_FIRES, fires};
	qsort(stop, (size_t)count, sizeof *stop, by_time);
	return count;
}

/* The first block of so many goes behind the others. */
static void turn_blocks(double *y, int size, int blocks)
{
	double first[3 * JW_CHAMBERS];
	size_t bytes = sizeof *y * (size_t)size;
	memcpy(first, y, bytes);
	memmove(y, y + size, bytes * (size_t)(blocks - 1));
	memcpy(y + size * (blocks - 1), first, bytes);
}

void jw_breather_turn(const jw_breather *b, double *y)
{
	turn_blocks(y + 3, 3 * b->own, b->cylinders);
	turn_blocks(y + jw_gate_place(b, 0), b->gates / b->cylinders, b->cylinders);
}

/* All at once: what follows is over before the exhaust opens. */
static double fire(const jw_breather *b, int cylinder, double *y)
{
	double *gas = &y[3 * jw_cylinder_chamber(b, cylinder)];
	double heat = HEAT_J_KG * HEAT_KEPT * (gas[1] - gas[2]);
	gas[0] += (GAMMA - 1.0) * heat / b->clearance_m3;
	gas[2] = gas[1];
	y[jw_sum_place(b, JW_SUM_ENERGY)] += heat;
	return heat;
}

double jw_breather_stop(const jw_breather *b, const jw_stop *stop, double *y)
{
	if (stop->kind == JW_STOP_CLOSES)
		y[jw_gate_place(b, stop->index)] = 0.0;
	return stop->kind == JW_STOP_FIRES ? fire(b, stop->index, y) : 0.0;
}

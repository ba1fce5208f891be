/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Crank, vessels and columns against closed forms. */
#include "engine/cycle.h"
#include "near.h"
#include "solve/ode.h"

#define GAMMA 1.4
#define RT (287.0 * 293.15)
#define AMBIENT 101325.0

static jw_engine single(int strokes)
{
	return (jw_engine){.strokes = strokes,
	                   .cylinders = 1,
	                   .bore_m = 57.4e-3,
	                   .stroke_m = 57.8e-3,
	                   .compression_ratio = 9.7,
	                   .crankcase_ratio = strokes == 2 ? 1.45 : 0,
	                   .intake_duration_rad = 4.1,
	                   .manifold_volume_m3 = 90e-6,
	                   .manifold_heating_k = 21,
	                   .exhaust_back_pa = 2e3};
}

/* Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.6: V/Vc = 1 + (rc - 1)/2 [R + 1 - cos - sqrt(R2 -
 * sin2)]. */
Test(cycle, slider_crank)
{
	const jw_engine engine = single(4);
	const jw_breather b = jw_breather_of(&engine, 100, AMBIENT, 287, 0.004);
	const double rod = b.breathing.rod_ratio, swept = jw_displacement(&engine);
	for (int degree = 0; degree < 720; degree += 7) {
		const double angle = degree * JW_PI / 180, time = angle / b.turning_rad_s;
		const double over_clearance = 1 + 0.5 * (engine.compression_ratio - 1) *
		                                      (rod + 1 - cos(angle) - sqrt(rod * rod - sin(angle) * sin(angle)));
		JW_NEAR_REL(jw_chamber_volume(&b, 1, time), over_clearance * swept / (engine.compression_ratio - 1), 1e-12);
	}
}

/* What the crankcase of a two-stroke loses the cylinder above it wins. */
Test(cycle, crankcase_mirrors_the_cylinder)
{
	const jw_engine engine = single(2);
	const jw_breather b = jw_breather_of(&engine, 100, AMBIENT, 287, 0.004);
	const double half_turn = JW_PI / b.turning_rad_s, whole = jw_chamber_volume(&b, 1, 0) + jw_chamber_volume(&b, 2, 0);
	JW_NEAR_REL(jw_chamber_volume(&b, 1, 0) / jw_chamber_volume(&b, 1, half_turn), engine.crankcase_ratio, 1e-12);
	for (int i = 1; i < 20; i++)
		JW_NEAR_REL(jw_chamber_volume(&b, 1, i * 0.1 * half_turn) + jw_chamber_volume(&b, 2, i * 0.1 * half_turn),
		            whole, 1e-12);
}

/* Each gate opens and shuts where its stops say, each of one cylinder's within one part of the cycle. */
Test(cycle, stops_are_where_gates_open_and_shut)
{
	static jw_stop stop[JW_BREATHER_STOPS];
	for (int strokes = 2; strokes <= 4; strokes += 2)
		for (int cylinders = 1; cylinders <= JW_BREATHING_CYLINDERS; cylinders++) {
			jw_engine engine = single(strokes);
			engine.cylinders = cylinders;
			const jw_breather b = jw_breather_of(&engine, 100, AMBIENT, 287, 0.004);
			const int stops = jw_breather_stops(&b, stop);
			cr_assert_eq(stops, 2 * b.gates / cylinders + 1);
			for (int i = 0; i < stops; i++) {
				const double before = stop[i].time_s - 1e-6, after = stop[i].time_s + 1e-6;
				cr_expect(stop[i].time_s > 0 && stop[i].time_s <= b.part_s);
				cr_expect(i == 0 || stop[i].time_s >= stop[i - 1].time_s);
				if (stop[i].kind == JW_STOP_FIRES)
					continue;
				const double shut = jw_gate_area(&b, stop[i].index, stop[i].kind == JW_STOP_OPENS ? before : after);
				const double open = jw_gate_area(&b, stop[i].index, stop[i].kind == JW_STOP_OPENS ? after : before);
				cr_expect(shut == 0 && open > 0, "%d-stroke of %d, stop %d: %g %g", strokes, cylinders, i, shut, open);
			}
		}
}

/* Where one part ends everything stands as the next begins with, one cylinder on. */
Test(cycle, parts_follow_one_another)
{
	for (int strokes = 2; strokes <= 4; strokes += 2) {
		jw_engine engine = single(strokes);
		engine.cylinders = 5;
		const jw_breather b = jw_breather_of(&engine, 100, AMBIENT, 287, 0.004);
		double y[JW_ODE_UNKNOWNS];
		for (int i = 0; i < jw_breather_unknowns(&b); i++)
			y[i] = i;
		jw_breather_turn(&b, y);
		const int chambers = (b.chambers - 1) / 5, gates = b.gates / 5;
		for (int i = 0; i < b.gates; i++)
			JW_NEAR_ABS(jw_gate_area(&b, i, 0.2 * b.part_s), jw_gate_area(&b, (i + gates) % b.gates, 1.2 * b.part_s),
			            1e-12);
		for (int i = 1; i < b.chambers; i++) {
			const int was = (i - 1 + chambers) % (b.chambers - 1) + 1;
			JW_NEAR_REL(jw_chamber_volume(&b, i, 0), jw_chamber_volume(&b, was, b.part_s), 1e-9);
			for (int k = 0; k < 3; k++)
				cr_expect_eq(y[3 * i + k], 3.0 * was + k);
		}
		for (int i = 0; i < b.gates; i++)
			cr_expect_eq(y[jw_gate_place(&b, i)], jw_gate_place(&b, (i + gates) % b.gates));
		for (int k = 0; k < 3; k++)
			cr_expect_eq(y[k], k);
	}
}

/* The nozzle solved for the pressure ahead gives back the flow, choked or not. */
Test(cycle, pressure_ahead_inverts_the_nozzle)
{
	for (double ratio = 0.02; ratio < 0.9999; ratio += 0.0137) {
		const double q = pow(fmax(ratio, pow(5.0 / 6, 3.5)), 2.0 / 7);
		const double flow = 1e-4 * AMBIENT / sqrt(RT) * sqrt(7 * pow(q, 5) * (1 - q));
		JW_NEAR_REL(jw_pressure_ahead(1e-4, RT, ratio * AMBIENT, flow), AMBIENT, 1e-9);
	}
}

/* ---- a vessel behind a short column ---- */

/* Flow lags by about as much. */
#define RELAXATION_S 2e-5

typedef struct vessel {
	double volume_m3, area_m2, inertance;
	jw_column_end outside;
	int empties;
} vessel;

/* Pressure, mass, flow from the vessel (or into it). */
static void vessel_rates(double t, const double *y, double *rate, void *context)
{
	const vessel *v = context;
	const jw_column_end inside = {y[0], y[0] * v->volume_m3 / y[1]};
	(void)t;
	rate[2] = jw_column_rate(v->inertance, v->area_m2, v->empties ? inside : v->outside,
	                         v->empties ? v->outside : inside, y[2], RELAXATION_S);
	const double in = v->empties ? -y[2] : y[2];
	rate[0] = GAMMA * in * (in > 0 ? v->outside.rt_j_kg : inside.rt_j_kg) / v->volume_m3;
	rate[1] = in;
}

static void run_vessel(vessel *v, double seconds, double *y)
{
	const double absolute[] = {1e-2, 1e-10, 1e-8};
	const jw_ode ode = {
	    .rates = vessel_rates, .context = v, .unknowns = 3, .relative = 1e-8, .absolute = absolute, .longest = seconds};
	double t = 0;
	int stopped;
	cr_assert_eq(jw_ode_run(&ode, &t, seconds, y, &stopped, NULL), JW_OK);
}

/* Choked, adiabatic: p/p0 = [1 + (g - 1)/2 t/tau]^(-2g/(g - 1)), tau = V/(psi A sqrt(R T0)); Shapiro, The Dynamics and
 * Thermodynamics of Compressible Fluid Flow, 1953, ch. 4 (from memory; it follows from mass and energy in two lines).
 */
Test(cycle, vessel_empties_as_the_closed_form)
{
	vessel v = {1e-3, 1e-5, 1.0, {1e3, RT}, 1};
	const double start = 8e5, psi = sqrt(GAMMA) * pow(2 / (GAMMA + 1), (GAMMA + 1) / (2 * (GAMMA - 1)));
	const double tau = v.volume_m3 / (psi * v.area_m2 * sqrt(RT));
	for (double times = 0.5; times < 3; times += 0.5) {
		double y[] = {start, start * v.volume_m3 / RT, psi * v.area_m2 * start / sqrt(RT)};
		const double expected = start * pow(1 + 0.5 * (GAMMA - 1) * times, -2 * GAMMA / (GAMMA - 1));
		run_vessel(&v, times * tau, y);
		JW_NEAR_REL(y[0], expected, 2 * GAMMA * RELAXATION_S / tau);
		/* what is left expanded without heat */
		JW_NEAR_REL(y[0] / start, pow(y[1] * RT / (start * v.volume_m3), GAMMA), 1e-7);
	}
}

/* Choked, from a great space: pressure rises in a straight line, and what flows in warms up by gamma. */
Test(cycle, vessel_fills_as_the_closed_form)
{
	vessel v = {1e-3, 1e-5, 1.0, {AMBIENT, RT}, 0};
	const double psi = sqrt(GAMMA) * pow(2 / (GAMMA + 1), (GAMMA + 1) / (2 * (GAMMA - 1)));
	const double flow = psi * v.area_m2 * AMBIENT / sqrt(RT), low = 100, seconds = 0.02;
	double y[] = {low, low * v.volume_m3 / RT, flow};
	run_vessel(&v, seconds, y);
	cr_assert(y[0] < 0.52 * AMBIENT);
	JW_NEAR_REL(y[0], low + GAMMA * RT * flow * seconds / v.volume_m3, 1e-6);
	JW_NEAR_REL(y[1] - low * v.volume_m3 / RT, flow * seconds, 1e-6);
}

typedef struct start_up {
	double inertance, area_m2;
	jw_column_end from, to;
} start_up;

static void start_up_rates(double t, const double *y, double *rate, void *context)
{
	const start_up *s = context;
	(void)t;
	rate[0] = jw_column_rate(s->inertance, s->area_m2, s->from, s->to, y[0], 1e-9);
}

/* A column set in motion by a small steady difference: w = w_end tanh(t dp/(I w_end)), either way. */
Test(cycle, column_starts_as_the_hyperbolic_tangent)
{
	for (int sign = -1; sign <= 1; sign += 2) {
		start_up s = {300, 2e-4, {AMBIENT + 5 * sign, RT}, {AMBIENT - 5 * sign, RT}};
		const double end = s.area_m2 * sqrt(2 * AMBIENT / RT * 10), time = s.inertance * end / 10, absolute[] = {1e-12};
		const jw_ode ode = {.rates = start_up_rates,
		                    .context = &s,
		                    .unknowns = 1,
		                    .relative = 1e-10,
		                    .absolute = absolute,
		                    .longest = time};
		double y[] = {0}, t = 0;
		int stopped;
		for (int i = 1; i < 5; i++) {
			cr_assert_eq(jw_ode_run(&ode, &t, 0.5 * i * time, y, &stopped, NULL), JW_OK);
			/* 10 Pa of 101325: what compressibility leaves */
			JW_NEAR_REL(y[0], sign * end * tanh(0.5 * i), 2e-4);
		}
	}
}

/* A shut gate is at rest, and without flow or movement nothing changes. */
Test(cycle, a_shut_engine_only_compresses)
{
	const jw_engine engine = single(4);
	const jw_breather b = jw_breather_of(&engine, 100, AMBIENT, 287, 0.004);
	double y[JW_ODE_UNKNOWNS], rate[JW_ODE_UNKNOWNS];
	const double time = 1.7 * JW_PI / b.turning_rad_s, step = 1e-7;
	jw_breather_start(&b, AMBIENT, 293.15, y);
	jw_breather_rates(&b, time, y, 0, RT, rate);
	cr_expect_eq(rate[0], 0.0);
	cr_expect_eq(rate[jw_gate_place(&b, 0)], 0.0);
	cr_expect_eq(rate[jw_gate_place(&b, 1)], 0.0);
	/* p V^gamma stays */
	const double before = jw_chamber_volume(&b, 1, time - step), after = jw_chamber_volume(&b, 1, time + step);
	JW_NEAR_REL(rate[3], -GAMMA * y[3] * (after - before) / (2 * step) / jw_chamber_volume(&b, 1, time), 1e-6);
}

/* ---- what each chamber holds, against what passed its gates ---- */

#define INFLOW_KG_S 2e-3
enum { BALANCED = 3, PASSED = 1 + 2 * BALANCED }; /* cylinders, and the most chambers of so many */

/* Beside the unknowns of the engine, kept by the test: mass and energy that came into each chamber. */
typedef struct ledger {
	jw_breather breather;
	jw_stop stop[JW_BREATHER_STOPS];
	double fired_j[PASSED];
} ledger;

static int crankcase_of(const ledger *l, int cylinder)
{
	return l->breather.engine->strokes == 2 ? 1 + 2 * cylinder : 0;
}

static int burning_of(const ledger *l, int cylinder)
{
	return l->breather.engine->strokes == 2 ? 2 + 2 * cylinder : 1 + cylinder;
}

static double rt_in(const ledger *l, int chamber, double t, const double *y)
{
	return y[3 * chamber] * jw_chamber_volume(&l->breather, chamber, t) / y[3 * chamber + 1];
}

/* From one chamber to the next, the other way below 0. */
static void pass(double *came, int from, int to, double kg_s, double leaves_rt, double enters_rt)
{
	if (from >= 0) {
		came[2 * from] -= kg_s;
		came[2 * from + 1] -= GAMMA / (GAMMA - 1) * kg_s * leaves_rt;
	}
	if (to >= 0) {
		came[2 * to] += kg_s;
		came[2 * to + 1] += GAMMA / (GAMMA - 1) * kg_s * enters_rt;
	}
}

static void ledger_rates(double t, const double *y, double *rate, void *context)
{
	const ledger *l = context;
	const jw_breather *b = &l->breather;
	const int own = jw_breather_unknowns(b);
	double *came = &rate[own];
	jw_breather_rates(b, t, y, INFLOW_KG_S, RT, rate);
	for (int i = 0; i < 2 * b->chambers; i++)
		came[i] = 0;
	pass(came, -1, 0, INFLOW_KG_S, RT, RT);
	for (int i = 0; i < b->gates; i++) {
		const int cylinder = b->gate[i].cylinder, draws = crankcase_of(l, cylinder), burns = burning_of(l, cylinder);
		const double flow = y[jw_gate_place(b, i)];
		if (b->gate[i].kind == JW_INLET) {
			const int to = draws ? draws : burns;
			const double warmed = flow > 0 ? 287 * b->engine->manifold_heating_k : 0;
			const double rt = rt_in(l, flow > 0 ? 0 : to, t, y);
			pass(came, 0, to, flow, rt, rt + warmed);
		} else if (b->gate[i].kind == JW_TRANSFER) {
			const double rt = rt_in(l, flow > 0 ? draws : burns, t, y);
			pass(came, draws, burns, flow, rt, rt);
		} else {
			const double rt = flow > 0 ? rt_in(l, burns, t, y) : b->exhaust.rt_j_kg;
			pass(came, burns, -1, flow, rt, rt);
		}
	}
	for (int i = 0; i < b->chambers; i++) {
		const double step = 1e-7;
		const double after = jw_chamber_volume(b, i, t + step), before = jw_chamber_volume(b, i, t - step);
		came[2 * i + 1] -= y[3 * i] * (after - before) / (2 * step);
	}
}

static void ledger_stop(int stop, double t, double *y, void *context)
{
	ledger *l = context;
	const double heat = jw_breather_stop(&l->breather, &l->stop[stop], y);
	(void)t;
	if (l->stop[stop].kind == JW_STOP_FIRES)
		l->fired_j[burning_of(l, l->stop[stop].index)] += heat;
}

static double energy_in(const ledger *l, int chamber, double t, const double *y)
{
	return y[3 * chamber] * jw_chamber_volume(&l->breather, chamber, t) / (GAMMA - 1);
}

/* Inlet, crankcases and cylinders, of an engine that starts up: whatever a chamber gains came through its own gates,
 * less the work it did, with the heat set free in it. */
Test(cycle, mass_and_energy_of_each_chamber_close)
{
	for (int strokes = 2; strokes <= 4; strokes += 2) {
		jw_engine engine = single(strokes);
		engine.cylinders = BALANCED;
		ledger l = {.breather = jw_breather_of(&engine, 100, AMBIENT, 287, 0.004)};
		const jw_breather *b = &l.breather;
		const int own = jw_breather_unknowns(b), stops = jw_breather_stops(b, l.stop);
		double y[JW_ODE_UNKNOWNS] = {0}, first[JW_ODE_UNKNOWNS], absolute[JW_ODE_UNKNOWNS], stop_s[JW_BREATHER_STOPS];
		jw_breather_scales(b, 293.15, absolute);
		for (int i = 0; i < own + 2 * b->chambers; i++)
			absolute[i] = 1e-9 * (i < own ? absolute[i] : absolute[(i - own) % 2 ? jw_sum_place(b, JW_SUM_ENERGY) : 1]);
		for (int i = 0; i < stops; i++)
			stop_s[i] = l.stop[i].time_s;
		jw_breather_start(b, AMBIENT, 293.15, y);
		for (int i = 0; i < own; i++)
			first[i] = y[i];
		const jw_ode ode = {.rates = ledger_rates,
		                    .context = &l,
		                    .unknowns = own + 2 * b->chambers,
		                    .relative = 1e-9,
		                    .absolute = absolute,
		                    .longest = b->part_s / 50,
		                    .stops = stop_s,
		                    .stop_count = stops,
		                    .at_stop = ledger_stop};
		double t = 0;
		int stopped;
		cr_assert_eq(jw_ode_run(&ode, &t, b->part_s, y, &stopped, NULL), JW_OK);
		const double mass = AMBIENT * b->swept_m3 / RT, energy = AMBIENT * b->swept_m3;
		double moved = 0;
		for (int i = 0; i < b->chambers; i++) {
			const double gained_kg = y[3 * i + 1] - first[3 * i + 1];
			const double gained_j = energy_in(&l, i, b->part_s, y) - energy_in(&l, i, 0, first);
			JW_NEAR_ABS(gained_kg / mass, y[own + 2 * i] / mass, 1e-7);
			JW_NEAR_ABS(gained_j / energy, (y[own + 2 * i + 1] + l.fired_j[i]) / energy, 1e-6);
			moved += fabs(gained_kg) / mass;
		}
		cr_expect(moved > 0.1, "%d-stroke: only %g moved", strokes, moved);
	}
}

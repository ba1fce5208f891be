/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs the gas until one part of the cycle leads to the next as to itself, with what stands still within a part:
 * airbox, exhaust, and a slide that is not followed. */
#include "point/cycle.h"

#include "base/base.h"
#include "solve/anderson.h"

#define LEAST_LIFT_M 1e-5
#define MOST_BACK_PA 100e3
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

/* ---- what stands still over a cycle ---- */

/* Areas and choked flows, where airbox and slide stand; of a slide that moves, where it is on an average. */
void jw_air_set_throat(jw_cycle_air *a)
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
	double held = jw_slide_depression(&c->slide, lift_m) + a->box_pa - jw_air_reference(a);
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

/* Filter and exhaust lose with the square of the flow. */
void jw_air_fill_box(jw_cycle_air *a)
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

jw_status jw_air_settle(jw_cycle_air *a, jw_error *error)
{
	jw_anderson mixing = {0};
	double x[JW_ANDERSON_UNKNOWNS], image[JW_ANDERSON_UNKNOWNS], next[JW_ANDERSON_UNKNOWNS];
	double finest = a->options.relative, relative = COARSEST, most = INFINITY, least = INFINITY;
	int parts = 0, in_vain = 0, settled = 0;
	double enough = fmax(a->options.settled, ERRORS_A_CYCLE * a->options.relative);
	for (; parts < a->options.cycles * a->breather.cylinders && !settled; parts++) {
		relative = fmin(relative, jw_clamp(STEP_SHARE * most, finest, COARSEST));
		mixing.unknowns = pack(a, x);
		jw_status status = jw_air_part(a, relative, error);
		if (status < 0)
			return status;
		place_slide(a);
		jw_air_fill_box(a);
		pack(a, image);
		most = off_by(a, x, image, mixing.unknowns);
		settled = most <= enough && relative <= a->options.relative;
		jw_anderson_next(&mixing, x, image, next);
		if (sound(a, next, image))
			unpack(a, next);
		jw_air_set_throat(a);
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

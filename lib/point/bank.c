/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/bank.h>

#include "base/base.h"
#include "solve/root.h"

#define OFFSET_TOLERANCE 1e-10

/* The throttle, as a share of its travel, at which plate or slide is shut: 0 or below. */
static double shut_throttle(const jw_carburetor *c)
{
	if (c->kind == JW_PISTON_SLIDE)
		return c->slide.full_lift_m > c->slide.idle_lift_m
		           ? -c->slide.idle_lift_m / (c->slide.full_lift_m - c->slide.idle_lift_m)
		           : 0.0;
	return (c->plate.closed_rad - c->plate.idle_rad) / (0.5 * JW_PI - c->plate.idle_rad);
}

static double throttle_of(const jw_setup *setup, double linkage, double offset)
{
	return jw_clamp(linkage + offset, shut_throttle(&setup->carburetor), 1.0);
}

/* A throttle below 0 is an idle stop that was set back. */
static void set_back(jw_carburetor *c, double throttle)
{
	c->plate.idle_rad += throttle * (0.5 * JW_PI - c->plate.idle_rad);
	c->slide.idle_lift_m += throttle * (c->slide.full_lift_m - c->slide.idle_lift_m);
}

static jw_status mixture_open(const jw_setup *setup, const jw_air *air, const jw_point *linkage, double throttle,
                              jw_mixture *mixture, jw_error *error)
{
	jw_point point = *linkage;
	point.throttle = fmax(throttle, 0.0);
	if (throttle >= 0.0)
		return jw_mixture_at(setup, air, &point, mixture, error);
	jw_setup shutter = *setup;
	set_back(&shutter.carburetor, throttle);
	return jw_mixture_at(&shutter, air, &point, mixture, error);
}

static jw_status check_bank(const jw_bank *bank, const jw_point *linkage, jw_error *error)
{
	jw_status status = jw_check_range("count", bank->count, 1, JW_BANK, error);
	if (status == JW_OK)
		status = jw_check_range("throttle", linkage->throttle, 0.0, 1.0, error);
	for (int i = 0; i < bank->count && status == JW_OK; i++)
		if (!bank->setup[i])
			return jw_fail(error, JW_E_ARGUMENT, "setup", i, 0, bank->count - 1);
	for (int i = 0; i < bank->count && status == JW_OK; i++) {
		const int strokes = bank->setup[0]->engine.strokes;
		status = jw_check_range("offset", bank->offset[i], -JW_BANK_OFFSET, JW_BANK_OFFSET, error);
		if (status == JW_OK)
			status = jw_check_range("engine.strokes", bank->setup[i]->engine.strokes, strokes, strokes, error);
	}
	return status;
}

static void compare(const jw_bank *bank, jw_bank_state *state)
{
	double low = INFINITY, high = 0.0, least = INFINITY, most = 0.0, air = 0.0, pressure = 0.0;
	for (int i = 0; i < bank->count; i++) {
		const jw_mixture *m = &state->mixture[i];
		low = fmin(low, m->manifold_pa);
		high = fmax(high, m->manifold_pa);
		least = fmin(least, m->air_kg_s);
		most = fmax(most, m->air_kg_s);
		pressure += m->manifold_pa;
		air += m->air_kg_s;
	}
	for (int i = 0; i < bank->count; i++)
		state->air_share[i] = air > 0.0 ? state->mixture[i].air_kg_s / air : 0.0;
	state->manifold_pa = pressure / bank->count;
	state->spread_pa = high - low;
	state->air_ratio = most > 0.0 ? least / most : 0.0;
}

jw_status jw_bank_at(const jw_bank *bank, const jw_air *air, const jw_point *point, jw_bank_state *state,
                     jw_error *error)
{
	jw_bank_state solved = {0};
	jw_status all = check_bank(bank, point, error);
	for (int i = 0; i < bank->count && all >= 0; i++) {
		solved.throttle[i] = throttle_of(bank->setup[i], point->throttle, bank->offset[i]);
		jw_status status = mixture_open(bank->setup[i], air, point, solved.throttle[i], &solved.mixture[i], error);
		all = jw_both(all, status);
	}
	if (all < 0)
		return all;
	compare(bank, &solved);
	*state = solved;
	return all;
}

/* One adjuster turned while a gauge is watched. */
typedef struct adjuster {
	const jw_setup *setup;
	const jw_air *air;
	const jw_point *linkage;
	double wanted_pa;
	jw_status status;
	jw_error error;
} adjuster;

static double misread(double offset, void *context)
{
	adjuster *a = context;
	jw_mixture mixture;
	if (a->status < 0)
		return 0.0;
	double throttle = throttle_of(a->setup, a->linkage->throttle, offset);
	jw_status status = mixture_open(a->setup, a->air, a->linkage, throttle, &mixture, &a->error);
	a->status = status < 0 ? status : a->status | status;
	return status < 0 ? 0.0 : mixture.manifold_pa - a->wanted_pa;
}

jw_status jw_bank_balance(const jw_bank *bank, const jw_air *air, const jw_point *point, int reference, int moved,
                          double *offset, jw_error *error)
{
	jw_status status = check_bank(bank, point, error);
	if (status == JW_OK)
		status = jw_check_range("reference", reference, 0, bank->count - 1, error);
	if (status == JW_OK)
		status = jw_check_range("moved", moved, 0, bank->count - 1, error);
	jw_mixture stays;
	if (status == JW_OK)
		status =
		    mixture_open(bank->setup[reference], air, point,
		                 throttle_of(bank->setup[reference], point->throttle, bank->offset[reference]), &stays, error);
	if (status < 0)
		return status;
	adjuster a = {.setup = bank->setup[moved], .air = air, .linkage = point, .wanted_pa = stays.manifold_pa};
	/* Beyond its stops the throttle stands still, and every offset would do. */
	double low = fmax(-JW_BANK_OFFSET, shut_throttle(&a.setup->carburetor) - point->throttle);
	double high = fmin(JW_BANK_OFFSET, 1.0 - point->throttle);
	double found;
	status = jw_root(misread, &a, low, high, OFFSET_TOLERANCE, &found, error);
	if (a.status < 0) {
		if (error)
			*error = a.error;
		return a.status;
	}
	if (status == JW_E_NO_ROOT)
		return jw_fail(error, status, "offset", bank->offset[moved], low, high);
	if (status == JW_OK)
		*offset = found;
	return status;
}

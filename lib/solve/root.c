/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/root.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>

/* GSL's Brent keeps ten doubles; checked at run time since its type is opaque. */
#define STATE_BYTES 128
#define MOST_STEPS 100
/* Enough to halve a bracket down to neighbouring numbers. */
#define MOST_TRIALS 200
/* Of the whole: a root at 0 would be halved for ever. */
#define LEAST_BRACKET 1e-18

/* GSL evaluates both ends again when it is set up; their values are kept from the check. */
typedef struct bracket {
	jw_residual residual;
	void *context;
	double low, high, at_low, at_high;
	int lost; /* a value in between was not finite */
} bracket;

static double call_residual(double x, void *params)
{
	bracket *b = params;
	if (x == b->low)
		return b->at_low;
	double at = x == b->high ? b->at_high : b->residual(x, b->context);
	if (isfinite(at))
		return at;
	b->lost = 1; /* GSL's default handler would abort */
	return b->at_high;
}

jw_status jw_root(jw_residual residual, void *context, double low, double high, double x_tolerance, double *x,
                  jw_error *error)
{
	bracket b = {residual, context, low, high, residual(low, context), residual(high, context), 0};
	/* Validated here: GSL's default handler would abort. */
	if (!isfinite(b.at_low) || !isfinite(b.at_high))
		return jw_fail(error, JW_E_NOT_FINITE, "residual", isfinite(b.at_low) ? high : low, low, high);
	if (b.at_low == 0.0 || b.at_high == 0.0) {
		*x = b.at_low == 0.0 ? low : high;
		return JW_OK;
	}
	if (!(low < high) || (b.at_low < 0.0) == (b.at_high < 0.0))
		return jw_fail(error, JW_E_NO_ROOT, "bracket", b.at_low, low, high);

	gsl_function function = {call_residual, &b};
	_Alignas(16) unsigned char state[STATE_BYTES];
	if (gsl_root_fsolver_brent->size > sizeof state)
		return jw_fail(error, JW_E_MEMORY, "root solver state", (double)gsl_root_fsolver_brent->size, 0, STATE_BYTES);
	gsl_root_fsolver solver = {.type = gsl_root_fsolver_brent, .function = &function, .state = state};
	gsl_root_fsolver_set(&solver, &function, low, high);
	double before = INFINITY; /* GSL starts at the middle, where the first step may land too */
	for (int i = 0; i < MOST_STEPS; i++) {
		if (gsl_root_fsolver_iterate(&solver) != GSL_SUCCESS)
			break;
		if (b.lost)
			return jw_fail(error, JW_E_NOT_FINITE, "residual", solver.root, low, high);
		/* Brent closes in from one side: a step below the tolerance ends it as well as a bracket below it. */
		if (solver.x_upper - solver.x_lower <= x_tolerance || fabs(solver.root - before) <= x_tolerance) {
			*x = solver.root;
			return JW_OK;
		}
		before = solver.root;
	}
	return jw_fail(error, JW_E_NO_CONVERGENCE, "root", solver.root, low, high);
}

/* The last three trials, the newest first. */
typedef struct trials {
	double x[3], at[3];
	int count;
} trials;

static void remember(trials *t, double x, double at)
{
	for (int i = 2; i > 0; i--) {
		t->x[i] = t->x[i - 1];
		t->at[i] = t->at[i - 1];
	}
	t->x[0] = x;
	t->at[0] = at;
	t->count++;
}

/* Where the inverse parabola through the trials, or the line, or the guess's slope has its root; not finite where two
 * of them have one value. */
static double interpolated(const trials *t, double slope)
{
	const double *x = t->x, *f = t->at;
	if (t->count == 1)
		return x[0] - f[0] / slope;
	double line = (x[0] - x[1]) / (f[0] - f[1]);
	if (t->count == 2)
		return x[0] - f[0] * line;
	double bend = (line - (x[1] - x[2]) / (f[1] - f[2])) / (f[0] - f[2]);
	return x[0] - f[0] * (line - f[1] * bend);
}

/* The wanted x where it lies within the bracket, the end that it points beyond where that is a stop not tried yet; else
 * the middle. */
static double guarded(double wanted, double low, double high, const jw_guess *stops)
{
	if (wanted > low && wanted < high)
		return wanted;
	if (wanted <= low && low == stops->low)
		return low;
	return wanted >= high && high == stops->high ? high : 0.5 * (low + high);
}

static void strike_out_stop(jw_guess *stops, double tried)
{
	if (tried == stops->low)
		stops->low = NAN;
	if (tried == stops->high)
		stops->high = NAN;
}

/* Where steps or residuals do not shrink the trials creep: along a plateau to a stop, or past a kink. */
static int creeps(const trials *t, double step, double before)
{
	return t->count > 3 && (fabs(step) > 0.5 * before || fabs(t->at[0]) > 0.5 * fabs(t->at[2]));
}

static double last_slope(const trials *t, double guessed)
{
	double slope = (t->at[0] - t->at[1]) / (t->x[0] - t->x[1]);
	return t->count > 1 && slope > 0.0 && isfinite(slope) ? slope : guessed;
}

jw_status jw_rising_root(jw_residual residual, void *context, jw_guess *guess, double tolerance, jw_error *error)
{
	trials t = {.count = 0};
	jw_guess stops = *guess;
	double low = guess->low, high = guess->high, next = guess->x, before = INFINITY;
	while (t.count < MOST_TRIALS) {
		double at = residual(next, context);
		if (!isfinite(at))
			return jw_fail(error, JW_E_NOT_FINITE, "residual", next, guess->low, guess->high);
		remember(&t, next, at);
		strike_out_stop(&stops, next);
		*(at < 0.0 ? &low : &high) = next;
		double middle = 0.5 * (low + high);
		int empty = high - low <= LEAST_BRACKET * (guess->high - guess->low) || middle == low || middle == high;
		if (fabs(at) <= tolerance || empty) {
			guess->x = next;
			guess->slope = last_slope(&t, guess->slope);
			return JW_OK;
		}
		double wanted = guarded(interpolated(&t, guess->slope), low, high, &stops);
		if (wanted == next || creeps(&t, wanted - next, before))
			wanted = at < 0.0 && high == stops.high ? high : at > 0.0 && low == stops.low ? low : middle;
		before = fabs(wanted - next);
		next = wanted;
	}
	return jw_fail(error, JW_E_NO_CONVERGENCE, "root", next, guess->low, guess->high);
}

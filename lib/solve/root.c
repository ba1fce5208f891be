/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/root.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>

/* GSL's Brent keeps ten doubles; checked at run time since its type is opaque. */
#define STATE_BYTES 128
#define MOST_STEPS 100

/* GSL evaluates both ends again when it is set up; their values are kept from the check. */
typedef struct bracket {
	jw_residual residual;
	void *context;
	double low, high, at_low, at_high;
} bracket;

static double call_residual(double x, void *params)
{
	const bracket *b = params;
	if (x == b->low)
		return b->at_low;
	return x == b->high ? b->at_high : b->residual(x, b->context);
}

jw_status jw_root(jw_residual residual, void *context, double low, double high, double x_tolerance, double *x,
                  jw_error *error)
{
	bracket b = {residual, context, low, high, residual(low, context), residual(high, context)};
	/* Validated here: GSL's default handler would abort. */
	if (!isfinite(b.at_low) || !isfinite(b.at_high))
		return jw_fail(error, JW_E_NOT_FINITE, "residual", isfinite(b.at_low) ? high : low, low, high);
	if (b.at_low == 0.0 || b.at_high == 0.0) {
		*x = b.at_low == 0.0 ? low : high;
		return JW_OK;
	}
	if ((b.at_low < 0.0) == (b.at_high < 0.0))
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
		/* Brent closes in from one side: a step below the tolerance ends it as well as a bracket below it. */
		if (solver.x_upper - solver.x_lower <= x_tolerance || fabs(solver.root - before) <= x_tolerance) {
			*x = solver.root;
			return JW_OK;
		}
		before = solver.root;
	}
	return jw_fail(error, JW_E_NO_CONVERGENCE, "root", solver.root, low, high);
}

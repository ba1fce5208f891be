/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One bracketed root by GSL's Brent, its state in the caller's stack: nothing is allocated. */
#ifndef JW_SOLVE_ROOT_H
#define JW_SOLVE_ROOT_H

#include "base/base.h"

/* Must be finite over the whole bracket. */
typedef double (*jw_residual)(double x, void *context);

/* Finds x in [low, high] where the residual changes sign, within x_tolerance. An end that is a root is returned.
 * JW_E_NO_ROOT where both ends have one sign or stand the wrong way round, JW_E_NOT_FINITE where an end is not finite.
 */
jw_status jw_root(jw_residual residual, void *context, double low, double high, double x_tolerance, double *x,
                  jw_error *error);

/* Where a rising residual is sought from a guess; then the answer, from which a like search may start. */
typedef struct jw_guess {
	double low, high; /* the ends are stops: a residual above 0 at low, or below 0 at high, leaves x there */
	double x;         /* in between */
	double slope;     /* of the residual near x, above 0: aims the second trial */
} jw_guess;

/* Finds x where a rising residual, of the order of 1, changes sign, from a guess, in few trials: for what is sought
 * within every trial of something else, or next to an answer, where Brent's closing in from two ends takes twice as
 * many (see tests/bench). The last trial is the answer, so that the residual's context holds what belongs to it.
 * Interpolates through the last three trials, goes to a stop or halves the bracket where that creeps; ends where the
 * residual is within its tolerance, or no number is left in the bracket. JW_E_NOT_FINITE where a trial is not finite;
 * JW_E_NO_CONVERGENCE. */
jw_status jw_rising_root(jw_residual residual, void *context, jw_guess *guess, double tolerance, jw_error *error);

#endif

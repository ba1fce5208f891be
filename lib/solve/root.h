/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One bracketed root by GSL's Brent, its state in the caller's stack: nothing is allocated. */
#ifndef JW_SOLVE_ROOT_H
#define JW_SOLVE_ROOT_H

#include "base/base.h"

/* Must be finite over the whole bracket. */
typedef double (*jw_residual)(double x, void *context);

/* Finds x in [low, high] where the residual changes sign, within x_tolerance. An end that is a root is returned.
 * JW_E_NO_ROOT where both ends have one sign, JW_E_NOT_FINITE where an end is not finite. */
jw_status jw_root(jw_residual residual, void *context, double low, double high, double x_tolerance, double *x,
                  jw_error *error);

#endif

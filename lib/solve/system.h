/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A few equations in as many unknowns, by Newton with difference quotients; nothing is allocated. */
#ifndef JW_SOLVE_SYSTEM_H
#define JW_SOLVE_SYSTEM_H

#include "base/base.h"

#define JW_UNKNOWNS 4

/* Fills n residuals at x; must be finite within the bounds. */
typedef void (*jw_residuals)(const double *x, double *residual, void *context);

/* Improves x, n <= JW_UNKNOWNS, each kept within low..high; a step that does not reduce the largest residual is halved.
 * JW_OK when every residual is below the tolerance; JW_E_NO_CONVERGENCE with `worst` the index of the largest one. */
jw_status jw_system(jw_residuals residuals, void *context, int n, double low, double high, double tolerance, double *x,
                    int *worst);

#endif

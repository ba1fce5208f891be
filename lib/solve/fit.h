/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Weighted least squares by GSL's trust-region method, and along kinks by its simplex. GSL allocates its workspaces
 * itself. */
#ifndef JW_SOLVE_FIT_H
#define JW_SOLVE_FIT_H

#include "base/base.h"

#define JW_FIT_UNKNOWNS 8

/* Fills the residuals at x, each in standard uncertainties of its reading; must be finite everywhere. */
typedef void (*jw_fit_residuals)(const double *x, double *residual, void *context);

typedef struct jw_fit_problem {
	jw_fit_residuals residuals;
	void *context;
	int readings, unknowns; /* readings >= unknowns, 1..JW_FIT_UNKNOWNS */
	double step;            /* of central differences, the same for every unknown */
	int rough;              /* 1: only as far as slopes lead, kinks are not followed */
} jw_fit_problem;

/* Improves x from where it stands.
 * \param[out] covariance of x, unknowns by unknowns
 * \param[out] jacobian of the residuals at the answer, readings by unknowns
 * \return JW_OK, JW_E_RANGE (bad counts), JW_E_NO_CONVERGENCE, JW_E_MEMORY */
jw_status jw_least_squares(const jw_fit_problem *problem, double *x, double *covariance, double *jacobian,
                           jw_error *error);

#endif

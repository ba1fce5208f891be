/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/fit.h"

#include <gsl/gsl_multifit_nlinear.h>

#define MOST_STEPS 100
#define TIGHT 1e-9
static int call_residuals(const gsl_vector *x, void *params, gsl_vector *f)
{
	const jw_fit_problem *p = params;
	double at[JW_FIT_UNKNOWNS];
	for (int j = 0; j < p->unknowns; j++)
		at[j] = gsl_vector_get(x, (size_t)j);
	p->residuals(at, f->data, p->context);
	return GSL_SUCCESS;
}

/* GSL's own differences are one-sided with the square root of the rounding error as step, far below what a residual
 * that comes from a root finder allows. */
static int call_jacobian(const gsl_vector *x, void *params, gsl_matrix *jacobian)
{
	const jw_fit_problem *p = params;
	double at[JW_FIT_UNKNOWNS];
	gsl_vector *above = gsl_vector_alloc((size_t)p->readings), *below = gsl_vector_alloc((size_t)p->readings);
	for (int j = 0; above && below && j < p->unknowns; j++)
		at[j] = gsl_vector_get(x, (size_t)j);
	for (int j = 0; above && below && j < p->unknowns; j++) {
		double here = at[j];
		at[j] = here + p->step;
		p->residuals(at, above->data, p->context);
		at[j] = here - p->step;
		p->residuals(at, below->data, p->context);
		at[j] = here;
		gsl_vector_sub(above, below);
		gsl_vector_scale(above, 0.5 / p->step);
		gsl_matrix_set_col(jacobian, (size_t)j, above);
	}
	int status = above && below ? GSL_SUCCESS : GSL_ENOMEM;
	gsl_vector_free(above);
	gsl_vector_free(below);
	return status;
}

static jw_status solve(gsl_multifit_nlinear_workspace *w, jw_fit_problem *p, double *x, double *covariance,
                       double *jacobian, jw_error *error)
{
	gsl_multifit_nlinear_fdf fdf = {
	    .f = call_residuals, .df = call_jacobian, .n = (size_t)p->readings, .p = (size_t)p->unknowns, .params = p};
	gsl_vector_view start = gsl_vector_view_array(x, fdf.p);
	gsl_matrix_view spread = gsl_matrix_view_array(covariance, fdf.p, fdf.p);
	int info;
	if (gsl_multifit_nlinear_init(&start.vector, &fdf, w) != GSL_SUCCESS)
		return jw_fail(error, JW_E_MEMORY, "fit", p->readings, 0, INFINITY);
	gsl_multifit_nlinear_driver(MOST_STEPS, TIGHT, TIGHT, 0.0, NULL, NULL, &info, w);
	gsl_multifit_nlinear_covar(w->J, 0.0, &spread.matrix);
	/* It also ends where no step lowers the sum, however small: that is a minimum too, if only at a kink. */
	size_t steps = gsl_multifit_nlinear_niter(w);
	if (steps >= MOST_STEPS)
		return jw_fail(error, JW_E_NO_CONVERGENCE, "fit", (double)steps, 0, MOST_STEPS);
	gsl_vector_memcpy(&start.vector, w->x);
	for (size_t i = 0; i < fdf.n; i++)
		for (size_t j = 0; j < fdf.p; j++)
			jacobian[i * fdf.p + j] = gsl_matrix_get(w->J, i, j);
	return JW_OK;
}

jw_status jw_least_squares(const jw_fit_problem *problem, double *x, double *covariance, double *jacobian,
                           jw_error *error)
{
	/* Checked here: GSL's default handler would abort. */
	if (problem->unknowns < 1 || problem->unknowns > JW_FIT_UNKNOWNS)
		return jw_fail(error, JW_E_RANGE, "unknowns", problem->unknowns, 1, JW_FIT_UNKNOWNS);
	if (problem->readings < problem->unknowns)
		return jw_fail(error, JW_E_RANGE, "readings", problem->readings, problem->unknowns, INFINITY);
	jw_fit_problem p = *problem;
	gsl_multifit_nlinear_parameters parameters = gsl_multifit_nlinear_default_parameters();
	gsl_multifit_nlinear_workspace *w = gsl_multifit_nlinear_alloc(
	    gsl_multifit_nlinear_trust, &parameters, (size_t)problem->readings, (size_t)problem->unknowns);
	if (!w)
		return jw_fail(error, JW_E_MEMORY, "fit", problem->readings, 0, INFINITY);
	jw_status status = solve(w, &p, x, covariance, jacobian, error);
	gsl_multifit_nlinear_free(w);
	return status;
}

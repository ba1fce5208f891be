/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/fit.h"

#include <gsl/gsl_multifit_nlinear.h>

#define MOST_STEPS 100
#define TIGHT 1e-9

typedef struct call {
	const jw_fit_problem *problem;
	jw_status status; /* GSL's driver goes on after a fault */
} call;

static int call_residuals(const gsl_vector *x, void *params, gsl_vector *f)
{
	const call *c = params;
	const jw_fit_problem *p = c->problem;
	double at[JW_FIT_UNKNOWNS];
	if (c->status < 0) /* what it steps by is no number any more */
		return GSL_EBADFUNC;
	for (int j = 0; j < p->unknowns; j++)
		at[j] = gsl_vector_get(x, (size_t)j);
	p->residuals(at, f->data, p->context);
	return GSL_SUCCESS;
}

/* Whether GSL can step by it: at one of zeros it aborts the program. */
static int has_slope(const gsl_matrix *jacobian)
{
	double most = 0.0;
	for (size_t i = 0; i < jacobian->size1; i++)
		for (size_t j = 0; j < jacobian->size2; j++) {
			double slope = fabs(gsl_matrix_get(jacobian, i, j));
			if (!isfinite(slope))
				return 0;
			most = fmax(most, slope);
		}
	return most > 0.0;
}

/* GSL's own differences are one-sided with the square root of the rounding error as step, far below what a residual
 * that comes from a root finder allows. */
static int call_jacobian(const gsl_vector *x, void *params, gsl_matrix *jacobian)
{
	call *c = params;
	const jw_fit_problem *p = c->problem;
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
	jw_status now = !(above && below) ? JW_E_MEMORY : has_slope(jacobian) ? JW_OK : JW_E_NO_CONVERGENCE;
	c->status = c->status < 0 ? c->status : now;
	gsl_vector_free(above);
	gsl_vector_free(below);
	return c->status == JW_OK ? GSL_SUCCESS : GSL_FAILURE;
}

static jw_status solve(gsl_multifit_nlinear_workspace *w, const jw_fit_problem *p, double *x, double *covariance,
                       double *jacobian, jw_error *error)
{
	call c = {p, JW_OK};
	gsl_multifit_nlinear_fdf fdf = {
	    .f = call_residuals, .df = call_jacobian, .n = (size_t)p->readings, .p = (size_t)p->unknowns, .params = &c};
	gsl_vector_view start = gsl_vector_view_array(x, fdf.p);
	gsl_matrix_view spread = gsl_matrix_view_array(covariance, fdf.p, fdf.p);
	int info;
	if (gsl_multifit_nlinear_init(&start.vector, &fdf, w) == GSL_SUCCESS)
		gsl_multifit_nlinear_driver(MOST_STEPS, TIGHT, TIGHT, 0.0, NULL, NULL, &info, w);
	if (c.status < 0)
		return jw_fail(error, c.status, "fit", p->readings, 0, INFINITY);
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
	gsl_multifit_nlinear_parameters parameters = gsl_multifit_nlinear_default_parameters();
	gsl_multifit_nlinear_workspace *w = gsl_multifit_nlinear_alloc(
	    gsl_multifit_nlinear_trust, &parameters, (size_t)problem->readings, (size_t)problem->unknowns);
	if (!w)
		return jw_no_memory(error, "fit");
	jw_status status = solve(w, problem, x, covariance, jacobian, error);
	gsl_multifit_nlinear_free(w);
	return status;
}

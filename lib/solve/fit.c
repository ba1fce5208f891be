/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/fit.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <gsl/gsl_multimin.h>

#include <float.h>
#include <string.h>

/* Of steps by slopes: how many, and how little they move x or how flat the sum is, relatively, at the end. */
#define MOST_STEPS 100
#define TIGHT 1e-9
/* Of the simplex: its edge at first in steps of the differences, where it is small enough, and how often it folds. */
#define EDGE 40.0
#define TIGHT_SIMPLEX 1e-6
#define MOST_FOLDS 500
#define MOST_ROUNDS 20 /* of both: in the last ones the edge, halved in each, is too small to lead on */
#define LITTLE 1e-6    /* of the sum, and of 1: no statistic feels it */

/* What GSL works with; x and covariance lie outside. */
typedef struct search {
	const jw_fit_problem *problem;
	gsl_vector *x;
	gsl_matrix *covariance;
	gsl_multifit_nlinear_workspace *slopes;
	gsl_multimin_fminimizer *simplex;
	gsl_vector *residual, *gradient, *step;
	jw_status status; /* GSL's driver goes on after a fault */
} search;

static void residuals_at(const search *s, const double *at, gsl_vector *residual)
{
	s->problem->residuals(at, residual->data, s->problem->context);
}

static int call_residuals(const gsl_vector *x, void *params, gsl_vector *f)
{
	const search *s = params;
	if (s->status < 0) /* what it steps by is no number any more */
		return GSL_EBADFUNC;
	residuals_at(s, x->data, f);
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
	search *s = params;
	const double step = s->problem->step;
	double at[JW_FIT_UNKNOWNS];
	for (size_t j = 0; j < x->size; j++)
		at[j] = gsl_vector_get(x, j);
	for (size_t j = 0; j < x->size; j++) {
		gsl_vector_view slope = gsl_matrix_column(jacobian, j);
		double here = at[j];
		at[j] = here + step;
		residuals_at(s, at, s->residual);
		gsl_vector_memcpy(&slope.vector, s->residual);
		at[j] = here - step;
		residuals_at(s, at, s->residual);
		at[j] = here;
		gsl_vector_sub(&slope.vector, s->residual);
		gsl_vector_scale(&slope.vector, 0.5 / step);
	}
	if (s->status == JW_OK && !has_slope(jacobian))
		s->status = JW_E_NO_CONVERGENCE;
	return s->status == JW_OK ? GSL_SUCCESS : GSL_FAILURE;
}

static double sum_of(const gsl_vector *residual)
{
	double sum;
	gsl_blas_ddot(residual, residual, &sum);
	return isfinite(sum) ? sum : DBL_MAX;
}

static double sum_at(const gsl_vector *x, void *context)
{
	const search *s = context;
	residuals_at(s, x->data, s->residual);
	return sum_of(s->residual);
}

/* Steps by slopes until none lowers the sum, or there were many. Leaves in the search where that is, and what belongs
 * to it. */
static jw_status descend(search *s, jw_error *error)
{
	gsl_multifit_nlinear_fdf fdf = {.f = call_residuals,
	                                .df = call_jacobian,
	                                .n = (size_t)s->problem->readings,
	                                .p = (size_t)s->problem->unknowns,
	                                .params = s};
	int info;
	if (gsl_multifit_nlinear_init(s->x, &fdf, s->slopes) == GSL_SUCCESS)
		gsl_multifit_nlinear_driver(MOST_STEPS, TIGHT, TIGHT, 0.0, NULL, NULL, &info, s->slopes);
	if (s->status < 0)
		return jw_fail(error, s->status, "fit", 0, 0, 0);
	gsl_multifit_nlinear_covar(s->slopes->J, 0.0, s->covariance);
	gsl_vector_memcpy(s->x, s->slopes->x);
	return JW_OK;
}

/* By how much the slopes say that the sum could still fall: nothing at a minimum, much at a kink. */
static double promised(search *s)
{
	double fall;
	gsl_blas_dgemv(CblasTrans, 1.0, s->slopes->J, s->slopes->f, 0.0, s->gradient);
	gsl_blas_dgemv(CblasNoTrans, 1.0, s->covariance, s->gradient, 0.0, s->step);
	gsl_blas_ddot(s->gradient, s->step, &fall);
	return fall;
}

/* Along a kink, where slopes lead nowhere, by the simplex of Nelder and Mead (A simplex method for function
 * minimization, Comput. J. 7, 1965). \return whether the sum, `before` at x, fell by more than a little; x moves only
 * then */
static int creep(search *s, double edge, double before, double little)
{
	gsl_multimin_function sum = {sum_at, (size_t)s->problem->unknowns, s};
	gsl_vector_set_all(s->step, edge);
	if (gsl_multimin_fminimizer_set(s->simplex, &sum, s->x, s->step) != GSL_SUCCESS)
		return 0;
	int folds = 0;
	do { /* once at least: its lowest place is not known before */
		if (gsl_multimin_fminimizer_iterate(s->simplex) != GSL_SUCCESS)
			return 0;
	} while (++folds < MOST_FOLDS && gsl_multimin_fminimizer_size(s->simplex) > TIGHT_SIMPLEX);
	if (!(before - s->simplex->fval > little))
		return 0;
	gsl_vector_memcpy(s->x, s->simplex->x);
	return 1;
}

/* Both in turn, until neither lowers the sum by what counts. Each simplex lies to the other side of x, and is half as
 * large. */
static jw_status settle(search *s, jw_error *error)
{
	double edge = EDGE * s->problem->step;
	for (int round = 0; round < MOST_ROUNDS; round++, edge *= -0.5) {
		jw_status status = descend(s, error);
		if (status < 0)
			return status;
		const double sum = sum_of(s->slopes->f), little = LITTLE * (1.0 + sum);
		if (s->problem->rough || promised(s) <= little || !creep(s, edge, sum, little))
			return JW_OK;
	}
	return jw_fail(error, JW_E_NO_CONVERGENCE, "fit", 0, 0, 0);
}

static void free_search(search *s)
{
	gsl_multifit_nlinear_free(s->slopes);
	gsl_multimin_fminimizer_free(s->simplex);
	gsl_vector_free(s->residual);
	gsl_vector_free(s->gradient);
	gsl_vector_free(s->step);
}

jw_status jw_least_squares(const jw_fit_problem *problem, double *x, double *covariance, double *jacobian,
                           jw_error *error)
{
	/* Checked here: GSL's default handler would abort. */
	if (problem->unknowns < 1 || problem->unknowns > JW_FIT_UNKNOWNS)
		return jw_fail(error, JW_E_RANGE, "unknowns", problem->unknowns, 1, JW_FIT_UNKNOWNS);
	if (problem->readings < problem->unknowns)
		return jw_fail(error, JW_E_RANGE, "readings", problem->readings, problem->unknowns, INFINITY);
	const size_t n = (size_t)problem->readings, p = (size_t)problem->unknowns;
	const gsl_multifit_nlinear_parameters usual = gsl_multifit_nlinear_default_parameters();
	double at[JW_FIT_UNKNOWNS];
	memcpy(at, x, p * sizeof *at);
	gsl_vector_view here = gsl_vector_view_array(at, p);
	gsl_matrix_view spread = gsl_matrix_view_array(covariance, p, p), slope = gsl_matrix_view_array(jacobian, n, p);
	search s = {.problem = problem,
	            .x = &here.vector,
	            .covariance = &spread.matrix,
	            .slopes = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &usual, n, p),
	            .simplex = gsl_multimin_fminimizer_alloc(gsl_multimin_fminimizer_nmsimplex2, p),
	            .residual = gsl_vector_alloc(n),
	            .gradient = gsl_vector_alloc(p),
	            .step = gsl_vector_alloc(p)};
	jw_status status =
	    s.slopes && s.simplex && s.residual && s.gradient && s.step ? settle(&s, error) : jw_no_memory(error, "fit");
	if (status == JW_OK) {
		memcpy(x, at, p * sizeof *at);
		gsl_matrix_memcpy(&slope.matrix, s.slopes->J);
	}
	free_search(&s);
	return status;
}

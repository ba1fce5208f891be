/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include "solve/fit.h"

/* NIST Statistical Reference Datasets, nonlinear regression, Misra1a: volume against pressure of an adsorbed gas,
 * y = b1 (1 - exp(-b2 x)), with certified values. */
enum { READINGS = 14, UNKNOWNS = 2 };
static const double pressure[READINGS] = {77.6,  114.9, 141.1, 190.8, 239.9, 289.0, 332.8,
                                          378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0};
static const double volume[READINGS] = {10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02,
                                        44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78};
static const double b1 = 2.3894212918e2, b2 = 5.5015643181e-4;
static const double b1_deviation = 2.7070075241, b2_deviation = 7.2668688436e-6;
static const double squares = 1.2455138894e-1;

/* In logarithms, since one step serves all unknowns. */
static void misra(const double *x, double *residual, void *context)
{
	(void)context;
	for (int i = 0; i < READINGS; i++)
		residual[i] = exp(x[0]) * (1 - exp(-exp(x[1]) * pressure[i])) - volume[i];
}

Test(least_squares, certified_values_are_met)
{
	static const double starts[][UNKNOWNS] = {{500, 1e-4}, {250, 5e-4}}; /* those of the data set */
	jw_fit_problem problem = {misra, NULL, READINGS, UNKNOWNS, 1e-5};
	for (size_t k = 0; k < sizeof starts / sizeof *starts; k++) {
		double x[UNKNOWNS] = {log(starts[k][0]), log(starts[k][1])};
		double covariance[UNKNOWNS * UNKNOWNS], jacobian[READINGS * UNKNOWNS], residual[READINGS], sum = 0;
		cr_assert_eq(jw_least_squares(&problem, x, covariance, jacobian, NULL), JW_OK, "start %zu", k);
		misra(x, residual, NULL);
		for (int i = 0; i < READINGS; i++) {
			sum += jw_square(residual[i]);
			JW_NEAR_REL(jacobian[i * UNKNOWNS], residual[i] + volume[i], 1e-8);
		}
		JW_NEAR_REL(exp(x[0]), b1, 1e-8);
		JW_NEAR_REL(exp(x[1]), b2, 1e-8);
		JW_NEAR_REL(sum, squares, 1e-9);
		/* The certified deviations are those of the scatter about the curve, ours those of unit readings. */
		double scatter = sum / (READINGS - UNKNOWNS);
		JW_NEAR_REL(sqrt(scatter * covariance[0]) * b1, b1_deviation, 1e-6);
		JW_NEAR_REL(sqrt(scatter * covariance[3]) * b2, b2_deviation, 1e-6);
		JW_NEAR_REL(covariance[1], covariance[2], 1e-12);
	}
}

/* A crease along x0 = x1, into which both sides lead: there the sum is 1 + (t - 2)^2 + t^2, least at t = 1, where it is
 * 3 and rises to both sides, as the crease is steeper than the rest. */
static void crease(const double *x, double *residual, void *context)
{
	(void)context;
	residual[0] = 1 + 3 * fabs(x[0] - x[1]);
	residual[1] = x[0] - 2;
	residual[2] = x[1];
}

Test(least_squares, a_crease_is_followed_to_its_lowest_place)
{
	static const double starts[][2] = {{0, 0.3}, {-1, 2}, {4, 4.1}, {30, -50}};
	jw_fit_problem problem = {crease, NULL, 3, 2, 2e-3};
	for (size_t k = 0; k < sizeof starts / sizeof *starts; k++) {
		double x[2] = {starts[k][0], starts[k][1]}, covariance[4], jacobian[6];
		cr_assert_eq(jw_least_squares(&problem, x, covariance, jacobian, NULL), JW_OK, "start %zu", k);
		JW_NEAR_ABS(x[0], 1, 3e-3);
		JW_NEAR_ABS(x[1], x[0], 1e-5);
		/* Slopes and covariance are those of this place, though slopes turn round on the crease. */
		for (int j = 0; j < 2; j++) {
			double above[3], below[3], at[2] = {x[0], x[1]};
			at[j] = x[j] + problem.step;
			crease(at, above, NULL);
			at[j] = x[j] - problem.step;
			crease(at, below, NULL);
			for (int i = 0; i < 3; i++)
				JW_NEAR_ABS(jacobian[2 * i + j], (above[i] - below[i]) / (2 * problem.step), 1e-10);
		}
		for (int j = 0; j < 4; j++) {
			double unit = 0;
			for (int i = 0; i < 3; i++)
				for (int l = 0; l < 2; l++)
					unit += jacobian[2 * i + j / 2] * jacobian[2 * i + l] * covariance[2 * l + j % 2];
			JW_NEAR_ABS(unit, j == 0 || j == 3, 1e-9);
		}
	}
}

/* A crease that winds, x1 = x0^2: there the sum is 1 + (t - 2)^2 + (t^2/10)^2, least at t = 1.8655. */
static void winding(const double *x, double *residual, void *context)
{
	(void)context;
	residual[0] = 1 + 243 * fabs(x[1] - x[0] * x[0]);
	residual[1] = x[0] - 2;
	residual[2] = 0.1 * x[1];
}

Test(least_squares, a_crease_that_winds_is_followed_as_long_as_it_leads_on)
{
	static const double starts[][2] = {{0, 0.3}, {-2, 0.3}, {-2, 4}};
	jw_fit_problem problem = {winding, NULL, 3, 2, 2e-3};
	const double least = 1 + jw_square(1.8655 - 2) + jw_square(jw_square(1.8655) / 10);
	for (size_t k = 0; k < sizeof starts / sizeof *starts; k++) {
		double x[2] = {starts[k][0], starts[k][1]}, covariance[4], jacobian[6], residual[3], sum = 0;
		cr_expect_eq(jw_least_squares(&problem, x, covariance, jacobian, NULL), JW_OK, "start %zu", k);
		winding(x, residual, NULL);
		for (int i = 0; i < 3; i++)
			sum += jw_square(residual[i]);
		cr_expect(sum > least - 1e-6 && sum < least + 0.15, "start %zu: %g", k, sum);
	}
}

/* Each step takes a twentieth of what is left, so that it takes hundreds. */
static void slow(const double *x, double *residual, void *context)
{
	(void)context;
	residual[0] = pow(x[0], 20);
}

Test(least_squares, a_long_way_is_gone_to_its_end)
{
	jw_fit_problem problem = {slow, NULL, 1, 1, 1e-3};
	double x[1] = {1234.5}, covariance[1], jacobian[1];
	cr_assert_eq(jw_least_squares(&problem, x, covariance, jacobian, NULL), JW_OK);
	cr_expect_lt(fabs(x[0]), 0.8, "%g", x[0]); /* 0.8^40 = 1e-4 */
}

/* Falls with every look at it. */
static void sinking(const double *x, double *residual, void *context)
{
	double *depth = context;
	residual[0] = (*depth *= 0.9999) * (2 + sin(x[0]));
}

/* Nothing depends on the unknowns. */
static void flat(const double *x, double *residual, void *context)
{
	(void)x, (void)context;
	residual[0] = residual[1] = 1;
}

static void nowhere(const double *x, double *residual, void *context)
{
	(void)context;
	residual[0] = residual[1] = x[0] * INFINITY;
}

/* Flat from where the first step leads. */
static void cliff(const double *x, double *residual, void *context)
{
	(void)context;
	residual[0] = x[0] < 1234 ? 1 : 3 + x[0] - 1234;
}

Test(least_squares, what_it_cannot_do_is_an_error_and_moves_nothing)
{
	static const struct {
		jw_fit_residuals residuals;
		int readings, unknowns;
		jw_status status;
		const char *field;
	} rows[] = {
	    {misra, READINGS, 0, JW_E_RANGE, "unknowns"}, {misra, READINGS, JW_FIT_UNKNOWNS + 1, JW_E_RANGE, "unknowns"},
	    {misra, 1, 2, JW_E_RANGE, "readings"},        {flat, 2, 2, JW_E_NO_CONVERGENCE, "fit"},
	    {nowhere, 2, 1, JW_E_NO_CONVERGENCE, "fit"},  {cliff, 1, 1, JW_E_NO_CONVERGENCE, "fit"},
	    {sinking, 1, 1, JW_E_NO_CONVERGENCE, "fit"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double depth = 1e6;
		jw_fit_problem problem = {rows[i].residuals, &depth, rows[i].readings, rows[i].unknowns, 1e-3};
		double x[JW_FIT_UNKNOWNS] = {1234.5, 678.9}, covariance[4], jacobian[2 * READINGS];
		jw_error error = {0};
		cr_expect_eq(jw_least_squares(&problem, x, covariance, jacobian, &error), rows[i].status, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		const int no_number = error.value == 0 && error.low == 0 && error.high == 0;
		cr_expect_eq(no_number, rows[i].status == JW_E_NO_CONVERGENCE, "row %zu", i);
		cr_expect(x[0] == 1234.5 && x[1] == 678.9, "row %zu moved to %g, %g", i, x[0], x[1]);
	}
}

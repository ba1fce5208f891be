/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include "solve/system.h"

/* An ellipse and a hyperbola, which cross at (5/6, 1/2) and (2/3, 5/8). */
static void curves(const double *x, double *residual, void *context)
{
	(void)context;
	residual[0] = 9 * x[0] * x[0] + 16 * x[1] * x[1] - 10.25;
	residual[1] = 3 * x[0] * x[1] - 1.25;
}

/* Weakly coupled, as the circuits of a carburetor are; the root is the context. */
static void coupled(const double *x, double *residual, void *context)
{
	const double *root = context;
	for (int i = 0; i < 4; i++)
		residual[i] = log(x[i] / root[i]) + 0.1 * (x[(i + 1) % 4] - root[(i + 1) % 4]);
}

static void unreachable(const double *x, double *residual, void *context)
{
	(void)context;
	residual[0] = x[0] - 0.9;
	residual[1] = x[1] + 3.5;
}

static void singular(const double *x, double *residual, void *context)
{
	(void)context;
	residual[0] = x[0] + x[1] - 2.5;
	residual[1] = x[0] + x[1] - 2.7;
}

Test(system, known_roots_are_found)
{
	double x[2] = {1.13, 0.37};
	int worst = -1;
	cr_assert_eq(jw_system(curves, NULL, 2, 0.05, 4.5, 1e-12, x, &worst), JW_OK);
	JW_NEAR_REL(x[0], 5.0 / 6, 1e-10);
	JW_NEAR_REL(x[1], 0.5, 1e-10);

	double root[4] = {0.83, 1.27, 0.31, 4.1};
	double y[4] = {1, 1, 1, 1};
	cr_assert_eq(jw_system(coupled, root, 4, 0.2, 5.0, 1e-12, y, &worst), JW_OK);
	for (int i = 0; i < 4; i++)
		JW_NEAR_REL(y[i], root[i], 1e-10);
}

Test(system, what_cannot_be_met_is_named)
{
	double x[2] = {1.1, 1.2};
	int worst = -1;
	cr_expect_eq(jw_system(unreachable, NULL, 2, 0.2, 5.0, 1e-9, x, &worst), JW_E_NO_CONVERGENCE);
	cr_expect_eq(worst, 1);
	cr_expect(x[0] >= 0.2 && x[0] <= 5.0 && x[1] >= 0.2 && x[1] <= 5.0, "left its bounds: %g, %g", x[0], x[1]);

	double y[2] = {1.1, 1.2};
	cr_expect_eq(jw_system(singular, NULL, 2, 0.2, 5.0, 1e-9, y, &worst), JW_E_NO_CONVERGENCE);
}

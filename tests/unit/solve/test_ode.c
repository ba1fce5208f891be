/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include "solve/ode.h"

static const double tight[JW_ODE_UNKNOWNS] = {1e-12, 1e-12, 1e-12, 1e-12, 1e-12, 1e-12, 1e-12, 1e-12};

/* A tank over a hole: the root of the level falls linearly (Torricelli). */
static void drain(double t, const double *y, double *rate, void *context)
{
	(void)t;
	rate[0] = -*(double *)context * sqrt(fmax(y[0], 0.0));
}

static double above_one(double t, const double *y, void *context)
{
	(void)t, (void)context;
	return y[0] - 1.0;
}

Test(ode, a_tank_drains_in_the_time_of_the_closed_form)
{
	double k = 0.25, y = 4, t = 3;
	int stopped;
	jw_ode ode = {drain, above_one, &k, 1, 1e-11, tight, 100};
	cr_assert_eq(jw_ode_run(&ode, &t, 1000, &y, &stopped, NULL), JW_OK);
	cr_expect_eq(stopped, 1);
	JW_NEAR_REL(t - 3, 2 * (2 - 1) / k, 1e-9);
	JW_NEAR_REL(y, 1, 1e-9);
	/* Where it has no way on it stands still. */
	cr_assert_eq(jw_ode_run(&ode, &t, 1000, &y, &stopped, NULL), JW_OK);
	cr_expect_eq(stopped, 1);
	JW_NEAR_REL(t - 3, 8, 1e-9);
}

static void turn(double t, const double *y, double *rate, void *context)
{
	(void)t, (void)context;
	rate[0] = y[1];
	rate[1] = -y[0];
}

typedef struct log_of_steps {
	int steps;
	double last, longest;
} log_of_steps;

static void watch(const jw_ode_span *step, void *context)
{
	log_of_steps *l = context;
	cr_expect_eq(step->from, l->last);
	l->longest = fmax(l->longest, step->to - step->from);
	l->last = step->to;
	l->steps++;
}

Test(ode, a_swing_comes_back)
{
	double y[2] = {1, 0}, t = 0, round = 2 * JW_PI;
	int stopped;
	log_of_steps seen = {0};
	const jw_ode ode = {.rates = turn,
	                    .context = &seen,
	                    .unknowns = 2,
	                    .relative = 1e-11,
	                    .absolute = tight,
	                    .longest = 0.1,
	                    .within = watch};
	cr_assert_eq(jw_ode_run(&ode, &t, round, y, &stopped, NULL), JW_OK);
	cr_expect_eq(stopped, 0);
	cr_expect_eq(t, round);
	cr_expect_eq(seen.last, round);
	JW_NEAR_ABS(y[0], 1, 1e-8);
	JW_NEAR_ABS(y[1], 0, 1e-8);
	cr_expect(seen.longest <= 0.1 + 1e-15 && seen.steps > 62, "%d steps, the longest %g", seen.steps, seen.longest);
}

/* The force changes at once at t = 1. */
static void kink(double t, const double *y, double *rate, void *context)
{
	(void)y, (void)context;
	rate[0] = t < 1 ? 1 : -2;
}

Test(ode, a_kink_shortens_the_steps)
{
	double y = 0, t = 0;
	int stopped;
	jw_ode ode = {kink, NULL, NULL, 1, 1e-9, tight, 10};
	cr_assert_eq(jw_ode_run(&ode, &t, 2, &y, &stopped, NULL), JW_OK);
	/* A change between 12/13 and the end of a step: the last stage weighs 9/50 in the answer, where up to 1/13 is due,
	 * and 1/50 in the estimate of the error, which is thus up to 13 times too small. */
	JW_NEAR_ABS(y, 1 - 2, 13e-9);
}

/* Leaves every bound in finite time: y = 1/(1 - t). */
static void runaway(double t, const double *y, double *rate, void *context)
{
	(void)t, (void)context;
	rate[0] = fmin(y[0] * y[0], 1e250);
}

Test(ode, what_it_cannot_do_is_an_error_and_moves_nothing)
{
	double k = 1;
	static const double none[1] = {0};
	const jw_ode good = {drain, NULL, &k, 1, 1e-6, tight, 1};
	jw_ode bad[6] = {good, good, good, good, good, good};
	double end[6] = {10, 10, 10, 10, -1, NAN};
	bad[0].unknowns = 0;
	bad[1].unknowns = JW_ODE_UNKNOWNS + 1;
	bad[2].absolute = none;
	bad[3].longest = 0;
	for (int i = 0; i < 6; i++) {
		double y = 1, t = 0;
		int stopped = 7;
		jw_error error = {0};
		jw_status status = jw_ode_run(&bad[i], &t, end[i], &y, &stopped, &error);
		cr_expect_eq(status, i < 5 ? JW_E_RANGE : JW_E_NOT_FINITE, "case %d", i);
		cr_expect_eq(error.status, status, "case %d", i);
		cr_expect(y == 1 && t == 0 && stopped == 7, "case %d", i);
	}
	double y = 1, t = 0;
	int stopped;
	jw_ode wild = {runaway, NULL, NULL, 1, 1e-9, tight, 1};
	cr_expect_eq(jw_ode_run(&wild, &t, 2, &y, &stopped, NULL), JW_E_NO_CONVERGENCE);
	cr_expect(y == 1 && t == 0);
}

static void cubic(double t, const double *y, double *rate, void *context)
{
	(void)y, (void)context;
	rate[0] = 3 * t * t - 4 * t + 5;
}

/* Within a step a cubic is what it is. */
static void compare_cubic(const jw_ode_span *span, void *context)
{
	int *spans = context;
	for (int i = 0; i <= 4; i++) {
		const double t = span->from + 0.25 * i * (span->to - span->from);
		double y;
		jw_ode_between(span, t, &y);
		JW_NEAR_ABS(y, t * t * t - 2 * t * t + 5 * t, 1e-11);
	}
	++*spans;
}

Test(ode, a_cubic_is_told_between_the_ends_of_its_steps)
{
	static const double stops[] = {0.37, 2.2};
	double y = 0, t = 0;
	int stopped, spans = 0;
	const jw_ode ode = {.rates = cubic,
	                    .context = &spans,
	                    .unknowns = 1,
	                    .relative = 1e-9,
	                    .absolute = tight,
	                    .longest = 0.7,
	                    .stops = stops,
	                    .stop_count = 2,
	                    .within = compare_cubic};
	cr_assert_eq(jw_ode_run(&ode, &t, 3, &y, &stopped, NULL), JW_OK);
	cr_expect(spans > 4, "%d", spans);
}

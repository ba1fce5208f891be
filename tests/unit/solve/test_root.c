/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "allocations.h"
#include "near.h"
#include "solve/root.h"
#include <stdlib.h>

/* Where a residual is asked, and how often. */
typedef struct probe {
	double parameter, lowest, highest;
	int calls;
} probe;

static double visit(double x, probe *p)
{
	p->calls++;
	p->lowest = fmin(p->lowest, x);
	p->highest = fmax(p->highest, x);
	return x;
}

static double kepler(double x, void *context)
{
	probe *p = context;
	return visit(x, p) - p->parameter * sin(x) - 1.3;
}

static double cosine(double x, void *context)
{
	x = visit(x, context);
	return cos(x) - x;
}

static double cubic(double x, void *context)
{
	x = visit(x, context);
	return x * x * x - 2 * x - 5;
}

static double steep(double x, void *context)
{
	x = visit(x, context);
	return exp(x) - 2e6;
}

static double falling_root(double x, void *context)
{
	x = visit(x, context);
	return 3.7 - sqrt(x);
}

static double step(double x, void *context)
{
	x = visit(x, context);
	return x < 0.3125 ? -1.0 : 1.0;
}

static double parabola(double x, void *context)
{
	x = visit(x, context);
	return x * x + 1;
}

static double reciprocal(double x, void *context)
{
	x = visit(x, context);
	return 1 / x;
}

Test(root, known_roots_are_found)
{
	static const struct {
		char name[32];
		jw_residual residual;
		double parameter, low, high, root;
	} rows[] = {
	    /* The first two: Online Encyclopedia of Integer Sequences, A007493 and A003957. */
	    {"x^3 - 2x - 5", cubic, 0, 2, 3, 2.0945514815423265},
	    {"cos x - x", cosine, 0, -1.3, 2.9, 0.7390851332151607},
	    {"exp x = 2e6", steep, 0, -40.5, 40.7, 14.508657738524219},
	    {"sqrt x = 3.7", falling_root, 0, 0, 1e5, 13.69},
	    {"a jump", step, 0, -7.1, 5.3, 0.3125},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		probe p = {rows[i].parameter, INFINITY, -INFINITY, 0};
		double x = NAN;
		cr_expect_eq(jw_root(rows[i].residual, &p, rows[i].low, rows[i].high, 1e-12, &x, NULL), JW_OK, "%s",
		             rows[i].name);
		cr_expect(fabs(x - rows[i].root) <= 2e-12, "%s: %.17g, expected %.17g", rows[i].name, x, rows[i].root);
		cr_expect(p.lowest >= rows[i].low && p.highest <= rows[i].high, "%s: asked outside its bracket", rows[i].name);
		cr_expect(p.calls < 100, "%s: %d calls", rows[i].name, p.calls);
	}
}

/* Kepler's equation holds at what is returned; the residual's context reaches it. */
Test(root, context_and_tolerance_are_honoured)
{
	for (double eccentricity = 0.05; eccentricity < 0.99; eccentricity += 0.0617)
		for (double tolerance = 1e-3; tolerance > 1e-13; tolerance /= 10) {
			probe p = {eccentricity, INFINITY, -INFINITY, 0};
			double fine = NAN, x = NAN;
			cr_expect_eq(jw_root(kepler, &p, 0.17, 3.11, 1e-14, &fine, NULL), JW_OK);
			cr_expect_eq(jw_root(kepler, &p, 0.17, 3.11, tolerance, &x, NULL), JW_OK);
			cr_expect(fabs(kepler(fine, &p)) < 1e-13);
			cr_expect(fabs(x - fine) <= tolerance, "e = %g: off by %g at %g", eccentricity, x - fine, tolerance);
		}
}

Test(root, an_end_that_is_a_root_is_returned)
{
	probe p = {0};
	double x = NAN;
	cr_expect_eq(jw_root(falling_root, &p, 3.7 * 3.7, 50.3, 1e-9, &x, NULL), JW_OK);
	cr_expect_eq(x, 3.7 * 3.7);
	cr_expect_eq(jw_root(falling_root, &p, 0.21, 3.7 * 3.7, 1e-9, &x, NULL), JW_OK);
	cr_expect_eq(x, 3.7 * 3.7);
}

Test(root, no_sign_change_and_no_finite_end_are_errors)
{
	probe p = {0};
	double x = 12345.678;
	jw_error error = {0};
	cr_expect_eq(jw_root(parabola, &p, -3.1, 2.7, 1e-9, &x, &error), JW_E_NO_ROOT);
	cr_expect_eq(error.status, JW_E_NO_ROOT);
	cr_expect_eq(error.low, -3.1);
	cr_expect_eq(error.high, 2.7);
	cr_expect_eq(jw_root(reciprocal, &p, 0.0, 2.7, 1e-9, &x, &error), JW_E_NOT_FINITE);
	cr_expect_eq(error.value, 0.0);
	cr_expect_eq(jw_root(reciprocal, &p, -2.7, 0.0, 1e-9, &x, &error), JW_E_NOT_FINITE);
	cr_expect_eq(jw_root(parabola, &p, -3.1, 2.7, 1e-9, &x, NULL), JW_E_NO_ROOT);
	cr_expect_eq(x, 12345.678);
}

Test(root, nothing_is_allocated)
{
	probe p = {0};
	double x = NAN;
	long before = jw_allocations;
	cr_assert_eq(jw_root(cubic, &p, 2, 3, 1e-12, &x, NULL), JW_OK);
	cr_expect_eq(jw_allocations, before);
#ifndef JW_SANITIZED
	void *volatile block = malloc(17); /* the counter does count */
	free(block);
	cr_expect_eq(jw_allocations, before + 1);
#endif
}

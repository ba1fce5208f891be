/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "allocations.h"
#include "draw.h"
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
	cr_expect_eq(jw_root(falling_root, &p, 50.3, 0.21, 1e-9, &x, &error), JW_E_NO_ROOT, "the ends the wrong way round");
	cr_expect(error.low == 50.3 && error.high == 0.21);
	cr_expect_eq(x, 12345.678);
}

/* Rising residuals with one parameter, in 0..1: smooth, steep at an end, bent, with a kink, a jump, a plateau. */
static double straight(double x, void *context)
{
	return visit(x, context) - ((probe *)context)->parameter;
}

static double bent(double x, void *context)
{
	double at = ((probe *)context)->parameter;
	return tanh(3.1 * (visit(x, context) - at)) + 0.2 * (x - at);
}

static double balance_of_roots(double x, void *context)
{
	double in = ((probe *)context)->parameter * visit(x, context), out = sqrt(1 - x * x);
	return (in - out) / (in + out);
}

static double vertical(double x, void *context)
{
	double from = visit(x, context) - ((probe *)context)->parameter;
	return copysign(sqrt(fabs(from)), from);
}

static double kinked(double x, void *context)
{
	double from = visit(x, context) - ((probe *)context)->parameter;
	return from < 0 ? 0.01 * from : from;
}

static double jumping(double x, void *context)
{
	return visit(x, context) < ((probe *)context)->parameter ? -0.7 + 0.1 * x : 0.3 + 0.1 * x;
}

static double level_then_steep(double x, void *context)
{
	double from = visit(x, context) - ((probe *)context)->parameter;
	return from < 0 ? -1e-3 : from < 0.01 ? 200 * from - 1e-3 : 1.999;
}

static const struct {
	char name[32];
	jw_residual residual;
	int smooth;
} rising[] = {{"straight", straight, 1},
              {"bent", bent, 1},
              {"balance of roots", balance_of_roots, 1},
              {"vertical", vertical, 0},
              {"kinked", kinked, 0},
              {"jumping", jumping, 0},
              {"level, then steep", level_then_steep, 0}};

/* From a guess anywhere it finds what GSL's Brent finds; smooth ones from a near guess in under two thirds of the
 * trials. */
Test(rising_root, agrees_with_brent)
{
	draw d = {1973};
	int ours = 0, brents = 0;
	for (int i = 0; i < 7000; i++) {
		size_t k = (size_t)i % (sizeof rising / sizeof *rising);
		probe p = {draw_between(&d, 0.02, 0.95), INFINITY, -INFINITY, 0}, far = p, near = p;
		double brent = NAN;
		cr_assert_eq(jw_root(rising[k].residual, &p, 0, 1, 1e-13, &brent, NULL), JW_OK, "%s", rising[k].name);
		jw_guess anywhere = {0, 1, draw_between(&d, 0.01, 0.99), exp(draw_between(&d, -2, 2))};
		cr_assert_eq(jw_rising_root(rising[k].residual, &far, &anywhere, 1e-12, NULL), JW_OK, "%s", rising[k].name);
		cr_expect(fabs(anywhere.x - brent) <= 2e-10, "%s at %.17g: %.17g, by Brent %.17g", rising[k].name, p.parameter,
		          anywhere.x, brent);
		cr_expect(far.lowest >= 0 && far.highest <= 1 && far.calls < 130, "%s: %d calls", rising[k].name, far.calls);
		jw_guess close = {0, 1, jw_clamp(brent * (1 + draw_between(&d, -0.01, 0.01)), 0.01, 0.99), 1};
		cr_assert_eq(jw_rising_root(rising[k].residual, &near, &close, 1e-12, NULL), JW_OK, "%s", rising[k].name);
		cr_expect(fabs(close.x - brent) <= 2e-10, "%s at %.17g: %.17g, by Brent %.17g", rising[k].name, p.parameter,
		          close.x, brent);
		if (rising[k].smooth)
			ours += near.calls, brents += p.calls;
	}
	cr_expect(3 * ours < 2 * brents, "%d trials, Brent %d", ours, brents);
	printf("trials of smooth residuals: %d from a guess 1 %% off, Brent %d\n", ours, brents);
}

/* Beyond the ends there is nothing: the residual's sign says which stop holds. The last trial is the answer. */
Test(rising_root, stops_hold)
{
	const double parameters[] = {-0.3, 0, 1, 1.2};
	for (size_t i = 0; i < sizeof parameters / sizeof *parameters; i++)
		for (double start = 0; start <= 1; start += 0.125) {
			probe p = {parameters[i], INFINITY, -INFINITY, 0};
			jw_guess guess = {0, 1, start, 2};
			cr_expect_eq(jw_rising_root(straight, &p, &guess, 1e-12, NULL), JW_OK);
			cr_expect_eq(guess.x, jw_clamp(parameters[i], 0, 1), "%g from %g: %g", parameters[i], start, guess.x);
			cr_expect(p.calls < 6, "%d calls", p.calls);
		}
}

static double none(double x, void *context)
{
	return visit(x, context) < 0.4 ? -1 : NAN;
}

Test(rising_root, no_number_is_an_error)
{
	probe p = {0};
	jw_error error = {0};
	jw_guess guess = {0, 1, 0.2, 1};
	cr_expect_eq(jw_rising_root(none, &p, &guess, 1e-12, &error), JW_E_NOT_FINITE);
	cr_expect(error.value >= 0.4 && error.low == 0 && error.high == 1);
	cr_expect_eq(guess.x, 0.2);
}

Test(root, nothing_is_allocated)
{
	probe p = {0};
	double x = NAN;
	long before = jw_allocations;
	cr_assert_eq(jw_root(cubic, &p, 2, 3, 1e-12, &x, NULL), JW_OK);
	jw_guess guess = {2, 3, 2.5, 10};
	cr_assert_eq(jw_rising_root(cubic, &p, &guess, 1e-12, NULL), JW_OK);
	cr_expect_eq(jw_allocations, before);
#ifndef JW_SANITIZED
	void *volatile block = malloc(17); /* the counter does count */
	free(block);
	cr_expect_eq(jw_allocations, before + 1);
#endif
}

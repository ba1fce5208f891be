/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include "near.h"
#include <jetwright/uncertainty.h>
#include <string.h>

#define SAMPLES 16383
static double outputs[SAMPLES];

static jw_status product(const double *x, double *y, void *context)
{
	(void)context;
	*y = x[0] * x[1];
	return JW_OK;
}

static jw_status first(const double *x, double *y, void *context)
{
	(void)context;
	*y = x[0];
	return JW_OK;
}

static jw_status sum(const double *x, double *y, void *context)
{
	const int *count = context;
	*y = 0;
	for (int i = 0; i < *count; i++)
		*y += x[i];
	return JW_OK;
}

/* Refuses whatever lies below the limit that is its context. */
static jw_status at_least(const double *x, double *y, void *context)
{
	*y = x[0];
	return x[0] < *(double *)context ? JW_E_RANGE : JW_W_NEAR_THRESHOLD;
}

static jw_status infinite(const double *x, double *y, void *context)
{
	(void)x, (void)context;
	*y = INFINITY;
	return JW_OK;
}

Test(uncertainty, a_product_by_hand_to_second_order)
{
	/* u^2 = (b ua)^2 + (a ub)^2, and with second order + (ua ub)^2, which is exact for a product. */
	const jw_input in[] = {{.mean = 3.7, .uncertainty = 0.4}, {.mean = -1.9, .uncertainty = 0.3}};
	double part[2], second, exact = sqrt(jw_square(1.9 * 0.4) + jw_square(3.7 * 0.3) + jw_square(0.4 * 0.3));
	jw_propagation found;
	jw_sampling sampled;
	cr_assert(jw_propagate(product, NULL, in, 2, 0.3, part, &found, NULL) == JW_OK);
	JW_NEAR_REL(found.value, -3.7 * 1.9, 1e-12);
	JW_NEAR_REL(part[0], -1.9 * 0.4, 1e-12);
	JW_NEAR_REL(part[1], 3.7 * 0.3, 1e-12);
	JW_NEAR_REL(found.uncertainty, hypot(1.9 * 0.4, 3.7 * 0.3), 1e-12);
	cr_expect(found.freedom == 0, "without limit");
	cr_assert(jw_propagate_second(product, NULL, in, 2, 0.3, &second, NULL) == JW_OK);
	JW_NEAR_REL(second, exact, 1e-9);
	cr_assert(jw_sample(product, NULL, in, 2, SAMPLES, 0.95, outputs, &sampled, NULL) == JW_OK);
	JW_NEAR_REL(sampled.deviation, exact, 1e-3);
	JW_NEAR_REL(sampled.mean, -3.7 * 1.9, 1e-3);
}

Test(uncertainty, warnings_of_the_model_are_handed_on)
{
	const jw_input in[] = {{.mean = 3.7, .uncertainty = 0.4}};
	double limit = 0, second;
	cr_expect_eq(jw_propagate_second(at_least, &limit, in, 1, 0.3, &second, NULL), JW_W_NEAR_THRESHOLD);
	JW_NEAR_REL(second, 0.4, 1e-9);
}

Test(uncertainty, quantiles_of_each_distribution)
{
	/* 0.05 and 0.95 quantile of mean 2.3 and standard deviation 0.7; closed forms, normal and t from tables. */
	static const struct {
		jw_distribution kind;
		double freedom, high;
	} rows[] = {
	    {JW_NORMAL, 0, 2.3 + 0.7 * 1.644854},
	    {JW_RECTANGULAR, 0, 2.3 + 0.7 * 1.7320508 * 0.9},
	    {JW_TRIANGULAR, 0, 2.3 + 0.7 * 2.4494897 * (1 - 0.3162278)},
	    {JW_STUDENT, 5, 2.3 + 0.7 * 0.7745967 * 2.015048},
	    {JW_LOG_NORMAL, 0, 2.3 / 1.0452885 * 1.6315933},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_input in = {2.3, 0.7, rows[i].freedom, rows[i].kind};
		jw_sampling found;
		cr_assert(jw_sample(first, NULL, &in, 1, SAMPLES, 0.9, outputs, &found, NULL) == JW_OK);
		JW_NEAR_REL(found.high, rows[i].high, 1e-3);
		JW_NEAR_REL(found.mean, 2.3, 1e-3);
		JW_NEAR_REL(found.deviation, 0.7, rows[i].kind == JW_STUDENT ? 2e-2 : 2e-3);
		if (rows[i].kind != JW_LOG_NORMAL)
			JW_NEAR_REL(found.low, 2 * 2.3 - rows[i].high, 2e-3);
		double width = found.shortest_high - found.shortest_low;
		cr_expect(width <= 1.002 * (found.high - found.low), "row %zu", i);
		cr_expect((width < 0.98 * (found.high - found.low)) == (rows[i].kind == JW_LOG_NORMAL), "row %zu", i);
	}
}

Test(uncertainty, sums_of_few_and_of_many_inputs)
{
	static const int counts[] = {5, 40, 41, 120};
	for (size_t c = 0; c < sizeof counts / sizeof *counts; c++) {
		int count = counts[c];
		jw_input in[JW_INPUTS];
		double variance = 0;
		for (int i = 0; i < count; i++) {
			in[i] =
			    (jw_input){.mean = i - 7.5, .uncertainty = 0.1 + 0.03 * i, .distribution = (jw_distribution)(i % 3)};
			variance += jw_square(in[i].uncertainty);
		}
		jw_propagation found;
		jw_sampling sampled;
		cr_assert(jw_propagate(sum, &count, in, count, 1, NULL, &found, NULL) == JW_OK);
		JW_NEAR_REL(found.uncertainty, sqrt(variance), 1e-9);
		cr_assert(jw_sample(sum, &count, in, count, SAMPLES, 0.95, outputs, &sampled, NULL) == JW_OK);
		JW_NEAR_REL(sampled.deviation, sqrt(variance), 0.02);
	}
}

Test(uncertainty, coverage_factors_of_the_table)
{
	/* JCGM 100:2008, table G.2 */
	static const double rows[][3] = {
	    {1, 0.95, 12.71}, {3, 0.95, 3.18}, {10, 0.99, 3.17}, {50, 0.9, 1.68}, {0, 0.95, 1.96}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double factor;
		cr_assert(jw_coverage_factor(rows[i][0], rows[i][1], &factor, NULL) == JW_OK);
		cr_expect(fabs(factor - rows[i][2]) < 0.005, "row %zu: %.17g", i, factor);
	}
}

/* Student's inverse is closed for one degree of freedom and for two (Abramowitz and Stegun 26.7), and has one
 * everywhere. */
Test(uncertainty, coverage_factors_of_few_degrees)
{
	for (double p = 0.001; p < 1; p += 0.0203) {
		double one, two, before = INFINITY;
		cr_assert(jw_coverage_factor(1, p, &one, NULL) == JW_OK && jw_coverage_factor(2, p, &two, NULL) == JW_OK);
		JW_NEAR_REL(one, tan(0.5 * JW_PI * p), 1e-9);
		JW_NEAR_REL(two, p * sqrt(2 / (1 - p * p)), 1e-9);
		for (double freedom = 0.5; freedom < 1e9; freedom *= 1.37) {
			double factor;
			cr_assert(jw_coverage_factor(freedom, p, &factor, NULL) == JW_OK);
			cr_expect(factor > 0 && factor <= before * (1 + 1e-6), "%g of %g: %g after %g", p, freedom, factor, before);
			before = factor;
		}
	}
	const double ends[] = {1e-9, 1 - 1e-9}, freedoms[] = {0.5, 30, 1e9};
	for (size_t i = 0; i < 6; i++) {
		double factor = 0;
		cr_expect(jw_coverage_factor(freedoms[i / 2], ends[i % 2], &factor, NULL) == JW_OK && factor > 0 &&
		          isfinite(factor));
	}
}

Test(uncertainty, a_refused_part_is_cut_off)
{
	/* Half a normal: mean 0.7979 of a deviation above the cut (closed form). */
	const jw_input in = {.mean = 4, .uncertainty = 1.5};
	double limit = 4 - 1e-9;
	jw_sampling found;
	cr_assert(jw_sample(at_least, &limit, &in, 1, SAMPLES, 0.95, outputs, &found, NULL) == JW_W_NEAR_THRESHOLD);
	JW_NEAR_REL(found.mean, 4 + 1.5 * 0.7978846, 1e-3);
	cr_expect(abs(found.left_out - SAMPLES / 2) <= 1);
	limit = 4.5;
	jw_error error = {0};
	cr_expect(jw_sample(at_least, &limit, &in, 1, SAMPLES, 0.95, outputs, &found, &error) == JW_E_RANGE);
	cr_expect(error.value > SAMPLES / 2);
}

Test(uncertainty, each_refusal_names_its_argument)
{
	const jw_input good = {.mean = 1.3, .uncertainty = 0.2};
	static const struct {
		jw_input in;
		int count;
		double step;
		const char *field;
	} rows[] = {
	    {{1.3, 0.2, 0, JW_NORMAL}, 0, 1, "count"},
	    {{1.3, 0.2, 0, JW_NORMAL}, JW_INPUTS + 1, 1, "count"},
	    {{NAN, 0.2, 0, JW_NORMAL}, 1, 1, "mean"},
	    {{-1.3, 0.2, 0, JW_LOG_NORMAL}, 1, 1, "mean"},
	    {{1.3, -0.2, 0, JW_NORMAL}, 1, 1, "uncertainty"},
	    {{1.3, 0.2, 2, JW_STUDENT}, 1, 1, "freedom"},
	    {{1.3, 0.2, 0, JW_DISTRIBUTION_COUNT}, 1, 1, "distribution"},
	    {{1.3, 0.2, 0, JW_NORMAL}, 1, 0, "step"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_input in[JW_INPUTS + 1];
		jw_propagation found = {-7, -7, -7};
		jw_error error = {0};
		for (int k = 0; k <= JW_INPUTS; k++)
			in[k] = rows[i].in;
		cr_expect(jw_propagate(first, NULL, in, rows[i].count, rows[i].step, NULL, &found, &error) < 0);
		cr_expect(error.field && !strcmp(error.field, rows[i].field), "row %zu: %s", i, error.field);
		cr_expect(found.value == -7, "outputs are left alone");
	}
	jw_sampling sampled;
	jw_propagation found;
	double factor;
	cr_expect(jw_propagate(infinite, NULL, &good, 1, 1, NULL, &found, NULL) == JW_E_NOT_FINITE);
	cr_expect(jw_sample(infinite, NULL, &good, 1, 200, 0.9, outputs, &sampled, NULL) == JW_E_NOT_FINITE);
	cr_expect(jw_sample(first, NULL, &good, 1, 99, 0.9, outputs, &sampled, NULL) == JW_E_RANGE);
	cr_expect(jw_sample(first, NULL, &good, 1, 200, 1, outputs, &sampled, NULL) == JW_E_RANGE);
	cr_expect(jw_coverage_factor(-1, 0.9, &factor, NULL) == JW_E_RANGE);
	cr_expect(jw_coverage_factor(4, 1.2, &factor, NULL) == JW_E_RANGE);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/uncertainty.h"

#include "solve/student.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_qrng.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <stdalign.h>

#define SOBOL_MOST 40
/* Of either generator; Sobol's direction numbers are the most. */
#define STATE_BYTES 8192

static double normal(double below, const jw_input *x)
{
	return x->mean + x->uncertainty * gsl_cdf_ugaussian_Pinv(below);
}

static double rectangular(double below, const jw_input *x)
{
	return x->mean + x->uncertainty * sqrt(3) * (2 * below - 1);
}

static double triangular(double below, const jw_input *x)
{
	double half = x->uncertainty * sqrt(6), from_end = sqrt(2 * fmin(below, 1 - below));
	return x->mean + (below < 0.5 ? from_end - 1 : 1 - from_end) * half;
}

static double student(double below, const jw_input *x)
{
	double scale = x->uncertainty * sqrt((x->freedom - 2) / x->freedom);
	return x->mean + scale * jw_student(below, x->freedom);
}

static double log_normal(double below, const jw_input *x)
{
	double variance = log1p(jw_square(x->uncertainty / x->mean));
	return x->mean * exp(sqrt(variance) * gsl_cdf_ugaussian_Pinv(below) - 0.5 * variance);
}

/* The value below which a share of each distribution lies. */
static double (*const inverse[JW_DISTRIBUTION_COUNT])(double below,
                                                      const jw_input *x) = {[JW_NORMAL] = normal,
                                                                            [JW_RECTANGULAR] = rectangular,
                                                                            [JW_TRIANGULAR] = triangular,
                                                                            [JW_STUDENT] = student,
                                                                            [JW_LOG_NORMAL] = log_normal};

/* GSL's generators with their state here, since GSL would allocate it. */
typedef struct sequence {
	unsigned even, random; /* inputs that follow Sobol's sequence, and the rest */
	alignas(16) char sobol[STATE_BYTES], tausworthe[STATE_BYTES];
} sequence;

static jw_status begin(sequence *s, int count, jw_error *error)
{
	s->even = count < SOBOL_MOST ? (unsigned)count : SOBOL_MOST;
	s->random = (unsigned)count - s->even;
	size_t most = gsl_qrng_sobol->state_size(s->even);
	if (most > STATE_BYTES || gsl_rng_taus2->size > STATE_BYTES)
		return jw_fail(error, JW_E_MEMORY, "count", count, 1, STATE_BYTES);
	gsl_qrng_sobol->init_state(s->sobol, s->even);
	gsl_rng_taus2->set(s->tausworthe, 1);
	return JW_OK;
}

/* Between 0 and 1, either end left out. */
static double random_share(sequence *s)
{
	return 1e-10 + (1 - 2e-10) * gsl_rng_taus2->get_double(s->tausworthe);
}

static jw_status draw(sequence *s, jw_model model, void *context, const jw_input *inputs, double *y, jw_error *error)
{
	double x[JW_INPUTS];
	gsl_qrng_sobol->get(s->sobol, s->even, x);
	for (unsigned i = 0; i < s->random; i++)
		x[s->even + i] = random_share(s);
	for (unsigned i = 0; i < s->even + s->random; i++)
		x[i] = inverse[inputs[i].distribution](x[i], &inputs[i]);
	return jw_model_at(model, context, x, y, error);
}

/* The shortest stretch of the sorted outputs that holds the share of them. */
static void find_shortest(const double *sorted, int n, double probability, jw_sampling *result)
{
	int within = (int)ceil(probability * n), best = 0;
	for (int i = 1; i + within < n; i++)
		if (sorted[i + within] - sorted[i] < sorted[best + within] - sorted[best])
			best = i;
	result->shortest_low = sorted[best];
	result->shortest_high = sorted[best + within < n ? best + within : n - 1];
}

static jw_sampling summed_up(double *outputs, int n, int samples, double probability)
{
	const size_t count = (size_t)n;
	jw_sampling result = {.left_out = samples - n};
	gsl_sort(outputs, 1, count);
	result.mean = gsl_stats_mean(outputs, 1, count);
	result.deviation = gsl_stats_sd_m(outputs, 1, count, result.mean);
	result.low = gsl_stats_quantile_from_sorted_data(outputs, 1, count, 0.5 * (1 - probability));
	/* Between equal outputs the interpolation rounds. */
	result.high = fmax(gsl_stats_quantile_from_sorted_data(outputs, 1, count, 0.5 * (1 + probability)), result.low);
	find_shortest(outputs, n, probability, &result);
	return result;
}

jw_status jw_sample(jw_model model, void *context, const jw_input *inputs, int count, int samples, double probability,
                    double *outputs, jw_sampling *result, jw_error *error)
{
	sequence s;
	jw_status warnings = JW_OK, status = jw_inputs_check(inputs, count, error);
	if (status == JW_OK)
		status = jw_check_range("samples", samples, 100, 1e9, error);
	if (status == JW_OK)
		status = jw_check_range("probability", probability, 1e-9, 1 - 1e-9, error);
	if (status == JW_OK)
		status = begin(&s, count, error);
	if (status < 0)
		return status;
	int n = 0;
	for (int i = 0; i < samples; i++) {
		status = draw(&s, model, context, inputs, &outputs[n], error);
		if (status < 0 && status != JW_E_RANGE)
			return status;
		n += status >= 0;
		warnings |= status >= 0 ? status : 0;
	}
	if (n < samples / 2)
		return jw_fail(error, JW_E_RANGE, "model", samples - n, 0, samples / 2);
	jw_sampling all = summed_up(outputs, n, samples, probability);
	if (!isfinite(all.mean) || !isfinite(all.deviation)) /* each output is, their squares need not be */
		return jw_fail(error, JW_E_NOT_FINITE, "model", all.mean, -INFINITY, INFINITY);
	*result = all;
	return warnings;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/uncertainty.h"

#include "solve/student.h"

#include <float.h>
#include <gsl/gsl_cdf.h>

jw_status jw_inputs_check(const jw_input *inputs, int count, jw_error *error)
{
	jw_status status = jw_check_range("count", count, 1, JW_INPUTS, error);
	for (int i = 0; i < count && status == JW_OK; i++) {
		const jw_input *x = &inputs[i];
		double least = x->distribution == JW_LOG_NORMAL ? 1e-300 : -1e300;
		int student = x->distribution == JW_STUDENT;
		status = jw_check_range("mean", x->mean, least, 1e300, error);
		if (status == JW_OK)
			status = jw_check_range("uncertainty", x->uncertainty, 0, 1e300, error);
		if (status == JW_OK)
			status = jw_check_range("freedom", x->freedom, student ? 2.001 : 0, 1e9, error);
		if (status == JW_OK)
			status = jw_check_range("distribution", x->distribution, 0, JW_DISTRIBUTION_COUNT - 1, error);
	}
	return status;
}

jw_status jw_model_at(jw_model model, void *context, const double *x, double *y, jw_error *error)
{
	jw_status status = model(x, y, context);
	if (status < 0)
		return jw_fail(error, status, "model", 0, 0, 0);
	return isfinite(*y) ? status : jw_fail(error, JW_E_NOT_FINITE, "model", *y, 0, 0);
}

/* Differences of a model about the means of its inputs. */
typedef struct stencil {
	jw_model model;
	void *context;
	const jw_input *inputs;
	int count;
	double step;
	double centre;
	jw_status status; /* the first error, or all warnings */
	jw_error *error;
} stencil;

/* The model with input i moved by a steps and input j by b. */
static double moved(stencil *s, int i, double a, int j, double b)
{
	double x[JW_INPUTS], y = 0;
	if (s->status < 0)
		return 0;
	for (int k = 0; k < s->count; k++)
		x[k] = s->inputs[k].mean + s->step * s->inputs[k].uncertainty * ((k == i) * a + (k == j) * b);
	jw_status status = jw_model_at(s->model, s->context, x, &y, s->error);
	s->status = status < 0 ? status : s->status | status;
	return y;
}

static jw_status prepare(stencil *s)
{
	jw_status status = jw_inputs_check(s->inputs, s->count, s->error);
	if (status == JW_OK)
		status = jw_check_range("step", s->step, 1e-9, 1, s->error);
	if (status == JW_OK)
		s->centre = moved(s, 0, 0, 0, 0);
	return status < 0 ? status : s->status;
}

/* c_i u_i */
static double first_order(stencil *s, int i)
{
	if (s->inputs[i].uncertainty == 0)
		return 0;
	return (moved(s, i, 1, i, 0) - moved(s, i, -1, i, 0)) / (2 * s->step);
}

jw_status jw_propagate(jw_model model, void *context, const jw_input *inputs, int count, double step,
                       double *contribution, jw_propagation *result, jw_error *error)
{
	stencil s = {model, context, inputs, count, step, 0, JW_OK, error};
	double part[JW_INPUTS], variance = 0, fourths = 0;
	jw_status status = prepare(&s);
	if (status < 0)
		return status;
	for (int i = 0; i < count; i++) {
		part[i] = first_order(&s, i);
		variance += jw_square(part[i]);
		if (inputs[i].freedom > 0)
			fourths += jw_square(jw_square(part[i])) / inputs[i].freedom;
	}
	if (s.status < 0)
		return s.status;
	double freedom = fourths > 0 ? jw_square(variance) / fourths : 0;
	if (!isfinite(variance + freedom))
		return jw_fail(error, JW_E_NOT_FINITE, "variance", variance, 0, DBL_MAX);
	for (int i = 0; contribution && i < count; i++)
		contribution[i] = part[i];
	*result = (jw_propagation){s.centre, sqrt(variance), freedom};
	return s.status;
}

/* Twice the pair's share of the sum over i and j: its own curvature and how it bends the slopes. */
static double of_pair(stencil *s, const double *slope, int i, int j)
{
	double pp = moved(s, i, 1, j, 1), pm = moved(s, i, 1, j, -1), mp = moved(s, i, -1, j, 1),
	       mm = moved(s, i, -1, j, -1);
	double pi = moved(s, i, 1, i, 0), mi = moved(s, i, -1, i, 0), pj = moved(s, j, 1, j, 0), mj = moved(s, j, -1, j, 0);
	double h2 = jw_square(s->step), h3 = h2 * s->step;
	double both = (pp - pm - mp + mm) / (4 * h2);
	double ijj = (pp + pm - 2 * pi - mp - mm + 2 * mi) / (2 * h3),
	       jii = (pp + mp - 2 * pj - pm - mm + 2 * mj) / (2 * h3);
	return jw_square(both) + slope[i] * ijj + slope[j] * jii;
}

static double of_one(stencil *s, const double *slope, int i)
{
	double p = moved(s, i, 1, i, 0), m = moved(s, i, -1, i, 0), pp = moved(s, i, 2, i, 0), mm = moved(s, i, -2, i, 0);
	double h2 = jw_square(s->step);
	double twice = (p - 2 * s->centre + m) / h2, thrice = (pp - 2 * p + 2 * m - mm) / (2 * h2 * s->step);
	return 0.5 * jw_square(twice) + slope[i] * thrice;
}

jw_status jw_propagate_second(jw_model model, void *context, const jw_input *inputs, int count, double step,
                              double *uncertainty, jw_error *error)
{
	stencil s = {model, context, inputs, count, step, 0, JW_OK, error};
	double slope[JW_INPUTS], variance = 0;
	jw_status status = prepare(&s);
	if (status < 0)
		return status;
	for (int i = 0; i < count; i++) {
		slope[i] = first_order(&s, i);
		variance += jw_square(slope[i]);
	}
	for (int i = 0; i < count; i++) {
		variance += of_one(&s, slope, i);
		for (int j = 0; j < i; j++)
			variance += of_pair(&s, slope, i, j);
	}
	if (s.status < 0)
		return s.status;
	if (!isfinite(variance))
		return jw_fail(error, JW_E_NOT_FINITE, "variance", variance, 0, DBL_MAX);
	*uncertainty = sqrt(fmax(variance, 0));
	return s.status;
}

jw_status jw_coverage_factor(double freedom, double probability, double *factor, jw_error *error)
{
	jw_status status = jw_check_range("freedom", freedom, 0, 1e9, error);
	if (status == JW_OK)
		status = jw_check_range("probability", probability, 1e-9, 1 - 1e-9, error);
	if (status == JW_OK && freedom > 0)
		status = jw_check_range("freedom", freedom, 0.5, 1e9, error);
	if (status < 0)
		return status;
	double below = 0.5 * (1 + probability);
	*factor = freedom > 0 ? jw_student(below, freedom) : gsl_cdf_ugaussian_Pinv(below);
	return JW_OK;
}

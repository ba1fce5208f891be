/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include <jetwright/diagnose.h>

static double surprise(double p)
{
	return p > 0 ? -p * log2(p) : 0;
}

double jw_entropy(const double *p, int n)
{
	double bits = 0;
	for (int i = 0; i < n; i++)
		bits += surprise(p[i]);
	return bits;
}

jw_status jw_posterior(const double *prior, const double *likelihood, int n, double *posterior, jw_error *error)
{
	double sum = 0;
	for (int i = 0; i < n; i++) {
		if (!isfinite(prior[i]) || !isfinite(likelihood[i]) || prior[i] < 0 || likelihood[i] < 0)
			return jw_fail(error, JW_E_RANGE, "likelihood", likelihood[i], 0, HUGE_VAL);
		sum += prior[i] * likelihood[i];
	}
	if (!(sum > 0) || !isfinite(sum))
		return jw_fail(error, JW_E_RANGE, "likelihood", sum, 0, HUGE_VAL);
	for (int i = 0; i < n; i++)
		posterior[i] = prior[i] * likelihood[i] / sum;
	return JW_OK;
}

/* Mutual information as entropy of the outcomes minus their mean entropy given the hypothesis. */
double jw_expected_information(const double *prior, const double *outcome, int n, int m)
{
	double bits = 0;
	for (int j = 0; j < m; j++) {
		double p = 0;
		for (int i = 0; i < n; i++)
			p += prior[i] * outcome[i * m + j];
		bits += surprise(p);
	}
	for (int i = 0; i < n; i++)
		bits -= prior[i] * jw_entropy(outcome + (size_t)i * (size_t)m, m);
	return fmax(bits, 0);
}

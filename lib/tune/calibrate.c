/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/tune.h>

#include "base/base.h"
#include "solve/root.h"
#include "solve/system.h"

#include <string.h>

#define LEAST 0.2
#define MOST 5.0
/* Where Newton on all three finds nothing from near 1: a few sweeps, one circuit at a time, bring a start. */
#define SWEEPS 3
#define SETTLED 1e-10

/* Which coefficient answers for which range. */
typedef struct circuit_row {
	jw_range range;
	size_t coefficient;
	size_t lambda;
	const char *field;
} circuit_row;

static const circuit_row circuits[] = {
    {JW_FULL, offsetof(jw_coefficients, main), offsetof(jw_baseline, lambda_full), "baseline.full"},
    {JW_HALF, offsetof(jw_coefficients, needle), offsetof(jw_baseline, lambda_half), "baseline.half"},
    {JW_IDLE, offsetof(jw_coefficients, pilot), offsetof(jw_baseline, lambda_idle), "baseline.idle"},
};
#define CIRCUITS (sizeof circuits / sizeof *circuits)

typedef struct matching {
	jw_setup setup;
	const jw_baseline *baseline;
	const circuit_row *row;
	jw_status status;
} matching;

static double *coefficient_of(jw_setup *setup, const circuit_row *row)
{
	return (double *)(void *)((char *)&setup->coefficient + row->coefficient);
}

static double wanted_of(const jw_baseline *baseline, const circuit_row *row)
{
	return *(const double *)(const void *)((const char *)baseline + row->lambda);
}

/* In phi, which is finite without fuel too. */
static double mismatch(matching *m, const circuit_row *row)
{
	jw_mixture mixture = {0};
	jw_status status = jw_mixture_at(&m->setup, &m->baseline->air, &m->setup.range[row->range], &mixture, NULL);
	if (status < 0)
		m->status = status;
	return mixture.phi * wanted_of(m->baseline, row) - 1.0;
}

static double mismatch_of_one(double log_coefficient, void *context)
{
	matching *m = context;
	*coefficient_of(&m->setup, m->row) = exp(log_coefficient);
	return mismatch(m, m->row);
}

static void mismatch_of_all(const double *log_coefficient, double *residual, void *context)
{
	matching *m = context;
	for (size_t i = 0; i < CIRCUITS; i++)
		*coefficient_of(&m->setup, &circuits[i]) = exp(log_coefficient[i]);
	for (size_t i = 0; i < CIRCUITS; i++)
		residual[i] = mismatch(m, &circuits[i]);
}

/* One circuit after the other, as far as each alone can go. */
static void sweep(matching *m, double *log_coefficient)
{
	for (size_t i = 0; i < CIRCUITS; i++) {
		m->row = &circuits[i];
		if (jw_root(mismatch_of_one, m, log(LEAST), log(MOST), 1e-3, &log_coefficient[i], NULL) < 0) {
			int lean = mismatch_of_one(log(MOST), m) < 0.0;
			log_coefficient[i] = lean ? log(MOST) : log(LEAST);
		}
		*coefficient_of(&m->setup, m->row) = exp(log_coefficient[i]);
	}
}

/* Main and needle share the fuel of half and full throttle, and where the annulus is narrow several pairs give the same
 * mixture. Starts all round 1, in logarithms, find them. */
static const double starts[][CIRCUITS] = {
    {0.0, 0.0, 0.0},   {0.35, 0.0, 0.0},   {-0.35, 0.0, 0.0},  {0.0, 0.35, 0.0},    {0.0, -0.35, 0.0},
    {0.35, 0.35, 0.0}, {0.35, -0.35, 0.0}, {-0.35, 0.35, 0.0}, {-0.35, -0.35, 0.0},
};

static jw_status settle(matching *m, double *log_coefficient, int *worst)
{
	return jw_system(mismatch_of_all, m, (int)CIRCUITS, log(LEAST), log(MOST), SETTLED, log_coefficient, worst);
}

static double far_from_one(const double *log_coefficient)
{
	double sum = 0.0;
	for (size_t i = 0; i < CIRCUITS; i++)
		sum += jw_square(log_coefficient[i]);
	return sum;
}

/* Of all solutions found the nearest to 1; 0 where there is none. */
static int nearest(matching *m, double *best)
{
	double least = INFINITY;
	int worst = 0;
	for (size_t k = 0; k < sizeof starts / sizeof *starts; k++) {
		double found[CIRCUITS];
		memcpy(found, starts[k], sizeof found);
		if (settle(m, found, &worst) == JW_OK && far_from_one(found) < least) {
			least = far_from_one(found);
			memcpy(best, found, sizeof found);
		}
	}
	return isfinite(least);
}

static jw_status match(matching *m, jw_error *error)
{
	double log_coefficient[CIRCUITS] = {0};
	int worst = 0;
	jw_status status = JW_OK;
	if (!nearest(m, log_coefficient)) {
		m->status = JW_OK;
		for (int i = 0; i < SWEEPS; i++)
			sweep(m, log_coefficient);
		status = settle(m, log_coefficient, &worst);
	}
	const circuit_row *row = &circuits[worst];
	if (status < 0 && m->status < 0)
		return jw_fail(error, m->status, row->field, wanted_of(m->baseline, row), LEAST, MOST);
	if (status < 0)
		return jw_fail(error, JW_E_BASELINE, row->field, wanted_of(m->baseline, row), LEAST, MOST);
	for (size_t i = 0; i < CIRCUITS; i++)
		*coefficient_of(&m->setup, &circuits[i]) = exp(log_coefficient[i]);
	return JW_OK;
}

static jw_status uncalibrated(const jw_setup *setup, const jw_air *air, double *lambda, jw_error *error)
{
	jw_setup plain = *setup;
	plain.coefficient.main = plain.coefficient.needle = plain.coefficient.pilot = 1.0;
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		jw_mixture mixture;
		jw_status status = jw_mixture_at(&plain, air, &plain.range[range], &mixture, error);
		if (status < 0)
			return status;
		lambda[range] = mixture.phi > 0.0 ? 1.0 / mixture.phi : 0.0;
	}
	return JW_OK;
}

jw_status jw_calibrate(const jw_setup *setup, const jw_baseline *baseline, jw_calibration *result, jw_error *error)
{
	jw_status status = JW_OK;
	for (size_t i = 0; i < CIRCUITS && status == JW_OK; i++)
		status = jw_check_range(circuits[i].field, wanted_of(baseline, &circuits[i]), 0.5, 1.5, error);
	jw_calibration found = {0};
	if (status == JW_OK)
		status = uncalibrated(setup, &baseline->air, found.lambda_uncalibrated, error);
	if (status < 0)
		return status;

	matching m = {.setup = *setup, .baseline = baseline};
	m.setup.coefficient.main = m.setup.coefficient.needle = m.setup.coefficient.pilot = 1.0;
	status = match(&m, error);
	if (status < 0)
		return status;
	found.coefficient = m.setup.coefficient;
	for (size_t i = 0; i < CIRCUITS; i++) {
		double value = *coefficient_of(&m.setup, &circuits[i]);
		if (value < JW_COEFFICIENT_LEAST || value > JW_COEFFICIENT_MOST)
			status |= JW_W_COEFFICIENT;
	}
	*result = found;
	return status;
}

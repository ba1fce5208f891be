/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/tune.h>

#include "base/base.h"
#include "solve/root.h"

#define LEAST 0.2
#define MOST 5.0
#define SWEEPS 40
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
	double wanted_lambda;
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
static double richness(double log_coefficient, void *context)
{
	matching *m = context;
	*coefficient_of(&m->setup, m->row) = exp(log_coefficient);
	jw_mixture mixture = {0};
	jw_status status = jw_mixture_at(&m->setup, &m->baseline->air, &m->setup.range[m->row->range], &mixture, NULL);
	if (status < 0)
		m->status = status;
	return mixture.phi * m->wanted_lambda - 1.0;
}

/* One coefficient with the others held; returns by how much it moved. */
static jw_status match(matching *m, const circuit_row *row, double *moved, jw_error *error)
{
	double *coefficient = coefficient_of(&m->setup, row);
	double before = log(*coefficient), after;
	m->row = row;
	m->wanted_lambda = wanted_of(m->baseline, row);
	jw_status status = jw_root(richness, m, log(LEAST), log(MOST), 1e-13, &after, NULL);
	if (m->status < 0)
		return jw_fail(error, m->status, row->field, m->wanted_lambda, LEAST, MOST);
	if (status < 0)
		return jw_fail(error, JW_E_BASELINE, row->field, m->wanted_lambda, LEAST, MOST);
	*coefficient = exp(after);
	*moved = fmax(*moved, fabs(after - before));
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
	double moved = INFINITY;
	for (int sweep = 0; sweep < SWEEPS && moved > SETTLED; sweep++) {
		moved = 0.0;
		for (size_t i = 0; i < CIRCUITS; i++) {
			status = match(&m, &circuits[i], &moved, error);
			if (status < 0)
				return status;
		}
	}
	if (moved > SETTLED)
		return jw_fail(error, JW_E_NO_CONVERGENCE, "baseline", moved, 0.0, SETTLED);
	found.coefficient = m.setup.coefficient;
	for (size_t i = 0; i < CIRCUITS; i++) {
		double value = *coefficient_of(&m.setup, &circuits[i]);
		if (value < 0.8 || value > 1.25)
			status |= JW_W_COEFFICIENT;
	}
	*result = found;
	return status;
}

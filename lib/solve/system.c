/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/system.h"

#include <string.h>

#define MOST_STEPS 60
#define MOST_HALVINGS 12
#define DIFFERENCE 1e-5

typedef double matrix[JW_UNKNOWNS][JW_UNKNOWNS + 1];

/* Gauss with row pivots on the matrix and its right-hand column; 0 where it is singular. */
static int eliminate(int n, matrix m, double *x)
{
	for (int k = 0; k < n; k++) {
		int pivot = k;
		for (int i = k + 1; i < n; i++)
			if (fabs(m[i][k]) > fabs(m[pivot][k]))
				pivot = i;
		if (!(fabs(m[pivot][k]) > 1e-300))
			return 0;
		for (int j = k; j <= n; j++) {
			double swap = m[k][j];
			m[k][j] = m[pivot][j];
			m[pivot][j] = swap;
		}
		for (int i = k + 1; i < n; i++) {
			double factor = m[i][k] / m[k][k];
			for (int j = k; j <= n; j++)
				m[i][j] -= factor * m[k][j];
		}
	}
	for (int k = n - 1; k >= 0; k--) {
		x[k] = m[k][n];
		for (int j = k + 1; j < n; j++)
			x[k] -= m[k][j] * x[j];
		x[k] /= m[k][k];
	}
	return 1;
}

static double largest(int n, const double *residual, int *worst)
{
	double most = -1.0;
	for (int i = 0; i < n; i++)
		if (!(fabs(residual[i]) <= most)) {
			most = fabs(residual[i]);
			*worst = i;
		}
	return most;
}

static int newton_step(jw_residuals residuals, void *context, int n, const double *x, const double *at, double high,
                       double *step)
{
	matrix m;
	for (int j = 0; j < n; j++) {
		double moved[JW_UNKNOWNS], there[JW_UNKNOWNS];
		memcpy(moved, x, (size_t)n * sizeof *x);
		double h = x[j] + DIFFERENCE > high ? -DIFFERENCE : DIFFERENCE;
		moved[j] += h;
		residuals(moved, there, context);
		for (int i = 0; i < n; i++)
			m[i][j] = (there[i] - at[i]) / h;
	}
	for (int i = 0; i < n; i++)
		m[i][n] = -at[i];
	return eliminate(n, m, step);
}

jw_status jw_system(jw_residuals residuals, void *context, int n, double low, double high, double tolerance, double *x,
                    int *worst)
{
	double at[JW_UNKNOWNS], step[JW_UNKNOWNS];
	residuals(x, at, context);
	double size = largest(n, at, worst);
	for (int k = 0; k < MOST_STEPS && size > tolerance; k++) {
		if (!newton_step(residuals, context, n, x, at, high, step))
			return JW_E_NO_CONVERGENCE;
		double share = 1.0, before = size;
		for (int halving = 0; halving < MOST_HALVINGS; halving++, share *= 0.5) {
			double trial[JW_UNKNOWNS], there[JW_UNKNOWNS];
			int where = 0;
			for (int i = 0; i < n; i++)
				trial[i] = jw_clamp(x[i] + share * step[i], low, high);
			residuals(trial, there, context);
			double new_size = largest(n, there, &where);
			if (new_size < before) {
				memcpy(x, trial, (size_t)n * sizeof *x);
				memcpy(at, there, (size_t)n * sizeof *at);
				size = new_size;
				*worst = where;
				break;
			}
		}
		if (size >= before)
			return JW_E_NO_CONVERGENCE;
	}
	return size <= tolerance ? JW_OK : JW_E_NO_CONVERGENCE;
}

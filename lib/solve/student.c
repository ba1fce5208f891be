/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/student.h"

#include "solve/root.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

/* ln t: nearer to the middle than a rounding, and beyond the tail of half a degree of freedom. */
#define LEAST_LOG -45.0
#define MOST_LOG 60.0
#define TOLERANCE 1e-14
#define MOST_EXCESS 1e3 /* where the tail is 0 */

typedef struct tail {
	double share, freedom;
} tail;

static double excess(double log_t, void *context)
{
	const tail *t = context;
	return fmin(log(t->share / gsl_cdf_tdist_Q(exp(log_t), t->freedom)), MOST_EXCESS);
}

double jw_student(double below, double freedom)
{
	tail t = {fmin(below, 1.0 - below), freedom};
	double log_t;
	if (jw_root(excess, &t, LEAST_LOG, MOST_LOG, TOLERANCE, &log_t, NULL) < 0)
		return 0.0; /* the middle */
	return copysign(exp(log_t), below - 0.5);
}

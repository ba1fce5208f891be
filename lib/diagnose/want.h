/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a warm engine wants of its mixture in each range. */
#ifndef JW_DIAGNOSE_WANT_H
#define JW_DIAGNOSE_WANT_H

#include <jetwright/point.h>

typedef enum jw_want {
	JW_WANT_RICH_STOP,  /* does not keep running below */
	JW_WANT_RICH_LIMIT, /* misfires below */
	JW_WANT_RICH_ROUGH, /* runs rough, loses power below */
	JW_WANT_BEST,
	JW_WANT_LEAN_ROUGH, /* hunts, stumbles, loses power above */
	JW_WANT_LEAN_LIMIT, /* misfires above */
	JW_WANT_LEAN_STOP,  /* does not keep running above */
	JW_WANT_COUNT
} jw_want;

/* A lambda, and the standard spread of its logarithm from one engine to the next. */
typedef struct jw_limit {
	double lambda, spread, ln_lambda;
} jw_limit;

jw_limit jw_wanted(jw_range range, jw_want want);

/* Probability that an engine at this ln(phi) is leaner (richer) than it tolerates.
 * \param tolerance of this engine in this range, in standard deviations: above 0 it runs on leaner and on richer
 * mixtures than most. Drawn from the standard normal, it gives back the limit's spread. */
double jw_leaner_than(jw_range range, jw_want want, double lnphi, double tolerance);
double jw_richer_than(jw_range range, jw_want want, double lnphi, double tolerance);

/* Probability of being past each limit that a mask of bits asks for, on the side where it is one. */
void jw_past_limits(jw_range range, unsigned wants_asked, double lnphi, double tolerance, double *past);

/* Standard normal distribution function. */
double jw_normal_cdf(double z);

#endif

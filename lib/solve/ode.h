/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A few ordinary differential equations over time, by GSL's Runge-Kutta of Cash and Karp, 4(5), with its step control.
 * GSL allocates its workspace itself. */
#ifndef JW_SOLVE_ODE_H
#define JW_SOLVE_ODE_H

#include "base/base.h"

#define JW_ODE_UNKNOWNS 160

/* Fills dy/dt at t; a step in which it is not finite is taken back and halved. */
typedef void (*jw_ode_rates)(double t, const double *y, double *rate, void *context);
/* The integration ends where this first falls to 0 or below; must be finite. */
typedef double (*jw_ode_event)(double t, const double *y, void *context);
/* One step, its ends with what is there; within it y is the cubic that has the same rates at both. */
typedef struct jw_ode_span {
	double from, to;
	const double *y_from, *y_to, *rate_from, *rate_to;
	int unknowns;
} jw_ode_span;

/* Told every step, before anything is changed at its end. */
typedef void (*jw_ode_within)(const jw_ode_span *span, void *context);
/* Told that a stop is reached; may change y. */
typedef void (*jw_ode_stop)(int stop, double t, double *y, void *context);

typedef struct jw_ode {
	jw_ode_rates rates;
	jw_ode_event event; /* NULL: none */
	void *context;
	int unknowns;           /* 1..JW_ODE_UNKNOWNS */
	double relative;        /* error allowed in a step, per y */
	const double *absolute; /* the same beside it, one an unknown, in its unit */
	double longest;         /* step, s; an event that comes and goes within one is missed */
	const double *stops;    /* times, rising, at which a step must end, as where the rates have a kink; NULL: none */
	int stop_count;
	jw_ode_stop at_stop;  /* NULL: the stops only end steps */
	jw_ode_within within; /* NULL: none */
} jw_ode;

/* Moves t and y from where they stand towards `end`. Kinks in the rates only shorten steps.
 * \param[out] stopped 1: at the event, 0: at the end
 * \return JW_OK, JW_E_RANGE (bad counts, tolerances or times), JW_E_NO_CONVERGENCE (too many steps), JW_E_MEMORY */
jw_status jw_ode_run(const jw_ode *ode, double *t, double end, double *y, int *stopped, jw_error *error);

/* y at a time within a step. */
void jw_ode_between(const jw_ode_span *span, double t, double *y);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/ode.h"

#include "solve/root.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <stdint.h>
#include <string.h>

#define MOST_STEPS 100000
/* Share of a step to which the time of an event is found. */
#define EVENT_SHARE 1e-12

typedef struct machine {
	const jw_ode *ode;
	gsl_odeiv2_system system;
	gsl_odeiv2_step *step;
	gsl_odeiv2_control *control;
	gsl_odeiv2_evolve *evolve;
	/* the step under way */
	double from, start[JW_ODE_UNKNOWNS], there[JW_ODE_UNKNOWNS];
} machine;

static int call_rates(double t, const double y[], double rate[], void *params)
{
	const jw_ode *ode = params;
	ode->rates(t, y, rate, ode->context);
	for (int i = 0; i < ode->unknowns; i++)
		if (!isfinite(rate[i]))
			return GSL_FAILURE; /* of a trial step that strayed: GSL takes it back and halves it */
	return GSL_SUCCESS;
}

static size_t bytes(const jw_ode *ode)
{
	return sizeof(double) * (size_t)ode->unknowns;
}

/* The event's value after a shorter step from where this one began. */
static double event_after(double length, void *context)
{
	machine *m = context;
	double slip[JW_ODE_UNKNOWNS];
	memcpy(m->there, m->start, bytes(m->ode));
	if (length > 0.0)
		gsl_odeiv2_step_apply(m->step, m->from, length, m->there, slip, NULL, NULL, &m->system);
	return m->ode->event(m->from + length, m->there, m->ode->context);
}

static jw_status go_to_event(machine *m, double *t, double *y, jw_error *error)
{
	double length, whole = *t - m->from;
	if (event_after(whole, m) > 0.0) /* at the end of the step but for rounding */
		return JW_OK;
	jw_status status = jw_root(event_after, m, 0.0, whole, EVENT_SHARE * whole, &length, error);
	if (status < 0)
		return status;
	event_after(length, m);
	*t = m->from + length;
	memcpy(y, m->there, bytes(m->ode));
	return JW_OK;
}

/* A step that was not cut short at an event. */
static void tell_within(const machine *m, double t, const double *y)
{
	const jw_ode *ode = m->ode;
	jw_ode_span span = {m->from, t, m->start, y, m->evolve->dydt_in, m->evolve->dydt_out, ode->unknowns};
	if (ode->within)
		ode->within(&span, ode->context);
}

void jw_ode_between(const jw_ode_span *s, double t, double *y)
{
	double length = s->to - s->from, share = (t - s->from) / length, rest = 1.0 - share;
	double of_from = rest * rest * (1.0 + 2.0 * share), of_to = share * share * (1.0 + 2.0 * rest);
	double of_leaving = share * rest * rest * length, of_coming = share * share * rest * length;
	for (int i = 0; i < s->unknowns; i++)
		y[i] = of_from * s->y_from[i] + of_to * s->y_to[i] + of_leaving * s->rate_from[i] - of_coming * s->rate_to[i];
}

static int reached(const jw_ode *ode, double t, const double *y)
{
	return ode->event && ode->event(t, y, ode->context) <= 0.0;
}

/* The stops that are reached, and what they change. \return the first that is not */
static int pass_stops(machine *m, int next, double t, double *y)
{
	const jw_ode *ode = m->ode;
	for (; next < ode->stop_count && ode->stops[next] <= t; next++) {
		if (ode->at_stop)
			ode->at_stop(next, t, y, ode->context);
		/* Rates on the other side may differ from those at the end of the last step. */
		gsl_odeiv2_evolve_reset(m->evolve);
		gsl_odeiv2_step_reset(m->step);
	}
	return next;
}

static jw_status run(machine *m, double *t, double end, double *y, int *stopped, jw_error *error)
{
	const jw_ode *ode = m->ode;
	double step = fmin(ode->longest, end - *t);
	int next = pass_stops(m, 0, *t, y);
	*stopped = reached(ode, *t, y);
	for (int i = 0; *t < end && !*stopped; i++) {
		m->from = *t;
		memcpy(m->start, y, bytes(ode));
		double bound = fmin(end, *t + ode->longest);
		if (next < ode->stop_count)
			bound = fmin(bound, ode->stops[next]);
		double wanted = step;
		if (i == MOST_STEPS ||
		    gsl_odeiv2_evolve_apply(m->evolve, m->control, m->step, &m->system, t, bound, &step, y) != GSL_SUCCESS)
			return jw_fail(error, JW_E_NO_CONVERGENCE, "time", *t, m->from, end);
		if (*t == bound && *t - m->from < wanted) /* cut short, not by its error */
			step = fmax(step, wanted);
		*stopped = reached(ode, *t, y);
		if (!*stopped)
			tell_within(m, *t, y);
		jw_status status = *stopped ? go_to_event(m, t, y, error) : JW_OK;
		if (status < 0)
			return status;
		next = pass_stops(m, next, *t, y);
	}
	return JW_OK;
}

static jw_status check(const jw_ode *ode, double t, double end, jw_error *error)
{
	jw_status status = jw_check_range("unknowns", ode->unknowns, 1, JW_ODE_UNKNOWNS, error);
	if (status == JW_OK)
		status = jw_check_range("relative", ode->relative, 0.0, 0.1, error);
	for (int i = 0; i < ode->unknowns && status == JW_OK; i++)
		status = jw_check_range("absolute", ode->absolute[i], 1e-300, 1e300, error);
	if (status == JW_OK)
		status = jw_check_range("longest", ode->longest, 1e-12, 1e12, error);
	return status == JW_OK ? jw_check_range("end", end, t, 1e12, error) : status;
}

jw_status jw_ode_run(const jw_ode *ode, double *t, double end, double *y, int *stopped, jw_error *error)
{
	/* Checked here: GSL's default handler would abort. */
	jw_status status = check(ode, *t, end, error);
	if (status < 0)
		return status;
	size_t n = (size_t)ode->unknowns;
	machine m = {.ode = ode,
	             .system = {call_rates, NULL, n, (void *)(uintptr_t)ode},
	             .step = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rkck, n),
	             .control = gsl_odeiv2_control_scaled_new(1.0, ode->relative, 1.0, 0.0, ode->absolute, n),
	             .evolve = gsl_odeiv2_evolve_alloc(n)};
	double at = *t, there[JW_ODE_UNKNOWNS];
	int ended = 0;
	memcpy(there, y, bytes(ode));
	status =
	    m.step && m.control && m.evolve ? run(&m, &at, end, there, &ended, error) : jw_no_memory(error, "unknowns");
	if (m.evolve)
		gsl_odeiv2_evolve_free(m.evolve);
	if (m.control)
		gsl_odeiv2_control_free(m.control);
	if (m.step)
		gsl_odeiv2_step_free(m.step);
	if (status < 0)
		return status;
	*t = at;
	*stopped = ended;
	memcpy(y, there, bytes(ode));
	return status;
}

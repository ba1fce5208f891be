/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "carburetor/slide.h"

#include "base/base.h"
#include "solve/root.h"

/* A stop gives way by so much under the slide's own load, and takes its speed. */
#define STOP_GIVES_M 1e-4
/* Of a fall's time in units of mass over damping: less is no damping. */
#define LEAST_DAMPED 1e-3
#define DAMPED_TOLERANCE 1e-9

int jw_slide_floats(const jw_carburetor *c)
{
	return c->kind == JW_CONSTANT_DEPRESSION && c->slide.stuck_lift_m < 0.0;
}

int jw_slide_moves(const jw_carburetor *c)
{
	return jw_slide_floats(c) && c->slide.fall_s > 0.0;
}

static double force_of(const jw_slide *slide, double depression_pa)
{
	return depression_pa * 0.25 * JW_PI * jw_square(slide->diaphragm_m);
}

/* Weight and spring. */
static double load(const jw_slide *slide, double lift_m)
{
	return force_of(slide, jw_slide_depression(slide, lift_m));
}

/* A mass let go under a force, its drag in proportion to its speed, covers mass force/drag^2 (s - 1 + exp(-s)) in a
 * time s mass/drag (Newton's second law): that way over force/mass time^2, less as s grows. */
static double share_of_way(double s)
{
	return (s - 1.0 + exp(-s)) / (s * s);
}

double jw_slide_undamped_fall(const jw_slide *slide, double top_m)
{
	return sqrt(2.0 * top_m * slide->mass_kg / load(slide, 0.5 * top_m));
}

static double damped_excess(double s, void *share)
{
	return *(const double *)share - share_of_way(s);
}

/* The spring's force is taken as that half way: within a fiftieth of the fall under one that changes. */
static double damping_of(const jw_slide *slide, double top_m)
{
	double force = load(slide, 0.5 * top_m), time = slide->fall_s, s;
	double share = top_m * slide->mass_kg / (force * time * time);
	if (!(share < share_of_way(LEAST_DAMPED)) ||
	    jw_root(damped_excess, &share, LEAST_DAMPED, 1.0 / share, DAMPED_TOLERANCE, &s, NULL) < 0)
		return 0.0;
	return s * slide->mass_kg / time;
}

jw_slide_motion jw_slide_motion_of(const jw_slide *slide, double top_m)
{
	double stiffness = load(slide, top_m) / STOP_GIVES_M;
	return (jw_slide_motion){slide, top_m, damping_of(slide, top_m), stiffness, 2.0 * sqrt(stiffness * slide->mass_kg)};
}

/* How hard a stop presses back: it pushes, and does not hold. */
static double stop_force(const jw_slide_motion *m, double beyond_m, double further_m_s)
{
	return beyond_m > 0.0 ? fmax(m->stop_n_m * beyond_m + m->stop_n_s_m * further_m_s, 0.0) : 0.0;
}

double jw_slide_acceleration(const jw_slide_motion *m, double depression_pa, double lift_m, double speed_m_s)
{
	double lifting = force_of(m->slide, depression_pa) - load(m->slide, lift_m);
	double stops = stop_force(m, -lift_m, -speed_m_s) - stop_force(m, lift_m - m->top_m, speed_m_s);
	return (lifting - m->damping_n_s_m * speed_m_s + stops) / m->slide->mass_kg;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A floating slide on its way against closed forms of a mass on a spring (Newton's second law). */
#include "base/base.h"
#include "carburetor/slide.h"
#include "near.h"
#include "solve/ode.h"

static const jw_slide a_slide = {.diaphragm_m = 55e-3,
                                 .mass_kg = 0.03,
                                 .spring_closed_n = 1.9,
                                 .spring_rate_n_m = 170,
                                 .stuck_lift_m = -1,
                                 .fall_s = 1e-3};
static const double top_m = 30e-3;

typedef struct way {
	jw_slide_motion motion;
	double depression_pa;
} way;

static void move(double t, const double *y, double *rate, void *context)
{
	const way *w = context;
	(void)t;
	rate[0] = y[1];
	rate[1] = jw_slide_acceleration(&w->motion, w->depression_pa, y[0], y[1]);
}

static double above_shut(double t, const double *y, void *context)
{
	(void)t, (void)context;
	return y[0];
}

static double run(way *w, double *y, double time_s, int to_shut)
{
	static const double absolute[] = {1e-14, 1e-14};
	const jw_ode ode = {.rates = move,
	                    .event = to_shut ? above_shut : NULL,
	                    .context = w,
	                    .unknowns = 2,
	                    .relative = 1e-10,
	                    .absolute = absolute,
	                    .longest = 1e-3};
	double t = 0;
	int stopped;
	cr_assert_eq(jw_ode_run(&ode, &t, time_s, y, &stopped, NULL), JW_OK);
	cr_assert_eq(stopped, to_shut);
	return t;
}

/* Under a constant force it swings about its balance with the root of spring rate over mass, and loses nothing. */
Test(slide, undamped_it_swings_at_its_natural_frequency)
{
	way w = {jw_slide_motion_of(&a_slide, top_m), jw_slide_depression(&a_slide, 12e-3)};
	cr_expect_eq(w.motion.damping_n_s_m, 0.0);
	const double swing = sqrt(a_slide.spring_rate_n_m / a_slide.mass_kg), most = 5e-3;
	for (int i = 1; i <= 12; i++) {
		const double time = i * 0.13 * 2 * JW_PI / swing;
		double y[] = {12e-3 - most, 0};
		run(&w, y, time, 0);
		JW_NEAR_ABS(y[0], 12e-3 - most * cos(swing * time), 1e-8);
		JW_NEAR_ABS(y[1], most * swing * sin(swing * time), 1e-7);
	}
}

/* Damped, the swing dies as exp(-c t/2m), at the root of what is left. */
Test(slide, damped_it_comes_to_rest_as_the_closed_form_has_it)
{
	way w = {jw_slide_motion_of(&a_slide, top_m), jw_slide_depression(&a_slide, 12e-3)};
	w.motion.damping_n_s_m = 0.6;
	const double dies = 0.6 / (2 * a_slide.mass_kg);
	const double swing = sqrt(a_slide.spring_rate_n_m / a_slide.mass_kg - dies * dies);
	for (int i = 1; i <= 8; i++) {
		const double time = 7e-3 * i;
		double y[] = {7e-3, 0};
		run(&w, y, time, 0);
		JW_NEAR_ABS(y[0], 12e-3 - 5e-3 * exp(-dies * time) * (cos(swing * time) + dies / swing * sin(swing * time)),
		            1e-8);
	}
}

/* Let go at the top it falls shut in the time that was stated: exactly without a spring, nearly under one. */
Test(slide, it_falls_in_the_time_stated)
{
	static const double times[] = {0.07, 0.2, 0.6, 3};
	for (size_t i = 0; i < sizeof times / sizeof *times; i++) {
		jw_slide s = a_slide;
		s.fall_s = times[i];
		s.spring_rate_n_m = 0;
		way even = {jw_slide_motion_of(&s, top_m), 0};
		JW_NEAR_REL(run(&even, (double[]){top_m, 0}, 10, 1), times[i], 1e-6);
		s.spring_rate_n_m = 17; /* a fifth of its force comes with the lift */
		way sprung = {jw_slide_motion_of(&s, top_m), 0};
		JW_NEAR_REL(run(&sprung, (double[]){top_m, 0}, 10, 1), times[i], 0.02);
	}
}

/* Neither end lets it through, and it does not bounce for long. */
Test(slide, stops_hold_it)
{
	way w = {jw_slide_motion_of(&a_slide, top_m), 0};
	double shut[] = {top_m, 0}, open[] = {0, 0};
	run(&w, shut, 1, 0);
	JW_NEAR_ABS(shut[0], 0, 1e-4);
	JW_NEAR_ABS(shut[1], 0, 1e-6);
	w.depression_pa = 2 * jw_slide_depression(&a_slide, top_m);
	run(&w, open, 1, 0);
	JW_NEAR_ABS(open[0], top_m, 1.1e-4);
	JW_NEAR_ABS(open[1], 0, 1e-6);
}

/* One that the throttle lifts, that sticks, or whose fall nobody states is not followed. */
Test(slide, what_moves)
{
	jw_carburetor c = {.kind = JW_CONSTANT_DEPRESSION, .slide = a_slide};
	cr_expect(jw_slide_moves(&c));
	c.slide.stuck_lift_m = 0;
	cr_expect(!jw_slide_moves(&c));
	c.slide = a_slide;
	c.slide.fall_s = 0;
	cr_expect(!jw_slide_moves(&c));
	c.slide = a_slide;
	c.kind = JW_PISTON_SLIDE;
	cr_expect(!jw_slide_moves(&c));
}

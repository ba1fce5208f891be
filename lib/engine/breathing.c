/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How an engine breathes of which nobody states it. */
#include <jetwright/engine.h>

#include "base/base.h"

#define DEGREES (JW_PI / 180.0)
/* Lift at which durations are stated. */
#define STATED_LIFT_M 1e-3
/* Usual engines: invented middle values, common practice, no source. */
#define USUAL_ROD_RATIO 3.6
#define USUAL_INLET_HEAD 0.50 /* of the bore */
#define USUAL_EXHAUST_HEAD 0.43
#define USUAL_LIFT 0.25 /* of the head */
#define USUAL_LOBE_CENTRE (110.0 * DEGREES)
#define USUAL_INLET_WIDTH 0.62 /* ports, of the bore */
#define USUAL_EXHAUST_WIDTH 0.65
#define USUAL_TRANSFER_WIDTH 1.2
#define USUAL_EXHAUST_OPENS (92.0 * DEGREES)
#define USUAL_TRANSFER_OPENS (118.0 * DEGREES)
#define USUAL_RUNNER_BORE 0.9 /* of the valve's head; two-stroke, of the width of the port */
#define LONGEST_RUNNER_M 0.15

/* From seat to seat, where it is told between two equal lifts. */
static double whole_duration(double stated_rad, double lift_m)
{
	double share = fmin(STATED_LIFT_M / lift_m, 0.5);
	return stated_rad / (1.0 - 2.0 / JW_PI * asin(share));
}

static jw_breathing usual_four_stroke(const jw_engine *e)
{
	double inlet = USUAL_INLET_HEAD * e->bore_m, exhaust = USUAL_EXHAUST_HEAD * e->bore_m;
	double half = 0.5 * whole_duration(e->intake_duration_rad, USUAL_LIFT * inlet);
	double beside_top = half - USUAL_LOBE_CENTRE, beside_bottom = half + USUAL_LOBE_CENTRE - JW_PI;
	return (jw_breathing){.inlet = {beside_top, beside_bottom, inlet, USUAL_LIFT * inlet},
	                      .exhaust = {beside_bottom, beside_top, exhaust, USUAL_LIFT * exhaust},
	                      .runner_bore_m = USUAL_RUNNER_BORE * inlet};
}

static jw_breathing usual_two_stroke(const jw_engine *e)
{
	return (jw_breathing){.inlet = {.opens_rad = 0.5 * e->intake_duration_rad, .size_m = USUAL_INLET_WIDTH * e->bore_m},
	                      .exhaust = {.opens_rad = USUAL_EXHAUST_OPENS, .size_m = USUAL_EXHAUST_WIDTH * e->bore_m},
	                      .transfer = {.opens_rad = USUAL_TRANSFER_OPENS, .size_m = USUAL_TRANSFER_WIDTH * e->bore_m},
	                      .runner_bore_m = USUAL_RUNNER_BORE * USUAL_INLET_WIDTH * e->bore_m};
}

jw_breathing jw_breathing_usual(const jw_engine *engine)
{
	if (engine->breathing.rod_ratio > 0.0)
		return engine->breathing;
	jw_breathing b = engine->strokes == 2 ? usual_two_stroke(engine) : usual_four_stroke(engine);
	double area = engine->cylinders * 0.25 * JW_PI * jw_square(b.runner_bore_m);
	b.rod_ratio = USUAL_ROD_RATIO;
	b.runner_m = fmin(0.5 * engine->manifold_volume_m3 / area, LONGEST_RUNNER_M);
	return b;
}

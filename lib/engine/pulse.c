/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/engine.h>

#include "base/base.h"

/* Mean product of two draughts that begin a share of a draught apart, over the mean square of one. */
static double shared(double apart)
{
	return (1.0 - apart) * cos(JW_PI * apart) + sin(JW_PI * apart) / JW_PI;
}

double jw_pulse_factor(double duty)
{
	double overlaps = 0.0;
	for (int later = 1; later < duty; later++)
		overlaps += 2.0 * shared(later / duty);
	return JW_PI * JW_PI / (8.0 * duty) * (1.0 + overlaps);
}

double jw_pulse_response(double angular_frequency_rad_s, double time_constant_s)
{
	double x = angular_frequency_rad_s * time_constant_s;
	return x * x / (1.0 + x * x);
}

jw_pulse jw_engine_pulse(const jw_engine *engine, double speed_rev_s, double plate_area_m2, double sound_speed_m_s)
{
	double cycle_rad = engine->strokes * JW_PI;
	double duty = engine->cylinders * engine->intake_duration_rad / cycle_rad;
	double draughts_per_s = engine->cylinders * speed_rev_s * 2.0 / engine->strokes;
	double frequency = 2.0 * JW_PI * draughts_per_s;
	/* Time in which the plate, sonic, would fill the manifold: a low-pass filter for the draught. */
	double filling_s = engine->manifold_volume_m3 / (fmax(plate_area_m2, 1e-9) * sound_speed_m_s);
	double passed = 1.0 - jw_pulse_response(frequency, filling_s);
	double factor = 1.0 + (jw_pulse_factor(duty) - 1.0) * passed;
	return (jw_pulse){.throat = factor, .plate = factor, .angular_frequency_rad_s = frequency};
}

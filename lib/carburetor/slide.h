/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A floating slide on its way: mass, weight, spring, what damps it, and the stops at either end. */
#ifndef JW_CARBURETOR_SLIDE_H
#define JW_CARBURETOR_SLIDE_H

#include <jetwright/carburetor.h>

typedef struct jw_slide_motion {
	const jw_slide *slide;
	double top_m;         /* lift of the upper stop */
	double damping_n_s_m; /* 0: none */
	double stop_n_m, stop_n_s_m;
} jw_slide_motion;

/* Whether the flow lifts it: not where it hangs. */
int jw_slide_floats(const jw_carburetor *carburetor);

/* Time of its fall with nothing to damp it, s; the spring's force is taken as that half way. */
double jw_slide_undamped_fall(const jw_slide *slide, double top_m);

/* Damping from the time of its fall, fall_s; a fall as short as without damping: none. */
jw_slide_motion jw_slide_motion_of(const jw_slide *slide, double top_m);

/* How fast its speed changes, m/s2, while the diaphragm feels a depression below its upper side. */
double jw_slide_acceleration(const jw_slide_motion *motion, double depression_pa, double lift_m, double speed_m_s);

#endif

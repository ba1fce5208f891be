/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A second model of the same carburetors, to make up engines that the library has not been fitted to: other laws for
 * jets, emulsion and pulses. What it shares with the library is the air balance and the geometry. */
#ifndef WORLD_H
#define WORLD_H

#include <jetwright/jetwright.h>

typedef struct world_mixture {
	double phi;
	double air_kg_s;   /* all of it */
	double leak_share; /* of the air */
} world_mixture;

/* 0, or negative where the air balance has no answer. */
int world_mixture_at(const jw_setup *setup, const jw_air *air, const jw_point *point, world_mixture *mixture);

/* Sets the coefficients so that this world's engine runs at the baseline's lambda; 0 where it can. */
int world_calibrate(jw_setup *setup, const jw_air *air, const double lambda[3]);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is not known of an engine and stands behind several pieces of evidence at once, as a fixed set of draws. */
#ifndef JW_DIAGNOSE_DEVIATES_H
#define JW_DIAGNOSE_DEVIATES_H

#include <jetwright/point.h>

/* Coefficients that err for all ranges together: air, main fuel (jet and needle), pilot fuel. */
#define JW_SHARED 3
#define JW_DRAWS 128

/* One draw: standard normal deviates. */
typedef struct jw_deviate {
	double shared[JW_SHARED];
	double effect;                    /* of the model in what a fault does, all ranges alike */
	double model[JW_RANGE_COUNT];     /* of the model in a range that no baseline anchors */
	double tolerance[JW_RANGE_COUNT]; /* of this engine for lean and rich mixtures; ranges correlated by half */
} jw_deviate;

/* Draws of equal weight: each deviate with mean 0 and variance 1. */
void jw_draw_deviates(jw_deviate draw[JW_DRAWS]);

#endif

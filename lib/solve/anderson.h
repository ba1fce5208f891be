/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a map leads to itself: Anderson's mixing (D. G. Anderson, Iterative procedures for nonlinear integral
 * equations, J. ACM 12, 1965). Of the last trials that combination is sought which leaves least of what is off, and its
 * image is tried next. */
#ifndef JW_SOLVE_ANDERSON_H
#define JW_SOLVE_ANDERSON_H

#include "base/base.h"

#define JW_ANDERSON_UNKNOWNS 128
#define JW_ANDERSON_DEPTH 6

/* The last trials; all 0 at first. */
typedef struct jw_anderson {
	int unknowns, trials; /* trials: in a row; one more than there are steps between them */
	double image[JW_ANDERSON_UNKNOWNS], off[JW_ANDERSON_UNKNOWNS]; /* of the last trial */
	double image_step[JW_ANDERSON_DEPTH][JW_ANDERSON_UNKNOWNS];    /* between trials, the newest first */
	double off_step[JW_ANDERSON_DEPTH][JW_ANDERSON_UNKNOWNS];
} jw_anderson;

/* After a trial x gave an image: where to try next. All in shares of what counts, so that they compare. */
void jw_anderson_next(jw_anderson *a, const double *x, const double *image, double *next);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/anderson.h"

#include <string.h>

/* Squared share of a step left across those before it, below which it is rounding. */
#define LEAST_LEFT 1e-12
/* A trial from which so many times more is off than before begins anew. */
#define STRAYS 10.0

static double along(const double *a, const double *b, int n)
{
	double sum = 0.0;
	for (int i = 0; i < n; i++)
		sum += a[i] * b[i];
	return sum;
}

static void take_step(jw_anderson *a, const double *image, const double *off)
{
	int n = a->unknowns, steps = a->trials - 1, kept = steps < JW_ANDERSON_DEPTH ? steps : JW_ANDERSON_DEPTH - 1;
	memmove(a->image_step[1], a->image_step[0], sizeof a->image_step[0] * (size_t)kept);
	memmove(a->off_step[1], a->off_step[0], sizeof a->off_step[0] * (size_t)kept);
	for (int i = 0; i < n; i++) {
		a->image_step[0][i] = image[i] - a->image[i];
		a->off_step[0][i] = off[i] - a->off[i];
	}
	a->trials = kept + 2;
}

/* Takes out of `left` what the steps can, and the same steps out of the image: Gram and Schmidt's way, step by step,
 * the newest first. */
static void mix(const jw_anderson *a, double *left, double *image)
{
	double off[JW_ANDERSON_DEPTH][JW_ANDERSON_UNKNOWNS], to[JW_ANDERSON_DEPTH][JW_ANDERSON_UNKNOWNS];
	int n = a->unknowns, used = 0;
	for (int k = 0; k < a->trials - 1; k++) {
		memcpy(off[used], a->off_step[k], sizeof off[used]);
		memcpy(to[used], a->image_step[k], sizeof to[used]);
		double whole = along(off[used], off[used], n);
		for (int j = 0; j < used; j++) {
			double share = along(off[used], off[j], n) / along(off[j], off[j], n);
			for (int i = 0; i < n; i++) {
				off[used][i] -= share * off[j][i];
				to[used][i] -= share * to[j][i];
			}
		}
		double square = along(off[used], off[used], n);
		if (!(square > LEAST_LEFT * whole))
			continue;
		double share = along(left, off[used], n) / square;
		for (int i = 0; i < n; i++) {
			left[i] -= share * off[used][i];
			image[i] -= share * to[used][i];
		}
		used++;
	}
}

void jw_anderson_next(jw_anderson *a, const double *x, const double *image, double *next)
{
	int n = a->unknowns;
	double off[JW_ANDERSON_UNKNOWNS];
	for (int i = 0; i < n; i++)
		off[i] = image[i] - x[i];
	if (a->trials > 0 && along(off, off, n) > STRAYS * STRAYS * along(a->off, a->off, n))
		a->trials = 0;
	if (a->trials > 0)
		take_step(a, image, off);
	else
		a->trials = 1;
	memcpy(next, image, sizeof *next * (size_t)n);
	memcpy(a->image, image, sizeof *image * (size_t)n);
	memcpy(a->off, off, sizeof *off * (size_t)n);
	mix(a, off, next);
}

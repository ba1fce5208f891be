/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/deviates.h"
#include "base/base.h"

/* Columns of the lattice: shared, one tolerance for all ranges, then model and tolerance of each range, and the effect.
 */
enum {
	COMMON = JW_SHARED,
	MODEL,
	OWN = MODEL + JW_RANGE_COUNT,
	EFFECT = OWN + JW_RANGE_COUNT,
	COLUMNS,
	HALF = JW_DRAWS / 2
};

/* Multiples, modulo 1, of numbers that no ratio of small whole ones comes near (Niederreiter, Bull. Amer. Math. Soc. 84
 * (1978) 957): for what all ranges share the powers of the root of x^5 = x + 1, which fill four dimensions most evenly;
 * for the rest roots of primes. */
static double lattice(int n, int column)
{
	static const double step[MODEL] = {1 / 1.1673039782614187, 1 / 1.362598577665, 1 / 1.590566740482,
	                                   1 / 1.856674883855};
	static const int prime[COLUMNS + 1] = {[MODEL] = 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61};
	double x = (n + 0.5) * (column < MODEL ? step[column] : sqrt(prime[column]));
	return x - floor(x);
}

/* Two normal deviates from two even ones (Box and Muller, Ann. Math. Stat. 29 (1958) 610). */
static double normal(int n, int column)
{
	int first = column & ~1;
	double radius = sqrt(-2 * log(fmax(lattice(n, first), 1e-12))), angle = 2 * JW_PI * lattice(n, first + 1);
	return radius * (column & 1 ? sin(angle) : cos(angle));
}

static void fill_column(int column, double value[HALF])
{
	double square = 0;
	for (int n = 0; n < HALF; n++) {
		value[n] = normal(n, column);
		square += jw_square(value[n]) / HALF;
	}
	for (int n = 0; n < HALF; n++)
		value[n] /= sqrt(square);
}

/* Each draw stands beside its mirror image, so that odd moments vanish. */
void jw_draw_deviates(jw_deviate draw[JW_DRAWS])
{
	double column[COLUMNS][HALF];
	for (int c = 0; c < COLUMNS; c++)
		fill_column(c, column[c]);
	for (int n = 0; n < JW_DRAWS; n++) {
		double sign = n < HALF ? 1 : -1;
		for (int k = 0; k < JW_SHARED; k++)
			draw[n].shared[k] = sign * column[k][n % HALF];
		draw[n].effect = sign * column[EFFECT][n % HALF];
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			draw[n].model[r] = sign * column[MODEL + r][n % HALF];
			draw[n].tolerance[r] = sign * sqrt(0.5) * (column[COMMON][n % HALF] + column[OWN + r][n % HALF]);
		}
	}
}

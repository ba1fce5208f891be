/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include "solve/anderson.h"

/* On a straight map it is a Krylov method (Walker and Ni, SIAM J. Numer. Anal. 49, 2011): with as many modes as it
 * keeps steps it is there after one trial more than there are modes, and one that each mode would leave almost as it
 * was. */
Test(anderson, a_straight_map_is_solved_in_as_many_steps_as_it_has_modes)
{
	enum { MODES = 5 };
	static const double shrinks[MODES] = {0.95, 0.7, 0.4, -0.8, 0.1}, end[MODES] = {1, -2, 3, 0.5, 4};
	jw_anderson a = {.unknowns = MODES};
	double x[MODES] = {0}, image[MODES];
	for (int trial = 0; trial < MODES + 1; trial++) {
		for (int i = 0; i < MODES; i++)
			image[i] = end[i] + shrinks[i] * (x[i] - end[i]);
		jw_anderson_next(&a, x, image, x);
	}
	for (int i = 0; i < MODES; i++)
		JW_NEAR_REL(x[i], end[i], 1e-7);
}

/* cos x = x: 24 digits behind the point from memory, 0.739085133215160641655312. */
Test(anderson, a_crooked_map_is_solved_faster_than_by_repeating_it)
{
	jw_anderson a = {.unknowns = 1};
	double x = 0, plain = 0;
	for (int trial = 0; trial < 8; trial++) {
		const double image = cos(x);
		jw_anderson_next(&a, &x, &image, &x);
		plain = cos(plain);
	}
	JW_NEAR_REL(x, 0.739085133215160641655, 1e-10);
	cr_expect(fabs(plain - x) > 1e-3);
}

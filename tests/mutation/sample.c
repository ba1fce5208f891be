/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every change of this file is known to check.py; a + b is none. */
#include <math.h>
#include <stdio.h>

#include "base/base.h"

#define LIMIT 2.5

static const double weights[2] = {
    0.25,
    -4,
};

double jw_sample(const double *part, int n, jw_error *error)
{
	double all = -LIMIT;
	for (int i = 0; i < n; i++)
		all += part[i] * 0x10;
	puts("a - b");
	if (all >= 7 && !error)
		return jw_fail(error, JW_E_RANGE, "all", all, 0, 1);
	return fmin(all, weights[1]);
}

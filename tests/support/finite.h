/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether structs and arrays that hold nothing but doubles are finite. */
#ifndef JW_TESTS_FINITE_H
#define JW_TESTS_FINITE_H

#include <math.h>
#include <stddef.h>

/* Place of the first that is not finite; how many there are, where all are. */
static inline size_t finite_up_to(const void *values, size_t size)
{
	const double *value = values;
	size_t place = 0;
	while (place < size / sizeof *value && isfinite(value[place]))
		place++;
	return place;
}

static inline int doubles_finite(const void *values, size_t size)
{
	return finite_up_to(values, size) == size / sizeof(double);
}

#endif

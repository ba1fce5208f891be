/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_POINT_LEAK_H
#define JW_POINT_LEAK_H

#include "base/base.h"

#include <jetwright/point.h>

#define JW_LEAK_COEFFICIENT 0.6

/* Effective, m2. */
static inline double jw_leak_area(const jw_setup *setup)
{
	return JW_LEAK_COEFFICIENT * 0.25 * JW_PI * jw_square(setup->leak_m);
}

#endif

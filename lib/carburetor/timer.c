/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/carburetor.h>

#include "base/base.h"

double jw_enrichener_opening(const jw_timer *timer, double running_s, double ambient_k)
{
	if (!(timer->constant_s > 0.0))
		return 0.0;
	double pellet_k = ambient_k - timer->heating_k * expm1(-running_s / timer->constant_s);
	return jw_clamp((timer->shut_k - pellet_k) / (timer->shut_k - timer->open_k), 0.0, 1.0);
}

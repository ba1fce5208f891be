/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Air that can be asked about. */
#ifndef JW_AIR_LIMITS_H
#define JW_AIR_LIMITS_H

#include <jetwright/air.h>

#define JW_AIR_PRESSURE_LOW_PA 20e3
#define JW_AIR_PRESSURE_HIGH_PA 120e3
#define JW_AIR_TEMPERATURE_LOW_K 213.15
#define JW_AIR_TEMPERATURE_HIGH_K 353.15

/* Whether air that a caller hands in may be one; the error names its member ("air.pressure_pa"). */
jw_status jw_air_check(const jw_air *air, jw_error *error);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Air that can be asked about. */
#ifndef JW_AIR_LIMITS_H
#define JW_AIR_LIMITS_H

#define JW_AIR_PRESSURE_LOW_PA 20e3
#define JW_AIR_PRESSURE_HIGH_PA 120e3
#define JW_AIR_TEMPERATURE_LOW_K 213.15
#define JW_AIR_TEMPERATURE_HIGH_K 353.15

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_POINT_BURNS_H
#define JW_POINT_BURNS_H

#include <jetwright/status.h>

/* kg/s, about a molecule of petrol a second: less is no fuel, and its air-fuel ratio beyond all numbers. */
#define JW_MOLECULE_KG_S 1e-25

/* Whether what comes in is a mixture. */
static inline int jw_burns(double fuel_kg_s, double dry_air_kg_s)
{
	return fuel_kg_s > JW_MOLECULE_KG_S && dry_air_kg_s > JW_MOLECULE_KG_S;
}

/* JW_W_NO_FUEL, or JW_OK. */
static inline jw_status jw_fuel_comes(double fuel_kg_s)
{
	return fuel_kg_s > JW_MOLECULE_KG_S ? JW_OK : JW_W_NO_FUEL;
}

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Causes that come with the weather: how many times likelier they are in an air than over the year. */
#ifndef JW_DIAGNOSE_WEATHER_H
#define JW_DIAGNOSE_WEATHER_H

#include <jetwright/air.h>
#include <jetwright/point.h>

/* Fuel boils where its vapour pressure comes near that of the air. */
double jw_boiling_weather(const jw_setup *setup, const jw_air *air);

/* Ice grows where evaporating fuel cools damp air below freezing and below its dew point. */
double jw_icing_weather(const jw_setup *setup, const jw_air *air);

#endif

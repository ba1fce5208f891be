/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The engines that come along, and air to run them in. */
#ifndef JW_TESTS_BUNDLED_H
#define JW_TESTS_BUNDLED_H

#include "near.h"
#include <jetwright/cycle.h>
#include <jetwright/profile.h>
#include <stdio.h>

static const char *const bundled_names[] = {"courier-150", "moped-50",     "trail-250", "pump-200", "estate-1100",
                                            "twin-480",    "cruiser-1200", "four-600",  "kart-125"};
#define BUNDLED (sizeof bundled_names / sizeof *bundled_names)

static inline jw_setup bundled(const char *name)
{
	char path[256];
	jw_profile *profile = NULL;
	jw_faults faults;
	snprintf(path, sizeof path, "%s/profiles/engines/%s.yaml", JW_SOURCE_DIR, name);
	jw_status status = jw_profile_load(path, NULL, &profile, &faults);
	cr_assert(status >= 0, "%s: %s", path, faults.item[0].message);
	jw_setup setup = *jw_profile_setup(profile);
	jw_profile_free(profile);
	return setup;
}

/* Its slide floats. */
static inline jw_setup scooter(void)
{
	return bundled("courier-150");
}

static inline jw_air air_of(double pressure_pa, double temperature_k, double humidity)
{
	jw_air air = {0};
	cr_assert(jw_air_from_humidity(pressure_pa, temperature_k, humidity, &air, NULL) == JW_OK);
	return air;
}

static inline jw_air mild_air(void)
{
	return air_of(101325, 293.15, 0.5);
}

static inline jw_mixture mixture_of(const jw_setup *setup, const jw_air *air, const jw_point *point)
{
	jw_mixture mixture = {0};
	jw_error error = {0};
	jw_status status = jw_mixture_at(setup, air, point, &mixture, &error);
	cr_assert(status >= 0, "%s: %s %g", jw_status_name(status), error.field ? error.field : "", error.value);
	return mixture;
}

static inline jw_cycle cycle_of(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                const jw_cycle_options *options)
{
	static jw_cycle cycle;
	jw_error error = {0};
	jw_status status = jw_cycle_at(setup, air, point, options, &cycle, &error);
	cr_assert(status >= 0, "%s: %s %g", jw_status_name(status), error.field ? error.field : "", error.value);
	return cycle;
}

static inline double phi_at(const jw_setup *setup, const jw_air *air, jw_range range)
{
	return mixture_of(setup, air, &setup->range[range]).phi;
}

#endif

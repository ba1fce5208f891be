/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the library is asked about, out of the bytes of a fuzzer. */
#ifndef JW_FUZZ_TAKEN_H
#define JW_FUZZ_TAKEN_H

#include "bytes.h"
#include "point/members.h"
#include <jetwright/tune.h>

/* Writes over some members of a set-up, and over some bytes of it. */
static inline void change_setup(bytes *b, jw_setup *setup)
{
	size_t count;
	const jw_member_row *rows = jw_setup_members(&count);
	for (unsigned changes = take_byte(b) % 32; changes; changes--) {
		const jw_member_row *row = &rows[take_byte(b) % count];
		double value = take_between(b, row->low, row->high);
		memcpy((char *)setup + row->offset, &value, sizeof value);
	}
	for (unsigned changes = take_byte(b) % 4; changes; changes--) {
		size_t place = (take_byte(b) << 8 | take_byte(b)) % sizeof *setup;
		((uint8_t *)setup)[place] = (uint8_t)take_byte(b);
	}
}

static inline jw_point take_point(bytes *b)
{
	jw_point point;
	point.speed_rev_s = take_between(b, 1, 500);
	point.throttle = take_between(b, 0, 1);
	point.enrichener = take_between(b, 0, 1);
	return point;
}

static inline jw_air take_air(bytes *b)
{
	jw_air air = {0};
	double pressure = take_between(b, 40e3, 120e3), temperature = take_between(b, 240, 330);
	if (jw_air_from_humidity(pressure, temperature, take_between(b, 0, 1), &air, NULL) < 0)
		require(jw_air_from_humidity(101325, 288.15, 0, &air, NULL) == 0);
	return air;
}

static inline jw_orifice take_orifice(bytes *b)
{
	jw_orifice orifice;
	orifice.diameter_m = take_between(b, 0, 5e-3);
	orifice.length_m = take_between(b, 0, 50e-3);
	orifice.coefficient = take_byte(b) % 2 ? 0 : take_between(b, 0, 1);
	return orifice;
}

static inline jw_liquid_flow take_liquid(bytes *b)
{
	jw_liquid_flow liquid;
	liquid.density_kg_m3 = take_between(b, 500, 1000);
	liquid.viscosity_m2_s = take_between(b, 1e-7, 1e-5);
	return liquid;
}

/* A blend whose parts mostly make up the whole. */
static inline jw_fuel take_fuel(bytes *b)
{
	jw_fuel fuel = {.parts = take_whole(b, JW_FUEL_PARTS + 1)};
	double left = 1;
	for (int i = 0; i < fuel.parts && i < JW_FUEL_PARTS; i++) {
		jw_fuel_part *part = &fuel.part[i];
		double share = i + 1 == fuel.parts ? 1 : take_share(b);
		part->liquid = (jw_liquid)take_whole(b, JW_LIQUID_COUNT);
		part->volume_fraction = take_byte(b) % 16 ? left * share : take_between(b, 0, 1);
		part->density_15c_kg_m3 = take_byte(b) % 8 ? 0 : take_between(b, 653, 950);
		part->hydrogen_per_carbon = take_byte(b) % 8 ? 0 : take_between(b, 1.5, 2.3);
		left -= part->volume_fraction;
	}
	fuel.reid_pa = take_byte(b) % 2 ? 0 : take_between(b, 0, 110e3);
	return fuel;
}

static inline jw_gas_analysis take_gas_analysis(bytes *b)
{
	jw_gas_analysis gas;
	gas.co = take_between(b, 0, 0.25);
	gas.co2 = take_between(b, 0, 0.25);
	gas.o2 = take_between(b, 0, 0.25);
	gas.hc = take_between(b, 0, 0.1);
	gas.no = take_between(b, 0, 0.02);
	return gas;
}

/* A set-up that the check accepts: one that comes along, changed; 0 where it is refused. */
static inline int take_setup(bytes *b, const jw_setup *first, int count, jw_setup *setup)
{
	jw_error error = {0};
	*setup = first[take_byte(b) % (unsigned)count];
	change_setup(b, setup);
	jw_status status = jw_setup_check(setup, &error);
	require(status >= 0 || (error.field && *error.field));
	return status >= 0;
}

static inline void load_setups(const char *const *names, int count, jw_setup *setups)
{
	char path[512];
	jw_faults faults;
	for (int i = 0; i < count; i++) {
		jw_profile *profile = NULL;
		snprintf(path, sizeof path, "%s/engines/%s.yaml", LIBRARY, names[i]);
		require(jw_profile_load(path, LIBRARY, &profile, &faults) >= 0);
		setups[i] = *jw_profile_setup(profile);
		jw_profile_free(profile);
	}
}

#define LOAD_SETUPS(setups, ...)                                                                                       \
	int LLVMFuzzerInitialize(int *count, char ***arguments);                                                           \
	int LLVMFuzzerInitialize(int *count, char ***arguments)                                                            \
	{                                                                                                                  \
		static const char *const names[] = {__VA_ARGS__};                                                              \
		_Static_assert(sizeof names / sizeof *names == sizeof setups / sizeof *setups, "a name each");                 \
		(void)count, (void)arguments;                                                                                  \
		load_setups(names, sizeof names / sizeof *names, setups);                                                      \
		return 0;                                                                                                      \
	}

#endif

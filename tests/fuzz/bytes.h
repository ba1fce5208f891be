/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers out of the bytes of a fuzzer, and what numbers that come back must be. */
#ifndef JW_FUZZ_BYTES_H
#define JW_FUZZ_BYTES_H

#include "fuzz.h"
#include "point/members.h"

#include <math.h>

/* Read from the front; past the end all are 0. */
typedef struct bytes {
	const uint8_t *next, *end;
} bytes;

static inline unsigned take_byte(bytes *b)
{
	return b->next < b->end ? *b->next++ : 0u;
}

/* Any bits at all. */
static inline double take_bits(bytes *b)
{
	uint64_t bits = 0;
	for (int i = 0; i < 8; i++)
		bits = bits << 8 | take_byte(b);
	double value;
	memcpy(&value, &bits, sizeof value);
	return value;
}

static inline double take_share(bytes *b)
{
	unsigned high = take_byte(b);
	return (high << 8 | take_byte(b)) / 65535.0;
}

/* Mostly within the limits, where the model works; else an end, or anything. */
static inline double take_between(bytes *b, double low, double high)
{
	switch (take_byte(b) % 16) {
	case 0:
		return take_bits(b);
	case 1:
		return low;
	case 2:
		return high;
	default:
		return low + (high - low) * take_share(b);
	}
}

/* Of structs and arrays that hold nothing but doubles. */
static inline int doubles_finite(const void *values, size_t size)
{
	const double *value = values;
	for (size_t i = 0; i < size / sizeof *value; i++)
		if (!isfinite(value[i]))
			return 0;
	return 1;
}

/* Mostly one of the first so many. */
static inline int take_whole(bytes *b, int count)
{
	unsigned first = take_byte(b);
	return first == 255 ? (int)(take_byte(b) << 24 | take_byte(b) << 16 | take_byte(b) << 8 | take_byte(b))
	                    : (int)first % count;
}

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

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers out of the bytes of a fuzzer. */
#ifndef JW_FUZZ_BYTES_H
#define JW_FUZZ_BYTES_H

#include "finite.h"
#include "fuzz.h"

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

static inline double within(bytes *b, double low, double high)
{
	return low + (high - low) * take_share(b);
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
		return within(b, low, high);
	}
}

/* Mostly one of the first so many. */
static inline int take_whole(bytes *b, int count)
{
	unsigned first = take_byte(b);
	return first == 255 ? (int)(take_byte(b) << 24 | take_byte(b) << 16 | take_byte(b) << 8 | take_byte(b))
	                    : (int)first % count;
}

#endif

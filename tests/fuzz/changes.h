/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Questions to rejet out of the bytes of a fuzzer. */
#ifndef JW_FUZZ_CHANGES_H
#define JW_FUZZ_CHANGES_H

#include "rejet/change.h"
#include "taken.h"

/* What a question points to. */
typedef struct asked {
	jw_setup setup, other;
	jw_air air;
	jw_rejet_change change[3];
	jw_jet_set jets;
	jw_reading reading;
	jw_unmeasured unmeasured[2];
} asked;

static inline jw_rejet_change take_change(bytes *b, const asked *a)
{
	jw_rejet_change c = {.kind = (jw_rejet_kind)take_whole(b, JW_REJET_KIND_COUNT)};
	if ((unsigned)c.kind >= JW_REJET_KIND_COUNT)
		return c;
	const jw_rejet_limits limits = jw_rejet_limits_of(c.kind);
	c.value = take_between(b, limits.low, limits.high);
	if (c.kind == JW_REJET_CYLINDERS || c.kind == JW_REJET_VENT || c.kind == JW_REJET_REFERENCE)
		c.value = round(c.value);
	if (c.kind == JW_REJET_FILLING)
		for (int i = 0; i < JW_RANGE_COUNT; i++)
			c.factor[i] = take_between(b, limits.low, limits.high);
	if (c.kind == JW_REJET_BRASS)
		for (int i = 0; i < JW_PART_COUNT; i++)
			c.part[i] = jw_part_value(&a->setup, (jw_part)i) * take_between(b, 0.8, 1.2);
	if (c.kind == JW_REJET_FUEL)
		c.fuel = take_fuel(b);
	if (c.kind == JW_REJET_CARBURETOR && take_byte(b) % 8)
		c.other = &a->other;
	return c;
}

static inline void take_jets(bytes *b, jw_jet *jet, int *count, double bore_m)
{
	*count = (int)(take_byte(b) % 4);
	double at = bore_m * 0.8;
	for (int i = 0; i < *count; i++) {
		at += bore_m * take_between(b, 0.01, 0.2);
		jet[i] = (jw_jet){at * 1e5, at};
	}
}

/* A set-up that the check accepts, and what is asked of it; 0 where it is refused. */
static inline int take_request(bytes *b, const jw_setup *first, int count, asked *a, jw_rejet_request *request)
{
	static const jw_unmeasured known[] = {
	    {"main jet", offsetof(jw_setup, carburetor.main.fuel_jet.diameter_m), 0, 1, 0.02, 0},
	    {"float level", offsetof(jw_setup, carburetor.bowl.level_error_m), 0, 1, 0, 1e-3}};
	memset(a, 0, sizeof *a);
	if (!take_setup(b, first, count, &a->setup))
		return 0;
	a->other = first[take_byte(b) % (unsigned)count];
	a->air = take_air(b);
	*request = (jw_rejet_request){.setup = &a->setup, .air = &a->air, .change = a->change};
	request->changes = (int)(take_byte(b) % 4);
	for (int i = 0; i < request->changes; i++)
		a->change[i] = take_change(b, a);
	request->anchored = (int)(take_byte(b) & 1);
	request->unmeasured = a->unmeasured;
	request->unmeasureds = (int)(take_byte(b) % 3);
	memcpy(a->unmeasured, known, sizeof known);
	for (int i = 0; i < JW_RANGE_COUNT; i++)
		request->target_lambda[i] = take_byte(b) % 4 ? 0 : take_between(b, 0.5, 1.5);
	if (take_byte(b) % 4) {
		take_jets(b, a->jets.main, &a->jets.mains, a->setup.carburetor.main.fuel_jet.diameter_m);
		take_jets(b, a->jets.pilot, &a->jets.pilots, a->setup.carburetor.pilot.fuel_jet.diameter_m);
		request->jets = &a->jets;
	}
	request->grooves = (jw_grooves){take_whole(b, 6), take_whole(b, 6), take_between(b, 0, 2e-3)};
	return 1;
}

/* That phi is one, or none. */
static inline int sound_ratios(const double *ratio, int count)
{
	for (int i = 0; i < count; i++)
		if (!isfinite(ratio[i]) || ratio[i] < 0)
			return 0;
	return 1;
}

#endif

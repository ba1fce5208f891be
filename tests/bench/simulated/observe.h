/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a person would report of an engine of the made-up world. */
#ifndef SIMULATED_OBSERVE_H
#define SIMULATED_OBSERVE_H

#include "world.h"

/* Random numbers of one stream. */
typedef struct chance {
	unsigned long long state;
} chance;

double chance_uniform(chance *c); /* 0..1 */
double chance_normal(chance *c);

/* One engine while it is looked at. */
typedef struct look {
	const jw_setup *sound, *faulty;
	chance *chance;
	jw_case *known;
	double shift; /* of all its limits, ln(lambda) */
	world_mixture now[JW_RANGE_COUNT], before[JW_RANGE_COUNT];
} look;

/* Runs the engine. Returns 0; 1 where nobody would feel a fault; negative where it has no answer in some range. */
int look_begin(look *l, const jw_setup *sound, const jw_setup *faulty, chance *c, jw_case *known);

/* Fills the evidence of the case: drops half of what could be said, makes one in ten of the rest wrong, and reads
 * lambda in some ranges with a noisy probe. */
void look_report(look *l);

/* What cannot be tried, or says nothing of the mixture. */
#define UNSEEN (-1)

/* Whether a trial on the running engine shows itself. */
int look_tried(const look *l, const char *seen, jw_range range);

#endif

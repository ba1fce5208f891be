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

/* Fills the evidence of a case: drops half of what could be said, makes one in ten of the rest wrong, and reads lambda
 * in some ranges with a noisy probe. Returns 0; 1 where nobody would feel a fault; negative where the engine has no
 * answer in some range. */
int observe(const jw_setup *sound, const jw_setup *faulty, chance *c, jw_case *known);

#endif

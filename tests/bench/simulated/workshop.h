/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests and repairs carried out on an engine whose fault is hidden from whoever proposes them. */
#ifndef SIMULATED_WORKSHOP_H
#define SIMULATED_WORKSHOP_H

#include "observe.h"

/* An engine in the workshop. */
typedef struct workshop {
	const look *engine;
	int cause;
	double severity;
	unsigned long long luck; /* the same test or repair comes out alike for everyone who tries it on this engine */
	jw_case known;           /* grows with what the tests show */
	double minutes;
	int steps, tries[JW_CAUSES_MOST];
	int cured_by; /* cause whose remedy cured it, or -1 */
} workshop;

/* Minutes and steps after which the engine is given up. */
#define MINUTES_MOST 480.0
#define STEPS_MOST 60

workshop workshop_open(const look *engine, int cause, double severity, const jw_case *known);

/* Whether there is still something to do and time to do it. */
int workshop_goes_on(const workshop *w);

/* Does a test in a range and writes its answer down. */
void workshop_test(workshop *w, int evidence_kind, jw_range range);

/* Does a remedy; whether the complaint is gone. What it did not cure is written down as mended in vain. */
int workshop_repair(workshop *w, int cause);

#endif

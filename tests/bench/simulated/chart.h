/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The order of checks of a published chart, to measure the proposed actions against. */
#ifndef SIMULATED_CHART_H
#define SIMULATED_CHART_H

#include <jetwright/jetwright.h>

/* One check, and the repair that follows where it finds something. */
typedef struct chart_step {
	const char *evidence; /* what is looked for; NULL: the repair is done at once */
	jw_answer fault;      /* the answer that calls for the repair */
	const char *cause;    /* that the repair mends */
} chart_step;

#define CHART_STEPS 64

/* The steps that the chart lists for what is complained of, then those it leaves to the carburetor shop; each once.
 * \param step CHART_STEPS \return how many */
int chart_order(const jw_case *known, const chart_step **step);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cases computed from an engine with known faults: what it does in each range, read and felt. */
#ifndef JW_TESTS_DIAGNOSE_COMPUTED_H
#define JW_TESTS_DIAGNOSE_COMPUTED_H

#include "diagnose/evidence.h"
#include "engine.h"

typedef struct computed_fault {
	const char *id;
	double severity;
} computed_fault;

static inline jw_setup with_faults(const jw_setup *setup, const computed_fault *fault, int faults)
{
	jw_setup faulty = *setup;
	for (int i = 0; i < faults; i++) {
		jw_setup before = faulty;
		cr_assert(jw_cause_apply(&before, jw_cause_find(fault[i].id), fault[i].severity, &faulty, NULL) == JW_OK, "%s",
		          fault[i].id);
	}
	return faulty;
}

/* How a mixture too lean, or too rich, is felt in each range. */
static const struct {
	const char *lean, *rich;
} felt_as[JW_RANGE_COUNT] = {
    [JW_IDLE] = {"hunts", "misfires_rich"},           [JW_OFF_IDLE] = {"stumbles", "misfires_rich"},
    [JW_QUARTER] = {"hesitates", "misfires_rich"},    [JW_HALF] = {"surges", "misfires_rich"},
    [JW_THREE_QUARTER] = {"surges", "misfires_rich"}, [JW_FULL] = {"flat", "misfires_rich"}};

/* Words of each range, as an engine of middling tolerance shows them; and lambda where it can be read, to 0.03. */
static inline jw_case computed_case(const jw_setup *setup, const computed_fault *fault, int faults)
{
	jw_setup faulty = with_faults(setup, fault, faults);
	jw_case known = {.air = mild_air(), .history = {.months_standing = 0}};
	for (jw_range r = 0; r < JW_RANGE_COUNT; r++) {
		double lambda = 1 / fmax(phi_at(&faulty, &known.air, r), 0.1);
		int lean = lambda > jw_wanted(r, JW_WANT_LEAN_ROUGH).lambda;
		int rich = lambda < jw_wanted(r, JW_WANT_RICH_ROUGH).lambda;
		see(&known, lean ? felt_as[r].lean : rich ? felt_as[r].rich : "runs_well", r);
		if (lambda < jw_wanted(r, JW_WANT_LEAN_LIMIT).lambda && lambda > jw_wanted(r, JW_WANT_RICH_LIMIT).lambda)
			see_value(&known, "lambda", r, lambda, 0.03);
	}
	see(&known, "spark_strong", JW_IDLE);
	see(&known, "bowl_fills_freely", JW_IDLE);
	return known;
}

/* How many ranges ail. */
static inline int troubles_of(const jw_case *known)
{
	int troubles = 0;
	for (int i = 0; i < known->evidences; i++) {
		const jw_evidence_row *row = jw_evidence_row_at(known->evidence[i].kind);
		troubles += !row->kind.takes_value && !row->good;
	}
	return troubles;
}

#endif

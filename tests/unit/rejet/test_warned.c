/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the model warns of stays with the range, the moment or the place that it is about. */
#include "bundled.h"
#include "rejetted.h"

static int boils(jw_status warned)
{
	return (warned & JW_W_BOILING) != 0;
}

/* As jw_mixture_at warns of each. */
static void expect_warned(const jw_setup *setup, const jw_air *air, const jw_status *warned, int hot)
{
	jw_mixture m;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		cr_expect_eq(warned[r], jw_mixture_at(setup, air, &setup->range[r], &m, NULL));
		cr_expect_eq(boils(warned[r]), hot);
	}
}

/* Petrol with a tenth of ethanol boils in a bowl at 50 C and 85 kPa, and not on a mild day at sea level. */
static const double hot_k = 313.15, hot_pa = 84.5e3;

Test(warned, of_before_after_and_the_parts_to_fit)
{
	const jw_setup s = bundled("trail-250");
	const jw_air air = mild_air();
	const jw_rejet_change change[] = {{.kind = JW_REJET_TEMPERATURE, .value = hot_k},
	                                  {.kind = JW_REJET_PRESSURE, .value = hot_pa}};
	const jw_rejet_request request = {.setup = &s, .air = &air, .change = change, .changes = 2, .anchored = 1};
	const jw_rejet_answer a = rejetted(&request);
	jw_status warned[2][JW_RANGE_COUNT];
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		warned[0][r] = a.range[r].warned_before;
		warned[1][r] = a.range[r].warned_after;
	}
	jw_setup fitted = a.setup;
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (a.choice.piece[p].sought)
			jw_part_set(&fitted, (jw_part)p, a.choice.piece[p].chosen, NULL);
	expect_warned(&s, &air, warned[0], 0);
	expect_warned(&a.setup, &a.air, warned[1], 1);
	expect_warned(&fitted, &a.air, a.choice.warned, 1);
}

Test(warned, of_each_place)
{
	static jw_rejet_visits plan;
	const jw_setup s = bundled("trail-250");
	const jw_air air = mild_air(), places[] = {air_of(hot_pa, hot_k, 0.5), air_of(101325, 273.15, 0.5)};
	const jw_rejet_request request = {.setup = &s, .air = &air, .anchored = 1};
	cr_assert(jw_rejet_plan_for(&request, places, 2, &plan, NULL) >= 0);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		cr_expect(boils(plan.warned[0][r]) && !boils(plan.warned[1][r]), "%s", jw_range_name((jw_range)r));
}

Test(warned, of_either_end_of_a_road)
{
	static jw_rejet_plan plan;
	const jw_setup s = bundled("trail-250");
	const jw_air air = mild_air();
	const jw_rejet_change warm = {.kind = JW_REJET_TEMPERATURE, .value = 308.15};
	const jw_rejet_request request = {.setup = &s, .air = &air, .change = &warm, .changes = 1, .anchored = 1};
	cr_assert(jw_rejet_plan_over(&request, 0, 3000, &plan, NULL) >= 0);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		cr_expect(!boils(plan.set[0].warned_from[r]) && boils(plan.set[plan.sets - 1].warned_to[r]), "%s",
		          jw_range_name((jw_range)r));
}

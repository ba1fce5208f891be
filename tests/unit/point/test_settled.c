/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How near to periodic a cycle may be asked to come. */
#include "bundled.h"

static jw_status settle(const jw_setup *setup, const jw_point *point, double settled, jw_error *error)
{
	static jw_cycle cycle;
	const jw_cycle_options options = {.settled = settled};
	const jw_air air = mild_air();
	return jw_cycle_at(setup, &air, point, &options, &cycle, error);
}

Test(cycle_settled, comes_as_near_as_may_be_asked)
{
	for (size_t i = 0; i < BUNDLED; i++) {
		const jw_setup setup = bundled(bundled_names[i]);
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			jw_error error = {0};
			const jw_status status = settle(&setup, &setup.range[r], 1e-8, &error);
			cr_expect(status >= 0, "%s at %s: %s %g", bundled_names[i], jw_range_name((jw_range)r), error.field,
			          error.value);
		}
	}
}

Test(cycle_settled, refuses_to_come_nearer)
{
	const jw_setup setup = bundled("courier-150");
	jw_error error = {0};
	cr_expect_eq(settle(&setup, &setup.range[JW_HALF], 0.9e-8, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "settled");
	cr_expect_eq(error.low, 1e-8);
	cr_expect_eq(settle(&setup, &setup.range[JW_HALF], 0.011, &error), JW_E_RANGE);
}

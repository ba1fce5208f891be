/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the engines that come along have in common. */
#include "bundled.h"

/* For a start in the cold a warm engine gets about half the air that its fuel needs (common practice, no source). */
Test(engines, enrichener_or_choke_is_a_rich_stop)
{
	const jw_air air = mild_air();
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup engine = bundled(bundled_names[e]);
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			jw_point on = engine.range[r];
			on.enrichener = 1;
			double phi = mixture_of(&engine, &air, &on).phi, off = phi_at(&engine, &air, (jw_range)r);
			cr_expect_gt(phi, off, "%s, %s: %g, off %g", bundled_names[e], jw_range_name((jw_range)r), 1 / phi,
			             1 / off);
			if (r == JW_IDLE)
				cr_expect(1 / phi > 0.3 && 1 / phi < 0.75, "%s: lambda %g", bundled_names[e], 1 / phi);
		}
	}
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: bank PROFILES. Four carburetors, one of them opened too far, and the adjustment that brings it back. */
#include "must.h"

int main(int argc, char **argv)
{
	jw_profile *profile = engine_of(argc > 1 ? argv[1] : "profiles", "four-600");
	const jw_setup *setup = jw_profile_setup(profile);
	jw_bank bank = {.count = 4, .setup = {setup, setup, setup, setup}, .offset = {0, 0.01, 0, 0}};
	jw_error error = {0};
	jw_bank_state state;
	jw_air air;
	must(jw_air_from_humidity(101325, 288.15, 0, &air, &error), &error);
	must(jw_bank_at(&bank, &air, &setup->range[JW_IDLE], &state, &error), &error);
	printf("at idle the gauges stand %.1f kPa apart; the second draws %.0f %% of the air\n", state.spread_pa / 1e3,
	       100 * state.air_share[1]);
	must(jw_bank_balance(&bank, &air, &setup->range[JW_IDLE], 0, 1, &bank.offset[1], &error), &error);
	must(jw_bank_at(&bank, &air, &setup->range[JW_IDLE], &state, &error), &error);
	printf("balanced: %.4f kPa apart, offset %.5f\n", state.spread_pa / 1e3, bank.offset[1]);
	jw_profile_free(profile);
	return 0;
}

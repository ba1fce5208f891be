/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any changes to any set-up that the check accepts, any jets at hand: answered or refused. */
#include "changes.h"

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "trail-250", "twin-480")

static void check_ranges(const jw_rejet_answer *answer, int changes)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const jw_rejet_range *range = &answer->range[r];
		require(isfinite(range->before.phi) && isfinite(range->after.phi));
		require(isfinite(range->relative_before) && isfinite(range->relative_after));
		require(isfinite(range->relative_change) && range->relative_change >= 0 && isfinite(range->by_readings));
		require(range->danger >= 0 && range->danger <= 1 && jw_rejet_verdict_name(range->becomes));
		for (int q = 0; q < JW_REJET_QUANTITY_COUNT; q++)
			require(doubles_finite(answer->share[r].of[q], sizeof(double) * (size_t)changes));
	}
	require(isfinite(answer->rule.area_factor));
}

static void check_choice(const jw_rejet_answer *answer)
{
	const jw_rejet_choice *choice = &answer->choice;
	require(sound_ratios(choice->target, JW_RANGE_COUNT) && sound_ratios(choice->ideal, JW_RANGE_COUNT));
	require(sound_ratios(choice->phi, JW_RANGE_COUNT) && sound_ratios(choice->start, JW_RANGE_COUNT));
	require(sound_ratios(choice->relative_change, JW_RANGE_COUNT) && sound_ratios(choice->relative_after, JW_RANGE_COUNT));
	require(isfinite(choice->cost));
	jw_setup fitted = answer->setup;
	for (int p = 0; p < JW_PART_COUNT; p++) {
		const jw_rejet_piece *piece = &choice->piece[p];
		require(isfinite(piece->was) && isfinite(piece->ideal) && doubles_finite(piece->effect, sizeof piece->effect));
		if (piece->sought)
			require(jw_part_set(&fitted, (jw_part)p, piece->start, NULL) >= 0 &&
			        jw_part_set(&fitted, (jw_part)p, piece->chosen, NULL) >= 0);
	}
}

static void answer(bytes *b, asked *a, jw_rejet_request *request)
{
	static jw_rejet_answer found;
	jw_setup setup = a->setup;
	jw_air air = a->air;
	if (jw_rejet_apply(a->change, request->changes, &setup, &air, NULL) < 0) {
		require(memcmp(&setup, &a->setup, sizeof setup) == 0 && memcmp(&air, &a->air, sizeof air) == 0);
		return; /* which jw_rejet would say too */
	}
	require(jw_setup_check(&setup, NULL) >= 0);
	require(a->setup.pulses.nodes > 0 || !jw_rejet_retabulates(request));
	if (take_byte(b) % 4 == 0) {
		a->reading = (jw_reading){.kind = JW_READING_LAMBDA, .air = air, .uncertainty = 0.02};
		a->reading.point = setup.range[take_byte(b) % JW_RANGE_COUNT];
		a->reading.value = take_between(b, 0.6, 1.4);
		request->reading = &a->reading;
		request->readings = 1;
	}
	if (jw_rejet(request, &found, NULL) < 0)
		return;
	require(jw_setup_check(&found.setup, NULL) >= 0);
	check_ranges(&found, request->changes);
	check_choice(&found);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static asked a;
	bytes b = {data, data + size};
	jw_rejet_request request;
	if (take_request(&b, setups, sizeof setups / sizeof *setups, &a, &request))
		answer(&b, &a, &request);
	return 0;
}

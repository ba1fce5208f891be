/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sets of jets for a few places, or for a short road, of any set-up that the check accepts: planned or refused. */
#include "changes.h"

enum { PLACES = 3 };

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "trail-250", "twin-480")

static void plan_for(bytes *b, const jw_rejet_request *request)
{
	static jw_rejet_visits plan;
	jw_air place[PLACES];
	int places = (int)(take_byte(b) % (PLACES + 1));
	for (int i = 0; i < places; i++)
		place[i] = take_air(b);
	if (jw_rejet_plan_for(request, place, places, &plan, NULL) < 0)
		return;
	require(plan.sets >= 1 && plan.sets <= places);
	for (int i = 0; i < places; i++) {
		require(plan.fit[i] >= 0 && plan.fit[i] < plan.sets && sound_ratios(plan.ratio[i], JW_RANGE_COUNT));
		require(sound_ratios(plan.let_out[i], JW_RANGE_COUNT) && sound_ratios(&plan.too_lean[i], 1));
		require(isfinite(plan.main_wanted_m[i]));
	}
	for (int i = 0; i < plan.sets; i++)
		require(doubles_finite(plan.set[i].value, sizeof plan.set[i].value));
}

static void plan_over(bytes *b, const jw_rejet_request *request)
{
	static jw_rejet_plan plan;
	double low = take_between(b, -1000, 5000), high = low + take_between(b, 0, 300);
	if (jw_rejet_plan_over(request, low, high, &plan, NULL) < 0)
		return;
	require(plan.sets >= 1 && plan.sets <= JW_REJET_SETS && plan.set[0].from_m == low);
	require(plan.set[plan.sets - 1].to_m == high && sound_ratios(plan.let_out, JW_RANGE_COUNT));
	for (int i = 0; i < plan.sets; i++) {
		const jw_rejet_stretch *s = &plan.set[i];
		require(s->from_m <= s->to_m && (!i || s->from_m == s[-1].to_m));
		require(doubles_finite(s->value, sizeof s->value));
		require(sound_ratios(s->ratio_from, JW_RANGE_COUNT) && sound_ratios(s->ratio_to, JW_RANGE_COUNT));
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static asked a;
	bytes b = {data, data + size};
	jw_rejet_request request;
	if (!take_request(&b, setups, sizeof setups / sizeof *setups, &a, &request))
		return 0;
	if (take_byte(&b) % 4)
		plan_for(&b, &request);
	else
		plan_over(&b, &request);
	return 0;
}

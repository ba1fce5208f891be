/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Banks: symmetry, adjusters there and back, and trade facts (common practice, no source). */
#include "bundled.h"
#include <jetwright/bank.h>
#include <stddef.h>

/* One of each kind of throat. */
static const char *const kinds[] = {"estate-1100", "courier-150", "trail-250"};
#define KINDS (sizeof kinds / sizeof *kinds)

static jw_bank bank_of(const jw_setup *setup, int count)
{
	jw_bank bank = {.count = count};
	for (int i = 0; i < count; i++)
		bank.setup[i] = setup;
	return bank;
}

static jw_bank_state state_of(const jw_bank *bank, jw_range range)
{
	const jw_air air = mild_air();
	jw_bank_state state = {0};
	jw_error error = {0};
	jw_status status = jw_bank_at(bank, &air, &bank->setup[0]->range[range], &state, &error);
	cr_assert(status >= 0, "%s: %s %g", jw_status_name(status), error.field ? error.field : "", error.value);
	return state;
}

static jw_status balance_of(const jw_bank *bank, jw_range range, int moved, double *offset)
{
	const jw_air air = mild_air();
	return jw_bank_balance(bank, &air, &bank->setup[0]->range[range], 0, moved, offset, NULL);
}

Test(bank, equal_carburetors_share_equally)
{
	const jw_air air = mild_air();
	for (size_t k = 0; k < KINDS; k++) {
		const jw_setup s = bundled(kinds[k]);
		for (int count = 1; count <= JW_BANK; count++) {
			const jw_bank bank = bank_of(&s, count);
			const jw_bank_state state = state_of(&bank, JW_IDLE);
			const jw_mixture alone = mixture_of(&s, &air, &s.range[JW_IDLE]);
			cr_expect(state.spread_pa == 0 && state.air_ratio == 1, "%s %d", kinds[k], count);
			JW_NEAR_REL(state.manifold_pa, alone.manifold_pa, 1e-15);
			for (int i = 0; i < count; i++) {
				JW_NEAR_REL(state.air_share[i], 1.0 / count, 1e-15);
				cr_expect(state.mixture[i].phi == alone.phi && state.throttle[i] == 0, "%s %d", kinds[k], i);
			}
		}
	}
}

/* Further open by an adjuster is further open by the linkage, and an idle stop set back meets the other from below. */
Test(bank, offset_adds_to_the_linkage)
{
	const jw_air air = mild_air();
	for (size_t k = 0; k < KINDS; k++) {
		const jw_setup s = bundled(kinds[k]);
		jw_bank bank = bank_of(&s, 3);
		bank.offset[1] = 0.02;
		bank.offset[2] = -1e-9;
		const jw_bank_state state = state_of(&bank, JW_IDLE);
		jw_point open = s.range[JW_IDLE];
		open.throttle += 0.02;
		const jw_mixture opened = mixture_of(&s, &air, &open);
		cr_expect(state.mixture[1].phi == opened.phi && state.mixture[1].manifold_pa == opened.manifold_pa, "%s",
		          kinds[k]);
		JW_NEAR_REL(state.mixture[2].manifold_pa, state.mixture[0].manifold_pa, 1e-6);
		JW_NEAR_REL(state.mixture[2].phi, state.mixture[0].phi, 1e-6);
	}
}

Test(bank, throttle_stays_between_its_stops)
{
	for (size_t k = 0; k < KINDS; k++) {
		const jw_setup s = bundled(kinds[k]);
		jw_bank bank = bank_of(&s, 3);
		bank.offset[1] = 0.25;
		bank.offset[2] = -0.25;
		const jw_bank_state full = state_of(&bank, JW_FULL), idle = state_of(&bank, JW_IDLE);
		cr_expect(full.throttle[1] == 1 && full.mixture[1].manifold_pa == full.mixture[0].manifold_pa, "%s", kinds[k]);
		cr_expect(idle.throttle[2] < 0 && idle.throttle[2] > -0.25, "%s", kinds[k]);
		cr_expect(idle.air_share[2] < 0.2 * idle.air_share[0], "%s: %g", kinds[k], idle.air_share[2]);
	}
}

Test(bank, lower_throttle_draws_less_and_the_found_offset_brings_it_back)
{
	for (size_t k = 0; k < KINDS; k++) {
		const jw_setup s = bundled(kinds[k]);
		for (int range = JW_IDLE; range <= JW_HALF; range++) {
			jw_bank bank = bank_of(&s, 3);
			bank.offset[1] = -0.003;
			bank.offset[2] = 0.004;
			const jw_bank_state apart = state_of(&bank, (jw_range)range);
			cr_expect(apart.air_share[1] < apart.air_share[0] && apart.air_share[0] < apart.air_share[2], "%s %d",
			          kinds[k], range);
			cr_expect(apart.mixture[1].manifold_pa < apart.mixture[0].manifold_pa, "%s %d", kinds[k], range);
			JW_NEAR_REL(apart.air_ratio, apart.air_share[1] / apart.air_share[2], 1e-12);
			JW_NEAR_REL(apart.air_share[0] + apart.air_share[1] + apart.air_share[2], 1, 1e-12);
			JW_NEAR_REL(apart.spread_pa, apart.mixture[2].manifold_pa - apart.mixture[1].manifold_pa, 1e-9);
			for (int i = 1; i < 3; i++) {
				double offset = NAN;
				cr_assert_eq(balance_of(&bank, (jw_range)range, i, &offset), JW_OK, "%s %d %d", kinds[k], range, i);
				JW_NEAR_ABS(offset, 0, 1e-7);
				bank.offset[i] = offset;
			}
			const jw_bank_state level = state_of(&bank, (jw_range)range);
			cr_expect(level.spread_pa < 1e-3 * apart.spread_pa, "%s %d: %g Pa", kinds[k], range, level.spread_pa);
		}
	}
}

/* Only differences count: the same turn on every adjuster is a turn of the idle stop. */
Test(bank, balances_against_a_reference_that_is_off_itself)
{
	const jw_setup s = bundled("estate-1100");
	jw_bank bank = bank_of(&s, 2);
	double offset = NAN;
	bank.offset[0] = -0.002;
	bank.offset[1] = 0.005;
	cr_assert_eq(balance_of(&bank, JW_IDLE, 1, &offset), JW_OK);
	JW_NEAR_ABS(offset, -0.002, 1e-7);
}

/* A leaking carburetor's throttle closes until its gauge agrees; its mixture still is the leaner one. */
Test(bank, hides_a_small_leak_and_not_a_large_one)
{
	const jw_setup sound = bundled("estate-1100");
	jw_setup leaking = sound;
	jw_bank bank = bank_of(&sound, 2);
	bank.setup[1] = &leaking;
	leaking.leak_m = 1e-3;
	double offset = NAN;
	cr_expect(state_of(&bank, JW_IDLE).spread_pa > 100);
	cr_assert_eq(balance_of(&bank, JW_IDLE, 1, &offset), JW_OK);
	cr_expect_lt(offset, -1e-4);
	bank.offset[1] = offset;
	const jw_bank_state level = state_of(&bank, JW_IDLE);
	cr_expect_lt(level.spread_pa, 1);
	cr_expect_lt(level.mixture[1].phi, 0.97 * level.mixture[0].phi);

	leaking.leak_m = 15e-3;
	bank.offset[1] = 0;
	jw_error error = {0};
	const jw_air air = mild_air();
	offset = 7;
	cr_expect_eq(jw_bank_balance(&bank, &air, &sound.range[JW_IDLE], 0, 1, &offset, &error), JW_E_NO_ROOT);
	cr_expect(offset == 7 && error.low < 0 && error.high == JW_BANK_OFFSET);
	cr_expect_str_eq(error.field, "offset");
}

Test(bank, dirty_pilot_of_one_leaves_the_other)
{
	for (size_t k = 0; k < KINDS; k++) {
		const jw_setup clean = bundled(kinds[k]);
		jw_setup dirty = clean;
		dirty.carburetor.pilot.fuel_jet.diameter_m *= 0.8;
		jw_bank bank = bank_of(&clean, 2);
		const jw_bank_state before = state_of(&bank, JW_IDLE);
		bank.setup[1] = &dirty;
		const jw_bank_state after = state_of(&bank, JW_IDLE);
		cr_expect(after.mixture[0].phi == before.mixture[0].phi, "%s", kinds[k]);
		cr_expect(after.mixture[1].phi < 0.9 * before.mixture[1].phi, "%s", kinds[k]);
		cr_expect(after.spread_pa < 1, "%s: gauges do not see fuel, %g Pa", kinds[k], after.spread_pa);
	}
}

/* Common practice, no source. */
Test(bank, offset_shows_at_idle_and_hardly_at_full_throttle)
{
	for (size_t k = 0; k < KINDS; k++) {
		const jw_setup s = bundled(kinds[k]);
		jw_bank bank = bank_of(&s, 2);
		bank.offset[1] = -0.005;
		const jw_bank_state idle = state_of(&bank, JW_IDLE), full = state_of(&bank, JW_FULL);
		cr_expect(idle.air_ratio < 0.97, "%s: %g", kinds[k], idle.air_ratio);
		cr_expect(full.air_ratio > 0.999, "%s: %g", kinds[k], full.air_ratio);
		cr_expect(full.spread_pa < 0.1 * idle.spread_pa, "%s: %g %g", kinds[k], full.spread_pa, idle.spread_pa);
	}
}

Test(bank, wide_open_throttles_need_no_adjuster)
{
	const jw_setup s = bundled("estate-1100");
	const jw_bank bank = bank_of(&s, 2);
	double offset = NAN;
	cr_assert_eq(balance_of(&bank, JW_FULL, 1, &offset), JW_OK);
	cr_expect_eq(offset, 0);
}

/* The engine whose throttle is moved is looked at only there. */
Test(bank, tells_what_is_wrong_with_the_one_that_is_moved)
{
	const jw_air air = mild_air();
	const jw_setup sound = bundled("twin-480");
	jw_setup broken = sound;
	broken.bowl_heating_k = 500;
	const jw_bank bank = {.count = 2, .setup = {&sound, &broken}};
	jw_error error = {0};
	double offset = 7;
	cr_expect_eq(jw_bank_balance(&bank, &air, &sound.range[JW_IDLE], 0, 1, &offset, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "temperature_k");
	cr_expect_eq(error.value, air.temperature_k + 500);
	cr_expect_eq(jw_bank_balance(&bank, &air, &sound.range[JW_IDLE], 0, 1, &offset, NULL), JW_E_RANGE);
	cr_expect_eq(offset, 7);
}

Test(bank, refuses_what_is_no_bank)
{
	const jw_air air = mild_air();
	const jw_setup four = bundled("estate-1100"), two = bundled("moped-50");
	const struct {
		int count;
		const jw_setup *second;
		double offset, throttle, speed_rev_s;
		int reference, moved;
		const char *field;
		int balance_only;
	} rows[] = {
	    {0, &four, 0, 0, 15, 0, 0, "count", 0},         {JW_BANK + 1, &four, 0, 0, 15, 0, 1, "count", 0},
	    {2, &two, 0, 0, 15, 0, 1, "engine.strokes", 0}, {2, &four, 0.3, 0, 15, 0, 1, "offset", 0},
	    {2, &four, NAN, 0, 15, 0, 1, "offset", 0},      {2, &four, 0, -0.1, 15, 0, 1, "throttle", 0},
	    {2, &four, 0, 0, 0, 0, 1, "speed_rev_s", 0},    {2, &four, 0, 0, 15, 2, 1, "reference", 1},
	    {2, &four, 0, 0, 15, 0, -1, "moved", 1},        {2, NULL, 0, 0, 15, 0, 1, "setup", 0},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_bank bank = {.count = rows[i].count, .setup = {&four, rows[i].second}, .offset = {0, rows[i].offset}};
		const jw_point point = {rows[i].speed_rev_s, rows[i].throttle, 0};
		static jw_bank_state state;
		jw_error error = {0};
		double offset = 7;
		state.manifold_pa = 7;
		if (!rows[i].balance_only) {
			cr_expect_lt(jw_bank_at(&bank, &air, &point, &state, &error), 0, "row %zu", i);
			cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
			cr_expect_eq(state.manifold_pa, 7);
		}
		error = (jw_error){0};
		cr_expect_lt(jw_bank_balance(&bank, &air, &point, rows[i].reference, rows[i].moved, &offset, &error), 0,
		             "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		cr_expect_eq(offset, 7);
	}
}

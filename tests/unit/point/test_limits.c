/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air that is handed in: whichever function takes it, a member beside its range is refused by its name. */
#include "limits.h"
#include "bundled.h"
#include <jetwright/bank.h>
#include <jetwright/cycle.h>
#include <jetwright/transient.h>

static const limits rows[] = {
    {"air.pressure_pa", 20e3, 120e3},   {"air.temperature_k", 213.15, 353.15}, {"air.vapour_fraction", 0, 0.5},
    {"air.density_kg_m3", 0.1, 3},      {"air.dry_fraction", 0.5, 1},          {"air.gas_constant_j_kg_k", 250, 400},
    {"air.viscosity_pa_s", 1e-6, 1e-4},
};

static jw_air air_with(int which, double value)
{
	jw_air air = mild_air();
	double *const member[] = {&air.pressure_pa,  &air.temperature_k,       &air.vapour_fraction, &air.density_kg_m3,
	                          &air.dry_fraction, &air.gas_constant_j_kg_k, &air.viscosity_pa_s};
	*member[which] = value;
	return air;
}

static jw_status mixture_in(int which, double value, jw_error *error)
{
	const jw_setup s = scooter();
	const jw_air air = air_with(which, value);
	jw_mixture m;
	return jw_mixture_at(&s, &air, &s.range[JW_HALF], &m, error);
}

static jw_status map_in(int which, double value, jw_error *error)
{
	const jw_setup s = scooter();
	const jw_air air = air_with(which, value);
	jw_mixture m;
	return jw_mixture_map(&s, &air, &s.range[JW_HALF], 1, &m, NULL, error);
}

static jw_status supplied_in(int which, double value, jw_error *error)
{
	const jw_setup s = scooter();
	const jw_air air = air_with(which, value);
	jw_supplied m;
	return jw_mixture_supplied(&s, &air, &s.range[JW_HALF], &m, error);
}

static jw_status cycle_in(int which, double value, jw_error *error)
{
	static jw_cycle cycle;
	const jw_setup s = scooter();
	const jw_air air = air_with(which, value);
	return jw_cycle_at(&s, &air, &s.range[JW_HALF], NULL, &cycle, error);
}

static jw_status snap_in(int which, double value, jw_error *error)
{
	const jw_setup s = scooter();
	const jw_air air = air_with(which, value);
	const jw_snap snap = {50, 0.1, 0.5, 0.1, 0, 300, 1e-2};
	jw_instant instants[4];
	return jw_snap_follow(&s, &air, &snap, instants, 4, error);
}

static jw_status bank_in(int which, double value, jw_error *error)
{
	static jw_bank_state state;
	const jw_setup s = scooter();
	const jw_air air = air_with(which, value);
	const jw_bank bank = {.count = 1, .setup = {&s}};
	return jw_bank_at(&bank, &air, &s.range[JW_HALF], &state, error);
}

Test(limits, of_the_air_of_a_point)
{
	hold_limits(mixture_in, rows, sizeof rows / sizeof *rows);
	hold_limits(map_in, rows, sizeof rows / sizeof *rows);
}

Test(limits, of_the_air_of_what_rests_on_points)
{
	static const asked_with asked[] = {supplied_in, cycle_in, snap_in, bank_in};
	for (size_t k = 0; k < sizeof asked / sizeof *asked; k++)
		for (int i = 0; i < (int)(sizeof rows / sizeof *rows); i++) {
			expect_refused(asked[k], &rows[i], i, NAN, JW_E_NOT_FINITE);
			expect_refused(asked[k], &rows[i], i, 2 * rows[i].high, JW_E_RANGE);
			expect_refused(asked[k], &rows[i], i, -1, JW_E_RANGE);
		}
}

static const limits snap_rows[] = {{"snap.from", 0, 1},
                                   {"snap.to", 0, 1},
                                   {"snap.opening_s", 0, 60},
                                   {"snap.wall_k", 200, 500},
                                   {"snap.step_s", 1e-4, 1}};

static jw_status snap_with(int which, double value, jw_error *error)
{
	const jw_setup s = scooter();
	const jw_air air = mild_air();
	jw_snap snap = {50, 0.1, 0.5, 0.1, 0, 300, 1e-2};
	double *const member[] = {&snap.from, &snap.to, &snap.opening_s, &snap.wall_k, &snap.step_s};
	jw_instant instants[4];
	*member[which] = value;
	return jw_snap_follow(&s, &air, &snap, instants, 4, error);
}

static jw_status snap_in_instants(int instants, jw_error *error)
{
	const jw_setup s = scooter();
	const jw_air air = mild_air();
	const jw_snap snap = {50, 0.1, 0.5, 0.1, 0, 300, 1e-2};
	jw_instant untouched;
	return jw_snap_follow(&s, &air, &snap, &untouched, instants, error);
}

Test(limits, of_a_throttle_that_moves)
{
	hold_limits(snap_with, snap_rows, sizeof snap_rows / sizeof *snap_rows);
	JW_REFUSED(snap_in_instants(1, &error), JW_E_RANGE, "instants", 1, 2, 1e6);
	JW_REFUSED(snap_in_instants(1000001, &error), JW_E_RANGE, "instants", 1000001, 2, 1e6);
}

/* Nothing filled in: its first member tells, not what comes of it within. */
Test(limits, of_air_that_nobody_made)
{
	const jw_setup s = scooter();
	const jw_air none = {0};
	jw_mixture m;
	jw_error error = {0};
	cr_expect_eq(jw_mixture_at(&s, &none, &s.range[JW_HALF], &m, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "air.pressure_pa");
	cr_expect_eq(error.value, 0);
}

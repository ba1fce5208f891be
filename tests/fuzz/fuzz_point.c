/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bits as a set-up: the check survives them, and what it accepts is solved at any point. What is solved is finite.
 */
#include "taken.h"
#include <jetwright/bank.h>
#include <jetwright/circuit.h>
#include <jetwright/transient.h>
#include <jetwright/tune.h>

static jw_setup setups[5];
LOAD_SETUPS(setups, "courier-150", "moped-50", "trail-250", "pump-200", "four-600")

static void check_mixture(jw_status status, const jw_mixture *m)
{
	if (status < 0)
		return;
	require(isfinite(m->phi) && m->phi >= 0 && isfinite(m->afr) && isfinite(m->air_kg_s) && isfinite(m->fuel_kg_s));
	require(m->fuel_kg_s >= 0 && isfinite(m->manifold_pa) && m->manifold_pa > 0 && isfinite(m->main_gain));
}

static void solve_points(bytes *b, const jw_setup *setup)
{
	jw_air air = take_air(b);
	jw_point point = take_point(b), other = take_point(b);
	jw_mixture mixture, near;
	jw_status status = jw_mixture_at(setup, &air, &point, &mixture, NULL);
	check_mixture(status, &mixture);
	if (status >= 0)
		check_mixture(jw_mixture_near(setup, &air, &other, &mixture, &near, NULL), &near);
	jw_coefficients sensitivity;
	double relative;
	if (jw_mixture_sensitivity(setup, &air, &point, &sensitivity, NULL) >= 0)
		require(isfinite(sensitivity.main) && isfinite(sensitivity.pilot) && isfinite(sensitivity.air));
	if (jw_mixture_uncertainty(setup, &air, &point, &relative, NULL) >= 0)
		require(isfinite(relative) && relative >= 0);
	jw_supplied supplied;
	if (jw_mixture_supplied(setup, &air, &point, &supplied, NULL) >= 0)
		require(isfinite(supplied.level_m) && isfinite(supplied.could_kg_s) && isfinite(supplied.mixture.phi));
	const jw_bank bank = {2, {setup, setup}, {0, take_between(b, -0.25, 0.25)}};
	jw_bank_state state;
	if (jw_bank_at(&bank, &air, &point, &state, NULL) >= 0)
		require(isfinite(state.spread_pa) && isfinite(state.air_ratio));
}

static void change_parts(bytes *b, const jw_setup *setup)
{
	jw_setup changed = *setup;
	jw_error error;
	jw_part part = (jw_part)take_whole(b, JW_PART_COUNT + 1);
	if (jw_part_set(&changed, part, take_between(b, 0, 5e-3), &error) >= 0)
		require(isfinite(jw_part_value(&changed, part)));
	if (jw_passage_shut(setup, (jw_passage)take_whole(b, JW_PASSAGE_COUNT + 1), take_between(b, 0, 1), &changed,
	                    &error) >= 0)
		require(jw_setup_check(&changed, &error) >= 0);
}

static void solve_circuit(bytes *b)
{
	jw_circuit circuit = {
	    take_orifice(b),       take_orifice(b), take_between(b, -30e-3, 60e-3), take_between(b, -5e-3, 60e-3),
	    take_between(b, 0, 5), take_whole(b, 2)};
	jw_circuit_ends ends = {.bowl_pa = take_between(b, 1e3, 1e6), .air_pa = take_between(b, 1e3, 1e6)};
	ends.outlets = take_whole(b, JW_OUTLETS + 1);
	for (int i = 0; i < JW_OUTLETS; i++)
		ends.outlet[i] = (jw_outlet){take_between(b, 0, 1e-5), take_between(b, 1e2, 1e6)};
	ends.fuel = take_liquid(b);
	ends.air = (jw_gas){take_between(b, 240, 330), take_between(b, 280, 300), take_between(b, 1e-5, 3e-5)};
	jw_circuit_flow flow;
	if (jw_circuit_solve(&circuit, &ends, &flow, NULL) >= 0)
		require(isfinite(flow.fuel_kg_s) && isfinite(flow.bleed_kg_s) && isfinite(flow.well_pa) &&
		        isfinite(jw_branch_feed(&circuit, &ends, flow.well_pa)));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	bytes b = {data, data + size};
	jw_setup setup;
	if (take_byte(&b) & 1) {
		solve_circuit(&b);
	} else if (take_setup(&b, setups, sizeof setups / sizeof *setups, &setup)) {
		change_parts(&b, &setup);
		solve_points(&b, &setup);
	}
	return 0;
}

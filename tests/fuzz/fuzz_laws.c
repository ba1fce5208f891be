/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any numbers to the laws that know nothing of a set-up: air, fuel, one orifice, jets, exhaust gas, probabilities. A
 * law that checks what it is given answers with finite numbers or leaves its outputs alone; to one that does not, what
 * its header asks for is given. */
#include "taken.h"
#include <jetwright/diagnose.h>
#include <jetwright/jet.h>
#include <jetwright/tune.h>
#include <jetwright/uncertainty.h>

#define UNTOUCHED 12345.0
#define ROUND_TRIP 1e-6 /* of what comes back */

static void fill(double *value, size_t size)
{
	for (size_t i = 0; i < size / sizeof *value; i++)
		value[i] = UNTOUCHED;
}

static jw_status answered(jw_status status, const double *value, size_t size)
{
	for (size_t i = 0; i < size / sizeof *value; i++)
		require(status >= 0 ? isfinite(value[i]) : value[i] == UNTOUCHED);
	return status;
}

/* `out` holds doubles and nothing else. */
#define ANSWERS(out, call) (fill((double *)&(out), sizeof(out)), answered((call), (const double *)&(out), sizeof(out)))

static void air(bytes *b)
{
	jw_air air;
	jw_atmosphere level;
	double pressure, any = take_bits(b);
	if (ANSWERS(air, jw_air_from_dew_point(take_between(b, 20e3, 120e3), take_between(b, 213, 353),
	                                       take_between(b, 173, 353), &air, NULL)) >= 0)
		require(jw_relative_humidity(&air) <= 1 + 1e-6 && air.density_kg_m3 > 0);
	if (ANSWERS(air, jw_air_from_humidity(take_between(b, 20e3, 120e3), take_between(b, 213, 353),
	                                      take_between(b, 0, 1), &air, NULL)) >= 0)
		require(isfinite(jw_power_correction(air.pressure_pa * (1 - air.vapour_fraction), air.temperature_k)));
	ANSWERS(level, jw_standard_atmosphere(take_between(b, -2000, 11000), &level, NULL));
	ANSWERS(pressure,
	        jw_station_pressure(take_between(b, 87e3, 109e3), take_between(b, -2000, 11000), &pressure, NULL));
	if (isfinite(any))
		require(isfinite(jw_saturation_pressure(any)) && isfinite(jw_air_viscosity(any)));
	require(isfinite(jw_geopotential_altitude(within(b, -1e6, 1e6))));
	require(isfinite(jw_density_rule(within(b, 0.1, 2), within(b, 0.1, 2))));
	pressure = within(b, 1e3, 2e5);
	require(jw_humidity_ratio(pressure * within(b, 0, 0.99), pressure) >= 0);
}

static void fuel(bytes *b)
{
	jw_fuel_state state = {.temperature_k = 0};
	double factor, liquid[2], atoms[2];
	const jw_fuel blend = take_fuel(b);
	if (ANSWERS(state, jw_fuel_at(&blend, take_between(b, 213, 393), &state, NULL)) >= 0)
		require(state.density_kg_m3 > 0 && state.viscosity_m2_s > 0 && state.stoichiometric_afr > 0);
	ANSWERS(atoms, jw_fuel_atoms(&state, &atoms[0], &atoms[1], NULL));
	ANSWERS(factor, jw_petroleum_volume_factor(take_between(b, 610, 1164), take_between(b, 223, 424), &factor, NULL));
	ANSWERS(liquid, jw_liquid_at((jw_liquid)take_whole(b, JW_LIQUID_COUNT), take_between(b, 213, 393), &liquid[0],
	                             &liquid[1], NULL));
	require(isfinite(jw_stoichiometric_afr(within(b, 0, 20), within(b, 0.1, 40), within(b, 0, 5))));
}

static void liquid(bytes *b)
{
	const jw_orifice orifice = take_orifice(b);
	const jw_liquid_flow liquid = take_liquid(b);
	double drop = take_between(b, -1e5, 1e5), kg_s, back, cd;
	jw_restriction left;
	/* beyond what numbers hold in full nothing comes back */
	const int held = orifice.coefficient == 0 || fabs(orifice.coefficient) > 1e-280;
	if (ANSWERS(kg_s, jw_liquid_mass_flow(&orifice, &liquid, drop, &kg_s)) == JW_OK && held &&
	    fabs(drop * kg_s) > 1e-280 && ANSWERS(back, jw_liquid_drop(&orifice, &liquid, kg_s, &back, NULL)) == JW_OK)
		require(fabs(back - drop) <= ROUND_TRIP * fabs(drop));
	ANSWERS(back, jw_liquid_drop(&orifice, &liquid, take_between(b, -1e-2, 1e-2), &back, NULL));
	ANSWERS(back,
	        jw_bore_for_liquid_flow(&orifice, &liquid, take_between(b, 0, 1e5), take_between(b, 0, 1e-2), &back, NULL));
	ANSWERS(cd, jw_discharge_coefficient(take_between(b, 0, 1e5), take_between(b, 0, 20), &cd));
	ANSWERS(back, jw_pipe_drop(take_between(b, 1e-6, 1), take_between(b, 0, 1000), &liquid, take_between(b, -1, 1),
	                           &back, NULL));
	ANSWERS(left, jw_restrict(&orifice, (jw_restriction_kind)take_whole(b, 4), take_between(b, 0, 1), &liquid,
	                          take_between(b, 1e-3, 1e5), &left, NULL));
	require(jw_friction_factor(within(b, 1e-3, 1e8)) > 0);
	require(isfinite(jw_orifice_area(&(jw_orifice){.diameter_m = within(b, 0, 0.1)})));
}

static void gas(bytes *b)
{
	const jw_gas air = {within(b, 200, 400), within(b, 200, 400), within(b, 1e-6, 1e-4)};
	const jw_orifice orifice = take_orifice(b);
	double area = within(b, 1e-9, 1e-2), up = within(b, 1e2, 1e6), down = within(b, 0, 1e6), kg_s, back;
	jw_status status = ANSWERS(kg_s, jw_gas_mass_flow(area, &air, up, down, &kg_s));
	require(status >= 0 && fabs(kg_s) <= jw_gas_choked_flow(area, &air, fmax(up, down)) * (1 + 1e-9));
	if (status == JW_OK && kg_s > 0 && jw_gas_downstream_pressure(area, &air, up, kg_s, &back) == JW_OK)
		require(fabs(back - down) <= ROUND_TRIP * up);
	ANSWERS(kg_s, jw_gas_orifice_flow(&orifice, &air, up, down, &kg_s));
	require(jw_gas_choked_series(area, within(b, 0, 1e-2), &air, up) <=
	        jw_gas_choked_flow(area, &air, up) * (1 + 1e-9));
	double gamma = within(b, 1.01, 1.7), beta = within(b, 0, 0.95), ratio = within(b, 0.75, 1);
	require(jw_critical_pressure_ratio(gamma) < 1 && isfinite(jw_compressibility_factor(take_share(b), gamma)));
	require(isfinite(jw_orifice_expansibility(beta, ratio, gamma)));
	require(isfinite(jw_nozzle_expansibility(beta, ratio, gamma)));
}

static void emulsion(bytes *b)
{
	const jw_emulsion e = {within(b, 0, 1), within(b, 500, 1000), within(b, 5e4, 1e5), (int)(take_byte(b) % 2)};
	double up = within(b, 1e2, 2e5), kg_s;
	ANSWERS(kg_s, jw_emulsion_mass_flow(within(b, 0, 1e-4), &e, up, within(b, 0, 1e5), &kg_s));
	double density = jw_emulsion_density(&e, within(b, 1e2, 1e6)), gas = jw_void_fraction(&e, within(b, 1e2, 1e6));
	require(density > 0 && isfinite(density) && gas >= 0 && gas <= 1);
	require(isfinite(jw_mixture_viscosity(e.quality, within(b, 1e-6, 1e-4), within(b, 1e-5, 1e-2))));
}

static void jet(bytes *b)
{
	const jw_flow_bench bench = {take_orifice(b), take_liquid(b), take_between(b, 0, 1e4)};
	const jw_flow_bench *stated = take_byte(b) % 4 ? &bench : NULL;
	jw_mark_kind kind = (jw_mark_kind)take_whole(b, JW_MARK_KIND_COUNT);
	double bore, mark[2];
	ANSWERS(bore, jw_mark_bore(kind, take_between(b, 0, 500), stated, &bore, NULL));
	bore = take_between(b, 20e-6, 20e-3);
	if (ANSWERS(mark, jw_mark_nearest(kind, bore, stated, &mark[0], &mark[1], NULL)) == JW_OK) {
		double back;
		if (ANSWERS(back, jw_mark_bore(kind, mark[0], stated, &back, NULL)) == JW_OK)
			require(fabs(back - bore - mark[1]) <= ROUND_TRIP * bore);
	}
}

static void exhaust(bytes *b)
{
	double lambda, hydrogen = take_between(b, 0, 4), oxygen = take_between(b, 0, 1);
	const jw_gas_analysis gas = take_gas_analysis(b);
	ANSWERS(lambda, jw_lambda_from_gas(&gas, hydrogen, oxygen, &lambda, NULL));
	ANSWERS(lambda, jw_lambda_from_co(take_between(b, 0.005, 0.2), hydrogen, oxygen, &lambda, NULL));
}

static void probabilities(bytes *b)
{
	enum { MOST = 5, OUTCOMES = 3 };
	double prior[MOST], likelihood[MOST], posterior[MOST], minutes[MOST], outcome[MOST * OUTCOMES], sum = 0;
	int n = (int)(1 + take_byte(b) % MOST);
	fill(posterior, sizeof posterior);
	for (int i = 0; i < n; i++) {
		prior[i] = take_between(b, 0, 1);
		likelihood[i] = take_between(b, 0, 1);
		minutes[i] = within(b, 0, 100);
		double first = take_share(b), second = (1 - first) * take_share(b);
		outcome[i * OUTCOMES] = first, outcome[i * OUTCOMES + 1] = second,
		            outcome[i * OUTCOMES + 2] = 1 - first - second;
	}
	jw_status status =
	    answered(jw_posterior(prior, likelihood, n, posterior, NULL), posterior, sizeof *posterior * (size_t)n);
	if (status < 0)
		return;
	for (int i = 0; i < n; i++)
		sum += posterior[i];
	require(fabs(sum - 1) < 1e-9);
	double bits = jw_entropy(posterior, n), gained = jw_expected_information(posterior, outcome, n, OUTCOMES);
	require(bits >= -1e-9 && bits <= log2(n) + 1e-9 && gained >= -1e-9 && gained <= bits + 1e-9);
	double best = jw_expected_minutes(posterior, minutes, n), given = jw_minutes_in_order(posterior, minutes, n);
	require(isfinite(best) && best >= 0 && best <= given * (1 + 1e-9) + 1e-9);
}

static jw_status model(const double *inputs, double *output, void *context)
{
	*output = inputs[0] * inputs[1] + exp(inputs[1] / 1e3);
	return inputs[0] > *(const double *)context ? JW_E_RANGE : JW_OK;
}

static void uncertainty(bytes *b)
{
	enum { SAMPLES = 127 };
	jw_input input[2];
	jw_propagation first;
	jw_sampling sampling;
	double second, factor, contribution[2], outputs[SAMPLES], limit = take_between(b, 0, 10);
	for (int i = 0; i < 2; i++) {
		input[i].mean = take_between(b, -10, 10);
		input[i].uncertainty = take_between(b, 0, 3);
		input[i].freedom = take_byte(b) % 2 ? 0 : take_between(b, 1, 30);
		input[i].distribution = (jw_distribution)take_whole(b, JW_DISTRIBUTION_COUNT + 1);
	}
	int count = (int)(take_byte(b) % 4 ? 2 : take_byte(b) % 3);
	double step = take_between(b, 0, 1);
	ANSWERS(first, jw_propagate(model, &limit, input, count < 2 ? 0 : 2, step, contribution, &first, NULL));
	ANSWERS(second, jw_propagate_second(model, &limit, input, count < 2 ? 0 : 2, step, &second, NULL));
	ANSWERS(factor, jw_coverage_factor(take_between(b, 0, 30), take_between(b, 0, 1), &factor, NULL));
	if (jw_sample(model, &limit, input, 2, SAMPLES, take_between(b, 0.1, 0.99), outputs, &sampling, NULL) >= 0)
		require(isfinite(sampling.mean) && sampling.deviation >= 0 && sampling.low <= sampling.high &&
		        sampling.shortest_low <= sampling.shortest_high && sampling.left_out >= 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static void (*const laws[])(bytes *) = {air, fuel, liquid, gas, emulsion, jet, exhaust, probabilities, uncertainty};
	bytes b = {data, data + size};
	laws[take_byte(&b) % (sizeof laws / sizeof *laws)](&b);
	return 0;
}

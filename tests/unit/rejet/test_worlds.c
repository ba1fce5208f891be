/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Jets found again on engines that run by another theory than the one that proposes them. */
#include "bundled.h"
#include "rejetted.h"
#include <math.h>

/* A usual step from jet to jet. */
static const double step = 0.025;

typedef double (*world)(const jw_setup *right, const jw_setup *now, const jw_air *air, jw_range range);

/* Crank degree by crank degree. */
static double by_cycle(const jw_setup *right, const jw_setup *now, const jw_air *air, jw_range range)
{
	(void)right;
	return cycle_of(now, air, &now->range[range], NULL).phi;
}

/* The simple carburetor of textbooks (Heywood, Internal Combustion Engine Fundamentals, 1988, 7.2): at one air flow all
 * fuel goes with the area of the main jet, but for what a power jet has beside it. */
static double by_textbook(const jw_setup *right, const jw_setup *now, const jw_air *air, jw_range range)
{
	jw_mixture m;
	const double bores = now->carburetor.main.fuel_jet.diameter_m / right->carburetor.main.fuel_jet.diameter_m;
	cr_assert(jw_mixture_at(right, air, &right->range[range], &m, NULL) >= 0);
	const double beside = m.flow.power.fuel_kg_s / m.fuel_kg_s;
	return m.phi * (beside + (1 - beside) * bores * bores);
}

/* As its owner knows it: what the world gives with the right jets is its baseline. */
static jw_setup known_as(const jw_setup *right, const jw_air *air, world runs)
{
	jw_setup known = *right;
	const jw_baseline baseline = {*air, 1 / runs(right, right, air, JW_IDLE), 1 / runs(right, right, air, JW_HALF),
	                              1 / runs(right, right, air, JW_FULL)};
	jw_calibration found;
	jw_error error = {0};
	known.coefficient = (jw_coefficients){1, 1, 1, 1};
	const jw_status status = jw_calibrate(&known, &baseline, &found, &error);
	cr_assert(status >= 0, "%s %g", error.field ? error.field : "", error.value);
	known.coefficient = found.coefficient;
	return known;
}

/* Lambda is read at full throttle with a main jet that does not belong there, as a share of the right
 * one; what is proposed, as a share of it. */
static double found_again(const char *engine, double detuned, world runs)
{
	const jw_setup right = bundled(engine);
	const jw_air air = mild_air();
	const jw_setup known = known_as(&right, &air, runs);
	jw_setup now = right;
	now.carburetor.main.fuel_jet.diameter_m *= detuned;
	jw_rejet_change brass = {.kind = JW_REJET_BRASS};
	for (int p = 0; p < JW_PART_COUNT; p++)
		brass.part[p] = jw_part_value(&now, (jw_part)p);
	jw_reading reading;
	jw_rejet_request request = {.setup = &known,
	                            .air = &air,
	                            .change = &brass,
	                            .changes = 1,
	                            .anchored = 1,
	                            .reading = &reading,
	                            .readings = 1};
	const double lambda = 1 / runs(&right, &now, &air, JW_FULL);
	reading = (jw_reading){.kind = JW_READING_LAMBDA,
	                       .air = air,
	                       .point = now.range[JW_FULL],
	                       .value = lambda,
	                       .uncertainty = 0.005 * lambda};
	request.target_lambda[JW_FULL] = 1 / runs(&right, &right, &air, JW_FULL);
	const jw_rejet_answer answer = rejetted(&request);
	return answer.choice.piece[JW_PART_MAIN_JET].ideal / right.carburetor.main.fuel_jet.diameter_m;
}

Test(worlds, main_jet_found_again_in_the_cycle)
{
	static const char *const engines[] = {"courier-150", "cruiser-1200", "estate-1100",
	                                      "four-600",    "kart-125",     "trail-250"};
	for (size_t e = 0; e < sizeof engines / sizeof *engines; e++)
		for (int rich = 0; rich < 2; rich++) {
			const double found = found_again(engines[e], rich ? 1.06 : 0.94, by_cycle);
			cr_expect(fabs(found - 1) < step, "%s, from %s: %.3f", engines[e], rich ? "rich" : "lean", found);
		}
}

/* Where the main jet alone meters at full throttle, as textbooks have it: on lifted slides the needle shares in it a
 * little; on floating ones needle and pilot jet do, and the same jets are found within 7 %. */
Test(worlds, main_jet_found_again_in_the_textbook)
{
	static const struct {
		const char *engine;
		double within;
	} rows[] = {{"moped-50", step}, {"pump-200", step}, {"estate-1100", step}, {"kart-125", 0.03}, {"trail-250", 0.03}};
	for (size_t e = 0; e < sizeof rows / sizeof *rows; e++)
		for (int rich = 0; rich < 2; rich++) {
			const double found = found_again(rows[e].engine, rich ? 1.06 : 0.94, by_textbook);
			cr_expect(fabs(found - 1) < rows[e].within, "%s, from %s: %.3f", rows[e].engine, rich ? "rich" : "lean",
			          found);
		}
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Causes between tank and bowl, on engines whose supply is described. */
#include "base/base.h"
#include "diagnose/starved.h"
#include "engine.h"

static const char *const described[] = {"courier-150", "twin-480", "estate-1100", "pump-200"};
enum { DESCRIBED = sizeof described / sizeof *described };

static const char *const causes[] = {"fuel_supply_restricted", "tank_vent_blocked", "fuel_pump_weak",
                                     "float_needle_stuck_shut"};
enum { CAUSES = sizeof causes / sizeof *causes };

static const jw_cause_row *row_of(const char *id)
{
	return jw_cause_row_at(jw_cause_find(id));
}

/* The same severity put into the supply by hand, and bowl and jets solved together. */
static jw_setup blocked(const jw_setup *setup, const jw_cause_row *row, double severity)
{
	jw_setup faulty = *setup;
	*jw_double_at(&faulty, row->supply) *= pow(10, -3 * severity * (row->is_push ? 1 : 0.5));
	return faulty;
}

/* What is missing in the short reckoning is missing in the level that settles: where the supply falls short, phi is
 * that of what comes; where it does not, it is that of a full bowl but for the level's few millimetres. */
Test(starved, agrees_with_the_level_that_settles)
{
	const jw_air air = mild_air();
	int shortages = 0;
	for (int e = 0; e < DESCRIBED; e++)
		for (int c = 0; c < CAUSES; c++) {
			const jw_setup setup = bundled(described[e]);
			const jw_cause_row *row = row_of(causes[c]);
			if (!jw_supply_foretells(&setup, row))
				continue;
			for (int r = JW_IDLE; r <= JW_FULL; r += JW_FULL)
				for (double severity = 0.1; severity < 1; severity += 0.2) {
					const jw_setup faulty = blocked(&setup, row, severity);
					jw_mixture full;
					jw_supplied settled;
					double share;
					cr_assert(jw_mixture_at(&setup, &air, &setup.range[r], &full, NULL) >= 0);
					cr_assert(jw_supply_share(&setup, &air, row, severity, &setup.range[r], &full, &share, NULL) >= 0);
					cr_assert(jw_mixture_supplied(&faulty, &air, &setup.range[r], &settled, NULL) >= 0);
					const double phi = full.phi * fmin(share, 1), apart = fabs(settled.mixture.phi - phi);
					cr_expect(apart < 0.06 * full.phi, "%s, %s, %s, severity %g: %g, settled %g", described[e],
					          causes[c], jw_range_name((jw_range)r), severity, phi, settled.mixture.phi);
					shortages += share < 1;
				}
		}
	cr_expect(shortages > 20, "%d", shortages);
}

/* Blocked a little it is felt at full throttle alone; the more it is blocked the lower the opening that starves. */
Test(starved, the_more_is_drawn_the_sooner)
{
	const jw_setup setup = bundled("courier-150");
	const jw_air air = mild_air();
	const jw_cause_row *row = row_of("fuel_supply_restricted");
	for (double severity = 0.05; severity < 1; severity += 0.1) {
		double above = 0;
		for (int r = JW_FULL; r >= JW_IDLE; r--) {
			jw_mixture full;
			double share;
			cr_assert(jw_mixture_at(&setup, &air, &setup.range[r], &full, NULL) >= 0);
			cr_assert(jw_supply_share(&setup, &air, row, severity, &setup.range[r], &full, &share, NULL) >= 0);
			cr_expect(share > above, "%g at %s", severity, jw_range_name((jw_range)r));
			above = share;
		}
	}
}

/* A hundredth of a molecule a second (point/burns.h) is no fuel that a supply could be short of. */
Test(starved, nothing_drawn_is_not_short)
{
	const jw_setup setup = bundled("courier-150");
	const jw_air air = mild_air();
	const jw_cause_row *row = row_of("fuel_supply_restricted");
	jw_mixture none = mixture_of(&setup, &air, &setup.range[JW_IDLE]);
	const double drawn[] = {0, 1e-27};
	for (int i = 0; i < 2; i++) {
		double share = 0;
		none.fuel_kg_s = drawn[i];
		cr_assert(jw_supply_share(&setup, &air, row, 0.5, &setup.range[JW_IDLE], &none, &share, NULL) >= 0);
		cr_expect_eq(share, 1, "%g", share);
	}
}

static double of_supply(const jw_setup *setup, const char *const *seen, const jw_range *range, int n)
{
	jw_case known = {.air = mild_air()};
	for (int i = 0; i < n; i++)
		see(&known, seen[i], range[i]);
	jw_report *report = explained(setup, &known);
	double sum = 0;
	for (int c = 0; c < CAUSES; c++)
		sum += probability_of(report, causes[c]);
	jw_report_free(report);
	return sum;
}

/* Lean from full throttle down speaks for the supply; lean at half and well at full cannot be the supply's doing. */
Test(starved, full_throttle_goes_first)
{
	const jw_setup setup = bundled("courier-150");
	static const char *const from_full[] = {"flat", "cuts_out", "runs_well"};
	static const jw_range full_first[] = {JW_FULL, JW_FULL, JW_HALF}, half_first[] = {JW_HALF, JW_HALF, JW_FULL};
	double first = of_supply(&setup, from_full, full_first, 3), last = of_supply(&setup, from_full, half_first, 3);
	cr_expect(first > 4 * last && first > 0.2, "%g, %g", first, last);
}

/* A supply that is described says what it has: one that falls from the tank has no pump to fail. */
Test(starved, parts_that_are_there)
{
	const jw_cause_row *pump = row_of("fuel_pump_weak");
	for (int e = 0; e < DESCRIBED; e++) {
		const jw_setup setup = bundled(described[e]);
		cr_expect_eq(jw_cause_possible(&setup, pump), setup.supply.pump_pa > 0, "%s", described[e]);
		cr_expect(jw_supply_foretells(&setup, row_of("fuel_supply_restricted")));
		cr_expect(!jw_supply_foretells(&setup, row_of("spark_weak")));
	}
	jw_setup unsaid = bundled("moped-50");
	cr_expect(jw_cause_possible(&unsaid, pump) && !jw_supply_foretells(&unsaid, pump));
}

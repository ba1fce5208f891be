/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What instruments read beside the mixture: on the bench, at the plug hole, at the bowl drain. */
#include "diagnose/cause.h"
#include "diagnose/evidence.h"
#include "engine.h"

static jw_report *with_reading(const jw_case *known, const char *id, double value)
{
	const jw_setup setup = scooter();
	jw_case more = *known;
	see_value(&more, id, JW_IDLE, value, 0);
	return explained(&setup, &more);
}

/* Probability of a cause after a reading, as a multiple of that before. */
static double raises(const jw_case *known, const char *id, double value, const char *cause)
{
	const jw_setup setup = scooter();
	jw_report *before = explained(&setup, known), *after = with_reading(known, id, value);
	double ratio = probability_of(after, cause) / probability_of(before, cause);
	jw_report_free(before);
	jw_report_free(after);
	return ratio;
}

static jw_case hunting(void)
{
	jw_case known = {.air = mild_air()};
	see(&known, "hunts", JW_IDLE);
	see(&known, "stumbles", JW_OFF_IDLE);
	return known;
}

/* The flow of the jet taken out fixes its severity: the share read lies in a narrow interval of the effect. */
Test(readings, bench_flow_fixes_the_severity)
{
	const jw_case known = hunting();
	for (double share = 0.45; share < 0.8; share += 0.15) {
		jw_report *report = with_reading(&known, "pilot_jet_flow", share);
		const jw_finding *top = jw_report_finding(report, 0);
		cr_expect_str_eq(cause_of(report, 0), "pilot_jet_restricted");
		cr_expect(top->severity.high_90 - top->severity.low_90 < 0.3, "%g: %g to %g", share, top->severity.low_90,
		          top->severity.high_90);
		cr_expect(share > top->effect.low_90 - 0.05 && share < top->effect.high_90 + 0.05, "%g: %g to %g", share,
		          top->effect.low_90, top->effect.high_90);
		jw_report_free(report);
	}
	cr_expect(raises(&known, "pilot_jet_flow", 1, "pilot_jet_restricted") < 0.3, "a clean jet clears it");
	cr_expect(raises(&known, "pilot_jet_flow", 1, "air_leak") > 1, "and leaves the others");
}

/* A bore tells the wrong jet from the right one that is blocked; a share of the clean flow only the second. */
Test(readings, bench_bore_finds_wrong_brass)
{
	const jw_setup setup = scooter();
	const double bore = setup.carburetor.pilot.fuel_jet.diameter_m;
	const jw_case known = hunting();
	cr_expect(raises(&known, "pilot_jet_bore", 0.85 * bore, "pilot_jet_too_small") > 2);
	cr_expect(raises(&known, "pilot_jet_bore", 0.85 * bore, "pilot_jet_too_large") < 0.2);
	cr_expect(raises(&known, "pilot_jet_flow", 0.6, "pilot_jet_too_small") < 0.5);
	jw_report *report = with_reading(&known, "pilot_jet_bore", 0.8 * bore);
	const jw_finding *jet = jw_report_finding(report, place_of(report, "pilot_jet_restricted"));
	cr_expect(fabs(jet->bore.value / bore - 0.8) < 0.04, "%g", jet->bore.value / bore);
	jw_report_free(report);
}

Test(readings, level)
{
	const jw_case known = hunting();
	cr_expect(raises(&known, "level", -4e-3, "float_level_low") > 3);
	cr_expect(raises(&known, "level", -4e-3, "float_level_high") < 0.5);
	cr_expect(raises(&known, "level", 4e-3, "float_needle_leaking") > 3);
	cr_expect(raises(&known, "level", 0, "float_level_low") < 0.3);
	jw_report *report = with_reading(&known, "level", -4e-3);
	const jw_finding *low = jw_report_finding(report, place_of(report, "float_level_low"));
	cr_expect(fabs(low->effect.value - 4) < 0.7, "%g mm", low->effect.value);
	jw_report_free(report);
}

Test(readings, compression_and_drain)
{
	jw_case known = hunting();
	see(&known, "does_not_start", JW_IDLE);
	cr_expect(raises(&known, "compression", 450e3, "compression_low") > 4);
	cr_expect(raises(&known, "compression", 1100e3, "compression_low") < 0.3);
	cr_expect(raises(&known, "compression_hot", 450e3, "valve_clearance") > 2);
	cr_expect(raises(&known, "bowl_drain", 0.4e-6, "fuel_supply_restricted") > 2);
	cr_expect(raises(&known, "bowl_drain", 5e-6, "fuel_supply_restricted") < 0.5);
}

/* Readings of a jet two faults share: both are read as if each stood alone. */
Test(readings, bench_adds_up_in_pairs)
{
	const jw_setup setup = scooter();
	jw_setup main_shut, both;
	cr_assert(jw_cause_apply(&setup, jw_cause_find("main_jet_restricted"), 0.5, &main_shut, NULL) == JW_OK);
	cr_assert(jw_cause_apply(&main_shut, jw_cause_find("pilot_jet_restricted"), 0.6, &both, NULL) == JW_OK);
	jw_case known = {.air = mild_air()};
	see(&known, "hunts", JW_IDLE);
	see(&known, "flat", JW_FULL);
	see_value(&known, "pilot_jet_flow", JW_IDLE, 0.40, 0);
	see_value(&known, "main_jet_flow", JW_IDLE, 0.50, 0);
	double pair[2];
	for (int clean = 0; clean < 2; clean++) {
		known.evidence[3].value = clean ? 1 : 0.5;
		jw_report *report = explained(&setup, &known);
		pair[clean] = hypothesis_of(report, "pilot_jet_restricted", "main_jet_restricted");
		cr_expect_str_eq(cause_of(report, 0), clean ? "pilot_jet_restricted" : "passages_varnished");
		jw_report_free(report);
	}
	cr_expect(pair[0] > 5 * pair[1], "%g, main jet clean %g", pair[0], pair[1]);
}

static int conflicts(const jw_case *known)
{
	const jw_setup setup = scooter();
	jw_report *report = explained(&setup, known);
	int n = jw_report_conflicts(report);
	jw_report_free(report);
	return n;
}

/* Readings of one thing that cannot both be so are named; near ones, and those of two ranges, agree. */
Test(readings, contradictions_are_named)
{
	static const struct {
		const char *id;
		jw_range range;
		double value;
		const char *other;
		jw_range where;
		double beside;
		int conflicts;
	} rows[] = {
	    {"lambda", JW_FULL, 0.80, "lambda", JW_FULL, 1.10, 1},
	    {"lambda", JW_FULL, 0.85, "lambda", JW_FULL, 0.88, 0},
	    {"lambda", JW_FULL, 0.80, "lambda", JW_IDLE, 1.10, 0},
	    {"level", JW_IDLE, -4e-3, "level", JW_IDLE, 4e-3, 1},
	    {"compression", JW_IDLE, 400e3, "compression_good", JW_IDLE, 0, 1},
	    {"compression", JW_IDLE, 1100e3, "compression_good", JW_IDLE, 0, 0},
	    {"bowl_drain", JW_IDLE, 0.3e-6, "bowl_fills_freely", JW_IDLE, 0, 1},
	    {"compression", JW_IDLE, 1100e3, "compression_low", JW_IDLE, 0, 1},
	    {"compression", JW_IDLE, 770e3, "compression_low", JW_IDLE, 0, 0},
	    {"compression", JW_IDLE, 770e3, "compression_good", JW_IDLE, 0, 0},
	    {"compression_hot", JW_IDLE, 400e3, "compression_good", JW_IDLE, 0, 0},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_case known = {.air = mild_air()};
		see_value(&known, rows[i].id, rows[i].range, rows[i].value, 0);
		see_value(&known, rows[i].other, rows[i].where, rows[i].beside, 0);
		cr_expect_eq(conflicts(&known), rows[i].conflicts, "row %zu", i);
	}
}

/* A reading that shows a fault is a complaint; one that shows none is not. */
Test(readings, a_faulty_reading_complains)
{
	const int level = jw_evidence_kind_find("level"), pressure = jw_evidence_kind_find("compression");
	const int lambda = jw_evidence_kind_find("lambda"), words = jw_evidence_kind_find("hunts");
	static const struct {
		double value;
		int faulty;
	} levels[] = {{-5e-3, 1}, {0, 0}, {1e-3, 0}, {6e-3, 1}}, pressures[] = {{450e3, 1}, {1000e3, 0}};
	for (size_t i = 0; i < 4; i++) {
		jw_evidence seen = jw_evidence_read(&(jw_evidence){level, JW_IDLE, levels[i].value, 0});
		cr_expect_eq(jw_reads_faulty(&seen), levels[i].faulty, "%g", levels[i].value);
	}
	for (size_t i = 0; i < 2; i++) {
		jw_evidence seen = jw_evidence_read(&(jw_evidence){pressure, JW_IDLE, pressures[i].value, 0});
		cr_expect_eq(jw_reads_faulty(&seen), pressures[i].faulty);
	}
	jw_evidence rich = jw_evidence_read(&(jw_evidence){lambda, JW_IDLE, 0.5, 0}), word = {words, JW_IDLE, 0, 0};
	cr_expect(!jw_reads_faulty(&rich) && !jw_reads_faulty(&word));
}

/* Negative levels are merged as they are, not through logarithms: the mean, and half the variance. */
Test(readings, merged_on_their_scale)
{
	const int level = jw_evidence_kind_find("level");
	const jw_evidence pair[] = {{level, JW_IDLE, -2e-3, 1e-3}, {level, JW_IDLE, -3e-3, 1e-3}};
	jw_evidence merged = jw_merge_readings(pair, 2);
	JW_NEAR_ABS(merged.value, -2.5e-3, 1e-15);
	JW_NEAR_REL(merged.uncertainty, 1e-3 / sqrt(2), 1e-12);
}

/* An uncertainty next to nothing is no instrument's, and leaves every number finite. */
Test(readings, none_is_exact)
{
	static const struct {
		const char *id;
		double value;
	} rows[] = {{"lambda", 1.3}, {"level", -3e-3}, {"compression", 900e3}, {"pilot_jet_bore", 0.4e-3}};
	const jw_setup setup = scooter();
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_case known = {.air = mild_air()};
		see(&known, "flat", JW_FULL);
		see_value(&known, rows[i].id, JW_FULL, rows[i].value, 1e-300);
		see_value(&known, rows[i].id, JW_FULL, rows[i].value * 1.01, 1e-300);
		jw_report *report = explained(&setup, &known);
		for (int f = 0; f < jw_report_findings(report); f++) {
			const jw_finding *finding = jw_report_finding(report, f);
			cr_expect(isfinite(finding->probability) && isfinite(finding->explained[1].likelihood), "%s", rows[i].id);
			cr_expect(isfinite(finding->lambda_now[JW_FULL].value), "%s", rows[i].id);
		}
		jw_report_free(report);
	}
}

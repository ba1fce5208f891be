/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What changes do, and which of them does how much. */
#include "bundled.h"
#include "rejet/change.h"
#include "rejetted.h"
#include <math.h>
#include <string.h>

static jw_rejet_answer answer_of(const jw_setup *setup, const jw_air *air, const jw_rejet_change *change, int changes)
{
	const jw_rejet_request request = {.setup = setup, .air = air, .change = change, .changes = changes, .anchored = 1};
	return rejetted(&request);
}

static double ln_ratio(const jw_rejet_range *r)
{
	return log(r->after.phi / r->before.phi);
}

/* The axiom of efficiency (Shapley 1953): shares sum to what all do together. */
Test(rejet, shares_sum_to_the_whole)
{
	const jw_air air = mild_air();
	const jw_fuel e85 = {.part = {{JW_ETHANOL, 0.83, 0, 0}, {JW_PETROL, 0.17, 0, 0}}, .parts = 2};
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_change change[] = {
		    {.kind = JW_REJET_BORE, .value = 1.043 * s.engine.bore_m},
		    {.kind = JW_REJET_FILTER, .value = 0.13 * s.carburetor.intake.loss_pa},
		    {.kind = JW_REJET_FILLING, .factor = {1, 1, 0.98, 1.03, 1.05, 1.07}},
		    {.kind = JW_REJET_FUEL, .fuel = e85},
		    {.kind = JW_REJET_PRESSURE, .value = 83.7e3},
		    {.kind = JW_REJET_TEMPERATURE, .value = 303.3},
		};
		const int changes = sizeof change / sizeof *change;
		const jw_rejet_answer a = answer_of(&s, &air, change, changes);
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			double sum[JW_REJET_QUANTITY_COUNT] = {0};
			for (int q = 0; q < JW_REJET_QUANTITY_COUNT; q++)
				for (int c = 0; c < changes; c++)
					sum[q] += a.share[r].of[q][c];
			JW_NEAR_ABS(sum[JW_REJET_LNPHI], ln_ratio(&a.range[r]), 1e-10);
			JW_NEAR_ABS(sum[JW_REJET_LNAIR], log(a.range[r].after.dry_air_kg_s / a.range[r].before.dry_air_kg_s),
			            1e-10);
			JW_NEAR_ABS(sum[JW_REJET_LNFUEL], log(a.range[r].after.fuel_kg_s / a.range[r].before.fuel_kg_s), 1e-10);
			JW_NEAR_ABS(sum[JW_REJET_PULL], a.range[r].after.flow.depression_pa - a.range[r].before.flow.depression_pa,
			            1e-6);
		}
	}
}

/* Two changes: the mean of what each does first and what it does last, by hand. */
Test(rejet, shares_of_two_changes_are_means_over_both_orders)
{
	const jw_air air = mild_air();
	const jw_setup s = scooter();
	const jw_rejet_change change[] = {{.kind = JW_REJET_BORE, .value = 61.3e-3},
	                                  {.kind = JW_REJET_PRESSURE, .value = 84.1e3}};
	const jw_rejet_answer both = answer_of(&s, &air, change, 2), bore = answer_of(&s, &air, change, 1),
	                      thin = answer_of(&s, &air, change + 1, 1);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double first = ln_ratio(&bore.range[r]), last = ln_ratio(&both.range[r]) - ln_ratio(&thin.range[r]);
		JW_NEAR_ABS(both.share[r].of[JW_REJET_LNPHI][0], 0.5 * (first + last), 1e-12);
	}
}

/* Oil goes into the new fuel; among the shares it meets the old one too, which has no room for another part. */
Test(rejet, oil_in_a_new_fuel_does_not_overfill_the_old_one)
{
	const jw_air air = mild_air();
	jw_setup s = bundled("moped-50");
	s.fuel = (jw_fuel){.parts = JW_FUEL_PARTS};
	for (int i = 0; i < JW_FUEL_PARTS; i++)
		s.fuel.part[i] = (jw_fuel_part){JW_PETROL, 1.0 / JW_FUEL_PARTS, 0, 0};
	const jw_fuel plain = {.part = {{JW_PETROL, 1, 0, 0}}, .parts = 1};
	const jw_rejet_change change[] = {{.kind = JW_REJET_FUEL, .fuel = plain}, {.kind = JW_REJET_PREMIX, .value = 0.03}};
	const jw_rejet_answer a = answer_of(&s, &air, change, 2), oil = answer_of(&s, &air, change, 1);
	cr_expect_eq(a.setup.fuel.parts, 2);
	/* petrol in six parts is petrol: all is the oil's doing, and it acts in one order of two */
	JW_NEAR_ABS(ln_ratio(&oil.range[JW_FULL]), 0, 1e-9);
	JW_NEAR_ABS(a.share[JW_FULL].of[JW_REJET_LNPHI][1], 0.5 * ln_ratio(&a.range[JW_FULL]), 1e-9);
}

Test(rejet, nothing_changed_changes_nothing_and_is_sure)
{
	const jw_air air = mild_air();
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_answer a = answer_of(&s, &air, NULL, 0);
		cr_expect_eq(a.rule.reason, JW_RULE_NOTHING);
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			cr_expect_eq(a.range[r].after.phi, a.range[r].before.phi, "%s %d", bundled_names[b], r);
			cr_expect_eq(a.range[r].relative_change, 0.0);
			cr_expect_neq(a.range[r].becomes, JW_REJET_DANGEROUS, "%s %d", bundled_names[b], r);
		}
	}
}

/* Of the same carburetor bored out, of an engine with the throat of another: as much is free at the idle stop as
 * before. */
Test(rejet, another_throat_keeps_the_idle_air)
{
	const jw_air air = mild_air();
	for (size_t b = 0; b < BUNDLED; b++) {
		jw_setup s = bundled(bundled_names[b]);
		jw_air around = air;
		const double idle = jw_carburetor_plate(&s.carburetor, 0);
		const jw_rejet_change change = {.kind = JW_REJET_THROAT, .value = 1.09 * s.carburetor.throat.bore_m};
		cr_assert(jw_rejet_apply(&change, 1, &s, &around, NULL) >= 0, "%s", bundled_names[b]);
		cr_expect_eq(s.carburetor.throat.bore_m, change.value);
		JW_NEAR_ABS(jw_carburetor_plate(&s.carburetor, 0), idle, 1e-5 * idle);
	}
}

static jw_setup changed(const jw_setup *before, const jw_rejet_change *change)
{
	jw_setup s = *before;
	jw_air air = mild_air();
	jw_error error = {0};
	const jw_status status = jw_rejet_apply(change, 1, &s, &air, &error);
	cr_assert(status >= 0, "%s: %s %g", jw_rejet_kind_name(change->kind), error.field ? error.field : "", error.value);
	return s;
}

Test(rejet, a_change_reaches_the_member_that_it_names_and_no_other)
{
	jw_setup s = bundled("twin-480");
	const struct {
		jw_rejet_kind kind;
		double value;
		size_t offset;
		int whole;
	} rows[] = {
	    {JW_REJET_BORE, 61.3e-3, offsetof(jw_setup, engine.bore_m), 0},
	    {JW_REJET_STROKE, 57.7e-3, offsetof(jw_setup, engine.stroke_m), 0},
	    {JW_REJET_CYLINDERS, 3, offsetof(jw_setup, engine.cylinders), 1},
	    {JW_REJET_COMPRESSION, 10.3, offsetof(jw_setup, engine.compression_ratio), 0},
	    {JW_REJET_FILTER, 77, offsetof(jw_setup, carburetor.intake.loss_pa), 0},
	    {JW_REJET_VENT, JW_VENT_AIRBOX, offsetof(jw_setup, carburetor.bowl.vent), 1},
	    {JW_REJET_REFERENCE, JW_VENT_AIRBOX, offsetof(jw_setup, carburetor.slide.reference), 1},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		s.carburetor.bowl.vent = s.carburetor.slide.reference = JW_VENT_ATMOSPHERE;
		const jw_rejet_change change = {.kind = rows[i].kind, .value = rows[i].value};
		jw_setup after = changed(&s, &change);
		char *member = (char *)&after + rows[i].offset;
		cr_expect_eq(rows[i].whole ? *(int *)member : *(double *)member, rows[i].value, "%s",
		             jw_rejet_kind_name(rows[i].kind));
		memcpy(member, (const char *)&s + rows[i].offset, rows[i].whole ? sizeof(int) : sizeof(double));
		cr_expect_eq(memcmp(&after, &s, sizeof s), 0, "%s", jw_rejet_kind_name(rows[i].kind));
	}
	cr_expect_null(jw_rejet_kind_name(JW_REJET_KIND_COUNT));
}

/* Another carburetor brings its brass and what is known of its circuits; the airbox, the air that the engine draws
 * otherwise, and how far the throttle is open at idle stay. */
Test(rejet, another_carburetor_brings_its_coefficients)
{
	const jw_setup s = bundled("trail-250"), other = bundled("moped-50");
	const jw_rejet_change change = {.kind = JW_REJET_CARBURETOR, .other = &other};
	const jw_setup after = changed(&s, &change);
	cr_expect_eq(after.carburetor.throat.bore_m, other.carburetor.throat.bore_m);
	cr_expect_eq(after.carburetor.main.fuel_jet.diameter_m, other.carburetor.main.fuel_jet.diameter_m);
	cr_expect_eq(after.carburetor.intake.loss_pa, s.carburetor.intake.loss_pa);
	cr_expect_eq(after.engine.bore_m, s.engine.bore_m);
	cr_expect(after.coefficient.main == other.coefficient.main &&
	          after.coefficient.needle == other.coefficient.needle &&
	          after.coefficient.pilot == other.coefficient.pilot);
	cr_expect(after.uncertainty.main == other.uncertainty.main && after.uncertainty.pilot == other.uncertainty.pilot);
	cr_expect(after.coefficient.air == s.coefficient.air && after.uncertainty.air == s.uncertainty.air);
	JW_NEAR_REL(jw_carburetor_plate(&after.carburetor, 0), jw_carburetor_plate(&s.carburetor, 0), 1e-5);

	/* what it cannot take is told of it, not of the one that goes: this one has no floating slide */
	const jw_rejet_change both[] = {change, {.kind = JW_REJET_REFERENCE, .value = JW_VENT_AIRBOX}};
	jw_setup floating = scooter();
	jw_air air = mild_air();
	jw_error error = {0};
	cr_expect_eq(jw_rejet_apply(both, 2, &floating, &air, &error), JW_E_ARGUMENT);
	cr_expect_str_eq(error.field, "diaphragm_reference");
}

/* Bored out, plate, choke plate, lift and the free area under the slide grow with the throat; what meters fuel stays.
 */
Test(rejet, another_throat_takes_its_parts_with_it)
{
	jw_setup s = bundled("trail-250");
	s.carburetor.choke = bundled("pump-200").carburetor.choke;
	cr_assert(s.carburetor.choke.bore_m > 0);
	s.carburetor.slide.base_area_m2 = 3e-6;
	s.carburetor.slide.full_lift_m = 0.9 * s.carburetor.throat.bore_m;
	const jw_rejet_change change = {.kind = JW_REJET_THROAT, .value = 1.09 * s.carburetor.throat.bore_m};
	const jw_setup after = changed(&s, &change);
	const jw_carburetor *was = &s.carburetor, *is = &after.carburetor;
	JW_NEAR_REL(is->choke.bore_m, 1.09 * was->choke.bore_m, 1e-12);
	JW_NEAR_REL(is->slide.full_lift_m, 1.09 * was->slide.full_lift_m, 1e-12);
	JW_NEAR_REL(is->slide.base_area_m2, 1.09 * was->slide.base_area_m2, 1e-12);
	cr_expect(is->main.fuel_jet.diameter_m == was->main.fuel_jet.diameter_m && is->needle.jet_m == was->needle.jet_m);

	const jw_setup fixed = bundled("pump-200");
	const jw_rejet_change wider = {.kind = JW_REJET_THROAT, .value = 1.09 * fixed.carburetor.throat.bore_m};
	JW_NEAR_REL(changed(&fixed, &wider).carburetor.plate.bore_m, 1.09 * fixed.carburetor.plate.bore_m, 1e-12);
}

/* More oil in a fuel that has some: the others keep their proportions, and even a fuel of as many parts as there may be
 * takes it. */
Test(rejet, oil_takes_the_place_of_oil)
{
	jw_setup s = bundled("moped-50");
	s.fuel = (jw_fuel){.parts = JW_FUEL_PARTS};
	for (int i = 0; i < JW_FUEL_PARTS; i++)
		s.fuel.part[i] = (jw_fuel_part){JW_PETROL, (i + 1) * 0.98 / 20, 0, 0};
	s.fuel.part[2].liquid = JW_PREMIX_OIL;
	double others = 0, sum = 0;
	for (int i = 0; i < JW_FUEL_PARTS; i++)
		others += i == 2 ? 0 : s.fuel.part[i].volume_fraction;
	s.fuel.part[2].volume_fraction = 1 - others;
	const jw_rejet_change change = {.kind = JW_REJET_PREMIX, .value = 0.04};
	const jw_setup after = changed(&s, &change);
	cr_assert_eq(after.fuel.parts, JW_FUEL_PARTS);
	for (int i = 0; i < JW_FUEL_PARTS; i++) {
		sum += after.fuel.part[i].volume_fraction;
		JW_NEAR_REL(after.fuel.part[i].volume_fraction, i == 2 ? 0.04 : 0.96 * s.fuel.part[i].volume_fraction / others,
		            1e-12);
	}
	JW_NEAR_REL(sum, 1.0, 1e-12);
	s.fuel.part[2].liquid = JW_PETROL; /* no room for oil then */
	jw_setup full = s;
	jw_air air = mild_air();
	jw_error error = {0};
	cr_expect_eq(jw_rejet_apply(&change, 1, &full, &air, &error), JW_E_ARGUMENT);
	cr_expect_str_eq(error.field, "premix");
}

/* By hand: between the two usual speeds beside it, of six that need not rise. */
static double factor_between(const jw_setup *s, const double *factor, double speed)
{
	int below = -1, above = -1;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const double at = s->range[r].speed_rev_s;
		if (at < speed && (below < 0 || at > s->range[below].speed_rev_s))
			below = r;
		if (at > speed && (above < 0 || at < s->range[above].speed_rev_s))
			above = r;
	}
	if (below < 0 || above < 0)
		return NAN;
	const double from = s->range[below].speed_rev_s, to = s->range[above].speed_rev_s;
	return (factor[below] * (to - speed) + factor[above] * (speed - from)) / (to - from);
}

/* Filling is multiplied by just the factor of a range at its usual speed, straight between them, and held beyond. */
Test(rejet, filling_is_changed_at_each_speed)
{
	int between = 0;
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_change change = {.kind = JW_REJET_FILLING, .factor = {1.02, 0.97, 1.05, 1.09, 1.01, 1.13}};
		const jw_setup after = changed(&s, &change);
		int fastest = 0, slowest = 0;
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			double was, is, speed = s.range[r].speed_rev_s;
			fastest = speed >= s.range[fastest].speed_rev_s ? r : fastest;
			slowest = speed < s.range[slowest].speed_rev_s ? r : slowest;
			int alone = 1;
			for (int k = 0; k < JW_RANGE_COUNT; k++)
				alone &= k == r || s.range[k].speed_rev_s != speed;
			jw_volumetric_efficiency(&s.engine, speed, &was);
			jw_volumetric_efficiency(&after.engine, speed, &is);
			if (alone)
				JW_NEAR_REL(is, was * change.factor[r], 1e-12);
		}
		for (int i = 0; i < s.engine.ve_points; i++) {
			double is, speed = s.engine.ve_speed_rev_s[i];
			int usual = 0, shared = 0;
			for (int r = 0; r < JW_RANGE_COUNT; r++)
				for (int k = 0; k < r; k++)
					shared |= s.range[r].speed_rev_s == s.range[k].speed_rev_s;
			for (int r = 0; r < JW_RANGE_COUNT; r++)
				usual |= s.range[r].speed_rev_s == speed;
			const double factor = factor_between(&s, change.factor, speed);
			if (usual || shared || isnan(factor))
				continue;
			jw_volumetric_efficiency(&after.engine, speed, &is);
			JW_NEAR_REL(is, s.engine.ve[i] * factor, 1e-12);
			between++;
		}
		const double far[] = {3 * s.range[fastest].speed_rev_s, 0.3 * s.range[slowest].speed_rev_s};
		for (int k = 0; k < 2; k++) {
			double was, is;
			jw_volumetric_efficiency(&s.engine, far[k], &was);
			jw_volumetric_efficiency(&after.engine, far[k], &is);
			JW_NEAR_REL(is, was * change.factor[k ? slowest : fastest], 1e-12);
		}
	}
	cr_expect(between > 5, "%d", between);
}

Test(rejet, what_an_engine_cannot_take_is_refused)
{
	const jw_air air = mild_air();
	const jw_setup slide = bundled("trail-250"), floating = scooter();
	const struct {
		const jw_setup *setup;
		jw_rejet_change change[2];
		int changes;
		jw_status status;
		const char *field;
	} refused[] = {
	    {&slide, {{.kind = JW_REJET_REFERENCE, .value = JW_VENT_AIRBOX}}, 1, JW_E_ARGUMENT, "diaphragm_reference"},
	    {&floating, {{.kind = JW_REJET_CARBURETOR}}, 1, JW_E_ARGUMENT, "carburetor"},
	    {&floating, {{.kind = JW_REJET_KIND_COUNT}}, 1, JW_E_ARGUMENT, "change"},
	    {&floating, {{.kind = JW_REJET_BORE, .value = 0.7}}, 1, JW_E_RANGE, "bore"},
	    {&floating, {{.kind = JW_REJET_FILLING, .factor = {1, 1, 1, 1, 1}}}, 1, JW_E_RANGE, "filling"},
	    {&floating,
	     {{.kind = JW_REJET_BORE, .value = 60e-3}, {.kind = JW_REJET_BORE, .value = 62e-3}},
	     2,
	     JW_E_ARGUMENT,
	     "bore"},
	    {&floating, {{.kind = JW_REJET_PRESSURE, .value = 10e3}}, 1, JW_E_RANGE, "pressure"},
	    {&floating, {{.kind = JW_REJET_FUEL, .fuel = {.parts = JW_FUEL_PARTS + 1}}}, 1, JW_E_RANGE, "parts"},
	    {&floating, {{.kind = JW_REJET_BORE}}, JW_REJET_CHANGES + 1, JW_E_RANGE, "changes"},
	    {&floating, {{.kind = JW_REJET_BRASS, .part = {0.1e-3, 0.1e-3, -1}}}, 1, JW_E_RANGE, "main_air_jet"},
	    {&floating, {{.kind = JW_REJET_CYLINDERS, .value = 1.5}}, 1, JW_E_ARGUMENT, "cylinders"},
	    {&floating, {{.kind = JW_REJET_CYLINDERS, .value = 13}}, 1, JW_E_RANGE, "cylinders"},
	    {&floating, {{.kind = JW_REJET_CYLINDERS, .value = NAN}}, 1, JW_E_NOT_FINITE, "cylinders"},
	    {&floating, {{.kind = JW_REJET_VENT, .value = 0.5}}, 1, JW_E_ARGUMENT, "bowl_vent"},
	    {&floating, {{.kind = JW_REJET_VENT, .value = JW_VENT_COUNT}}, 1, JW_E_RANGE, "bowl_vent"},
	    {&floating, {{.kind = JW_REJET_REFERENCE, .value = 0.5}}, 1, JW_E_ARGUMENT, "diaphragm_reference"},
	    {&floating, {{.kind = JW_REJET_PREMIX, .value = 0.3}}, 1, JW_E_RANGE, "premix"},
	    {&floating, {{.kind = JW_REJET_BRASS}}, 1, JW_E_RANGE, "main_jet"},
	    /* More vapour than air. */
	    {&floating,
	     {{.kind = JW_REJET_PRESSURE, .value = 20e3}, {.kind = JW_REJET_TEMPERATURE, .value = 353.15}},
	     2,
	     JW_E_RANGE,
	     "relative_humidity"},
	};
	for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
		jw_setup s = *refused[i].setup;
		jw_air around = air;
		jw_error error = {0};
		cr_expect_eq(jw_rejet_apply(refused[i].change, refused[i].changes, &s, &around, &error), refused[i].status,
		             "row %zu", i);
		cr_expect_str_eq(error.field, refused[i].field, "row %zu", i);
		cr_expect_eq(memcmp(&s, refused[i].setup, sizeof s), 0, "row %zu", i);
	}
}

/* The rule of the root of density beside the model where it is said to hold: within 3 % of lambda at 1500 m of the
 * standard atmosphere (density ratio 0.8637, factor 0.929: ISO 2533). */
Test(rejet, rule_applies_to_fixed_throats_and_not_to_floating_slides)
{
	jw_air low = air_of(101325, 288.15, 0);
	int applied = 0;
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_change change[] = {{.kind = JW_REJET_PRESSURE, .value = 84556},
		                                  {.kind = JW_REJET_TEMPERATURE, .value = 278.4}};
		const jw_rejet_answer a = answer_of(&s, &low, change, 2);
		const double full = exp(-ln_ratio(&a.range[JW_FULL]));
		/* ... and petrol 9.75 K colder, denser by 1.21e-3/K (ASTM D1250, table 54B) */
		JW_NEAR_ABS(a.rule.area_factor, 0.9294 * (1 - 0.5 * 1.21e-3 * 9.75), 5e-4);
		if (s.carburetor.kind == JW_CONSTANT_DEPRESSION)
			cr_expect_neq(a.rule.reason, JW_RULE_OTHER_CHANGE);
		else
			cr_expect(a.rule.reason == JW_RULE_APPLIES || a.rule.reason == JW_RULE_WEAK_PULL, "%s %d", bundled_names[b],
			          (int)a.rule.reason);
		if (a.rule.reason != JW_RULE_APPLIES)
			continue;
		applied++;
		cr_expect(fabs(full / a.rule.area_factor - 1) < 0.03, "%s: %g, rule %g", bundled_names[b], full,
		          a.rule.area_factor);
	}
	cr_expect(applied >= 4, "%d", applied);
}

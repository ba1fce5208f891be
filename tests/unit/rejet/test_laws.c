/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What textbooks and the trade say of jets after a change, beside what rejet says. */
#include "bundled.h"
#include "rejetted.h"
#include <math.h>

static jw_rejet_answer answered(const jw_setup *setup, const jw_air *air, const jw_rejet_change *change,
                                const double *target)
{
	jw_rejet_request request = {.setup = setup, .air = air, .change = change, .changes = change ? 1 : 0, .anchored = 1};
	for (int r = 0; target && r < JW_RANGE_COUNT; r++)
		request.target_lambda[r] = target[r];
	return rejetted(&request);
}

/* The simple carburetor of textbooks (Heywood 1988, 7.2): a fixed venturi, one jet, no bleed, no lip, no pilot, steady
 * flow, cold bowl. */
static jw_setup simple(void)
{
	jw_setup s = bundled("pump-200");
	jw_carburetor *c = &s.carburetor;
	c->main.air_jet.diameter_m = 0;
	c->main.bleed_depth_m = 0;
	c->main.outlet_height_m = 0;
	c->needle.jet_m = 6e-3;
	c->pilot.fuel_jet.diameter_m = 0;
	c->pilot.air_jet.diameter_m = 0;
	c->pilot_from_main_well = 0;
	c->intake.loss_pa = 0;
	s.bowl_heating_k = 0;
	s.engine.manifold_volume_m3 = 0.05;
	s.engine.exhaust_back_pa = 0;
	return s;
}

static double ideal_area(const jw_rejet_answer *a)
{
	const jw_rejet_piece *p = &a->choice.piece[JW_PART_MAIN_JET];
	return (p->ideal / p->was) * (p->ideal / p->was);
}

/* Discharge coefficient of a long orifice (Lichtarowicz, Duggins and Markland, J. Mech. Eng. Sci. 7, 1965). */
static double discharge(double reynolds, double length_ratio)
{
	double l = log10(0.00015 * reynolds);
	double inverse = 1 / (0.827 - 0.0085 * length_ratio) + 20 / reynolds * (1 + 2.25 * length_ratio) -
	                 0.005 * length_ratio / (1 + 7.5 * l * l);
	return 1 / inverse;
}

static double discharge_of(const jw_orifice *jet, double bore, double drop_pa, double density, double viscosity)
{
	return discharge(bore * sqrt(2 * drop_pa / density) / viscosity, jet->length_m / bore);
}

/* At one pull, fuel follows Cd times the jet's area: lambda 10 % lower takes a tenth more of it. */
Test(laws, at_one_pull_fuel_follows_the_area_of_the_jet)
{
	const jw_air air = air_of(101325, 288.15, 0);
	const jw_setup s = simple();
	const double lambda = 1 / phi_at(&s, &air, JW_FULL);
	const double target[JW_RANGE_COUNT] = {[JW_FULL] = lambda / 1.1};
	const jw_rejet_answer a = answered(&s, &air, NULL, target);
	const jw_rejet_range *full = &a.range[JW_FULL];
	const jw_orifice *jet = &s.carburetor.main.fuel_jet;
	const jw_rejet_piece *p = &a.choice.piece[JW_PART_MAIN_JET];
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s.fuel, 288.15, &fuel, NULL) >= 0);
	const double pull = full->before.flow.depression_pa;
	const double grown = discharge_of(jet, p->ideal, pull, fuel.density_kg_m3, fuel.viscosity_m2_s) /
	                     discharge_of(jet, p->was, pull, fuel.density_kg_m3, fuel.viscosity_m2_s);
	JW_NEAR_REL(ideal_area(&a) * grown, 1.1, 2e-3);
}

/* Enrichment by altitude and the jet's area that takes it back, E = sqrt(rho0/rho) - 1 (Heywood 1988, 7.2), at the
 * density ratios of ISO 2533 for 500 to 4000 m, temperature kept so that the fuel is the same. The textbook's jet has
 * one discharge coefficient; the weaker pull of thin air costs a real one some of it, which is put in by hand: within
 * 0.5 %. */
Test(laws, thin_air_takes_the_jet_of_the_textbook)
{
	static const struct {
		double metres, density_ratio, enrichment, area;
	} rows[] = {{500, 0.9529, 0.0244, 0.9762},  {1000, 0.9075, 0.0497, 0.9526}, {1500, 0.8637, 0.0760, 0.9294},
	            {2000, 0.8216, 0.1032, 0.9064}, {3000, 0.7421, 0.1608, 0.8615}, {4000, 0.6687, 0.2229, 0.8177}};
	const jw_air air = air_of(101325, 288.15, 0);
	const jw_setup s = simple();
	const jw_orifice *jet = &s.carburetor.main.fuel_jet;
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s.fuel, 288.15, &fuel, NULL) >= 0);
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = 101325 * rows[i].density_ratio};
		const jw_rejet_answer a = answered(&s, &air, &change, NULL);
		const jw_rejet_range *full = &a.range[JW_FULL];
		const jw_rejet_piece *p = &a.choice.piece[JW_PART_MAIN_JET];
		const double before = full->before.flow.depression_pa, after = full->after.flow.depression_pa;
		const double first = discharge_of(jet, p->was, before, fuel.density_kg_m3, fuel.viscosity_m2_s);
		const double same = discharge_of(jet, p->was, after, fuel.density_kg_m3, fuel.viscosity_m2_s),
		             smaller = discharge_of(jet, p->ideal, after, fuel.density_kg_m3, fuel.viscosity_m2_s);
		JW_NEAR_REL(full->after.phi / full->before.phi, (1 + rows[i].enrichment) * same / first, 5e-3);
		JW_NEAR_REL(ideal_area(&a), rows[i].area * first / smaller, 5e-3);
		JW_NEAR_REL(a.rule.area_factor, rows[i].area, 1e-3);
		cr_expect_eq(a.rule.reason, JW_RULE_APPLIES, "%g m", rows[i].metres);
	}
}

/* E85 in place of E0 by hand: stoichiometry weighted by mass 9.80 against 14.60 (Heywood 1988, ch. 3), densities at 15
 * C 786.7 and 745 kg/m3, viscosities at 15 C by ethanol's 1.31 mPa s and petrol's 0.58 mm2/s mixed in logarithms by
 * volume, and the discharge coefficient of each. */
Test(laws, e85_takes_the_jet_worked_out_by_hand)
{
	const jw_air air = air_of(101325, 288.15, 0);
	jw_setup s = simple();
	s.fuel = (jw_fuel){.part = {{JW_PETROL, 1, 0, 0}}, .parts = 1};
	jw_rejet_change change = {.kind = JW_REJET_FUEL,
	                          .fuel = {.part = {{JW_ETHANOL, 0.85, 0, 0}, {JW_PETROL, 0.15, 0, 0}}, .parts = 2}};
	const jw_rejet_answer a = answered(&s, &air, &change, NULL);
	const jw_rejet_piece *p = &a.choice.piece[JW_PART_MAIN_JET];
	const jw_orifice *jet = &s.carburetor.main.fuel_jet;
	const double petrol = 745, ethanol = 793.5, blend = 0.85 * ethanol + 0.15 * petrol;
	const double needs = (0.85 * ethanol * 9.003 + 0.15 * petrol * 14.60) / blend;
	const double thick = exp(0.85 * log(1.31e-3 / ethanol) + 0.15 * log(0.58e-6));
	const double pull = a.range[JW_FULL].before.flow.depression_pa;
	const double coefficient =
	    discharge_of(jet, p->was, pull, petrol, 0.58e-6) / discharge_of(jet, p->ideal, pull, blend, thick);
	const double by_hand = 14.60 / needs * sqrt(petrol / blend) * coefficient;
	JW_NEAR_REL(ideal_area(&a), by_hand, 0.01);
	cr_expect(by_hand > 1.45 && by_hand < 1.55, "%g", by_hand);
	JW_NEAR_REL(a.rule.area_factor, 14.60 / needs * sqrt(petrol / blend), 5e-3);
}

/* Common practice, no source: which way jets go. */
static const struct fact {
	const char *fact;
	jw_rejet_kind kind;
	double factor; /* of the value */
	int leaner;    /* what it does: 1 leaner, so that a richer jet is wanted; -1 richer */
	int only_kind; /* a jw_carburetor_kind, or -1: all */
	int only_vent; /* a jw_vent, or -1 */
} facts[] = {
    {"an open filter wants a richer main jet", JW_REJET_FILTER, 0.1, 1, -1, JW_VENT_ATMOSPHERE},
    {"higher wants leaner", JW_REJET_PRESSURE, 0.8345, -1, -1, -1},
    {"hotter wants leaner", JW_REJET_TEMPERATURE, 1.05, -1, JW_PISTON_SLIDE, -1},
    {"hotter wants leaner", JW_REJET_TEMPERATURE, 1.05, -1, JW_FIXED_VENTURI, -1},
    {"a bigger carburetor wants a bigger main jet", JW_REJET_THROAT, 1.1, 1, -1, -1},
};

static double value_of(const jw_setup *s, const jw_air *air, jw_rejet_kind kind)
{
	switch (kind) {
	case JW_REJET_FILTER:
		return s->carburetor.intake.loss_pa;
	case JW_REJET_PRESSURE:
		return air->pressure_pa;
	case JW_REJET_TEMPERATURE:
		return air->temperature_k;
	case JW_REJET_THROAT:
		return s->carburetor.throat.bore_m;
	default:
		return s->engine.bore_m;
	}
}

Test(laws, jets_go_the_way_that_the_trade_knows)
{
	const jw_air air = mild_air();
	for (size_t f = 0; f < sizeof facts / sizeof *facts; f++) {
		int tried = 0;
		for (size_t b = 0; b < BUNDLED; b++) {
			const jw_setup s = bundled(bundled_names[b]);
			if (facts[f].only_kind >= 0 && (int)s.carburetor.kind != facts[f].only_kind)
				continue;
			if (facts[f].only_vent >= 0 && (int)s.carburetor.bowl.vent != facts[f].only_vent)
				continue;
			const jw_rejet_change change = {.kind = facts[f].kind,
			                                .value = facts[f].factor * value_of(&s, &air, facts[f].kind)};
			const jw_rejet_answer a = answered(&s, &air, &change, NULL);
			const double richer = log(a.range[JW_FULL].after.phi / a.range[JW_FULL].before.phi);
			cr_expect(-facts[f].leaner * richer > 0.005, "%s: %s, ln(phi) %+g", facts[f].fact, bundled_names[b],
			          richer);
			tried++;
		}
		cr_expect(tried >= 2, "%s: %d engines", facts[f].fact, tried);
	}
}

/* Common practice, no source: with an open filter a main jet some steps wider, not one half as wide again. */
Test(laws, an_open_filter_wants_some_steps)
{
	const jw_air air = mild_air();
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		if (s.carburetor.bowl.vent != JW_VENT_ATMOSPHERE)
			continue;
		const jw_rejet_change open = {.kind = JW_REJET_FILTER, .value = 0.1 * s.carburetor.intake.loss_pa};
		const jw_rejet_answer a = answered(&s, &air, &open, NULL);
		const double wider = a.choice.piece[JW_PART_MAIN_JET].ideal / s.carburetor.main.fuel_jet.diameter_m;
		cr_expect(wider > 1.03 && wider < 1.2, "%s: %.3f", bundled_names[b], wider);
	}
}

/* A bigger engine on the same carburetor draws harder, and fuel follows: 5 % more bore, a tenth more air, moves lambda
 * at full throttle by less than 2.5 % (common practice: it needs little). So does 5 % better filling, for which the
 * trade fits a richer jet: what the exhaust's pulses do at the nozzle is not in the model, and the program says so. */
Test(laws, a_bigger_engine_needs_little)
{
	const jw_air air = mild_air();
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_change bore = {.kind = JW_REJET_BORE, .value = 1.05 * s.engine.bore_m};
		const jw_rejet_change freer = {.kind = JW_REJET_FILLING, .factor = {1.05, 1.05, 1.05, 1.05, 1.05, 1.05}};
		const jw_rejet_answer bigger = answered(&s, &air, &bore, NULL);
		const jw_rejet_range *full = &bigger.range[JW_FULL];
		cr_expect(log(full->after.air_kg_s / full->before.air_kg_s) > 0.05, "%s", bundled_names[b]);
		cr_expect(fabs(log(full->after.phi / full->before.phi)) < 0.025, "%s: %g", bundled_names[b],
		          full->after.phi / full->before.phi);
		const jw_rejet_answer filled = answered(&s, &air, &freer, NULL);
		full = &filled.range[JW_FULL];
		cr_expect(fabs(log(full->after.phi / full->before.phi)) < 0.025, "%s: %g", bundled_names[b],
		          full->after.phi / full->before.phi);
	}
}

/* A fixed venturi and its jet meter moist air, lambda counts the dry share. Hot and nearly saturated: vapour of 5063 Pa
 * at 35 C and 90 % (saturation 5626 Pa: ASHRAE Handbook Fundamentals, 2017, ch. 1, table 3), so dry share and density
 * by the gas law with molar masses 18.015 and 28.966. */
Test(laws, moist_air_takes_a_smaller_jet_by_its_dry_share_too)
{
	const double vapour = 0.9 * 5626.0 / 101325.0, molar = vapour * 18.015 + (1 - vapour) * 28.966;
	const double dry = (1 - vapour) * 28.966 / molar, density_ratio = molar / 28.966;
	const jw_air air = air_of(101325, 308.15, 0);
	const jw_setup engines[] = {simple(), bundled("pump-200")};
	const jw_rejet_change change = {.kind = JW_REJET_HUMIDITY, .value = 0.9};
	for (int i = 0; i < 2; i++) {
		const jw_rejet_answer a = answered(&engines[i], &air, &change, NULL);
		JW_NEAR_REL(a.rule.area_factor, dry * sqrt(density_ratio), 5e-4);
		JW_NEAR_REL(a.range[JW_FULL].before.phi / a.range[JW_FULL].after.phi, a.rule.area_factor, 3e-3);
	}
}

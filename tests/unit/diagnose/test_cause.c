/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/evidence.h"
#include "diagnose/prior.h"
#include "engine.h"
#include <string.h>

Test(cause, table)
{
	cr_assert(jw_cause_count() >= 35);
	for (int i = 0; i < jw_cause_count(); i++) {
		const jw_cause_info *info = jw_cause_at(i);
		cr_expect(jw_cause_find(info->id) == i, "%s is there twice", info->id);
		const jw_effect_words *effect = jw_cause_effect_words(i);
		const char *const texts[] = {info->text, info->part, info->action, info->remedy, info->caution};
		for (size_t k = 0; k < sizeof texts / sizeof *texts; k++)
			cr_expect(texts[k] && *texts[k], "%s, text %zu", info->id, k);
		cr_expect(!effect == !jw_cause_meters(i), "%s", info->id);
		if (effect) {
			cr_expect(*info->severity_text && *effect->quantity && *effect->unit && *effect->before, "%s", info->id);
			/* A sentence of its own begins with a capital. */
			cr_expect(effect->own_subject == (*effect->before >= 'A' && *effect->before <= 'Z'), "%s", info->id);
		}
		cr_expect(jw_need_name(jw_cause_need(i)) && jw_cause_row_at(i)->minutes > 0, "%s", info->id);
		cr_expect(strspn(info->id, "abcdefghijklmnopqrstuvwxyz_") == strlen(info->id), "%s", info->id);
		cr_expect(jw_cause_row_at(i)->odds > 0, "%s", info->id);
	}
	jw_part part;
	cr_expect(jw_cause_at(-1) == NULL && jw_cause_at(jw_cause_count()) == NULL);
	cr_expect(jw_cause_effect_words(-1) == NULL && !jw_cause_part(-1, &part));
	cr_expect(!jw_cause_part(jw_cause_find("air_leak"), &part));
	cr_expect(jw_cause_part(jw_cause_find("main_jet_too_small"), &part) && part == JW_PART_MAIN_JET);
	cr_expect(jw_cause_find("gremlins") == -1 && jw_cause_find(NULL) == -1);
}

Test(cause, refuses)
{
	jw_setup setup = scooter(), faulty = {0};
	jw_error error = {0};
	int pilot = jw_cause_find("pilot_jet_restricted");
	cr_expect(jw_cause_apply(&setup, -1, 0.5, &faulty, &error) == JW_E_ARGUMENT);
	cr_expect(jw_cause_apply(&setup, jw_cause_count(), 0.5, &faulty, &error) == JW_E_ARGUMENT);
	cr_expect(jw_cause_apply(&setup, pilot, 1.01, &faulty, &error) == JW_E_RANGE);
	cr_expect_str_eq(error.field, "severity");
	cr_expect(jw_cause_apply(&setup, pilot, NAN, &faulty, &error) == JW_E_NOT_FINITE);
	setup.carburetor.pilot.fuel_jet.diameter_m = 0;
	cr_expect(jw_cause_apply(&setup, pilot, 0.5, &faulty, &error) == JW_E_ARGUMENT);
	cr_expect(error.value == 0 && error.low == 0 && isinf(error.high), "a part that is not there has no size");
	cr_expect_str_eq(error.field, "pilot jet");
	cr_expect(faulty.carburetor.pilot.fuel_jet.diameter_m == 0);
}

/* Whatever ails a bundled engine, it is still one; as is one with any of its passages shut. */
Test(cause, leaves_a_set_up)
{
	static const char *const names[] = {"courier-150", "cruiser-1200", "estate-1100", "four-600", "kart-125",
	                                    "moped-50",    "pump-200",     "trail-250",   "twin-480"};
	int tried = 0;
	for (size_t e = 0; e < sizeof names / sizeof *names; e++) {
		const jw_setup healthy = bundled(names[e]);
		jw_setup faulty;
		jw_error error = {0};
		for (int cause = 0; cause < jw_cause_count(); cause++)
			for (int i = 0; i <= 40; i++) {
				if (jw_cause_apply(&healthy, cause, i / 40.0, &faulty, NULL) < 0)
					continue;
				tried++;
				cr_expect_eq(jw_setup_check(&faulty, &error), JW_OK, "%s, %s %g: %s %g (%g to %g)", names[e],
				             jw_cause_at(cause)->id, i / 40.0, error.field, error.value, error.low, error.high);
			}
		for (int passage = 0; passage < JW_PASSAGE_COUNT; passage++)
			for (int i = 0; i <= 10; i++)
				if (jw_passage_shut(&healthy, (jw_passage)passage, i / 10.0, &faulty, NULL) >= 0)
					cr_expect_eq(jw_setup_check(&faulty, &error), JW_OK, "%s, %s %g: %s", names[e],
					             jw_passage_at((jw_passage)passage)->id, i / 10.0, error.field);
	}
	cr_expect_gt(tried, 5000);
}

/* A filter that is dirty when new, shut: no more than a set-up may have. */
Test(cause, a_blocked_filter_has_an_end)
{
	jw_setup setup = scooter(), faulty;
	setup.carburetor.intake.loss_pa = 10e3;
	cr_assert_eq(jw_cause_apply(&setup, jw_cause_find("air_filter_blocked"), 1, &faulty, NULL), JW_OK);
	cr_expect_eq(jw_setup_check(&faulty, NULL), JW_OK);
	cr_expect_gt(faulty.carburetor.intake.loss_pa, 19 * setup.carburetor.intake.loss_pa);
}

/* A rod in a jet that is narrower than it shuts it, as one that fills it does. */
Test(cause, a_rod_shuts_a_clogged_jet)
{
	const jw_setup s = bundled("estate-1100");
	const jw_air air = mild_air();
	jw_setup clogged, thick;
	jw_mixture left, none;
	cr_assert(s.carburetor.rod.lean_m > 0);
	cr_assert_eq(jw_passage_shut(&s, JW_PASSAGE_MAIN_JET, 0.9, &clogged, NULL), JW_OK);
	thick = clogged;
	thick.carburetor.rod = s.carburetor.rod;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		cr_assert(jw_mixture_at(&clogged, &air, &s.range[r], &left, NULL) >= 0);
		cr_assert(jw_mixture_at(&thick, &air, &s.range[r], &none, NULL) >= 0);
		cr_expect_eq(left.fuel_kg_s, none.fuel_kg_s);
	}
}

/* A blocked area share leaves sqrt(1 - share) of the bore: 0.38 mm at 30 % acts like 0.31793 mm. */
Test(cause, blocked_bore)
{
	jw_setup setup = scooter(), faulty;
	setup.carburetor.pilot.fuel_jet.diameter_m = 0.38e-3;
	cr_assert(jw_cause_apply(&setup, jw_cause_find("pilot_jet_restricted"), 0.3, &faulty, NULL) == JW_OK);
	JW_NEAR_ABS(faulty.carburetor.pilot.fuel_jet.diameter_m, 0.31793e-3, 1e-8);
}

/* A cause touches its own element and nothing else; severity 0 is the sound engine. */
Test(cause, only_its_element)
{
	jw_setup setup = scooter();
	setup.carburetor.choke.bore_m = 24e-3;
	setup.carburetor.power_outlet_m = 2e-3;
	setup.carburetor.power.fuel_jet.diameter_m = 0.5e-3;
	for (int i = 0; i < jw_cause_count(); i++) {
		const jw_cause_row *row = jw_cause_row_at(i);
		jw_setup faulty, none;
		setup.engine.strokes = row->strokes ? row->strokes : 4;
		if (!jw_cause_meters(i)) {
			cr_expect(jw_cause_apply(&setup, i, 0.37, &faulty, NULL) == JW_E_ARGUMENT, "%s", row->info.id);
			continue;
		}
		cr_assert(jw_cause_apply(&setup, i, 0.37, &faulty, NULL) == JW_OK, "%s", row->info.id);
		cr_expect(jw_cause_element(&faulty, row) != jw_cause_element(&setup, row), "%s", row->info.id);
		if (row->step.operation != JW_BY_STICK) {
			cr_assert(jw_cause_apply(&setup, i, 0, &none, NULL) == JW_OK);
			cr_expect(memcmp(&none, &setup, sizeof none) == 0, "%s at severity 0", row->info.id);
		}
		for (int k = 0; k < (row->times ? row->times : 1); k++) {
			size_t offset = row->element + (size_t)k * row->stride;
			memcpy((char *)&faulty + offset, (char *)&setup + offset, sizeof(double));
		}
		cr_expect(memcmp(&faulty, &setup, sizeof faulty) == 0, "%s changes more than its element", row->info.id);
	}
}

/* A blocked passage is the same engine whether a cause blocks it or it is restricted by itself; and what a cause
 * changes in a part that can be exchanged is what is exchanged. */
Test(cause, passages_and_parts)
{
	static const struct {
		const char *id;
		jw_passage passage;
	} rows[] = {
	    {"pilot_jet_restricted", JW_PASSAGE_PILOT_JET},       {"main_jet_restricted", JW_PASSAGE_MAIN_JET},
	    {"power_jet_restricted", JW_PASSAGE_POWER_JET},       {"enrichener_restricted", JW_PASSAGE_ENRICHENER_JET},
	    {"pilot_air_restricted", JW_PASSAGE_PILOT_AIR_JET},   {"main_air_restricted", JW_PASSAGE_MAIN_AIR_JET},
	    {"pilot_outlet_restricted", JW_PASSAGE_PILOT_OUTLET}, {"transfer_ports_restricted", JW_PASSAGE_TRANSFER_PORTS},
	};
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup setup = bundled(bundled_names[e]);
		for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
			jw_setup caused = setup, restricted = setup;
			const int has = jw_passage_bore(&setup, rows[i].passage) > 0;
			cr_expect_eq(jw_cause_apply(&setup, jw_cause_find(rows[i].id), 0.4, &caused, NULL) == JW_OK, has, "%s, %s",
			             bundled_names[e], rows[i].id);
			cr_expect_eq(jw_passage_shut(&setup, rows[i].passage, 0.4, &restricted, NULL) == JW_OK, has);
			cr_expect(memcmp(&caused, &restricted, sizeof caused) == 0, "%s, %s", bundled_names[e], rows[i].id);
		}
		for (int c = 0; c < jw_cause_count(); c++) {
			const jw_cause_row *row = jw_cause_row_at(c);
			cr_expect(!row->exchangeable || jw_cause_element(&setup, row) == jw_part_value(&setup, row->part), "%s, %s",
			          bundled_names[e], row->info.id);
		}
	}
}

/* Restricting fuel never richens, restricting air never leans, a wider or higher fuel passage never leans. A main
 * circuit that draws air but no fuel, as at idle, may change that air by a thousandth of all. */
Test(cause, laws)
{
	static const struct {
		const char *id;
		int sign; /* of the change of phi */
	} laws[] = {
	    {"pilot_jet_restricted", -1},
	    {"main_jet_restricted", -1},
	    {"main_jet_too_small", -1},
	    {"pilot_jet_too_small", -1},
	    {"needle_too_low", -1},
	    {"float_level_low", -1},
	    {"air_leak", -1},
	    {"idle_mixture_screw_lean", -1},
	    {"pilot_air_restricted", 1},
	    {"main_air_restricted", 1},
	    {"main_jet_too_large", 1},
	    {"pilot_jet_too_large", 1},
	    {"needle_too_high", 1},
	    {"needle_jet_worn", 1},
	    {"float_level_high", 1},
	    {"enrichener_stuck_on", 1},
	    {"air_filter_blocked", 1},
	    {"air_filter_missing", -1},
	    {"idle_mixture_screw_rich", 1},
	};
	static const double severities[] = {0.13, 0.41, 0.77, 0.96};
	jw_setup setup = scooter();
	jw_air air = mild_air();
	for (size_t i = 0; i < sizeof laws / sizeof *laws; i++)
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			jw_mixture sound;
			cr_assert(jw_mixture_at(&setup, &air, &setup.range[r], &sound, NULL) >= 0);
			double before = sound.phi, slack = sound.flow.main.fuel_kg_s > 0 ? 1e-6 : 1e-3;
			for (size_t k = 0; k < sizeof severities / sizeof *severities; k++) {
				jw_setup faulty;
				cr_assert(jw_cause_apply(&setup, jw_cause_find(laws[i].id), severities[k], &faulty, NULL) == JW_OK);
				double now = phi_at(&faulty, &air, (jw_range)r);
				cr_expect(laws[i].sign * (now - before) >= -slack * before, "%s at %s, severity %g: %.9g -> %.9g",
				          laws[i].id, jw_range_name((jw_range)r), severities[k], before, now);
			}
		}
}

/* Small bores lose coefficient as well as area, so less flow than area is left (Lichtarowicz et al. 1965). */
Test(cause, flow_share)
{
	jw_setup setup = scooter();
	jw_air air = mild_air();
	const char *const jets[] = {"pilot_jet_restricted", "main_jet_restricted"};
	for (size_t i = 0; i < 2; i++)
		for (double severity = 0.1; severity < 1; severity += 0.2) {
			double share = -1;
			cr_assert(jw_cause_effect(&setup, &air, jw_cause_find(jets[i]), severity, &share, NULL) >= 0);
			cr_expect(share > 0 && share < 1 - severity, "%s at %g: %g", jets[i], severity, share);
		}
}

Test(cause, effects)
{
	jw_setup setup = scooter();
	jw_air air = mild_air();
	double main_mm = setup.carburetor.main.fuel_jet.diameter_m * 1e3;
	const struct {
		const char *id;
		double severity, effect;
	} rows[] = {
	    /* by hand: half of 50 % short of area, half of 50 % above it */
	    {"main_jet_too_small", 0.5, main_mm / sqrt(0.75)},
	    {"main_jet_too_large", 0.5, main_mm / sqrt(1.25)},
	    {"float_level_low", 0.5, 4},
	    {"float_level_high", 0.5, 2.5},
	    {"air_leak", 0.25, 1},
	    {"needle_too_low", 0.3, 0.6},
	    {"transfer_ports_restricted", 0.7, 0.3},
	    {"pilot_air_restricted", 0.7, 0.3},
	    {"idle_mixture_screw_lean", 0.5, 0.5 * setup.carburetor.screw.turns},
	    {"slide_or_diaphragm", 0.25, 0.25e3 * setup.carburetor.throat.bore_m},
	    {"enrichener_stuck_on", 0.4, 0.4},
	    {"enrichener_restricted", 0.4, 0.6},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double effect = NAN;
		int cause = jw_cause_find(rows[i].id);
		cr_assert(jw_cause_effect(&setup, &air, cause, rows[i].severity, &effect, NULL) >= 0, "%s", rows[i].id);
		cr_expect(fabs(effect - rows[i].effect) < 1e-9, "%s: %g, expected %g", rows[i].id, effect, rows[i].effect);
	}
}

static jw_prior prior_of(const jw_history *history, const char *id, jw_setup *base)
{
	jw_setup setup = scooter();
	jw_air air = mild_air();
	jw_background background;
	jw_prior prior;
	cr_assert(jw_background_of(&setup, &air, history, &background, NULL) >= 0);
	jw_cause_prior(&background, jw_cause_row_at(jw_cause_find(id)), &prior, base);
	return prior;
}

static const jw_history daily = {.months_standing = 0}, stood = {.months_standing = 5},
                        unknown = {.months_standing = -1}, flat = {.months_standing = 5, .changed = {1}, .flat = 1},
                        changed = {.months_standing = 0, .changed = {[JW_CHANGE_FILTER_OPEN] = 1}};

Test(cause, prior_is_a_probability)
{
	const jw_history *const histories[] = {&daily, &stood, &unknown, &flat, &changed};
	for (int i = 0; i < jw_cause_count(); i++)
		for (int h = 0; h < 5; h++) {
			jw_setup base;
			jw_prior prior = prior_of(histories[h], jw_cause_at(i)->id, &base);
			double sum = 0;
			for (int j = 0; j < JW_NODES; j++)
				sum += prior.density[j];
			JW_NEAR_ABS(sum, 1, 1e-12);
			cr_expect(prior.odds > 0);
		}
}

Test(cause, prior_by_history)
{
	jw_setup base;
	cr_expect(prior_of(&stood, "pilot_jet_restricted", &base).odds >
	          5 * prior_of(&daily, "pilot_jet_restricted", &base).odds);
	cr_expect(prior_of(&changed, "main_jet_too_small", &base).odds >
	          2 * prior_of(&daily, "main_jet_too_small", &base).odds);
	cr_expect(prior_of(&changed, "air_leak", &base).odds < 0.5 * prior_of(&daily, "air_leak", &base).odds);
	cr_expect(prior_of(&flat, "pilot_jet_restricted", &base).odds == prior_of(&flat, "main_jet_too_small", &base).odds);
}

/* After a change the engine is what the change made of it: with the filter's loss at a tenth, and the main jet that
 * brings full throttle back as the one that fits, so that the jet in it is the likeliest severity. */
Test(cause, change_is_applied)
{
	jw_setup setup = scooter(), base;
	jw_air air = mild_air();
	prior_of(&changed, "air_leak", &base);
	JW_NEAR_REL(base.carburetor.intake.loss_pa, 0.1 * setup.carburetor.intake.loss_pa, 1e-12);
	jw_prior prior = prior_of(&changed, "main_jet_too_small", &base);
	JW_NEAR_REL(phi_at(&base, &air, JW_FULL), phi_at(&setup, &air, JW_FULL), 1e-6);
	int top = 0;
	for (int j = 1; j < JW_NODES; j++)
		if (prior.density[j] > prior.density[top])
			top = j;
	double ratio = setup.carburetor.main.fuel_jet.diameter_m / base.carburetor.main.fuel_jet.diameter_m;
	JW_NEAR_ABS(1 - 0.5 * jw_node(top), ratio * ratio, 0.5 * 0.5 / JW_NODES);
	/* Told as a bore, that severity is the jet that fits. */
	const jw_driven none = {0};
	double told, present = setup.carburetor.main.fuel_jet.diameter_m;
	cr_assert(jw_cause_effect_at(&base, &air, jw_cause_find("main_jet_too_small"), (1 - ratio * ratio) / 0.5, &none,
	                             present, &told, NULL) == JW_OK);
	JW_NEAR_REL(told * 1e-3, base.carburetor.main.fuel_jet.diameter_m, 1e-9);
}

/* An air screw leans when it is turned out: "set too lean" is further out there, and leaner on either kind. */
Test(cause, screw_of_either_kind)
{
	static const char *const engines[] = {"courier-150", "moped-50"};
	static const jw_screw_kind kinds[] = {JW_FUEL_SCREW, JW_AIR_SCREW};
	jw_air air = mild_air();
	for (size_t i = 0; i < 2; i++) {
		jw_setup setup = bundled(engines[i]), lean, rich;
		cr_assert(setup.carburetor.screw.kind == kinds[i]);
		cr_assert(jw_cause_apply(&setup, jw_cause_find("idle_mixture_screw_lean"), 0.5, &lean, NULL) == JW_OK);
		cr_assert(jw_cause_apply(&setup, jw_cause_find("idle_mixture_screw_rich"), 0.5, &rich, NULL) == JW_OK);
		cr_expect((lean.carburetor.screw.turns > setup.carburetor.screw.turns) == (kinds[i] == JW_AIR_SCREW));
		cr_expect(phi_at(&lean, &air, JW_IDLE) < phi_at(&setup, &air, JW_IDLE), "%s", engines[i]);
		cr_expect(phi_at(&rich, &air, JW_IDLE) > phi_at(&setup, &air, JW_IDLE), "%s", engines[i]);
	}
}

/* Some causes are those of two-strokes, some of four-strokes. */
Test(cause, strokes)
{
	jw_setup setup = scooter(), faulty;
	int seal = jw_cause_find("crank_seal"), valves = jw_cause_find("valve_clearance");
	cr_assert(setup.engine.strokes == 4);
	cr_expect(jw_cause_apply(&setup, seal, 0.5, &faulty, NULL) == JW_E_ARGUMENT);
	cr_expect(jw_cause_possible(&setup, jw_cause_row_at(valves)));
	setup = bundled("moped-50");
	cr_assert(setup.engine.strokes == 2);
	cr_expect(jw_cause_apply(&setup, seal, 0.5, &faulty, NULL) == JW_OK);
	cr_expect(!jw_cause_possible(&setup, jw_cause_row_at(valves)));
	jw_air air = mild_air();
	cr_expect(phi_at(&faulty, &air, JW_IDLE) < 0.98 * phi_at(&setup, &air, JW_IDLE), "a crankcase leak leans");
}

/* A leak at the crankcase leans as one at the intake does; a spray at the intake's joints tells them apart. */
Test(cause, no_spray_reaches_a_crank_seal)
{
	jw_setup setup = bundled("moped-50");
	jw_case known = {.air = mild_air()};
	see(&known, "hunts", JW_IDLE);
	see(&known, "high_idle", JW_IDLE);
	jw_case changes = known, stays = known;
	see(&changes, "leak_spray_changes", JW_IDLE);
	see(&stays, "leak_spray_no_change", JW_IDLE);
	jw_report *before = explained(&setup, &known), *yes = explained(&setup, &changes), *no = explained(&setup, &stays);
	cr_expect(probability_of(before, "crank_seal") > 0.02);
	cr_expect(probability_of(yes, "crank_seal") < 0.5 * probability_of(before, "crank_seal"));
	cr_expect(probability_of(no, "crank_seal") > probability_of(before, "crank_seal"));
	cr_expect(probability_of(yes, "air_leak") > 2 * probability_of(no, "air_leak"));
	jw_report_free(before);
	jw_report_free(yes);
	jw_report_free(no);
}

/* A blocked enrichener is felt with it open, and by a cold engine alone. */
Test(cause, enrichener_restricted)
{
	jw_setup setup = scooter(), faulty;
	jw_air air = mild_air();
	cr_assert(jw_cause_apply(&setup, jw_cause_find("enrichener_restricted"), 0.8, &faulty, NULL) == JW_OK);
	JW_NEAR_REL(phi_at(&faulty, &air, JW_IDLE), phi_at(&setup, &air, JW_IDLE), 1e-9);
	setup.range[JW_IDLE].enrichener = faulty.range[JW_IDLE].enrichener = 1;
	cr_expect(phi_at(&faulty, &air, JW_IDLE) < 0.95 * phi_at(&setup, &air, JW_IDLE));
	setup.range[JW_IDLE].enrichener = 0;
	jw_case known = {.air = air};
	see(&known, "hard_to_start_cold", JW_IDLE);
	see(&known, "idles_well", JW_IDLE);
	jw_report *report = explained(&setup, &known);
	cr_expect(probability_of(report, "enrichener_restricted") > probability_of(report, "main_jet_restricted"));
	jw_report_free(report);
}

/* What a wider cause takes in is a cause of its own, and known by the model where the wider one is told. */
Test(cause, within_a_wider_one)
{
	int narrow = 0;
	for (int i = 0; i < jw_cause_count(); i++) {
		const jw_cause_row *row = jw_cause_row_at(i);
		narrow += row->within != NULL;
		cr_expect(!row->within || (jw_cause_find(row->within) >= 0 && jw_cause_find(row->within) != i), "%s",
		          row->info.id);
	}
	cr_expect(narrow >= 8);
}

/* A choke plate left partly shut richens, on an engine that has one. */
Test(cause, choke_plate)
{
	int found = 0, cause = jw_cause_find("choke_stuck_on");
	jw_air air = mild_air();
	for (size_t i = 0; i < BUNDLED; i++) {
		jw_setup setup = bundled(bundled_names[i]), faulty;
		int has = setup.carburetor.choke.bore_m > 0;
		jw_status status = jw_cause_apply(&setup, cause, 0.6, &faulty, NULL);
		cr_expect(has == (status == JW_OK), "%s", bundled_names[i]);
		if (!has)
			continue;
		found++;
		cr_expect(phi_at(&faulty, &air, JW_HALF) > 1.02 * phi_at(&setup, &air, JW_HALF), "%s", bundled_names[i]);
	}
	cr_expect(found > 0);
}

/* The table of what causes tell names causes and evidence that there are, each once, and shares that are probabilities;
 * a cause that the model does not foretell has entries. */
Test(cause, told_table)
{
	const char *cause, *seen;
	int entries = 0;
	for (int n = 0; jw_told_entry(n, &cause, &seen); n++) {
		double share = NAN;
		entries++;
		cr_expect(jw_cause_find(cause) >= 0, "no cause %s", cause);
		cr_expect(jw_evidence_kind_find(seen) >= 0, "%s: no evidence %s", cause, seen);
		int told = 0;
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			told |= jw_cause_tells(cause, seen, (jw_range)r, &share);
		cr_expect(told && (share == -1 || (share > 0 && share < 1)), "%s, %s: %g", cause, seen, share);
	}
	cr_expect(entries > 150);
	for (int i = 0; i < jw_cause_count(); i++) {
		int found = jw_cause_meters(i);
		for (int n = 0; jw_told_entry(n, &cause, &seen); n++)
			found |= jw_cause_find(cause) == i;
		cr_expect(found, "%s tells nothing", jw_cause_at(i)->id);
	}
	double share;
	cr_expect(!jw_cause_tells("air_leak", "gremlins", JW_IDLE, &share));
}

static int is_told(const char *cause, int seen, jw_range range, double *share)
{
	return !jw_evidence_kind_at(seen)->takes_value &&
	       jw_cause_tells(cause, jw_evidence_kind_at(seen)->id, range, share) && *share >= 0;
}

/* Of two things that cannot both be so, shares of the same engines add up to at most all of them; what takes in another
 * is no more often seen than that. */
Test(cause, told_shares_agree_with_each_other)
{
	int against = 0;
	for (int c = 0; c < jw_cause_count(); c++)
		for (int a = 0; a < jw_evidence_kind_count(); a++)
			for (int b = 0; b < jw_evidence_kind_count(); b++)
				for (int r = 0; r < JW_RANGE_COUNT; r++) {
					const jw_evidence one = {a, (jw_range)r}, other = {b, (jw_range)r};
					const char *id = jw_cause_at(c)->id, *first = jw_evidence_kind_at(a)->id,
					           *second = jw_evidence_kind_at(b)->id;
					double p, q;
					if (a == b || !is_told(id, a, (jw_range)r, &p) || !is_told(id, b, (jw_range)r, &q))
						continue;
					const int settles = jw_evidence_settles(&one, &other);
					against += settles < 0;
					if (settles < 0)
						cr_expect(p + q <= 1 + 1e-12, "%s: %s %g and %s %g", id, first, p, second, q);
					if (settles > 0)
						cr_expect(p <= q, "%s: %s %g takes in %s %g", id, first, p, second, q);
				}
	cr_expect(against > 500, "%d", against);
}

/* A jet that was fitted just before is the likeliest fault, and the one that came out is what fits. */
Test(cause, fitted_jet)
{
	jw_setup setup = scooter();
	const double old = setup.carburetor.main.fuel_jet.diameter_m;
	static const struct {
		double times;
		const char *cause, *seen;
	} rows[] = {{0.85, "main_jet_too_small", "flat"}, {1.2, "main_jet_too_large", "smokes_black"}};
	for (size_t i = 0; i < 2; i++) {
		jw_case known = {.air = mild_air()};
		see(&known, rows[i].seen, JW_FULL);
		see(&known, "idles_well", JW_IDLE);
		jw_report *before = explained(&setup, &known);
		known.history.fitted_m[JW_PART_MAIN_JET] = rows[i].times * old;
		jw_report *after = explained(&setup, &known);
		cr_expect(probability_of(after, rows[i].cause) > 2 * probability_of(before, rows[i].cause), "%s: %g to %g",
		          rows[i].cause, probability_of(before, rows[i].cause), probability_of(after, rows[i].cause));
		cr_expect_str_eq(cause_of(after, 0), rows[i].cause);
		cr_expect(fabs(jw_report_finding(after, 0)->fit_value / old - 1) < 0.06, "%g",
		          jw_report_finding(after, 0)->fit_value / old);
		jw_report_free(before);
		jw_report_free(after);
	}
	jw_case known = {.air = mild_air()};
	see(&known, "flat", JW_FULL);
	known.history.fitted_m[JW_PART_PILOT_JET] = NAN;
	jw_report *report = NULL;
	jw_error error = {0};
	cr_expect(jw_explain(&setup, &known, &report, &error) == JW_E_NOT_FINITE);
	cr_expect_str_eq(error.field, "history.fitted_m");
}

/* A fast idle is no news of thinner air: what explains it at home explains it 2500 m up. */
Test(cause, sound_engine_idles_alike_in_any_air)
{
	jw_setup setup = scooter();
	jw_case home = {.air = mild_air()}, above;
	see(&home, "high_idle", JW_IDLE);
	see(&home, "hanging_idle", JW_IDLE);
	above = home;
	above.history.ran_in = home.air;
	cr_assert(jw_air_from_humidity(74.7e3, 283.15, 0.5, &above.air, NULL) == JW_OK);
	jw_report *there = explained(&setup, &above), *here = explained(&setup, &home);
	const int leak = place_of(there, "air_leak");
	cr_assert(leak >= 0 && place_of(here, "air_leak") >= 0);
	for (int i = 0; i < home.evidences; i++) {
		const jw_explained *e = &jw_report_finding(there, leak)->explained[i];
		cr_expect(e->explains > 0);
		JW_NEAR_ABS(e->before, jw_report_finding(here, place_of(here, "air_leak"))->explained[i].before, 0.02);
	}
	jw_report_free(there);
	jw_report_free(here);
}

/* An engine that ran right at sea level is too rich 3000 m up (more so than any weather), and wants the smaller jet
 * that its fuel follows the air by: the root of the ratio of densities, about. */
Test(cause, set_up_for_another_air)
{
	jw_setup setup = scooter();
	const double old = setup.carburetor.main.fuel_jet.diameter_m;
	jw_case known = {.air = mild_air()}, weather;
	const jw_air below = known.air;
	cr_assert(jw_air_from_humidity(70e3, 278.15, 0.4, &known.air, NULL) == JW_OK);
	see(&known, "smokes_black", JW_FULL);
	see(&known, "flat", JW_FULL);
	jw_report *before = explained(&setup, &known);
	known.history.ran_in = below;
	jw_report *after = explained(&setup, &known);
	cr_expect_str_eq(cause_of(after, 0), "main_jet_too_large");
	cr_expect(probability_of(after, "main_jet_too_large") > 3 * probability_of(before, "main_jet_too_large"));
	double ratio = jw_report_finding(after, 0)->fit_value / old;
	cr_expect(fabs(ratio - pow(known.air.density_kg_m3 / below.density_kg_m3, 0.25)) < 0.03, "%g", ratio);
	jw_report_free(before);
	jw_report_free(after);

	weather = known;
	weather.air = below;
	cr_assert(jw_air_from_humidity(99.5e3, 293.15, 0.6, &weather.history.ran_in, NULL) == JW_OK);
	after = explained(&setup, &weather);
	weather.history.ran_in = below;
	before = explained(&setup, &weather);
	JW_NEAR_ABS(probability_of(after, "main_jet_too_large"), probability_of(before, "main_jet_too_large"), 1e-12);
	jw_report_free(before);
	jw_report_free(after);
}

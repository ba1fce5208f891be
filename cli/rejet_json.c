/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "ambient.h"
#include "rejet.h"
#include "show.h"
#include <math.h>

/* The keys of what is shared out. */
static const char *const quantities[JW_REJET_QUANTITY_COUNT] = {[JW_REJET_LNPHI] = "ln_phi",
                                                                [JW_REJET_LNAIR] = "ln_air",
                                                                [JW_REJET_LNFUEL] = "ln_fuel",
                                                                [JW_REJET_PULL] = "pull_pa"};

static const char *const reasons[JW_RULE_REASON_COUNT] = {[JW_RULE_APPLIES] = "applies",
                                                          [JW_RULE_NOTHING] = "nothing_changes",
                                                          [JW_RULE_OTHER_CHANGE] = "other_change",
                                                          [JW_RULE_SLIDE_FLOATS] = "slide_floats",
                                                          [JW_RULE_WEAK_PULL] = "weak_pull"};

static void json_changes(cli_json *json, const rejet_asked *a)
{
	json_array(json, "changes");
	for (int i = 0; i < a->request.changes; i++) {
		const jw_rejet_change *change = &a->change[i];
		const int number = !isnan(rejet_value_before(a, change->kind));
		json_object(json, NULL);
		json_text(json, "kind", jw_rejet_kind_name(change->kind));
		json_text(json, "text", rejet_change_words(a, change).text);
		json_number(json, "from", rejet_value_before(a, change->kind));
		json_number(json, "to", number ? change->value : NAN);
		json_object_end(json);
	}
	json_array_end(json);
}

static void json_mixture(cli_json *json, const char *key, const jw_setup *setup, const jw_mixture *m, double relative,
                         jw_status warned)
{
	json_object(json, key);
	json_number(json, "phi", m->phi);
	json_number_or_null(json, "lambda", lambda_of(m->phi));
	json_lambda_interval(json, lambda_of(m->phi), relative);
	json_number(json, "air_kg_s", m->air_kg_s);
	json_number(json, "fuel_kg_s", m->fuel_kg_s);
	json_number(json, "pull_pa", m->flow.depression_pa);
	json_number(json, "slide_lift_m", setup->carburetor.kind == JW_FIXED_VENTURI ? NAN : m->path.lift_m);
	json_warnings(json, warned);
	json_object_end(json);
}

static void json_shares(cli_json *json, const rejet_asked *a, int range)
{
	json_array(json, "shares");
	for (int i = 0; i < a->request.changes; i++) {
		json_object(json, NULL);
		json_text(json, "kind", jw_rejet_kind_name(a->change[i].kind));
		for (int q = 0; q < JW_REJET_QUANTITY_COUNT; q++)
			json_number(json, quantities[q], a->answer.share[range].of[q][i]);
		json_object_end(json);
	}
	json_array_end(json);
}

static void json_range(cli_json *json, const rejet_asked *a, int range)
{
	const jw_rejet_range *r = &a->answer.range[range];
	json_object(json, NULL);
	json_text(json, "range", jw_range_name((jw_range)range));
	json_number(json, "speed_rpm", a->request.setup->range[range].speed_rev_s * 60);
	json_number(json, "throttle", a->request.setup->range[range].throttle);
	json_mixture(json, "before", a->request.setup, &r->before, r->relative_before, r->warned_before);
	json_mixture(json, "after", &a->answer.setup, &r->after, r->relative_after, r->warned_after);
	json_number(json, "change_relative_uncertainty", r->relative_change);
	json_text(json, "was", jw_rejet_verdict_name(r->was));
	json_text(json, "becomes", jw_rejet_verdict_name(r->becomes));
	json_number(json, "danger", r->danger);
	json_number(json, "relative_foretold", r->relative_foretold);
	json_number(json, "ln_phi_by_readings", r->by_readings);
	json_shares(json, a, range);
	json_object_end(json);
}

static void json_value(cli_json *json, const rejet_asked *a, const char *key, jw_part part, double value, int place)
{
	int count;
	const jw_jet *jets = rejet_jets_of(a, part, &count);
	json_object(json, key);
	json_number(json, part == JW_PART_MIXTURE_SCREW ? "turns" : "value_m", value);
	if (jets)
		json_number(json, "mark", place < 0 ? NAN : jets[place].mark);
	if (part == JW_PART_NEEDLE_POSITION)
		json_number(json, "groove", place < 0 ? NAN : (double)place);
	json_object_end(json);
}

static void json_piece(cli_json *json, const rejet_asked *a, jw_part part)
{
	const jw_rejet_piece *p = &a->answer.choice.piece[part];
	json_object(json, NULL);
	json_text(json, "part", jw_part_name(part));
	json_number(json, part == JW_PART_MIXTURE_SCREW ? "was_turns" : "was_m", p->was);
	json_number(json, part == JW_PART_MIXTURE_SCREW ? "ideal_turns" : "ideal_m", p->ideal);
	json_value(json, a, "fit", part, p->chosen, p->place);
	json_value(json, a, "start", part, p->start, p->start_place);
	json_flag(json, "start_covers_doubt", p->start_covers);
	json_flag(json, "waits_for_main_jet", rejet_waits(&a->answer.choice, part));
	json_number(json, "out_of_reach", p->beyond);
	json_text(json, "confirm_at", jw_range_name(jw_rejet_tells(part)));
	if (p->torn) {
		json_object(json, "torn");
		json_text(json, "lean", jw_range_name(p->lean));
		json_text(json, "rich", jw_range_name(p->rich));
		json_object_end(json);
	} else {
		json_null(json, "torn");
	}
	json_object(json, "ln_phi_per_step");
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		json_number(json, jw_range_name((jw_range)r), p->effect[r]);
	json_object_end(json);
	json_object_end(json);
}

static void json_choice(cli_json *json, const rejet_asked *a)
{
	const jw_rejet_choice *c = &a->answer.choice;
	json_object(json, "choice");
	json_array(json, "parts");
	for (int part = 0; part < JW_PART_COUNT; part++)
		if (c->piece[part].sought)
			json_piece(json, a, (jw_part)part);
	json_array_end(json);
	json_array(json, "ranges");
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const double lambda = lambda_of(c->phi[r]);
		json_object(json, NULL);
		json_text(json, "range", jw_range_name((jw_range)r));
		json_number_or_null(json, "wanted_lambda", lambda_of(c->target[r]));
		json_number_or_null(json, "ideal_lambda", lambda_of(c->ideal[r]));
		json_number_or_null(json, "lambda", lambda);
		json_lambda_interval(json, lambda, c->relative_after[r]);
		json_number(json, "relative_uncertainty_to_wanted", c->relative_change[r]);
		json_number_or_null(json, "start_lambda", lambda_of(c->start[r]));
		json_flag(json, "may_be_dangerous", rejet_may_be_dangerous(a, (jw_range)r));
		json_warnings(json, c->warned[r]);
		json_object_end(json);
	}
	json_array_end(json);
	json_number(json, "cost", c->cost);
	json_flag(json, "safe_at_full_throttle", c->safe);
	json_object_end(json);
}

static void json_readings(cli_json *json, const rejet_asked *a)
{
	const jw_rejet_answer *answer = &a->answer;
	json_object(json, "coefficients");
	for (int u = JW_UNKNOWN_AIR; u <= JW_UNKNOWN_PILOT; u++)
		json_number(json, jw_unknown_name((jw_unknown)u), jw_unknown_value(&answer->setup, (jw_unknown)u));
	json_object_end(json);
	if (answer->worst_reading < 0) {
		json_null(json, "farthest_reading");
		return;
	}
	json_object(json, "farthest_reading");
	json_number(json, "line", a->request.reading[answer->worst_reading].line);
	json_number(json, "apart", answer->worst_apart);
	json_object_end(json);
}

void rejet_json(const rejet_asked *a)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(a->profile));
	json_text(&json, "fuel", a->fuel ? a->fuel : jw_profile_fuel(a->profile));
	json_air(&json, "air_before", &a->was);
	json_air(&json, "air", &a->answer.air);
	json_changes(&json, a);
	json_array(&json, "ranges");
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		json_range(&json, a, r);
	json_array_end(&json);
	json_object(&json, "rule");
	json_text(&json, "reason", reasons[a->answer.rule.reason]);
	json_number(&json, "main_jet_area_factor", a->answer.rule.area_factor);
	json_flag(&json, "slide_at_stop_before", a->answer.rule.stop_before);
	json_flag(&json, "slide_at_stop_after", a->answer.rule.stop_after);
	json_object_end(&json);
	json_choice(&json, a);
	json_readings(&json, a);
	json_warnings(&json, a->status);
	json_end(&json);
}

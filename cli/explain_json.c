/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of explain for programs. */
#include "explain.h"
#include <math.h>

static void json_interval(cli_json *json, const char *key, const jw_interval *interval)
{
	json_array(json, key);
	json_number(json, NULL, interval->low_90);
	json_number(json, NULL, interval->high_90);
	json_array_end(json);
}

static void json_seen(cli_json *json, const answer *a, int evidence)
{
	const jw_evidence *seen = &a->known->evidence[evidence];
	const jw_evidence_kind *kind = jw_evidence_kind_at(seen->kind);
	json_text(json, "seen", kind->id);
	json_text(json, "at", kind->range < JW_RANGE_COUNT ? jw_range_name(seen->range) : NULL);
	json_text(json, "answer", jw_answer_name(seen->answer));
	const jw_evidence_unit *unit = seen->answer == JW_YES ? jw_evidence_unit_of(seen->kind) : NULL;
	json_number(json, "value", unit ? seen->value / unit->si : NAN);
	json_text(json, "unit", unit ? unit->unit : NULL);
	json_text(json, "text", evidence_text(a, evidence).text);
}

static void json_evidence(cli_json *json, const char *key, const answer *a, const jw_finding *finding, int explains)
{
	json_array(json, key);
	for (int i = 0; i < a->known->evidences; i++) {
		const jw_explained *e = &finding->explained[i];
		if (e->explains != explains)
			continue;
		json_object(json, NULL);
		json_seen(json, a, i);
		json_text(json, "bearing", bearing_name(bearing_of(a, finding, i)));
		json_number(json, "likelihood", e->likelihood);
		json_number(json, "on_sound_engine", e->before);
		json_object_end(json);
	}
	json_array_end(json);
}

static void json_lambda(cli_json *json, const jw_finding *finding)
{
	json_array(json, "lambda");
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		json_object(json, NULL);
		json_text(json, "range", jw_range_name(range));
		json_number_or_null(json, "now", finding->lambda_now[range].value);
		json_number_or_null(json, "low_90", finding->lambda_now[range].low_90);
		json_number_or_null(json, "high_90", finding->lambda_now[range].high_90);
		json_number_or_null(json, "after", finding->lambda_after[range]);
		json_object_end(json);
	}
	json_array_end(json);
}

static void json_mask(cli_json *json, const answer *a, const jw_finding *finding)
{
	if (!finding->has_mask) {
		json_null(json, "mask");
		return;
	}
	const part_words *words = part_words_of(finding->mask_part);
	json_object(json, "mask");
	json_text(json, "part", jw_part_name(finding->mask_part));
	json_text(json, "unit", words->unit);
	json_number(json, "value", finding->mask_value / words->si);
	json_number(json, "present", part_in_engine(a, finding->mask_part) / words->si);
	json_flag(json, "fouled_alike", finding->mask_fouled);
	json_text(json, "range", jw_range_name(finding->mask_range));
	json_number_or_null(json, "lambda_once_mended", finding->mask_lambda_after);
	json_object_end(json);
}

static void json_effect(cli_json *json, const jw_finding *finding)
{
	const jw_effect_words *effect = jw_cause_effect_words(finding->cause);
	if (!effect) {
		json_null(json, "severity");
		json_null(json, "severity_90");
		json_null(json, "severity_means");
		json_null(json, "effect");
		return;
	}
	json_number(json, "severity", finding->severity.value);
	json_interval(json, "severity_90", &finding->severity);
	json_text(json, "severity_means", jw_cause_at(finding->cause)->severity_text);
	json_object(json, "effect");
	json_text(json, "quantity", effect->quantity);
	json_text(json, "unit", effect->unit);
	json_number(json, "value", finding->effect.value);
	json_number(json, "low_90", finding->effect.low_90);
	json_number(json, "high_90", finding->effect.high_90);
	json_object_end(json);
}

static void json_finding(cli_json *json, const answer *a, const jw_finding *finding)
{
	const jw_cause_info *cause = jw_cause_at(finding->cause);
	json_object(json, NULL);
	json_text(json, "cause", cause->id);
	json_text(json, "text", cause_text(a, finding->cause).text);
	json_number(json, "probability", finding->probability);
	json_text(json, "sureness", sure_word(finding->probability));
	json_text(json, "need", jw_need_name(jw_cause_need(finding->cause)));
	json_effect(json, finding);
	json_number_or_null(json, "acts_like_bore_m", finding->bore.value);
	json_object(json, "remedy");
	json_text(json, "action", cause->action);
	json_text(json, "part", cause->part);
	json_text(json, "text", said_of(a, cause->remedy).text);
	json_number_or_null(json, "fit_bore_m", finding->fit_value);
	json_object_end(json);
	json_text(json, "caution", cause->caution);
	json_lambda(json, finding);
	json_evidence(json, "explains", a, finding, 1);
	json_evidence(json, "indifferent", a, finding, 0);
	json_evidence(json, "speaks_against", a, finding, -1);
	json_mask(json, a, finding);
	json_object_end(json);
}

static void json_cause(cli_json *json, const char *key, int cause)
{
	json_text(json, key, cause < 0 ? NULL : jw_cause_at(cause)->id);
}

/* Causes by name; "sound" or "other" where there are none. */
static void json_causes(cli_json *json, const jw_hypothesis *h)
{
	json_array(json, "causes");
	for (int i = 0; i < 2; i++)
		if (h->cause[i] >= 0)
			json_text(json, NULL, jw_cause_at(h->cause[i])->id);
	if (h->kind != JW_HYPOTHESIS_CAUSES)
		json_text(json, NULL, h->kind == JW_HYPOTHESIS_SOUND ? "sound" : "other");
	json_array_end(json);
}

static void json_hypothesis(cli_json *json, const answer *a, const jw_hypothesis *h)
{
	json_object(json, NULL);
	json_causes(json, h);
	json_text(json, "text", hypothesis_text(a, h).text);
	json_number(json, "probability", h->probability);
	json_text(json, "sureness", sure_word(h->probability));
	json_object_end(json);
}

static void json_dangers(cli_json *json, const answer *a, const conclusion *c)
{
	const char *caution[DANGERS_MOST];
	const int count = dangers_of(a, c, caution);
	json_array(json, "dangers");
	for (int i = 0; i < count; i++)
		json_text(json, NULL, caution[i]);
	json_array_end(json);
}

static void json_conclusion(cli_json *json, const answer *a)
{
	const conclusion c = conclude(a);
	double saves;
	const jw_action *test = first_test(a, &c, &saves);
	json_object(json, "conclusion");
	json_causes(json, c.hypothesis);
	json_cause(json, "mend_first", c.first ? c.first->cause : -1);
	json_number(json, "probability", c.probability);
	json_text(json, "sureness", sure_word(c.probability));
	json_number(json, "probability_together", c.hypothesis->probability);
	json_flag(json, "too_weak_to_repair", c.weak);
	json_text(json, "test_first", test ? jw_evidence_kind_at(test->evidence)->id : NULL);
	json_dangers(json, a, &c);
	json_array(json, "unexplained");
	for (int i = 0; c.first && i < a->known->evidences; i++) {
		const bearing stands = bearing_of_all(a, &c, i);
		if (stands != OPEN && stands != AGAINST)
			continue;
		json_object(json, NULL);
		json_seen(json, a, i);
		json_text(json, "bearing", bearing_name(stands));
		json_object_end(json);
	}
	json_array_end(json);
	json_object_end(json);
}

static void json_conflict(cli_json *json, const answer *a, const jw_conflict *conflict)
{
	json_array(json, NULL);
	for (int i = 0; i < 2; i++) {
		json_object(json, NULL);
		json_seen(json, a, conflict->evidence[i]);
		json_object_end(json);
	}
	json_array_end(json);
}

static void json_shift(cli_json *json, const char *key, const jw_shift *shift)
{
	if (shift->cause < 0) {
		json_null(json, key);
		return;
	}
	json_object(json, key);
	json_cause(json, "cause", shift->cause);
	json_number(json, "before", shift->before);
	json_number(json, "after", shift->after);
	json_object_end(json);
}

static void json_outcome(cli_json *json, const jw_outcome *outcome)
{
	json_object(json, NULL);
	json_text(json, "seen", jw_evidence_kind_at(outcome->evidence)->id);
	json_text(json, "answer", jw_answer_name(outcome->answer));
	if (jw_evidence_kind_at(outcome->evidence)->takes_value)
		json_text(json, "reads", outcome->side < 0 ? "less" : outcome->side > 0 ? "more" : "right");
	json_number(json, "probability", outcome->probability);
	json_number(json, "expected_minutes", outcome->expected_minutes);
	json_cause(json, "leads", outcome->leads);
	json_cause(json, "remedy", outcome->remedy);
	json_shift(json, "rises", &outcome->rises);
	json_shift(json, "falls", &outcome->falls);
	json_object_end(json);
}

static void json_test(cli_json *json, const answer *a, const jw_action *action)
{
	const jw_evidence_kind *kind = jw_evidence_kind_at(action->evidence);
	const jw_test_info *test = jw_test_of(action->evidence);
	json_object(json, "test");
	json_text(json, "seen", kind->id);
	json_text(json, "range", kind->takes_range ? jw_range_name(action->range) : NULL);
	json_text(json, "text", test_text(a, action).text);
	json_text(json, "caution", test->caution);
	json_text(json, "tool", jw_tool_name(test->tool));
	json_number(json, "probability", action->yes);
	json_cause(json, "leads_if_seen", action->if_yes);
	json_cause(json, "leads_if_not", action->if_no);
	json_number(json, "information_bit", action->information_bit);
	json_array(json, "results");
	for (int i = 0; i < action->outcomes; i++)
		json_outcome(json, &action->outcome[i]);
	json_array_end(json);
	json_object_end(json);
}

static void json_action(cli_json *json, const answer *a, const jw_action *action)
{
	json_object(json, NULL);
	json_cause(json, "repair", action->cause);
	if (action->evidence < 0) {
		json_number(json, "mends", action->mends);
		json_null(json, "test");
	} else {
		json_null(json, "mends");
		json_test(json, a, action);
	}
	json_number(json, "minutes", action->minutes);
	json_number(json, "expected_minutes", action->expected_minutes);
	json_object_end(json);
}

static void json_history(cli_json *json, const jw_history *history)
{
	json_object(json, "history");
	json_number(json, "months_standing", history->months_standing < 0 ? NAN : history->months_standing);
	json_array(json, "changed");
	for (int i = 0; i < JW_CHANGE_KIND_COUNT; i++)
		if (history->changed[i])
			json_text(json, NULL, jw_change_name((jw_change_kind)i));
	json_array_end(json);
	json_object(json, "fitted_bore_m");
	for (int i = 0; i < JW_JETS; i++)
		json_number_or_null(json, jw_part_name((jw_part)i), history->fitted_m[i]);
	json_object_end(json);
	json_flag(json, "left_out", history->flat);
	json_object_end(json);
}

void explain_json(const answer *a)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(a->profile));
	json_text(&json, "class", a->class);
	json_text(&json, "based_on", jw_profile_based_on(a->profile));
	json_text(&json, "about", a->about);
	json_history(&json, &a->known->history);
	json_course(&json, a);
	json_conclusion(&json, a);
	json_array(&json, "findings");
	for (int i = 0; i < jw_report_findings(a->report); i++)
		json_finding(&json, a, jw_report_finding(a->report, i));
	json_array_end(&json);
	json_array(&json, "hypotheses");
	for (int i = 0; i < jw_report_hypotheses(a->report); i++)
		json_hypothesis(&json, a, jw_report_hypothesis(a->report, i));
	json_array_end(&json);
	json_object(&json, "needs");
	for (int need = 0; need < JW_NEED_COUNT; need++)
		json_number(&json, jw_need_name((jw_need)need), jw_report_need(a->report, (jw_need)need));
	json_object_end(&json);
	json_array(&json, "conflicts");
	for (int i = 0; i < jw_report_conflicts(a->report); i++)
		json_conflict(&json, a, jw_report_conflict(a->report, i));
	json_array_end(&json);
	json_array(&json, "actions");
	for (int i = 0; i < jw_report_actions(a->report); i++)
		json_action(&json, a, jw_report_action(a->report, i));
	json_array_end(&json);
	json_warnings(&json, a->status);
	json_end(&json);
}

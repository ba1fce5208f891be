/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What explain answers, as the files in recorded/ have it:
 *
 *     JETWRIGHT_RECORD=1 build/tests/test_unit_diagnose --filter '*ecorded*'
 *
 * A hand's line has its number, how many cards it has and the months of standing. Then come causes with probability,
 * severity, effect and the part that would hide them, 0 where none would; repairs with minutes to a verified repair,
 * own minutes, what they mend and 1; of every fifth hand tests with both minutes, information and 2.
 *
 * Every kind of evidence, in every range of the throttle, is a card. Cards are dealt into hands of which none says what
 * another rules out, so that each figure of the tables moves a probability by about as much as it is changed itself. A
 * new word deals all hands anew. */
#include "diagnose/evidence.h"
#include "engine.h"
#include "recorded.h"

enum { HAND = 24, HANDS = 24, CARDS = 512 };

/* Amid what sound and faulty engines read; bores, which an engine has its own of, in times that of its profile. */
static const struct {
	const char *kind;
	double value;
} readings[] = {{"lambda", 1.06},           {"compression", 760e3},   {"compression_hot", 800e3},
                {"bowl_drain", 1.5e-6},     {"level", -1.2e-3},       {"pilot_jet_bore", 0.94},
                {"main_jet_bore", 0.95},    {"screw_turns", 0.25},    {"needle_height", -0.12e-3},
                {"needle_jet_bore", 1.006}, {"pilot_jet_flow", 0.90}, {"main_jet_flow", 0.92}};

static double value_of(const jw_setup *setup, int kind)
{
	const jw_evidence_row *row = jw_evidence_row_at(kind);
	for (size_t i = 0; i < sizeof readings / sizeof *readings; i++)
		if (strcmp(readings[i].kind, row->kind.id) == 0)
			return readings[i].value *
			       (row->gauge->over ? *(const double *)((const char *)setup + row->gauge->over) : 1);
	cr_assert(!row->gauge, "no value of %s", row->kind.id);
	return 0;
}

/* Readings are all seen, of the rest every fourth is looked for and not seen. */
static int make_deck(const jw_setup *setup, int first, jw_evidence *card)
{
	int n = 0;
	for (int kind = 0; kind < jw_evidence_kind_count(); kind++) {
		const jw_evidence_kind *k = jw_evidence_kind_at(kind);
		for (jw_range r = 0; r < (k->takes_range ? JW_RANGE_COUNT : 1); r++, n++) {
			const int denied = !k->takes_value && (n + first) % 4 == 3;
			card[n] = (jw_evidence){kind, r, value_of(setup, kind), 0, denied ? JW_NO : JW_YES};
		}
	}
	return n;
}

static int goes_with(const jw_case *hand, const jw_evidence *card)
{
	for (int i = 0; i < hand->evidences; i++) {
		const jw_evidence held = jw_evidence_read(&hand->evidence[i]), read = jw_evidence_read(card);
		if (jw_evidence_settles(&held, &read) || jw_evidence_settles(&read, &held))
			return 0;
	}
	return hand->evidences < HAND;
}

/* Into the first hand from the next in turn on that takes it, or a new one. */
static int deal(const jw_evidence *card, int cards, jw_case *hand)
{
	int hands = cards / HAND + 1;
	for (int i = 0; i < cards; i++) {
		int h = 0;
		while (h < hands && !goes_with(&hand[(i + h) % hands], &card[i]))
			h++;
		jw_case *to = &hand[h < hands ? (i + h) % hands : hands++];
		cr_assert(hands <= HANDS);
		to->evidence[to->evidences++] = card[i];
	}
	return hands;
}

/* By cause and by kind of evidence, whatever the order in the report. */
static void note_causes(book *b, const jw_report *report)
{
	for (int i = 0; i < jw_report_hypotheses(report); i++) {
		const jw_hypothesis *h = jw_report_hypothesis(report, i);
		if (h->kind != JW_HYPOTHESIS_CAUSES)
			note(b, h->kind == JW_HYPOTHESIS_SOUND ? "sound" : "other", h->probability, 0, 0, 0);
	}
	for (int c = 0; c < jw_cause_count(); c++)
		for (int i = 0; i < jw_report_findings(report); i++) {
			const jw_finding *f = jw_report_finding(report, i);
			if (f->cause == c)
				note(b, jw_cause_at(c)->id, f->probability, f->severity.value, f->effect.value,
				     f->has_mask ? f->mask_value : 0);
		}
}

static void note_tests(book *b, const jw_report *report)
{
	for (int kind = 0; kind < jw_evidence_kind_count(); kind++)
		for (int i = 0; i < jw_report_actions(report); i++) {
			const jw_action *a = jw_report_action(report, i);
			if (a->cause < 0 && a->evidence == kind)
				note(b, jw_evidence_kind_at(kind)->id, a->expected_minutes, a->minutes, a->information_bit, 2);
		}
}

static void note_repairs(book *b, const jw_report *report)
{
	for (int c = 0; c < jw_cause_count(); c++)
		for (int i = 0; i < jw_report_actions(report); i++) {
			const jw_action *a = jw_report_action(report, i);
			if (a->cause == c)
				note(b, jw_cause_at(c)->id, a->expected_minutes, a->minutes, a->mends, 1);
		}
}

static void fill(book *b, const char *engine, int turn)
{
	static jw_evidence card[CARDS];
	static jw_case hand[HANDS];
	const jw_setup setup = bundled(engine);
	const int hands = deal(card, make_deck(&setup, turn, card), hand);
	for (int h = 0; h < hands; h++) {
		hand[h].air = mild_air();
		hand[h].history.months_standing = h % 2 ? 5 : 0;
		jw_report *report = explained(&setup, &hand[h]);
		note(b, "hand", h, hand[h].evidences, hand[h].history.months_standing, 0);
		note_causes(b, report);
		note_repairs(b, report);
		if (h % 5 == 0)
			note_tests(b, report);
		jw_report_free(report);
	}
}

static void compare(const char *engine, int turn)
{
	static book now;
	char path[256];
	snprintf(path, sizeof path, "%s/tests/unit/diagnose/recorded/%s.txt", JW_SOURCE_DIR, engine);
	fill(&now, engine, turn);
	beside_recorded(&now, path);
}

/* Between them they have every part and every cause. */
Test(recorded, floating_slide)
{
	compare("courier-150", 0);
}

Test(recorded, two_stroke)
{
	compare("kart-125", 1);
}

Test(recorded, plate_with_power_valve)
{
	compare("estate-1100", 2);
}

Test(recorded, several_carburetors)
{
	compare("four-600", 3);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a question may hold: each member beside its range is refused before anything is computed, by its name. */
#include "bundled.h"
#include "rejetted.h"
#include <string.h>

enum { PLACES = 2 };

typedef struct question {
	jw_rejet_request request;
	jw_jet_set jets;
	jw_air air, place[PLACES];
} question;

/* A sound one; the struct may not move. */
static void ask(question *q, const jw_setup *setup)
{
	static const double bores[] = {1.1e-3, 1.15e-3, 1.2e-3};
	*q = (question){.air = mild_air(), .place = {mild_air(), mild_air()}};
	q->jets = (jw_jet_set){.mains = 3, .pilots = 1, .pilot = {{.bore_m = 0.4e-3}}};
	for (int i = 0; i < q->jets.mains; i++)
		q->jets.main[i].bore_m = bores[i];
	q->request = (jw_rejet_request){.setup = setup, .air = &q->air, .jets = &q->jets, .grooves = {5, 3, 1e-3}};
}

#define BREAK(name, statement)                                                                                         \
	static void name(question *q)                                                                                      \
	{                                                                                                                  \
		statement;                                                                                                     \
	}
BREAK(too_many_changes, q->request.changes = JW_REJET_CHANGES + 1)
BREAK(fewer_changes_than_none, q->request.changes = -1)
BREAK(too_many_unmeasured, q->request.unmeasureds = JW_UNMEASURED + 1)
BREAK(known_twice, q->request.anchored = 2)
BREAK(fewer_readings_than_none, q->request.readings = -1)
BREAK(lambda_of_a_torch, q->request.target_lambda[JW_FULL] = 1.6)
BREAK(lambda_below_none, q->request.target_lambda[JW_IDLE] = -1)
BREAK(no_number_for_lambda, q->request.target_lambda[JW_HALF] = NAN)
BREAK(too_many_grooves, q->request.grooves.count = JW_REJET_GROOVES + 1)
BREAK(fewer_grooves_than_none, q->request.grooves.count = -1)
BREAK(clip_above_the_top, q->request.grooves.now = 0)
BREAK(clip_below_the_last, q->request.grooves.now = 6)
BREAK(grooves_in_one_place, q->request.grooves.pitch_m = 0)
BREAK(grooves_upside_down, q->request.grooves.pitch_m = -1e-3)
BREAK(no_number_for_the_pitch, q->request.grooves.pitch_m = INFINITY)
BREAK(too_many_mains, q->jets.mains = JW_JETS_MOST + 1)
BREAK(fewer_pilots_than_none, q->jets.pilots = -1)
BREAK(jet_of_no_bore, q->jets.pilot[0].bore_m = 0)
BREAK(jet_twice, q->jets.main[1] = q->jets.main[0])
BREAK(jets_falling, q->jets.main[2].bore_m = 1.12e-3)
BREAK(no_number_for_a_jet, q->jets.main[2].bore_m = NAN)
BREAK(vacuum, q->air.pressure_pa = 0)
BREAK(no_number_for_the_air, q->air.temperature_k = NAN)
BREAK(no_setup, q->request.setup = NULL)
BREAK(no_air, q->request.air = NULL)
BREAK(no_changes, q->request.changes = 1)
BREAK(nothing_unmeasured, q->request.unmeasureds = 1)
BREAK(no_readings, q->request.readings = 1)

static const struct {
	void (*break_it)(question *q);
	jw_status status;
	const char *field;
	double low, high; /* expected */
} refused[] = {
    {too_many_changes, JW_E_RANGE, "changes", 0, JW_REJET_CHANGES},
    {fewer_changes_than_none, JW_E_RANGE, "changes", 0, JW_REJET_CHANGES},
    {too_many_unmeasured, JW_E_RANGE, "unmeasureds", 0, JW_UNMEASURED},
    {known_twice, JW_E_RANGE, "anchored", 0, 1},
    {fewer_readings_than_none, JW_E_RANGE, "readings", 0, INFINITY},
    {lambda_of_a_torch, JW_E_RANGE, "target_lambda", 0.5, 1.5},
    {lambda_below_none, JW_E_RANGE, "target_lambda", 0.5, 1.5},
    {no_number_for_lambda, JW_E_NOT_FINITE, "target_lambda", 0.5, 1.5},
    {too_many_grooves, JW_E_RANGE, "grooves.count", 0, JW_REJET_GROOVES},
    {fewer_grooves_than_none, JW_E_RANGE, "grooves.count", 0, JW_REJET_GROOVES},
    {clip_above_the_top, JW_E_RANGE, "grooves.now", 1, 5},
    {clip_below_the_last, JW_E_RANGE, "grooves.now", 1, 5},
    {grooves_in_one_place, JW_E_RANGE, "grooves.pitch_m", 0.1e-3, 3e-3},
    {grooves_upside_down, JW_E_RANGE, "grooves.pitch_m", 0.1e-3, 3e-3},
    {no_number_for_the_pitch, JW_E_NOT_FINITE, "grooves.pitch_m", 0.1e-3, 3e-3},
    {too_many_mains, JW_E_RANGE, "jets.mains", 0, JW_JETS_MOST},
    {fewer_pilots_than_none, JW_E_RANGE, "jets.pilots", 0, JW_JETS_MOST},
    {jet_of_no_bore, JW_E_RANGE, "jets.bore_m", 0.02e-3, 20e-3},
    {jet_twice, JW_E_RANGE, "jets.bore_m", 1.1e-3, 20e-3},
    {jets_falling, JW_E_RANGE, "jets.bore_m", 1.15e-3, 20e-3},
    {no_number_for_a_jet, JW_E_NOT_FINITE, "jets.bore_m", 1.15e-3, 20e-3},
    {vacuum, JW_E_RANGE, "air.pressure_pa", 20e3, 120e3},
    {no_number_for_the_air, JW_E_NOT_FINITE, "air.temperature_k", 213.15, 353.15},
    {no_setup, JW_E_ARGUMENT, "setup", 0, 0},
    {no_air, JW_E_ARGUMENT, "air", 0, 0},
    {no_changes, JW_E_ARGUMENT, "change", 0, 0},
    {nothing_unmeasured, JW_E_ARGUMENT, "unmeasured", 0, 0},
    {no_readings, JW_E_ARGUMENT, "reading", 0, 0},
};

static void expect_refusal(size_t row, const char *call, jw_status status, const jw_error *error)
{
	cr_expect_eq(status, refused[row].status, "row %zu, %s: %s", row, call, jw_status_name(status));
	cr_expect_str_eq(error->field, refused[row].field, "row %zu, %s", row, call);
	JW_NEAR_ABS(error->low, refused[row].low, 1e-15);
	cr_expect_eq(error->high, refused[row].high, "row %zu, %s", row, call);
}

Test(rejet, each_member_of_a_question_beside_its_range_is_refused_by_name)
{
	const jw_setup setup = scooter();
	question q;
	jw_rejet_answer answer, untouched;
	jw_rejet_plan plan;
	jw_rejet_visits visits;
	memset(&answer, 0x5a, sizeof answer);
	memcpy(&untouched, &answer, sizeof answer);
	for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
		jw_error error = {0};
		ask(&q, &setup);
		refused[i].break_it(&q);
		expect_refusal(i, "jw_rejet", jw_rejet(&q.request, &answer, &error), &error);
		expect_refusal(i, "jw_rejet_plan_over", jw_rejet_plan_over(&q.request, 0, 500, &plan, &error), &error);
		expect_refusal(i, "jw_rejet_plan_for", jw_rejet_plan_for(&q.request, q.place, PLACES, &visits, &error), &error);
	}
	cr_expect_eq(memcmp(&answer, &untouched, sizeof answer), 0);
}

Test(rejet, a_place_without_air_is_refused)
{
	const jw_setup setup = scooter();
	question q;
	jw_rejet_visits visits;
	jw_error error = {0};
	ask(&q, &setup);
	q.place[1].pressure_pa = 0;
	cr_expect_eq(jw_rejet_plan_for(&q.request, q.place, PLACES, &visits, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "air.pressure_pa");
}

/* A needle with one groove has no pitch. */
Test(rejet, what_is_not_read_is_not_checked)
{
	const jw_setup setup = scooter();
	question q;
	jw_rejet_answer answer;
	ask(&q, &setup);
	q.request.grooves = (jw_grooves){1, 1, 0};
	cr_expect(jw_rejet(&q.request, &answer, NULL) >= 0);
	q.request.grooves = (jw_grooves){0, -7, NAN};
	cr_expect(jw_rejet(&q.request, &answer, NULL) >= 0);
}

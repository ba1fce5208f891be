/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several visits to one engine, against Bayes' rule over every way in which it may have gone. */
#include "diagnose/carried.h"
#include "diagnose/log.h"
#include "engine.h"
#include <stdlib.h>
#include <string.h>

static int cause(const char *id)
{
	const int found = jw_cause_find(id);
	cr_assert(found >= 0, "%s", id);
	return found;
}

/* ---- by hand ---- */

/* Two causes, two visits, the first of them mended between, worked out on paper:
 *
 *            before  seen first   joint   mended 0.9       seen then   joint
 *     A       0.60     0.80       0.480   A       0.048      0.05      0.0024
 *     B       0.20     0.10       0.020   B       0.092      0.70      0.0644
 *     both    0.10     0.80       0.080   both    0.008      0.60      0.0048
 *     sound   0.10     0.05       0.005   sound   0.437      0.10      0.0437
 *                                                            sum       0.1153
 * where B is 0.020 that it was, and 0.9 of the 0.080 of both; sound is 0.005 and 0.9 of the 0.480 of A. */
Test(log, two_causes_two_visits_by_hand)
{
	const int a = cause("air_leak"), b = cause("spark_weak"); /* no carburetor is taken apart */
	jw_carried c = {.sound = 0.10 * 0.05};
	int done[JW_CAUSES_MOST] = {0};
	c.alone[a] = 0.60 * 0.80;
	c.alone[b] = 0.20 * 0.10;
	*jw_carried_pair(&c, b, a) = 0.10 * 0.80;
	done[a] = 1;
	JW_NEAR_REL(jw_remedy_holds(a), 0.9, 1e-15);
	cr_assert_eq(jw_carried_repair(done, JW_RESULT_UNKNOWN, &c, NULL), JW_OK);
	JW_NEAR_REL(c.alone[b], 0.092 / 0.585, 1e-12);
	c.alone[a] *= 0.05;
	c.alone[b] *= 0.70;
	*jw_carried_pair(&c, a, b) *= 0.60;
	c.sound *= 0.10;
	cr_assert_eq(jw_carried_normalise(&c, NULL), JW_OK);
	JW_NEAR_REL(c.alone[a], 0.0024 / 0.1153, 1e-12);
	JW_NEAR_REL(c.alone[b], 0.0644 / 0.1153, 1e-12);
	JW_NEAR_REL(jw_carried_both(&c, a, b), 0.0048 / 0.1153, 1e-12);
	JW_NEAR_REL(c.sound, 0.0437 / 0.1153, 1e-12);
	JW_NEAR_REL(jw_carried_marginal(&c, b), (0.0644 + 0.0048) / 0.1153, 1e-12);
}

/* ---- every way it may have gone ---- */

enum { PILOT = 1, MAIN = 2, SPOILT = 4, SETS = 8 };

/* The same figures over sets of faults as bits: which of them were there, which the repair took, whether the carburetor
 * was put together wrongly. At most two at once. */
static void enumerate(const double *before, unsigned tried, double spoils, const double (*result)[2], double *after)
{
	memset(after, 0, SETS * sizeof *after);
	for (unsigned had = 0; had < SETS; had++)
		for (unsigned took = 0; took < SPOILT; took++)
			for (unsigned spoilt = 0; spoilt <= SPOILT; spoilt += SPOILT) {
				const unsigned left = (had & ~took) | spoilt;
				double p = before[had];
				if ((took & had & tried) != took)
					continue;
				for (unsigned bit = PILOT; bit <= MAIN; bit <<= 1)
					if (had & tried & bit)
						p *= took & bit ? 0.9 : 0.1;
				const int room = (had & ~took) != (PILOT | MAIN) && !(had & SPOILT);
				p *= !room ? (spoilt ? 0 : 1) : spoilt ? spoils : 1 - spoils;
				after[left] += p * result[took != 0][left != 0];
			}
}

static double *place_of_set(jw_carried *c, unsigned set)
{
	const int p = cause("pilot_jet_restricted"), m = cause("main_jet_restricted"), s = cause("reassembly_error");
	switch (set) {
	case 0:
		return &c->sound;
	case PILOT:
		return &c->alone[p];
	case MAIN:
		return &c->alone[m];
	case SPOILT:
		return &c->alone[s];
	case PILOT | MAIN:
		return jw_carried_pair(c, p, m);
	case PILOT | SPOILT:
		return jw_carried_pair(c, s, p);
	case MAIN | SPOILT:
		return jw_carried_pair(c, m, s);
	default:
		return NULL;
	}
}

/* How often a retest comes out so, by whether a fault was removed and whether one is left (common practice, no source);
 * of a result that is not noted: nothing. */
static const double results[JW_RESULT_COUNT][2][2] = {
    [JW_RESULT_UNKNOWN] = {{1, 1}, {1, 1}},
    [JW_RESULT_GONE] = {{0.75, 0.05}, {0.96, 0.25}},
    [JW_RESULT_PART] = {{0.10, 0.10}, {0.02, 0.60}},
    [JW_RESULT_SAME] = {{0.15, 0.85}, {0.02, 0.15}},
};

/* So that the figures above are probabilities; the next test finds the code to have the same. */
Test(log, one_of_the_results_comes_out)
{
	for (int removed = 0; removed < 2; removed++)
		for (int left = 0; left < 2; left++) {
			double sum = 0;
			for (int r = JW_RESULT_GONE; r <= JW_RESULT_SAME; r++)
				sum += results[r][removed][left];
			JW_NEAR_ABS(sum, 1, 1e-15);
		}
}

Test(log, every_way_it_may_have_gone)
{
	static const double odds[SETS] = {0.05, 0.5, 0.2, 0.02, 0.2, 0.02, 0.01};
	static const double likely[2][SETS] = {{0.05, 0.6, 0.2, 0.1, 0.5, 0.5, 0.2}, {0.1, 0.05, 0.7, 0.3, 0.6, 0.2, 0.65}};
	static const unsigned tried[] = {PILOT, MAIN, PILOT | MAIN};
	for (size_t i = 0; i < JW_RESULT_COUNT * sizeof tried / sizeof *tried; i++) {
		const size_t t = i / JW_RESULT_COUNT;
		const jw_result result = (jw_result)(i % JW_RESULT_COUNT);
		double before[SETS], after[SETS], sum = 0;
		int done[JW_CAUSES_MOST] = {0};
		jw_carried c = {.sound = 0};
		done[cause("pilot_jet_restricted")] = (tried[t] & PILOT) != 0;
		done[cause("main_jet_restricted")] = (tried[t] & MAIN) != 0;
		for (unsigned set = 0; set < SETS; set++) {
			before[set] = set == SETS - 1 ? 0 : odds[set] * likely[0][set];
			if (set < SETS - 1)
				*place_of_set(&c, set) = before[set];
		}
		enumerate(before, tried[t], 0.03, results[result], after);
		cr_assert_eq(jw_carried_repair(done, result, &c, NULL), JW_OK);
		for (unsigned set = 0; set < SETS - 1; set++) {
			*place_of_set(&c, set) *= likely[1][set];
			sum += after[set] *= likely[1][set];
		}
		cr_assert_eq(jw_carried_normalise(&c, NULL), JW_OK);
		for (unsigned set = 0; set < SETS - 1; set++)
			JW_NEAR_ABS(*place_of_set(&c, set), after[set] / sum, 1e-12);
	}
}

/* A result that tells how it went: gone leaves little, a part leaves the second fault. */
Test(log, results_tell_how_it_went)
{
	const int p = cause("pilot_jet_restricted"), m = cause("main_jet_restricted");
	int done[JW_CAUSES_MOST] = {0};
	done[p] = 1;
	double sound[JW_RESULT_COUNT], second[JW_RESULT_COUNT], same[JW_RESULT_COUNT];
	for (int r = 0; r < JW_RESULT_COUNT; r++) {
		jw_carried c = {.other = 0.05};
		c.alone[p] = 0.65;
		*jw_carried_pair(&c, p, m) = 0.3;
		cr_assert_eq(jw_carried_repair(done, (jw_result)r, &c, NULL), JW_OK);
		double sum = c.sound + c.other;
		for (int i = 0; i < JW_CAUSES_MOST; i++)
			for (int j = i; j < JW_CAUSES_MOST; j++)
				sum += i == j ? c.alone[i] : c.pair[i][j];
		JW_NEAR_REL(sum, 1, 1e-12);
		sound[r] = c.sound;
		second[r] = c.alone[m];
		same[r] = jw_carried_marginal(&c, p);
	}
	cr_expect(sound[JW_RESULT_GONE] > sound[JW_RESULT_UNKNOWN] && sound[JW_RESULT_GONE] > 0.8);
	cr_expect(second[JW_RESULT_PART] > 0.5 && second[JW_RESULT_PART] > second[JW_RESULT_UNKNOWN]);
	cr_expect(same[JW_RESULT_SAME] > 0.4 && same[JW_RESULT_SAME] > same[JW_RESULT_UNKNOWN]);
	cr_expect(same[JW_RESULT_GONE] < same[JW_RESULT_UNKNOWN]);
}

/* What the list has no name for stays as it was, as does a fault that the repair is not for. */
Test(log, what_is_unnamed_outlives_a_repair)
{
	const int leak = cause("air_leak"), spark = cause("spark_weak"); /* no carburetor is taken apart */
	int done[JW_CAUSES_MOST] = {0};
	done[leak] = 1;
	for (int r = 0; r < JW_RESULT_COUNT; r++) {
		jw_carried c = {.other = 0.2};
		c.alone[leak] = 0.5;
		c.alone[spark] = 0.3;
		cr_assert_eq(jw_carried_repair(done, (jw_result)r, &c, NULL), JW_OK);
		JW_NEAR_REL(c.other / c.alone[spark], 0.2 / 0.3, 1e-12);
	}
}

Test(log, a_sound_engine_fails_in_time)
{
	double odds[JW_CAUSES_MOST] = {0};
	odds[0] = 3;
	odds[1] = 1;
	jw_carried day = {.sound = 0.8}, years = day;
	day.alone[1] = years.alone[1] = 0.2;
	jw_carried_wait(0, odds, &day);
	jw_carried_wait(7000, odds, &years);
	cr_expect(day.sound > 0.795 && day.sound < 0.8);
	JW_NEAR_ABS(years.sound, 0.8 * exp(-10), 1e-15);
	JW_NEAR_REL(years.alone[0], 3 * (years.alone[1] - 0.2), 1e-12);
	JW_NEAR_REL(years.sound + years.alone[0] + years.alone[1], 1, 1e-12);
}

/* ---- through the whole diagnosis ---- */

static void see_at(jw_visit *visit, const char *id, jw_range range)
{
	visit->evidence[visit->evidences++] = (jw_evidence){.kind = jw_evidence_kind_find(id), .range = range};
}

static const char *const first_words[] = {"starts_only_with_enrichener", "hunts", "stumbles"};
static const jw_range first_ranges[] = {JW_IDLE, JW_IDLE, JW_OFF_IDLE};

static jw_log first_visit(void)
{
	jw_log log = {.visits = 1};
	for (int i = 0; i < 3; i++)
		see_at(&log.visit[0], first_words[i], first_ranges[i]);
	return log;
}

static jw_report *explained_log(const jw_setup *setup, const jw_case *known, const jw_log *log, jw_course *course)
{
	jw_report *report = NULL;
	jw_error error = {0};
	jw_status status = jw_explain_log(setup, known, log, &report, course, &error);
	cr_assert(status >= 0, "%s: %s", jw_status_name(status), error.field ? error.field : "");
	return report;
}

static void expect_same(const jw_report *one, const jw_report *other)
{
	cr_assert_eq(jw_report_hypotheses(one), jw_report_hypotheses(other));
	for (int i = 0; i < jw_report_hypotheses(one); i++) {
		const jw_hypothesis *a = jw_report_hypothesis(one, i), *b = jw_report_hypothesis(other, i);
		cr_expect(a->kind == b->kind && a->cause[0] == b->cause[0] && a->probability == b->probability, "%d", i);
	}
}

/* One visit is a case; a remedy after which all stayed as it was is one done in vain; evidence of two visits with no
 * repair between is weighed together. */
Test(log, what_is_one_engine_is_weighed_as_one)
{
	const jw_setup setup = scooter();
	jw_case known = {.air = mild_air(), .history = {.months_standing = 4}}, pooled = known;
	jw_log log = first_visit();
	for (int i = 0; i < 3; i++)
		see(&pooled, first_words[i], first_ranges[i]);
	jw_report *one = explained_log(&setup, &known, &log, NULL), *other = explained(&setup, &pooled);
	expect_same(one, other);
	jw_report_free(one);
	jw_report_free(other);

	log.visit[0].done[cause("pilot_jet_restricted")] = 1;
	log.visit[0].result = JW_RESULT_SAME;
	log.visit[1].day = 3;
	see_at(&log.visit[1], "runs_well", JW_FULL);
	log.visits = 2;
	see(&pooled, "runs_well", JW_FULL);
	pooled.history.mended[cause("pilot_jet_restricted")] = 1;
	jw_course course;
	one = explained_log(&setup, &known, &log, &course);
	other = explained(&setup, &pooled);
	expect_same(one, other);
	cr_expect(course.beliefs == 3 && course.first == 0 && course.present.evidences == 4);
	cr_expect(course.belief[1].done && course.belief[1].visit == 0 && !course.belief[2].done);
	jw_report_free(one);
	jw_report_free(other);
}

static void weigh(const jw_setup *setup, const jw_case *known, const jw_carried *carried, jw_beliefs *b)
{
	memset(b, 0, sizeof *b);
	cr_assert(jw_inquiry_open(setup, known, &b->inquiry, NULL) >= 0);
	b->inquiry.carried = carried;
	cr_assert(jw_weigh_all(b, NULL) >= 0);
}

/* Two causes after two visits and a repair stand to each other as what was carried times how well each tells the new
 * evidence, which flat odds show alone. */
Test(log, what_is_carried_stands_for_the_odds)
{
	const jw_setup setup = scooter();
	const jw_case known = {.air = mild_air(), .history = {.months_standing = 4}};
	jw_case first = known, then = known;
	jw_log log = first_visit();
	for (int i = 0; i < 3; i++)
		see(&first, first_words[i], first_ranges[i]);
	log.visit[0].done[cause("pilot_jet_restricted")] = 1;
	log.visit[1].day = 0;
	see_at(&log.visit[1], "flat", JW_FULL);
	log.visits = 2;
	see(&then, "flat", JW_FULL);

	jw_beliefs *b = malloc(sizeof *b);
	jw_carried c;
	weigh(&setup, &first, NULL, b);
	cr_assert_eq(jw_log_learn(b, &c, NULL), JW_OK);
	JW_NEAR_REL(c.other / c.sound, b->other / b->sound, 1e-12);
	for (int i = 0; i < b->candidates; i++)
		JW_NEAR_REL(c.alone[b->candidate[i].cause] / c.sound, b->candidate[i].weight / b->sound, 1e-9);
	cr_assert_eq(jw_carried_repair(log.visit[0].done, JW_RESULT_UNKNOWN, &c, NULL), JW_OK);
	free(b);
	double odds[JW_CAUSES_MOST];
	for (int i = 0; i < jw_cause_count(); i++) {
		const jw_cause_row *row = jw_cause_row_at(i);
		odds[i] = jw_cause_possible(&setup, row) && !row->rejet ? row->odds : 0;
	}
	jw_carried_wait(0, odds, &c);

	then.history.flat = 1;
	jw_report *plain = explained(&setup, &then), *log_report = explained_log(&setup, &known, &log, NULL);
	static const char *const pairs[][2] = {{"main_jet_restricted", "exhaust_blocked"},
	                                       {"needle_too_low", "air_filter_blocked"}};
	for (size_t i = 0; i < 2; i++) {
		const char *one = pairs[i][0], *other = pairs[i][1];
		const double told = hypothesis_of(plain, one, NULL) / hypothesis_of(plain, other, NULL);
		JW_NEAR_REL(hypothesis_of(log_report, one, NULL) / hypothesis_of(log_report, other, NULL),
		            told * c.alone[cause(one)] / c.alone[cause(other)], 1e-9);
	}
	jw_report_free(plain);
	jw_report_free(log_report);
}

/* The second fault is found once the first is mended; what spoke of the first speaks no more; after the second nothing
 * is wrong, which a good retest makes surer. */
Test(log, one_fault_after_another)
{
	const jw_setup setup = scooter();
	const jw_case known = {.air = mild_air(), .history = {.months_standing = 4}};
	const int pilot = cause("pilot_jet_restricted"), main_jet = cause("main_jet_restricted");
	jw_log log = first_visit();
	jw_course course;
	log.visit[0].done[pilot] = 1;
	log.visit[0].result = JW_RESULT_PART;
	log.visits = 2;
	log.visit[1].day = 2;
	see_at(&log.visit[1], "idles_well", JW_IDLE);
	see_at(&log.visit[1], "runs_well", JW_OFF_IDLE);
	see_at(&log.visit[1], "flat", JW_FULL);
	see_at(&log.visit[1], "surges", JW_THREE_QUARTER);
	see_at(&log.visit[1], "enrichener_helps", JW_FULL);
	jw_report *report = explained_log(&setup, &known, &log, &course);
	cr_expect_str_eq(cause_of(report, 0), "main_jet_restricted");
	cr_expect(probability_of(report, "pilot_jet_restricted") < 0.05);
	cr_expect(course.first == 1 && course.present.evidences == 5 && course.beliefs == 3);
	cr_expect(course.belief[0].cause == pilot && course.belief[2].cause == main_jet);
	jw_report_free(report);

	log.visit[1].done[main_jet] = 1;
	log.visit[1].result = JW_RESULT_GONE;
	report = explained_log(&setup, &known, &log, &course);
	cr_expect(course.present.evidences == 0 && course.first == 2 && course.beliefs == 4);
	cr_expect_eq(course.belief[3].led, JW_HYPOTHESIS_SOUND);
	cr_expect_eq(jw_report_hypothesis(report, 0)->kind, JW_HYPOTHESIS_SOUND);
	const double before = jw_report_hypothesis(report, 0)->probability;
	jw_report_free(report);

	log.visits = 3;
	log.visit[2].day = 2;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		see_at(&log.visit[2], "runs_well", (jw_range)r);
	report = explained_log(&setup, &known, &log, &course);
	cr_expect_eq(jw_report_hypothesis(report, 0)->kind, JW_HYPOTHESIS_SOUND);
	cr_expect(jw_report_hypothesis(report, 0)->probability > before);
	jw_report_free(report);
}

/* A carburetor that was open may have been put together wrongly; a plug that was changed leaves it alone. */
Test(log, taking_apart_may_spoil)
{
	const jw_setup setup = scooter();
	const jw_case known = {.air = mild_air(), .history = {.months_standing = 0}};
	double spoilt[2];
	for (int opened = 0; opened < 2; opened++) {
		jw_log log = first_visit();
		log.visit[0].done[cause(opened ? "pilot_jet_restricted" : "spark_weak")] = 1;
		log.visits = 2;
		see_at(&log.visit[1], "after_reassembly", JW_IDLE);
		see_at(&log.visit[1], "hunts", JW_IDLE);
		jw_report *report = explained_log(&setup, &known, &log, NULL);
		spoilt[opened] = hypothesis_of(report, "reassembly_error", NULL);
		jw_report_free(report);
	}
	cr_expect(spoilt[1] > 1.5 * spoilt[0], "%g %g", spoilt[0], spoilt[1]);
}

Test(log, refuses_what_is_no_log)
{
	const jw_setup setup = scooter();
	const jw_case known = {.air = mild_air()};
	jw_report *report = NULL;
	jw_log none = first_visit(), many = none, falling = none, unseen = none, full = none, unknown = none,
	       negative = none;
	jw_error error;
	none.visits = 0;
	many.visits = JW_VISITS_MOST + 1;
	falling.visits = 2;
	falling.visit[0].day = 5;
	falling.visit[1].day = 4;
	unseen.visit[0].evidences = 0;
	full.visits = 2;
	full.visit[1].evidences = JW_EVIDENCE_MAX;
	unknown.visit[0].result = JW_RESULT_COUNT;
	negative.visits = 2;
	negative.visit[1].evidences = -1;
	const struct {
		const jw_log *log;
		jw_status status;
		const char *field;
	} refused[] = {{&none, JW_E_ARGUMENT, "log.visits"},    {&many, JW_E_ARGUMENT, "log.visits"},
	               {&falling, JW_E_RANGE, "log.day"},       {&unseen, JW_E_ARGUMENT, "evidences"},
	               {&full, JW_E_RANGE, "log.evidences"},    {&unknown, JW_E_ARGUMENT, "log.result"},
	               {&negative, JW_E_RANGE, "log.evidences"}};
	for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
		cr_expect_eq(jw_explain_log(&setup, &known, refused[i].log, &report, NULL, &error), refused[i].status, "%zu",
		             i);
		cr_expect_str_eq(error.field, refused[i].field);
		cr_expect_null(report);
	}
}

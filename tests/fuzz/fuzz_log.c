/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any visits to a sound engine: explained or refused, and probabilities are such. */
#include "evidence.h"

enum { VISITS = 3, EVIDENCES = 3 };

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "moped-50", "pump-200")

static void take_visit(bytes *b, jw_visit *visit, int day)
{
	visit->day = take_byte(b) % 4 ? day : take_byte(b) % 2 ? JW_DAY_UNKNOWN : (int)(take_byte(b) << 8 | take_byte(b));
	visit->evidences = (int)(take_byte(b) % (EVIDENCES + 1));
	for (int i = 0; i < visit->evidences; i++)
		visit->evidence[i] = take_evidence(b);
	for (unsigned done = take_byte(b) % 3; done; done--)
		visit->done[take_byte(b) % JW_CAUSES_MOST] = 1;
	visit->result = (jw_result)take_whole(b, JW_RESULT_COUNT);
}

static void check_course(const jw_course *course, int visits)
{
	require(course->beliefs >= 0 && course->beliefs <= 2 * visits);
	require(course->first >= 0 && course->first <= visits);
	for (int i = 0; i < course->beliefs; i++) {
		const jw_belief *belief = &course->belief[i];
		require(belief->visit >= 0 && belief->visit < visits && belief->cause < jw_cause_count());
		require(belief->probability >= 0 && belief->probability <= 1 + 1e-9);
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static jw_case known, present;
	static jw_log log;
	static jw_course course;
	bytes b = {data, data + size};
	jw_report *report = NULL;
	memset(&known, 0, sizeof known);
	memset(&log, 0, sizeof log);
	const jw_setup *setup = &setups[take_byte(&b) % 3];
	known.air = take_air(&b);
	take_history(&b, &known.history);
	log.visits = (int)(take_byte(&b) % (VISITS + 1));
	for (int i = 0; i < log.visits; i++)
		take_visit(&b, &log.visit[i], 20000 + i);
	if (jw_log_present(&known, &log, &present, NULL) >= 0)
		require(present.evidences >= 0 && present.evidences <= JW_EVIDENCE_MAX);
	jw_status status = jw_explain_log(setup, &known, &log, &report, &course, NULL);
	require((status >= 0) == (report != NULL));
	if (report) {
		check_report(report);
		check_course(&course, log.visits);
	}
	jw_report_free(report);
	return 0;
}

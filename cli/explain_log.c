/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How belief moved over the visits of a case. */
#include "explain.h"
#include "progress.h"
#include <string.h>

static const char *const result_texts[JW_RESULT_COUNT] = {
    [JW_RESULT_UNKNOWN] = "not tried yet",
    [JW_RESULT_GONE] = "complaint gone",
    [JW_RESULT_PART] = "a part stays",
    [JW_RESULT_SAME] = "in vain",
};

/* With more visits it takes longer than anybody waits without a word. */
enum { QUICK = 3 };

jw_status weigh_log(const jw_setup *healthy, const jw_case *known, const jw_log *log, jw_report **report,
                    jw_course *course, jw_error *error)
{
	progress_begin("Weighing visit by visit", 1, 0);
	if (log->visits > QUICK)
		progress_step();
	const jw_status status = jw_explain_log(healthy, known, log, report, course, error);
	progress_end();
	return status;
}

int done_any(const jw_visit *visit)
{
	for (int c = 0; c < jw_cause_count(); c++)
		if (visit->done[c])
			return 1;
	return 0;
}

int tells_course(const answer *a)
{
	return a->log->visits > 1 || done_any(&a->log->visit[0]);
}

/* So many remedies of a visit have room in a row. */
enum { NAMED = 2 };

/* "clean pilot jet, set float and 2 more: a part stays" */
static sentence done_text(const jw_visit *visit)
{
	sentence text = {""};
	size_t used = 0;
	int done = 0;
	for (int c = 0; c < jw_cause_count(); c++)
		if (visit->done[c] && done++ < NAMED)
			used += (size_t)snprintf(text.text + used, sizeof text.text - used, "%s%s %s", used ? ", " : "",
			                         jw_cause_at(c)->action, jw_cause_at(c)->part);
	if (done > NAMED)
		used += (size_t)snprintf(text.text + used, sizeof text.text - used, " and %d more", done - NAMED);
	snprintf(text.text + used, sizeof text.text - used, ": %s", result_texts[visit->result]);
	return text;
}

static sentence seen_text(const jw_visit *visit)
{
	sentence text;
	snprintf(text.text, sizeof text.text, "%d thing%s seen", visit->evidences, visit->evidences == 1 ? "" : "s");
	return text;
}

static sentence event_text(const jw_log *log, const jw_belief *belief)
{
	const jw_visit *visit = &log->visit[belief->visit];
	return belief->done ? done_text(visit) : seen_text(visit);
}

static sentence led_text(const answer *a, const jw_belief *belief)
{
	return hypothesis_text(a, &(jw_hypothesis){belief->led, {belief->cause, -1}, belief->probability});
}

void print_course(const answer *a)
{
	cli_table table = {.left = 1u << 1 | 1u << 2};
	if (!tells_course(a))
		return;
	page_heading(a->page, "What was thought after each visit, and how sure that was:");
	table_heading(&table, (const char *const[]){"", "seen or done", "what led then", "how sure"}, 4);
	for (int i = 0; i < a->course->beliefs; i++) {
		const jw_belief *belief = &a->course->belief[i];
		char date[JW_DATE_SIZE];
		const int repeats = i > 0 && a->course->belief[i - 1].visit == belief->visit;
		jw_date_write(a->log->visit[belief->visit].day, date);
		table_cell(&table, "%s", repeats ? "" : date);
		table_cell(&table, "%s", event_text(a->log, belief).text);
		table_cell(&table, "%s", led_text(a, belief).text);
		table_cell(&table, "%.2f", belief->probability);
		table_row_end(&table);
	}
	page_table(a->page, &table);
	page_gap(a->page);
}

void json_course(cli_json *json, const answer *a)
{
	json_array(json, "course");
	for (int i = 0; i < a->course->beliefs; i++) {
		const jw_belief *belief = &a->course->belief[i];
		const jw_visit *visit = &a->log->visit[belief->visit];
		char date[JW_DATE_SIZE];
		jw_date_write(visit->day, date);
		json_object(json, NULL);
		if (*date)
			json_text(json, "date", date);
		else
			json_null(json, "date");
		json_array(json, "done");
		for (int c = 0; c < jw_cause_count(); c++)
			if (belief->done && visit->done[c])
				json_text(json, NULL, jw_cause_at(c)->id);
		json_array_end(json);
		if (belief->done)
			json_text(json, "result", jw_result_name(visit->result));
		else
			json_null(json, "result");
		json_text(json, "led",
		          belief->cause >= 0                   ? jw_cause_at(belief->cause)->id
		          : belief->led == JW_HYPOTHESIS_SOUND ? "sound"
		                                               : "other");
		json_number(json, "probability", belief->probability);
		json_object_end(json);
	}
	json_array_end(json);
}

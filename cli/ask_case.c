/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The case behind a conversation: read from its file, and written back whole. */
#include "ask.h"
#include "commands.h"
#include "files.h"
#include "save.h"
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

enum { DIGITS = 6, CASE_SIZE = 128 * 1024 };

typedef struct buffer {
	char *text;
	size_t used, size;
} buffer;

static void put(buffer *p, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void put(buffer *p, const char *format, ...)
{
	va_list list;
	va_start(list, format);
	const int length = vsnprintf(p->text + p->used, p->size - p->used, format, list);
	va_end(list);
	p->used += (size_t)length < p->size - p->used ? (size_t)length : p->size - p->used - 1;
}

/* ---- visits ---- */

const jw_visit *draft_last(const draft *d)
{
	return d->log.visits ? &d->log.visit[d->log.visits - 1] : NULL;
}

/* Over once its remedies are tried, or another day has come. */
static int is_over(const jw_visit *visit, int today)
{
	return (done_any(visit) && visit->result != JW_RESULT_UNKNOWN) ||
	       (visit->evidences && visit->day != today && !done_any(visit));
}

jw_visit *draft_visit(draft *d)
{
	const jw_visit *last = draft_last(d);
	if (last && !is_over(last, d->today))
		return &d->log.visit[d->log.visits - 1];
	if (d->log.visits == JW_VISITS_MOST)
		return NULL;
	jw_visit *visit = &d->log.visit[d->log.visits++];
	memset(visit, 0, sizeof *visit);
	visit->day = last && last->day > d->today ? last->day : d->today;
	return visit;
}

int draft_is_full(const draft *d)
{
	const jw_visit *last = draft_last(d);
	if (last && is_over(last, d->today))
		return d->log.visits == JW_VISITS_MOST;
	return last && last->evidences + JW_RANGE_COUNT > JW_EVIDENCE_MAX;
}

int draft_adds(draft *d, int kind, jw_range range, jw_answer seen, double value)
{
	jw_visit *visit = draft_visit(d);
	if (!visit || visit->evidences == JW_EVIDENCE_MAX)
		return 0;
	visit->evidence[visit->evidences++] = (jw_evidence){.kind = kind, .range = range, .value = value, .answer = seen};
	return 1;
}

/* ---- writing ---- */

static void put_quantity(buffer *p, const char *key, double si, const jw_evidence_unit *unit)
{
	put(p, ", %s: %.*g%s%s", key, DIGITS, si / unit->si, *unit->unit ? " " : "", unit->unit);
}

static void put_seen(buffer *p, const jw_evidence *seen)
{
	const jw_evidence_kind *kind = jw_evidence_kind_at(seen->kind);
	const jw_evidence_unit *unit = jw_evidence_unit_of(seen->kind);
	put(p, "      - {seen: %s", kind->id);
	if (kind->takes_range)
		put(p, ", at: %s", jw_range_name(seen->range));
	if (seen->answer != JW_YES)
		put(p, ", answer: %s", jw_answer_name(seen->answer));
	if (unit && seen->answer == JW_YES)
		put_quantity(p, "value", seen->value, unit);
	if (unit && seen->answer == JW_YES && seen->uncertainty > 0)
		put_quantity(p, "uncertainty", seen->uncertainty, unit);
	put(p, "}");
}

/* The comments of a piece of evidence: those before it, or those beside it. */
static void put_remarks(const draft *d, buffer *p, int evidence, int beside)
{
	for (int i = 0; i < d->remarks.count; i++)
		if (d->remarks.item[i].evidence == evidence && d->remarks.item[i].beside == beside)
			put(p, beside ? " %s" : "      %s\n", d->remarks.text + d->remarks.item[i].text);
}

static void put_done(buffer *p, const jw_visit *visit)
{
	int put_any = 0;
	for (int c = 0; c < jw_cause_count(); c++)
		if (visit->done[c])
			put(p, "%s%s", put_any++ ? ", " : "    done: [", jw_cause_at(c)->id);
	if (put_any)
		put(p, "]\n    result: %s\n", jw_result_name(visit->result));
}

/* \param told pieces of evidence of the visits before it \return with those of this one */
static int put_visit(const draft *d, buffer *p, const jw_visit *visit, int told)
{
	/* What is not looked for says nothing, and holds the place of what is not told yet. */
	static const jw_evidence nothing = {.range = JW_FULL, .answer = JW_UNKNOWN};
	char date[JW_DATE_SIZE];
	jw_date_write(visit->day, date);
	put(p, *date ? "  - date: %s\n    evidence:\n" : "  - evidence:\n", date);
	for (int i = 0; i < visit->evidences; i++, told++) {
		put_remarks(d, p, told, 0);
		put_seen(p, &visit->evidence[i]);
		put_remarks(d, p, told, 1);
		put(p, "\n");
	}
	if (!visit->evidences) {
		put_seen(p, &nothing);
		put(p, "\n");
	}
	put_done(p, visit);
	return told;
}

static void put_history(const draft *d, buffer *p)
{
	int any = 0;
	put(p, "history: {");
	if (d->months >= 0)
		put(p, "months_standing: %.*g%s", DIGITS, d->months, d->changed_told ? ", " : "");
	if (d->changed_told)
		put(p, "changed: [");
	for (int i = 0; i < JW_CHANGE_KIND_COUNT && d->changed_told; i++)
		if (d->changed[i])
			put(p, "%s%s", any++ ? ", " : "", jw_change_name((jw_change_kind)i));
	put(p, "%s}\n", d->changed_told ? "]" : "");
}

/* The whole case as the text of a file, the caller's to free; NULL without memory. */
static char *write_case(const draft *d)
{
	buffer p = {malloc(CASE_SIZE), 0, CASE_SIZE};
	static const jw_visit none = {.day = JW_DAY_UNKNOWN};
	int told = 0;
	if (!p.text)
		return NULL;
	put(&p, "%s%s%s", d->head, d->engine, *d->engine ? "\n" : "");
	if (!d->history_told && (d->changed_told || (d->months_told && d->months >= 0)))
		put_history(d, &p);
	put(&p, "visits:\n");
	for (int v = 0; v < d->log.visits; v++)
		told = put_visit(d, &p, &d->log.visit[v], told);
	if (!d->log.visits)
		put_visit(d, &p, &none, told);
	put_remarks(d, &p, told, 0);
	return p.text;
}

static void write_text(FILE *out, const void *content)
{
	fputs(content, out);
}

int draft_save(const draft *d, const char *path, save_stamp *stamp)
{
	char *text = write_case(d);
	if (!text)
		return 0;
	const int code = save_file_stamped(&explain_command, path, write_text, text, stamp);
	free(text);
	return code == ANSWERED;
}

/* ---- reading ---- */

void draft_begin(draft *d, int today, const char *head)
{
	char date[JW_DATE_SIZE];
	memset(d, 0, sizeof *d);
	d->today = today;
	d->months = -1;
	jw_date_write(today, date);
	snprintf(d->head, sizeof d->head, "case: 1\nabout: Asked on %s.\n%s", date, head);
}

static int begins(const char *line, const char *key)
{
	const size_t length = strlen(key);
	return strncmp(line, key, length) == 0 && line[length] == ':';
}

/* Whether a line goes on with the key above it. */
static int goes_on(const char *line)
{
	return strchr(" \t-]}#\r\n", *line) != NULL;
}

/* Where the comment of a line begins: after a blank and outside quotes; NULL: it has none. */
static const char *comment_of(const char *line)
{
	char quote = '\0';
	for (const char *c = line; *c; c++) {
		const int begins = c == line || strchr(" \t[{,:", c[-1]) != NULL;
		if (quote)
			quote = *c == quote ? '\0' : quote;
		else if (begins && (*c == '"' || *c == '\''))
			quote = *c;
		else if (*c == '#' && (c == line || c[-1] == ' ' || c[-1] == '\t'))
			return c;
	}
	return NULL;
}

static void keep_remark(remarks *r, const char *text, int evidence, int beside)
{
	const size_t length = strcspn(text, "\r\n");
	if (r->count == REMARKS || r->used + length + 1 > sizeof r->text) {
		r->left_out++;
		return;
	}
	snprintf(r->text + r->used, length + 1, "%s", text);
	r->item[r->count].text = r->used;
	r->item[r->count].evidence = evidence;
	r->item[r->count++].beside = beside;
	r->used += length + 1;
}

/* The comment of a line among evidence. \param told pieces of evidence before it \return with those of the line */
static int take_remark(remarks *r, const char *line, int told)
{
	const char *comment = comment_of(line);
	int here = 0;
	for (const char *c = line; (c = strstr(c, "seen:")) && (!comment || c < comment); c++)
		here++;
	if (comment)
		keep_remark(r, comment, here ? told + here - 1 : told, here > 0);
	return told + here;
}

static int says_anything(const jw_case *present)
{
	for (int i = 0; i < present->evidences; i++)
		if (present->evidence[i].answer != JW_UNKNOWN)
			return 1;
	return 0;
}

/* Whether a line is the history of a conversation that was left after its first half; then that half is taken. */
static int takes_half(draft *d, const char *line)
{
	int end = 0;
	double months;
	if (sscanf(line, "history: {months_standing: %lf}%n", &months, &end) != 1 || !end || line[end] != '\n')
		return 0;
	d->months = months;
	d->months_told = 1;
	return 1;
}

/* Everything but evidence and visits, as it stands; of these the comments. */
static int read_head(draft *d, const char *path, int asks_history)
{
	char line[8192];
	size_t used = 0;
	int inside = 0, fits = 1, told = 0;
	FILE *file = fopen(path, "r");
	if (!file)
		return 0;
	while (fits && fgets(line, sizeof line, file)) {
		inside = begins(line, "evidence") || begins(line, "visits") || (inside && goes_on(line));
		if (inside) {
			told = take_remark(&d->remarks, line, told);
			continue;
		}
		if (asks_history && takes_half(d, line))
			continue;
		const size_t length = strlen(line);
		d->engine_told |= begins(line, "profile") || begins(line, "class");
		d->history_told |= begins(line, "history");
		fits = used + length + 2 < sizeof d->head;
		if (fits)
			memcpy(d->head + used, line, length + 1);
		used += fits ? length : 0;
	}
	fclose(file);
	if (used && d->head[used - 1] != '\n')
		strcpy(d->head + used, "\n");
	return fits && used > 0 && !d->remarks.left_out;
}

/* Evidence that says nothing is not kept: it held a place. */
static void drop_places(draft *d)
{
	jw_log *log = &d->log;
	int told = 0;
	for (int v = 0; v < log->visits; v++) {
		jw_visit *visit = &log->visit[v];
		const jw_evidence *only = &visit->evidence[0];
		if (visit->evidences == 1 && only->kind == 0 && only->answer == JW_UNKNOWN) {
			visit->evidences = 0;
			for (int i = 0; i < d->remarks.count; i++)
				d->remarks.item[i].evidence -= d->remarks.item[i].evidence > told;
		}
		told += visit->evidences;
	}
	if (log->visits == 1 && !log->visit[0].evidences)
		log->visits = 0;
}

/* Whether what would be written reads back as what was read. */
static int reads_back(const draft *d, const jw_case_file *file, const char *library)
{
	char *text = write_case(d);
	jw_case_file *back = NULL;
	jw_faults faults;
	int same = 0;
	if (!text)
		return 0;
	if (jw_case_parse(text, library, &back, &faults) >= 0) {
		const jw_case *one = jw_case_evidence(file), *other = jw_case_evidence(back);
		same = one->evidences == other->evidences && jw_case_log(file)->visits == jw_case_log(back)->visits &&
		       one->history.months_standing == other->history.months_standing &&
		       strcmp(jw_profile_name(jw_case_profile(file)), jw_profile_name(jw_case_profile(back))) == 0;
	}
	jw_case_free(back);
	free(text);
	return same;
}

int draft_load(draft *d, const char *path, const char *library, int today)
{
	const cli_place place = find_place("cases", path);
	jw_case_file *file = NULL;
	jw_faults faults = {0};
	draft_begin(d, today, "");
	const jw_status status = jw_case_load(place.path, place_library(&place), &file, &faults);
	if (status < 0) {
		report_faults(&place, status, &faults);
		return 0;
	}
	d->log = *jw_case_log(file);
	const int told = says_anything(jw_case_evidence(file));
	int whole = read_head(d, place.path, !told) && reads_back(d, file, library);
	if (d->remarks.left_out)
		fprintf(stderr, "jetwright explain: %s: %d comments too many to be kept, expected at most %d of %d bytes\n",
		        path, d->remarks.left_out, REMARKS, REMARKS_SIZE);
	else if (!whole)
		fprintf(stderr, "jetwright explain: %s: cannot be kept as it is, expected each key at the start of a line\n",
		        path);
	d->runs_told = told;
	d->rest_told = d->runs_told || draft_last(d)->result == JW_RESULT_GONE;
	jw_case_free(file);
	drop_places(d);
	return whole;
}

/* ---- working ---- */

int work(const draft *d, const char *library, int loud, worked *w)
{
	char *text = write_case(d);
	jw_faults faults = {0};
	jw_error error = {0};
	memset(w, 0, sizeof *w);
	if (!text)
		return 0;
	jw_status status = jw_case_parse(text, library, &w->file, &faults);
	free(text);
	if (status < 0) {
		if (loud)
			fprintf(stderr, "jetwright explain: %s\n", faults.count ? faults.item[0].message : jw_status_text(status));
		return 0;
	}
	const jw_profile *profile = jw_case_profile(w->file);
	w->a = (answer){.known = &w->course.present,
	                .log = jw_case_log(w->file),
	                .course = &w->course,
	                .profile = profile,
	                .healthy = jw_profile_setup(profile),
	                .class = jw_case_class(w->file),
	                .about = jw_case_about(w->file)};
	w->a.status = weigh_log(w->a.healthy, jw_case_evidence(w->file), w->a.log, &w->report, &w->course, &error);
	w->a.report = w->report;
	if (w->a.status < 0 && loud)
		fprintf(stderr, "jetwright explain: %s: %s\n", error.field ? error.field : "", jw_status_text(w->a.status));
	if (w->a.status < 0)
		work_free(w);
	return w->report != NULL;
}

void work_free(worked *w)
{
	jw_report_free(w->report);
	jw_case_free(w->file);
	w->report = NULL;
	w->file = NULL;
}

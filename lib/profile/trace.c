/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/describe.h"
#include "profile/readings.h"

#include <string.h>

#define COLUMNS 16
#define CELL_BYTES 48

/* With a time column, a reading is the mean over a stretch in which the engine held still for so long; what comes first
 * is left out, since probe and gas lag behind. Common practice, no source. */
#define STEADY_S 1.5
#define SETTLING_S 0.5
#define GAP_S 1.0
#define SPEED_SHARE 0.05
#define THROTTLE_SHARE 0.03

/* One line as the block of keys that a YAML file would have had, so that the same rows read it. */
typedef struct trace {
	int columns;
	char name[COLUMNS][CELL_BYTES], unit[COLUMNS][CELL_BYTES], text[COLUMNS][CELL_BYTES];
	jw_node node[COLUMNS], line;
	jw_faults *faults;
} trace;

typedef struct cell {
	const char *text;
	int length, column;
} cell;

/* The next cell without its blanks and the quotes around it; returns where it ends. */
static const char *next_cell(const char *from, const char *end, const char *start, cell *c)
{
	const char *stop = memchr(from, ',', (size_t)(end - from));
	const char *last = stop ? stop : end;
	while (from < last && (*from == ' ' || *from == '\t'))
		from++;
	const char *behind = last;
	while (behind > from && strchr(" \t\r", behind[-1]))
		behind--;
	if (behind - from >= 2 && *from == '"' && behind[-1] == '"') {
		from++;
		behind--;
	}
	*c = (cell){from, (int)(behind - from), (int)(from - start) + 1};
	return stop;
}

/* Cells of a line; only so many are kept. */
static int split(const char *start, const char *end, cell cells[COLUMNS])
{
	int count = 0;
	const char *from = start;
	do {
		cell c;
		const char *stop = next_cell(from, end, start, &c);
		if (count < COLUMNS)
			cells[count] = c;
		count++;
		from = stop ? stop + 1 : NULL;
	} while (from);
	return count;
}

static int known(const char *name)
{
	for (const jw_field *field = jw_trace_fields; field->path; field++)
		if (!strcmp(field->path, name))
			return 1;
	return 0;
}

static int has_column(const trace *t, const char *name)
{
	for (int i = 0; i < t->columns; i++)
		if (!strcmp(t->name[i], name))
			return 1;
	return 0;
}

/* "speed rpm", "speed (rpm)" or "lambda". */
static void read_heading(trace *t, const cell *c, int line)
{
	char text[CELL_BYTES], expected[256];
	int i = t->columns;
	snprintf(text, sizeof text, "%.*s", c->length, c->text);
	size_t name = strcspn(text, " ([");
	const char *unit = text + name + strspn(text + name, " ([");
	snprintf(t->name[i], CELL_BYTES, "%.*s", (int)name, text);
	snprintf(t->unit[i], CELL_BYTES, "%.*s", (int)strcspn(unit, ")]"), unit);
	if (!known(t->name[i])) {
		jw_key_expects(jw_trace_fields, "", t->name[i], expected, sizeof expected);
		jw_fault_add(t->faults, line, c->column, t->name[i], "is an unknown column, expected %s", expected);
	} else if (has_column(t, t->name[i])) {
		jw_fault_add(t->faults, line, c->column, t->name[i], "is a column twice, expected once");
	}
	t->columns++;
}

static void read_headings(trace *t, const char *start, const char *end, int line)
{
	cell cells[COLUMNS];
	int count = split(start, end, cells);
	if (count > COLUMNS) {
		jw_fault_add(t->faults, line, 1, "", "has %d columns, expected at most %d", count, COLUMNS);
		return;
	}
	const size_t length = (size_t)(end - start);
	const char *other = memchr(start, ';', length) ? "semicolons" : memchr(start, '\t', length) ? "tabs" : NULL;
	if (count == 1 && other) {
		jw_fault_add(t->faults, line, 1, "", "has %s, expected commas between columns and points in numbers", other);
		return;
	}
	for (int i = 0; i < count; i++)
		read_heading(t, &cells[i], line);
	if (!t->faults->count && !has_column(t, "at") && !(has_column(t, "speed") && has_column(t, "throttle")))
		jw_fault_add(t->faults, line, 1, "",
		             "does not say where, expected columns \"speed\" and \"throttle\", or \"at\"");
}

static void hang(trace *t, int i, const cell *c, int line)
{
	int bare = !*t->unit[i];
	if (c->length >= CELL_BYTES || memchr(c->text, '\0', (size_t)c->length)) {
		jw_fault_add(t->faults, line, c->column, t->name[i], "is no word or number, expected at most %d characters",
		             CELL_BYTES - 1);
		return;
	}
	snprintf(t->text[i], CELL_BYTES, "%.*s%s%s", c->length, c->text, bare ? "" : " ", t->unit[i]);
	t->node[i] = (jw_node){.kind = JW_NODE_TEXT,
	                       .line = line,
	                       .column = c->column,
	                       .key_line = line,
	                       .key_column = c->column,
	                       .key = t->name[i],
	                       .text = t->text[i],
	                       .parent = &t->line};
	*(t->line.last ? &t->line.last->next : &t->line.first) = &t->node[i];
	t->line.last = &t->node[i];
}

/* 0 where the line is not as the heading says. An empty cell says nothing. */
static int read_line(trace *t, const char *start, const char *end, int line)
{
	cell cells[COLUMNS];
	int count = split(start, end, cells);
	if (count != t->columns) {
		jw_fault_add(t->faults, line, 1, "", "has %d cells, expected %d as in the heading", count, t->columns);
		return 0;
	}
	t->line = (jw_node){.kind = JW_NODE_BLOCK, .line = line, .column = 1, .key_line = line, .key_column = 1};
	for (int i = 0; i < count; i++)
		if (cells[i].length)
			hang(t, i, &cells[i], line);
	return 1;
}

/* ---- stretches ---- */

/* Mean and squared differences as they come (Welford). */
typedef struct running_mean {
	jw_reading first;
	int count;
	double mean, squares;
} running_mean;

typedef struct stretch {
	jw_reading_list *list;
	jw_faults *faults;
	double start_s, last_s;
	jw_point start, sum;
	int samples, settled;
	running_mean kind[JW_READING_KIND_COUNT];
} stretch;

static void begin_stretch(stretch *s, double time_s, const jw_point *point)
{
	*s = (stretch){.list = s->list, .faults = s->faults, .start_s = time_s, .last_s = time_s, .start = *point};
}

static int holds_still(const stretch *s, double time_s, const jw_point *point)
{
	return time_s - s->last_s <= GAP_S &&
	       fabs(point->speed_rev_s - s->start.speed_rev_s) <= SPEED_SHARE * s->start.speed_rev_s &&
	       fabs(point->throttle - s->start.throttle) <= THROTTLE_SHARE && point->enrichener == s->start.enrichener;
}

/* The instrument's own uncertainty is common to all samples; only the scatter falls with their number. */
static jw_status add_mean(stretch *s, const running_mean *m)
{
	jw_reading reading = m->first;
	double scatter = m->count > 1 ? m->squares / (m->count - 1) / m->count : 0;
	reading.value = m->mean;
	reading.uncertainty = sqrt(m->first.uncertainty * m->first.uncertainty + scatter);
	reading.point.speed_rev_s = s->sum.speed_rev_s / s->settled;
	reading.point.throttle = s->sum.throttle / s->settled;
	return jw_reading_add(s->list, &reading, s->faults);
}

static jw_status end_stretch(stretch *s)
{
	jw_status status = JW_OK;
	if (s->last_s - s->start_s < STEADY_S) {
		s->list->left_out += s->samples;
		return status;
	}
	s->list->left_out += s->samples - s->settled;
	for (int kind = 0; kind < JW_READING_KIND_COUNT && !status; kind++)
		if (s->kind[kind].count)
			status = add_mean(s, &s->kind[kind]);
	return status;
}

static void include(stretch *s, const jw_reading *reading)
{
	running_mean *m = &s->kind[reading->kind];
	if (!m->count++)
		m->first = *reading;
	double off = reading->value - m->mean;
	m->mean += off / m->count;
	m->squares += off * (reading->value - m->mean);
}

static jw_status take_sample(stretch *s, double time_s, const jw_reading *reading, int count)
{
	const jw_point *point = &reading->point;
	if (!s->samples || !holds_still(s, time_s, point)) {
		jw_status status = s->samples ? end_stretch(s) : JW_OK;
		if (status)
			return status;
		begin_stretch(s, time_s, point);
	}
	s->last_s = time_s;
	s->samples++;
	if (time_s - s->start_s < SETTLING_S)
		return JW_OK;
	s->settled++;
	s->sum.speed_rev_s += point->speed_rev_s;
	s->sum.throttle += point->throttle;
	for (int i = 0; i < count; i++)
		include(s, &reading[i]);
	return JW_OK;
}

/* ---- lines ---- */

static int any_reading(const trace *t)
{
	static const char *const keys[] = {"lambda", "afr", "slide_lift", "throat_depression"};
	for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
		if (jw_node_find(&t->line, keys[i], NULL))
			return 1;
	return 0;
}

static jw_status take_line(trace *t, const jw_entry_context *context, stretch *s)
{
	jw_entry entry;
	jw_reading reading[JW_READING_KIND_COUNT];
	const int before = t->faults->count;
	if (!any_reading(t)) {
		s->list->left_out++;
		return JW_OK;
	}
	jw_entry_begin(&entry);
	jw_fields_read(jw_trace_fields, &t->line, &entry, t->faults);
	int count = t->faults->count > before ? 0 : jw_entry_readings(&entry, &t->line, context, reading, t->faults);
	if (!count)
		return JW_OK;
	if (!has_column(t, "time")) {
		jw_status status = JW_OK;
		for (int i = 0; i < count && !status; i++)
			status = jw_reading_add(s->list, &reading[i], t->faults);
		return status;
	}
	const jw_node *time = jw_node_find(&t->line, "time", NULL);
	if (!time || (s->samples && !(entry.time_s > s->last_s))) {
		jw_fault_node(t->faults, time ? time : &t->line, "does not follow in time, expected a later one in each line");
		return JW_OK;
	}
	return take_sample(s, entry.time_s, reading, count);
}

static const char *skip_mark(const char *text)
{
	return strncmp(text, "\xef\xbb\xbf", 3) ? text : text + 3; /* which spreadsheets put ahead of UTF-8 */
}

jw_status jw_trace_read(const char *text, size_t size, const jw_entry_context *context, jw_reading_list *list,
                        jw_faults *faults)
{
	trace t = {.faults = faults};
	stretch s = {.list = list, .faults = faults};
	jw_status status = JW_OK;
	const char *end = text + size, *next;
	int line = 0;
	for (const char *start = skip_mark(text); start < end && !status; start = next) {
		const char *stop = memchr(start, '\n', (size_t)(end - start));
		next = stop ? stop + 1 : end;
		line++;
		size_t length = (size_t)((stop ? stop : end) - start);
		if (strspn(start, " \t\r") >= length || *start == '#')
			continue;
		if (!t.columns) {
			read_headings(&t, start, start + length, line);
			if (faults->count)
				return JW_E_SCHEMA;
		} else if (read_line(&t, start, start + length, line)) {
			status = take_line(&t, context, &s);
		}
	}
	if (!status && s.samples)
		status = end_stretch(&s);
	if (!status && !faults->count && !list->count)
		jw_fault_add(faults, line ? line : 1, 1, "", "%s",
		             !t.columns ? "holds no heading, expected one such as \"speed rpm, throttle %, lambda\""
		             : has_column(&t, "time") ? "holds no steady reading, expected stretches of 1.5 s or more"
		                                      : "holds no reading, expected a line of them below the heading");
	return status ? status : faults->count ? JW_E_SCHEMA : JW_OK;
}

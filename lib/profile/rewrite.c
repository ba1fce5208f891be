/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/describe.h"
#include "profile/profile.h"
#include "profile/same.h"
#include "profile/text.h"

#include "base/base.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#define EDITS 128
#define EDIT_BYTES 1024 /* the longest block, with the longest of numbers */
#define DIGITS 6
/* Numbers that differ by less are the same in the file. */
#define SAME 1e-6
/* What a number may lose on its way through the file. */
#define READ_BACK 1e-5
/* The same of rows, which are many and so told in fewer digits. */
#define ROW_DIGITS 5
#define ROW_SAME 1e-5
#define ROW_READ_BACK 1e-4
#define CELL_BYTES 32
/* The one list that is written; others stay as they are. It is no dimension: what was calibrated is calibrated anew. */
#define WRITTEN_ROWS "pulse_table"

/* A stretch of the file, in bytes, and what takes its place. */
typedef struct edit {
	size_t from, to;
	char *text;
} edit;

typedef struct rewriting {
	const jw_node *root;
	const char *text, *newline;
	size_t size;
	const jw_profile *present, *wanted;
	int pins; /* whether the coefficients, so far found from the baseline or left open, must be stated */
	edit edits[EDITS];
	int count;
	int no_memory; /* for the text of an edit */
} rewriting;

static int differs(const jw_profile *a, const jw_profile *b, const jw_field *field, double share)
{
	if (field->kind != JW_FIELD_QUANTITY)
		return 0;
	double x = jw_value_at(a, field->offset), y = jw_value_at(b, field->offset);
	return fabs(x - y) > share * fmax(fabs(x), fabs(y));
}

static int rows_in(const jw_profile *profile, const jw_field *field)
{
	int rows;
	memcpy(&rows, (const char *)profile + field->count, sizeof rows);
	return rows;
}

static double cell_in(const jw_profile *profile, const jw_field *field, const jw_field *cell, int row)
{
	double value;
	memcpy(&value, (const char *)profile + field->offset + cell->offset + (size_t)row * cell->stride, sizeof value);
	return value;
}

static int rows_differ(const jw_profile *a, const jw_profile *b, const jw_field *field, double share)
{
	if (strcmp(field->path, WRITTEN_ROWS) != 0)
		return 0;
	if (rows_in(a, field) != rows_in(b, field))
		return 1;
	for (int i = 0; i < rows_in(a, field); i++)
		for (const jw_field *cell = field->columns; cell->path; cell++) {
			double x = cell_in(a, field, cell, i), y = cell_in(b, field, cell, i);
			if (fabs(x - y) > share * fmax(fabs(x), fabs(y)))
				return 1;
		}
	return 0;
}

/* Stated coefficients bring the uncertainty that the unmeasured dimensions left in them. */
static int changes(const rewriting *r, const jw_field *field)
{
	int widened = r->pins && jw_profile_widened(r->present) && !strncmp(field->path, "uncertainty.", 12);
	return widened || differs(r->present, r->wanted, field, SAME);
}

/* Nodes count characters, edits bytes. */
static size_t byte_at(const rewriting *r, size_t character)
{
	size_t byte = 0;
	for (; byte < r->size; byte++)
		if (((unsigned char)r->text[byte] & 0xc0) != 0x80 && !character--)
			break;
	return byte;
}

/* A text of its own; NULL without memory, which reading back will tell. */
static char *joined(const char *format, ...)
{
	va_list list;
	va_start(list, format);
	int length = vsnprintf(NULL, 0, format, list);
	va_end(list);
	char *text = malloc((size_t)length + 1);
	va_start(list, format);
	if (text)
		vsnprintf(text, (size_t)length + 1, format, list);
	va_end(list);
	return text;
}

/* Takes the text. */
static void add_edit(rewriting *r, size_t from, size_t to, char *text)
{
	r->no_memory |= !text;
	if (r->count == EDITS || !text) { /* more than the table has rows: reading back will tell */
		free(text);
		return;
	}
	int place = r->count++;
	for (; place && r->edits[place - 1].from > from; place--)
		r->edits[place] = r->edits[place - 1];
	r->edits[place] = (edit){from, to, text};
}

/* The number changes, its unit stays. */
static void replace(rewriting *r, const jw_field *field, const jw_node *node)
{
	char text[EDIT_BYTES];
	const char *unit = node->text + strspn(node->text, "+-.0123456789");
	jw_quantity_write(jw_value_at(r->wanted, field->offset), field->dimension, unit, DIGITS, text, sizeof text);
	add_edit(r, byte_at(r, node->start), byte_at(r, node->end), joined("%s", text));
}

/* One more entry of a block, in the block's own style. */
static void insert(rewriting *r, const jw_node *block, const char *entry)
{
	size_t start = byte_at(r, block->start);
	char *text;
	if (r->text[start] == '{') {
		text = joined("%s%s", entry, block->first ? ", " : "");
		start++;
	} else if (block == r->root) {
		start = r->size;
		text = joined("%s%s%s", start && r->text[start - 1] == '\n' ? "" : r->newline, entry, r->newline);
	} else {
		text = joined("%s%s%*s", entry, r->newline, block->column - 1, "");
	}
	add_edit(r, start, start, text);
}

/* ---- rows ---- */

/* All rows, one a line. */
static char *rows_text(const rewriting *r, const jw_field *field, int indent)
{
	const int rows = rows_in(r->wanted, field);
	int columns = 0;
	while (field->columns[columns].path)
		columns++;
	size_t size = (size_t)rows * ((size_t)columns * CELL_BYTES + (size_t)indent + 8) + 8, used = 0;
	char *text = malloc(size);
	for (int i = 0; text && i < rows; i++) {
		used += (size_t)snprintf(text + used, size - used, i ? ",%s%*s[" : "[[", r->newline, indent + 1, "");
		for (int k = 0; k < columns; k++) {
			const jw_field *cell = &field->columns[k];
			const char *unit = cell->low + strspn(cell->low, "+-.0123456789");
			char value[CELL_BYTES - 2] = "";
			jw_quantity_write(cell_in(r->wanted, field, cell, i), cell->dimension, unit, ROW_DIGITS, value,
			                  sizeof value);
			used += (size_t)snprintf(text + used, size - used, "%s%s", k ? ", " : "", value);
		}
		used += (size_t)snprintf(text + used, size - used, i == rows - 1 ? "]]" : "]");
	}
	return text;
}

/* Past the brackets that close a list in one line or many; where its last value ends if it has none. */
static size_t end_of_list(const rewriting *r, const jw_node *list)
{
	int brackets = 0;
	const jw_node *last = list;
	for (; last->kind == JW_NODE_LIST && last->last; last = last->last)
		brackets += r->text[byte_at(r, last->start)] == '[';
	size_t end = byte_at(r, last->end);
	for (; brackets && end < r->size; end++)
		brackets -= r->text[end] == ']';
	return end;
}

/* Rows that differ are written anew, all of them. */
static void edit_rows(rewriting *r, const jw_field *field)
{
	const jw_node *node = jw_node_find(r->root, field->path, NULL);
	if (!rows_differ(r->present, r->wanted, field, ROW_SAME))
		return;
	char *text = rows_text(r, field, 2);
	char *entry = text ? joined("%s:%s  %s", field->path, r->newline, text) : NULL;
	if (node && text)
		add_edit(r, byte_at(r, node->start), end_of_list(r, node), joined("%s", text));
	else if (entry)
		insert(r, r->root, entry);
	free(entry);
	free(text);
}

/* ---- keys that the file does not have ---- */

static size_t parent_length(const char *path)
{
	const char *dot = strrchr(path, '.');
	return dot ? (size_t)(dot - path) : 0;
}

static int siblings(const jw_field *a, const jw_field *b)
{
	size_t length = parent_length(a->path);
	return parent_length(b->path) == length && !strncmp(a->path, b->path, length);
}

/* Lists have no place in a line of entries: reading back will tell. */
static void append_entry(const rewriting *r, const jw_field *field, char *text, size_t size)
{
	char value[64];
	const char *key = field->path + parent_length(field->path);
	size_t used = strlen(text);
	if (field->kind == JW_FIELD_QUANTITY) {
		const char *unit = field->low + strspn(field->low, "+-.0123456789");
		jw_quantity_write(jw_value_at(r->wanted, field->offset), field->dimension, unit, DIGITS, value, sizeof value);
		snprintf(text + used, size - used, "%s%s: %s", used ? ", " : "", key + (*key == '.'), value);
	}
}

/* A block that is not there: all of it if it is one that stands or falls as a whole, else what changed. */
static void insert_block(rewriting *r, const jw_field *first, const char *path)
{
	char entries[EDIT_BYTES - 64] = "", text[EDIT_BYTES], above[64];
	const jw_field *table = jw_engine_fields;
	int changed = r->pins && !strcmp(path, "coefficients"), whole = 0;
	for (const jw_field *field = table; field->path; field++)
		whole |= field->kind == JW_FIELD_BLOCK && !strcmp(field->path, path);
	for (const jw_field *field = first; field->path && siblings(field, first); field++)
		changed |= changes(r, field);
	for (const jw_field *field = first; changed && field->path && siblings(field, first); field++)
		if (whole || changes(r, field))
			append_entry(r, field, entries, sizeof entries);
	if (!changed)
		return;
	size_t length = parent_length(path);
	snprintf(above, sizeof above, "%.*s", (int)length, path);
	snprintf(text, sizeof text, "%s: {%s}", path + length + (length > 0), entries);
	const jw_node *block = length ? jw_node_find(r->root, above, NULL) : r->root;
	if (block)
		insert(r, block, text);
}

static void edit_field(rewriting *r, const jw_field *field, const jw_field *before)
{
	char path[96], entry[EDIT_BYTES] = "";
	const jw_node *node = jw_node_find(r->root, field->path, NULL);
	int changed = changes(r, field);
	if (field->kind == JW_FIELD_ROWS) {
		edit_rows(r, field);
		return;
	}
	if (node && changed) {
		replace(r, field, node);
		return;
	}
	snprintf(path, sizeof path, "%.*s", (int)parent_length(field->path), field->path);
	const jw_node *block = *path ? jw_node_find(r->root, path, NULL) : r->root;
	if (!block && !(before && siblings(before, field))) {
		insert_block(r, field, path);
	} else if (block && !node && changed) {
		append_entry(r, field, entry, sizeof entry);
		insert(r, block, entry);
	}
}

static void find_edits(rewriting *r)
{
	const jw_field *before = NULL;
	/* Other brass would be calibrated to the old baseline, or doubted anew. */
	int loose = jw_profile_calibration(r->present) || jw_profile_widened(r->present);
	for (const jw_field *field = jw_engine_fields; field->path; field++)
		r->pins |= loose && differs(r->present, r->wanted, field, SAME);
	for (const jw_field *field = jw_engine_fields; field->path; before = field++)
		edit_field(r, field, before);
}

static char *edited(const rewriting *r, size_t *size)
{
	size_t room = r->size + 1, from = 0, used = 0;
	for (int i = 0; i < r->count; i++)
		room += strlen(r->edits[i].text);
	char *text = malloc(room), nothing[] = "";
	const edit end = {r->size, r->size, nothing};
	for (int i = 0; text && i <= r->count; i++) {
		const edit *e = i < r->count ? &r->edits[i] : &end;
		size_t length = strlen(e->text);
		memcpy(text + used, r->text + from, e->from - from);
		used += e->from - from;
		memcpy(text + used, e->text, length);
		used += length;
		from = e->to;
	}
	*size = used;
	return text;
}

/* ---- checked before it goes in place ---- */

typedef struct reading_back {
	const char *library;
	const jw_profile *wanted;
	int calibrated_anew;
	jw_faults *faults;
} reading_back;

/* What has no key goes by the name of its member. */
static const char *not_back(const reading_back *back, const jw_profile *profile)
{
	const jw_likeness within = {READ_BACK, ROW_READ_BACK, !back->calibrated_anew};
	const char *member = jw_setup_unlike(&profile->setup, &back->wanted->setup, &within);
	for (const jw_field *field = jw_engine_fields; member && field->path; field++)
		if (field->member && !strcmp(field->member, member))
			return field->path;
	return member;
}

static jw_status check_staged(const char *staged, void *context)
{
	const reading_back *back = context;
	jw_faults inner;
	jw_profile *profile = NULL;
	char message[2 * sizeof(jw_fault)] = "";
	jw_status status = jw_profile_load(staged, back->library, &profile, &inner);
	if (status < 0)
		snprintf(message, sizeof message, "would have faults, left as it was: %s: %s", inner.item[0].path,
		         inner.item[0].message);
	const char *lost = status < 0 ? NULL : not_back(back, profile);
	if (lost) {
		snprintf(message, sizeof message, "would not give the set-up back, left as it was: %s", lost);
		status = JW_E_SCHEMA;
	}
	jw_profile_free(profile);
	return status < 0 ? jw_fault_file(back->faults, status, message) : JW_OK;
}

static jw_status rewrite(rewriting *r, const char *to, const char *library, jw_faults *faults)
{
	size_t size = 0;
	/* Where only rows differ a calibration stays one, and is made anew with them. */
	r->newline = strstr(r->text, "\r\n") ? "\r\n" : "\n";
	find_edits(r);
	reading_back back = {library, r->wanted, jw_profile_calibration(r->present) && !r->pins, faults};
	char *text = r->no_memory ? NULL : edited(r, &size);
	for (int i = 0; i < r->count; i++)
		free(r->edits[i].text);
	jw_status status = text ? jw_text_save(to, text, size, check_staged, &back, faults)
	                        : jw_fault_file(faults, JW_E_MEMORY, "out of memory");
	free(text);
	return status;
}

/* The library of a file that is to be read elsewhere. */
static void library_of(const char *path, const char *library, char *text, size_t size)
{
	const char *slash = strrchr(path, '/');
	if (library)
		snprintf(text, size, "%s", library);
	else
		snprintf(text, size, "%.*s..", slash ? (int)(slash - path) + 1 : 0, path);
}

static jw_status load(const char *path, const char *library, const jw_setup *setup, rewriting *r, jw_node **root,
                      char **text, jw_profile **present, jw_profile **wanted, jw_faults *faults)
{
	jw_status status = jw_profile_load(path, library, present, faults);
	if (status >= 0)
		status = jw_text_load(path, JW_TREE_BYTES, text, &r->size, faults);
	if (status >= 0)
		status = jw_tree_parse(*text, r->size, root, faults);
	if (status >= 0) {
		status = jw_profile_with(*present, setup, wanted);
		if (status == JW_E_MEMORY)
			jw_fault_file(faults, status, "out of memory");
	}
	r->root = *root;
	r->text = *text;
	r->present = *present;
	r->wanted = *wanted;
	return status;
}

/* What is no set-up cannot be read back as one. */
static jw_status refuse_setup(const jw_setup *setup, jw_faults *faults)
{
	jw_error error;
	char message[sizeof(jw_fault)];
	jw_status status = jw_setup_check(setup, &error);
	if (status >= 0)
		return status;
	snprintf(message, sizeof message, "would hold %s, left as it was: %s", jw_status_text(status), error.field);
	return jw_fault_file(faults, status, message);
}

jw_status jw_profile_write(const char *path, const char *library, const jw_setup *setup, const char *to,
                           jw_faults *faults)
{
	if (!path || !setup || !to || !faults)
		return JW_E_ARGUMENT;
	char folder[JW_PATH_MOST];
	rewriting *r = calloc(1, sizeof *r);
	jw_node *root = NULL;
	char *text = NULL;
	jw_profile *present = NULL, *wanted = NULL;
	jw_faults_begin(faults, path);
	if (!r)
		return jw_fault_file(faults, JW_E_MEMORY, "out of memory");
	jw_status status = load(path, library, setup, r, &root, &text, &present, &wanted, faults);
	if (status >= 0) {
		jw_faults_begin(faults, to);
		library_of(path, library, folder, sizeof folder);
		jw_status sound = refuse_setup(setup, faults);
		status = sound < 0 ? sound : rewrite(r, to, folder, faults);
	}
	jw_tree_free(root);
	free(text);
	jw_profile_free(present);
	jw_profile_free(wanted);
	free(r);
	return status;
}

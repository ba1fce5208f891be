/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/fields.h"
#include "profile/describe.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define TEXT 8192 /* of what is expected, at most */
#define NEED sizeof("default 0.85")
#define PATH sizeof(((jw_fault *)0)->path)

/* ---- one value ---- */

void jw_field_range(const jw_field *field, double *low, double *high)
{
	jw_quantity_parse(field->low, field->dimension, low, NULL);
	jw_quantity_parse(field->high, field->dimension, high, NULL);
}

static int take_quantity(const jw_field *field, const char *text, void *target)
{
	double value, low = 0, high = 0;
	if (jw_quantity_parse(text, field->dimension, &value, NULL))
		return 0;
	jw_field_range(field, &low, &high);
	if (value < low || value > high)
		return 0;
	*(double *)target = value;
	return 1;
}

static int take_integer(const jw_field *field, const char *text, void *target)
{
	long value = strtol(text, NULL, 10);
	if (!*text || text[strspn(text, "0123456789")] || strlen(text) > 9)
		return 0;
	if (value < strtol(field->low, NULL, 10) || value > strtol(field->high, NULL, 10))
		return 0;
	*(int *)target = (int)value;
	return 1;
}

static int word_index(const jw_field *field, const char *text)
{
	for (int i = 0; field->word(i); i++)
		if (!strcmp(field->word(i), text))
			return i;
	return -1;
}

static int take_word(const jw_field *field, const char *text, void *target)
{
	int index = word_index(field, text);
	if (index >= 0)
		*(int *)target = index;
	return index >= 0;
}

static int take_text(const jw_field *field, const char *text, void *target)
{
	size_t length = strlen(text);
	if (!length || length > (size_t)field->most || length >= JW_FIELD_BYTES)
		return 0;
	memcpy(target, text, length + 1);
	return 1;
}

/* No dot and no slash: a name cannot leave the library. */
static int take_name(const jw_field *field, const char *text, void *target)
{
	if (text[strspn(text, "abcdefghijklmnopqrstuvwxyz0123456789-")])
		return 0;
	return take_text(field, text, target);
}

/* ---- any value, from its node ---- */

typedef struct reading {
	char *into;
	size_t row; /* of columns */
	jw_faults *faults;
	const jw_node *base; /* what holds where the block says nothing; NULL: the defaults */
} reading;

typedef void (*read_function)(const jw_field *field, const jw_node *node, const reading *r);

static void read_single(const jw_field *field, const jw_node *node, const reading *r);
static void read_words(const jw_field *field, const jw_node *node, const reading *r);
static void read_row(const jw_field *field, const jw_node *node, const reading *r);
static void read_list(const jw_field *field, const jw_node *node, const reading *r);
static void read_nothing(const jw_field *field, const jw_node *node, const reading *r);
static void read_spreads(const jw_field *field, const jw_node *node, const reading *r);

static const struct kind_row {
	const char *name;
	read_function read;
	int (*take)(const jw_field *field, const char *text, void *target); /* kinds of one value */
} kind_rows[] = {
    [JW_FIELD_BLOCK] = {"block", read_nothing, NULL},
    [JW_FIELD_QUANTITY] = {"quantity", read_single, take_quantity},
    [JW_FIELD_INTEGER] = {"integer", read_single, take_integer},
    [JW_FIELD_WORD] = {"word", read_single, take_word},
    [JW_FIELD_WORDS] = {"words", read_words, NULL},
    [JW_FIELD_TEXT] = {"text", read_single, take_text},
    [JW_FIELD_NAME] = {"name", read_single, take_name},
    [JW_FIELD_ROW] = {"row", read_row, NULL},
    [JW_FIELD_ROWS] = {"rows", read_list, NULL},
    [JW_FIELD_LIST] = {"list", read_list, NULL},
    [JW_FIELD_RECORDS] = {"records", read_list, NULL},
    [JW_FIELD_SPREADS] = {"spreads", read_spreads, NULL},
};

static const char *const node_words[] = {
    [JW_NODE_TEXT] = "a text", [JW_NODE_LIST] = "a list", [JW_NODE_BLOCK] = "a block"};

static char *target_of(const jw_field *field, const reading *r)
{
	return r->into + field->offset + r->row * field->stride;
}

static void reject(const jw_field *field, const jw_node *node, jw_faults *faults)
{
	char path[PATH], expected[TEXT];
	jw_node_path(node, path, sizeof path);
	if (field->word && node->kind == JW_NODE_TEXT && word_index(field, node->text) < 0)
		jw_word_expects(field, node->text, expected, sizeof expected);
	else
		jw_field_expects(field, expected, sizeof expected);
	if (node->kind == JW_NODE_TEXT)
		jw_fault_add(faults, node->line, node->column, path, "is \"%.60s\", expected %s", node->text, expected);
	else if (node->kind == JW_NODE_LIST)
		jw_fault_add(faults, node->line, node->column, path, "is a list of %d, expected %s",
		             node->last ? node->last->index + 1 : 0, expected);
	else
		jw_fault_add(faults, node->line, node->column, path, "is %s, expected %s", node_words[node->kind], expected);
}

static void read_nothing(const jw_field *field, const jw_node *node, const reading *r)
{
	(void)field, (void)node, (void)r;
}

static void read_single(const jw_field *field, const jw_node *node, const reading *r)
{
	if (node->kind != JW_NODE_TEXT || !kind_rows[field->kind].take(field, node->text, target_of(field, r)))
		reject(field, node, r->faults);
}

static void read_words(const jw_field *field, const jw_node *node, const reading *r)
{
	if (node->kind != JW_NODE_LIST) {
		reject(field, node, r->faults);
		return;
	}
	int *flags = (int *)(void *)target_of(field, r);
	for (const jw_node *item = node->first; item; item = item->next) {
		int index = item->kind == JW_NODE_TEXT ? word_index(field, item->text) : -1;
		if (index < 0)
			reject(field, item, r->faults);
		else
			flags[index] = 1;
	}
}

static void read_table(const jw_field *table, const jw_node *block, const reading *r);

static int entries(const jw_node *node)
{
	return node->last ? node->last->index + 1 : 0;
}

static int column_count(const jw_field *field)
{
	int count = 0;
	while (field->columns[count].path)
		count++;
	return count;
}

static reading within(const jw_field *field, size_t row, const reading *r)
{
	return (reading){.into = target_of(field, r), .row = row, .faults = r->faults};
}

static void read_cells(const jw_field *field, const jw_node *node, const reading *r)
{
	if (node->kind != JW_NODE_LIST || entries(node) != column_count(field)) {
		reject(&(jw_field){.kind = JW_FIELD_ROW, .columns = field->columns}, node, r->faults);
		return;
	}
	const jw_field *column = field->columns;
	for (const jw_node *item = node->first; item; item = item->next, column++)
		kind_rows[column->kind].read(column, item, r);
}

static void read_record(const jw_field *field, const jw_node *node, const reading *r)
{
	if (node->kind == JW_NODE_BLOCK)
		read_table(field->columns, node, r);
	else
		reject(&(jw_field){.kind = JW_FIELD_BLOCK}, node, r->faults);
}

static void read_row(const jw_field *field, const jw_node *node, const reading *r)
{
	reading inner = within(field, 0, r);
	read_cells(field, node, &inner);
}

static void read_cell(const jw_field *field, const jw_node *node, const reading *r)
{
	kind_rows[field->columns->kind].read(field->columns, node, r);
}

static void read_list(const jw_field *field, const jw_node *node, const reading *r)
{
	read_function read_item = field->kind == JW_FIELD_RECORDS ? read_record
	                          : field->kind == JW_FIELD_LIST  ? read_cell
	                                                          : read_cells;
	int count = entries(node);
	if (node->kind != JW_NODE_LIST || !count || count > field->most) {
		reject(field, node, r->faults);
		return;
	}
	for (const jw_node *item = node->first; item; item = item->next) {
		reading inner = within(field, (size_t)item->index, r);
		read_item(field, item, &inner);
	}
	memcpy(r->into + field->count + r->row * field->stride, &count, sizeof count);
}

/* ---- standard uncertainties ---- */

int jw_spread_parse(const char *text, jw_dimension dimension, double *relative, double *absolute)
{
	/* An uncertainty of a temperature is a difference of temperatures. */
	jw_dimension unit = dimension == JW_TEMPERATURE ? JW_TEMPERATURE_DIFFERENCE : dimension;
	*relative = *absolute = 0;
	if (jw_quantity_parse(text, unit, absolute, NULL) != JW_OK &&
	    (!strchr(text, '%') || jw_quantity_parse(text, JW_FRACTION, relative, NULL) != JW_OK))
		return 0;
	return *relative > 0 || *absolute > 0;
}

static const jw_field *field_at(const jw_field *table, const char *path);
static int holds_fields(const jw_field *table, const char *path);

typedef struct spreading {
	const jw_field *field, *rows; /* of the block; of which the keys are columns, or NULL */
	const reading *r;
	int count;
} spreading;

static void take_spread(spreading *s, const jw_field *cell, const jw_node *node)
{
	jw_spread spread = {s->rows ? s->rows : cell, cell, 0, 0};
	if (node->kind != JW_NODE_TEXT || !jw_spread_parse(node->text, cell->dimension, &spread.relative, &spread.absolute))
		jw_fault_node(s->r->faults, node, "is no standard uncertainty, expected one above 0 such as 5% or in the unit");
	else if (s->count == s->field->most)
		jw_fault_node(s->r->faults, node, "is one more than a file may have, expected fewer uncertainties");
	else
		((jw_spread *)(void *)target_of(s->field, s->r))[s->count++] = spread;
}

static void take_spreads(spreading *s, const jw_field *table, const jw_node *block, const char *prefix)
{
	for (const jw_node *child = block->first; child; child = child->next) {
		char path[PATH];
		snprintf(path, sizeof path, "%s%s", prefix, child->key);
		const jw_field *field = strchr(child->key, '.') ? NULL : field_at(table, path);
		int is_block = child->kind == JW_NODE_BLOCK;
		if (field && field->kind == JW_FIELD_QUANTITY && field->member) {
			take_spread(s, field, child);
		} else if (field && field->kind == JW_FIELD_ROWS && is_block) {
			spreading inner = {s->field, field, s->r, s->count};
			take_spreads(&inner, field->columns, child, "");
			s->count = inner.count;
		} else if (!strchr(child->key, '.') && holds_fields(table, path) && is_block) {
			snprintf(path, sizeof path, "%s%s.", prefix, child->key);
			take_spreads(s, table, child, path);
		} else {
			jw_fault_node(s->r->faults, child, "is no quantity of the file, expected the key of one");
		}
	}
}

static void read_spreads(const jw_field *field, const jw_node *node, const reading *r)
{
	spreading s = {field, NULL, r, 0};
	if (node->kind == JW_NODE_BLOCK)
		take_spreads(&s, field->keyed, node, "");
	else
		reject(field, node, r->faults);
	memcpy(r->into + field->count, &s.count, sizeof s.count);
}

/* ---- a block of fields ---- */

static int is_under(const char *path, const char *block)
{
	size_t length = strlen(block);
	return !strncmp(path, block, length) && path[length] == '.';
}

static const jw_field *field_at(const jw_field *table, const char *path)
{
	for (; table->path; table++)
		if (!strcmp(table->path, path))
			return table;
	return NULL;
}

static int holds_fields(const jw_field *table, const char *path)
{
	for (; table->path; table++)
		if (is_under(table->path, path))
			return 1;
	return 0;
}

static void report_unknown(const jw_field *table, const jw_node *block, const char *prefix, jw_faults *faults)
{
	for (const jw_node *child = block->first; child; child = child->next) {
		char path[PATH], inner[PATH + 1], expected[TEXT];
		snprintf(path, sizeof path, "%s%s", prefix, child->key);
		int is_block = !strchr(child->key, '.') && holds_fields(table, path);
		if (is_block && child->kind == JW_NODE_BLOCK) {
			snprintf(inner, sizeof inner, "%s.", path);
			report_unknown(table, child, inner, faults);
		} else if (is_block) {
			jw_fault_node(faults, child, "is not a block, expected keys with values");
		} else if (strchr(child->key, '.') || !field_at(table, path)) {
			jw_key_expects(table, prefix, child->key, expected, sizeof expected);
			jw_node_path(child, path, sizeof path);
			jw_fault_add(faults, child->key_line, child->key_column, path, "is an unknown key, expected %s", expected);
		}
	}
}

/* Whether the field belongs to an optional block that the file leaves out. */
static int left_out(const jw_field *table, const jw_field *field, const jw_node *block)
{
	for (; table->path; table++)
		if (table->kind == JW_FIELD_BLOCK && is_under(field->path, table->path) &&
		    !jw_node_find(block, table->path, NULL))
			return 1;
	return 0;
}

/* Reports the outermost key that is missing, once for all fields under it. */
static void report_missing(const jw_field *field, const jw_node *block, const jw_node *nearest, char *reported,
                           jw_faults *faults)
{
	char path[PATH], expected[TEXT];
	size_t key = 0;
	for (const jw_node *node = nearest; node != block; node = node->parent)
		key += strlen(node->key) + 1;
	key += strcspn(field->path + key, ".");
	if (nearest->kind != JW_NODE_BLOCK || (strlen(reported) == key && !strncmp(reported, field->path, key)))
		return;
	snprintf(reported, PATH, "%.*s", (int)key, field->path);

	jw_node_path(block, path, sizeof path);
	size_t used = strlen(path);
	snprintf(path + used, sizeof path - used, "%s%s", used ? "." : "", reported);
	if (field->path[key])
		snprintf(expected, sizeof expected, "a block of keys");
	else
		jw_field_expects(field, expected, sizeof expected);
	jw_fault_add(faults, nearest->key_line, nearest->key_column, path, "is missing, expected %s", expected);
}

/* Whether the file before has given it, be it by a default. */
static int inherited(const jw_field *table, const jw_field *field, const jw_node *base)
{
	int own = !field->standard && !strchr(field->path, '.');
	return base && !own && !left_out(table, field, base);
}

static void read_table(const jw_field *table, const jw_node *block, const reading *r)
{
	char reported[PATH] = "";
	report_unknown(table, block, "", r->faults);
	for (const jw_field *field = table; field->path; field++) {
		const jw_node *nearest = NULL, *node = jw_node_find(block, field->path, &nearest);
		const struct kind_row *kind = &kind_rows[field->kind];
		if (node)
			kind->read(field, node, r);
		else if (inherited(table, field, r->base) || left_out(table, field, block))
			continue;
		else if (!field->standard)
			report_missing(field, block, nearest, reported, r->faults);
		else if (*field->standard)
			kind->take(field, field->standard, target_of(field, r));
	}
}

void jw_fields_read(const jw_field *table, const jw_node *root, void *into, jw_faults *faults)
{
	jw_fields_read_over(table, root, NULL, into, faults);
}

void jw_fields_read_over(const jw_field *table, const jw_node *root, const jw_node *base, void *into, jw_faults *faults)
{
	read_table(table, root, &(reading){.into = into, .faults = faults, .base = base});
}

int jw_field_accepts(const jw_field *field, const char *text)
{
	union {
		double number;
		char text[JW_FIELD_BYTES];
	} target;
	return kind_rows[field->kind].take && kind_rows[field->kind].take(field, text, &target);
}

/* ---- faults found after reading ---- */

void jw_fault_node(jw_faults *faults, const jw_node *node, const char *message)
{
	char path[PATH];
	jw_node_path(node, path, sizeof path);
	jw_fault_add(faults, node->line, node->column, path, "%s", message);
}

void jw_fault_at(jw_faults *faults, const jw_node *root, const char *path, const char *message)
{
	const jw_node *nearest = root, *node = jw_node_find(root, path, &nearest);
	int line = node ? node->line : nearest->key_line, column = node ? node->column : nearest->key_column;
	jw_fault_add(faults, line, column, path, "%s", message);
}

/* Values of a list have no key. */
static int holds_cells(const jw_field *field)
{
	return field->columns && field->kind != JW_FIELD_LIST;
}

/* The row that a name speaks of, as member or key path, itself or by one of its columns. */
static const jw_field *field_named(const jw_field *table, const char *name, const jw_field **cell)
{
	for (; table->path; table++) {
		*cell = table;
		if (!strcmp(table->path, name) || (table->member && !strcmp(table->member, name)) ||
		    (holds_cells(table) && field_named(table->columns, name, cell)))
			return table;
	}
	return NULL;
}

/* "0 mm to 2.5 mm", in the unit of the file's field. */
static void describe_range(const jw_field *cell, const jw_error *error, char *text, size_t size)
{
	char low[48], high[48];
	jw_field_format(cell, error->low, low, sizeof low);
	jw_field_format(cell, error->high, high, sizeof high);
	if (error->low == 0 && error->high == 0)
		snprintf(text, size, "none");
	else if (isinf(error->high))
		snprintf(text, size, "at least %s", low);
	else if (!strcmp(low, high))
		snprintf(text, size, "%s", low);
	else
		snprintf(text, size, "%s to %s", low, high);
}

static const jw_node *entry_at(const jw_node *list, int index)
{
	const jw_node *item = list->first;
	while (item && item->index != index)
		item = item->next;
	return item;
}

/* The value of a column that an error speaks of; NULL where none, or more than one, is like it. */
static const jw_node *cell_like(const jw_field *field, const jw_field *cell, const jw_node *list, double value)
{
	const jw_node *found = NULL;
	for (const jw_node *item = list->first; item; item = item->next) {
		double given;
		const jw_node *node = item->kind == JW_NODE_BLOCK ? jw_node_find(item, cell->path, NULL)
		                                                  : entry_at(item, (int)(cell - field->columns));
		if (!node || jw_quantity_parse(node->text, cell->dimension, &given, NULL) || given != value)
			continue;
		if (found)
			return NULL;
		found = node;
	}
	return found;
}

/* In the file's own words where it has them; else says which of its values is meant, or where the value comes from. */
static void describe_value(const jw_field *field, const jw_field *cell, const jw_node *node, int defaulted,
                           const jw_error *error, char *text, size_t size)
{
	char value[48];
	jw_field_format(cell, error->value, value, sizeof value);
	if (node && node->text)
		snprintf(text, size, "is %s", node->text);
	else if (node)
		snprintf(text, size, "%s is %s", cell == field ? field->member : cell->path, value);
	else if (defaulted)
		snprintf(text, size, "is %s where nothing is said", value);
	else
		snprintf(text, size, "is missing");
}

static void blame_value(const jw_field *table, const jw_field *field, const jw_field *cell, const jw_node *root,
                        const jw_error *error, jw_faults *faults)
{
	char message[3 * TEXT], value[TEXT], expected[TEXT];
	const jw_node *node = jw_node_find(root, field->path, NULL);
	if (node && cell != field) {
		const jw_node *alike = cell_like(field, cell, node, error->value);
		node = alike ? alike : node;
	}
	int defaulted = field->standard && *field->standard && !left_out(table, field, root);
	describe_value(field, cell, node, defaulted, error, value, sizeof value);
	describe_range(cell, error, expected, sizeof expected);
	snprintf(message, sizeof message, "%s, expected %s beside the other values", value, expected);
	if (node)
		jw_fault_node(faults, node, message);
	else
		jw_fault_at(faults, root, field->path, message);
}

void jw_fields_blame(const jw_field *table, const jw_node *root, const jw_error *error, jw_faults *faults)
{
	const char *name = error->field ? error->field : "";
	const jw_field *cell = NULL, *field = field_named(table, name, &cell);
	if (field && cell->low && error->status == JW_E_RANGE) {
		blame_value(table, field, cell, root, error, faults);
		return;
	}
	char message[TEXT];
	const jw_node *node = field ? jw_node_find(root, field->path, NULL) : NULL;
	snprintf(message, sizeof message, "is %s, expected values that agree: %s",
	         node && node->text ? node->text : "wrong", jw_status_text(error->status));
	jw_fault_at(faults, root, field ? field->path : name, message);
}

/* ---- for people ---- */

static int print_field(const jw_field *field, const char *prefix, FILE *out)
{
	char path[PATH], expected[TEXT];
	const char *need = !field->standard ? "required" : *field->standard ? "default " : "optional";
	snprintf(path, sizeof path, "%s%s", prefix, field->path);
	jw_field_expects(field, expected, sizeof expected);
	return fprintf(out, "%-44s %-9s %s%-*s  %s\n", path, kind_rows[field->kind].name, need,
	               (int)(NEED - 1 - strlen(need)),
	               field->standard ? field->standard : "", expected) < 0;
}

jw_status jw_fields_print(const jw_field *table, const char *prefix, FILE *out)
{
	for (const jw_field *field = table; field->path; field++) {
		char inner[PATH];
		snprintf(inner, sizeof inner, "%s%s[].", prefix, field->path);
		if (print_field(field, prefix, out))
			return JW_E_WRITE;
		if (holds_cells(field) && jw_fields_print(field->columns, inner, out))
			return JW_E_WRITE;
	}
	return JW_OK;
}

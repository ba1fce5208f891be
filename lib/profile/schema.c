/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/schema.h"
#include "profile/describe.h"

#include <string.h>

/* Where a file names another that gives what it leaves out. */
#define BASE "based_on"
#define PATH sizeof(((jw_fault *)0)->path)

/* A number as the loader reads it; the backslashes are those of JSON. */
#define NUMBER "[+-]?([0-9]+\\\\.?[0-9]*|\\\\.[0-9]+)([eE][+-]?[0-9]+)?"
#define BLANKS "[ \\\\t]*"

/* Whether a path is a key's own or lies in its block. */
static int belongs(const char *path, const char *key)
{
	size_t length = strlen(key);
	return !strncmp(path, key, length) && (path[length] == '.' || !path[length]);
}

/* ---- keys ---- */

/* One key of a block: the part of a path between the block's prefix and the next dot. */
typedef struct key {
	const jw_field *field; /* the first row that has it */
	char name[PATH];
	char path[PATH]; /* with the prefix */
	int is_block;
} key;

static int key_of(const jw_field *field, const char *prefix, key *k)
{
	size_t skip = strlen(prefix);
	if (strncmp(field->path, prefix, skip))
		return 0;
	int length = (int)strcspn(field->path + skip, ".");
	snprintf(k->name, sizeof k->name, "%.*s", length, field->path + skip);
	snprintf(k->path, sizeof k->path, "%.*s", (int)skip + length, field->path);
	k->is_block = field->kind == JW_FIELD_BLOCK || field->path[strlen(k->path)] == '.';
	k->field = field;
	return 1;
}

/* The next key of a block that no earlier row had; NULL past the last. */
static const jw_field *next_key(const jw_field *table, const jw_field *from, const char *prefix, key *k)
{
	for (; from->path; from++) {
		int seen = !key_of(from, prefix, k);
		for (const jw_field *before = table; before != from && !seen; before++)
			seen = belongs(before->path, k->path);
		if (!seen)
			return from;
	}
	return NULL;
}

/* Whether a field must be given wherever the block `block` stands: itself without a default, and in no optional block
 * further in. */
static int needed(const jw_field *table, const jw_field *field, size_t block)
{
	if (field->standard || field->kind == JW_FIELD_BLOCK)
		return 0;
	for (; table->path; table++)
		if (table->kind == JW_FIELD_BLOCK && strlen(table->path) > block && belongs(field->path, table->path))
			return 0;
	return 1;
}

static int key_needed(const jw_field *table, const char *prefix, const key *k)
{
	size_t block = *prefix ? strlen(prefix) - 1 : 0;
	for (const jw_field *field = table; field->path; field++)
		if (belongs(field->path, k->path) && needed(table, field, block))
			return 1;
	return 0;
}

/* ---- values ---- */

static void put_object(const jw_field *table, const char *prefix, FILE *out);
static void put_value(const jw_field *field, FILE *out);

static void put_units(jw_dimension dimension, FILE *out)
{
	const char *names = jw_unit_names(dimension);
	while (*names) {
		size_t length = strcspn(names, ",");
		fprintf(out, "%.*s", (int)length, names);
		names += length + (names[length] ? strlen(", ") : 0);
		fputs(*names ? "|" : "", out);
	}
}

/* A bare number may stand as one, and its range be checked; a number with a unit is a text. */
static void put_quantity(const jw_field *field, FILE *out)
{
	char low[32], high[32];
	double least = 0, greatest = 0;
	int bare = field->dimension == JW_NUMBER || field->dimension == JW_FRACTION;
	jw_field_range(field, &least, &greatest);
	jw_quantity_write(least, JW_NUMBER, "", 15, low, sizeof low);
	jw_quantity_write(greatest, JW_NUMBER, "", 15, high, sizeof high);
	if (bare)
		fprintf(out, "\"type\": [\"number\", \"string\"], \"minimum\": %s, \"maximum\": %s, ", low, high);
	else
		fputs("\"type\": \"string\", ", out);
	fputs("\"pattern\": \"^" NUMBER, out);
	if (*jw_unit_names(field->dimension)) {
		fprintf(out, "%s%s(", bare ? "(" : "", BLANKS);
		put_units(field->dimension, out);
		fprintf(out, ")%s", bare ? ")?" : "");
	}
	fprintf(out, "$\", \"description\": \"%s to %s\"", field->low, field->high);
}

static void put_integer(const jw_field *field, FILE *out)
{
	fprintf(out, "\"type\": \"integer\", \"minimum\": %s, \"maximum\": %s", field->low, field->high);
}

static void put_word(const jw_field *field, FILE *out)
{
	fputs("\"enum\": [", out);
	for (int i = 0; field->word(i); i++)
		fprintf(out, "%s\"%s\"", i ? ", " : "", field->word(i));
	fputs("]", out);
}

static void put_words(const jw_field *field, FILE *out)
{
	fputs("\"type\": \"array\", \"items\": {", out);
	put_word(field, out);
	fputs("}", out);
}

/* Any scalar is a text to the loader, and a validator may have read it as a number. */
static void put_text(const jw_field *field, FILE *out)
{
	fprintf(out, "\"type\": [\"string\", \"number\"], \"minLength\": 1, \"maxLength\": %d", field->most);
}

static void put_name(const jw_field *field, FILE *out)
{
	fprintf(out, "\"type\": \"string\", \"pattern\": \"^[a-z0-9-]{1,%d}$\"", field->most);
}

static void put_row(const jw_field *field, FILE *out)
{
	int columns = 0;
	fputs("\"type\": \"array\", \"prefixItems\": [", out);
	for (const jw_field *column = field->columns; column->path; column++, columns++) {
		fputs(columns ? ", {" : "{", out);
		put_value(column, out);
		fputs("}", out);
	}
	fprintf(out, "], \"items\": false, \"minItems\": %d", columns);
}

static void put_list(const jw_field *field, FILE *out)
{
	fprintf(out, "\"type\": \"array\", \"minItems\": 1, \"maxItems\": %d, \"items\": {", field->most);
	if (field->kind == JW_FIELD_ROWS)
		put_row(field, out);
	else if (field->kind == JW_FIELD_LIST)
		put_value(field->columns, out);
	else
		put_object(field->columns, "", out);
	fputs("}", out);
}

/* ---- standard uncertainties ---- */

static void put_inner(const jw_field *table, const key *k, void (*put)(const jw_field *, const char *, FILE *),
                      FILE *out)
{
	char inner[PATH + 1];
	snprintf(inner, sizeof inner, "%s.", k->path);
	put(table, inner, out);
}

/* A standard uncertainty: in a unit of the quantity, or as a share of it. */
static void put_spread(const jw_field *field, FILE *out)
{
	int bare = field->dimension == JW_NUMBER || field->dimension == JW_FRACTION;
	fprintf(out, "\"type\": %s, \"pattern\": \"^" NUMBER "%s(%%", bare ? "[\"number\", \"string\"]" : "\"string\"",
	        BLANKS);
	fputs(*jw_unit_names(field->dimension) ? "|" : "", out);
	put_units(field->dimension, out);
	fprintf(out, ")%s$\"", bare ? "?" : "");
}

static void put_spread_keys(const jw_field *table, const char *prefix, FILE *out)
{
	key k;
	int count = 0;
	fputs("\"type\": \"object\", \"additionalProperties\": false, \"properties\": {", out);
	for (const jw_field *at = table; (at = next_key(table, at, prefix, &k)); at++) {
		int quantity = k.field->kind == JW_FIELD_QUANTITY && k.field->member, rows = k.field->kind == JW_FIELD_ROWS;
		if (!k.is_block && !quantity && !rows)
			continue;
		fprintf(out, "%s\n\"%s\": {", count++ ? "," : "", k.name);
		if (k.is_block)
			put_inner(table, &k, put_spread_keys, out);
		else if (rows)
			put_spread_keys(k.field->columns, "", out);
		else
			put_spread(k.field, out);
		fputs("}", out);
	}
	fputs("}", out);
}

static void put_spreads(const jw_field *field, FILE *out)
{
	put_spread_keys(field->keyed, "", out);
}

static void (*const put_kind[])(const jw_field *field, FILE *out) = {
    [JW_FIELD_QUANTITY] = put_quantity, [JW_FIELD_INTEGER] = put_integer, [JW_FIELD_WORD] = put_word,
    [JW_FIELD_WORDS] = put_words,       [JW_FIELD_TEXT] = put_text,       [JW_FIELD_NAME] = put_name,
    [JW_FIELD_ROW] = put_row,           [JW_FIELD_ROWS] = put_list,       [JW_FIELD_RECORDS] = put_list,
    [JW_FIELD_LIST] = put_list,         [JW_FIELD_SPREADS] = put_spreads,
};

static void put_value(const jw_field *field, FILE *out)
{
	put_kind[field->kind](field, out);
}

/* ---- blocks ---- */

static void put_properties(const jw_field *table, const char *prefix, FILE *out)
{
	key k;
	int count = 0;
	fputs("\"type\": \"object\", \"additionalProperties\": false, \"properties\": {", out);
	for (const jw_field *at = table; (at = next_key(table, at, prefix, &k)); at++) {
		fprintf(out, "%s\n\"%s\": {", count++ ? "," : "", k.name);
		if (k.is_block)
			put_inner(table, &k, put_properties, out);
		else
			put_value(k.field, out);
		if (!k.is_block && k.field->standard && *k.field->standard)
			fprintf(out, ", \"default\": \"%s\"", k.field->standard);
		fputs("}", out);
	}
	fputs("}", out);
}

/* What must be given, in this block and in those that are always there or happen to be. */
static void put_required(const jw_field *table, const char *prefix, FILE *out)
{
	key k;
	int count = 0;
	fputs("\"required\": [", out);
	for (const jw_field *at = table; (at = next_key(table, at, prefix, &k)); at++)
		if (key_needed(table, prefix, &k))
			fprintf(out, "%s\"%s\"", count++ ? ", " : "", k.name);
	fputs("], \"properties\": {", out);
	count = 0;
	for (const jw_field *at = table; (at = next_key(table, at, prefix, &k)); at++) {
		if (!k.is_block)
			continue;
		fprintf(out, "%s\"%s\": {", count++ ? ", " : "", k.name);
		put_inner(table, &k, put_required, out);
		fputs("}", out);
	}
	fputs("}", out);
}

static void put_object(const jw_field *table, const char *prefix, FILE *out)
{
	put_properties(table, prefix, out);
	fputs(",\n\"allOf\": [{", out);
	put_required(table, prefix, out);
	fputs("}]", out);
}

/* What a file that is based on another must still say itself. */
static void put_own(const jw_field *table, FILE *out)
{
	int count = 0;
	fputs("\"required\": [", out);
	for (const jw_field *field = table; field->path; field++)
		if (needed(table, field, 0) && !strchr(field->path, '.'))
			fprintf(out, "%s\"%s\"", count++ ? ", " : "", field->path);
	fputs("]", out);
}

static int has_key(const jw_field *table, const char *name)
{
	for (; table->path; table++)
		if (!strcmp(table->path, name))
			return 1;
	return 0;
}

static void put_file(const jw_field *table, FILE *out)
{
	if (!has_key(table, BASE)) {
		put_object(table, "", out);
		return;
	}
	put_properties(table, "", out);
	fputs(",\n\"if\": {\"required\": [\"" BASE "\"]}, \"then\": {", out);
	put_own(table, out);
	fputs("}, \"else\": {", out);
	put_required(table, "", out);
	fputs("}", out);
}

jw_status jw_schema_print(const jw_field *table, const char *kind, FILE *out)
{
	fprintf(out, "{\"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n\"title\": \"%s file\",\n", kind);
	put_file(table, out);
	fputs("}\n", out);
	return ferror(out) ? JW_E_WRITE : JW_OK;
}

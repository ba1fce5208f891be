/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/describe.h"

#include <locale.h>
#include <stdarg.h>
#include <string.h>

#define LONGEST_WORD 40
#define LONGEST_EACH 256
/* What a part of a word counts that stands for quite another one. */
#define OTHER_PART 3
/* A part that says something by itself. */
#define SHORTEST_PART 3

static void append(char *text, size_t size, const char *format, ...) __attribute__((format(printf, 3, 4)));

static void append(char *text, size_t size, const char *format, ...)
{
	size_t used = strlen(text);
	va_list arguments;
	va_start(arguments, format);
	vsnprintf(text + used, size - used, format, arguments);
	va_end(arguments);
}

static void list_words(const jw_field *field, char *text, size_t size)
{
	for (int i = 0; field->word(i); i++)
		append(text, size, "%s%s", i ? ", " : "", field->word(i));
}

static void list_columns(const jw_field *field, char open, char close, char *text, size_t size)
{
	append(text, size, "%c", open);
	for (const jw_field *column = field->columns; column->path; column++)
		append(text, size, "%s%s", column == field->columns ? "" : ", ", column->path);
	append(text, size, "%c", close);
}

void jw_field_expects(const jw_field *field, char *text, size_t size)
{
	*text = '\0';
	switch (field->kind) {
	case JW_FIELD_BLOCK:
		append(text, size, "a block of keys");
		break;
	case JW_FIELD_QUANTITY:
		append(text, size, "%s to %s", field->low, field->high);
		break;
	case JW_FIELD_INTEGER:
		append(text, size, "%s", field->low);
		if (strcmp(field->low, field->high))
			append(text, size, " to %s", field->high);
		break;
	case JW_FIELD_WORD:
		append(text, size, "one of ");
		list_words(field, text, size);
		break;
	case JW_FIELD_WORDS:
		append(text, size, "a list of ");
		list_words(field, text, size);
		break;
	case JW_FIELD_TEXT:
		append(text, size, "a text of 1 to %d bytes", field->most);
		if (field->example)
			append(text, size, ", such as %s", field->example);
		break;
	case JW_FIELD_NAME:
		append(text, size, "a name of 1 to %d of a-z, 0-9 and -", field->most);
		break;
	case JW_FIELD_ROW:
		list_columns(field, '[', ']', text, size);
		break;
	case JW_FIELD_ROWS:
		append(text, size, "a list of 1 to %d of ", field->most);
		list_columns(field, '[', ']', text, size);
		break;
	case JW_FIELD_LIST: {
		char each[LONGEST_EACH];
		jw_field_expects(field->columns, each, sizeof each);
		append(text, size, "a list of 1 to %d, each %s", field->most, each);
		break;
	}
	case JW_FIELD_SPREADS:
		append(text, size, "a block of keys as above, each with a standard uncertainty");
		break;
	case JW_FIELD_RECORDS:
		append(text, size, "a list of 1 to %d of ", field->most);
		list_columns(field, '{', '}', text, size);
		break;
	}
}

static int smaller(int a, int b)
{
	return a < b ? a : b;
}

/* Insertions, removals and replacements that turn one word into the other (Levenshtein). */
static int distance(const char *a, size_t of_a, const char *b, size_t length)
{
	int row[LONGEST_WORD + 1];
	if (length > LONGEST_WORD)
		return LONGEST_WORD;
	for (size_t j = 0; j <= length; j++)
		row[j] = (int)j;
	for (int i = 1; i <= (int)of_a; i++) {
		int diagonal = row[0];
		row[0] = i;
		for (size_t j = 1; j <= length; j++) {
			int replaced = diagonal + (a[i - 1] != b[j - 1]);
			diagonal = row[j];
			row[j] = smaller(replaced, smaller(row[j], row[j - 1]) + 1);
		}
	}
	return row[length];
}

/* The length of the part at the start of a text: up to its end or to the next _ or -. */
static size_t part_of(const char *text, size_t length)
{
	size_t part = 0;
	while (part < length && text[part] != '_' && text[part] != '-')
		part++;
	return part;
}

/* Of a part from the one among those of a candidate that is nearest to it. */
static int part_distance(const char *part, size_t of_part, const char *candidate, size_t length)
{
	int least = OTHER_PART;
	for (size_t at = 0, next; at < length; at += next + 1) {
		next = part_of(candidate + at, length - at);
		least = smaller(least, distance(part, of_part, candidate + at, next));
	}
	return least;
}

/* Part by part in any order, so that "no_spark" is near "spark_none" and "idles" near "idles_well": each part more
 * counts one. Far apart where not most parts are found again. */
static int distance_of_parts(const char *word, const char *candidate, size_t length)
{
	const size_t end = strlen(word);
	int sum = 0, found = 0, parts = 0;
	for (size_t at = 0, next; at < end; at += next + 1, parts++) {
		next = part_of(word + at, end - at);
		const int d = part_distance(word + at, next, candidate, length);
		found += d == 0 && next >= SHORTEST_PART ? 1 : d == OTHER_PART ? -1 : 0;
		sum += d;
	}
	for (size_t at = 0; at < length; at += part_of(candidate + at, length - at) + 1)
		parts--;
	return found > 0 ? sum + (parts < 0 ? -parts : 0) : LONGEST_WORD;
}

/* The nearest word so far, of those within a third of its length. */
typedef struct nearest {
	const char *word;
	size_t length;
	int distance;
} nearest;

static nearest nearest_begin(const char *word)
{
	return (nearest){.distance = 2 + (int)strlen(word) / 3};
}

static int apart(const char *word, const char *candidate, size_t length)
{
	return smaller(distance(word, strlen(word), candidate, length), distance_of_parts(word, candidate, length));
}

static void nearest_try(nearest *best, const char *word, const char *candidate, size_t length)
{
	int d = apart(word, candidate, length);
	if (d < best->distance)
		*best = (nearest){candidate, length, d};
}

const char *jw_word_nearest(const char *word, const char *const *known, int count)
{
	if (!word || !known)
		return NULL;
	nearest best = nearest_begin(word);
	for (int i = 0; i < count; i++)
		nearest_try(&best, word, known[i], strlen(known[i]));
	return best.word;
}

void jw_word_expects(const jw_field *field, const char *word, char *text, size_t size)
{
	nearest best = nearest_begin(word);
	for (int i = 0; field->word(i); i++)
		nearest_try(&best, word, field->word(i), strlen(field->word(i)));
	if (!best.word) {
		jw_field_expects(field, text, size);
		return;
	}
	/* All that are as near. */
	snprintf(text, size, "%s", best.word);
	for (int i = 0; field->word(i); i++)
		if (field->word(i) != best.word && apart(word, field->word(i), strlen(field->word(i))) == best.distance)
			append(text, size, " or %s", field->word(i));
}

void jw_key_expects(const jw_field *table, const char *prefix, const char *key, char *text, size_t size)
{
	size_t skip = strlen(prefix), last = 0;
	const char *listed = "";
	nearest best = nearest_begin(key);
	*text = '\0';
	for (const jw_field *field = table; field->path; field++) {
		const char *name = field->path + skip;
		if (strncmp(field->path, prefix, skip))
			continue;
		size_t length = strcspn(name, ".");
		if (length == last && !memcmp(name, listed, length))
			continue;
		append(text, size, "%s%.*s", *text ? ", " : "one of ", (int)length, name);
		nearest_try(&best, key, name, length);
		listed = name;
		last = length;
	}
	if (best.word)
		snprintf(text, size, "%.*s", (int)best.length, best.word);
}

/* Decimal point whatever the caller's locale, which is this thread's own matter and put back. */
static void format_number(double value, int digits, char *text, size_t size)
{
	locale_t c_locale = newlocale(LC_ALL_MASK, "C", (locale_t)0);
	locale_t before = c_locale ? uselocale(c_locale) : (locale_t)0;
	snprintf(text, size, "%.*g", digits, value);
	if (c_locale) {
		uselocale(before);
		freelocale(c_locale);
	}
}

void jw_quantity_write(double si, jw_dimension dimension, const char *unit, int digits, char *text, size_t size)
{
	double value = si;
	jw_quantity_in(si, dimension, unit + strspn(unit, " "), &value, NULL);
	format_number(value, digits, text, size);
	append(text, size, "%s", unit);
}

void jw_field_format(const jw_field *field, double si, char *text, size_t size)
{
	const char *unit = field->low ? field->low + strspn(field->low, "+-.0123456789") : "";
	jw_quantity_write(si, field->dimension, unit, 5, text, size);
}

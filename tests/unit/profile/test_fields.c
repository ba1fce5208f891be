/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tables themselves, and that the files that come along show every row. */
#include "near.h"
#include "profile/describe.h"
#include "profile/files.h"

#include <stdlib.h>
#include <string.h>

static const struct {
	const char *name;
	const jw_field *table;
	const char *example[8]; /* files of the kind that show every row between them */
} kinds[] = {{"engine",
              jw_engine_fields,
              {"engines/courier-150", "engines/moped-50", "engines/pump-200", "engines/trail-250",
               "engines/estate-1100", "classes/scooter-125", "../tests/profiles/good/engine-based-on-a-class",
               "../tests/profiles/good/engine-with-all-that-is-optional"}},
             {"fuel", jw_fuel_fields, {"fuels/e5"}},
             {"case",
              jw_case_fields,
              {"cases/open-filter-fitted", "cases/mower-surges", "cases/jets-fitted", "cases/known-by-its-jets",
               "cases/one-fault-after-another"}},
             {"readings", jw_readings_fields, {"readings/courier-150-road"}},
             {"jets", jw_jets_fields, {"jets/flowed-at-half-a-metre"}}};
#define KINDS (sizeof kinds / sizeof *kinds)

static void check_row(const jw_field *field, const char *kind)
{
	double low = NAN, high = NAN;
	if (field->kind == JW_FIELD_QUANTITY) {
		jw_field_range(field, &low, &high);
		cr_expect(low < high, "%s %s: %g to %g", kind, field->path, low, high);
		cr_expect(jw_field_accepts(field, field->low) && jw_field_accepts(field, field->high), "%s", field->path);
	}
	if (field->standard && *field->standard)
		cr_expect(jw_field_accepts(field, field->standard), "%s %s: default %s", kind, field->path, field->standard);
	cr_expect(strlen(field->path) < sizeof(((jw_fault *)0)->path) / 2, "%s", field->path);
	for (const jw_field *column = field->columns; column && column->path; column++)
		check_row(column, kind);
}

Test(fields, bounds_and_defaults_are_readable)
{
	for (size_t i = 0; i < KINDS; i++)
		for (const jw_field *field = kinds[i].table; field->path; field++)
			check_row(field, kinds[i].name);
}

static jw_node *load_example(const char *name)
{
	char path[256];
	jw_faults faults;
	jw_node *root = NULL;
	snprintf(path, sizeof path, "%s/profiles/%s.yaml", JW_SOURCE_DIR, name);
	jw_faults_begin(&faults, path);
	cr_assert_eq(jw_tree_load(path, &root, &faults), JW_OK, "%s", path);
	return root;
}

/* Whether braces and brackets close in the order in which they opened, outside of strings, and something opened. */
static int is_closed(const char *json)
{
	char open[64];
	int depth = 0, opened = 0, quoted = 0;
	for (const char *at = json; *at; at++) {
		if (*at == '\\' && quoted)
			at++;
		else if (*at == '"')
			quoted = !quoted;
		else if (!quoted && (*at == '{' || *at == '[')) {
			cr_assert_lt(depth, (int)sizeof open);
			open[depth++] = *at;
			opened++;
		} else if (!quoted && (*at == '}' || *at == ']')) {
			if (!depth || open[--depth] != (*at == '}' ? '{' : '['))
				return 0;
		}
	}
	return opened && !depth && !quoted;
}

Test(fields, kinds_are_listed_and_each_has_a_schema)
{
	int listed = 0;
	for (; jw_profile_kind(listed); listed++) {
		char *text = NULL;
		size_t size = 0;
		FILE *out = open_memstream(&text, &size);
		cr_assert_not_null(out);
		cr_expect_eq(jw_profile_schema(jw_profile_kind(listed), out), JW_OK, "%s", jw_profile_kind(listed));
		fclose(out);
		cr_expect(strstr(text, "https://json-schema.org/draft/2020-12/schema"), "%s", jw_profile_kind(listed));
		cr_expect(is_closed(text), "%s: %s", jw_profile_kind(listed), text);
		free(text);
	}
	cr_expect_eq(listed, (int)KINDS);
	cr_expect_null(jw_profile_kind(-1));
	cr_expect_eq(jw_profile_schema("jet", stderr), JW_E_NOT_FOUND);
	cr_expect_eq(jw_profile_schema(NULL, stderr), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_schema("fuel", NULL), JW_E_ARGUMENT);
}

Test(fields, every_row_is_shown_by_a_file_or_has_a_default)
{
	for (size_t i = 0; i < KINDS; i++) {
		jw_node *root[8] = {NULL};
		for (int k = 0; k < 8 && kinds[i].example[k]; k++)
			root[k] = load_example(kinds[i].example[k]);
		for (const jw_field *field = kinds[i].table; field->path; field++) {
			int shown = field->standard && *field->standard;
			/* The ways to state the air exclude each other; coefficients stand in place of a baseline. */
			shown |= strstr(field->path, "pressure") || strstr(field->path, "altitude") ||
			         strstr(field->path, "dew_point") || strstr(field->path, "coefficients");
			for (int k = 0; k < 8 && root[k]; k++)
				shown |= jw_node_find(root[k], field->path, NULL) != NULL;
			cr_expect(shown, "%s: %s", kinds[i].name, field->path);
		}
		for (int k = 0; k < 8; k++)
			jw_tree_free(root[k]);
	}
}

/* A row in every file of the reference, so that page and tables cannot drift apart. */
Test(fields, readme_prints_the_tables)
{
	FILE *file = fopen(JW_SOURCE_DIR "/profiles/README.md", "r");
	cr_assert(file);
	char *readme = calloc(1, 65536);
	cr_assert(fread(readme, 1, 65535, file) > 0);
	fclose(file);
	for (size_t i = 0; i < KINDS; i++) {
		char *table = NULL;
		size_t size = 0;
		FILE *out = open_memstream(&table, &size);
		cr_assert_eq(jw_profile_fields(kinds[i].name, out), JW_OK);
		fclose(out);
		cr_expect(strstr(readme, table), "profiles/README.md lacks this table:\n%s", table);
		free(table);
	}
	free(readme);
}

Test(fields, printing_fails_in_words)
{
	FILE *full = fopen("/dev/full", "w");
	cr_assert(full);
	setvbuf(full, NULL, _IONBF, 0);
	cr_expect_eq(jw_profile_fields("engine", full), JW_E_WRITE);
	cr_expect_eq(jw_profile_fields("jet", full), JW_E_NOT_FOUND);
	cr_expect_eq(jw_profile_fields(NULL, full), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_fields("fuel", NULL), JW_E_ARGUMENT);
	fclose(full);
}

/* A table of every kind of field, apart from those of the files. */
typedef struct record {
	int which;
	double number;
} record;

typedef struct sample {
	double length;
	int count, which, flags[2];
	char text[5], name[5];
	double pair[2], rows[3], list[3];
	int row_count, listed;
	record record[2];
	int records;
	double inner, deep;
} sample;

static const char *sample_word(int index)
{
	static const char *const words[] = {"alpha", "beta"};
	return index < 2 ? words[index] : NULL;
}

static const jw_field pair_cells[] = {
    {"first", JW_FIELD_QUANTITY, NULL, JW_NUMBER, "0", "9", .offset = 0},
    {"second", JW_FIELD_QUANTITY, NULL, JW_NUMBER, "0", "9", .offset = sizeof(double)},
    {.path = NULL}};
static const jw_field row_cells[] = {
    {"only", JW_FIELD_QUANTITY, NULL, JW_NUMBER, "0", "9", .stride = sizeof(double), .member = "cell_member"},
    {.path = NULL}};
static const jw_field record_cells[] = {
    {"which", JW_FIELD_WORD, NULL, .word = sample_word, JW_AT(record, which), .stride = sizeof(record)},
    {"number", JW_FIELD_QUANTITY, "3", JW_NUMBER, "0", "9", JW_AT(record, number), .stride = sizeof(record),
     .member = "number_member"},
    {.path = NULL}};
static const jw_field sample_fields[] = {
    {"length", JW_FIELD_QUANTITY, "2 mm", JW_LENGTH, "1 mm", "30 mm", JW_AT(sample, length), .member = "length_m"},
    {"count", JW_FIELD_INTEGER, "1", .low = "1", .high = "12", JW_AT(sample, count)},
    {"which", JW_FIELD_WORD, "", .word = sample_word, JW_AT(sample, which)},
    {"flags", JW_FIELD_WORDS, "", .word = sample_word, JW_AT(sample, flags)},
    {"text", JW_FIELD_TEXT, "", .most = 4, JW_AT(sample, text)},
    {"name", JW_FIELD_NAME, "", .most = 4, JW_AT(sample, name)},
    {"pair", JW_FIELD_ROW, "", .columns = pair_cells, JW_AT(sample, pair)},
    {"rows", JW_FIELD_ROWS, "", .most = 3, .columns = row_cells, JW_AT(sample, rows),
     .count = offsetof(sample, row_count)},
    {"list", JW_FIELD_LIST, "", .most = 3, .columns = row_cells, JW_AT(sample, list),
     .count = offsetof(sample, listed)},
    {"records", JW_FIELD_RECORDS, "", .most = 2, .columns = record_cells, JW_AT(sample, record),
     .count = offsetof(sample, records)},
    {"block", JW_FIELD_BLOCK, ""},
    {"block.inner", JW_FIELD_QUANTITY, NULL, JW_NUMBER, "0", "9", JW_AT(sample, inner), .member = "inner_member"},
    {"block.more.deep", JW_FIELD_QUANTITY, "5", JW_NUMBER, "0", "9", JW_AT(sample, deep)},
    {.path = NULL}};

static sample read_sample(const char *text, jw_faults *faults)
{
	sample s = {.inner = -1, .deep = -1, .which = -1};
	jw_node *root = NULL;
	jw_faults_begin(faults, "sample");
	cr_assert_eq(jw_tree_parse(text, strlen(text), &root, faults), JW_OK, "%s", text);
	jw_fields_read(sample_fields, root, &s, faults);
	jw_tree_free(root);
	return s;
}

Test(fields, every_kind_is_read)
{
	jw_faults faults;
	sample s = read_sample(
	    "length: 0.5 in\ncount: 12\nwhich: beta\nflags: [beta]\ntext: \"a b\"\nname: a-1\npair: [1, 2]\n"
	    "rows: [[4], [5]]\nlist: [6, 7.5]\nrecords: [{which: beta}, {which: alpha, number: 7}]\nblock: {inner: 8}\n",
	    &faults);
	cr_expect_eq(faults.count, 0, "%s", faults.item[0].message);
	JW_NEAR_REL(s.length, 0.0127, 1e-15);
	cr_expect(s.count == 12 && s.which == 1 && !s.flags[0] && s.flags[1] && s.pair[0] == 1 && s.pair[1] == 2);
	cr_expect_str_eq(s.text, "a b");
	cr_expect_str_eq(s.name, "a-1");
	cr_expect(s.row_count == 2 && s.rows[0] == 4 && s.rows[1] == 5 && s.rows[2] == 0);
	cr_expect(s.listed == 2 && s.list[0] == 6 && s.list[1] == 7.5 && s.list[2] == 0);
	cr_expect(s.records == 2 && s.record[0].which == 1 && s.record[0].number == 3 && s.record[1].number == 7);
	cr_expect(s.inner == 8 && s.deep == 5);

	s = read_sample("which: alpha", &faults);
	cr_expect_eq(faults.count, 0);
	JW_NEAR_REL(s.length, 0.002, 1e-15);
	cr_expect(s.count == 1 && s.inner == -1 && s.deep == -1,
	          "an optional block that is absent leaves its fields alone");
}

Test(fields, what_is_wrong_is_told_where_it_stands)
{
	static const struct {
		const char *text;
		int column;
		const char *path, *message;
	} rows[] = {
	    {"length: 2", 9, "length", "is \"2\", expected 1 mm to 30 mm"},
	    {"length: 31 mm", 9, "length", "is \"31 mm\", expected 1 mm to 30 mm"},
	    {"length: [2 mm]", 9, "length", "is a list of 1, expected 1 mm to 30 mm"},
	    {"length: {a: 2 mm}", 9, "length", "is a block, expected 1 mm to 30 mm"},
	    {"length:", 8, "length", "is \"\", expected 1 mm to 30 mm"},
	    {"count: 0", 8, "count", "is \"0\", expected 1 to 12"},
	    {"count: -1", 8, "count", "is \"-1\", expected 1 to 12"},
	    {"count: 1.5", 8, "count", "is \"1.5\", expected 1 to 12"},
	    {"count: 99999999999999999999", 8, "count", "is \"99999999999999999999\", expected 1 to 12"},
	    {"which: alfa", 8, "which", "is \"alfa\", expected alpha"},
	    {"which: gamma ray", 8, "which", "is \"gamma ray\", expected one of alpha, beta"},
	    {"flags: beta", 8, "flags", "is \"beta\", expected a list of alpha, beta"},
	    {"flags: [[beta]]", 9, "flags[1]", "is a list of 1, expected a list of alpha, beta"},
	    {"text: abcde", 7, "text", "is \"abcde\", expected a text of 1 to 4 bytes"},
	    {"name: a/b", 7, "name", "is \"a/b\", expected a name of 1 to 4 of a-z, 0-9 and -"},
	    {"name: ..", 7, "name", "is \"..\", expected a name of 1 to 4 of a-z, 0-9 and -"},
	    {"name: A", 7, "name", "is \"A\", expected a name of 1 to 4 of a-z, 0-9 and -"},
	    {"pair: [1]", 7, "pair", "is a list of 1, expected [first, second]"},
	    {"pair: [1, 2, 3]", 7, "pair", "is a list of 3, expected [first, second]"},
	    {"pair: 1", 7, "pair", "is \"1\", expected [first, second]"},
	    {"pair: [1, 10]", 11, "pair[2]", "is \"10\", expected 0 to 9"},
	    {"rows: [[1], [2], [3], [4]]", 7, "rows", "is a list of 4, expected a list of 1 to 3 of [only]"},
	    {"rows: [1]", 8, "rows[1]", "is \"1\", expected [only]"},
	    {"rows: []", 7, "rows", "is a list of 0, expected a list of 1 to 3 of [only]"},
	    {"list: 1", 7, "list", "is \"1\", expected a list of 1 to 3, each 0 to 9"},
	    {"list: []", 7, "list", "is a list of 0, expected a list of 1 to 3, each 0 to 9"},
	    {"list: [1, 10]", 11, "list[2]", "is \"10\", expected 0 to 9"},
	    {"list: [[1]]", 8, "list[1]", "is a list of 1, expected 0 to 9"},
	    {"list: [1, 2, 3, 4]", 7, "list", "is a list of 4, expected a list of 1 to 3, each 0 to 9"},
	    {"records: [{number: 1}]", 11, "records[1].which", "is missing, expected one of alpha, beta"},
	    {"records: [{which: alpha, nmber: 1}]", 26, "records[1].nmber", "is an unknown key, expected number"},
	    {"records: [[alpha]]", 11, "records[1]", "is a list of 1, expected a block of keys"},
	    {"block: {}", 1, "block.inner", "is missing, expected 0 to 9"},
	    {"block: 1", 8, "block", "is not a block, expected keys with values"},
	    {"block: {inner: 1, more: 1}", 25, "block.more", "is not a block, expected keys with values"},
	    {"block: {inner: 1, more: {dep: 1}}", 26, "block.more.dep", "is an unknown key, expected deep"},
	    {"lenght: 2 mm", 1, "lenght", "is an unknown key, expected length"},
	    {"\"block.inner\": 2", 1, "block.inner",
	     "is an unknown key, expected one of length, count, which, flags, text, name, pair, rows, list, records, "
	     "block"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_faults faults;
		read_sample(rows[i].text, &faults);
		const jw_fault *f = faults.item;
		cr_expect_eq(faults.count, 1, "%s: %d faults", rows[i].text, faults.count);
		cr_expect(f->line == 1 && f->column == rows[i].column, "%s: %d:%d", rows[i].text, f->line, f->column);
		cr_expect_str_eq(f->path, rows[i].path, "%s: %s", rows[i].text, f->path);
		cr_expect_str_eq(f->message, rows[i].message, "%s: %s", rows[i].text, f->message);
	}
}

Test(fields, all_faults_are_told_in_file_order)
{
	jw_faults faults;
	read_sample("name: A\nlenght: 1\nlength: 1\nblock: {more: {deep: 10}}\ncount: x\n", &faults);
	cr_expect_eq(faults.count, 6);
	for (int i = 1; i < faults.count; i++)
		cr_expect_leq(faults.item[i - 1].line, faults.item[i].line);
}

Test(fields, errors_of_other_modules_find_their_key)
{
	static const struct {
		const char *text;
		jw_error error;
		int column;
		const char *path, *message;
	} rows[] = {
	    {"length: 3 mm",
	     {JW_E_RANGE, "length_m", 0.003, 0.004, INFINITY},
	     9,
	     "length",
	     "is 3 mm, expected at least 4 mm beside the other values"},
	    {"count: 3",
	     {JW_E_RANGE, "length_m", 0.002, 0.004, 0.005},
	     1,
	     "length",
	     "is 2 mm where nothing is said, expected 4 mm to 5 mm beside the other values"},
	    {"count: 3",
	     {JW_E_RANGE, "inner_member", 0, 1, 2},
	     1,
	     "block.inner",
	     "is missing, expected 1 to 2 beside the other values"},
	    {"rows: [[4], [5]]",
	     {JW_E_RANGE, "cell_member", 5, 6, 7},
	     14,
	     "rows[2][1]",
	     "is 5, expected 6 to 7 beside the other values"},
	    {"rows: [[4], [4]]",
	     {JW_E_RANGE, "cell_member", 4, 5, 6},
	     7,
	     "rows",
	     "only is 4, expected 5 to 6 beside the other values"},
	    {"records: [{which: beta}, {which: beta, number: 2}]",
	     {JW_E_RANGE, "number_member", 2, 0, 0},
	     48,
	     "records[2].number",
	     "is 2, expected none beside the other values"},
	    {"records: [{which: beta}]",
	     {JW_E_RANGE, "number_member", 3, 0, 0},
	     10,
	     "records",
	     "number is 3, expected none beside the other values"},
	    {"length: 3 mm",
	     {JW_E_NO_ROOT, "length_m", 0, 0, 0},
	     9,
	     "length",
	     "is 3 mm, expected values that agree: no solution between the given bounds"},
	    {"length: 3 mm",
	     {JW_E_NO_ROOT, "elsewhere", 0, 0, 0},
	     1,
	     "elsewhere",
	     "is wrong, expected values that agree: no solution between the given bounds"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_faults faults;
		jw_node *root = NULL;
		jw_faults_begin(&faults, "sample");
		cr_assert_eq(jw_tree_parse(rows[i].text, strlen(rows[i].text), &root, &faults), JW_OK);
		jw_fields_blame(sample_fields, root, &rows[i].error, &faults);
		const jw_fault *f = faults.item;
		cr_expect_eq(f->column, rows[i].column, "row %zu: column %d", i, f->column);
		cr_expect_str_eq(f->path, rows[i].path, "row %zu: %s", i, f->path);
		cr_expect_str_eq(f->message, rows[i].message, "row %zu: %s", i, f->message);
		jw_tree_free(root);
	}
}

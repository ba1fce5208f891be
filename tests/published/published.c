/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs every row of the CSV files in a folder against the library; see README.md beside it. */
#include "calls.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LINE_MAX_BYTES 1024
enum { ID, KIND, FUNCTION, INPUTS, EXPECTED, UNIT, TOLERANCE, SOURCE, COLUMNS };

static const char *const columns[COLUMNS] = {"id",       "kind", "function",  "inputs",
                                             "expected", "unit", "tolerance", "source"};
static const char *const kinds[] = {"published", "standard", "memory", "derived"};
#define KINDS (sizeof kinds / sizeof *kinds)

/* Rows that each file must hold, so that none gets lost unseen. */
static const struct {
	const char *name;
	int rows;
} files[] = {
    {"atmosphere", 24},    {"drills", 31},     {"simple", 10},    {"exhaust", 4},     {"gas_dynamics", 15},
    {"heywood", 21},       {"information", 5}, {"liquids", 44},   {"moist_air", 16},  {"orifices", 18},
    {"other_sources", 14}, {"petroleum", 9},   {"textbooks", 32}, {"worked_out", 34}, {"uncertainty", 11},
    {"wall_film", 8},      {"tanks", 4},
};

#define FILES (sizeof files / sizeof *files)

/* Row units in SI. */
static const struct {
	const char *name;
	double si;
} units[] = {
    {"-", 1},
    {"K", 1},
    {"Pa", 1},
    {"s", 1},
    {"kg/m3", 1},
    {"kg/s", 1},
    {"kg/kg", 1},
    {"m/s", 1},
    {"bit", 1},
    {"Pa s", 1},
    {"%", 0.01},
    {"% m/m", 0.01},
    {"cm", 1e-2},
    {"mm", 1e-3},
    {"in", 0.0254},
    {"nm", 1e-9},
    {"1/K", 1},
    {"bar", 1e5},
    {"g/s", 1e-3},
    {"mPa s", 1e-3},
    {"mm2/s", 1e-6},
    {"Btu/lb", 2326},
    {"MJ/kg", 1e6},
    {"L/h", 1e-3 / 3600},
    {"mm H2O", 9.80665},
};

typedef struct tally {
	int tried[KINDS], passed[KINDS];
} tally;

/* Splits a line in place; a field in quotes may hold commas. */
static int split_csv(char *line, char *field[COLUMNS])
{
	int n = 0;
	line[strcspn(line, "\r\n")] = '\0';
	for (char *at = line; n < COLUMNS; at++) {
		int quoted = *at == '"';
		field[n++] = at += quoted;
		at += strcspn(at, quoted ? "\"" : ",");
		if (quoted && *at)
			*at++ = '\0';
		if (*at != ',')
			return *at == '\0' ? n : -1;
		*at = '\0';
	}
	return -1;
}

/* Numbers with blanks between, nothing after. */
static int read_values(const char *text, values *list)
{
	list->count = 0;
	for (char *end; *text; text = end + (*end == ' ')) {
		if (list->count == VALUES_MAX)
			return 0;
		list->value[list->count++] = strtod(text, &end);
		if (end == text || (*end && *end != ' '))
			return 0;
	}
	return list->count > 0;
}

static int read_number(const char *text, double *number)
{
	char *end;
	*number = strtod(text, &end);
	return end != text && !*end;
}

static const call *find_call(const char *name)
{
	for (const call *c = calls; c->name; c++)
		if (!strcmp(c->name, name))
			return c;
	return NULL;
}

/* Place of a word in a blank-separated list, or -1. */
static int place_of(const char *word, size_t length, const char *list)
{
	for (int place = 0; *list; place++) {
		size_t n = strcspn(list, " ");
		if (n == length && !strncmp(list, word, n))
			return place;
		list += n + (list[n] == ' ');
	}
	return -1;
}

static int count_words(const char *list)
{
	int n = 1;
	for (; *list; list++)
		n += *list == ' ';
	return n;
}

/* "name=value;..." into the order of the call: each input once, none missing, none unknown. */
static int read_inputs(char *text, const call *c, values in[INPUTS_MAX])
{
	int found = 0, seen[INPUTS_MAX] = {0};
	for (char *item = strtok(text, ";"); item; item = strtok(NULL, ";")) {
		size_t n = strcspn(item, "=");
		int place = place_of(item, n, c->inputs);
		if (!item[n] || place < 0 || place >= INPUTS_MAX || seen[place]++ || !read_values(item + n + 1, &in[place]))
			return 0;
		found++;
	}
	return found == count_words(c->inputs);
}

/* Largest difference of a row over its tolerance, or NaN with a message. */
static double judge(char *field[COLUMNS])
{
	const char *fault = NULL;
	const call *c = find_call(field[FUNCTION]);
	values in[INPUTS_MAX], expected, got = {.count = 1};
	double tolerance, si = 0.0, worst = 0.0;
	int relative = !strncmp(field[TOLERANCE], "rel ", 4);
	for (size_t i = 0; i < sizeof units / sizeof *units; i++)
		if (!strcmp(units[i].name, field[UNIT]))
			si = units[i].si;
	if (!c)
		fault = "unknown function";
	else if (!read_inputs(field[INPUTS], c, in))
		fault = "inputs do not fit the function";
	else if (!read_values(field[EXPECTED], &expected))
		fault = "expected is not a number";
	else if (si == 0.0)
		fault = "unknown unit";
	else if ((!relative && strncmp(field[TOLERANCE], "abs ", 4) != 0) || !read_number(field[TOLERANCE] + 4, &tolerance))
		fault = "tolerance is neither \"abs x\" nor \"rel x\"";
	else if (c->compute(in, &got) < 0)
		fault = "the function returned an error";
	else if (got.count != expected.count)
		fault = "wrong number of results";
	if (fault) {
		printf("  %s: %s\n", field[ID], fault);
		return NAN;
	}
	for (int i = 0; i < got.count; i++) {
		double e = expected.value[i], value = got.value[i] / si;
		double part = fabs(value - e) / (relative ? tolerance * fabs(e) : tolerance);
		if (!(part <= 1.0))
			printf("  %s: %.12g %s, expected %.12g, %s (%s)\n", field[ID], value, field[UNIT], e, field[TOLERANCE],
			       field[SOURCE]);
		if (isnan(part))
			return NAN;
		worst = fmax(worst, part);
	}
	return worst;
}

static int kind_of(const char *name)
{
	for (size_t i = 0; i < KINDS; i++)
		if (!strcmp(kinds[i], name))
			return (int)i;
	return -1;
}

static int check_header(char *line)
{
	char *field[COLUMNS];
	if (split_csv(line, field) != COLUMNS)
		return 0;
	for (int i = 0; i < COLUMNS; i++)
		if (strcmp(field[i], columns[i]) != 0)
			return 0;
	return 1;
}

/* Returns the number of faults. */
static int run_file(const char *folder, const char *name, int rows, tally *sum)
{
	char path[512], line[LINE_MAX_BYTES], worst_id[64] = "none";
	snprintf(path, sizeof path, "%s/%s.csv", folder, name);
	FILE *file = fopen(path, "r");
	if (!file || !fgets(line, sizeof line, file) || !check_header(line)) {
		printf("%s: cannot be read, or its header is not as expected\n", path);
		if (file)
			fclose(file);
		return 1;
	}
	int tried = 0, passed = 0;
	double worst = 0.0;
	while (fgets(line, sizeof line, file)) {
		char *field[COLUMNS];
		tried++;
		int whole = strchr(line, '\n') && split_csv(line, field) == COLUMNS;
		int kind = whole ? kind_of(field[KIND]) : -1;
		if (kind < 0) {
			printf("  row %d is not well formed\n", tried);
			continue;
		}
		double part = judge(field);
		int good = part <= 1.0;
		passed += good;
		sum->tried[kind]++;
		sum->passed[kind] += good;
		if (part >= worst) {
			worst = part;
			snprintf(worst_id, sizeof worst_id, "%s", field[ID]);
		}
	}
	fclose(file);
	printf("%-13s %3d of %3d rows; largest difference %.3g of its tolerance (%s)\n", name, passed, tried, worst,
	       worst_id);
	if (tried != rows)
		printf("  %s: %d rows, expected %d\n", name, tried, rows);
	return (tried - passed) + (tried != rows);
}

static int is_named(const char *file_name)
{
	char name[64];
	for (size_t i = 0; i < FILES; i++) {
		snprintf(name, sizeof name, "%s.csv", files[i].name);
		if (!strcmp(name, file_name))
			return 1;
	}
	return 0;
}

/* A file that the table does not name would never be read. */
static int unnamed_files(const char *folder)
{
	int faults = 0;
	DIR *listing = opendir(folder);
	for (const struct dirent *entry; listing && (entry = readdir(listing));) {
		const char *ending = strrchr(entry->d_name, '.');
		if (!ending || strcmp(ending, ".csv") != 0 || is_named(entry->d_name))
			continue;
		printf("%s is not in the table of published.c\n", entry->d_name);
		faults++;
	}
	if (listing)
		closedir(listing);
	return faults;
}

int main(int argc, char **argv)
{
	if (argc != 2) {
		fprintf(stderr, "usage: published FOLDER\n");
		return 2;
	}
	tally sum = {0};
	int faults = unnamed_files(argv[1]), passed = 0;
	for (size_t i = 0; i < FILES; i++)
		faults += run_file(argv[1], files[i].name, files[i].rows, &sum);
	for (size_t i = 0; i < KINDS; i++) {
		printf("%-13s %3d of %3d pass%s\n", kinds[i], sum.passed[i], sum.tried[i], i < 2 ? " (outside check)" : "");
		passed += sum.passed[i];
	}
	printf("%d passed, %d failed\n", passed, faults);
	return faults ? 1 : 0;
}

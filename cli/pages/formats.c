/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A man page a kind of file: its keys out of the field tables, what they mean out of the README of the profiles, and a
 * file that comes along. */
#include "pages.h"
#include <stdlib.h>
#include <string.h>

enum { LINE = 16 * 1024 };

const format_page format_pages[] = {
    {"engine",
     "profile",
     "Engine",
     1,
     "an engine with its carburetor and intake, for jetwright",
     "engines/moped-50",
     {{"check moped-50", "whether it is well formed and sensible"},
      {"check moped-50 --measure", "what of it nobody measured, and how to measure it"},
      {"list --schema engine", "the same as a JSON Schema, for editors"}}},
    {"case",
     "case",
     "Case",
     1,
     "what was seen, tried and done on one engine, for jetwright",
     "cases/stood-five-months",
     {{"check stood-five-months", "whether it is well formed"},
      {"explain stood-five-months", "what explains it"},
      {"list evidence", "the words for what was seen"}}},
    {"readings",
     "readings",
     "Readings",
     1,
     "what instruments showed on one engine, for jetwright",
     "readings/courier-150-road",
     {{"check courier-150-road", "whether it is well formed"},
      {"fit courier-150 courier-150-road", "the profile made to agree with it"}}},
    {"jets",
     "jets",
     "Jets",
     0,
     "a set of jets at hand, for jetwright",
     "jets/metric-steps",
     {{"check metric-steps", "how many jets, from which bore to which"},
      {"rejet courier-150 --altitude 1600m --jets metric-steps", "what to fit out of it"}}},
    {"fuel",
     "fuel",
     "Fuel",
     0,
     "a fuel by what it is blended of, for jetwright",
     "fuels/e10",
     {{"check e10", "whether it is well formed"}, {"rejet courier-150 --fuel e10", "what it does to the mixture"}}},
    {.kind = NULL},
};

/* ---- the keys ---- */

/* "path  kind  need  expected", parted by blanks; what is needed ends where two follow each other. */
static void write_key(FILE *out, char *row)
{
	char *path = row, *kind = path + strcspn(path, " ");
	*kind++ = '\0';
	kind += strspn(kind, " ");
	char *need = kind + strcspn(kind, " ");
	*need++ = '\0';
	need += strspn(need, " ");
	char *expected = strstr(need, "  ");
	if (!expected)
		page_fail("no two blanks end what is needed: %s", need);
	*expected++ = '\0';
	expected += strspn(expected, " ");
	fprintf(out, ".TP\n.B ");
	roff_text(out, path);
	fprintf(out, "\n%s, ", kind);
	roff_text(out, need);
	fprintf(out, ":\n");
	roff_text(out, expected);
	fputc('\n', out);
}

static void write_keys(FILE *out, const char *kind)
{
	char *table = NULL;
	size_t size = 0;
	FILE *memory = open_memstream(&table, &size);
	if (!memory || jw_profile_fields(kind, memory) != JW_OK || fclose(memory))
		page_fail("no fields of %s", kind);
	fprintf(
	    out,
	    ".SH KEYS\n"
	    "Keys are joined by points; [] stands for each entry of a list. Each tells what it holds, whether it must be "
	    "given or what holds without it, and what is expected.\n");
	for (char *rest = NULL, *row = strtok_r(table, "\n", &rest); row; row = strtok_r(NULL, "\n", &rest))
		write_key(out, row);
	free(table);
}

/* ---- the page ---- */

static void write_file(FILE *out, const char *profiles, const char *name)
{
	char path[1024], line[1024];
	snprintf(path, sizeof path, "%s/%s.yaml", profiles, name);
	FILE *file = fopen(path, "r");
	if (!file)
		page_fail("cannot read %s", path);
	fprintf(out, ".PP\nOne that comes along:\n.PP\n.EX\n");
	while (fgets(line, sizeof line, file))
		roff_text(out, line);
	fprintf(out, ".EE\n");
	fclose(file);
}

static void write_format(const char *folder, const char *profiles, const format_page *page)
{
	char name[64];
	snprintf(name, sizeof name, "jetwright-%s", page->page);
	FILE *out = page_open(folder, "man5/%s.5", name);
	roff_heading(out, name, 5, "File Formats");
	fprintf(out, "jetwright\\-%s \\- %s\n.SH DESCRIPTION\n", page->page, page->summary);
	write_section(out, profiles, "How to write one");
	write_keys(out, page->kind);
	fprintf(out, ".SH WHAT THEY MEAN\n");
	write_section(out, profiles, page->section);
	if (page->air) {
		fprintf(out, ".SH AIR\n");
		write_section(out, profiles, "Air");
	}
	roff_examples(out, page->examples);
	write_file(out, profiles, page->file);
	fprintf(out, ".SH SEE ALSO\n.BR jetwright (1),\n.BR jetwright\\-check (1)\n");
	page_close(out);
}

void write_formats(const char *folder, const char *profiles)
{
	for (const format_page *page = format_pages; page->kind; page++)
		write_format(folder, profiles, page);
}

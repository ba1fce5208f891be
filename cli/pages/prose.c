/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A section of Markdown as roff: paragraphs, bullets, tables and blocks of code, as the README of the profiles has
 * them. */
#include "pages.h"
#include <string.h>

enum { LINE = 16 * 1024, CELLS = 8 };

/* ---- within a line ---- */

/* `code` in bold, [name](place) as its name. */
static void write_words(FILE *out, const char *text)
{
	char part[LINE];
	int bold = 0;
	if (*text == '.' || *text == '\'')
		fputs("\\&", out);
	while (*text) {
		const size_t length = strcspn(text, bold ? "`" : "`[");
		snprintf(part, sizeof part, "%.*s", (int)length, text);
		if (*part == '.' || *part == '\'')
			fputs("\\&", out);
		roff_text(out, part);
		text += length;
		const char *middle = *text == '[' ? strstr(text, "](") : NULL;
		if (*text == '`') {
			bold = !bold;
			fputs(bold ? "\\fB" : "\\fR", out);
			text++;
		} else if (middle && strchr(middle, ')')) {
			snprintf(part, sizeof part, "%.*s", (int)(middle - text - 1), text + 1);
			write_words(out, part);
			text = strchr(middle, ')') + 1;
		} else if (*text) {
			fputc(*text++, out);
		}
	}
}

static void write_line(FILE *out, const char *text)
{
	write_words(out, text);
	fputc('\n', out);
}

/* ---- tables ---- */

/* "| a | b |" to its cells, without the blanks around them. */
static int split_row(char *row, char *cell[CELLS])
{
	int cells = 0;
	char *rest = NULL;
	for (char *c = strtok_r(row, "|", &rest); c && cells < CELLS; c = strtok_r(NULL, "|", &rest)) {
		c += strspn(c, " ");
		char *end = c + strlen(c);
		while (end > c && end[-1] == ' ')
			*--end = '\0';
		if (end > c)
			cell[cells++] = c;
	}
	return cells;
}

/* The first cell, and below it each other with what the heading calls it. */
static void write_row(FILE *out, const char *heading, char *row)
{
	char titles[LINE], *title[CELLS], *cell[CELLS];
	snprintf(titles, sizeof titles, "%s", heading);
	const int named = split_row(titles, title), cells = split_row(row, cell);
	if (!cells)
		return;
	fprintf(out, ".TP\n");
	write_line(out, cell[0]);
	for (int i = 1; i < cells && i < named; i++) {
		char text[LINE];
		snprintf(text, sizeof text, "%s: %s%s", title[i], cell[i], i + 1 < cells ? ";" : "");
		write_line(out, text);
	}
}

/* ---- line by line ---- */

typedef enum inside { TEXT, TABLE, CODE, KEYS } inside;

typedef struct reader {
	inside in;
	int rows;         /* of the table */
	int begun, blank; /* there is text above; the line above is empty */
	char heading[LINE];
} reader;

/* The block of keys is told by its first line; the table of keys stands in its place. */
static void take_code(FILE *out, reader *r, const char *text)
{
	if (strncmp(text, "```", 3) == 0) {
		fprintf(out, "%s", r->in == CODE ? ".EE\n" : "");
		r->in = TEXT;
	} else if (r->in == CODE && r->rows++ == 0 && strstr(text, " integer   required ")) {
		r->in = KEYS;
	} else if (r->in == CODE) {
		fprintf(out, "%s", r->rows == 1 ? ".PP\n.EX\n" : "");
		roff_text(out, text);
		fputc('\n', out);
	}
}

static void take_row(FILE *out, reader *r, char *text)
{
	if (r->in != TABLE)
		r->rows = 0;
	r->in = TABLE;
	if (r->rows++ == 0)
		snprintf(r->heading, sizeof r->heading, "%s", text);
	else if (r->rows > 2) /* past the rule below the heading */
		write_row(out, r->heading, text);
}

static void take_line(FILE *out, reader *r, char *text)
{
	if (r->in == CODE || r->in == KEYS) {
		take_code(out, r, text);
	} else if (strncmp(text, "```", 3) == 0) {
		r->in = CODE;
		r->rows = 0;
	} else if (*text == '|') {
		take_row(out, r, text);
	} else if (!*text) {
		r->in = TEXT;
	} else if (strncmp(text, "- ", 2) == 0) {
		fprintf(out, ".IP \\(bu 2\n");
		write_line(out, text + 2);
	} else {
		write_line(out, text + strspn(text, " "));
	}
}

/* A paragraph begins where text follows an empty line. */
static void part_paragraphs(FILE *out, reader *r, const char *text)
{
	const int fence = strncmp(text, "```", 3) == 0;
	const int prose = *text && *text != '|' && !fence && strncmp(text, "- ", 2) != 0;
	if (r->begun && r->blank && r->in == TEXT && prose)
		fprintf(out, ".PP\n");
	r->blank = !*text;
	r->begun |= *text && r->in == TEXT && !fence;
}

void write_section(FILE *out, const char *profiles, const char *section)
{
	char path[1024], text[LINE], heading[128];
	reader r = {.in = TEXT};
	int shown = 0, found = 0;
	snprintf(path, sizeof path, "%s/README.md", profiles);
	snprintf(heading, sizeof heading, "## %s", section);
	FILE *file = fopen(path, "r");
	if (!file)
		page_fail("cannot read %s", path);
	while (fgets(text, sizeof text, file)) {
		text[strcspn(text, "\n")] = '\0';
		if (strncmp(text, "## ", 3) == 0) {
			shown = strcmp(text, heading) == 0;
			found += shown;
		} else if (shown) {
			part_paragraphs(out, &r, text);
			take_line(out, &r, text);
		}
	}
	fclose(file);
	if (!found)
		page_fail("%s has no section '%s'", path, section);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "table.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What some programs put before a text in UTF-8. */
static const char byte_order_mark[] = "\xEF\xBB\xBF";

static char *read_all(const char *path)
{
	FILE *file = fopen(path, "rb");
	char *text = NULL;
	if (!file)
		return NULL;
	if (!fseek(file, 0, SEEK_END)) {
		long size = ftell(file);
		text = size >= 0 ? malloc((size_t)size + 1) : NULL;
		rewind(file);
		if (text)
			text[fread(text, 1, (size_t)size, file)] = '\0';
	}
	fclose(file);
	return text;
}

/* Takes the quotes off a cell where it stands; returns what follows it, NULL where a quote is not closed. What stands
 * between a closed quote and the comma is left out. */
static char *take_cell(char *from, char *end_mark)
{
	char *to = from, *at = from;
	int quoted = *at == '"';
	at += quoted;
	for (; *at; at++) {
		if (quoted && *at == '"') {
			if (at[1] != '"') {
				at += strcspn(at, ",\r\n");
				quoted = 0;
				break;
			}
			at++;
		} else if (!quoted && strchr(",\r\n", *at)) {
			break;
		}
		*to++ = *at;
	}
	if (quoted)
		return NULL;
	while (*at == '\r')
		at++;
	*end_mark = *at;
	at += *at != '\0';
	*to = '\0';
	return at;
}

/* Room for a row a line, the last without its end included. */
static int make_rows(table *t)
{
	size_t lines = 2;
	for (const char *c = t->text; *c; c++)
		lines += *c == '\n';
	t->row = calloc(lines, sizeof *t->row);
	return t->row ? 0 : -1;
}

static char *past_mark(char *text)
{
	const size_t length = strlen(byte_order_mark);
	return text + (strncmp(text, byte_order_mark, length) ? 0 : length);
}

static int read_rows(const char *path, table *t)
{
	int column = 0;
	char end;
	for (char *at = past_mark(t->text); *at;) {
		char *cell = at;
		at = take_cell(at, &end);
		if (!at) {
			fprintf(stderr, "%s: row %d, column %d: a quote is not closed\n", path, t->rows + 1, column + 1);
			return -1;
		}
		if (column < TABLE_COLUMNS)
			t->row[t->rows][column] = cell;
		column++;
		if (end == ',')
			continue;
		t->columns = t->rows ? t->columns : column;
		t->rows += column > 1 || *cell;
		column = 0;
	}
	return 0;
}

int table_load(const char *path, table *t)
{
	*t = (table){.text = read_all(path)};
	if (!t->text) {
		fprintf(stderr, "%s: cannot be read\n", path);
		return -1;
	}
	const int failed = make_rows(t) || read_rows(path, t);
	if (failed)
		table_free(t);
	return failed ? -1 : 0;
}

void table_free(table *t)
{
	free(t->text);
	free(t->row);
	*t = (table){0};
}

/* Whether a cell says a heading, whatever its capitals and the blanks around it. */
static int heads(const char *cell, const char *heading)
{
	cell += strspn(cell, " \t");
	for (; *heading; cell++, heading++)
		if (tolower((unsigned char)*cell) != *heading)
			return 0;
	return !cell[strspn(cell, " \t")];
}

int table_column(const table *t, const char *heading)
{
	for (int c = 0; c < t->columns && c < TABLE_COLUMNS; c++)
		if (t->rows && t->row[0][c] && heads(t->row[0][c], heading))
			return c;
	return -1;
}

const char *table_cell(const table *t, int row, int column)
{
	return row > 0 && row < t->rows && column >= 0 && t->row[row][column] ? t->row[row][column] : "";
}

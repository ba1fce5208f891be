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

int table_load(const char *path, table *t)
{
	*t = (table){.text = read_all(path)};
	if (!t->text) {
		fprintf(stderr, "%s: cannot be read\n", path);
		return -1;
	}
	int lines = 2;
	for (const char *c = t->text; *c; c++)
		lines += *c == '\n';
	t->row = calloc((size_t)lines, sizeof *t->row);
	if (!t->row) {
		table_free(t);
		return -1;
	}
	int column = 0;
	const size_t mark = strlen(byte_order_mark);
	for (char *at = t->text + (strncmp(t->text, byte_order_mark, mark) ? 0 : mark); *at;) {
		char end, *cell = at;
		at = take_cell(at, &end);
		if (!at) {
			fprintf(stderr, "%s: row %d, column %d: a quote is not closed\n", path, t->rows + 1, column + 1);
			table_free(t);
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

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text.h"
#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { LINE_END = 88, NARROWEST = 40, WIDEST = 100, PARAGRAPH = 2048, ITEM = 2 };

size_t text_control(const char *text)
{
	const unsigned char *c = (const unsigned char *)text;
	if (*c == 0xc2 && c[1] >= 0x80 && c[1] < 0xa0)
		return 2; /* U+0080 to U+009F, with which a sequence for a terminal may begin, too */
	if (*c == 0xef && c[1] == 0xbf && c[2] >= 0xbe)
		return 3; /* U+FFFE and U+FFFF, which are no characters */
	return (*c && *c < 0x20) || *c == 0x7f;
}

static void wrap(FILE *out, int width, int column, int indent, const char *format, va_list list)
{
	char paragraph[PARAGRAPH];
	vsnprintf(paragraph, sizeof paragraph, format, list);
	for (char *c = paragraph; *c; c++)
		memset(c, ' ', text_control(c));
	int first = 1;
	for (char *rest = NULL, *word = strtok_r(paragraph, " ", &rest); word; word = strtok_r(NULL, " ", &rest)) {
		int length = (int)strlen(word);
		if (!first && column + 1 + length > width) {
			fprintf(out, "\n%*s", indent, "");
			column = indent;
		} else if (!first) {
			fputc(' ', out);
			column++;
		}
		fputs(word, out);
		column += length;
		first = 0;
	}
	fputc('\n', out);
}

void text_wrap(FILE *out, int column, int indent, const char *format, ...)
{
	va_list list;
	va_start(list, format);
	wrap(out, LINE_END, column, indent, format, list);
	va_end(list);
}

void text_wrap_within(FILE *out, int width, int column, int indent, const char *format, ...)
{
	va_list list;
	va_start(list, format);
	wrap(out, width, column, indent, format, list);
	va_end(list);
}

void text_item(FILE *out, int indent, const char *format, ...)
{
	va_list list;
	va_start(list, format);
	fprintf(out, "%*s", ITEM, "");
	wrap(out, LINE_END, ITEM, indent, format, list);
	va_end(list);
}

int text_columns(void)
{
	struct winsize terminal;
	const char *told = getenv("COLUMNS");
	long columns = told ? strtol(told, NULL, 10) : 0;
	if (columns <= 0 && ioctl(STDOUT_FILENO, TIOCGWINSZ, &terminal) == 0)
		columns = terminal.ws_col;
	return columns < NARROWEST ? NARROWEST : columns > WIDEST ? WIDEST : (int)columns;
}

void table_cell(cli_table *table, const char *format, ...)
{
	va_list list;
	assert(table->row < TABLE_ROWS && table->column < TABLE_COLUMNS);
	va_start(list, format);
	vsnprintf(table->cell[table->row][table->column++], TABLE_CELL, format, list);
	va_end(list);
}

void table_row_end(cli_table *table)
{
	if (table->column > table->columns)
		table->columns = table->column;
	table->row++;
	table->column = 0;
}

static int width(const cli_table *table, int column)
{
	int widest = 0;
	for (int row = 0; row < table->row; row++) {
		int length = (int)strlen(table->cell[row][column]);
		widest = length > widest ? length : widest;
	}
	return widest;
}

/* How many cells of a row hold text, those after them being empty. */
static int filled(const cli_table *table, int row)
{
	int count = table->columns;
	while (count > 0 && !*table->cell[row][count - 1])
		count--;
	return count;
}

void table_print(const cli_table *table, FILE *out)
{
	for (int row = 0; row < table->row; row++) {
		const int cells = filled(table, row);
		for (int column = 0; column < cells; column++) {
			int left = column == 0 || (table->left >> column & 1);
			int wide = left && column == cells - 1 ? 0 : width(table, column);
			fprintf(out, "  %*s", left ? -wide : wide, table->cell[row][column]);
		}
		fputc('\n', out);
	}
}

number_text significant(double value, int digits)
{
	number_text number;
	int before = value == 0 ? 1 : (int)floor(log10(fabs(value))) + 1;
	double scale = pow(10, digits - before);
	int decimals = digits > before ? digits - before : 0;
	snprintf(number.text, sizeof number.text, "%.*f", decimals, value == 0 ? 0.0 : round(value * scale) / scale);
	return number;
}

void shell_print(FILE *out, const char *word)
{
	static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-./:@%+,=";
	if (*word && !word[strspn(word, plain)]) {
		fputs(word, out);
		return;
	}
	fputc('\'', out);
	for (; *word; word++)
		if (*word == '\'')
			fputs("'\\''", out); /* ends the quotes, a quote, begins them */
		else
			fputc(*word, out);
	fputc('\'', out);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text for people: wrapped sentences and aligned columns, no colour. */
#ifndef CLI_TEXT_H
#define CLI_TEXT_H

#include <stdio.h>

/* Prints one paragraph, broken at blanks before column 88; later lines start at the indent. `column` is where the
 * cursor stands. Ends with a newline. */
void text_wrap(FILE *out, int column, int indent, const char *format, ...) __attribute__((format(printf, 4, 5)));

/* The same of an item below a heading: set in by two. */
void text_item(FILE *out, int indent, const char *format, ...) __attribute__((format(printf, 3, 4)));

/* The same, broken before another column. */
void text_wrap_within(FILE *out, int width, int column, int indent, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* How many bytes a control character at the start of a text has; 0: none stands there. What a file says must not steer
 * a terminal, nor break a page. */
size_t text_control(const char *text);

/* Columns of the terminal: COLUMNS, else what the terminal says, else those of a phone; between 40 and 100. */
int text_columns(void);

enum { TABLE_COLUMNS = 10, TABLE_ROWS = 128, TABLE_CELL = 72 };

/* Cells in rows; the first row is the heading unless it is plain. The first column is set left, the others right unless
 * `left` says so. */
typedef struct cli_table {
	char cell[TABLE_ROWS][TABLE_COLUMNS][TABLE_CELL];
	int row, column, columns;
	unsigned left; /* bit per column set left */
	int plain;     /* no row is a heading */
} cli_table;

void table_cell(cli_table *table, const char *format, ...) __attribute__((format(printf, 2, 3)));
void table_row_end(cli_table *table);
void table_print(const cli_table *table, FILE *out);

/* A value with so many significant digits and never an exponent; "none" is not a number, so use it on finite values. */
typedef struct number_text {
	char text[32];
} number_text;
number_text significant(double value, int digits);

/* A word as a shell takes it: in quotes where it would not stand for itself. */
void shell_print(FILE *out, const char *word);

#endif

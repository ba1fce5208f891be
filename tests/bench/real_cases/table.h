/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A table of comma-separated values with a heading (RFC 4180), held in memory. */
#ifndef REAL_CASES_TABLE_H
#define REAL_CASES_TABLE_H

#define TABLE_COLUMNS 32

typedef struct table {
	char *text;
	char *(*row)[TABLE_COLUMNS]; /* row 0 is the heading */
	int rows, columns;
} table;

/* 0, or negative after saying why. */
int table_load(const char *path, table *t);
void table_free(table *t);

/* Column of a heading, or -1. */
int table_column(const table *t, const char *heading);
/* Cell of a row counted from 1, "" where there is none. */
const char *table_cell(const table *t, int row, int column);

#endif

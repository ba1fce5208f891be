/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a report is written: lines for a terminal, or the elements of a web page. The report says each thing once,
 * for both. */
#ifndef CLI_PAGE_H
#define CLI_PAGE_H

#include "text.h"

typedef struct cli_page {
	FILE *out;
	int markup;       /* 0: lines of text */
	int titled;       /* the page has its first heading */
	const char *list; /* element that is open, or NULL */
	int entry;        /* one of its entries is open */
	int step;         /* the last thing said was a step */
	int hang;         /* how far more about it is set in */
} cli_page;

/* What the page comes to; the first one heads it. */
void page_title(cli_page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
void page_heading(cli_page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
void page_say(cli_page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* One of several; in text its later lines are set in by `hang`. */
void page_item(cli_page *page, int hang, const char *format, ...) __attribute__((format(printf, 3, 4)));
/* Something to do; `number` 0: not counted. */
void page_step(cli_page *page, int number, const char *format, ...) __attribute__((format(printf, 3, 4)));
/* More about an item or a counted step, as a line of its own. */
void page_under(cli_page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Of the step before it, or of all. */
void page_caution(cli_page *page, const char *text);
void page_table(cli_page *page, const cli_table *table);
/* An empty line of text; elements keep their distance by themselves. */
void page_gap(cli_page *page);

/* What XML and HTML allow of a text: markup escaped, control characters as blanks. */
void markup_text(FILE *out, const char *text);

#endif

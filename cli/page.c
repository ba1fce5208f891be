/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "page.h"
#include <stdarg.h>
#include <string.h>

typedef struct paragraph {
	char text[2048];
} paragraph;

/* Under the words of "  1. ". */
enum { STEP_HANG = 5 };

#define FORMAT(into, format)                                                                                           \
	do {                                                                                                               \
		va_list list;                                                                                                  \
		va_start(list, format);                                                                                        \
		vsnprintf((into).text, sizeof(into).text, format, list);                                                       \
		va_end(list);                                                                                                  \
	} while (0)

void markup_text(FILE *out, const char *text)
{
	for (const char *c = text; *c; c++) {
		const size_t control = text_control(c);
		if (control)
			c += control - 1;
		if (control)
			fputc(' ', out);
		else if (*c == '&')
			fputs("&amp;", out);
		else if (*c == '<')
			fputs("&lt;", out);
		else if (*c == '>')
			fputs("&gt;", out);
		else if (*c == '"')
			fputs("&quot;", out);
		else
			fputc(*c, out);
	}
}

/* ---- elements ---- */

static void element(cli_page *p, const char *name, const char *class, const char *text)
{
	fprintf(p->out, "<%s", name);
	if (class)
		fprintf(p->out, " class=\"%s\"", class);
	fputc('>', p->out);
	markup_text(p->out, text);
	fprintf(p->out, "</%s>\n", name);
}

/* Goes on within this list, or NULL: within none. */
static void enter(cli_page *p, const char *list)
{
	const int same = list && p->list && strcmp(list, p->list) == 0;
	p->step = 0;
	if (!p->markup)
		return;
	if (p->entry)
		fputs("</li>\n", p->out);
	if (p->list && !same)
		fprintf(p->out, "</%s>\n", p->list);
	if (list && !same)
		fprintf(p->out, "<%s>\n", list);
	p->list = list;
	p->entry = 0;
}

static void entry(cli_page *p, const char *list, const char *text)
{
	enter(p, list);
	fputs("<li>", p->out);
	markup_text(p->out, text);
	p->entry = 1;
}

static void cell(cli_page *p, const char *scope, int left, const char *text)
{
	const char *name = *text && scope ? "th" : "td";
	fprintf(p->out, "<%s", name);
	if (*text && scope)
		fprintf(p->out, " scope=\"%s\"", scope);
	if (left)
		fputs(" class=\"left\"", p->out);
	fputc('>', p->out);
	markup_text(p->out, text);
	fprintf(p->out, "</%s>", name);
}

/* With more columns a table may be wider than a phone: it is moved sideways, by keys too. */
enum { COLUMNS_OF_A_PHONE = 6 };

static void table_elements(cli_page *p, const cli_table *t)
{
	const int wide = t->columns > COLUMNS_OF_A_PHONE;
	fputs(wide ? "<div class=\"wide\" role=\"group\" aria-label=\"table\" tabindex=\"0\">\n<table>\n" : "<table>\n",
	      p->out);
	for (int row = 0; row < t->row; row++) {
		const int heading = row == 0 && !t->plain;
		fputs("<tr>", p->out);
		for (int column = 0; column < t->columns; column++)
			cell(p,
			     heading       ? "col"
			     : column == 0 ? "row"
			                   : NULL,
			     column == 0 || t->left >> column & 1, t->cell[row][column]);
		fputs("</tr>\n", p->out);
	}
	fputs(wide ? "</table>\n</div>\n" : "</table>\n", p->out);
}

/* ---- what a report is made of ---- */

void page_title(cli_page *page, const char *format, ...)
{
	paragraph said;
	FORMAT(said, format);
	enter(page, NULL);
	if (page->markup)
		element(page, page->titled ? "h2" : "h1", NULL, said.text);
	else
		text_wrap(page->out, 0, 0, "%s", said.text);
	page->titled = 1;
}

void page_heading(cli_page *page, const char *format, ...)
{
	paragraph said;
	FORMAT(said, format);
	enter(page, NULL);
	if (!page->markup) {
		fprintf(page->out, "%s\n", said.text);
		return;
	}
	char *end = said.text + strlen(said.text);
	if (end > said.text && end[-1] == ':')
		end[-1] = '\0';
	element(page, "h2", NULL, said.text);
}

void page_say(cli_page *page, const char *format, ...)
{
	paragraph said;
	FORMAT(said, format);
	enter(page, NULL);
	if (page->markup)
		element(page, "p", NULL, said.text);
	else
		text_wrap(page->out, 0, 0, "%s", said.text);
}

void page_item(cli_page *page, int hang, const char *format, ...)
{
	paragraph said;
	FORMAT(said, format);
	if (page->markup)
		entry(page, "ul", said.text);
	else
		text_item(page->out, hang, "%s", said.text);
	page->hang = hang;
}

void page_step(cli_page *page, int number, const char *format, ...)
{
	paragraph said;
	FORMAT(said, format);
	enter(page, number ? "ol" : NULL);
	if (page->markup && number)
		entry(page, "ol", said.text);
	else if (page->markup)
		element(page, "p", "step", said.text);
	else if (number)
		text_wrap(page->out, fprintf(page->out, "  %d. ", number), STEP_HANG, "%s", said.text);
	else
		text_item(page->out, 2, "%s", said.text);
	page->step = 1;
	page->hang = STEP_HANG;
}

void page_under(cli_page *page, const char *format, ...)
{
	paragraph said;
	FORMAT(said, format);
	if (page->markup)
		element(page, "p", NULL, said.text);
	else
		text_wrap(page->out, fprintf(page->out, "%*s", page->hang, ""), page->hang, "%s", said.text);
}

void page_caution(cli_page *page, const char *text)
{
	const int of_step = page->step;
	enter(page, NULL);
	if (page->markup) {
		fputs("<p class=\"caution\"><strong>Caution:</strong> ", page->out);
		markup_text(page->out, text);
		fputs("</p>\n", page->out);
	} else if (of_step) {
		text_item(page->out, 2, "Caution: %s", text);
	} else {
		text_wrap(page->out, 0, 0, "Caution: %s", text);
	}
}

void page_table(cli_page *page, const cli_table *table)
{
	enter(page, NULL);
	if (page->markup)
		table_elements(page, table);
	else
		table_print(table, page->out);
}

void page_gap(cli_page *page)
{
	enter(page, NULL);
	if (!page->markup)
		fputc('\n', page->out);
}

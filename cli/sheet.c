/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet.h"
#include <string.h>

/* Colours as in the pictures. */
static const char style[] =
    "<style>\n"
    ":root{color-scheme:light dark;--ink:#1c2126;--quiet:#525b64;--paper:#fff;--rule:#b9c1c9;--mark:#96540c}\n"
    "@media screen and (prefers-color-scheme:dark){"
    ":root{--ink:#e8ebee;--quiet:#a9b2bb;--paper:#15181b;--rule:#4a535c;--mark:#eba55c}}\n"
    "*{box-sizing:border-box}\n"
    "body{margin:0 auto;padding:1rem;max-width:70rem;font:1rem/1.45 system-ui,\"DejaVu Sans\",sans-serif;"
    "color:var(--ink);background:var(--paper);overflow-wrap:break-word}\n"
    "header{color:var(--quiet);border-bottom:1px solid var(--rule);margin-bottom:1rem}\n"
    "header ul{display:flex;flex-wrap:wrap;gap:0 2rem;padding:0;list-style:none}\n"
    "main{display:grid;gap:0 2.5rem;grid-template-columns:minmax(0,1fr)}\n"
    "h1{font-size:1.5rem;line-height:1.2;margin:0 0 .5rem}\n"
    "h2{font-size:1.05rem;margin:1.2rem 0 .3rem}section>h2:first-child{margin-top:0}\n"
    "p,ul,ol,table,figure{margin:0 0 .7rem}ul,ol{padding-left:1.3rem}li p{margin:0}\n"
    "section{margin-bottom:.7rem}\n"
    ".caution{border-left:.3rem solid var(--mark);padding-left:.7rem}\n"
    "table{border-collapse:collapse;font-size:.9em;font-variant-numeric:tabular-nums}\n"
    "th,td{padding:.15rem 0 .15rem .7em;text-align:right;vertical-align:baseline;font-weight:400}\n"
    "th[scope=col]{color:var(--quiet);vertical-align:bottom}tr{border-bottom:1px solid var(--rule)}"
    ".left{text-align:left}th:first-child,td:first-child{padding-left:0}td:not(.left){white-space:nowrap}\n"
    ".wide{overflow-x:auto}\n"
    "figcaption{font-weight:600}figcaption span{display:block;font-weight:400;color:var(--quiet)}\n"
    ".jw-picture{display:block;width:100%;height:auto;max-width:34rem}\n"
    ".form{display:none}\n"
    "@media (min-width:60rem){main{grid-template-columns:minmax(0,1fr) minmax(0,1fr)}}\n"
    "@media (max-width:30rem){table{font-size:.8em}th,td{padding-left:.3em}td:not(.left){white-space:normal}"
    ".wide td:not(.left){white-space:nowrap}td.left{padding-left:.8em}}\n"
    "@page{size:A4;margin:12mm}\n"
    "@media print{:root{font-size:8pt}body{padding:0;max-width:none;line-height:1.3}"
    "main{display:block;columns:2;column-gap:8mm}h2{break-after:avoid}"
    "figure,table,.caution,li{break-inside:avoid}.jw-picture{max-width:80mm}"
    ".form{display:block}.form table{width:100%}.form td{height:7mm}}\n"
    "</style>\n";

typedef struct sheet {
	const char *about;
	sheet_writer writer;
	const void *content;
} sheet;

/* Ends what is open within a part. */
static void settle(cli_page *page)
{
	page_gap(page);
}

static void write_sheet(FILE *out, const void *content)
{
	const sheet *s = content;
	cli_page page = {.out = out, .markup = 1};
	fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
	      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>",
	      out);
	markup_text(out, s->about);
	fprintf(out, "</title>\n%s</head>\n<body>\n<header>\n", style);
	s->writer(&page, s->content);
	settle(&page);
	fputs("</section>\n</main>\n</body>\n</html>\n", out);
}

int sheet_save(const cli_command *command, const char *path, const char *about, sheet_writer writer,
               const void *content)
{
	return save_file(command, path, write_sheet, &(sheet){about, writer, content});
}

void sheet_main(cli_page *page)
{
	settle(page);
	fputs("</header>\n<main>\n<section>\n", page->out);
}

void sheet_part(cli_page *page)
{
	settle(page);
	fputs("</section>\n<section>\n", page->out);
}

void sheet_picture(cli_page *page, const svg_picture *picture)
{
	settle(page);
	fputs("<figure>\n<figcaption>", page->out);
	markup_text(page->out, picture->title);
	if (picture->subtitle) {
		fputs(" <span>", page->out);
		markup_text(page->out, picture->subtitle);
		fputs("</span>", page->out);
	}
	fputs("</figcaption>\n", page->out);
	svg_draw(page->out, picture);
	fputs("</figure>\n", page->out);
}

void sheet_form(cli_page *page)
{
	settle(page);
	fputs("</section>\n<section class=\"form\">\n<h2>What was done and fitted</h2>\n<table>\n<tr>"
	      "<th scope=\"col\" class=\"left\">date</th><th scope=\"col\" class=\"left\">done, fitted</th>"
	      "<th scope=\"col\" class=\"left\">how it ran then</th></tr>\n",
	      page->out);
	for (int row = 0; row < 3; row++)
		fputs("<tr><td></td><td></td><td></td></tr>\n", page->out);
	fputs("</table>\n", page->out);
}

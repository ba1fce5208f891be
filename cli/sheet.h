/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Job sheets: a report as one web page that loads nothing, for a phone at the bench or a sheet of A4 on the wall. */
#ifndef CLI_SHEET_H
#define CLI_SHEET_H

#include "page.h"
#include "svg.h"

/* Writes what the sheet says: of which engine it tells, then ::sheet_main and the rest. */
typedef void (*sheet_writer)(cli_page *page, const void *content);

/* Writes the file whole or not at all; an exit code. \param about of which engine it tells */
int sheet_save(const cli_command *command, const char *path, const char *about, sheet_writer writer,
               const void *content);

void sheet_main(cli_page *page);
/* Parts that stand beside each other where there is room. */
void sheet_part(cli_page *page);
void sheet_picture(cli_page *page, const svg_picture *picture);
/* Lines to write on, on paper only. */
void sheet_form(cli_page *page);

#endif

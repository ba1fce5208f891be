/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the build makes of the tables of commands, options and fields: man pages and shell completion. */
#ifndef CLI_PAGES_H
#define CLI_PAGES_H

#include "../commands.h"

/* A file of the output folder; ends the program where it cannot be written. */
FILE *page_open(const char *folder, const char *format, ...) __attribute__((format(printf, 2, 3)));
void page_close(FILE *out);

/* Says what is wrong with the tables or with what was given, and ends the program. */
_Noreturn void page_fail(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* man1/jetwright.1 and one page a command. */
void write_commands(const char *folder);

/* man5/jetwright-KIND.5, a page a kind of file; what its keys mean is taken from the README of the profiles. */
void write_formats(const char *folder, const char *profiles);

/* completion/jetwright.bash, _jetwright (zsh), jetwright.fish. */
void write_completion(const char *folder);

/* ---- man pages ---- */

/* A page on a kind of file; one without a kind ends them. */
typedef struct format_page {
	const char *kind;    /* as jw_profile_kind has it */
	const char *page;    /* "profile": jetwright-profile(5); the file's first key */
	const char *section; /* of the README */
	int air;             /* 1: its section on air holds for it too */
	const char *summary;
	const char *file; /* that comes along, to be shown */
	cli_example examples[EXAMPLES];
} format_page;
extern const format_page format_pages[];

/* What a section of the README of the profiles says beside its keys, those being in a block of their own. */
void write_section(FILE *out, const char *profiles, const char *section);

/* A text as roff takes it: no line of it is a request, hyphens are those of the keyboard. */
void roff_text(FILE *out, const char *text);
void roff_heading(FILE *out, const char *name, int section, const char *manual);
void roff_examples(FILE *out, const cli_example *example);

#endif

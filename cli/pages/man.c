/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A man page a command, and one for the program. */
#include "pages.h"
#include <ctype.h>

void roff_text(FILE *out, const char *text)
{
	if (*text == '.' || *text == '\'')
		fputs("\\&", out);
	for (; *text; text++)
		if (*text == '-')
			fputs("\\-", out);
		else if (*text == '\\')
			fputs("\\e", out);
		else if (*text == '|')
			fputs("|\\:", out); /* where a line may break */
		else
			fputc(*text, out);
}

static void line(FILE *out, const char *before, const char *text)
{
	fputs(before, out);
	roff_text(out, text);
	fputc('\n', out);
}

void roff_heading(FILE *out, const char *name, int section, const char *manual)
{
	fprintf(out, ".\\\" Made by the build from the tables of the program; change those.\n.TH ");
	for (const char *c = name; *c; c++)
		fprintf(out, *c == '-' ? "\\-" : "%c", toupper((unsigned char)*c));
	/* Words that one types are neither parted nor drawn out. */
	fprintf(out, " %d \"%s\" \"jetwright %s\" \"%s\"\n.nh\n.ad l\n.SH NAME\n", section, JETWRIGHT_DATE, jw_version(),
	        manual);
}

void roff_examples(FILE *out, const cli_example *example)
{
	fprintf(out, ".SH EXAMPLES\n");
	for (; example->line; example++) {
		fprintf(out, ".TP\n");
		line(out, ".B jetwright ", example->line);
		line(out, "", example->shows);
	}
}

static void options(FILE *out, const cli_option *option)
{
	for (; option && option->name; option++) {
		fprintf(out, ".TP\n\\fB\\-\\-");
		roff_text(out, option->name);
		fprintf(out, "\\fR");
		if (option->kind != OPTION_FLAG)
			line(out, " ", option->example);
		else
			fputc('\n', out);
		line(out, "", option_help(option).text);
	}
}

/* What holds for every command. */
static void ending(FILE *out)
{
	fprintf(out, ".SH EXIT STATUS\n"
	             ".TP\n0\nanswered\n.TP\n1\ncomputation or data error\n.TP\n2\nwrong use\n"
	             ".SH ENVIRONMENT\n.TP\n.B JETWRIGHT_PROFILES\n"
	             "the folder of the profiles that come along, where they are not beside the program\n");
}

static void see_also(FILE *out, const cli_command *but)
{
	fprintf(out, ".SH SEE ALSO\n");
	if (but)
		fprintf(out, ".BR jetwright (1),\n");
	for (const cli_command *const *command = commands; *command; command++)
		if (*command != but)
			fprintf(out, ".BR jetwright\\-%s (1),\n", (*command)->name);
	for (int i = 0; format_pages[i].kind; i++)
		fprintf(out, ".BR jetwright\\-%s (5)%s\n", format_pages[i].page, format_pages[i + 1].kind ? "," : "");
}

static void write_command(const char *folder, const cli_command *command)
{
	char name[64];
	snprintf(name, sizeof name, "jetwright-%s", command->name);
	FILE *out = page_open(folder, "man1/%s.1", name);
	roff_heading(out, name, 1, "User Commands");
	fprintf(out, "jetwright\\-%s \\- ", command->name);
	line(out, "", command->summary);
	fprintf(out, ".SH SYNOPSIS\n.B jetwright %s\n", command->name);
	if (*command->operands)
		line(out, "", command->operands);
	fprintf(out, "[options]\n.SH DESCRIPTION\n");
	line(out, "", command->details);
	fprintf(out, ".SH OPTIONS\n");
	for (int i = 0; i < GROUPS; i++)
		options(out, command->groups[i]);
	options(out, common_options);
	ending(out);
	roff_examples(out, command->examples);
	see_also(out, command);
	page_close(out);
}

static void write_program(const char *folder)
{
	FILE *out = page_open(folder, "man1/jetwright.1");
	roff_heading(out, "jetwright", 1, "User Commands");
	fprintf(out, "jetwright \\- what a carburetor meters, and what explains how an engine runs\n"
	             ".SH SYNOPSIS\n.B jetwright\nCOMMAND [PROFILE|CASE] [options]\n.br\n.B jetwright \\-\\-version\n.SH "
	             "DESCRIPTION\n");
	line(out, "", program_details);
	fprintf(out, ".SH COMMANDS\nEach has a page of its own.\n");
	for (const cli_command *const *command = commands; *command; command++) {
		fprintf(out, ".TP\n.B %s\n", (*command)->name);
		line(out, "", (*command)->summary);
	}
	fprintf(out, ".SH OPTIONS\nEvery command takes:\n");
	options(out, common_options);
	ending(out);
	roff_examples(out, first_steps);
	see_also(out, NULL);
	page_close(out);
}

void write_commands(const char *folder)
{
	write_program(folder);
	for (const cli_command *const *command = commands; *command; command++)
		write_command(folder, *command);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a command takes, as rows: parsing and --help both come from them. */
#ifndef CLI_OPTIONS_H
#define CLI_OPTIONS_H

#include <jetwright/jetwright.h>
#include <stdio.h>

/* Exit codes. */
enum { ANSWERED = 0, FAILED = 1, WRONG_USE = 2 };

/* A file is one that is written. */
typedef enum option_kind { OPTION_FLAG, OPTION_TEXT, OPTION_FILE, OPTION_QUANTITY } option_kind;

/* One option; a row without a name ends a group. */
typedef struct cli_option {
	const char *name;
	option_kind kind;
	jw_dimension dimension; /* quantities only */
	double low, high;       /* closed range, SI */
	const char *example;    /* "7500rpm"; its unit is the one in which help states the range */
	const char *help;
} cli_option;

/* Whether its value is a text, taken as it stands. */
int takes_text(const cli_option *option);

/* A line that runs as it stands, without the program's name; a row without a line ends them. */
typedef struct cli_example {
	const char *line, *shows;
} cli_example;

enum { GROUPS = 4, EXAMPLES = 4, OPTIONS_MAX = 48, OPERANDS_MAX = 2 };

typedef struct cli_arguments cli_arguments;

typedef struct cli_command {
	const char *name, *operands; /* "PROFILE PART" */
	int operands_min, operands_max;
	const char *summary, *details;
	const cli_option *groups[GROUPS]; /* beside --json, --strict and --help, which all take */
	cli_example examples[EXAMPLES];   /* the first also stands below errors */
	int (*run)(const cli_arguments *arguments);
} cli_command;

/* The option as given on the command line. */
typedef struct cli_given {
	const cli_option *option;
	int present;
	double si;
	const char *text;
} cli_given;

struct cli_arguments {
	const cli_command *command;
	cli_given given[OPTIONS_MAX];
	int options;
	const char *operand[OPERANDS_MAX];
	int operands;
};

/* Where parsing leaves off. */
typedef enum cli_parsed { PARSED, PARSED_HELP, PARSED_WRONG } cli_parsed;

/* Reads argv after the command's name; explains what is wrong on stderr. */
cli_parsed options_parse(const cli_command *command, int argc, char **argv, cli_arguments *arguments);

void options_help(const cli_command *command, FILE *out);

/* What every command takes. */
extern const cli_option common_options[];

/* What an option does, with the range of a quantity. */
typedef struct option_text {
	char text[512];
} option_text;
option_text option_help(const cli_option *option);

/* The end of every help. */
void help_examples(const cli_example *example, FILE *out);

/* Whether an option was given. The name must be one of the command's rows. */
int has(const cli_arguments *arguments, const char *name);
/* The SI value of an option, or the fallback where it was not given. */
double value_of(const cli_arguments *arguments, const char *name, double fallback);
const char *text_of(const cli_arguments *arguments, const char *name, const char *fallback);

/* "; did you mean 'list'?", or nothing where no known word is near. */
typedef struct hint {
	char text[96];
} hint;
hint hint_of(const char *word, const char *const *known, int count);

/* Says on stderr how the command was misused, and how it is used; returns WRONG_USE. */
int wrong_use(const cli_command *command, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif

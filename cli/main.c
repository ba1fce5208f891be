/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finds the command, and does what is the same for every one. */
#include "commands.h"
#include "text.h"
#include <errno.h>
#include <signal.h>
#include <string.h>

static void print_usage(FILE *out)
{
	fprintf(out, "Usage: jetwright COMMAND [PROFILE|CASE] [options]\n       jetwright --version\n\n");
	text_wrap(out, 0, 0, "%s", program_details);
	fprintf(out, "\nCommands:\n");
	for (const cli_command *const *command = commands; *command; command++)
		fprintf(out, "  %-10s%s\n", (*command)->name, (*command)->summary);
	fprintf(out, "\n");
	text_wrap(out, 0, 0,
	          "'jetwright COMMAND --help' tells more. Profiles and the other files that come along are found in "
	          "$JETWRIGHT_PROFILES, else beside the program.");
	fprintf(out, "Exit codes: 0 answered, 1 computation or data error, 2 wrong use.\n");
	help_examples(first_steps, out);
}

static const cli_command *find_command(const char *name)
{
	for (const cli_command *const *command = commands; *command; command++)
		if (strcmp((*command)->name, name) == 0)
			return *command;
	return NULL;
}

static int no_such_command(const char *name)
{
	const char *known[COMMANDS_MOST];
	int count = 0;
	for (const cli_command *const *command = commands; *command; command++)
		known[count++] = (*command)->name;
	fprintf(stderr, "jetwright: %s: no such command%s\nFor example: jetwright %s\nMore: jetwright --help\n", name,
	        hint_of(name, known, count).text, first_steps[0].line);
	return WRONG_USE;
}

static int run(int argc, char **argv)
{
	if (argc < 2) {
		print_usage(stderr);
		return WRONG_USE;
	}
	if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
		print_usage(stdout);
		return ANSWERED;
	}
	if (strcmp(argv[1], "--version") == 0) {
		printf("jetwright %s\n", jw_version());
		return ANSWERED;
	}
	const cli_command *command = find_command(argv[1]);
	if (!command)
		return no_such_command(argv[1]);
	cli_arguments arguments;
	switch (options_parse(command, argc - 2, argv + 2, &arguments)) {
	case PARSED:
		return command->run(&arguments);
	case PARSED_HELP:
		options_help(command, stdout);
		return ANSWERED;
	default:
		return WRONG_USE;
	}
}

int main(int argc, char **argv)
{
	/* A reader that went away is met as a write error below, not as a silent death. */
	signal(SIGPIPE, SIG_IGN);
	int code = run(argc, argv);
	if (fflush(stdout) == 0 && !ferror(stdout))
		return code;
	if (errno != EPIPE)
		fprintf(stderr, "jetwright: cannot write the answer: %s\n", strerror(errno));
	return FAILED;
}

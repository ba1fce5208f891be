/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The command table, and what is the same for every command. */
#include "commands.h"
#include "text.h"
#include <errno.h>
#include <signal.h>
#include <string.h>

static const cli_command *const commands[] = {
    &explain_command, &rejet_command, &mixture_command, &snap_command,  &balance_command, &restrict_command,
    &jet_command,     &air_command,   &fit_command,     &check_command, &list_command,
};
enum { COMMANDS = sizeof commands / sizeof *commands };

static void print_usage(FILE *out)
{
	fprintf(out, "Usage: jetwright COMMAND [PROFILE|CASE] [options]\n\n");
	text_wrap(out, 0, 0,
	          "Computes what each metering orifice of a carburetor delivers, and from that which jet change, or which "
	          "passage to clean, explains what the engine does.");
	fprintf(out, "\nCommands:\n");
	for (int i = 0; i < COMMANDS; i++)
		fprintf(out, "  %-10s%s\n", commands[i]->name, commands[i]->summary);
	fprintf(out, "\n");
	text_wrap(out, 0, 0,
	          "'jetwright COMMAND --help' tells more. Profiles and the other files that come along are found in "
	          "$JETWRIGHT_PROFILES, else beside the program.");
	fprintf(out, "Exit codes: 0 answered, 1 computation or data error, 2 wrong use.\n\nExample:\n  jetwright %s\n",
	        explain_command.example);
}

static const cli_command *find_command(const char *name)
{
	for (int i = 0; i < COMMANDS; i++)
		if (strcmp(commands[i]->name, name) == 0)
			return commands[i];
	return NULL;
}

static int no_such_command(const char *name)
{
	const char *known[COMMANDS];
	for (int i = 0; i < COMMANDS; i++)
		known[i] = commands[i]->name;
	fprintf(stderr, "jetwright: %s: no such command%s\nFor example: jetwright %s\nMore: jetwright --help\n", name,
	        hint_of(name, known, COMMANDS).text, explain_command.example);
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

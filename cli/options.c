/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "options.h"
#include "text.h"
#include <assert.h>
#include <stdarg.h>
#include <string.h>

const cli_option common_options[] = {
    {"json", OPTION_FLAG, 0, 0, 0, NULL, "write JSON for programs instead of text"},
    {"strict", OPTION_FLAG, 0, 0, 0, NULL, "treat a warning as an error (exit 1)"},
    {"help", OPTION_FLAG, 0, 0, 0, NULL, "print this and stop"},
    {0},
};

hint hint_of(const char *word, const char *const *known, int count)
{
	const char *meant = jw_word_nearest(word, known, count);
	hint h = {""};
	if (meant)
		snprintf(h.text, sizeof h.text, "; did you mean '%s'?", meant);
	return h;
}

int wrong_use(const cli_command *command, const char *format, ...)
{
	va_list list;
	va_start(list, format);
	fprintf(stderr, "jetwright %s: ", command->name);
	vfprintf(stderr, format, list);
	fprintf(stderr, "\nFor example: jetwright %s\nMore: jetwright %s --help\n", command->examples[0].line,
	        command->name);
	va_end(list);
	return WRONG_USE;
}

static void add_group(cli_arguments *arguments, const cli_option *group)
{
	for (; group && group->name; group++) {
		assert(arguments->options < OPTIONS_MAX);
		arguments->given[arguments->options++] = (cli_given){.option = group};
	}
}

static cli_given *find(cli_arguments *arguments, const char *name, size_t length)
{
	for (int i = 0; i < arguments->options; i++) {
		const char *candidate = arguments->given[i].option->name;
		if (strlen(candidate) == length && strncmp(candidate, name, length) == 0)
			return &arguments->given[i];
	}
	return NULL;
}

static const cli_given *must_find(const cli_arguments *arguments, const char *name)
{
	for (int i = 0; i < arguments->options; i++)
		if (strcmp(arguments->given[i].option->name, name) == 0)
			return &arguments->given[i];
	assert(0 && "an option that the command does not declare");
	return &arguments->given[0];
}

int has(const cli_arguments *arguments, const char *name)
{
	return must_find(arguments, name)->present;
}

double value_of(const cli_arguments *arguments, const char *name, double fallback)
{
	const cli_given *given = must_find(arguments, name);
	return given->present ? given->si : fallback;
}

const char *text_of(const cli_arguments *arguments, const char *name, const char *fallback)
{
	const cli_given *given = must_find(arguments, name);
	return given->present ? given->text : fallback;
}

/* The unit at the end of an example: "rpm" of "7500rpm"; none for plain numbers. */
static const char *example_unit(const cli_option *option)
{
	return option->example + strspn(option->example, "0123456789.");
}

/* "1 to 30000 rpm" */
static void range_text(const cli_option *option, char *text, size_t size)
{
	const char *unit = example_unit(option);
	double low = option->low, high = option->high;
	jw_quantity_in(option->low, option->dimension, unit, &low, NULL);
	jw_quantity_in(option->high, option->dimension, unit, &high, NULL);
	snprintf(text, size, "%.6g to %.6g%s%s", low, high, *unit ? " " : "", unit);
}

static jw_status read_quantity(cli_given *given, const char *text)
{
	return jw_quantity_parse(text, given->option->dimension, &given->si, NULL);
}

int takes_text(const cli_option *option)
{
	return option->kind == OPTION_TEXT || option->kind == OPTION_FILE;
}

/* Reads the value of an option; "7500 rpm" may also come as two arguments. Returns how many more it took, -1 if wrong.
 */
static int read_value(const cli_command *command, cli_given *given, const char *text, const char *next)
{
	const cli_option *option = given->option;
	char joined[64], range[64];
	int taken = 0;
	given->text = text;
	if (option->kind == OPTION_FILE && (*text == '-' || !*text)) {
		wrong_use(command, "--%s '%s': expected the name of a file, such as %s", option->name, text, option->example);
		return -1;
	}
	if (takes_text(option))
		return 0;
	jw_status status = JW_E_UNIT;
	if (next && snprintf(joined, sizeof joined, "%s %s", text, next) < (int)sizeof joined)
		status = read_quantity(given, joined);
	if (status >= 0)
		taken = 1;
	else
		status = read_quantity(given, text);
	if (status == JW_E_UNIT) {
		wrong_use(command, "--%s %s: the unit is missing or unknown, expected a value such as %s (units: %s)",
		          option->name, text, option->example, jw_unit_names(option->dimension));
		return -1;
	}
	if (status < 0) {
		wrong_use(command, "--%s %s: not a quantity, expected a value such as %s", option->name, text, option->example);
		return -1;
	}
	if (given->si < option->low || given->si > option->high) {
		range_text(option, range, sizeof range);
		wrong_use(command, "--%s %s: out of range, expected %s, such as %s", option->name, text, range,
		          option->example);
		return -1;
	}
	return taken;
}

static int no_such_option(const cli_arguments *arguments, const char *name, size_t length)
{
	const char *known[OPTIONS_MAX];
	char word[64];
	for (int i = 0; i < arguments->options; i++)
		known[i] = arguments->given[i].option->name;
	snprintf(word, sizeof word, "%.*s", (int)length, name);
	wrong_use(arguments->command, "--%s: no such option%s", word, hint_of(word, known, arguments->options).text);
	return -1;
}

/* One "--name[=value]" with what follows it. Returns how many arguments it used beyond its own, -1 if wrong. */
static int read_option(const cli_command *command, cli_arguments *arguments, char **argv)
{
	const char *name = argv[0] + 2, *equals = strchr(name, '=');
	size_t length = equals ? (size_t)(equals - name) : strlen(name);
	cli_given *given = find(arguments, name, length);
	if (!given)
		return no_such_option(arguments, name, length);
	if (given->present) {
		wrong_use(command, "--%s is given twice", given->option->name);
		return -1;
	}
	given->present = 1;
	if (given->option->kind == OPTION_FLAG) {
		if (equals)
			wrong_use(command, "--%s takes no value", given->option->name);
		return equals ? -1 : 0;
	}
	if (equals)
		return read_value(command, given, equals + 1, argv[1]);
	if (!argv[1]) {
		wrong_use(command, "--%s: the value is missing, expected one such as %s", given->option->name,
		          given->option->example);
		return -1;
	}
	int taken = read_value(command, given, argv[1], argv[2]);
	return taken < 0 ? -1 : taken + 1;
}

cli_parsed options_parse(const cli_command *command, int argc, char **argv, cli_arguments *arguments)
{
	int plain = 0;
	*arguments = (struct cli_arguments){.command = command};
	for (int i = 0; i < GROUPS; i++)
		add_group(arguments, command->groups[i]);
	add_group(arguments, common_options);
	for (int i = 0; i < argc; i++) {
		char *text = argv[i];
		if (!plain && strcmp(text, "--") == 0) {
			plain = 1;
		} else if (!plain && (strcmp(text, "-h") == 0 || strcmp(text, "--help") == 0)) {
			return PARSED_HELP;
		} else if (!plain && strncmp(text, "--", 2) == 0) {
			int taken = read_option(command, arguments, argv + i);
			if (taken < 0)
				return PARSED_WRONG;
			i += taken;
		} else if (!plain && text[0] == '-' && text[1]) {
			wrong_use(command, "%s: no such option", text);
			return PARSED_WRONG;
		} else if (arguments->operands == command->operands_max) {
			wrong_use(command, "%s: one argument too many, expected %s", text,
			          *command->operands ? command->operands : "options only");
			return PARSED_WRONG;
		} else {
			arguments->operand[arguments->operands++] = text;
		}
	}
	if (arguments->operands < command->operands_min) {
		wrong_use(command, "an argument is missing, expected %s", command->operands);
		return PARSED_WRONG;
	}
	return PARSED;
}

option_text option_help(const cli_option *option)
{
	option_text help;
	char range[64];
	snprintf(help.text, sizeof help.text, "%s", option->help);
	if (option->kind == OPTION_QUANTITY) {
		range_text(option, range, sizeof range);
		snprintf(help.text, sizeof help.text, "%s (%s)", option->help, range);
	}
	return help;
}

static void help_group(const cli_option *group, FILE *out)
{
	char left[64];
	for (; group && group->name; group++) {
		snprintf(left, sizeof left, "--%s %s", group->name, group->kind == OPTION_FLAG ? "" : group->example);
		fprintf(out, "  %-30s", left);
		text_wrap(out, 32, 32, "%s", option_help(group).text);
	}
}

void help_examples(const cli_example *example, FILE *out)
{
	fprintf(out, "\nExamples:\n");
	for (; example->line; example++)
		fprintf(out, "  jetwright %s\n      %s\n", example->line, example->shows);
}

void options_help(const cli_command *command, FILE *out)
{
	fprintf(out, "Usage: jetwright %s%s%s [options]\n\n", command->name, *command->operands ? " " : "",
	        command->operands);
	text_wrap(out, 0, 0, "%s", command->details);
	fprintf(out, "\nOptions:\n");
	for (int i = 0; i < GROUPS; i++)
		help_group(command->groups[i], out);
	help_group(common_options, out);
	help_examples(command->examples, out);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Completion for bash, zsh and fish. Names that come along are asked of the program when they are wanted. */
#include "pages.h"
#include <ctype.h>
#include <string.h>

enum { WORDS_SIZE = 512 };

/* ---- what may stand where ---- */

static const char *change_at(int i)
{
	return i < JW_CHANGE_KIND_COUNT ? jw_change_name((jw_change_kind)i) : NULL;
}

static const char *mark_at(int i)
{
	return i < JW_MARK_KIND_COUNT ? jw_mark_name((jw_mark_kind)i) : NULL;
}

static const char *range_at(int i)
{
	return i < JW_RANGE_COUNT ? jw_range_name((jw_range)i) : NULL;
}

static const char *tool_at(int i)
{
	return i < JW_TOOL_COUNT ? jw_tool_name((jw_tool)i) : NULL;
}

/* The value of an option that takes a text, or an operand: names that a list of the program holds, a file, or words. */
typedef struct value {
	const char *name, *list, *words;
	const char *(*word)(int index);
	int file;
} value;

static const value option_values[] = {
    {"at", .word = range_at},
    {"as", .word = mark_at},
    {"schema", .word = jw_profile_kind},
    {"fields", .word = jw_profile_kind},
    {"changed", .word = change_at},
    {"tools", .word = tool_at},
    {"seen", .list = "evidence"},
    {"not", .list = "evidence"},
    {"unknown", .list = "evidence"},
    {"class", .list = "classes"},
    {"fuel", .list = "fuels", .file = 1},
    {"jets", .list = "jets", .file = 1},
    {"carburetor", .list = "engines", .file = 1},
    {"readings", .list = "readings", .file = 1},
    {"write", .file = 1},
    {"html", .file = 1},
    {"svg", .file = 1},
    {"exhaust", .words = "freer"},
    {"filter", .words = "open removed"},
    {"bowl-vent", .words = "atmosphere airbox"},
    {"diaphragm-reference", .words = "atmosphere airbox"},
    {"season", .words = "spring summer autumn winter"},
    {"fitted", .words = "main_jet= pilot_jet= main_air_jet= pilot_air_jet="},
    {"date", .words = ""},
    {"offsets", .words = ""},
    {"filling", .words = ""},
    {"premix", .words = ""},
    {"target", .words = ""},
    {"plan", .words = ""},
    {.name = NULL},
};

static const value operand_values[] = {
    {"PROFILE", .list = "engines", .file = 1},
    {"CASE", .list = "cases", .file = 1},
    {"READINGS", .list = "readings", .file = 1},
    {"PART", .list = "parts"},
    {"FILE", .list = "", .file = 1}, /* of any list of files */
    {.name = NULL},
};

static const value *value_named(const value *values, const char *name, size_t length)
{
	for (; values->name; values++)
		if (strlen(values->name) == length && strncmp(values->name, name, length) == 0)
			return values;
	return NULL;
}

/* Every option that takes a text has a row, so that none is forgotten. */
static const value *value_of_option(const cli_option *option)
{
	static const value none = {.words = ""};
	if (!takes_text(option))
		return &none;
	const value *v = value_named(option_values, option->name, strlen(option->name));
	if (!v)
		page_fail("--%s: completion.c does not say what values it takes", option->name);
	return v;
}

/* "spring summer", of words and of what a function names */
static const char *words_of(const value *v, char text[WORDS_SIZE])
{
	size_t used = (size_t)snprintf(text, WORDS_SIZE, "%s", v->words ? v->words : "");
	for (int i = 0; v->word && v->word(i); i++)
		used += (size_t)snprintf(text + used, WORDS_SIZE - used, "%s%s", i ? " " : "", v->word(i));
	return text;
}

/* The lists, words and files of all operands of a command, from "[CASE | PROFILE]" or "[engines|fuels]". */
typedef struct operands {
	char lists[WORDS_SIZE], words[WORDS_SIZE];
	int file;
} operands;

static void append(char text[WORDS_SIZE], const char *word, size_t length)
{
	const size_t used = strlen(text);
	snprintf(text + used, WORDS_SIZE - used, "%s%.*s", used ? " " : "", (int)length, word);
}

static operands operands_of(const cli_command *command)
{
	static const char every_file[] = "engines classes fuels jets cases readings";
	operands o = {.file = 0};
	for (const char *c = command->operands + strspn(command->operands, "[]| "); *c; c += strspn(c, "[]| ")) {
		const size_t length = strcspn(c, "[]| ");
		const value *v = isupper((unsigned char)*c) ? value_named(operand_values, c, length) : NULL;
		if (isupper((unsigned char)*c) && !v)
			page_fail("%s: completion.c does not say what %.*s is", command->name, (int)length, c);
		if (v) {
			append(o.lists, *v->list ? v->list : every_file, *v->list ? strlen(v->list) : strlen(every_file));
			o.file |= v->file;
		} else {
			append(o.words, c, length);
		}
		c += length;
	}
	return o;
}

/* Calls back with each option of a command. */
typedef void (*option_writer)(FILE *out, const cli_command *command, const cli_option *option);

static void each_option(FILE *out, const cli_command *command, option_writer write)
{
	for (int i = 0; i < GROUPS; i++)
		for (const cli_option *option = command->groups[i]; option && option->name; option++)
			write(out, command, option);
	for (const cli_option *option = common_options; option->name; option++)
		write(out, command, option);
}

/* A text in single quotes of a shell; \param quote what a single quote in it becomes, \param special characters that
 * take a backslash */
static void put_quoted(FILE *out, const char *text, const char *quote, const char *special)
{
	for (; *text; text++) {
		if (*text == '\'')
			fputs(quote, out);
		else
			fprintf(out, strchr(special, *text) ? "\\%c" : "%c", *text);
	}
}

/* ---- bash ---- */

static void bash_name(FILE *out, const cli_command *command, const cli_option *option)
{
	(void)command;
	fprintf(out, " --%s", option->name);
}

static void bash_value(FILE *out, const cli_command *command, const cli_option *option)
{
	char words[WORDS_SIZE];
	const value *v = value_of_option(option);
	if (option->kind != OPTION_FLAG)
		fprintf(out, "\t%s:--%s) _jetwright_offer '%s' '%s' %d; return ;;\n", command->name, option->name,
		        v->list ? v->list : "", words_of(v, words), v->file);
}

static void write_bash(const char *folder)
{
	FILE *out = page_open(folder, "completion/jetwright.bash");
	fprintf(out,
	        "# Made by the build from the tables of the program.\n\n"
	        "# names of lists, words, and files where the third says so\n"
	        "_jetwright_offer() {\n"
	        "\tlocal list words=$2\n"
	        "\tfor list in $1; do words=\"$words $(\"${COMP_WORDS[0]}\" list \"$list\" --names 2>/dev/null)\"; done\n"
	        "\tCOMPREPLY=($(compgen -W \"$words\" -- \"$cur\"))\n"
	        "\t[ \"$3\" = 0 ] || COMPREPLY+=($(compgen -f -- \"$cur\"))\n"
	        "}\n\n"
	        "_jetwright() {\n"
	        "\tlocal cur=${COMP_WORDS[COMP_CWORD]} command=${COMP_WORDS[1]} previous=${COMP_WORDS[COMP_CWORD - 1]}\n"
	        "\t[ \"$cur\" != = ] || cur= # bash parts --option=value in three\n"
	        "\t[ \"$previous\" != = ] || previous=${COMP_WORDS[COMP_CWORD - 2]}\n"
	        "\tCOMPREPLY=()\n"
	        "\tif [ \"$COMP_CWORD\" -eq 1 ]; then\n\t\t_jetwright_offer '' '");
	for (const cli_command *const *command = commands; *command; command++)
		fprintf(out, "%s ", (*command)->name);
	fprintf(out, "--help --version' 0\n\t\treturn\n\tfi\n\tcase $command:$previous in\n");
	for (const cli_command *const *command = commands; *command; command++)
		each_option(out, *command, bash_value);
	fprintf(out, "\tesac\n\tcase $command:$cur in\n");
	for (const cli_command *const *command = commands; *command; command++) {
		const operands o = operands_of(*command);
		fprintf(out, "\t%s:-*) _jetwright_offer '' '", (*command)->name);
		each_option(out, *command, bash_name);
		fprintf(out, "' 0 ;;\n\t%s:*) _jetwright_offer '%s' '%s' %d ;;\n", (*command)->name, o.lists, o.words, o.file);
	}
	fprintf(out, "\tesac\n}\n\ncomplete -o filenames -F _jetwright jetwright\n");
	page_close(out);
}

/* ---- zsh ---- */

/* A blank before what is called keeps _arguments from putting options of its own in between. */
static void zsh_option(FILE *out, const cli_command *command, const cli_option *option)
{
	char words[WORDS_SIZE];
	const value *v = value_of_option(option);
	(void)command;
	fprintf(out, " \\\n\t\t\t'--%s%s[", option->name, option->kind == OPTION_FLAG ? "" : "=");
	put_quoted(out, option_help(option).text, "'\\''", "[]\\");
	fprintf(out, "]");
	if (option->kind != OPTION_FLAG) {
		fprintf(out, ":such as ");
		put_quoted(out, option->example, "'\\''", ":\\");
		fprintf(out, ": _jetwright_offer \"%s\" \"%s\" %d", v->list ? v->list : "", words_of(v, words), v->file);
	}
	fprintf(out, "'");
}

static void write_zsh(const char *folder)
{
	FILE *out = page_open(folder, "completion/_jetwright");
	fprintf(out, "#compdef jetwright\n# Made by the build from the tables of the program.\n\n"
	             "# names of lists, words, and files where the third says so\n"
	             "_jetwright_offer() {\n"
	             "\tlocal list\n"
	             "\tlocal -a names=(${=2})\n"
	             "\tfor list in ${=1}; do names+=(${(f)\"$(jetwright list $list --names 2>/dev/null)\"}); done\n"
	             "\tcompadd -a names\n"
	             "\t(( $3 )) && _files\n"
	             "}\n\n"
	             "_jetwright() {\n"
	             "\tlocal -a commands=(\n");
	for (const cli_command *const *command = commands; *command; command++) {
		fprintf(out, "\t\t'%s:", (*command)->name);
		put_quoted(out, (*command)->summary, "'\\''", ":\\");
		fprintf(out, "'\n");
	}
	fprintf(out, "\t)\n"
	             "\tif (( CURRENT == 2 )); then\n"
	             "\t\t_describe -t commands command commands\n"
	             "\t\tcompadd -- --help --version\n"
	             "\t\treturn\n"
	             "\tfi\n"
	             "\tlocal command=$words[2]\n"
	             "\tshift words\n"
	             "\t(( CURRENT-- ))\n"
	             "\tcase $command in\n");
	for (const cli_command *const *command = commands; *command; command++) {
		const operands o = operands_of(*command);
		fprintf(out, "\t%s)\n\t\t_arguments", (*command)->name);
		each_option(out, *command, zsh_option);
		if (*(*command)->operands) {
			fprintf(out, " \\\n\t\t\t'*:");
			put_quoted(out, (*command)->operands, "'\\''", ":[]\\");
			fprintf(out, ": _jetwright_offer \"%s\" \"%s\" %d'", o.lists, o.words, o.file);
		}
		fprintf(out, " ;;\n");
	}
	fprintf(out, "\tesac\n}\n\n_jetwright \"$@\"\n");
	page_close(out);
}

/* ---- fish ---- */

static void fish_option(FILE *out, const cli_command *command, const cli_option *option)
{
	char words[WORDS_SIZE];
	const value *v = value_of_option(option);
	fprintf(out, "complete -c jetwright -n '__fish_seen_subcommand_from %s' -l %s", command->name, option->name);
	if (option->kind != OPTION_FLAG)
		fprintf(out, " -r%s -a '(_jetwright_offer \"%s\" \"%s\")'", v->file ? "F" : "f", v->list ? v->list : "",
		        words_of(v, words));
	fprintf(out, " -d '");
	put_quoted(out, option_help(option).text, "\\'", "\\");
	fprintf(out, "'\n");
}

static void write_fish(const char *folder)
{
	FILE *out = page_open(folder, "completion/jetwright.fish");
	fprintf(out, "# Made by the build from the tables of the program.\n\n"
	             "# names of lists, and words\n"
	             "function _jetwright_offer\n"
	             "\tfor list in (string split -n ' ' -- $argv[1])\n"
	             "\t\tjetwright list $list --names 2>/dev/null\n"
	             "\tend\n"
	             "\tstring split -n ' ' -- $argv[2]\n"
	             "end\n\n"
	             "complete -c jetwright -f\n"
	             "complete -c jetwright -n __fish_use_subcommand -l help -d 'print the commands and stop'\n"
	             "complete -c jetwright -n __fish_use_subcommand -l version -d 'print the version and stop'\n");
	for (const cli_command *const *command = commands; *command; command++) {
		const operands o = operands_of(*command);
		fprintf(out, "\ncomplete -c jetwright -n __fish_use_subcommand -a %s -d '", (*command)->name);
		put_quoted(out, (*command)->summary, "\\'", "\\");
		fprintf(out, "'\n");
		each_option(out, *command, fish_option);
		if (*(*command)->operands)
			fprintf(
			    out,
			    "complete -c jetwright -n '__fish_seen_subcommand_from %s' %s-a '(_jetwright_offer \"%s\" \"%s\")'\n",
			    (*command)->name, o.file ? "-F " : "", o.lists, o.words);
	}
	page_close(out);
}

void write_completion(const char *folder)
{
	write_bash(folder);
	write_zsh(folder);
	write_fish(folder);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Options are written as the lines of a case, so that both are read and refused alike. */
#include "told.h"
#include "files.h"
#include <stdarg.h>
#include <string.h>

const cli_option told_options[] = {
    {"seen", OPTION_TEXT, 0, 0, 0, "hunts@idle,flat@full",
     "instead of CASE, with PROFILE or none: what was seen, WORD@RANGE=VALUE,... as 'jetwright list evidence' has it"},
    {"not", OPTION_TEXT, 0, 0, 0, "enrichener_helps@full", "what was looked for and not seen"},
    {"unknown", OPTION_TEXT, 0, 0, 0, "spark_strong", "what nobody looked for"},
    {"class", OPTION_TEXT, 0, 0, 0, "utility-160",
     "no PROFILE: the class whose typical engine stands for this one ('jetwright list classes')"},
    {"displacement", OPTION_QUANTITY, JW_VOLUME, 10e-6, 10e-3, "150cm3",
     "beside --class: the engine's own displacement"},
    {"main-jet", OPTION_QUANTITY, JW_LENGTH, 0.1e-3, 5e-3, "1.15mm", "beside --class: its main jet"},
    {"pilot-jet", OPTION_QUANTITY, JW_LENGTH, 0.1e-3, 3e-3, "0.40mm", "beside --class: its pilot jet"},
    {"months-standing", OPTION_QUANTITY, JW_NUMBER, 0, 600, "5", "how long it stood; 0: in daily use"},
    {"changed", OPTION_TEXT, 0, 0, 0, "filter_open", "what was changed just before: filter_open, exhaust_freer"},
    {"fitted", OPTION_TEXT, 0, 0, 0, "main_jet=1.00mm",
     "jets that were fitted just before: main_jet, pilot_jet, main_air_jet, pilot_air_jet"},
    {0},
};

const cli_option tool_options[] = {
    {"tools", OPTION_TEXT, 0, 0, 0, "spark_tester,spray",
     "propose only tests that need nothing but hand tools and these; 'none': hand tools alone"},
    {0},
};

static const struct {
	const char *option, *answer;
} answers[] = {{"seen", "yes"}, {"not", "no"}, {"unknown", "unknown"}};
enum { ANSWERS = sizeof answers / sizeof *answers };

#define TEXT_OF(number) #number
#define TEXT(number) TEXT_OF(number)
#define MOST TEXT(JW_EVIDENCE_MAX)
enum { ITEM = 64, LINES = JW_EVIDENCE_MAX + 64 };

/* Where a line comes from. */
typedef struct source {
	const char *option; /* NULL: none of the user's */
	int place;          /* in its list, from 1; 0: no list */
	char item[ITEM];
} source;

/* A case as text. */
typedef struct told {
	const cli_arguments *arguments;
	char text[LINES * (2 * ITEM + 64)];
	size_t used;
	source line[LINES];
	int lines, evidences;
} told;

static void add_line(told *t, const source *from, const char *format, ...) __attribute__((format(printf, 3, 4)));

static void add_line(told *t, const source *from, const char *format, ...)
{
	va_list list;
	va_start(list, format);
	t->used += (size_t)vsnprintf(t->text + t->used, sizeof t->text - t->used, format, list);
	va_end(list);
	if (from)
		t->line[t->lines] = *from;
	t->lines++;
}

/* What a case calls things, and what options do. */
static const struct {
	const char *case_says, *options_say;
} phrases[] = {
    {"is said of something that is no reading, expected none here", "is no reading, expected no = and number"},
    {"is said of something that has no range, expected none here", "has no range, expected no @ and range"},
    {"a value and no denial", "it under --seen, with a number"},
    {"\"class\" beside it", "--class beside it"}};
enum { PHRASES = sizeof phrases / sizeof *phrases };

/* A list of words that is too long to be told whole. */
static int is_cut(const char *what)
{
	const size_t length = strlen(what);
	return length > 3 && strcmp(what + length - 3, "...") == 0;
}

static int refuse(const cli_arguments *arguments, const source *from, const char *what)
{
	char where[2 * ITEM] = "";
	const char *list = strstr(what, "one of "), *said = "", *rest = "";
	int length = (int)strlen(what);
	if (list && is_cut(what)) {
		length = (int)(list - what);
		said = "a word that 'jetwright list evidence' shows";
	}
	for (int i = 0; i < PHRASES && !*said; i++) {
		const char *found = strstr(what, phrases[i].case_says);
		if (!found)
			continue;
		length = (int)(found - what);
		said = phrases[i].options_say;
		rest = found + strlen(phrases[i].case_says);
	}
	if (from->place > 0)
		snprintf(where, sizeof where, ", item %d", from->place);
	return wrong_use(arguments->command, "--%s%s (%s): %.*s%s%s", from->option, where, from->item, length, what, said,
	                 rest);
}

/* The next of a comma list, without the blanks about it; 0 at its end. */
static int next_item(const char **list, source *item)
{
	*list += strspn(*list, " ");
	const size_t length = strcspn(*list, ",");
	size_t said = length;
	if (item->place && !**list)
		return 0;
	while (said > 0 && (*list)[said - 1] == ' ')
		said--;
	snprintf(item->item, sizeof item->item, "%.*s", (int)said, *list);
	item->place++;
	*list += length + ((*list)[length] == ',');
	return 1;
}

/* "1.05", or "3%:12%:0.5%" of CO, CO2 and O2, as keys of an entry. */
static void write_value(const char *stated, char *text, size_t size)
{
	static const char *const gases[] = {"co", "co2", "o2", "hc"};
	size_t used = 0;
	if (!strchr(stated, ':')) {
		snprintf(text, size, ", value: %s", stated);
		return;
	}
	for (size_t i = 0; i < sizeof gases / sizeof *gases && *stated; i++) {
		const int length = (int)strcspn(stated, ":");
		if (length)
			used += (size_t)snprintf(text + used, size - used, ", %s: %.*s", gases[i], length, stated);
		stated += length + (stated[length] == ':');
	}
}

/* "lambda@full=1.05" as an entry of a case. */
static void add_evidence(told *t, const source *from, const char *answer)
{
	const char *item = from->item;
	const int word = (int)strcspn(item, "@="), range = (int)strcspn(item, "=");
	char at[ITEM + 8] = "", value[2 * ITEM] = "";
	if (item[word] == '@')
		snprintf(at, sizeof at, ", at: %.*s", range - word - 1, item + word + 1);
	if (item[range] == '=')
		write_value(item + range + 1, value, sizeof value);
	t->evidences++;
	add_line(t, from, "  - {seen: %.*s%s%s, answer: %s}\n", word, item, at, value, answer);
}

static void add_change(told *t, const source *from, const char *unused)
{
	(void)unused;
	add_line(t, from, "    - %s\n", from->item);
}

/* "main_jet=1.00mm" */
static void add_fitted(told *t, const source *from, const char *unused)
{
	const int jet = (int)strcspn(from->item, "=");
	(void)unused;
	add_line(t, from, "    %.*s: %s\n", jet, from->item, from->item[jet] ? from->item + jet + 1 : "");
}

typedef void (*adder)(told *t, const source *from, const char *with);

/* What passes is a plain word to YAML too. */
static int is_plain(const char *item)
{
	return *item && !item[strspn(item, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_0123456789.@=-%:/ ")] &&
	       *item != ' ';
}

/* One line for each item of an option. */
static int add_items(told *t, const char *option, adder add, const char *with)
{
	const char *list = text_of(t->arguments, option, "");
	source from = {.option = option};
	while (has(t->arguments, option) && next_item(&list, &from)) {
		if (!is_plain(from.item))
			return refuse(t->arguments, &from, "expected words such as hunts@idle, lambda@full=1.05 or idles_well");
		if (t->lines == LINES || t->evidences == JW_EVIDENCE_MAX)
			return refuse(t->arguments, &from, "is one more than a case may have, expected at most " MOST);
		add(t, &from, with);
	}
	return ANSWERED;
}

static source single(const told *t, const char *option)
{
	source from = {.option = option};
	snprintf(from.item, sizeof from.item, "%s", text_of(t->arguments, option, ""));
	return from;
}

static int add_class(told *t)
{
	const source from = single(t, "class");
	if (!has(t->arguments, "class"))
		return ANSWERED;
	if (!is_plain(from.item))
		return refuse(t->arguments, &from, "expected a name that 'jetwright list classes' shows");
	add_line(t, &from, "class: %s\n", from.item);
	return ANSWERED;
}

/* What a class may be told beside it: the option, the key of a case, its unit and what that is in SI. */
static const struct {
	const char *option, *key, *unit;
	double si;
} numbers[] = {{"displacement", "displacement", "cm3", 1e-6},
               {"main-jet", "main_jet", "mm", 1e-3},
               {"pilot-jet", "pilot_jet", "mm", 1e-3}};
enum { NUMBERS = sizeof numbers / sizeof *numbers };

static void add_numbers(told *t)
{
	for (int i = 0; i < NUMBERS; i++) {
		const source from = single(t, numbers[i].option);
		if (has(t->arguments, from.option))
			add_line(t, &from, "%s: %.9g %s\n", numbers[i].key, value_of(t->arguments, from.option, 0) / numbers[i].si,
			         numbers[i].unit);
	}
}

static void add_months(told *t)
{
	const source from = single(t, "months-standing");
	add_line(t, &from, "  months_standing: %.9g\n", value_of(t->arguments, from.option, 0));
}

static int write_case(told *t)
{
	add_line(t, NULL, "case: 1\n");
	add_line(t, NULL, "about: Told on the command line.\n");
	int code = add_class(t);
	add_numbers(t);
	if (has(t->arguments, "months-standing") || has(t->arguments, "changed") || has(t->arguments, "fitted"))
		add_line(t, NULL, "history:\n");
	if (has(t->arguments, "months-standing"))
		add_months(t);
	if (has(t->arguments, "changed"))
		add_line(t, NULL, "  changed:\n");
	if (!code)
		code = add_items(t, "changed", add_change, NULL);
	if (has(t->arguments, "fitted"))
		add_line(t, NULL, "  fitted:\n");
	if (!code)
		code = add_items(t, "fitted", add_fitted, NULL);
	add_line(t, NULL, "evidence:\n");
	for (int i = 0; i < ANSWERS && !code; i++)
		code = add_items(t, answers[i].option, add_evidence, answers[i].answer);
	return code;
}

static int report(const told *t, const jw_faults *faults)
{
	const jw_fault *fault = &faults->item[0];
	const source *from = &t->line[fault->line > 0 ? fault->line - 1 : 0];
	if (!faults->count || !from->option)
		return wrong_use(t->arguments->command, "%s", faults->count ? fault->message : "out of memory");
	int code = refuse(t->arguments, from, fault->message);
	if (strcmp(from->option, "class") == 0) {
		const cli_place place = find_place("classes", from->item);
		hint_names(&place, "classes");
	}
	return code;
}

int is_told(const cli_arguments *arguments)
{
	int any = 0;
	for (int i = 0; i < ANSWERS; i++)
		any |= has(arguments, answers[i].option);
	return any;
}

jw_case_file *read_told(const cli_arguments *arguments, int *code)
{
	char library[PATH_SIZE];
	told t = {.arguments = arguments};
	jw_case_file *file = NULL;
	jw_faults faults = {0};
	*code = write_case(&t);
	if (*code)
		return NULL;
	if (!profiles_folder(library))
		*code = report_no_profiles();
	else if (jw_case_parse(t.text, library, &file, &faults) < 0)
		*code = report(&t, &faults);
	return file;
}

static int tool_named(const char *word)
{
	for (int tool = 0; tool < JW_TOOL_COUNT; tool++)
		if (strcmp(jw_tool_name((jw_tool)tool), word) == 0)
			return tool;
	return -1;
}

/* "none, spark_tester, ... or timing_light" */
static void list_tools(char *text, size_t size)
{
	size_t used = 0;
	for (int tool = 0; tool < JW_TOOL_COUNT; tool++) {
		const char *gap = !tool ? "" : tool + 1 < JW_TOOL_COUNT ? ", " : " or ";
		used += (size_t)snprintf(text + used, size - used, "%s%s", gap, jw_tool_name((jw_tool)tool));
	}
}

static int no_such_tool(const cli_arguments *arguments, const source *from)
{
	const char *known[JW_TOOL_COUNT];
	char expected[400] = "expected ";
	for (int tool = 0; tool < JW_TOOL_COUNT; tool++)
		known[tool] = jw_tool_name((jw_tool)tool);
	list_tools(expected + strlen(expected), sizeof expected - strlen(expected));
	strncat(expected, hint_of(from->item, known, JW_TOOL_COUNT).text, sizeof expected - strlen(expected) - 1);
	return refuse(arguments, from, expected);
}

int read_tools(const cli_arguments *arguments, int at_hand[JW_TOOL_COUNT])
{
	const char *list = text_of(arguments, "tools", "");
	source from = {.option = "tools"};
	if (has(arguments, "tools"))
		memset(at_hand, 0, JW_TOOL_COUNT * sizeof *at_hand);
	while (has(arguments, "tools") && next_item(&list, &from)) {
		const int tool = tool_named(from.item);
		if (tool < 0)
			return no_such_tool(arguments, &from);
		at_hand[tool] = 1;
	}
	return ANSWERED;
}

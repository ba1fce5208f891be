/* SPDX-License-Identifier: GPL-3.0-or-later */
/* list: the profiles, fuels, jets, cases and readings that come along; the causes and the evidence that explain knows.
 */
#include "commands.h"
#include "files.h"
#include "show.h"
#include <stdlib.h>
#include <string.h>

enum { ABOUT_SIZE = 512, NAME_WIDTH = 27, TEXT_COLUMN = NAME_WIDTH + 3 };

/* Reads what a file says about itself; 0 if it cannot. */
typedef int (*about_reader)(const cli_place *place, char about[ABOUT_SIZE]);

static int engine_about(const cli_place *place, char about[ABOUT_SIZE])
{
	jw_faults faults;
	jw_profile *profile = NULL;
	if (jw_profile_load(place->path, place_library(place), &profile, &faults) < 0)
		return 0;
	snprintf(about, ABOUT_SIZE, "%s", jw_profile_about(profile));
	jw_profile_free(profile);
	return 1;
}

static int fuel_about(const cli_place *place, char about[ABOUT_SIZE])
{
	jw_faults faults;
	jw_fuel fuel;
	return jw_fuel_load(place->path, &fuel, about, ABOUT_SIZE, &faults) >= 0;
}

static int jets_about(const cli_place *place, char about[ABOUT_SIZE])
{
	jw_faults faults;
	jw_jet_set set;
	return jw_jets_load(place->path, place_library(place), &set, about, ABOUT_SIZE, &faults) >= 0;
}

static int case_about(const cli_place *place, char about[ABOUT_SIZE])
{
	jw_faults faults;
	jw_case_file *file = NULL;
	if (jw_case_load(place->path, place_library(place), &file, &faults) < 0)
		return 0;
	snprintf(about, ABOUT_SIZE, "%s", jw_case_about(file));
	jw_case_free(file);
	return 1;
}

static int readings_about(const cli_place *place, char about[ABOUT_SIZE])
{
	static const jw_setup any; /* whose usual points are not asked for */
	jw_faults faults;
	jw_readings *readings = NULL;
	if (jw_readings_load(place->path, &any, NULL, &readings, &faults) < 0)
		return 0;
	snprintf(about, ABOUT_SIZE, "%s", jw_readings_about(readings));
	jw_readings_free(readings);
	return 1;
}

/* Where the rows of a list go: text columns, or JSON. */
typedef struct list_sink {
	cli_json *json; /* NULL: text */
	int names;      /* names alone, a line each */
} list_sink;

static void put(const list_sink *sink, const char *name, const char *text)
{
	if (sink->names) {
		printf("%s\n", name);
	} else if (!sink->json) {
		const int long_name = strlen(name) > NAME_WIDTH;
		printf("  %-*s%s", NAME_WIDTH, name, long_name ? "\n" : " ");
		if (long_name)
			printf("%*s", TEXT_COLUMN, "");
		text_wrap(stdout, TEXT_COLUMN, TEXT_COLUMN, "%s", text);
	} else {
		json_object(sink->json, NULL);
		json_text(sink->json, "name", name);
		json_text(sink->json, "text", text);
		json_object_end(sink->json);
	}
}

static int list_files(const list_sink *sink, const char *kind, about_reader read_about, const char *folder)
{
	char names[NAMES][NAME_SIZE], about[ABOUT_SIZE];
	int code = ANSWERED;
	const int count = read_names(folder, kind, names);
	for (int i = 0; i < count; i++) {
		const cli_place place = find_place(kind, names[i]);
		if (sink->names || read_about(&place, about)) {
			put(sink, names[i], about);
		} else {
			fprintf(stderr, "jetwright list: %s/%s/%s.yaml has faults; 'jetwright check' names them\n", folder, kind,
			        names[i]);
			code = FAILED;
		}
	}
	return code;
}

/* "pilot jet partly blocked: take out the pilot jet and ..." */
static void put_cause(const list_sink *sink, const jw_cause_info *cause)
{
	char text[512];
	snprintf(text, sizeof text, "%s: %s", cause->text, cause->remedy);
	put(sink, cause->id, text);
}

static void list_causes(const list_sink *sink)
{
	for (int i = 0; i < jw_cause_count(); i++)
		put_cause(sink, jw_cause_at(i));
}

static void list_evidence(const list_sink *sink)
{
	for (int i = 0; i < jw_evidence_kind_count(); i++) {
		const jw_evidence_kind *kind = jw_evidence_kind_at(i);
		const jw_evidence_unit *unit = jw_evidence_unit_of(i);
		char text[160];
		snprintf(text, sizeof text, "%s", kind->text);
		if (unit)
			snprintf(text, sizeof text, "%s: %g to %g%s%s", kind->text, unit->low / unit->si, unit->high / unit->si,
			         *unit->unit ? " " : "", unit->unit);
		put(sink, kind->id, text);
	}
}

static void list_parts(const list_sink *sink)
{
	static const char *const carries[] = {[JW_CARRIES_FUEL] = "fuel",
	                                      [JW_CARRIES_AIR] = "air",
	                                      [JW_CARRIES_EMULSION] = "fuel with air",
	                                      [JW_CARRIES_SHOT] = "fuel while the throttle opens"};
	for (int i = 0; i < JW_PASSAGE_COUNT; i++) {
		const jw_passage_info *info = jw_passage_at((jw_passage)i);
		char text[160];
		snprintf(text, sizeof text, "%s, for %s; felt most at %s", info->text, carries[info->carries],
		         range_text_of(info->tells).text);
		put(sink, info->id, text);
	}
}

static void list_dimensions(const list_sink *sink)
{
	for (int i = 0; jw_profile_measured(i); i++)
		put(sink, jw_profile_measured(i), jw_profile_measure(jw_profile_measured(i)));
}

static const struct {
	const char *name, *title;
	about_reader about; /* of files */
	void (*list)(const list_sink *sink);
} lists[] = {
    {"engines", "Engines, for PROFILE", engine_about, NULL},
    {"classes", "Classes, for the based_on of a profile that leaves numbers out", engine_about, NULL},
    {"fuels", "Fuels, for --fuel and profiles", fuel_about, NULL},
    {"jets", "Sets of jets", jets_about, NULL},
    {"cases", "Cases, for 'jetwright explain'", case_about, NULL},
    {"readings", "Readings, for 'jetwright fit'", readings_about, NULL},
    {"causes", "Causes that 'jetwright explain' weighs", NULL, list_causes},
    {"evidence", "Evidence that a case may state", NULL, list_evidence},
    {"parts", "Parts that 'jetwright restrict' and 'jetwright snap' shut in part", NULL, list_parts},
    {"dimensions", "Numbers of a profile, and how each is measured", NULL, list_dimensions},
};
enum { LISTS = sizeof lists / sizeof *lists };

static int print_list(int which, const list_sink *sink, const char *folder)
{
	int code = ANSWERED;
	if (sink->json)
		json_array(sink->json, lists[which].name);
	else if (!sink->names)
		printf("%s:\n", lists[which].title);
	if (lists[which].about)
		code = list_files(sink, lists[which].name, lists[which].about, folder);
	else
		lists[which].list(sink);
	if (sink->json)
		json_array_end(sink->json);
	return code;
}

/* What a kind of file may hold, printed as the option says. */
static int print_kind(const cli_arguments *arguments, const char *option,
                      jw_status (*print)(const char *kind, FILE *out))
{
	const char *kind = text_of(arguments, option, "");
	if (print(kind, stdout) != JW_E_NOT_FOUND)
		return ANSWERED; /* what could not be written is told once, as the program ends */
	char kinds[256] = "";
	for (int i = 0; jw_profile_kind(i); i++)
		snprintf(kinds + strlen(kinds), sizeof kinds - strlen(kinds), "%s%s", i ? ", " : "", jw_profile_kind(i));
	return wrong_use(arguments->command, "--%s %s: no such kind of file, expected one of %s", option, kind, kinds);
}

static int no_such_list(const cli_arguments *arguments, const char *asked)
{
	const char *known[LISTS];
	char names[256] = "";
	for (int i = 0; i < LISTS; i++) {
		known[i] = lists[i].name;
		snprintf(names + strlen(names), sizeof names - strlen(names), "%s%s", i ? ", " : "", lists[i].name);
	}
	return wrong_use(arguments->command, "%s: no such list, expected one of %s%s", asked, names,
	                 hint_of(asked, known, LISTS).text);
}

static int run(const cli_arguments *arguments)
{
	if (has(arguments, "schema"))
		return print_kind(arguments, "schema", jw_profile_schema);
	if (has(arguments, "fields"))
		return print_kind(arguments, "fields", jw_profile_fields);
	const char *asked = arguments->operands ? arguments->operand[0] : NULL;
	int known = 0, code = ANSWERED;
	for (int i = 0; i < LISTS; i++)
		known |= !asked || strcmp(lists[i].name, asked) == 0;
	if (!known)
		return no_such_list(arguments, asked);
	char folder[PATH_SIZE];
	const int found = profiles_folder(folder);
	cli_json json;
	list_sink sink = {.names = has(arguments, "names")};
	if (has(arguments, "json")) {
		json = json_begin(stdout);
		sink = (list_sink){.json = &json};
	}
	for (int i = 0, printed = 0; i < LISTS; i++) {
		if (asked && strcmp(lists[i].name, asked) != 0)
			continue;
		if (lists[i].about && !found) {
			code = FAILED;
			continue;
		}
		if (!sink.json && !sink.names && printed++)
			printf("\n");
		if (print_list(i, &sink, folder) != ANSWERED)
			code = FAILED;
	}
	if (sink.json)
		json_end(sink.json);
	if (code != ANSWERED && !found)
		report_no_profiles();
	return code;
}

static const cli_option list_options[] = {
    {"schema", OPTION_TEXT, JW_NUMBER, 0, 0, "case",
     "prints the JSON Schema of a kind of file instead: engine, fuel, case, readings or jets"},
    {"fields", OPTION_TEXT, JW_NUMBER, 0, 0, "case", "prints the keys of a kind of file instead, a line each"},
    {"names", OPTION_FLAG, 0, 0, 0, NULL, "prints the names alone, a line each, as completion takes them"},
    {.name = NULL}};

const cli_command list_command = {
    .name = "list",
    .operands = "[engines|classes|fuels|jets|cases|readings|causes|evidence|parts|dimensions]",
    .operands_max = 1,
    .summary = "the files that come along, and the words for causes, evidence, parts and dimensions",
    .details =
        "Names what comes along: files by the name under which the other commands find them, causes and evidence by "
        "the words that cases and answers use, each with a sentence, parts that can be shut, and how each dimension of "
        "a profile is measured.",
    .groups = {list_options},
    .examples =
        {
            {"list causes", "what explain weighs"},
            {"list evidence", "the words for what was seen, tried and measured"},
            {"list --fields case", "the keys of a case file, and what each may hold"},
        },
    .run = run,
};

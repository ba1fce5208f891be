/* SPDX-License-Identifier: GPL-3.0-or-later */
/* check: is this file well formed, and is what it says physically sensible? */
#include "commands.h"
#include "files.h"
#include "show.h"
#include "unmeasured.h"
#include <string.h>
#include <strings.h>

/* A loaded file of any kind; what it does not hold is NULL. */
typedef struct checked {
	const cli_place *place;
	jw_profile *own;
	jw_case_file *case_file;
	const jw_profile *profile;
	jw_jet_set jets;
	char about[512];
	jw_faults faults;
	jw_status status;
	int all; /* every unmeasured dimension is told */
} checked;

static void load_engine(checked *c)
{
	c->status = jw_profile_load(c->place->path, place_library(c->place), &c->own, &c->faults);
	c->profile = c->own;
	if (c->own)
		snprintf(c->about, sizeof c->about, "%s", jw_profile_about(c->own));
}

static void load_case(checked *c)
{
	c->status = jw_case_load(c->place->path, place_library(c->place), &c->case_file, &c->faults);
	if (!c->case_file)
		return;
	c->profile = jw_case_profile(c->case_file);
	snprintf(c->about, sizeof c->about, "%s", jw_case_about(c->case_file));
}

static void load_fuel_file(checked *c)
{
	jw_fuel fuel;
	c->status = jw_fuel_load(c->place->path, &fuel, c->about, sizeof c->about, &c->faults);
}

static void load_readings(checked *c)
{
	/* Which engine they were taken on is not asked for, so nobody relies on its usual points. */
	static const jw_setup any;
	jw_readings *readings = NULL;
	c->status = jw_readings_load(c->place->path, &any, NULL, &readings, &c->faults);
	if (readings)
		snprintf(c->about, sizeof c->about, "%s", jw_readings_about(readings));
	jw_readings_free(readings);
}

static void load_jets(checked *c)
{
	c->status = jw_jets_load(c->place->path, place_library(c->place), &c->jets, c->about, sizeof c->about, &c->faults);
}

/* A file tells its kind by its first key, a logged trace by its name. */
static const struct kind {
	const char *key, *text, *folder;
	void (*load)(checked *checked);
} kinds[] = {
    {"profile", "an engine profile", "engines", load_engine},
    {"profile", "an engine profile", "classes", load_engine},
    {"case", "a case", "cases", load_case},
    {"fuel", "a fuel", "fuels", load_fuel_file},
    {"readings", "readings", "readings", load_readings},
    {"jets", "a set of jets", "jets", load_jets},
};
enum { KINDS = sizeof kinds / sizeof *kinds };

static const struct kind *kind_named(const char *key, size_t length)
{
	for (int i = 0; i < KINDS; i++)
		if (strlen(kinds[i].key) == length && strncmp(kinds[i].key, key, length) == 0)
			return &kinds[i];
	return NULL;
}

/* A line, or as much of it as there is room for, ended by what ends one in YAML; its length. */
static int next_line(FILE *file, char *line, int size)
{
	int length = 0, ended = 0;
	for (int c; !ended && length < size - 1 && (c = getc(file)) != EOF;) {
		line[length++] = (char)c;
		ended = c == '\n' || c == '\r';
	}
	line[length] = '\0';
	return length;
}

static const struct kind *kind_of(const char *path, FILE *file)
{
	char line[256];
	const char *ending = strrchr(path, '.');
	if (ending && strcasecmp(ending, ".csv") == 0)
		return kind_named("readings", strlen("readings"));
	int left = 256 * 1024; /* as /dev/zero has no end */
	for (int inside = 0, read; left > 0 && (read = next_line(file, line, sizeof line)) > 0; left -= read) {
		char *key = line + strspn(line, "\xef\xbb\xbf \t\r\n\"'{"); /* a byte order mark too */
		size_t length = strcspn(key, " \t\r\n:\"'");
		const int goes_on = inside; /* a line longer than line[] */
		inside = !strpbrk(line, "\r\n");
		if (goes_on || *key == '#' || *key == '\0' || strncmp(key, "---", 3) == 0 || *key == '%')
			continue;
		/* Bytes that UTF-8 does not have, as UTF-16 begins with, are for a loader to tell; any does. */
		return (unsigned char)*key >= 0xf8 ? kinds : kind_named(key, length);
	}
	return NULL;
}

/* Standard input is read twice, so it is kept in a file. */
static FILE *keep_input(cli_place *place)
{
	char block[4096];
	FILE *kept = tmpfile();
	for (size_t n; kept && (n = fread(block, 1, sizeof block, stdin)) > 0;)
		fwrite(block, 1, n, kept);
	if (kept) {
		fflush(kept);
		rewind(kept);
		snprintf(place->path, sizeof place->path, "/dev/fd/%d", fileno(kept));
	}
	return kept;
}

/* Bare names are looked up in every folder. */
static FILE *open_file(const char *argument, cli_place *place)
{
	FILE *file = NULL;
	for (int i = 0; i < KINDS && !file; i++) {
		*place = find_place(kinds[i].folder, argument);
		file = strcmp(argument, "-") == 0 ? keep_input(place) : fopen(place->path, "r");
	}
	return file;
}

/* Pieces of evidence that say something: what nobody looked for does not. */
static int seen(const jw_case_file *file)
{
	const jw_case *told = jw_case_evidence(file);
	int count = 0;
	for (int i = 0; i < told->evidences; i++)
		count += told->evidence[i].answer != JW_UNKNOWN;
	return count;
}

static void json_jets(cli_json *json, const char *key, const jw_jet *jets, int count)
{
	if (!count)
		return;
	json_array(json, key);
	for (int i = 0; i < count; i++) {
		json_object(json, NULL);
		json_number(json, "mark", jets[i].mark);
		json_number(json, "bore_m", jets[i].bore_m);
		json_object_end(json);
	}
	json_array_end(json);
}

static void print_json(const checked *c, const struct kind *kind)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "kind", kind->key);
	json_flag(&json, "valid", c->status >= 0);
	json_array(&json, "faults");
	for (int i = 0; i < c->faults.count; i++) {
		const jw_fault *fault = &c->faults.item[i];
		json_object(&json, NULL);
		json_number(&json, "line", fault->line);
		json_number(&json, "column", fault->column);
		json_text(&json, "path", fault->path);
		json_text(&json, "message", fault->message);
		json_object_end(&json);
	}
	json_array_end(&json);
	if (c->profile) {
		json_text(&json, "profile", jw_profile_name(c->profile));
		json_calibration(&json, c->profile);
		json_unmeasured(&json, c->profile, c->all);
	}
	if (c->case_file)
		json_number(&json, "evidence", seen(c->case_file));
	json_jets(&json, "main_jets", c->jets.main, c->jets.mains);
	json_jets(&json, "pilot_jets", c->jets.pilot, c->jets.pilots);
	json_warnings(&json, c->status < 0 ? 0 : c->status);
	json_end(&json);
}

static void print_jets(const char *name, const jw_jet *jets, int count)
{
	if (count)
		text_wrap(stdout, 0, 0, "%d %s, %.3f to %.3f mm.", count, name, jets[0].bore_m * 1e3,
		          jets[count - 1].bore_m * 1e3);
}

static void print_text(const checked *c, const struct kind *kind)
{
	printf("%s: %s, well formed.\n", c->place->shown, kind->text);
	if (*c->about)
		text_wrap(stdout, 0, 0, "%s", c->about);
	int pieces = c->case_file ? seen(c->case_file) : 0;
	if (c->case_file)
		text_wrap(stdout, 0, 0, "%d piece%s of evidence about %s%s.", pieces, pieces == 1 ? "" : "s",
		          jw_case_class(c->case_file) ? "an engine without a profile; in its place: " : "",
		          jw_profile_name(c->profile));
	if (c->case_file && jw_case_log(c->case_file)->visits > 1)
		printf("That is of the engine as it is now, after %d visits.\n", jw_case_log(c->case_file)->visits);
	print_jets("main jets", c->jets.main, c->jets.mains);
	print_jets("pilot jets", c->jets.pilot, c->jets.pilots);
	if (c->profile) {
		cli_page page = {.out = stdout};
		print_screw(jw_profile_setup(c->profile), &page);
		print_calibration(c->profile, &page);
		print_unmeasured(c->profile, c->all, stdout);
	}
	if (c->status & JW_W_COEFFICIENT)
		text_wrap(stdout, 0, 0,
		          "A coefficient outside 0.8 to 1.25 means that a dimension in the profile, or the baseline, is "
		          "probably wrong: the rest of the answers rest on it.");
}

static int run(const cli_arguments *arguments)
{
	cli_place place;
	FILE *file = open_file(arguments->operand[0], &place);
	const struct kind *kind = file ? kind_of(place.path, file) : NULL;
	if (!file || ferror(file)) { /* a folder is opened, but not read */
		fprintf(stderr, "%s: %s, expected a readable file\n", place.shown, jw_status_text(JW_E_OPEN));
		if (file)
			fclose(file);
		else
			hint_names(&place, NULL);
		return FAILED;
	}
	checked c = {.place = &place, .all = has(arguments, "measure")};
	if (kind) {
		place.kind = kind->folder;
		kind->load(&c);
	}
	fclose(file);
	if (!kind) {
		fprintf(stderr,
		        "%s:1:1: the kind of file is not known, expected a first line such as 'profile: 1', 'case: 1', "
		        "'fuel: 1', 'jets: 1' or 'readings: 1'\nWhat such a file holds: jetwright list --fields engine\n",
		        place.shown);
		return FAILED;
	}
	if (has(arguments, "json"))
		print_json(&c, kind);
	else if (c.status >= 0)
		print_text(&c, kind);
	int code = c.status < 0 ? report_faults(&place, c.status, &c.faults) : answered(arguments, c.status, NULL);
	jw_profile_free(c.own);
	jw_case_free(c.case_file);
	return code;
}

static const cli_option check_options[] = {
    {"measure", OPTION_FLAG, 0, 0, 0, NULL,
     "name every dimension that nobody measured, not only the first three, and how each is measured"},
    {0},
};

const cli_command check_command = {
    .name = "check",
    .operands = "FILE",
    .operands_min = 1,
    .operands_max = 1,
    .summary = "is this profile or case well formed and physically sensible",
    .details =
        "Reads an engine profile, a case, a fuel, a set of jets, readings or a logged trace (the first key, or .csv, "
        "tells which), reports every "
        "fault by file, line and column, shows how far the model had to be bent to meet the baseline, and names the "
        "dimensions that, once measured, would narrow lambda most, and how: with pin gauges, a burette, a level tube. "
        "FILE may be '-' for standard input, or a name that "
        "comes along.",
    .groups = {check_options},
    .examples =
        {
            {"check courier-150", "a profile that comes along"},
            {"check courier-150 --measure", "every dimension that nobody measured, and how to measure it"},
            {"check stood-five-months", "a case"},
        },
    .run = run,
};

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "files.h"
#include "options.h"
#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int is_folder(const char *path)
{
	struct stat info;
	return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

static int is_file(const char *path)
{
	struct stat info;
	return stat(path, &info) == 0 && !S_ISDIR(info.st_mode);
}

/* A pipe among the files that come along would be waited for. */
static int is_plain_file(const char *path)
{
	struct stat info;
	return stat(path, &info) == 0 && S_ISREG(info.st_mode);
}

/* The folder that the environment names; NULL where it names none. */
static const char *folder_told(void)
{
	const char *told = getenv("JETWRIGHT_PROFILES");
	return told && *told ? told : NULL;
}

int profiles_folder(char folder[PATH_SIZE])
{
	static const char *const beside[] = {CLI_PROFILES, "../profiles"}; /* where installed, or in the build tree */
	const char *set = folder_told();
	char program[PATH_SIZE / 2];
	if (set)
		return snprintf(folder, PATH_SIZE, "%s", set) < PATH_SIZE && is_folder(folder);
	ssize_t length = readlink("/proc/self/exe", program, sizeof program - 1);
	if (length < 0)
		return 0;
	program[length] = '\0';
	*strrchr(program, '/') = '\0';
	for (size_t i = 0; i < sizeof beside / sizeof *beside; i++) {
		snprintf(folder, PATH_SIZE, "%s/%s", program, beside[i]);
		if (is_folder(folder))
			return 1;
	}
	return 0;
}

/* Whether the folder above the file's own holds engines/: then the file brings its own library along. */
static int has_own_library(const char *path)
{
	char engines[PATH_SIZE + 16];
	snprintf(engines, sizeof engines, "%s", path);
	char *slash = strrchr(engines, '/');
	snprintf(slash ? slash + 1 : engines, 16, "../engines");
	return is_folder(engines);
}

cli_place find_place(const char *kind, const char *argument)
{
	cli_place place = {.shown = argument, .kind = kind};
	int found = profiles_folder(place.folder);
	snprintf(place.path, sizeof place.path, "%s", argument);
	if (strcmp(argument, "-") == 0) {
		place.shown = "standard input";
		snprintf(place.path, sizeof place.path, "/dev/stdin");
	} else if (!strchr(argument, '/') && !is_file(argument) && found) {
		char path[2 * PATH_SIZE];
		snprintf(path, sizeof path, "%s/%s/%s.yaml", place.folder, kind, argument);
		if (is_plain_file(path) && strlen(path) < sizeof place.path)
			strcpy(place.path, path);
	}
	if (!found || (!folder_told() && has_own_library(place.path)))
		place.folder[0] = '\0';
	return place;
}

const char *place_library(const cli_place *place)
{
	return place->folder[0] ? place->folder : NULL;
}

/* Where the keys and words of a file are told. */
static const struct {
	const char *folder, *schema, *words;
} folders[] = {
    {"engines", "engine", "dimensions"}, {"classes", "engine", "dimensions"},  {"cases", "case", "evidence"},
    {"fuels", "fuel", "fuels"},          {"readings", "readings", "readings"}, {"jets", "jets", "jets"},
};
enum { FOLDERS = sizeof folders / sizeof *folders };

static void print_teaching(const char *folder)
{
	for (int i = 0; i < FOLDERS; i++)
		if (strcmp(folders[i].folder, folder) == 0)
			fprintf(stderr, "What such a file holds: jetwright list --fields %s\nMore: jetwright list %s\n",
			        folders[i].schema, folders[i].words);
}

int report_faults(const cli_place *place, jw_status status, const jw_faults *faults)
{
	const int is_device = strncmp(place->path, "/dev/", 5) == 0;
	const char *file = is_device || !faults->file[0] ? place->shown : faults->file;
	for (int i = 0; i < faults->count; i++) {
		const jw_fault *fault = &faults->item[i];
		fprintf(stderr, "%s:", file);
		if (fault->line)
			fprintf(stderr, "%d:%d:", fault->line, fault->column);
		fprintf(stderr, " %s%s%s\n", fault->path, *fault->path ? ": " : "", fault->message);
	}
	if (faults->more)
		fprintf(stderr, "%s: and %d more\n", file, faults->more);
	if (!faults->count)
		fprintf(stderr, "jetwright: %s: %s\n", file, jw_status_text(status));
	if (status == JW_E_SCHEMA || status == JW_E_SYNTAX)
		print_teaching(place->kind);
	return FAILED;
}

static int by_name(const void *a, const void *b)
{
	return strcmp(a, b);
}

int read_names(const char *folder, const char *kind, char names[NAMES][NAME_SIZE])
{
	char path[PATH_SIZE + NAME_SIZE];
	int count = 0;
	snprintf(path, sizeof path, "%s/%s", folder, kind);
	DIR *stream = opendir(path);
	if (!stream)
		return 0;
	for (struct dirent *entry; (entry = readdir(stream)) && count < NAMES;) {
		const char *dot = strrchr(entry->d_name, '.');
		if (!dot || strcmp(dot, ".yaml") != 0 || dot - entry->d_name >= NAME_SIZE)
			continue;
		snprintf(names[count++], NAME_SIZE, "%.*s", (int)(dot - entry->d_name), entry->d_name);
	}
	closedir(stream);
	qsort(names, (size_t)count, sizeof *names, by_name);
	return count;
}

/* Says which name of a kind was meant; returns 0 where none is near. */
static int hint_near(const char *folder, const char *kind, const char *word)
{
	char names[NAMES][NAME_SIZE];
	const char *known[NAMES];
	const int count = read_names(folder, kind, names);
	for (int i = 0; i < count; i++)
		known[i] = names[i];
	const char *near = jw_word_nearest(word, known, count);
	if (near && strcmp(near, word) != 0)
		fprintf(stderr, "Did you mean '%s'?\n", near);
	return near != NULL;
}

int report_no_profiles(void)
{
	fprintf(stderr, "jetwright: the profiles that come along are not found; set JETWRIGHT_PROFILES to their folder\n");
	return FAILED;
}

void hint_names(const cli_place *place, const char *kind)
{
	char folder[PATH_SIZE];
	int hinted = 0;
	if (strchr(place->shown, '/') || is_file(place->path))
		return;
	if (!profiles_folder(folder)) {
		report_no_profiles();
		return;
	}
	for (int i = 0; i < FOLDERS && !hinted; i++)
		if (!kind || strcmp(kind, folders[i].folder) == 0)
			hinted = hint_near(folder, folders[i].folder, place->shown);
	fprintf(stderr, "'jetwright list%s%s' shows the names that come along.\n", kind ? " " : "", kind ? kind : "");
}

jw_profile *load_profile(const char *argument, jw_status *status)
{
	jw_profile *profile = NULL;
	jw_faults faults = {0};
	cli_place place = find_place("engines", argument);
	*status = jw_profile_load(place.path, place_library(&place), &profile, &faults);
	if (*status >= 0)
		return profile;
	report_faults(&place, *status, &faults);
	hint_names(&place, "engines");
	return NULL;
}

jw_status load_fuel(const char *argument, jw_fuel *fuel)
{
	jw_faults faults = {0};
	cli_place place = find_place("fuels", argument);
	jw_status status = jw_fuel_load(place.path, fuel, NULL, 0, &faults);
	if (status < 0) {
		report_faults(&place, status, &faults);
		hint_names(&place, "fuels");
	}
	return status;
}

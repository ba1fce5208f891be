/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include "profile/describe.h"
#include "profile/evidence.h"

#include <stdlib.h>
#include <string.h>

/* A visit as the file says it. */
typedef struct told_visit {
	char date[JW_DATE_SIZE];
	jw_said said[JW_EVIDENCE_MAX];
	int evidences, done[JW_CAUSES_MOST], result;
} told_visit;

struct jw_case_file {
	int schema;
	char about[JW_ABOUT_MOST + 1], engine[JW_NAME_MOST + 1], class[JW_NAME_MOST + 1];
	double displacement_m3, main_jet_m, pilot_jet_m; /* beside a class; 0: unsaid */
	jw_air_block air;
	told_visit visit[JW_VISITS_MOST], only; /* `only`: evidence outside visits */
	int visits;
	jw_case known;
	jw_log log;
	jw_profile *profile;
};

#define UNKNOWN_MONTHS (-1)
/* Stands for an engine of which nothing is said: a fixed venturi, a plate and a choke. */
#define PLAINEST_CLASS "utility-160"

static const char *change_word(int index)
{
	return jw_change_name((jw_change_kind)index);
}

static const char *tool_word(int index)
{
	return jw_tool_name((jw_tool)index);
}

static const char *cause_word(int index)
{
	const jw_cause_info *cause = jw_cause_at(index);
	return cause ? cause->id : NULL;
}

static const char *result_word(int index)
{
	return jw_result_name((jw_result)index);
}

#define IN_VISIT(place) JW_AT(told_visit, place), .stride = sizeof(told_visit)
#define EVIDENCE .most = JW_EVIDENCE_MAX, .columns = jw_said_fields

static const jw_field visit_fields[] = {
    {"date", JW_FIELD_TEXT, JW_OPTIONAL, .most = JW_DATE_SIZE - 1, .example = "2026-04-18", IN_VISIT(date)},
    {"evidence", JW_FIELD_RECORDS, JW_OPTIONAL, EVIDENCE, IN_VISIT(said), .count = offsetof(told_visit, evidences)},
    {"done", JW_FIELD_WORDS, JW_OPTIONAL, .word = cause_word, IN_VISIT(done)},
    {"result", JW_FIELD_WORD, JW_OPTIONAL, .word = result_word, IN_VISIT(result)},
    JW_END_OF_FIELDS};

#define FITTED(jet, part)                                                                                              \
	JW_QUANTITY_FIELD("history.fitted." jet, JW_LENGTH, "0.1 mm", "5 mm", JW_OPTIONAL, jw_case_file,                   \
	                  known.history.fitted_m[part], "history.fitted_m")

const jw_field jw_case_fields[] = {
    JW_SCHEMA_FIELD("case", jw_case_file),
    JW_ABOUT_FIELD(jw_case_file),
    {"profile", JW_FIELD_NAME, JW_OPTIONAL, .most = JW_NAME_MOST, JW_AT(jw_case_file, engine)},
    {"class", JW_FIELD_NAME, JW_OPTIONAL, .most = JW_NAME_MOST, JW_AT(jw_case_file, class)},
    JW_QUANTITY_FIELD("displacement", JW_VOLUME, "10 cm3", "10 l", JW_OPTIONAL, jw_case_file, displacement_m3, NULL),
    JW_QUANTITY_FIELD("main_jet", JW_LENGTH, "0.1 mm", "5 mm", JW_OPTIONAL, jw_case_file, main_jet_m, NULL),
    JW_QUANTITY_FIELD("pilot_jet", JW_LENGTH, "0.1 mm", "3 mm", JW_OPTIONAL, jw_case_file, pilot_jet_m, NULL),
    JW_AIR_FIELDS("air", jw_case_file, air),
    JW_QUANTITY_FIELD("history.months_standing", JW_NUMBER, "0", "600", JW_OPTIONAL, jw_case_file,
                      known.history.months_standing, "months_standing"),
    {"history.changed", JW_FIELD_WORDS, JW_OPTIONAL, .word = change_word, JW_AT(jw_case_file, known.history.changed)},
    FITTED("main_jet", JW_PART_MAIN_JET),
    FITTED("pilot_jet", JW_PART_PILOT_JET),
    FITTED("main_air_jet", JW_PART_MAIN_AIR_JET),
    FITTED("pilot_air_jet", JW_PART_PILOT_AIR_JET),
    {"tools", JW_FIELD_WORDS, JW_OPTIONAL, .word = tool_word, JW_AT(jw_case_file, known.tools)},
    {"evidence", JW_FIELD_RECORDS, JW_OPTIONAL, EVIDENCE, JW_AT(jw_case_file, only.said),
     .count = offsetof(jw_case_file, only.evidences)},
    {"visits", JW_FIELD_RECORDS, JW_OPTIONAL, .most = JW_VISITS_MOST, .columns = visit_fields,
     JW_AT(jw_case_file, visit), .count = offsetof(jw_case_file, visits)},
    JW_END_OF_FIELDS};

static void begin_visit(told_visit *visit)
{
	for (int i = 0; i < JW_EVIDENCE_MAX; i++)
		jw_said_begin(&visit->said[i]);
}

static void begin(jw_case_file *file)
{
	file->air = JW_AIR_UNSAID;
	file->known.history.months_standing = UNKNOWN_MONTHS;
	begin_visit(&file->only);
	for (int v = 0; v < JW_VISITS_MOST; v++)
		begin_visit(&file->visit[v]);
}

/* ---- visits ---- */

/* \param block that holds the evidence */
static void complete_evidence(const told_visit *told, const jw_node *block, const jw_setup *setup, jw_visit *visit,
                              jw_faults *faults)
{
	const jw_node *list = jw_node_find(block, "evidence", NULL);
	visit->evidences = told->evidences;
	if (told->evidences)
		for (const jw_node *item = list->first; item; item = item->next)
			jw_said_complete(&told->said[item->index], item, setup, &visit->evidence[item->index], faults);
}

static int done_any(const told_visit *told)
{
	for (int c = 0; c < JW_CAUSES_MOST; c++)
		if (told->done[c])
			return 1;
	return 0;
}

static void complete_visit(const told_visit *told, const jw_node *block, const jw_setup *setup, jw_visit *visit,
                           jw_faults *faults)
{
	const jw_node *date = jw_node_find(block, "date", NULL), *result = jw_node_find(block, "result", NULL);
	complete_evidence(told, block, setup, visit, faults);
	memcpy(visit->done, told->done, sizeof visit->done);
	visit->result = (jw_result)told->result;
	visit->day = JW_DAY_UNKNOWN;
	if (*told->date && jw_date_parse(told->date, &visit->day) < 0)
		jw_fault_node(faults, date, "is no date, expected one such as 2026-04-18");
	if (result && !done_any(told))
		jw_fault_node(faults, result, "is said of a visit in which nothing was done, expected done beside it");
}

/* Days do not fall, and the first visit says what was complained of. */
static void check_visits(const jw_case_file *file, const jw_node *list, jw_faults *faults)
{
	jw_case present;
	int day = JW_DAY_UNKNOWN;
	if (!file->log.visit[0].evidences)
		jw_fault_node(faults, list, "tells nothing that was seen at first, expected evidence in the first visit");
	for (const jw_node *item = list->first; item; item = item->next) {
		const int here = file->log.visit[item->index].day;
		if (here != JW_DAY_UNKNOWN && here < day)
			jw_fault_node(faults, jw_node_find(item, "date", NULL),
			              "lies before a visit above it, expected the visits in their order");
		day = here != JW_DAY_UNKNOWN ? here : day;
	}
	if (!faults->count && jw_log_present(&file->known, &file->log, &present, NULL) < 0)
		jw_fault_node(faults, list,
		              "tells more than a case holds, expected at most 96 pieces of evidence between repairs");
}

static void take_visits(jw_case_file *file, const jw_node *root, jw_faults *faults)
{
	const jw_setup *setup = file->profile ? jw_profile_setup(file->profile) : NULL;
	const jw_node *list = jw_node_find(root, "visits", NULL), *evidence = jw_node_find(root, "evidence", NULL);
	if (list && evidence)
		jw_fault_node(faults, evidence, "is given beside visits, expected it within one of them");
	else if (!list && !evidence)
		jw_fault_at(faults, root, "evidence", "is not told, expected a list of what was seen, or visits");
	file->log.visits = list ? file->visits : 1;
	file->log.visit[0].day = JW_DAY_UNKNOWN;
	if (!list)
		complete_evidence(&file->only, root, setup, &file->log.visit[0], faults);
	else if (file->visits) {
		for (const jw_node *item = list->first; item; item = item->next)
			complete_visit(&file->visit[item->index], item, setup, &file->log.visit[item->index], faults);
		check_visits(file, list, faults);
	}
}

/* Whether some of the engine's own numbers stand beside its class. */
static int says_few(const jw_case_file *file)
{
	return file->displacement_m3 > 0 || file->main_jet_m > 0 || file->pilot_jet_m > 0;
}

static const jw_node *few_node(const jw_node *root)
{
	static const char *const keys[] = {"displacement", "main_jet", "pilot_jet"};
	const jw_node *node = NULL;
	for (size_t i = 0; i < sizeof keys / sizeof *keys && !node; i++)
		node = jw_node_find(root, keys[i], NULL);
	return node;
}

/* "KEY: NUMBER UNIT" as a file says it, in any locale. */
typedef struct entry {
	char text[64];
} entry;

static entry said(const char *key, double si, jw_dimension dimension, const char *unit)
{
	entry e;
	char number[40];
	jw_quantity_write(si, dimension, unit, 9, number, sizeof number);
	snprintf(e.text, sizeof e.text, "%s: %s", key, number);
	return e;
}

/* The jet of a circuit where the case states it. */
static entry said_jet(const char *circuit, double bore_m)
{
	entry e = {""};
	if (bore_m > 0)
		snprintf(e.text, sizeof e.text, ", %s: {%.40s}", circuit, said("jet", bore_m, JW_LENGTH, "mm").text);
	return e;
}

/* A profile of few numbers that leaves the rest to the class; bore and stroke keep their ratio. */
static void write_few(const jw_case_file *file, char *text, size_t size)
{
	const jw_engine *class = &jw_profile_setup(file->profile)->engine;
	const double typical = jw_displacement(class), own = file->displacement_m3 > 0 ? file->displacement_m3 : typical;
	const double scale = cbrt(own / typical);
	snprintf(
	    text, size,
	    "profile: 1\nname: Engine of %d cm3\nabout: Told in few numbers.\nfuel: %s\nbased_on: %s\nengine: {%s, %s}\n"
	    "carburetor: {kind: %s%s%s}\n",
	    (int)(own * 1e6 + 0.5), jw_profile_fuel(file->profile), file->class,
	    said("bore", class->bore_m * scale, JW_LENGTH, "mm").text,
	    said("stroke", class->stroke_m * scale, JW_LENGTH, "mm").text, jw_profile_carburetor(file->profile),
	    said_jet("main", file->main_jet_m).text, said_jet("pilot", file->pilot_jet_m).text);
}

/* "LIBRARY" of "LIBRARY/classes/NAME.yaml". */
static void cut_to_library(char *path)
{
	for (int i = 0; i < 2; i++)
		*strrchr(path, '/') = '\0';
}

/* The class brought to the numbers that the case states. */
static jw_status narrow_class(jw_case_file *file, const jw_node *root, char *class_path, jw_faults *faults)
{
	char text[1024];
	jw_profile *few = NULL;
	jw_faults inner;
	write_few(file, text, sizeof text);
	cut_to_library(class_path);
	jw_status status = jw_profile_parse(text, class_path, &few, &inner);
	if (status < 0) {
		jw_fault_node(faults, few_node(root), inner.item[0].message);
		return status == JW_E_MEMORY ? status : JW_E_SCHEMA;
	}
	jw_profile_free(file->profile);
	file->profile = few;
	return status;
}

/* The engine itself, or one of its class that stands for it. */
static jw_status load_profile(jw_case_file *file, const jw_node *root, const char *path, const char *library,
                              jw_faults *faults)
{
	char profile_path[JW_PATH_MOST];
	jw_faults inner;
	const int own = *file->engine != '\0';
	const char *name = own ? file->engine : file->class;
	jw_status status = jw_library_file(library, path, own ? "engines" : "classes", name, profile_path, root,
	                                   own ? "profile" : "class", faults);
	if (status)
		return status;
	status = jw_profile_load(profile_path, library, &file->profile, &inner);
	if (status < 0)
		return jw_fault_named(faults, root, own ? "profile" : "class", &inner, status);
	return !own && says_few(file) ? narrow_class(file, root, profile_path, faults) : status;
}

static void choose_class(jw_case_file *file, const jw_node *root, jw_faults *faults)
{
	if (*file->engine && *file->class)
		jw_fault_node(faults, jw_node_find(root, "class", NULL),
		              "is given beside profile, expected one of them: a profile needs no class to stand for it");
	else if (says_few(file) && *file->engine)
		jw_fault_node(faults, few_node(root),
		              "is given beside profile, which says it itself: expected \"class\" in its place");
	else if (says_few(file) && !*file->class)
		jw_fault_node(faults, few_node(root),
		              "says a number of an engine without its class, expected \"class\" beside it");
	else if (!faults->count && !jw_node_find(root, "profile", NULL) && !jw_node_find(root, "class", NULL))
		strcpy(file->class, PLAINEST_CLASS); /* which has no faults of its own to tell beside those of the case */
}

static jw_status fill(void *into, const jw_node *root, const char *path, const char *library, jw_faults *faults)
{
	jw_case_file *file = into;
	jw_status profile = JW_OK;
	begin(file);
	jw_fields_read(jw_case_fields, root, file, faults);
	choose_class(file, root, faults);
	jw_status air = jw_air_from_block(&file->air, jw_case_fields, root, "air", &file->known.air, faults);
	if (*file->engine || *file->class)
		profile = load_profile(file, root, path, library, faults);
	if (profile == JW_E_MEMORY)
		return profile;
	if (*file->engine && file->profile && jw_profile_baseline(file->profile))
		file->known.history.ran_in = jw_profile_baseline(file->profile)->air;
	take_visits(file, root, faults);
	if (faults->count)
		return JW_E_SCHEMA;
	return jw_both(air | profile, jw_log_present(&file->known, &file->log, &file->known, NULL));
}

static jw_status hand_over(jw_case_file *loaded, jw_status status, jw_case_file **file)
{
	if (status < 0)
		jw_case_free(loaded);
	else
		*file = loaded;
	return status;
}

jw_status jw_case_load(const char *path, const char *library, jw_case_file **file, jw_faults *faults)
{
	if (!path || !file || !faults)
		return JW_E_ARGUMENT;
	jw_case_file *loaded = calloc(1, sizeof *loaded);
	return hand_over(loaded, jw_file_read(path, library, fill, loaded, faults), file);
}

jw_status jw_case_parse(const char *text, const char *library, jw_case_file **file, jw_faults *faults)
{
	if (!text || !library || !file || !faults)
		return JW_E_ARGUMENT;
	jw_case_file *loaded = calloc(1, sizeof *loaded);
	return hand_over(loaded, jw_text_read(text, library, fill, loaded, faults), file);
}

void jw_case_free(jw_case_file *file)
{
	if (!file)
		return;
	jw_profile_free(file->profile);
	free(file);
}

const jw_case *jw_case_evidence(const jw_case_file *file)
{
	return &file->known;
}

const jw_log *jw_case_log(const jw_case_file *file)
{
	return &file->log;
}

const jw_profile *jw_case_profile(const jw_case_file *file)
{
	return file->profile;
}

const char *jw_case_class(const jw_case_file *file)
{
	return *file->class && !says_few(file) ? file->class : NULL;
}

const char *jw_case_about(const jw_case_file *file)
{
	return file->about;
}

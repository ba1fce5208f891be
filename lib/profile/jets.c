/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/files.h"

#include <jetwright/jet.h>

typedef struct jets_file {
	int schema;
	char about[JW_ABOUT_MOST + 1], fuel[JW_NAME_MOST + 1];
	int kind;
	double head_m, temperature_k, length_m;
	jw_jet_set set;
} jets_file;

static const char *mark_word(int index)
{
	return jw_mark_name((jw_mark_kind)index);
}

static const jw_field mark_cell[] = {{"mark", JW_FIELD_QUANTITY, JW_REQUIRED, JW_NUMBER, "0.5", "100000",
                                      .member = "mark", JW_AT(jw_jet, mark), .stride = sizeof(jw_jet)},
                                     JW_END_OF_FIELDS};

#define MARKS(key, jets)                                                                                               \
	{                                                                                                                  \
#key, JW_FIELD_LIST, JW_OPTIONAL, .most = JW_JETS_MOST, .columns = mark_cell, JW_AT(jets_file, set.key),       \
		                                  .count = offsetof(jets_file, set.jets)                                       \
	}

const jw_field jw_jets_fields[] = {
    JW_SCHEMA_FIELD("jets", jets_file),
    JW_ABOUT_FIELD(jets_file),
    {"marked", JW_FIELD_WORD, JW_REQUIRED, .word = mark_word, JW_AT(jets_file, kind)},
    {"bench", JW_FIELD_BLOCK, .standard = JW_OPTIONAL},
    JW_QUANTITY_FIELD("bench.head", JW_LENGTH, "20 mm", "10 m", JW_REQUIRED, jets_file, head_m, "head_m"),
    {"bench.fuel", JW_FIELD_NAME, JW_REQUIRED, .most = JW_NAME_MOST, JW_AT(jets_file, fuel)},
    JW_QUANTITY_FIELD("bench.temperature", JW_TEMPERATURE, "-30 C", "60 C", "20 C", jets_file, temperature_k,
                      "temperature_k"),
    JW_QUANTITY_FIELD("bench.jet_length", JW_LENGTH, "0.2 mm", "20 mm", "2 mm", jets_file, length_m, "length_m"),
    MARKS(main, mains),
    MARKS(pilot, pilots),
    JW_END_OF_FIELDS};

/* ---- the bench ---- */

static jw_status make_bench(const jets_file *file, const jw_node *root, const char *path, const char *library,
                            jw_flow_bench *bench, jw_faults *faults)
{
	jw_fuel fuel;
	jw_fuel_state state;
	jw_error error = {0};
	jw_status loaded = jw_fuel_named(library, path, root, "bench.fuel", file->fuel, &fuel, faults);
	if (loaded < 0)
		return loaded;
	jw_status status = jw_fuel_at(&fuel, file->temperature_k, &state, &error);
	if (status < 0) {
		jw_fields_blame(jw_jets_fields, root, &error, faults);
		return JW_E_SCHEMA;
	}
	*bench = (jw_flow_bench){{0, file->length_m, 0},
	                         {state.density_kg_m3, state.viscosity_m2_s},
	                         state.density_kg_m3 * JW_GRAVITY * file->head_m};
	return loaded | status;
}

/* ---- the jets ---- */

/* The bore of each mark; two jets of one bore, or one smaller than that before it, are a slip of the pen. */
static jw_status take_bores(jw_mark_kind kind, const jw_flow_bench *bench, jw_jet *jets, const jw_node *list,
                            jw_faults *faults)
{
	jw_status all = JW_OK;
	double before_m = 0;
	for (const jw_node *item = list ? list->first : NULL; item; item = item->next) {
		jw_jet *jet = &jets[item->index];
		jw_status status = jw_mark_bore(kind, jet->mark, bench, &jet->bore_m, NULL);
		if (status < 0) {
			jw_fault_node(faults, item,
			              kind == JW_MARK_NUMBER_DRILL
			                  ? "is no drill of the table, expected a whole number from 80 to 50"
			                  : "stands for no jet, expected a bore of 0.02 mm to 20 mm");
			continue;
		}
		if (jet->bore_m <= before_m)
			jw_fault_node(faults, item, "is not wider than the jet before it, expected each wider than the last");
		before_m = jet->bore_m;
		all |= status;
	}
	return all;
}

static int check_keys(const jets_file *file, const jw_node *root, jw_faults *faults)
{
	int by_flow = file->kind == JW_MARK_FLOW_CC_MIN, before = faults->count;
	const jw_node *bench = jw_node_find(root, "bench", NULL);
	if (by_flow && !bench)
		jw_fault_at(faults, root, "bench", "is missing, expected the head and fuel at which the flows hold");
	if (!by_flow && bench)
		jw_fault_at(faults, root, "bench", "is given, expected it only beside \"marked: flow_cc_min\"");
	if (!file->set.mains && !file->set.pilots)
		jw_fault_at(faults, root, "main", "is missing, as is \"pilot\", expected one of them");
	return faults->count == before;
}

static jw_status fill(void *into, const jw_node *root, const char *path, const char *library, jw_faults *faults)
{
	jets_file *file = into;
	jw_flow_bench bench, *flowed;
	jw_status status = JW_OK;
	jw_fields_read(jw_jets_fields, root, file, faults);
	if (faults->count || !check_keys(file, root, faults))
		return JW_E_SCHEMA;
	file->set.kind = (jw_mark_kind)file->kind;
	flowed = *file->fuel ? &bench : NULL;
	if (flowed)
		status = make_bench(file, root, path, library, &bench, faults);
	if (status < 0)
		return status;
	status |= take_bores(file->set.kind, flowed, file->set.main, jw_node_find(root, "main", NULL), faults);
	status |= take_bores(file->set.kind, flowed, file->set.pilot, jw_node_find(root, "pilot", NULL), faults);
	return faults->count ? JW_E_SCHEMA : status;
}

jw_status jw_jets_load(const char *path, const char *library, jw_jet_set *set, char *about, size_t about_size,
                       jw_faults *faults)
{
	if (!path || !set || !faults)
		return JW_E_ARGUMENT;
	jets_file file = {0};
	jw_status status = jw_file_read(path, library, fill, &file, faults);
	if (status < 0)
		return status;
	*set = file.set;
	if (about && about_size)
		snprintf(about, about_size, "%s", file.about);
	return status;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/readings.h"
#include "profile/text.h"

#include "base/base.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define TRACE_BYTES (4 * 1024 * 1024)
#define TRACE_ENDING ".csv"

struct jw_readings {
	int schema, entries;
	char about[JW_ABOUT_MOST + 1];
	jw_air_block air;
	jw_entry entry[JW_READINGS_MOST];
	jw_reading_list list;
};

/* ---- rows ---- */

static const char *range_word(int index)
{
	return jw_range_name((jw_range)index);
}

static const char *jet_word(int index)
{
	return index <= JW_PART_PILOT_JET ? jw_part_name((jw_part)index) : NULL;
}

#define QUANTITY(key, unit, least, greatest, place)                                                                    \
	{                                                                                                                  \
		key, JW_FIELD_QUANTITY, JW_OPTIONAL, unit, least, greatest, JW_AT(jw_entry, place), .stride = sizeof(jw_entry) \
	}
/* What a trace may hold too. */
#define MOMENT_FIELDS                                                                                                  \
	{"at", JW_FIELD_WORD, JW_OPTIONAL, .word = range_word, JW_AT(jw_entry, at), .stride = sizeof(jw_entry)},           \
	    QUANTITY("speed", JW_SPEED, "200 rpm", "25000 rpm", speed_rev_s),                                              \
	    QUANTITY("throttle", JW_FRACTION, "0%", "100%", throttle),                                                     \
	    QUANTITY("enrichener", JW_FRACTION, "0%", "100%", enrichener),                                                 \
	    QUANTITY("pressure", JW_PRESSURE, "40 kPa", "115 kPa", pressure_pa),                                           \
	    QUANTITY("temperature", JW_TEMPERATURE, "-40 C", "60 C", temperature_k),                                       \
	    QUANTITY("humidity", JW_FRACTION, "0%", "100%", humidity), QUANTITY("lambda", JW_NUMBER, "0.3", "3", lambda),  \
	    QUANTITY("afr", JW_NUMBER, "2", "50", afr), QUANTITY("afr_scale", JW_NUMBER, "5", "20", afr_scale),            \
	    QUANTITY("slide_lift", JW_LENGTH, "0 mm", "80 mm", slide_lift_m),                                              \
	    QUANTITY("throat_depression", JW_PRESSURE, "1 Pa", "60 kPa", throat_depression_pa),                            \
	{                                                                                                                  \
		"uncertainty", JW_FIELD_TEXT, JW_OPTIONAL, .most = sizeof(((jw_entry *)0)->uncertainty) - 1,                   \
		                                           JW_AT(jw_entry, uncertainty), .stride = sizeof(jw_entry)            \
	}

const jw_field jw_entry_fields[] = {
    MOMENT_FIELDS,
    QUANTITY("co", JW_FRACTION, "0%", "20%", co),
    QUANTITY("co2", JW_FRACTION, "0%", "20%", co2),
    QUANTITY("o2", JW_FRACTION, "0%", "21%", o2),
    QUANTITY("hc", JW_FRACTION, "0%", "10%", hc),
    QUANTITY("no", JW_FRACTION, "0%", "1%", no),
    {"jet", JW_FIELD_WORD, JW_OPTIONAL, .word = jet_word, JW_AT(jw_entry, jet), .stride = sizeof(jw_entry)},
    QUANTITY("jet_flow", JW_VOLUME_FLOW, "1 ml/min", "5000 ml/min", jet_flow_m3_s),
    QUANTITY("head", JW_LENGTH, "20 mm", "10 m", head_m),
    QUANTITY("level", JW_LENGTH, "-20 mm", "20 mm", level_m),
    JW_END_OF_FIELDS};

const jw_field jw_trace_fields[] = {QUANTITY("time", JW_TIME, "0 s", "1000000 s", time_s), MOMENT_FIELDS,
                                    JW_END_OF_FIELDS};

const jw_field jw_readings_fields[] = {JW_SCHEMA_FIELD("readings", jw_readings),
                                       JW_ABOUT_FIELD(jw_readings),
                                       JW_AIR_FIELDS("air", jw_readings, air),
                                       {"taken", JW_FIELD_RECORDS, JW_REQUIRED, .most = JW_READINGS_MOST,
                                        .columns = jw_entry_fields, JW_AT(jw_readings, entry),
                                        .count = offsetof(jw_readings, entries)},
                                       JW_END_OF_FIELDS};

void jw_entry_begin(jw_entry *entry)
{
	const double unsaid = NAN;
	*entry = (jw_entry){.at = -1, .jet = -1};
	for (const jw_field *field = jw_entry_fields; field->path; field++)
		if (field->kind == JW_FIELD_QUANTITY)
			memcpy((char *)entry + field->offset, &unsaid, sizeof unsaid);
	entry->time_s = NAN;
}

/* ---- one entry ---- */

/* What instruments show: the key that tells of it, and the standard uncertainty unless said, in common practice. */
static const struct measured {
	const char *key;
	jw_dimension dimension;
	size_t value;
	const char *usual;
} measured[JW_READING_KIND_COUNT] = {
    [JW_READING_LAMBDA] = {"lambda", JW_NUMBER, offsetof(jw_entry, lambda), "0.02"},
    [JW_READING_AFR] = {"afr", JW_NUMBER, offsetof(jw_entry, afr), "0.3"},
    [JW_READING_GAS] = {"co2", JW_NUMBER, offsetof(jw_entry, co2), "0.02"},
    [JW_READING_JET_FLOW] = {"jet_flow", JW_VOLUME_FLOW, offsetof(jw_entry, jet_flow_m3_s), "2%"},
    [JW_READING_LEVEL] = {"level", JW_LENGTH, offsetof(jw_entry, level_m), "0.5 mm"},
    [JW_READING_LIFT] = {"slide_lift", JW_LENGTH, offsetof(jw_entry, slide_lift_m), "0.5 mm"},
    [JW_READING_DEPRESSION] = {"throat_depression", JW_PRESSURE, offsetof(jw_entry, throat_depression_pa), "5%"},
};

#define BIT(kind) (1u << (kind))
#define RUNNING                                                                                                        \
	(BIT(JW_READING_LAMBDA) | BIT(JW_READING_AFR) | BIT(JW_READING_GAS) | BIT(JW_READING_LIFT) |                       \
	 BIT(JW_READING_DEPRESSION))

/* What goes with a reading: allowed beside these kinds, needed by those. */
static const struct companion {
	const char *key;
	unsigned allowed, needed;
} companions[] = {
    {"at", RUNNING, 0},
    {"speed", RUNNING, 0},
    {"throttle", RUNNING, 0},
    {"enrichener", RUNNING, 0},
    {"afr_scale", BIT(JW_READING_AFR), 0},
    {"co", BIT(JW_READING_GAS), BIT(JW_READING_GAS)},
    {"o2", BIT(JW_READING_GAS), BIT(JW_READING_GAS)},
    {"hc", BIT(JW_READING_GAS), BIT(JW_READING_GAS)},
    {"no", BIT(JW_READING_GAS), 0},
    {"jet", BIT(JW_READING_JET_FLOW), BIT(JW_READING_JET_FLOW)},
    {"head", BIT(JW_READING_JET_FLOW), BIT(JW_READING_JET_FLOW)},
};

static const jw_node *key_of(const jw_node *item, const char *key)
{
	return jw_node_find(item, key, NULL);
}

static unsigned kinds_in(const jw_node *item)
{
	unsigned kinds = 0;
	for (int kind = 0; kind < JW_READING_KIND_COUNT; kind++)
		if (key_of(item, measured[kind].key))
			kinds |= BIT(kind);
	return kinds;
}

static void check_companions(const jw_node *item, unsigned kinds, jw_faults *faults)
{
	char message[96];
	for (size_t i = 0; i < sizeof companions / sizeof *companions; i++) {
		const struct companion *c = &companions[i];
		const jw_node *node = key_of(item, c->key);
		if (node && !(kinds & c->allowed))
			jw_fault_node(faults, node, "goes with no reading that is here, expected the reading beside it");
		snprintf(message, sizeof message, "has no %s, expected it beside what was read", c->key);
		if (!node && (kinds & c->needed))
			jw_fault_node(faults, item, message);
	}
}

static void check_place(const jw_node *item, unsigned kinds, jw_faults *faults)
{
	const jw_node *at = key_of(item, "at"), *speed = key_of(item, "speed"), *throttle = key_of(item, "throttle");
	if (!(kinds & RUNNING))
		return;
	if (at && (speed || throttle))
		jw_fault_node(faults, at, "is given beside speed or throttle, expected one way to say where");
	if (!at && !(speed && throttle))
		jw_fault_node(faults, item, "does not say where, expected \"at\", or \"speed\" and \"throttle\"");
}

static jw_point point_of(const jw_entry *e, const jw_setup *setup)
{
	jw_point point = e->at >= 0 ? setup->range[e->at] : (jw_point){e->speed_rev_s, e->throttle, 0};
	if (!isnan(e->enrichener))
		point.enrichener = e->enrichener;
	return point;
}

/* The usual air with what the entry says of its own. */
static void air_of(const jw_entry *e, const jw_node *item, jw_air *air, jw_faults *faults)
{
	if (isnan(e->pressure_pa) && isnan(e->temperature_k) && isnan(e->humidity))
		return;
	double pressure = isnan(e->pressure_pa) ? air->pressure_pa : e->pressure_pa;
	double temperature = isnan(e->temperature_k) ? air->temperature_k : e->temperature_k;
	double humidity = isnan(e->humidity) ? jw_relative_humidity(air) : e->humidity;
	if (jw_air_from_humidity(pressure, temperature, humidity, air, NULL) < 0)
		jw_fault_node(faults, item, "states no air that there is, expected values that agree");
}

/* "0.02" in the unit of the reading, or "2%" of it. */
static int read_uncertainty(const char *text, const struct measured *m, double value, double *uncertainty)
{
	double relative, absolute;
	if (!jw_spread_parse(text, m->dimension, &relative, &absolute))
		return 0;
	*uncertainty = relative * fabs(value) + absolute;
	return *uncertainty > 0;
}

static double uncertainty_of(const jw_entry *e, const jw_node *item, const struct measured *m, double value,
                             jw_faults *faults)
{
	double uncertainty = 0;
	const char *text = *e->uncertainty ? e->uncertainty : m->usual;
	char message[128];
	if (!read_uncertainty(text, m, value, &uncertainty)) {
		const jw_node *node = key_of(item, "uncertainty");
		snprintf(message, sizeof message, "is \"%s\", expected an uncertainty above 0 such as %s", text, m->usual);
		jw_fault_node(faults, node ? node : item, message);
	}
	return uncertainty;
}

static jw_gas_analysis gas_of(const jw_entry *e)
{
	return (jw_gas_analysis){e->co, e->co2, e->o2, e->hc, isnan(e->no) ? 0 : e->no};
}

/* Lambda of the analysis needs the fuel; that there is one does not. */
static void check_gas(const jw_gas_analysis *gas, const jw_node *item, jw_faults *faults)
{
	double lambda;
	if (jw_lambda_from_gas(gas, 2, 0, &lambda, NULL) < 0)
		jw_fault_node(faults, item, "is no exhaust, expected co2 and co of at least 1 % together");
}

static jw_reading reading_of(const jw_entry *e, const jw_node *item, int kind, const jw_entry_context *context,
                             jw_faults *faults)
{
	const struct measured *m = &measured[kind];
	const double value = jw_value_at(e, m->value);
	jw_reading r = {.kind = (jw_reading_kind)kind,
	                .air = context->air,
	                .value = value,
	                .uncertainty = uncertainty_of(e, item, m, value, faults),
	                .line = item->line};
	air_of(e, item, &r.air, faults);
	if (BIT(kind) & RUNNING)
		r.point = point_of(e, context->setup);
	if (kind == JW_READING_AFR && !isnan(e->afr_scale))
		r.stoichiometric_afr = e->afr_scale;
	if (kind == JW_READING_GAS) {
		r.gas = gas_of(e);
		check_gas(&r.gas, item, faults);
	}
	if (kind == JW_READING_LIFT && context->setup->carburetor.kind == JW_FIXED_VENTURI)
		jw_fault_node(faults, key_of(item, m->key),
		              "is the lift of a slide, expected none: this carburetor's throat is fixed");
	if (kind == JW_READING_JET_FLOW) {
		r.jet = (jw_part)e->jet;
		r.head_m = e->head_m;
	}
	return r;
}

/* Whether the keys of an entry belong together; returns its kinds of reading, 0 where they do not. */
static unsigned check_entry(const jw_node *item, jw_faults *faults)
{
	const unsigned kinds = kinds_in(item);
	const jw_node *uncertainty = key_of(item, "uncertainty");
	int before = faults->count + faults->more;
	if (!kinds) {
		jw_fault_node(faults, item, "holds no reading, expected one such as lambda");
		return 0;
	}
	check_companions(item, kinds, faults);
	check_place(item, kinds, faults);
	if (uncertainty && (kinds & (kinds - 1)))
		jw_fault_node(faults, uncertainty, "may be that of more than one reading, expected an entry for each");
	return faults->count + faults->more > before ? 0 : kinds;
}

int jw_entry_readings(const jw_entry *entry, const jw_node *item, const jw_entry_context *context,
                      jw_reading reading[JW_READING_KIND_COUNT], jw_faults *faults)
{
	const unsigned kinds = check_entry(item, faults);
	int count = 0;
	for (int kind = 0; kind < JW_READING_KIND_COUNT; kind++)
		if (kinds & BIT(kind))
			reading[count++] = reading_of(entry, item, kind, context, faults);
	return count;
}

jw_status jw_reading_add(jw_reading_list *list, const jw_reading *reading, jw_faults *faults)
{
	if (list->count == JW_READINGS_MOST) {
		jw_fault_add(faults, reading->line, 1, "", "is one reading too many, expected at most %d", JW_READINGS_MOST);
		return JW_E_LIMIT;
	}
	list->item[list->count++] = *reading;
	return JW_OK;
}

/* ---- a file ---- */

static jw_status take_entries(jw_readings *r, const jw_node *root, const jw_entry_context *context, jw_faults *faults)
{
	jw_reading reading[JW_READING_KIND_COUNT];
	jw_status status = JW_OK;
	const jw_node *list = jw_node_find(root, "taken", NULL);
	for (const jw_node *item = list->first; item && !status; item = item->next) {
		int count = jw_entry_readings(&r->entry[item->index], item, context, reading, faults);
		for (int i = 0; i < count && !status; i++)
			status = jw_reading_add(&r->list, &reading[i], faults);
	}
	return status;
}

static int is_blamed(const jw_node *item, const jw_faults *faults)
{
	char path[32];
	jw_node_path(item, path, sizeof path);
	for (int i = 0; i < faults->count; i++)
		if (!strncmp(faults->item[i].path, path, strlen(path)))
			return 1;
	return 0;
}

/* Where some values are wrong, the other entries are still looked through. */
static void check_others(const jw_node *root, jw_faults *faults)
{
	const jw_node *list = jw_node_find(root, "taken", NULL);
	for (const jw_node *item = list ? list->first : NULL; item; item = item->next)
		if (item->kind == JW_NODE_BLOCK && !is_blamed(item, faults))
			check_entry(item, faults);
}

static jw_status read_blocks(jw_readings *r, const jw_node *root, jw_entry_context *context, jw_faults *faults)
{
	jw_status air = JW_OK;
	r->air = JW_AIR_UNSAID;
	for (int i = 0; i < JW_READINGS_MOST; i++)
		jw_entry_begin(&r->entry[i]);
	jw_fields_read(jw_readings_fields, root, r, faults);
	if (jw_node_find(root, "air", NULL))
		air = jw_air_from_block(&r->air, jw_readings_fields, root, "air", &context->air, faults);
	jw_status status = JW_OK;
	if (faults->count)
		check_others(root, faults);
	else
		status = take_entries(r, root, context, faults);
	return status < 0 ? status : faults->count ? JW_E_SCHEMA : air;
}

static jw_status read_yaml(const char *path, jw_readings *r, jw_entry_context *context, jw_faults *faults)
{
	jw_node *root = NULL;
	jw_status status = jw_tree_load(path, &root, faults);
	if (status >= 0)
		status = read_blocks(r, root, context, faults);
	jw_tree_free(root);
	return status;
}

static jw_status read_trace(const char *path, jw_readings *r, const jw_entry_context *context, jw_faults *faults)
{
	char *text = NULL;
	size_t size = 0;
	jw_status status = jw_text_load(path, TRACE_BYTES, &text, &size, faults);
	if (status >= 0 && size > TRACE_BYTES)
		status = jw_fault_file(faults, JW_E_LIMIT, "file is too large, expected at most 4 MiB");
	if (status >= 0)
		status = jw_trace_read(text, size, context, &r->list, faults);
	free(text);
	return status;
}

static int is_trace(const char *path)
{
	size_t length = strlen(path), ending = strlen(TRACE_ENDING);
	return length > ending && !strcasecmp(path + length - ending, TRACE_ENDING); /* loggers write .CSV, too */
}

jw_status jw_readings_load(const char *path, const jw_setup *setup, const jw_air *usual, jw_readings **readings,
                           jw_faults *faults)
{
	if (!path || !setup || !readings || !faults)
		return JW_E_ARGUMENT;
	jw_faults_begin(faults, path);
	jw_entry_context context = {.setup = setup};
	if (usual)
		context.air = *usual;
	else
		jw_air_from_humidity(101325, 288.15, 0, &context.air, NULL);
	jw_readings *r = calloc(1, sizeof *r);
	if (!r)
		return jw_fault_file(faults, JW_E_MEMORY, "out of memory");
	jw_status status = is_trace(path) ? read_trace(path, r, &context, faults) : read_yaml(path, r, &context, faults);
	if (status < 0)
		jw_readings_free(r);
	else
		*readings = r;
	return status;
}

void jw_readings_free(jw_readings *readings)
{
	free(readings);
}

const char *jw_readings_about(const jw_readings *readings)
{
	return readings->about;
}

const jw_reading *jw_readings_list(const jw_readings *readings, int *count)
{
	*count = readings->list.count;
	return readings->list.item;
}

int jw_readings_left_out(const jw_readings *readings)
{
	return readings->list.left_out;
}

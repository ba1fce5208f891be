/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Entries of a readings file, whether blocks of YAML or lines of a logged trace, and what is read in them. */
#ifndef JW_PROFILE_READINGS_H
#define JW_PROFILE_READINGS_H

#include "profile/files.h"

#define JW_READINGS_MOST 256

/* One moment: where the engine stood, and what instruments showed. NAN, -1 or "" where nothing is said. */
typedef struct jw_entry {
	int at, jet;
	double time_s, speed_rev_s, throttle, enrichener;
	double pressure_pa, temperature_k, humidity;
	double lambda, afr, afr_scale, co, co2, o2, hc, no;
	double jet_flow_m3_s, head_m, level_m, slide_lift_m, throat_depression_pa;
	char uncertainty[24];
} jw_entry;

extern const jw_field jw_entry_fields[], jw_trace_fields[];

void jw_entry_begin(jw_entry *entry);

/* What entries are completed from: the usual points of the engine, and the air where they state none. */
typedef struct jw_entry_context {
	const jw_setup *setup;
	jw_air air;
} jw_entry_context;

/* The readings of an entry, at most one of each kind; returns their number. What is wrong goes to the faults. */
int jw_entry_readings(const jw_entry *entry, const jw_node *item, const jw_entry_context *context,
                      jw_reading reading[JW_READING_KIND_COUNT], jw_faults *faults);

/* Readings as they come in. */
typedef struct jw_reading_list {
	jw_reading item[JW_READINGS_MOST];
	int count, left_out;
} jw_reading_list;

/* \return JW_OK, JW_E_LIMIT with a fault */
jw_status jw_reading_add(jw_reading_list *list, const jw_reading *reading, jw_faults *faults);

/* A trace as CSV: lines of one moment each; see profiles/README.md. */
jw_status jw_trace_read(const char *text, size_t size, const jw_entry_context *context, jw_reading_list *list,
                        jw_faults *faults);

#endif

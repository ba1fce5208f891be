/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the plans share: a set of parts, and whether it keeps every range inside its band. */
#ifndef JW_REJET_BAND_H
#define JW_REJET_BAND_H

#include "rejet/parts.h"

/* The changed engine with a set of parts. */
typedef struct jw_brass {
	jw_setup setup; /* as readings have it, where there are any */
	int place[JW_PART_COUNT];
} jw_brass;

/* The changes of a request, and the air of a place. */
typedef struct jw_changes {
	jw_rejet_change list[JW_REJET_CHANGES];
	int count;
} jw_changes;

/* What is wanted, and how far bands were let out. */
typedef struct jw_bands {
	const jw_pulse_table *table;   /* of the changed engine, as by jw_rejet_table_of */
	double target[JW_RANGE_COUNT]; /* phi */
	double ideal[JW_PART_COUNT];   /* for the air that was chosen for last */
	int sought[JW_PART_COUNT];
	double let_out[JW_RANGE_COUNT];
	double too_lean;      /* ln(phi) that even the richest choice lacks at full throttle */
	double main_wanted_m; /* the ideal main jet there; 0: it lacks nothing */
} jw_bands;

/* Chooses for the air in a list of changes, and lets the bands out where that choice lies outside. */
jw_status jw_bands_choose(jw_bands *bands, const jw_rejet_request *request, const jw_changes *changes, jw_brass *set,
                          jw_error *error);
/* ln of phi over its target in a range. */
jw_status jw_band_off(const jw_bands *bands, const jw_brass *set, const jw_air *air, jw_range range, double *off,
                      jw_error *error);
/* The same in every range, and its warnings where `warned` is not NULL. */
jw_status jw_bands_off(const jw_bands *bands, const jw_brass *set, const jw_air *air, double *off, jw_status *warned,
                       jw_error *error);
/* A range no richer (leaner) than its band allows. */
int jw_band_not_rich(const jw_bands *bands, jw_range range, double off);
int jw_band_not_lean(const jw_bands *bands, jw_range range, double off);
int jw_bands_hold(const jw_bands *bands, const double *off);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The kinds of file and what they share. */
#ifndef JW_PROFILE_FILES_H
#define JW_PROFILE_FILES_H

#include "profile/fields.h"

#include <math.h>

#define JW_NAME_MOST 32
#define JW_TITLE_MOST 64
#define JW_ABOUT_MOST 400
#define JW_PATH_MOST 4096

extern const jw_field jw_engine_fields[], jw_fuel_fields[], jw_case_fields[], jw_readings_fields[], jw_jets_fields[];

/* ---- rows that many tables have ---- */

#define JW_REQUIRED NULL
#define JW_OPTIONAL ""

/* A file starts with its kind and the version of its schema: "profile: 1". */
#define JW_SCHEMA_FIELD(key, type)                                                                                     \
	{                                                                                                                  \
		key, JW_FIELD_INTEGER, JW_REQUIRED, .low = "1", .high = "1", JW_AT(type, schema)                               \
	}
#define JW_ABOUT_FIELD(type)                                                                                           \
	{                                                                                                                  \
		"about", JW_FIELD_TEXT, JW_REQUIRED, .most = JW_ABOUT_MOST, JW_AT(type, about)                                 \
	}
#define JW_QUANTITY_FIELD(key, unit, least, greatest, otherwise, type, place, name)                                    \
	{                                                                                                                  \
		key, JW_FIELD_QUANTITY, otherwise, unit, least, greatest, .member = name, JW_AT(type, place)                   \
	}
#define JW_END_OF_FIELDS                                                                                               \
	{                                                                                                                  \
		.path = NULL                                                                                                   \
	}

/* ---- air as a file states it ---- */

/* NAN where nothing is said. */
typedef struct jw_air_block {
	double pressure_pa, altitude_m, sea_level_pa, temperature_k, humidity, dew_point_k;
} jw_air_block;

#define JW_AIR_UNSAID                                                                                                  \
	(jw_air_block)                                                                                                     \
	{                                                                                                                  \
		NAN, NAN, NAN, NAN, NAN, NAN                                                                                   \
	}

#define JW_AIR_FIELD(key, unit, least, greatest, type, place, name)                                                    \
	JW_QUANTITY_FIELD(key, unit, least, greatest, JW_OPTIONAL, type, place, name)
#define JW_AIR_FIELDS(block, type, place)                                                                              \
	JW_AIR_FIELD(block ".pressure", JW_PRESSURE, "40 kPa", "115 kPa", type, place.pressure_pa, "pressure_pa"),         \
	    JW_AIR_FIELD(block ".altitude", JW_LENGTH, "-430 m", "6000 m", type, place.altitude_m, "geopotential_m"),      \
	    JW_AIR_FIELD(block ".sea_level_pressure", JW_PRESSURE, "87 kPa", "109 kPa", type, place.sea_level_pa,          \
	                 "sea_level_pa"),                                                                                  \
	    JW_AIR_FIELD(block ".temperature", JW_TEMPERATURE, "-40 C", "60 C", type, place.temperature_k,                 \
	                 "temperature_k"),                                                                                 \
	    JW_AIR_FIELD(block ".humidity", JW_FRACTION, "0%", "100%", type, place.humidity, "relative_humidity"),         \
	    JW_AIR_FIELD(block ".dew_point", JW_TEMPERATURE, "-60 C", "60 C", type, place.dew_point_k, "dew_point_k")

/* Air from what a file says. Pressure: stated, or that of an altitude (with the pressure reduced to sea level or in the
 * standard atmosphere), or 101.325 kPa. Temperature: stated, or the standard one of the altitude. Dry, unless stated.
 * \return JW_OK, warnings, JW_E_SCHEMA with faults at the block */
jw_status jw_air_from_block(const jw_air_block *block, const jw_field *table, const jw_node *root, const char *prefix,
                            jw_air *air, jw_faults *faults);

/* A copy of a profile with another set-up. \return JW_OK, JW_E_ARGUMENT, JW_E_MEMORY */
jw_status jw_profile_with(const jw_profile *profile, const jw_setup *setup, jw_profile **variant);

/* Of a text in memory; as jw_profile_load. */
jw_status jw_profile_parse(const char *text, const char *library, jw_profile **profile, jw_faults *faults);

/* The word of its kind of carburetor. */
const char *jw_profile_carburetor(const jw_profile *profile);

/* Whether the coefficients' uncertainties in the set-up hold that of unmeasured dimensions. */
int jw_profile_widened(const jw_profile *profile);

/* ---- loading ---- */

/* Reads a sound tree into a struct of the kind's own. */
typedef jw_status (*jw_filler)(void *into, const jw_node *root, const char *path, const char *library,
                               jw_faults *faults);

/* Begins the faults, loads the tree, fills `into` (NULL: its allocation failed, and that is told), frees the tree. */
jw_status jw_file_read(const char *path, const char *library, jw_filler fill, void *into, jw_faults *faults);
/* The same of a text in memory. */
jw_status jw_text_read(const char *text, const char *library, jw_filler fill, void *into, jw_faults *faults);

/* ---- files that name other files ---- */

/* "LIBRARY/FOLDER/NAME.yaml"; without a library the folder above that of the file `from`.
 * \return JW_OK or JW_E_LIMIT where it does not fit */
jw_status jw_library_path(const char *library, const char *from, const char *folder, const char *name, char *path,
                          size_t size);

/* The same for a key that names the file; what does not fit, or is a link out of the library, is told.
 * \param[out] path of JW_PATH_MOST bytes */
jw_status jw_library_file(const char *library, const char *from, const char *folder, const char *name, char *path,
                          const jw_node *root, const char *key, jw_faults *faults);

/* Loads the fuel that a key of the file `from` names; what is wrong is told at the key. */
jw_status jw_fuel_named(const char *library, const char *from, const jw_node *root, const char *key, const char *name,
                        jw_fuel *fuel, jw_faults *faults);

/* A fault at the key that names a file which has faults itself: tells the first of them. Returns the status. */
jw_status jw_fault_named(jw_faults *faults, const jw_node *root, const char *key, const jw_faults *inner,
                         jw_status status);

#endif

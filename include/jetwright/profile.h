/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file profile.h
 * Engines, fuels and cases as YAML files.
 */
#ifndef JETWRIGHT_PROFILE_H
#define JETWRIGHT_PROFILE_H

#include <jetwright/diagnose.h>
#include <jetwright/jet.h>
#include <stddef.h>
#include <stdio.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Faults that are kept of one file, at most. */
#define JW_FAULTS 32

/** One fault in a file; line and column count from 1, 0 where unknown. */
typedef struct jw_fault {
	int line, column;
	char path[96];     /**< key path, "carburetor.main.jet" */
	char message[224]; /**< what is wrong and what was expected */
} jw_fault;

/** All faults found in one file, in its order. */
typedef struct jw_faults {
	char file[256];
	jw_fault item[JW_FAULTS];
	int count; /**< of those kept */
	int more;  /**< beyond JW_FAULTS */
} jw_faults;

/** One engine with names and provenance. Immutable once loaded; any number of threads may read it. What the functions below tell
 * of it by pointer lives as long as it. */
typedef struct jw_profile jw_profile;

/** Loads an engine profile, its fuel, and calibrates it by its baseline.
 * A profile that is based on a class takes what it leaves out from classes/, brought to its displacement: areas,
 * volumes, flows and forces in proportion, bores by the root. \param library folder that holds engines/, classes/,
 * fuels/, jets/, cases/; NULL: the folder above the file's own \param[out] faults all faults; may not be NULL \return
 * JW_OK, JW_W_COEFFICIENT, JW_E_ARGUMENT, JW_E_OPEN, JW_E_SYNTAX, JW_E_SCHEMA, JW_E_LIMIT, JW_E_MEMORY, JW_E_BASELINE
 */
JW_API jw_status jw_profile_load(const char *path, const char *library, jw_profile **profile, jw_faults *faults);
/** Frees a profile; NULL is allowed. */
JW_API void jw_profile_free(jw_profile *profile);
/** Name of the engine. Never NULL. */
JW_API const char *jw_profile_name(const jw_profile *profile);
/** What the profile says of itself; empty where it says nothing. Never NULL. */
JW_API const char *jw_profile_about(const jw_profile *profile);
/** Name of the fuel. Never NULL. */
JW_API const char *jw_profile_fuel(const jw_profile *profile);
/** The set-up with the calibrated coefficients. Never NULL. */
JW_API const jw_setup *jw_profile_setup(const jw_profile *profile);
/** The baseline, or NULL where the profile states none. */
JW_API const jw_baseline *jw_profile_baseline(const jw_profile *profile);
/** What the baseline found, or NULL without one, or where the profile states the coefficients themselves. */
JW_API const jw_calibration *jw_profile_calibration(const jw_profile *profile);

/** The class that the profile is based on, or NULL. */
JW_API const char *jw_profile_based_on(const jw_profile *profile);
/** Dimensions that nobody measured: those that the profile gives an uncertainty, and those that its class does and the
 * profile leaves out. Without baseline and coefficients the set-up's uncertainty of each coefficient holds theirs too.
 * Never NULL.
 * \param[out] count how many */
JW_API const jw_unmeasured *jw_profile_unmeasured(const jw_profile *profile, int *count);
/** ::jw_mixture_contributions of the profile's unmeasured dimensions; idle, half and full are known where the profile
 * has a baseline or coefficients.
 * \param[out] contribution as many as ::jw_profile_unmeasured counts, to ln(phi); may be NULL
 * \param[out] relative standard uncertainty of phi, as a share of it
 * \return as ::jw_mixture_contributions */
JW_API jw_status jw_profile_contributions(const jw_profile *profile, const jw_air *air, const jw_point *point,
                                          double *contribution, double *relative, jw_error *error);
/** How a dimension is measured, by its key ("with callipers"); NULL where nothing is known. Common practice, no source.
 */
JW_API const char *jw_profile_measure(const char *key);

/** The keys that ::jw_profile_measure knows by number, from 0; NULL past the last. */
JW_API const char *jw_profile_measured(int index);

/** Writes an engine profile with the numbers of a set-up. It writes what has a key in the file (a line of
 * ::jw_profile_fields) and is a single number, and the table of pulses. Numbers that differ take their new value in the
 * unit that stands there; keys that are missing are added; comments and layout stay. What it cannot write must be as the
 * file has it: lists (filling, cam, ports, usual points), words and whole numbers (kind, vent, cylinders), the fuel, and
 * what no file states because the engine is sound (jw_setup.leak_m, jw_slide.stuck_lift_m, what a jw_screw leaves open,
 * jw_circuit.fuel_coefficient). Coefficients that a baseline finds are found anew where nothing but the table changes. The
 * file is put in place as a whole or not at all, and only if it reads back as the set-up, its numbers within 1e-5 and
 * those of the table within 1e-4 of themselves.
 * \param path the profile to start from
 * \param library as for ::jw_profile_load
 * \param setup as accepted by ::jw_setup_check
 * \param to where to write; may be the profile itself
 * \return JW_OK, warnings, JW_E_ARGUMENT, JW_E_WRITE, JW_E_RANGE or JW_E_NOT_FINITE (as ::jw_setup_check), JW_E_SCHEMA (a
 * member that would not be read back, or that no file may hold), or as ::jw_profile_load; the faults name the member */
JW_API jw_status jw_profile_write(const char *path, const char *library, const jw_setup *setup, const char *to,
                                  jw_faults *faults);

/** A fuel file. \param[out] about at most about_size bytes with the end; may be NULL
 * \return as ::jw_profile_load */
JW_API jw_status jw_fuel_load(const char *path, jw_fuel *fuel, char *about, size_t about_size, jw_faults *faults);

/** A set of jets, with the bore of each. Marks by flow are worked out on the bench that the file states.
 * \param library as for ::jw_profile_load; only a bench names another file, its fuel
 * \param[out] about as for ::jw_fuel_load
 * \return as ::jw_profile_load, and JW_W_EXTRAPOLATED from the flows */
JW_API jw_status jw_jets_load(const char *path, const char *library, jw_jet_set *set, char *about, size_t about_size,
                              jw_faults *faults);

/** Bytes of a date as text, its end included. */
#define JW_DATE_SIZE 11
/** "2026-04-18" (ISO 8601) as days since 1970-01-01; 1900-01-01..2999-12-31. \return JW_OK, JW_E_SYNTAX */
JW_API jw_status jw_date_parse(const char *text, int *day);
/** The text of a day; "" where it lies outside. */
JW_API void jw_date_write(int day, char text[JW_DATE_SIZE]);

/** A case file: evidence about one engine, with its profile or that of a class that stands for it. What the functions below tell
 * of it by pointer, its profile too, lives as long as it. */
typedef struct jw_case_file jw_case_file;
/** Loads a case.
 * \param library as for ::jw_profile_load
 * \return as ::jw_profile_load; a fault of the profile is told at the key that names it */
JW_API jw_status jw_case_load(const char *path, const char *library, jw_case_file **file, jw_faults *faults);
/** The same of a text in memory; the library must be given.
 * \return as ::jw_case_load */
JW_API jw_status jw_case_parse(const char *text, const char *library, jw_case_file **file, jw_faults *faults);
/** Frees a case; NULL is allowed. */
JW_API void jw_case_free(jw_case_file *file);
/** What speaks of the engine as it is: of several visits, ::jw_log_present. Never NULL. */
JW_API const jw_case *jw_case_evidence(const jw_case_file *file);
/** All visits; evidence that belongs to no visit is that of one, on a day unknown. Never NULL. */
JW_API const jw_log *jw_case_log(const jw_case_file *file);
/** The profile of the engine. Never NULL, as long as the case is there. */
JW_API const jw_profile *jw_case_profile(const jw_case_file *file);
/** The class whose typical engine stands for this one, or NULL where the case names the engine's own profile. */
JW_API const char *jw_case_class(const jw_case_file *file);
/** What the case says of itself; empty where it says nothing. Never NULL. */
JW_API const char *jw_case_about(const jw_case_file *file);

/** Readings taken on one engine. What the functions below tell of them by pointer lives as long as they. */
typedef struct jw_readings jw_readings;
/** Loads readings: a YAML file, or a logged trace where the name ends in ".csv", in small letters or capitals. Of a trace
 * with a time column only the stretches count in which the engine held still, each as one reading: the mean, with the
 * instrument's uncertainty and that of the mean.
 * \param setup whose usual points the words of ranges stand for
 * \param usual air where the file states none; NULL: 101.325 kPa, 15 C, dry
 * \return as ::jw_profile_load */
JW_API jw_status jw_readings_load(const char *path, const jw_setup *setup, const jw_air *usual, jw_readings **readings,
                                  jw_faults *faults);
/** Frees readings; NULL is allowed. */
JW_API void jw_readings_free(jw_readings *readings);
/** What the file says of itself; empty for a trace. Never NULL. */
JW_API const char *jw_readings_about(const jw_readings *readings);
/** Readings in the order of the file, as ::jw_fit_readings takes them. Never NULL.
 * \param[out] count how many */
JW_API const jw_reading *jw_readings_list(const jw_readings *readings, int *count);
/** Samples of a trace that belong to no reading: not steady, not settled, or without a value. */
JW_API int jw_readings_left_out(const jw_readings *readings);

/** The word that was meant: the nearest by insertions, removals and replacements, of the whole or part by part between
 * _ and - in any order ("no_spark" for spark_none), within a third of its length and one more; NULL: none is near.
 * \param known so many words, which live as long as the answer is used */
JW_API const char *jw_word_nearest(const char *word, const char *const *known, int count);

/** The field table of a file kind (a word of ::jw_profile_kind), a line a field: key path, kind, whether it must be
 * given, what is expected.
 * \return JW_OK, JW_E_NOT_FOUND, JW_E_WRITE */
JW_API jw_status jw_profile_fields(const char *kind, FILE *out);

/** The same as a JSON Schema (draft 2020-12) for editors and validators. It knows keys, words, units, the ranges of
 * bare numbers, and what must be given; what values must agree on with each other only loading finds. \return JW_OK,
 * JW_E_NOT_FOUND, JW_E_WRITE */
JW_API jw_status jw_profile_schema(const char *kind, FILE *out);

/** The file kinds by number, from 0; NULL past the last. */
JW_API const char *jw_profile_kind(int index);

#ifdef __cplusplus
}
#endif
#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What several commands say alike: errors, warnings, ranges, lambda, coefficients. */
#ifndef CLI_SHOW_H
#define CLI_SHOW_H

#include "json.h"
#include "options.h"
#include "page.h"

/* Says what the library refused; returns FAILED. */
int library_error(const cli_command *command, jw_status status, const jw_error *error);

/* Prints each warning bit on stderr and returns the exit code: with --strict a warning is an error. `at`, which may be
 * NULL, has the bits of each range, to say where.
 * Choking is left out: it is what a sound idle does. */
int answered(const cli_arguments *arguments, jw_status status, const jw_status *at);
/* After a warning of a fitted formula: names on stderr the bores that are too short or too long for it. */
void name_unfitted(const cli_arguments *arguments, jw_status status, const jw_setup *setup);
/* A needle jet without a needle. */
int nozzle_is_fixed(const jw_setup *setup);
/* A coefficient outside 0.8 to 1.25, "main jet" of JW_UNKNOWN_MAIN; NULL where it lies inside. */
const char *coefficient_outside(const jw_setup *setup, jw_unknown unknown);
/* After a warning of coefficients: names on stderr those outside. */
void name_coefficients(const cli_arguments *arguments, jw_status status, const jw_setup *setup);
/* The warning bits as an array of words ("no_fuel"). */
void json_warnings(cli_json *json, jw_status status);

/* The range that --at names; an exit code. */
int read_range(const cli_arguments *arguments, jw_range unless_given, jw_range *range);
/* The range whose usual throttle is nearest. */
jw_range nearest_range(const jw_setup *setup, double throttle);

/* The passage that an operand names; NULL after saying what it could have been. */
const jw_passage_info *passage_named(const cli_arguments *arguments, const char *word);
/* Says that the engine has none; returns FAILED. */
int no_such_passage(const cli_arguments *arguments, const jw_passage_info *passage);
/* "off idle" */
typedef struct range_words {
	char text[24];
} range_words;
range_words range_text_of(int range);

/* "0.98", "over 2", or "no fuel" where it is 0. */
number_text lambda_text(double lambda);

/* Standard uncertainties to either side of a 90 % interval. */
#define SIGMAS_90 1.645
/* "0.85 to 0.95", "over 2" where both ends are. */
number_text lambda_interval(double low, double high);
/* The interval about lambda with this relative standard uncertainty; "-" where no fuel flows. */
number_text lambda_interval_about(double lambda, double relative);
/* The same as "lambda_low_90" and "lambda_high_90". */
void json_lambda_interval(cli_json *json, double lambda, double relative);

/* "2.1 kPa" or "310 Pa". */
number_text pressure_text(double pascal);

/* 1/phi, 0 where no fuel flows. */
double lambda_of(double phi);

/* The doubles that stand so many bytes from the start of a struct, and the first of them. */
const double *numbers_at(const void *from, size_t offset);
double number_at(const void *from, size_t offset);

/* Which way the mixture screw works, and where it stands. */
void print_screw(const jw_setup *setup, cli_page *page);

/* How far the model had to be bent to meet the profile's baseline. */
void print_calibration(const jw_profile *profile, cli_page *page);
void json_calibration(cli_json *json, const jw_profile *profile);

/* A row of headings. */
void table_heading(cli_table *table, const char *const *words, int count);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The day's air from options, and how it is shown. */
#ifndef CLI_AMBIENT_H
#define CLI_AMBIENT_H

#include "json.h"
#include "options.h"

#define ZERO_CELSIUS 273.15
#define STANDARD_PRESSURE 101325.0
#define STANDARD_TEMPERATURE 288.15

/* Ambient air from the options in `air_options`; what is not given comes from `usual`, or the standard atmosphere.
 * Returns ANSWERED, or another exit code after saying why; ORs warnings into status. */
extern const cli_option air_options[];
int read_air(const cli_arguments *arguments, const jw_air *usual, jw_air *air, jw_status *status);
/* Whether any of them is given. */
int any_air_option(const cli_arguments *arguments);
/* "101.3 kPa, 20.0 C, 50 % relative humidity" */
typedef struct air_words {
	char text[64];
} air_words;
air_words air_text(const jw_air *air);
void json_air(cli_json *json, const char *key, const jw_air *air);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The day's air from options, and how it is shown. */
#ifndef CLI_AMBIENT_H
#define CLI_AMBIENT_H

#include "json.h"
#include "options.h"

#define ZERO_CELSIUS 273.15
#define STANDARD_PRESSURE 101325.0
#define STANDARD_TEMPERATURE 288.15

/* Of the air, as files have them (lib/profile/files.h). From the lowest land up; with every pressure reduced to sea
 * level the pressure on the spot is in its range too. */
#define AIR_ALTITUDE_LOW_M (-430.0)
#define AIR_ALTITUDE_HIGH_M 6000.0
#define AIR_PRESSURE_LOW_PA 40e3
#define AIR_PRESSURE_HIGH_PA 115e3
#define AIR_CELSIUS_LOW (-40.0)
#define AIR_CELSIUS_HIGH 60.0

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

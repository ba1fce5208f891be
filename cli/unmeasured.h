/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which dimension nobody measured would narrow lambda most. */
#ifndef CLI_UNMEASURED_H
#define CLI_UNMEASURED_H

#include "json.h"

#include <jetwright/jetwright.h>
#include <stdio.h>

/* Nothing where every dimension is known; else the few that matter most, how much, and how to measure them. */
void print_unmeasured(const jw_profile *profile, int all, FILE *out);
void json_unmeasured(cli_json *json, const jw_profile *profile, int all);

#endif

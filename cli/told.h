/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A case told by options instead of a file. */
#ifndef CLI_TOLD_H
#define CLI_TOLD_H

#include "options.h"

extern const cli_option told_options[], tool_options[];

/* Whether options tell what was seen. */
int is_told(const cli_arguments *arguments);

/* What the options tell; NULL after saying what is wrong, with the exit code. */
jw_case_file *read_told(const cli_arguments *arguments, int *code);

/* Marks the tools that --tools names; an exit code. */
int read_tools(const cli_arguments *arguments, int at_hand[JW_TOOL_COUNT]);

#endif

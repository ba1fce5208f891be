/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The commands, one a file. */
#ifndef CLI_COMMANDS_H
#define CLI_COMMANDS_H

#include "options.h"

enum { COMMANDS_MOST = 16 };

/* In the order in which help lists them; NULL ends them. */
extern const cli_command *const commands[COMMANDS_MOST];

/* What the program does, and lines to begin with. */
extern const char program_details[];
extern const cli_example first_steps[];

extern const cli_command explain_command, mixture_command, restrict_command, jet_command, air_command, check_command,
    list_command, fit_command, snap_command, balance_command, rejet_command;

#endif

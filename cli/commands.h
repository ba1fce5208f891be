/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The commands, one a file. */
#ifndef CLI_COMMANDS_H
#define CLI_COMMANDS_H

#include "options.h"

extern const cli_command explain_command, mixture_command, restrict_command, jet_command, air_command, check_command,
    list_command, fit_command, snap_command, balance_command, rejet_command;

#endif

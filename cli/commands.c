/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The command table: help, man pages and completion follow it. */
#include "commands.h"

const cli_command *const commands[COMMANDS_MOST] = {
    &explain_command, &rejet_command, &mixture_command, &snap_command,  &balance_command, &restrict_command,
    &jet_command,     &air_command,   &fit_command,     &check_command, &list_command,
};

const char program_details[] =
    "Computes what each metering orifice of a carburetor delivers, and from that which jet change, or which passage to "
    "clean, explains what the engine does.";

const cli_example first_steps[] = {
    {"explain stood-five-months", "which passage to clean, on a scooter that stood"},
    {"explain --ask mine.yaml", "the same asked one thing at a time, for the engine at hand"},
    {"list engines", "the engines that come along"},
    {.line = NULL},
};

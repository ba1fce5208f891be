/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fit --cycle: a table of the pulse's factors from the points followed over the crank angle. */
#ifndef CLI_FIT_CYCLE_H
#define CLI_FIT_CYCLE_H

#include "options.h"

/* Fits, prints, and writes the profile where asked to; an exit code. */
int fit_cycle(const cli_arguments *arguments, const jw_profile *profile);

/* Leaves the profile with another set-up where --write says; an exit code. */
int write_fitted(const cli_arguments *arguments, const jw_setup *setup);

#endif

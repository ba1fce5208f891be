/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a profile holds. */
#ifndef JW_PROFILE_PROFILE_H
#define JW_PROFILE_PROFILE_H

#include "profile/files.h"

struct jw_profile {
	int schema, cycle, has_baseline, has_coefficients, slip;
	char name[JW_TITLE_MOST + 1], about[JW_ABOUT_MOST + 1], fuel[JW_NAME_MOST + 1];
	jw_setup setup;
	jw_air_block air; /* of the baseline */
	jw_baseline baseline;
	jw_calibration calibration;
	char based_on[JW_NAME_MOST + 1];
	jw_spread spread[JW_UNMEASURED]; /* as the file states them */
	int spreads;
	jw_unmeasured unmeasured[JW_UNMEASURED]; /* the same, and those of the class for what the file leaves out */
	int unmeasureds;
	jw_coefficients stated; /* uncertainty, before that of the unmeasured is added */
};

#endif

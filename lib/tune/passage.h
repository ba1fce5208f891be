/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a passage's bore is, and what is pressed through it. */
#ifndef JW_TUNE_PASSAGE_H
#define JW_TUNE_PASSAGE_H

#include <jetwright/tune.h>

/* The bore of a jet; of no outlet. */
const jw_orifice *jw_passage_orifice(const jw_setup *setup, jw_passage passage);

/* The fuel as it reaches the jets. */
jw_status jw_passage_fuel(const jw_setup *setup, const jw_air *air, jw_liquid_flow *liquid, jw_error *error);

/* What is pressed through a jet. */
typedef struct jw_driven {
	jw_liquid_flow fluid;
	double drop_pa; /* 0 where nothing flows */
	double rod_m;   /* of a metering rod that stands in it */
} jw_driven;

/* Through a fuel jet at a solved point. */
jw_status jw_passage_driven(const jw_setup *setup, const jw_air *air, jw_passage passage, const jw_point *point,
                            const jw_mixture *at, jw_driven *driven, jw_error *error);

/* What is left of a jet in all ways, the flow past its rod at that drop. */
jw_status jw_passage_jet_left(const jw_setup *clean, jw_passage passage, const jw_driven *driven,
                              jw_restriction_kind kind, double amount, jw_restriction *left, jw_error *error);

/* A rod no thicker than its jet, however much of that is shut: what is left of the jet is as shut by it. */
void jw_keep_rod_in_jet(jw_carburetor *carburetor);

#endif

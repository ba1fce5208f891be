/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a passage's bore is, and what is pressed through it. */
#ifndef JW_TUNE_PASSAGE_H
#define JW_TUNE_PASSAGE_H

#include <jetwright/tune.h>

/* The bore of a jet; of no outlet. */
const jw_orifice *jw_passage_orifice(const jw_setup *setup, jw_passage passage);

/* The fuel as it reaches the jets. */
jw_status jw_passage_fuel(const jw_setup *setup, const jw_air *air, jw_liquid_flow *liquid, jw_error *error);

/* What a fuel jet passes, and the drop across it at a solved point; 0 where nothing flows. */
jw_status jw_passage_drop(const jw_setup *setup, const jw_air *air, jw_passage passage, const jw_mixture *at,
                          jw_liquid_flow *liquid, double *drop_pa, jw_error *error);

#endif

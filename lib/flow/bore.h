/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_FLOW_BORE_H
#define JW_FLOW_BORE_H

#include <jetwright/flow.h>

/* The bore from low to high that passes a flow, length kept; the arguments are taken as sound.
 * \return JW_OK, JW_W_EXTRAPOLATED, or as jw_root where none in there does */
jw_status jw_bore_within(const jw_orifice *shape, const jw_liquid_flow *liquid, double drop_pa, double kg_s,
                         double low_m, double high_m, double *diameter_m);

#endif

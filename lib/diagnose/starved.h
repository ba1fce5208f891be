/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a supply that falls short does to the mixture, where the profile describes the way from tank to bowl. */
#ifndef JW_DIAGNOSE_STARVED_H
#define JW_DIAGNOSE_STARVED_H

#include "diagnose/posterior.h"

/* Whether the engine model foretells a cause that lies in the supply. */
int jw_supply_foretells(const jw_setup *setup, const jw_cause_row *row);

/* No way of drawing fuel draws more than comes. */
void jw_starve(jw_signs *signs, double most_lnphi);

/* Fuel that a supply with a cause at a severity brings for long, over what is drawn in a range from a full bowl.
 * \param mixture of the setup there */
jw_status jw_supply_share(const jw_setup *setup, const jw_air *air, const jw_cause_row *row, double severity,
                          const jw_point *point, const jw_mixture *mixture, double *share, jw_error *error);

/* The present engine with its supply blocked at every severity: what does not come is missing. Until then the float
 * keeps the level, whose few millimetres are left out. */
void jw_scene_of_supply(const jw_inquiry *inquiry, const jw_scene *present, const jw_cause_row *row, jw_scene *scene);

#endif

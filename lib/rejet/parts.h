/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the pieces of an answer say to each other. */
#ifndef JW_REJET_PARTS_H
#define JW_REJET_PARTS_H

#include <jetwright/rejet.h>

/* Stands for "no fuel" in a logarithm. */
#define JW_REJET_LEAST_PHI 1e-3
#define JW_COEFFICIENTS ((int)(sizeof(jw_coefficients) / sizeof(double)))

/* ln(phi), finite without fuel. */
double jw_rejet_lnphi(const jw_mixture *mixture);

/* As ::jw_rejet with a table as by jw_rejet_table_of, which the places of a plan share. */
jw_status jw_rejet_with(const jw_rejet_request *request, const jw_pulse_table *table, jw_rejet_answer *answer,
                        jw_error *error);

/* Shares of every range. */
jw_status jw_rejet_shares(const jw_rejet_request *request, const jw_pulse_table *table, jw_rejet_share *share,
                          jw_error *error);

/* Relative standard uncertainty of phi after over phi before at a range. */
jw_status jw_rejet_change_doubt(const jw_rejet_request *request, const jw_rejet_answer *answer, jw_range range,
                                double *relative, jw_error *error);

/* Fits the solved ranges to the readings. */
jw_status jw_rejet_read(const jw_rejet_request *request, jw_rejet_answer *answer, jw_error *error);

/* The first-order rule beside solved ranges. */
jw_status jw_rejet_rule_of(const jw_rejet_request *request, const jw_rejet_answer *answer, jw_rejet_rule *rule,
                           jw_error *error);

/* What a solved range means for the engine. */
void jw_rejet_judge(jw_range range, jw_rejet_range *solved);

/* What to fit on the changed engine. */
jw_status jw_rejet_choose(const jw_rejet_request *request, const jw_rejet_answer *answer, jw_rejet_choice *choice,
                          jw_error *error);

#endif

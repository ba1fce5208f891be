/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making changes one by one, so that any set of them can be made. */
#ifndef JW_REJET_CHANGE_H
#define JW_REJET_CHANGE_H

#include <jetwright/rejet.h>

/* How far what a kind does to ln(phi) goes astray, as a share of it: one standard uncertainty. */
double jw_rejet_doubt(jw_rejet_kind kind);
/* The same as a share of what it does to ln(air). */
double jw_rejet_air_doubt(jw_rejet_kind kind);

/* Range of a kind's value, or of the factors of a filling; both 0: it has none. */
typedef struct jw_rejet_limits {
	double low, high;
} jw_rejet_limits;

jw_rejet_limits jw_rejet_limits_of(jw_rejet_kind kind);

/* What the first-order rule makes of a kind. */
typedef enum jw_rejet_to_rule {
	JW_RULE_UPSET, /* it knows nothing of that */
	JW_RULE_TAKEN, /* air, fuel */
	JW_RULE_EITHER /* jets: it tells those that are right, whichever are in */
} jw_rejet_to_rule;

jw_rejet_to_rule jw_rejet_rule_takes(jw_rejet_kind kind);

/* Whether counts, air, targets, grooves and jets of a question are in their ranges; nothing of its changes but how
 * many. */
jw_status jw_rejet_check_request(const jw_rejet_request *request, jw_error *error);

/* Whether a list can be made to this set-up; the error's field is the word of a kind. */
jw_status jw_rejet_check(const jw_rejet_change *changes, int count, const jw_setup *setup, jw_error *error);

/* Makes those of a checked list whose bits are set; does not check the outcome.
 * \param table as by ::jw_rejet_tabulate; NULL: the set-up keeps its own */
jw_status jw_rejet_make(const jw_rejet_change *changes, int count, unsigned set, const jw_pulse_table *table,
                        jw_setup *setup, jw_air *air, jw_error *error);

/* As ::jw_rejet_apply with a table that is made already. */
jw_status jw_rejet_apply_with(const jw_rejet_change *changes, int count, const jw_pulse_table *table, jw_setup *setup,
                              jw_air *air, jw_error *error);

/* ---- pulses.c ---- */

/* Whether a table of pulses does not belong to the engine any more once a change of that kind is made. */
int jw_rejet_alters_pulses(jw_rejet_kind kind);

/* The table of a checked list's engine; without nodes where the set-up has none, or keeps its own. Takes seconds. */
jw_status jw_rejet_tabulate(const jw_rejet_change *changes, int count, const jw_setup *setup, const jw_air *air,
                            jw_pulse_table *table, jw_error *error);

/* Puts it into a set-up where all changes that alter it are made; where some are, one between the tables before and
 * after, by the share of these. */
void jw_rejet_put_table(const jw_rejet_change *changes, int count, unsigned set, const jw_pulse_table *table,
                        jw_setup *setup);

/* That of a question, all of which is checked first; air is left out: one table serves every place of a plan. */
jw_status jw_rejet_table_of(const jw_rejet_request *request, jw_pulse_table *table, jw_error *error);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Between two tables of pulse factors. */
#ifndef JW_ENGINE_PULSE_TABLE_H
#define JW_ENGINE_PULSE_TABLE_H

#include <jetwright/engine.h>

/* At the nodes of `after`, each factor a share of the way from that of `before`, in what it is interpolated in. */
void jw_pulse_table_between(const jw_pulse_table *before, const jw_pulse_table *after, double share,
                            jw_pulse_table *table);

#endif

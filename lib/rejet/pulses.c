/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of pulses of a changed engine. It depends little on air, fuel and brass, so that one made with the changes
 * alone that alter it serves every air and every set of jets. */
#include "rejet/change.h"

#include "engine/pulse_table.h"

static unsigned altering(const jw_rejet_change *changes, int count)
{
	unsigned set = 0;
	for (int i = 0; i < count && i < JW_REJET_CHANGES; i++)
		if (jw_rejet_alters_pulses(changes[i].kind))
			set |= 1u << i;
	return set;
}

static int size_of(unsigned set)
{
	int size = 0;
	for (; set; set &= set - 1)
		size++;
	return size;
}

int jw_rejet_retabulates(const jw_rejet_request *request)
{
	return request->setup->pulses.nodes > 0 && altering(request->change, request->changes);
}

jw_status jw_rejet_tabulate(const jw_rejet_change *changes, int count, const jw_setup *setup, const jw_air *air,
                            jw_pulse_table *table, jw_error *error)
{
	const unsigned all = altering(changes, count);
	jw_setup changed = *setup;
	jw_air around = *air;
	table->nodes = 0;
	if (setup->pulses.nodes < 1 || !all)
		return JW_OK;
	jw_status status = jw_rejet_make(changes, count, all, NULL, &changed, &around, error);
	if (status >= 0)
		status = jw_setup_check(&changed, error);
	return status < 0 ? status : jw_pulses_tabulate(&changed, air, table, NULL, error);
}

/* Shares of several changes ask for every set of them: a table for each would take minutes. */
void jw_rejet_put_table(const jw_rejet_change *changes, int count, unsigned set, const jw_pulse_table *table,
                        jw_setup *setup)
{
	const unsigned all = altering(changes, count), made = all & set;
	if (!made || table->nodes < 1)
		return;
	const jw_pulse_table before = setup->pulses;
	if (made == all)
		setup->pulses = *table;
	else
		jw_pulse_table_between(&before, table, (double)size_of(made) / size_of(all), &setup->pulses);
}

jw_status jw_rejet_table_of(const jw_rejet_request *q, jw_pulse_table *table, jw_error *error)
{
	jw_status status = jw_rejet_check_request(q, error);
	if (status >= 0)
		status = jw_setup_check(q->setup, error);
	if (status >= 0)
		status = jw_rejet_check(q->change, q->changes, q->setup, error);
	return status < 0 ? status : jw_rejet_tabulate(q->change, q->changes, q->setup, q->air, table, error);
}

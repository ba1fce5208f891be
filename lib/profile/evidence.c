/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/evidence.h"
#include "diagnose/evidence.h"
#include "profile/describe.h"

#include <stdio.h>

/* Atoms of a fuel do not change with its temperature; the density that comes with them does. */
#define ANY_TEMPERATURE_K 293.15
/* Of lambda where an exhaust analysis gives it: what analysers differ by (common practice, no source). */
#define GAS_UNCERTAINTY 0.02
/* An analysis of CO alone says less: what is left of oxygen and of fuel is not known. */
#define CO_UNCERTAINTY 0.03

static const char *evidence_word(int index)
{
	const jw_evidence_kind *kind = jw_evidence_kind_at(index);
	return kind ? kind->id : NULL;
}

static const char *range_word(int index)
{
	return jw_range_name((jw_range)index);
}

static const char *answer_word(int index)
{
	return jw_answer_name((jw_answer)index);
}

#define DIGITS 6
#define IN(place) JW_AT(jw_said, place), .stride = sizeof(jw_said)
#define GAS(key, greatest)                                                                                             \
	{                                                                                                                  \
#key, JW_FIELD_QUANTITY, JW_OPTIONAL, JW_FRACTION, "0%", greatest, IN(key)                                     \
	}
#define STATED(key)                                                                                                    \
	{                                                                                                                  \
#key, JW_FIELD_TEXT, JW_OPTIONAL, .most = JW_STATED_MOST, IN(key)                                              \
	}

const jw_field jw_said_fields[] = {{"seen", JW_FIELD_WORD, JW_REQUIRED, .word = evidence_word, IN(seen.kind)},
                                   {"at", JW_FIELD_WORD, JW_OPTIONAL, .word = range_word, IN(seen.range)},
                                   {"answer", JW_FIELD_WORD, JW_OPTIONAL, .word = answer_word, IN(seen.answer)},
                                   STATED(value),
                                   STATED(uncertainty),
                                   GAS(co, "20%"),
                                   GAS(co2, "20%"),
                                   GAS(o2, "21%"),
                                   GAS(hc, "10%"),
                                   JW_END_OF_FIELDS};

void jw_said_begin(jw_said *said)
{
	*said = (jw_said){.seen = {.kind = -1, .range = JW_RANGE_COUNT}, .co = NAN, .co2 = NAN, .o2 = NAN, .hc = NAN};
}

static const jw_node *key_of(const jw_node *item, const char *key)
{
	return jw_node_find(item, key, NULL);
}

/* ---- readings ---- */

/* "0.3 to 3", "-20 to 20 mm" */
static void blame_value(const jw_node *node, const jw_evidence_unit *unit, jw_faults *faults)
{
	char message[128], name[16], low[32], high[32];
	snprintf(name, sizeof name, "%s%s", *unit->unit ? " " : "", unit->unit);
	jw_quantity_write(unit->low, unit->dimension, name, DIGITS, low, sizeof low);
	jw_quantity_write(unit->high, unit->dimension, name, DIGITS, high, sizeof high);
	snprintf(message, sizeof message, "is \"%s\", expected %s to %s", node->kind == JW_NODE_TEXT ? node->text : "", low,
	         high);
	jw_fault_node(faults, node, message);
}

static void read_value(const jw_said *said, const jw_node *item, const jw_evidence_unit *unit, jw_evidence *seen,
                       jw_faults *faults)
{
	const jw_node *node = key_of(item, "value"), *doubt = key_of(item, "uncertainty");
	double relative, absolute;
	if (jw_quantity_parse(said->value, unit->dimension, &seen->value, NULL) != JW_OK || seen->value < unit->low ||
	    seen->value > unit->high)
		blame_value(node, unit, faults);
	if (!doubt)
		return;
	if (jw_spread_parse(said->uncertainty, unit->dimension, &relative, &absolute))
		seen->uncertainty = relative * fabs(seen->value) + absolute;
	if (!(seen->uncertainty > 0) || seen->uncertainty > unit->high)
		jw_fault_node(faults, doubt,
		              "is no uncertainty, expected one above 0 in the unit of the reading, or such as 5%");
}

/* Lambda by an analysis of the gas: of CO, CO2 and O2, or of CO alone. */
static jw_status read_gas(const jw_said *said, const jw_setup *setup, jw_evidence *seen)
{
	jw_fuel_state fuel;
	double hydrogen, oxygen;
	jw_status status = jw_fuel_at(&setup->fuel, ANY_TEMPERATURE_K, &fuel, NULL);
	if (status >= 0)
		status = jw_fuel_atoms(&fuel, &hydrogen, &oxygen, NULL);
	if (status < 0)
		return status;
	const int alone = isnan(said->co2);
	seen->uncertainty = alone ? CO_UNCERTAINTY : GAS_UNCERTAINTY;
	if (alone)
		return jw_lambda_from_co(said->co, hydrogen, oxygen, &seen->value, NULL);
	const jw_gas_analysis gas = {said->co, said->co2, said->o2, isnan(said->hc) ? 0 : said->hc, 0};
	return jw_lambda_from_gas(&gas, hydrogen, oxygen, &seen->value, NULL);
}

static void take_gas(const jw_said *said, const jw_node *item, const jw_setup *setup, jw_evidence *seen,
                     jw_faults *faults)
{
	const jw_evidence_unit *unit = jw_evidence_unit_of(seen->kind);
	if (isnan(said->co) || isnan(said->co2) != isnan(said->o2) || (isnan(said->co2) && !isnan(said->hc)))
		jw_fault_node(faults, item, "is an analysis with a part missing, expected co alone, or co, co2 and o2");
	else if (setup && (read_gas(said, setup, seen) < 0 || seen->value < unit->low || seen->value > unit->high))
		jw_fault_node(faults, item,
		              "is no exhaust, expected co of 0.5 to 20 % alone, or co, co2 and o2 of an engine that burns");
}

static int is_gas_told(const jw_said *said)
{
	return !isnan(said->co) || !isnan(said->co2) || !isnan(said->o2) || !isnan(said->hc);
}

static void take_reading(const jw_said *said, const jw_node *item, const jw_setup *setup, jw_evidence *seen,
                         jw_faults *faults)
{
	const jw_evidence_unit *unit = jw_evidence_unit_of(seen->kind);
	const int gas = is_gas_told(said), mixture = jw_reads_mixture(jw_evidence_row_at(seen->kind));
	char message[96];
	if (seen->answer == JW_NO)
		jw_fault_node(faults, item, "is a reading, expected a value and no denial");
	if (gas && !mixture)
		jw_fault_node(faults, item, "is no reading of the mixture, expected no gas here");
	else if (gas && *said->value)
		jw_fault_node(faults, item, "has a value beside an analysis of the gas, expected one of them");
	else if (gas)
		take_gas(said, item, setup, seen, faults);
	else if (*said->value)
		read_value(said, item, unit, seen, faults);
	else if (seen->answer != JW_UNKNOWN) {
		snprintf(message, sizeof message, "is a reading without a number, expected a value such as %s",
		         jw_unit_example(unit->dimension));
		jw_fault_node(faults, item, message);
	}
}

/* ---- an entry ---- */

static void take_range(const jw_evidence_kind *kind, const jw_node *item, jw_evidence *seen, jw_faults *faults)
{
	const jw_node *at = key_of(item, "at");
	if (kind->takes_range && !at)
		jw_fault_node(faults, item,
		              "is said of no range, expected idle, off_idle, quarter, half, three_quarter or full with it");
	if (!kind->takes_range && at)
		jw_fault_node(faults, at, "is said of something that has no range, expected none here");
	if (!kind->takes_range || seen->range == JW_RANGE_COUNT)
		seen->range = kind->range;
}

void jw_said_complete(const jw_said *said, const jw_node *item, const jw_setup *setup, jw_evidence *seen,
                      jw_faults *faults)
{
	const jw_evidence_kind *kind = jw_evidence_kind_at(said->seen.kind);
	*seen = said->seen;
	if (!kind)
		return;
	take_range(kind, item, seen, faults);
	if (kind->takes_value)
		take_reading(said, item, setup, seen, faults);
	else if (*said->value || *said->uncertainty || is_gas_told(said)) {
		const jw_node *value = key_of(item, "value");
		jw_fault_node(faults, value ? value : item, "is said of something that is no reading, expected none here");
	}
}

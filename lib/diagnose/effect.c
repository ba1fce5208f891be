/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include "diagnose/cause.h"
#include "tune/passage.h"

/* What of the changed element is told. */
typedef enum telling {
	AS_IT_IS,   /* its value */
	THE_CHANGE, /* how far it is from what it was */
	AREA_LEFT,
	FLOW_LEFT,
	WHAT_FITS /* the bore that belongs there */
} telling;

/* `before` follows the name of the part unless the words have a subject of their own. */
static const struct {
	jw_effect_words words;
	telling what;
} effects[JW_EFFECT_COUNT] = {
    [JW_EFFECT_FLOW] = {{"flow_share", "1", 1, "passes", "of its clean flow", 0}, FLOW_LEFT},
    [JW_EFFECT_AREA] = {{"area_share", "1", 1, "has", "of its area open", 0}, AREA_LEFT},
    [JW_EFFECT_FIT] = {{"bore", "mm", 1e-3, "wants a bore of", "", 0}, WHAT_FITS},
    [JW_EFFECT_HOLE] = {{"bore", "mm", 1e-3, "leaks like a hole of", "", 0}, THE_CHANGE},
    [JW_EFFECT_WORN] = {{"bore", "mm", 1e-3, "acts like a bore of", "", 0}, AS_IT_IS},
    [JW_EFFECT_NEEDLE_LOW] = {{"needle_low", "mm", 1e-3, "sits", "too low", 0}, THE_CHANGE},
    [JW_EFFECT_NEEDLE_HIGH] = {{"needle_high", "mm", 1e-3, "sits", "too high", 0}, THE_CHANGE},
    [JW_EFFECT_LEVEL_LOW] = {{"level_low", "mm", 1e-3, "The fuel in the bowl stands", "too low", 1}, THE_CHANGE},
    [JW_EFFECT_LEVEL_HIGH] = {{"level_high", "mm", 1e-3, "The fuel in the bowl stands", "too high", 1}, THE_CHANGE},
    [JW_EFFECT_TURNS] = {{"turns", "turns", 1, "stands at", "out, counted from lightly seated", 0}, AS_IT_IS},
    [JW_EFFECT_LIFT] = {{"lift", "mm", 1e-3, "stays at a lift of", "", 0}, AS_IT_IS},
    [JW_EFFECT_LOSS] = {{"loss", "kPa", 1e3, "takes", "from the air at its rated flow", 0}, AS_IT_IS},
    [JW_EFFECT_OPENING] = {{"opening", "1", 1, "stays", "open", 0}, AS_IT_IS},
    [JW_EFFECT_CLOSING] = {{"closing", "1", 1, "stays", "shut", 0}, AS_IT_IS},
};

const jw_effect_words *jw_cause_effect_words(int cause)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	return row && row->effect != JW_EFFECT_NONE ? &effects[row->effect].words : NULL;
}

/* The sound engine in the range in which half the severity moves the mixture most. */
static jw_status where_it_tells(const jw_setup *healthy, const jw_air *air, int cause, const jw_point **point,
                                jw_mixture *sound, jw_error *error)
{
	jw_setup faulty;
	jw_status status = jw_cause_apply(healthy, cause, 0.5, &faulty, error);
	double most = -1;
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		jw_mixture before = {0}, after = {0};
		status = jw_both(status, jw_mixture_at(healthy, air, &healthy->range[r], &before, error));
		status = jw_both(status, jw_mixture_at(&faulty, air, &faulty.range[r], &after, error));
		double moved = before.phi > 0 ? fabs(after.phi / before.phi - 1) : 0;
		if (moved > most) {
			most = moved;
			*sound = before;
			*point = &healthy->range[r];
		}
	}
	return status;
}

jw_status jw_cause_driven(const jw_setup *healthy, const jw_air *air, int cause, jw_driven *driven, jw_error *error)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	*driven = (jw_driven){0};
	if (row->effect != JW_EFFECT_FLOW)
		return JW_OK;
	jw_mixture sound = {0};
	const jw_point *point = &healthy->range[0];
	jw_status status = where_it_tells(healthy, air, cause, &point, &sound, error);
	if (status < 0)
		return status;
	return jw_both(status, jw_passage_driven(healthy, air, row->passage, point, &sound, driven, error));
}

jw_status jw_cause_flow_share(const jw_setup *base, const jw_air *air, int cause, double severity,
                              const jw_driven *driven, double *share, jw_error *error)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	const double blocked = row->step.amount * severity;
	*share = 1 - blocked;
	if (!(driven->drop_pa > 0))
		return JW_OK;
	jw_driven fed = *driven;
	jw_restriction restriction;
	jw_status status = jw_passage_fuel(base, air, &fed.fluid, error);
	if (status >= 0)
		status = jw_both(status,
		                 jw_passage_jet_left(base, row->passage, &fed, JW_BLOCKED_AREA, blocked, &restriction, error));
	if (status >= 0)
		*share = restriction.flow_share;
	return status;
}

jw_status jw_cause_effect_at(const jw_setup *base, const jw_air *air, int cause, double severity,
                             const jw_driven *driven, double present, double *value, jw_error *error)
{
	jw_setup faulty;
	jw_status status = jw_cause_apply(base, cause, severity, &faulty, error);
	if (status < 0)
		return status;
	const jw_cause_row *row = jw_cause_row_at(cause);
	const double before = jw_cause_element(base, row), after = jw_cause_element(&faulty, row);
	double told = after;
	switch (effects[row->effect].what) {
	case AS_IT_IS:
		break;
	case THE_CHANGE:
		told = fabs(after - before);
		break;
	case AREA_LEFT:
		told = 1 - row->step.amount * severity;
		break;
	case FLOW_LEFT:
		status = jw_cause_flow_share(base, air, cause, severity, driven, &told, error);
		break;
	case WHAT_FITS:
		told = present * before / after;
		break;
	}
	if (status >= 0)
		*value = told / effects[row->effect].words.si;
	return status;
}

jw_status jw_cause_effect(const jw_setup *healthy, const jw_air *air, int cause, double severity, double *value,
                          jw_error *error)
{
	jw_driven driven;
	jw_status status = jw_cause_check(healthy, cause, severity, error);
	if (status >= 0)
		status = jw_cause_driven(healthy, air, cause, &driven, error);
	if (status < 0)
		return status;
	double present = jw_cause_element(healthy, jw_cause_row_at(cause));
	return jw_both(status, jw_cause_effect_at(healthy, air, cause, severity, &driven, present, value, error));
}

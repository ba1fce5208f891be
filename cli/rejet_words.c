/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Changes in words. */
#include "ambient.h"
#include "rejet.h"
#include "text.h"
#include <math.h>
#include <string.h>

/* A number of the set-up and its unit, or words of its own. */
static const struct kind_words {
	const char *word;
	double factor, offset; /* from SI; 0: no number */
	int digits;            /* 0: it counts */
	const char *unit;
} told[JW_REJET_KIND_COUNT] = {
    [JW_REJET_CARBURETOR] = {"carburetor", 0, 0, 0, ""},
    [JW_REJET_THROAT] = {"throat", 1e3, 0, 3, " mm"},
    [JW_REJET_BORE] = {"bore", 1e3, 0, 3, " mm"},
    [JW_REJET_STROKE] = {"stroke", 1e3, 0, 3, " mm"},
    [JW_REJET_CYLINDERS] = {"cylinders", 1, 0, 0, ""},
    [JW_REJET_COMPRESSION] = {"compression", 1, 0, 3, ""},
    [JW_REJET_FILLING] = {"filling", 0, 0, 0, ""},
    [JW_REJET_FILTER] = {"filter", 1, 0, 3, " Pa"},
    [JW_REJET_VENT] = {"bowl vent", 0, 0, 0, ""},
    [JW_REJET_REFERENCE] = {"vent above the slide", 0, 0, 0, ""},
    [JW_REJET_BRASS] = {"jets and settings", 0, 0, 0, ""},
    [JW_REJET_FUEL] = {"fuel", 0, 0, 0, ""},
    [JW_REJET_PREMIX] = {"oil in the fuel", 100, 0, 2, " %"},
    [JW_REJET_PRESSURE] = {"pressure", 1e-3, 0, 4, " kPa"},
    [JW_REJET_TEMPERATURE] = {"temperature", 1, -ZERO_CELSIUS, 3, " C"},
    [JW_REJET_HUMIDITY] = {"humidity", 100, 0, 2, " %"},
};

const char *const rejet_vent_words[JW_VENT_COUNT] = {[JW_VENT_ATMOSPHERE] = "atmosphere", [JW_VENT_AIRBOX] = "airbox"};

const char *rejet_kind_word(jw_rejet_kind kind)
{
	return told[kind].word;
}

rejet_words rejet_capital(const char *word)
{
	rejet_words w;
	snprintf(w.text, sizeof w.text, "%c%s", *word - 'a' + 'A', word + 1);
	return w;
}

static double oil_of(const jw_fuel *fuel)
{
	double oil = 0;
	for (int i = 0; i < fuel->parts; i++)
		if (fuel->part[i].liquid == JW_PREMIX_OIL)
			oil += fuel->part[i].volume_fraction;
	return oil;
}

double rejet_value_before(const rejet_asked *asked, jw_rejet_kind kind)
{
	const jw_setup *s = jw_profile_setup(asked->profile);
	const jw_carburetor *c = &s->carburetor;
	switch (kind) {
	case JW_REJET_THROAT:
		return (asked->other ? jw_profile_setup(asked->other) : s)->carburetor.throat.bore_m;
	case JW_REJET_BORE:
		return s->engine.bore_m;
	case JW_REJET_STROKE:
		return s->engine.stroke_m;
	case JW_REJET_CYLINDERS:
		return s->engine.cylinders;
	case JW_REJET_COMPRESSION:
		return s->engine.compression_ratio;
	case JW_REJET_FILTER:
		return c->intake.loss_pa;
	case JW_REJET_VENT:
		return c->bowl.vent;
	case JW_REJET_REFERENCE:
		return c->slide.reference;
	case JW_REJET_PREMIX:
		return oil_of(&s->fuel);
	case JW_REJET_PRESSURE:
		return asked->was.pressure_pa;
	case JW_REJET_TEMPERATURE:
		return asked->was.temperature_k;
	case JW_REJET_HUMIDITY:
		return jw_relative_humidity(&asked->was);
	default:
		return NAN;
	}
}

/* One figure where the filling changes alike at every speed, else one a range. */
static void filling_words(const double *factor, char *text, size_t size)
{
	int alike = 1;
	size_t used = 0;
	for (int r = 1; r < JW_RANGE_COUNT; r++)
		alike &= factor[r] == factor[0];
	if (alike) {
		snprintf(text, size, "filling %+.1f %%", 100 * (factor[0] - 1));
		return;
	}
	for (int r = 0; r < JW_RANGE_COUNT && used < size; r++)
		if (factor[r] != 1)
			used += (size_t)snprintf(text + used, size - used, "%s%s %+.1f %%", used ? ", " : "filling at ",
			                         jw_range_name((jw_range)r), 100 * (factor[r] - 1));
	for (char *c = text; *c; c++)
		*c = *c == '_' ? ' ' : *c;
}

static const char *const parts[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = "main jet",           [JW_PART_PILOT_JET] = "pilot jet",
    [JW_PART_MAIN_AIR_JET] = "main air jet",   [JW_PART_PILOT_AIR_JET] = "pilot air jet",
    [JW_PART_MIXTURE_SCREW] = "mixture screw", [JW_PART_NEEDLE_POSITION] = "needle clip"};

const jw_part rejet_order[REJET_PARTS] = {JW_PART_MAIN_JET, JW_PART_NEEDLE_POSITION, JW_PART_PILOT_JET,
                                          JW_PART_MIXTURE_SCREW};

const char *rejet_part_word(jw_part part)
{
	return parts[part];
}

const jw_jet *rejet_jets_of(const rejet_asked *a, jw_part part, int *count)
{
	const int is_main = part == JW_PART_MAIN_JET, is_pilot = part == JW_PART_PILOT_JET;
	*count = is_main ? a->jets.mains : is_pilot ? a->jets.pilots : 0;
	return is_main ? a->jets.main : is_pilot ? a->jets.pilot : NULL;
}

/* The needle counts in grooves from the top; in millimetres up where it has but one. */
static rejet_words needle_words(const rejet_asked *a, double raised)
{
	rejet_words w;
	const jw_grooves *g = &a->request.grooves;
	const double up = raised - a->answer.choice.piece[JW_PART_NEEDLE_POSITION].was, groove = g->now + up / g->pitch_m;
	if (g->count > 1)
		snprintf(w.text, sizeof w.text, "groove %.2g", groove);
	else
		snprintf(w.text, sizeof w.text, "%+.1f mm", up * 1e3);
	return w;
}

rejet_words rejet_value_words(const rejet_asked *a, jw_part part, double value)
{
	rejet_words w;
	if (part == JW_PART_NEEDLE_POSITION)
		return needle_words(a, value);
	if (part == JW_PART_MIXTURE_SCREW)
		snprintf(w.text, sizeof w.text, "%.2f turns", value);
	else
		snprintf(w.text, sizeof w.text, "%.3f mm", value * 1e3);
	return w;
}

rejet_words rejet_place_words(const rejet_asked *a, jw_part part, double value, int place)
{
	rejet_words w = rejet_value_words(a, part, value);
	int count;
	const jw_jet *jets = rejet_jets_of(a, part, &count);
	if (!jets || !a->jets_word || place < 0)
		return w;
	snprintf(w.text, sizeof w.text, "%s (%.3f mm)", significant(jets[place].mark, jets[place].mark < 100 ? 3 : 4).text,
	         value * 1e3);
	return w;
}

static void brass_words(const rejet_asked *a, const double *part, char *text, size_t size)
{
	const jw_setup *s = jw_profile_setup(a->other ? a->other : a->profile);
	size_t used = 0;
	for (int p = 0; p < JW_PART_COUNT && used < size; p++) {
		const double was = jw_part_value(s, (jw_part)p);
		if (part[p] == was)
			continue;
		used += (size_t)snprintf(text + used, size - used, "%s%s ", used ? ", " : "", parts[p]);
		if (used < size && p == JW_PART_NEEDLE_POSITION)
			used += (size_t)snprintf(text + used, size - used, "%s by %.1f mm", part[p] > was ? "raised" : "lowered",
			                         fabs(part[p] - was) * 1e3);
		else if (used < size && p == JW_PART_MIXTURE_SCREW)
			used += (size_t)snprintf(text + used, size - used, "%.2f to %.2f turns", was, part[p]);
		else if (used < size)
			used += (size_t)snprintf(text + used, size - used, "%.3f to %.3f mm", was * 1e3, part[p] * 1e3);
	}
}

static number_text number_words(const struct kind_words *k, double si)
{
	const double value = si * k->factor + k->offset;
	number_text number;
	if (k->digits)
		return significant(value, k->digits);
	snprintf(number.text, sizeof number.text, "%.0f", value);
	return number;
}

rejet_words rejet_change_words(const rejet_asked *asked, const jw_rejet_change *change)
{
	rejet_words w = {""};
	const struct kind_words *k = &told[change->kind];
	const double before = rejet_value_before(asked, change->kind);
	if (change->kind == JW_REJET_CARBURETOR)
		snprintf(w.text, sizeof w.text, "the carburetor of %s with its jets", jw_profile_name(asked->other));
	else if (change->kind == JW_REJET_FUEL)
		snprintf(w.text, sizeof w.text, "fuel %s to %s", jw_profile_fuel(asked->profile), asked->fuel);
	else if (change->kind == JW_REJET_BRASS)
		brass_words(asked, change->part, w.text, sizeof w.text);
	else if (change->kind == JW_REJET_FILLING)
		filling_words(change->factor, w.text, sizeof w.text);
	else if (change->kind == JW_REJET_VENT || change->kind == JW_REJET_REFERENCE)
		snprintf(w.text, sizeof w.text, "%s from %s to %s", k->word, rejet_vent_words[(int)before],
		         rejet_vent_words[(int)change->value]);
	else
		snprintf(w.text, sizeof w.text, "%s %s to %s%s", k->word, number_words(k, before).text,
		         number_words(k, change->value).text, k->unit);
	return w;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "reading.h"

/* How a value of a kind is told: factor from SI, decimals, unit. */
static const struct shown {
	const char *word;
	double factor;
	int decimals;
	const char *unit;
} kinds[JW_READING_KIND_COUNT] = {
    [JW_READING_LAMBDA] = {"lambda", 1, 3, ""},
    [JW_READING_AFR] = {"AFR", 1, 2, ""},
    [JW_READING_GAS] = {"lambda of gas", 1, 3, ""},
    [JW_READING_JET_FLOW] = {"flow", 60e6, 1, " ml/min"},
    [JW_READING_LEVEL] = {"fuel level", 1e3, 1, " mm"},
    [JW_READING_LIFT] = {"slide lift", 1e3, 1, " mm"},
    [JW_READING_DEPRESSION] = {"throat depression", 1, 0, " Pa"},
};

number_text reading_value_text(jw_reading_kind kind, double value)
{
	number_text text;
	const struct shown *s = &kinds[kind];
	snprintf(text.text, sizeof text.text, "%.*f%s", s->decimals, value * s->factor, s->unit);
	return text;
}

int reading_is_running(const jw_reading *r)
{
	return r->kind != JW_READING_JET_FLOW && r->kind != JW_READING_LEVEL;
}

reading_words reading_words_of(const jw_reading *r)
{
	reading_words w;
	const char *word = kinds[r->kind].word;
	if (reading_is_running(r))
		snprintf(w.text, sizeof w.text, "%s at %.0f rpm, %.0f %%", word, r->point.speed_rev_s * 60,
		         100 * r->point.throttle);
	else if (r->kind == JW_READING_JET_FLOW)
		snprintf(w.text, sizeof w.text, "%s of the %s jet", word, r->jet == JW_PART_MAIN_JET ? "main" : "pilot");
	else
		snprintf(w.text, sizeof w.text, "%s", word);
	return w;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What explain calls things. */
#include "explain.h"
#include <string.h>

/* Evidence at least so probable under a finding fits it, though a sound engine would show it too. */
static const double fits_from = 0.5;

#define BORE(name)                                                                                                     \
	{                                                                                                                  \
		"mm", "A " name " of %.2f mm in place of %.2f mm", 1e-3                                                        \
	}

static const part_words part_texts[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = BORE("main jet"),
    [JW_PART_PILOT_JET] = BORE("pilot jet"),
    [JW_PART_MAIN_AIR_JET] = BORE("main air jet"),
    [JW_PART_PILOT_AIR_JET] = BORE("pilot air jet"),
    [JW_PART_MIXTURE_SCREW] = {"turns",
                               "The mixture screw at %.1f turns in place of %.1f (counted out from lightly seated)", 1},
    [JW_PART_NEEDLE_POSITION] =
        {"mm",
         "The needle at %+.1f mm in place of %+.1f mm (plus is up, the clip lower on the needle; "
         "up enriches)",
         1e-3},
};

const part_words *part_words_of(jw_part part)
{
	return &part_texts[part];
}

const char *capital(const char *text, char *copy, size_t size)
{
	snprintf(copy, size, "%s", text);
	if (copy[0] >= 'a' && copy[0] <= 'z')
		copy[0] = (char)(copy[0] - 'a' + 'A');
	return copy;
}

static const struct {
	double from;
	const char *word;
} sureness[] = {
    {0.95, "almost certain"}, {0.7, "likely"}, {0.5, "more likely than not"}, {0.25, "possible"}, {0, "a weak lead"},
};

/* The word goes with the number as printed. */
static const double half_of_last_digit = 0.005;

const char *sure_word(double probability)
{
	int i = 0;
	while (probability + half_of_last_digit < sureness[i].from)
		i++;
	return sureness[i].word;
}

bearing bearing_of(const jw_explained *e)
{
	if (e->explains > 0)
		return EXPLAINS;
	if (e->explains < 0)
		return AGAINST;
	return e->likelihood >= fits_from ? FITS : OPEN;
}

/* "off idle: stumbles when the throttle is opened into this range" */
const char *evidence_text(const jw_evidence *seen, char *text, size_t size)
{
	const jw_evidence_kind *kind = jw_evidence_kind_at(seen->kind);
	char value[16] = "";
	if (kind->takes_value)
		snprintf(value, sizeof value, ", %.2f", seen->value);
	snprintf(text, size, "%s%s%s%s%s", kind->takes_range ? range_text_of(seen->range).text : "",
	         kind->takes_range ? ": " : "", seen->answer == JW_NO ? "not so: " : "", kind->text, value);
	return text;
}

/* What a hypothesis is called in a list. */
const char *hypothesis_text(const jw_hypothesis *h, char *text, size_t size)
{
	static const char *const texts[] = {
	    [JW_HYPOTHESIS_SOUND] = "nothing is wrong", [JW_HYPOTHESIS_OTHER] = "something that no row of the list names"};
	if (h->kind != JW_HYPOTHESIS_CAUSES)
		snprintf(text, size, "%s", texts[h->kind]);
	else if (h->cause[1] < 0)
		snprintf(text, size, "%s", jw_cause_at(h->cause[0])->text);
	else if (snprintf(text, size, "%s, and %s", jw_cause_at(h->cause[0])->text, jw_cause_at(h->cause[1])->text) >=
	         (int)size)
		snprintf(text, size, "%s and %s, both at fault", jw_cause_at(h->cause[0])->part,
		         jw_cause_at(h->cause[1])->part);
	return text;
}

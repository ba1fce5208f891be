/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What explain calls things. */
#include "explain.h"
#include <math.h>
#include <string.h>

#define BORE(name)                                                                                                     \
	{                                                                                                                  \
		name, "mm", "A " name " of %.2f mm in place of %.2f mm", 1e-3                                                  \
	}

static const part_words part_texts[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = BORE("main jet"),
    [JW_PART_PILOT_JET] = BORE("pilot jet"),
    [JW_PART_MAIN_AIR_JET] = BORE("main air jet"),
    [JW_PART_PILOT_AIR_JET] = BORE("pilot air jet"),
    [JW_PART_MIXTURE_SCREW] = {"mixture screw", "turns",
                               "The mixture screw at %.1f turns in place of %.1f (counted out from lightly seated)", 1},
    [JW_PART_NEEDLE_POSITION] =
        {"needle position", "mm",
         "The needle at %+.1f mm in place of %+.1f mm (plus is up, the clip lower on the needle; "
         "up enriches)",
         1e-3},
};

const part_words *part_words_of(jw_part part)
{
	return &part_texts[part];
}

/* ---- enrichener or choke ---- */

/* The library says "enrichener" of whatever enriches a cold engine; a choke plate closes where an enrichener opens.
 * Longer phrases come first. NULL: as it stands. */
static const struct {
	const char *phrase, *choke, *enrichener;
} devices[] = {
    {"the enrichener opens, or the choke plate closes, and that its passage is clear", "the choke plate closes fully",
     "the enrichener opens and that its passage is clear"},
    {"the choke plate does not close, or the enrichener does not open", "the choke plate does not close",
     "the enrichener does not open"},
    {"the choke plate does not open fully, or the enrichener does not shut", "the choke plate does not open fully",
     "the enrichener does not shut"},
    {"enrichener or choke", "choke", "enrichener"},
    {"enrichener part open", "choke partly closed", NULL},
    {"enrichener open", "choke closed", NULL},
    {"enrichener", "choke", NULL},
};
enum { DEVICES = sizeof devices / sizeof *devices };

/* What the device at the start of a text is called on this engine, and how long its phrase is; NULL: none is there. */
static const char *device_at(const answer *a, const char *text, size_t *length)
{
	const jw_carburetor *c = &a->healthy->carburetor;
	const int choke = c->choke.bore_m > 0, enrichener = c->enrichener_outlet_m > 0;
	for (int i = 0; i < DEVICES && choke != enrichener; i++) {
		*length = strlen(devices[i].phrase);
		if (strncmp(text, devices[i].phrase, *length) == 0)
			return choke ? devices[i].choke : devices[i].enrichener;
	}
	return NULL;
}

sentence said_of(const answer *a, const char *text)
{
	sentence said = {""};
	size_t used = 0, length;
	while (*text && used + 1 < sizeof said.text) {
		const char *device = device_at(a, text, &length);
		used += (size_t)snprintf(said.text + used, sizeof said.text - used, "%.*s", device ? (int)strlen(device) : 1,
		                         device ? device : text);
		text += device ? length : 1;
	}
	return said;
}

static const char under_load[] = ". Hold that throttle under load only, on the road or a roller and for a short pull: "
                                 "unloaded it over-revs";

sentence test_text(const answer *a, const jw_action *action)
{
	sentence text = said_of(a, jw_test_of(action->evidence)->text);
	const size_t used = strlen(text.text);
	if (jw_evidence_kind_at(action->evidence)->takes_range && action->range >= JW_HALF)
		snprintf(text.text + used, sizeof text.text - used, "%s", under_load);
	return text;
}

/* ---- the rest ---- */

sentence capital(sentence said)
{
	char *c = said.text;
	if (*c >= 'a' && *c <= 'z')
		*c = (char)(*c - 'a' + 'A');
	return said;
}

static const struct {
	double from;
	const char *word;
} sureness[] = {
    {0.95, "almost certain"}, {0.7, "likely"},      {0.5, "more likely than not"},
    {0.25, "possible"},       {0.1, "a weak lead"}, {0, "unlikely"},
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

sentence evidence_text(const answer *a, int evidence)
{
	const jw_evidence *seen = &a->known->evidence[evidence];
	const jw_evidence_kind *kind = jw_evidence_kind_at(seen->kind);
	sentence text;
	const jw_evidence_unit *unit = jw_evidence_unit_of(seen->kind);
	char value[48] = "";
	if (unit && seen->answer == JW_YES) {
		const double stated = seen->value / unit->si;
		snprintf(value, sizeof value, ", %.*f%s%s", fabs(stated) < 10 ? 2 : 0, stated, *unit->unit ? " " : "",
		         unit->unit);
	}
	snprintf(text.text, sizeof text.text, "%s%s%s%s%s", kind->takes_range ? range_text_of(seen->range).text : "",
	         kind->takes_range ? ": " : "", seen->answer == JW_NO ? "not so: " : "", said_of(a, kind->text).text,
	         value);
	return text;
}

double part_in_engine(const answer *a, jw_part part)
{
	const double fitted = (int)part < JW_JETS ? a->known->history.fitted_m[part] : 0;
	return fitted > 0 ? fitted : jw_part_value(a->healthy, part);
}

sentence cause_text(const answer *a, int cause)
{
	return said_of(a, jw_cause_at(cause)->text);
}

sentence hypothesis_text(const answer *a, const jw_hypothesis *h)
{
	static const char *const texts[] = {[JW_HYPOTHESIS_SOUND] = "nothing is wrong",
	                                    [JW_HYPOTHESIS_OTHER] = "something that this program does not know"};
	sentence text;
	if (h->kind != JW_HYPOTHESIS_CAUSES)
		snprintf(text.text, sizeof text.text, "%s", texts[h->kind]);
	else if (h->cause[1] < 0)
		return cause_text(a, h->cause[0]);
	else
		snprintf(text.text, sizeof text.text, "%s, and also %s", cause_text(a, h->cause[0]).text,
		         cause_text(a, h->cause[1]).text);
	return text;
}

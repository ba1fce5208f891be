/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "words.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CLAUSE = 160, WORDS = 24 };

/* One clause, in lower case, its words apart. */
typedef struct clause {
	char text[CLAUSE];
	const char *word[WORDS];
	int words;
} clause;

/* ---- clauses ---- */

static int is_letter(int c)
{
	return isalnum(c) || c == '\'';
}

/* The next clause of a text, up to a semicolon or comma; NULL past the last. */
static const char *next_clause(const char *text, clause *c)
{
	if (!text || !*text)
		return NULL;
	size_t length = strcspn(text, ";,"), kept = length < CLAUSE - 1 ? length : CLAUSE - 1;
	memcpy(c->text, text, kept);
	c->text[kept] = '\0';
	c->words = 0;
	for (char *p = c->text; *p;) {
		while (*p && !is_letter((unsigned char)*p))
			*p++ = '\0';
		if (*p && c->words < WORDS)
			c->word[c->words++] = p;
		for (; *p && is_letter((unsigned char)*p); p++)
			*p = (char)tolower((unsigned char)*p);
	}
	return text[length] ? text + length + 1 : text + length;
}

/* Whether a clause has a word; "a|b" is either, "a*" any that begins so. */
static int has_stem(const clause *c, const char *stem, size_t length)
{
	for (int i = 0; i < c->words; i++) {
		const char *from = stem, *end = stem + length;
		while (from < end) {
			const char *bar = memchr(from, '|', (size_t)(end - from));
			size_t part = (size_t)((bar ? bar : end) - from);
			int open = part > 0 && from[part - 1] == '*';
			if (!strncmp(c->word[i], from, part - (size_t)open) && (open || !c->word[i][part]))
				return 1;
			from += part + 1;
		}
	}
	return 0;
}

/* Whether it has every word of a pattern, and none that a "!" stands before. */
static int matches(const clause *c, const char *pattern)
{
	while (*pattern) {
		size_t length = strcspn(pattern, " ");
		int barred = *pattern == '!';
		if (has_stem(c, pattern + barred, length - (size_t)barred) == barred)
			return 0;
		pattern += length;
		pattern += strspn(pattern, " ");
	}
	return 1;
}

/* First number of a clause, as figures or as a word; negative where there is none. */
static double number_in(const clause *c)
{
	static const char *const figures[] = {"zero",  "one",   "two",  "three", "four",   "five",  "six",
	                                      "seven", "eight", "nine", "ten",   "eleven", "twelve"};
	for (int i = 0; i < c->words; i++) {
		if (isdigit((unsigned char)*c->word[i]))
			return strtod(c->word[i], NULL);
		for (size_t n = 0; n < sizeof figures / sizeof *figures; n++)
			if (!strcmp(c->word[i], figures[n]))
				return (double)n;
	}
	return -1;
}

/* ---- evidence ---- */

typedef enum column { SYMPTOMS = 1, TESTS = 2, CONTEXT = 4 } column;
#define SEEN (SYMPTOMS | TESTS)
#define EVERYWHERE (SEEN | CONTEXT)

/* Range of a kind that takes none. */
#define NOWHERE JW_IDLE

/* Words that show the absence of a change. */
#define NOTHING "no|none|nothing|without|unchanged"

static const struct {
	int columns;
	const char *pattern;
	const char *seen;
	jw_range range;
	jw_answer answer;
} table[] = {
    /* starting */
    {SEEN, "no start|starts", "does_not_start", NOWHERE, JW_YES},
    {SEEN, "won't|will|cannot start", "does_not_start", NOWHERE, JW_YES},
    {SEEN, "hard start|starting cold", "hard_to_start_cold", NOWHERE, JW_YES},
    {SEEN, "hard start|starting !cold !hot !warm", "hard_to_start_cold", NOWHERE, JW_YES},
    {SEEN, "hard start|starting hot|warm", "hard_to_start_hot", NOWHERE, JW_YES},
    {SEEN, "starting normal|easy|good|fine", "hard_to_start_cold", NOWHERE, JW_NO},
    {SEEN, "start|starts die|dies|stall|stalls|cut|cuts", "starts_then_dies", NOWHERE, JW_YES},
    {SEEN, "only|needs start|starts|starting choke|enrichener", "starts_only_with_enrichener", NOWHERE, JW_YES},
    {SEEN, "no|not crank|cranks|turn|turns", "does_not_crank", NOWHERE, JW_YES},
    {SEEN, "slow|slowly crank|cranks", "cranks_slowly", NOWHERE, JW_YES},
    {SEEN, "starter stalls|clicks|jams|blocked", "does_not_crank", NOWHERE, JW_YES},
    {SEEN, "crank|cranks well|ok|fast|normal", "cranks_well", NOWHERE, JW_YES},
    /* idle */
    {SEEN, "dies|stalls|no|won't idle !speed !effect", "dies_at_idle", NOWHERE, JW_YES},
    {SEEN, "stalls !starter !idle", "dies_at_idle", NOWHERE, JW_YES},
    {SEEN, "rough|lumpy|erratic|uneven|hunting|hunts|surging|unsteady idle", "hunts", JW_IDLE, JW_YES},
    {SEEN, "idle ok|good|fine|smooth|steady !balance", "idles_well", NOWHERE, JW_YES},
    {SEEN, "high|fast idle", "high_idle", NOWHERE, JW_YES},
    {SEEN, "low|slow idle", "idle_too_slow", NOWHERE, JW_YES},
    {SEEN, "hanging|hangs", "hanging_idle", NOWHERE, JW_YES},
    {SEEN, "idle screw " NOTHING, "idle_screw_no_effect", NOWHERE, JW_YES},
    /* pulling */
    {SEEN, "hunts|hunting|surges|surging|surge !idle", "surges", JW_HALF, JW_YES},
    {SEEN, "stumble|stumbles|hesitat*|bog|bogs|flat off", "stumbles", JW_OFF_IDLE, JW_YES},
    {SEEN, "flat spot !mid !midrange", "stumbles", JW_OFF_IDLE, JW_YES},
    {SEEN, "hesitat* !off", "hesitates", JW_HALF, JW_YES},
    {SEEN, "bog|bogs !off", "hesitates", JW_QUARTER, JW_YES},
    {SEEN, "flat mid|midrange", "flat", JW_HALF, JW_YES},
    {SEEN, "flat full", "flat", JW_FULL, JW_YES},
    {SEEN, "stumble|stumbles full", "surges", JW_FULL, JW_YES},
    {SEEN, "low|no top|redline|rev|revs", "flat", JW_FULL, JW_YES},
    {SEEN, "weak|low|no|lacks|loss power", "flat", JW_THREE_QUARTER, JW_YES},
    {SEEN, "misfire|misfires|misfiring !no !some !one", "misfires_lean", JW_FULL, JW_YES},
    {SEEN, "no misfire", "misfires_lean", JW_FULL, JW_NO},
    {SEEN, "misfire|misfires some|one", "one_cylinder_dead", NOWHERE, JW_YES},
    {SEEN, "pops|popping|backfire|backfires exhaust|closing|decel*|overrun", "pops_on_closing", NOWHERE, JW_YES},
    {SEEN, "pops|popping|backfire|backfires|spits !exhaust !closing !decel* !overrun", "misfires_lean", JW_HALF,
     JW_YES},
    {SEEN, "cuts|cut|dies|died out|while|under !after !start !starts !idle", "cuts_out", JW_HALF, JW_YES},
    {SEEN, "starve|starves|starved|starvation", "fades_under_load", NOWHERE, JW_YES},
    {SEEN, "sudden|suddenly", "came_on_suddenly", NOWHERE, JW_YES},
    {SEEN, "rest|waiting|pause restores|helps|recovers", "fades_under_load", NOWHERE, JW_YES},
    {SEEN, "cruise|part|warm|midrange ok|good|fine|well !compression", "runs_well", JW_HALF, JW_YES},
    {SEEN, "full|top ok|good|fine|well !compression", "runs_well", JW_FULL, JW_YES},
    {SEEN, "smooth below limit|full|top", "runs_well", JW_THREE_QUARTER, JW_YES},
    {SEEN, "hot dies|stops|cuts|stalls !start !starts", "dies_when_hot", NOWHERE, JW_YES},
    {SEEN, "heat|hot soak|stop|restart", "worse_after_hot_stop", NOWHERE, JW_YES},
    /* what helps or hurts */
    {SEEN, "external|outside|starter|starting|ether|carb fuel|fluid|spray|cleaner fires|runs|helps|starts",
     "outside_fuel_fires", NOWHERE, JW_YES},
    {SEEN, "external|outside|ether fuel|fluid|spray|cleaner " NOTHING, "outside_fuel_changes_nothing", NOWHERE, JW_YES},
    {SEEN, "priming|prime|primed helps|runs|fires", "outside_fuel_fires", NOWHERE, JW_YES},
    {SEEN, "choke|enrichener helps|cures|better|only|needs !seconds !moment !briefly", "enrichener_helps", JW_IDLE,
     JW_YES},
    {SEEN, "choke|enrichener helps seconds|moment|briefly", "fades_under_load", NOWHERE, JW_YES},
    {SEEN, "choke|enrichener worse|worsens|kills|floods", "enrichener_worsens", JW_IDLE, JW_YES},
    {SEEN, "choke|enrichener " NOTHING, "enrichener_helps", JW_IDLE, JW_NO},
    {SEEN, "cover|covering|hand intake|air helps|better|runs", "covering_intake_helps", JW_IDLE, JW_YES},
    {SEEN, "screw out cures|helps|better", "screw_out_helps", NOWHERE, JW_YES},
    {SEEN, "mixture|pilot|air screw " NOTHING, "screw_no_effect", NOWHERE, JW_YES},
    {SEEN, "cap loosened|loose|off|open helps|runs|cures", "cap_loosened_helps", NOWHERE, JW_YES},
    {SEEN, "cap " NOTHING, "cap_loosened_helps", NOWHERE, JW_NO},
    {SEEN, "new plug|plugs helps|cures|better", "new_plug_helps", NOWHERE, JW_YES},
    {SEEN, "new plug|plugs " NOTHING, "new_plug_helps", NOWHERE, JW_NO},
    {SEEN, "leak spray changes|rises|revs|drops|effect|found !no", "leak_spray_changes", NOWHERE, JW_YES},
    {SEEN, "leak spray " NOTHING, "leak_spray_no_change", NOWHERE, JW_YES},
    {SEEN, "new gasket|gaskets|boot|boots|manifold " NOTHING, "leak_spray_no_change", NOWHERE, JW_YES},
    {SEEN, "spindle|shaft play|worn|loose !linkage", "leak_spray_changes", NOWHERE, JW_YES},
    {SEEN, "crack|cracked|split boot|rubber|manifold|joint", "leak_spray_changes", NOWHERE, JW_YES},
    /* spark */
    {SEEN, "spark none|no|missing|lost", "spark_none", NOWHERE, JW_YES},
    {SEEN, "spark|sparks weak|yellow|orange|intermittent|irregular|poor", "spark_weak", NOWHERE, JW_YES},
    {SEEN, "spark good|strong|ok|blue|present|fine|yes !no", "spark_strong", NOWHERE, JW_YES},
    {SEEN, "plug sparks neither", "spark_none", NOWHERE, JW_YES},
    {SEEN, "other|another plug sparks", "new_plug_helps", NOWHERE, JW_YES},
    {SEEN, "spark hot|warm lost|weak|gone|fails", "spark_fails_hot", NOWHERE, JW_YES},
    /* plugs and smoke */
    {SEEN, "plug|plugs wet", "plug_wet", NOWHERE, JW_YES},
    {SEEN, "plug|plugs dry", "plug_dry", NOWHERE, JW_YES},
    {SEEN, "plug|plugs black|sooty|carbon|fouled", "plug_black", JW_FULL, JW_YES},
    {SEEN, "plug|plugs white|pale|blistered|lean !flame", "plug_white", JW_FULL, JW_YES},
    {SEEN, "flame plug lean", "plug_white", JW_IDLE, JW_YES},
    {SEEN, "plug|plugs brown|tan|normal|good !new !not", "plug_normal", NOWHERE, JW_YES},
    {SEEN, "black smoke", "smokes_black", JW_FULL, JW_YES},
    {SEEN, "overheat|overheats|overheating", "plug_white", JW_FULL, JW_YES},
    {SEEN, "poor|high economy|consumption|mileage", "misfires_rich", JW_HALF, JW_YES},
    /* one of several */
    {SEEN, "lead|pull " NOTHING, "one_cylinder_dead", NOWHERE, JW_YES},
    {SEEN, "left|right|front|rear|one " NOTHING " effect", "one_cylinder_dead", NOWHERE, JW_YES},
    {SEEN, "one cylinder|side dead|cold|misses", "one_cylinder_dead", NOWHERE, JW_YES},
    /* compression */
    {SEEN, "compression low|poor|weak|none", "compression_low", NOWHERE, JW_YES},
    {SEEN, "compression ok|good|fine|normal|strong !warm !hot", "compression_good", NOWHERE, JW_YES},
    {SEEN, "valve|valves tight|clearance|stuck|burnt", "valve_clearance_wrong", NOWHERE, JW_YES},
    /* fuel and its way */
    {SEEN, "bowl|bowls dry|empty", "bowl_dry", NOWHERE, JW_YES},
    {SEEN, "no flow !change", "bowl_drain_weak", NOWHERE, JW_YES},
    {SEEN, "no fuel carb|carburetor|bowl|reaches|arrives !change !new", "bowl_dry", NOWHERE, JW_YES},
    {SEEN, "weak|slow|poor|little flow|fuel !spark !pump", "bowl_drain_weak", NOWHERE, JW_YES},
    {SEEN, "flow ok|good|strong|fine|full", "bowl_fills_freely", NOWHERE, JW_YES},
    {SEEN, "line|hose|tap clear|clean|ok", "bowl_fills_freely", NOWHERE, JW_YES},
    {SEEN, "bowl full", "bowl_fills_freely", NOWHERE, JW_YES},
    {SEEN, "sediment|strainer|screen clean|cleaning|cleaned helped|helps", "bowl_drain_weak", NOWHERE, JW_YES},
    {SEEN, "fuel leak|leaks|drips|overflow|overflows|overflowing|pours", "fuel_overflows", NOWHERE, JW_YES},
    {SEEN, "drips|overflows|floods|flooding !fuel !choke", "fuel_overflows", NOWHERE, JW_YES},
    {SEEN, "fuel cylinder", "fuel_overflows", NOWHERE, JW_YES},
    {SEEN, "fuel crankcase|oil|sump", "fuel_in_oil", NOWHERE, JW_YES},
    {SEEN, "water !clear !no !free", "water_in_bowl", NOWHERE, JW_YES},
    {SEEN, "water clear|no|free", "water_in_bowl", NOWHERE, JW_NO},
    {EVERYWHERE, "fuel stale|old|smells|gone !new", "fuel_smells_stale", NOWHERE, JW_YES},
    {SEEN, "fuel not light|burn", "fuel_smells_stale", NOWHERE, JW_YES},
    {SEEN, "specks|dirt|debris|varnish|gum|rust|sediment|gummed|green !no", "dirt_in_bowl", NOWHERE, JW_YES},
    {SEEN, "bowl|bowls clean", "dirt_in_bowl", NOWHERE, JW_NO},
    /* air, exhaust, throttle */
    {SEEN, "filter dirty|clogged|blocked|oily|soaked !fuel", "filter_dirty", NOWHERE, JW_YES},
    {SEEN, "filter clean|new|removed|ok !fuel", "filter_clean", NOWHERE, JW_YES},
    {SEEN, "exhaust leak|blows|blowing|joint|joints|weeping", "exhaust_leak_heard", NOWHERE, JW_YES},
    {SEEN, "exhaust|silencer|muffler weak|little|blocked|coked", "exhaust_weak", NOWHERE, JW_YES},
    {SEEN, "outlet hole|holes stopped|blocked", "exhaust_weak", NOWHERE, JW_YES},
    {SEEN, "throttle|cable|arm|linkage sticks|stuck|loose|turns|slips|off", "throttle_sticks", NOWHERE, JW_YES},
    {SEEN, "ice|frost|icing", "ice_on_carburetor", NOWHERE, JW_YES},
    /* what went before */
    {CONTEXT, "while|mid|flight|trip !in", "came_on_suddenly", NOWHERE, JW_YES},
    {CONTEXT, "in flight", "came_on_suddenly", NOWHERE, JW_YES},
    {CONTEXT, "carburetor|carburetors|carb|carbs cleaned|rebuilt|refitted|apart|overhauled", "after_reassembly",
     NOWHERE, JW_YES},
    {CONTEXT, "rebuilt|restoration|restored|reassembled|overhaul", "after_reassembly", NOWHERE, JW_YES},
};

static int stated(const jw_case *known, int kind, jw_range range)
{
	for (int i = 0; i < known->evidences; i++)
		if (known->evidence[i].kind == kind && known->evidence[i].range == range)
			return 1;
	return 0;
}

static void state(jw_case *known, const char *seen, jw_range range, jw_answer answer)
{
	const int kind = jw_evidence_kind_find(seen);
	if (kind < 0) {
		fprintf(stderr, "no such evidence: %s\n", seen);
		exit(2);
	}
	if (known->evidences < JW_EVIDENCE_MAX && !stated(known, kind, range))
		known->evidence[known->evidences++] = (jw_evidence){.kind = kind, .range = range, .answer = answer};
}

/* "cuts_out_after_15_seconds", "90 psi": what a number tells. Two minutes of running empty a bowl that is not filled.
 */
static int state_number(jw_case *known, const clause *c)
{
	const double seconds_to_empty = 150, sound_psi = 100;
	double number = number_in(c);
	if (number < 0)
		return 0;
	if (matches(c, "after second|seconds|minute|minutes") && matches(c, "cuts|dies|stalls|stops|runs")) {
		double seconds = matches(c, "minute|minutes") ? 60 * number : number;
		if (seconds <= seconds_to_empty)
			state(known, "starts_then_dies", NOWHERE, JW_YES);
		else
			state(known, "cuts_out", JW_HALF, JW_YES);
		return 1;
	}
	if (matches(c, "psi !warm !hot")) {
		state(known, number < sound_psi ? "compression_low" : "compression_good", NOWHERE, JW_YES);
		return 1;
	}
	return 0;
}

static int encode_clause(jw_case *known, const clause *c, column from)
{
	int said = from != CONTEXT && state_number(known, c);
	for (size_t i = 0; i < sizeof table / sizeof *table; i++)
		if ((table[i].columns & from) && matches(c, table[i].pattern)) {
			state(known, table[i].seen, table[i].range, table[i].answer);
			said = 1;
		}
	return said;
}

/* ---- history ---- */

/* Months that words of standing stand for where no number does. */
static const struct {
	const char *pattern;
	double months, per_number;
} standings[] = {
    {"year|years", 12, 12}, {"winter|winters", 7, 9},         {"month|months", 1, 1},    {"week|weeks", 0.25, 0.25},
    {"summer", 12, 12},     {"season|seasonal|spring", 6, 6}, {"some time|while", 4, 4},
};

static int encode_history(jw_case *known, const clause *c)
{
	if (matches(c, "daily|regular|weekly|touring use")) {
		known->history.months_standing = 0;
		return 1;
	}
	if (matches(c, "filter|filters open|individual|pod|pods|removed")) {
		known->history.changed[JW_CHANGE_FILTER_OPEN] = 1;
		return 1;
	}
	if (!matches(c, "stood|standing|stored|storage|unused|sat|sitting|season|seasonal|spring|winter|winters"))
		return 0;
	double number = number_in(c);
	for (size_t i = 0; i < sizeof standings / sizeof *standings; i++)
		if (matches(c, standings[i].pattern)) {
			known->history.months_standing = number > 0 ? number * standings[i].per_number : standings[i].months;
			return 1;
		}
	known->history.months_standing = 4;
	return 1;
}

int words_encode(const told_case *told, jw_case *known)
{
	const struct {
		const char *text;
		column from;
	} columns[] = {{told->symptoms, SYMPTOMS}, {told->tests, TESTS}, {told->context, CONTEXT}};
	int silent = 0;
	known->history = (jw_history){.months_standing = -1};
	known->evidences = 0;
	for (size_t i = 0; i < sizeof columns / sizeof *columns; i++) {
		clause c;
		for (const char *rest = columns[i].text; (rest = next_clause(rest, &c));) {
			int said = encode_clause(known, &c, columns[i].from);
			if (columns[i].from == CONTEXT)
				said |= encode_history(known, &c);
			silent += c.words > 0 && !said;
		}
	}
	return silent;
}

/* ---- engine ---- */

static int says(const char *text, const char *pattern)
{
	clause c;
	for (const char *rest = text; (rest = next_clause(rest, &c));)
		if (matches(&c, pattern))
			return 1;
	return 0;
}

const char *words_engine(const told_case *told)
{
	static const struct {
		const char *pattern, *engine;
	} kinds[] = {
	    {"lawn|mower|snow|blower|generator|riding|utility|pump", "utility-160"},
	    {"car|tractor|inboard|flat", "car-1200"},
	    {"outboard", "utility-160"},
	    {"trimmer|saw|paraglider|moped|50cc|bicycle", "moped-50"},
	    {"motocross|slide !depression", "single-250"},
	};
	for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
		if (says(told->engine, kinds[i].pattern))
			return kinds[i].engine;
	if (says(told->engine, "2 stroke"))
		return "moped-50";
	return says(told->engine, "scooter|single") ? "scooter-125" : "twin-500";
}

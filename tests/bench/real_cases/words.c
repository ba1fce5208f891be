/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "words.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CLAUSE = 240, WORDS = 64 };

/* One clause, in lower case, its words apart, each followed by the one that it is another form of. */
typedef struct clause {
	char text[CLAUSE];
	const char *word[WORDS];
	int denied[WORDS]; /* whether "no" or the like stands before it */
	int words;
} clause;

/* ---- clauses ---- */

static int is_letter(int c)
{
	return isalnum(c) || c == '\'';
}

/* One word for what people call by several, inflection included. */
static const struct {
	const char *word, *others;
} same[] = {
    {"idle", "idles|idling|tickover|tick"},
    {"dies", "die|died|dying|stall|stalls|stalled|stalling|quit|quits|conks"},
    {"start", "starts|starting|started|startup"},
    {"restart", "restarts|restarting|restarted"},
    {"choke", "chokes|enrichener|enricher|enrichment"},
    {"carburetor", "carb|carbs|carburettor|carburettors|carburetors"},
    {"fuel", "petrol|gasoline|gas"},
    {"plug", "plugs|sparkplug"},
    {"cylinder", "cylinders|pot|pots|header|headers"},
    {"joint", "joints|boot|boots|manifold|gasket|gaskets|flange|insulator|rubber|rubbers|stub"},
    {"hose", "hoses|line|lines"},
    {"jet", "jets|jetting"},
    {"full", "wot"},
    {"helps", "helped|help|cure|cures|cured|better|improves|improved|smooths|smoother|revives|fixes|fixed|picks"},
    {"bog", "bogs|bogging|bogged|falters|falter|gasps|gags"},
    {"stumble", "stumbles|stumbling|stumbled|hesitates|hesitation|hesitate|hesitant"},
    {"hunts", "hunt|hunting|surge|surges|surging|oscillates"},
    {"misfire", "misfires|misfiring|misses|splutters|spluttering|spluttery|sputters|sputtering|stutters|stuttering"},
    {"power", "pull|pulls|pulling|strength|thrust"},
    {"weak", "soft|gutless|sluggish|lazy|feeble|poor"},
    {"good", "ok|okay|fine|normal|perfect|well|sweet|sweetly|decent|crisp|plenty|bright|healthy"},
    {"smoke", "smokes|smoky|smoking"},
    {"spark", "sparks|sparking"},
    {"spray", "sprayed|spraying"},
    {"blocked", "clogged|plugged|choked|gummed|bunged|restricted|obstructed|blockage"},
    {"crack", "cracks|cracked|split|splits|perished|torn|tear|holed"},
    {"trickle", "trickles|dribble|dribbles"},
    {"stood", "sat|parked|stored|storage|laid|unused|unridden|dormant|shelf|barn|shed|standing|sitting"},
    {"sticks", "stuck|sticking|sticky|jammed|jams|seized|binds"},
};

static void add_word(clause *c, const char *word, int denied)
{
	if (c->words == WORDS)
		return;
	c->denied[c->words] = denied;
	c->word[c->words++] = word;
}

/* Whether a list "a|b" has a word. */
static int lists(const char *list, const char *word)
{
	const size_t length = strlen(word);
	for (const char *p = list; (p = strstr(p, word)); p++)
		if ((p == list || p[-1] == '|') && (p[length] == '|' || !p[length]))
			return 1;
	return 0;
}

/* Words that deny the next one; "without" does not: what fails without ether works with it. Some stand between, and
 * what follows "or" is denied like what stands before it: "no real bog or stumble", "not a hint of smoke". */
static const char denials[] = "no|not|never|nor|doesn't|didn't|isn't";
static const char passed_over[] =
    "a|an|any|the|real|really|actual|actually|ever|even|much|more|longer|noticeable|obvious|"
    "particular|single|hint|trace|sign|signs|of";

static int is_denied(const clause *c)
{
	for (int i = c->words - 1; i >= 0; i--) {
		if (lists(denials, c->word[i]))
			return 1;
		if (!strcmp(c->word[i], "or"))
			return i > 0 && c->denied[i - 1];
		if (!lists(passed_over, c->word[i]))
			return 0;
	}
	return 0;
}

static void add_same(clause *c)
{
	const int said = c->words;
	for (int i = 0; i < said; i++)
		for (size_t k = 0; k < sizeof same / sizeof *same; k++)
			if (lists(same[k].others, c->word[i]))
				add_word(c, same[k].word, c->denied[i]);
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
		const char *said = NULL;
		while (*p && !is_letter((unsigned char)*p))
			*p++ = '\0';
		if (*p)
			said = p;
		for (; *p && is_letter((unsigned char)*p); p++)
			*p = (char)tolower((unsigned char)*p);
		if (*p)
			*p++ = '\0';
		if (said)
			add_word(c, said, is_denied(c));
	}
	add_same(c);
	return text[length] ? text + length + 1 : text + length;
}

/* Place, from 1, of a word that a clause has; "a|b" is either, "a*" any that begins so. */
static int has_stem(const clause *c, const char *stem, size_t length)
{
	for (int i = 0; i < c->words; i++) {
		const char *from = stem, *end = stem + length;
		while (from < end) {
			const char *bar = memchr(from, '|', (size_t)(end - from));
			size_t part = (size_t)((bar ? bar : end) - from);
			int open = part > 0 && from[part - 1] == '*';
			if (!strncmp(c->word[i], from, part - (size_t)open) && (open || !c->word[i][part]))
				return i + 1;
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
		if ((has_stem(c, pattern + barred, length - (size_t)barred) > 0) == barred)
			return 0;
		pattern += length;
		pattern += strspn(pattern, " ");
	}
	return 1;
}

/* Whether a clause that matches a pattern denies one of its words: "no hesitation", "does not bog". A pattern that
 * holds such a word itself means it. */
static int denies(const clause *c, const char *pattern)
{
	int denied = 0;
	while (*pattern) {
		const size_t length = strcspn(pattern, " ");
		const int place = *pattern == '!' ? 0 : has_stem(c, pattern, length);
		if (place && lists(denials, c->word[place - 1]))
			return 0;
		denied |= place && c->denied[place - 1];
		pattern += length;
		pattern += strspn(pattern, " ");
	}
	return denied;
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
    {SEEN, "never|not|nor|won't|nothing|doesn't|no fire|fires|cough|coughs|kick|catch|catches !outside !external",
     "does_not_start", NOWHERE, JW_YES},
    {SEEN, "cold start impossible|takes|minute|minutes|long|ether|slow|difficult|bad|reluctant|age|ages",
     "hard_to_start_cold", NOWHERE, JW_YES},
    {SEEN, "hot|warm start|restart impossible|difficult|refuses|won't|long|bad|not", "hard_to_start_hot", NOWHERE,
     JW_YES},
    {SEEN, "fires|catches dies|fades", "starts_then_dies", NOWHERE, JW_YES},
    {SEEN, "runs|start second|seconds|moment|briefly|burst !choke !outside !external !prim*", "starts_then_dies",
     NOWHERE, JW_YES},
    {SEEN, "restart|start|runs|recovers|back|again after|once|minutes|wait|waiting|rest|cooled|cooling|cools !choke",
     "restarts_after_wait", NOWHERE, JW_YES},
    {SEEN, "push|pushed|bump|bumped|towed|rolling start", "starts_when_pushed", NOWHERE, JW_YES},
    {SEEN, "kicks|kick back|backs", "kicks_back", NOWHERE, JW_YES},
    {SEEN, "coughs|cough|pops only|once|just", "coughs_only", NOWHERE, JW_YES},
    {SEEN, "runs|good warm|hot !compression !spark !plug !start !not !no", "only_cold", NOWHERE, JW_YES},
    {SEEN, "only|but cold !plug !compression !spark !cylinder", "only_cold", NOWHERE, JW_YES},
    {SEEN, "only|but|when|once|gets hot|warm !plug !compression !spark !choke !good", "only_hot", NOWHERE, JW_YES},
    {SEEN, "wet|rain|wash|washed|damp weather|rain|worse|after|when !plug", "worse_in_wet", NOWHERE, JW_YES},
    {SEEN, "hot|warm day|days|weather", "worse_on_hot_days", NOWHERE, JW_YES},
    {SEEN, "takes|twenty|dozen|many|endless|repeated pulls|kicks|tries|turns|cold|cranking !hot !warm",
     "hard_to_start_cold", NOWHERE, JW_YES},
    {SEEN, "spins|cranks happily|freely|strong|fast|over", "cranks_well", NOWHERE, JW_YES},
    {SEEN, "fires once|twice dies|stops", "coughs_only", NOWHERE, JW_YES},
    {SEEN, "hot dies|refuses|gone !spark !plug !day !choke", "dies_when_hot", NOWHERE, JW_YES},
    {SEEN, "fades|sags|runs|dies|loses minute|minutes|miles|while|out !start", "fades_under_load", NOWHERE, JW_YES},
    /* idle */
    {SEEN, "dies|stalls|no|won't idle !speed !effect", "dies_at_idle", NOWHERE, JW_YES},
    {SEEN, "stalls !starter !idle", "dies_at_idle", NOWHERE, JW_YES},
    {SEEN, "rough|lumpy|erratic|uneven|hunting|hunts|surging|unsteady idle", "hunts", JW_IDLE, JW_YES},
    {SEEN, "idle ok|good|fine|smooth|steady !balance", "idles_well", NOWHERE, JW_YES},
    {SEEN, "high|fast idle", "high_idle", NOWHERE, JW_YES},
    {SEEN, "low|slow idle", "idle_too_slow", NOWHERE, JW_YES},
    {SEEN, "hanging|hangs", "hanging_idle", NOWHERE, JW_YES},
    {SEEN, "idle screw " NOTHING, "idle_screw_no_effect", NOWHERE, JW_YES},
    {SEEN, "idle falls|drops|drop|fades away|off|out|when|as", "dies_at_idle", NOWHERE, JW_YES},
    {SEEN, "won't|not|no|never|can't idle|hold !speed !effect !screw", "dies_at_idle", NOWHERE, JW_YES},
    {SEEN, "idle rough|lumpy|erratic|uneven|hunts|unsteady|wanders|up", "hunts", JW_IDLE, JW_YES},
    {SEEN, "idle good|smooth|steady|watch|day|nicely|clean !no !not", "idles_well", NOWHERE, JW_YES},
    {SEEN, "idle climbs|rises|creeps|races|screams|racing|rising", "high_idle", NOWHERE, JW_YES},
    {SEEN, "races|screams|revs closing|closed|down|itself|own", "high_idle", NOWHERE, JW_YES},
    {SEEN, "slow|won't|not|takes|slowly come|drop|return|returns|back|settle down|idle|blip|closing|closed|throttle",
     "hanging_idle", NOWHERE, JW_YES},
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
    {SEEN, "nothing|no|not|won't past|beyond|above|over|further|third|half|quarter throttle|third|half|quarter",
     "no_more_than_half", NOWHERE, JW_YES},
    {SEEN, "no|not|won't|nothing|wont|never|barely km|kmh|mph|rpm|top|speed|rev|revs", "flat", JW_FULL, JW_YES},
    {SEEN, "full|top|wide|high|flat weak|nothing|bog|dies|misfire|flat|cuts|holds|starves !choke !idle", "flat",
     JW_FULL, JW_YES},
    {SEEN, "misfire|cuts|dies|limiter full|three|high|top|wide|load", "cuts_out", JW_FULL, JW_YES},
    {SEEN, "weak|no|lacks|loss|lost|down|little power|hill|hills|load|grass !spark !flow", "flat", JW_THREE_QUARTER,
     JW_YES},
    {SEEN, "hole|gap|flat|hiccup just|off|closed|opening|idle|small !full", "stumbles", JW_OFF_IDLE, JW_YES},
    {SEEN, "stumble|bog !full !half !mid", "stumbles", JW_OFF_IDLE, JW_YES},
    {SEEN, "throttle|gas|opened|blip snap|snapped|whack|quickly|sudden|suddenly|blip|fast stumble|bog|dies|coughs",
     "stumbles_when_snapped", NOWHERE, JW_YES},
    {SEEN, "throttle|opened|opening|given|touched dies", "dies_on_opening", NOWHERE, JW_YES},
    {SEEN, "third|half|mid|midrange|middle|quarter misfire|weak|flat|rich|thick|stumble|bog|hunts", "flat", JW_HALF,
     JW_YES},
    {SEEN, "eased|easing|ease|rolling|backing|back off|back throttle|helps|pulls", "easing_throttle_helps", NOWHERE,
     JW_YES},
    {SEEN, "full good|clean|fine !flow !bowl", "runs_well", JW_FULL, JW_YES},
    {SEEN, "moving|driving|speed|cruise|once|running good|smooth|fine !idle !wet !plug", "runs_well", JW_HALF, JW_YES},
    {SEEN, "drinks|thirsty|consumption|economy|mileage|uses fuel|poor|high|more|bad|drinks|thirsty", "uses_more_fuel",
     NOWHERE, JW_YES},
    {SYMPTOMS, "smells|stinks|smell|reeks fuel|rich !stale !varnish !old", "smells_of_fuel", NOWHERE, JW_YES},
    {SEEN, "sudden|burst|rush power|speed|revs|gain|burst !snap*", "surges_before_stopping", NOWHERE, JW_YES},
    {SEEN, "overheats|overheating|hotter|overheat", "overheats", NOWHERE, JW_YES},
    {SEEN, "pings|pinks|pinking|pinging|knocks|detonates|detonation", "pings", NOWHERE, JW_YES},
    {SEEN, "restart|again|recovers|back rest|minutes|wait|while|pause|ten|five", "restarts_after_wait", NOWHERE,
     JW_YES},
    {SEEN, "four burbles|strokes|stroking", "misfires_rich", JW_FULL, JW_YES},
    {SEEN, "burbles|gurgles|blubbers|loads|rich", "misfires_rich", JW_HALF, JW_YES},
    {SEEN, "breaks|bucks|bucking|jerks|jerky up|uphill|load|pulling|bucks|bucking|jerks|jerky", "misfires_lean",
     JW_FULL, JW_YES},
    {SEEN, "spits|coughs back", "misfires_lean", JW_HALF, JW_YES},
    {SEEN, "lean|leans out|cut|full|top|surge", "surges", JW_FULL, JW_YES},
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
    {SEEN, "choke not|doesn't|won't|never close|closes|closing|shut|shuts", "choke_does_not_close", NOWHERE, JW_YES},
    {SEEN, "choke not|doesn't|won't|never open|opens|opening", "choke_does_not_open", NOWHERE, JW_YES},
    {SEEN, "choke sticks|shut|closed|left|on !keeps", "choke_does_not_open", NOWHERE, JW_YES},
    {SEEN, "choke cable|plunger|linkage|flap slack|broken|off|loose|moves|disconnected", "choke_does_not_close",
     NOWHERE, JW_YES},
    {SEEN, "choke only|needs|keep|keeps|needed|runs|run|alive|going|out|pushed !seconds !moment !briefly",
     "runs_only_enriched", NOWHERE, JW_YES},
    {SEEN, "choke stops|smooth|touch|settles|steadies|half|some|bit !not !open !close", "enrichener_helps", JW_IDLE,
     JW_YES},
    {SEEN, "choke alive|longer|bit|while|seconds|moment|briefly", "enrichener_helps_briefly", NOWHERE, JW_YES},
    {SEEN,
     "ether|fluid|spray|cleaner|prime|priming|squirt|squirts|teaspoon|intake fires|runs|helps|start|coughs "
     "!joint !nothing !no",
     "outside_fuel_fires", NOWHERE, JW_YES},
    {SEEN, "ether|fluid|spray|prime|squirt intake|start|throat|carburetor " NOTHING " !joint",
     "outside_fuel_changes_nothing", NOWHERE, JW_YES},
    {SEEN, "only|without ether|fluid|spray|squirt|prime start|starts|impossible", "outside_fuel_fires", NOWHERE,
     JW_YES},
    {SEEN, "spray joint|round|around|base changes|stumble|rises|revs|drops|falters|idle|dies !no !nothing !unchanged",
     "leak_spray_changes", NOWHERE, JW_YES},
    {SEEN, "hiss|hisses|whistle|whistles|sucking|whistling", "leak_spray_changes", NOWHERE, JW_YES},
    {SEEN, "grease|tape|pinching|pinch|squeezing|pressing|clamp joint|hose|round|helps|quiets|stops",
     "leak_spray_changes", NOWHERE, JW_YES},
    {SEEN, "crack joint", "joint_cracked", NOWHERE, JW_YES},
    {SEEN, "loose clamp|joint|bolts|nuts|carburetor", "joint_cracked", NOWHERE, JW_YES},
    {SEEN, "spindle|shaft play|worn|loose|rocks !linkage", "throttle_shaft_loose", NOWHERE, JW_YES},
    {SEEN, "screw|screws odds|nothing|no|none|unchanged|deaf !idle !speed", "screw_no_effect", NOWHERE, JW_YES},
    {SEEN, "screw|screws out helps|turn|rises|smooth|cures", "screw_out_helps", NOWHERE, JW_YES},
    {SEEN, "cap loosened|loose|off|open|cracked|hiss|hisses|vent", "cap_loosened_helps", NOWHERE, JW_YES},
    {SEEN, "fresh|new fuel helps|runs|start|cures !filter !pump !hose !tap !tank", "fresh_fuel_helps", NOWHERE, JW_YES},
    {SEEN, "fresh|new fuel " NOTHING " !filter !pump !hose !tap", "fresh_fuel_no_help", NOWHERE, JW_YES},
    {SEEN, "carburetor clean|cleaned|cleaning|rebuilt|stripped " NOTHING "|same|times|twice", "cleaning_no_help",
     NOWHERE, JW_YES},
    {SEEN, "tap|tapping|knock|knocking|hit|rap bowl|carburetor helps|runs|start|frees|revives", "tap_on_bowl_helps",
     NOWHERE, JW_YES},
    {SEEN, "filter|cover|lid|airbox off|out|removed|without helps|runs|better|right !fuel", "filter_off_helps", JW_FULL,
     JW_YES},
    {SEEN, "squeezing|pumping|squeeze bulb helps|picks|back|up", "hose_flows_weakly", NOWHERE, JW_YES},
    {SEEN, "flap|butterfly|plate still|half|stays shut|closed", "choke_does_not_open", NOWHERE, JW_YES},
    {SEEN, "revs|idle|speed bars|handlebars|turned|lock|steering", "throttle_sticks", NOWHERE, JW_YES},
    /* spark */
    {SEEN, "spark none|no|missing|lost", "spark_none", NOWHERE, JW_YES},
    {SEEN, "spark|sparks weak|yellow|orange|intermittent|irregular|poor", "spark_weak", NOWHERE, JW_YES},
    {SEEN, "spark good|strong|ok|blue|present|fine|yes !no", "spark_strong", NOWHERE, JW_YES},
    {SEEN, "plug sparks neither", "spark_none", NOWHERE, JW_YES},
    {SEEN, "other|another plug sparks", "new_plug_helps", NOWHERE, JW_YES},
    {SEEN, "spark hot|warm lost|weak|gone|fails", "spark_fails_hot", NOWHERE, JW_YES},
    {SEEN, "stop|kill|low|oil|cut switch|lead|wire|sensor|relay sparks|spark|runs|start", "runs_without_stop_switch",
     NOWHERE, JW_YES},
    {SEEN, "earthed|out|grounded nothing|none|dark !spray", "spark_none", NOWHERE, JW_YES},
    {SEEN, "spark nothing|dead|zero|absent", "spark_none", NOWHERE, JW_YES},
    {SEEN, "spark thin|faint|red|sometimes|some|erratic|drops|jumps|feeble", "spark_weak", NOWHERE, JW_YES},
    {SEEN, "coil|cap|lead swapped|moved|swap|follows|moves fault|follows|misfire|moves|cylinder", "follows_plug",
     NOWHERE, JW_YES},
    {SEEN, "coil hot|warm|heat|heated fails|dies|open|hot|weak|touch", "spark_fails_hot", NOWHERE, JW_YES},
    {SEEN, "timing|key|keyway sheared|off|late|early|slipped|out", "timing_off", NOWHERE, JW_YES},
    {SEEN, "battery low|flat|weak|volts|dead !good", "battery_low", NOWHERE, JW_YES},
    {SEEN, "starter|engine clicks|click|locked|hums", "does_not_crank", NOWHERE, JW_YES},
    {SEEN, "spark gone|lost|dies|away hot|warm", "spark_fails_hot", NOWHERE, JW_YES},
    {SEEN, "volts|volt|v coil|battery falls|drops|low", "spark_weak", NOWHERE, JW_YES},
    {SEEN, "misfire|misfires|worse|dies wet|rain|damp|puddles|washing", "worse_in_wet", NOWHERE, JW_YES},
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
    {SEEN, "plug oily|oiled|oil", "plug_oily", NOWHERE, JW_YES},
    {SEEN, "plug worn|old|gap|cracked|eroded|bridged !new", "plug_worn", NOWHERE, JW_YES},
    {SEEN, "smoke white|grey|steam", "smokes_white", NOWHERE, JW_YES},
    {SEEN, "smoke blue|oil", "smokes_blue", NOWHERE, JW_YES},
    {SEEN, "smoke black|sooty|rich", "smokes_black", JW_FULL, JW_YES},
    {SEEN, "bang|bangs|banging exhaust|silencer|muffler", "bangs_in_exhaust", NOWHERE, JW_YES},
    {SEEN, "plug drenched|soaked|damp|dripping|flooded", "plug_wet", NOWHERE, JW_YES},
    {SEEN, "plug bone|dry", "plug_dry", NOWHERE, JW_YES},
    /* one of several */
    {SEEN, "lead|pull " NOTHING, "one_cylinder_dead", NOWHERE, JW_YES},
    {SEEN, "left|right|front|rear|one " NOTHING " effect", "one_cylinder_dead", NOWHERE, JW_YES},
    {SEEN, "one cylinder|side dead|cold|misses", "one_cylinder_dead", NOWHERE, JW_YES},
    {SEEN, "cylinder|side|one|two|inner|outer|left|right|front|rear|pipe|pipes cold|cool|cooler|dead|lazy|drops !start",
     "one_cylinder_dead", NOWHERE, JW_YES},
    {SEEN, "running|runs|firing on one|two|three|half cylinder|side|only|cylinders", "one_cylinder_dead", NOWHERE,
     JW_YES},
    {SEEN, "cylinder|lead|side one|left|right|front|rear|inner|outer|two|three|no " NOTHING " effect|difference|change",
     "one_cylinder_dead", NOWHERE, JW_YES},
    /* compression */
    {SEEN, "compression low|poor|weak|none", "compression_low", NOWHERE, JW_YES},
    {SEEN, "compression ok|good|fine|normal|strong !warm !hot", "compression_good", NOWHERE, JW_YES},
    {SEEN, "valve|valves tight|clearance|stuck|burnt", "valve_clearance_wrong", NOWHERE, JW_YES},
    {SEEN, "oil squirt|teaspoon|lifts|raises|added|with compression|psi|bar", "oil_lifts_compression", NOWHERE, JW_YES},
    {SEEN, "compression down|uneven|lost|zero|barely", "compression_low", NOWHERE, JW_YES},
    {SEEN, "compression even|good|plenty|high !low !warm !hot !no", "compression_good", NOWHERE, JW_YES},
    {SEEN, "breath|blows|blow|spits|puffs carburetor|intake|mouth !exhaust", "compression_low", NOWHERE, JW_YES},
    {SEEN, "leak down|test loses|fails|seconds", "compression_low", NOWHERE, JW_YES},
    {SEEN, "crank|crankcase|seal bubbles|leaks|loses|leak|weeps|wet !fuel", "crankcase_leaks", NOWHERE, JW_YES},
    {SEEN, "valve|valves tight|clearance|gap|zero|bent|sticks !bowl !float !reed", "valve_clearance_wrong", NOWHERE,
     JW_YES},
    {SEEN, "pulls|turns|spins|kicks easily|easy|light|no|over resistance|easily|easy", "compression_low", NOWHERE,
     JW_YES},
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
    {SEEN, "hose|tap|filter|tank trickle|slow|weak|little|barely|nothing|none !air !cap !no", "hose_flows_weakly",
     NOWHERE, JW_YES},
    {SEEN, "hose|tap flow|flows|gushes|runs|pours|fuel good|freely|strong|steady|plenty|full", "hose_flows_freely",
     NOWHERE, JW_YES},
    {SEEN, "fuel|inline|tap filter|screen|strainer blocked|dirty|brown|full|rust|black", "hose_flows_weakly", NOWHERE,
     JW_YES},
    {SEEN, "bottle|gravity|separate|spare|auxiliary|remote|another tank|bottle|gravity|fuel|can runs|fine|good|helps",
     "hose_flows_weakly", NOWHERE, JW_YES},
    {SEEN, "pump pressure|pumps|output|delivers|flow|fuel no|low|weak|nothing|dead|barely !oil !accelerator !squirt",
     "bowl_drain_weak", NOWHERE, JW_YES},
    {SEEN, "tank rust|rusty|flakes|scale|sediment|sand", "rust_in_tank", NOWHERE, JW_YES},
    {SEEN, "layer|beads|blob|bubbles|drops bottom|under|below|fuel|bowl|jar|glass|separator !idle !speed",
     "water_in_bowl", NOWHERE, JW_YES},
    {SEEN, "float sunk|heavy|holed|inside|full|sinks", "float_holds_fuel", NOWHERE, JW_YES},
    {SEEN, "float|valve|seat|tip needle|seat|tip groove|grooved|ring|worn|ridge|dirt|marked|pitted",
     "float_needle_marked", NOWHERE, JW_YES},
    {SEEN, "level past|above|high|over|rises mark|flange|bowl|line|joint|edge", "fuel_overflows", NOWHERE, JW_YES},
    {SEEN, "fuel trickle|leak|runs|pours|drips|weeps|leaks|dribbles overflow|vent|airbox|intake|ground|floor|hose",
     "fuel_overflows", NOWHERE, JW_YES},
    {SEEN, "oil thin|thinned|fuel|petrol|rising|smells|level !plug !filter", "fuel_in_oil", NOWHERE, JW_YES},
    {EVERYWHERE, "fuel lacquer|varnish|sour|brown|orange|turpentine", "fuel_smells_stale", NOWHERE, JW_YES},
    {SEEN,
     "jet|jets|passage|passages|hole|holes|port|ports|circuit blocked|green|shut|solid|light|nothing|crust "
     "!clear !exhaust !air !outlet",
     "jet_looks_blocked", NOWHERE, JW_YES},
    {SEEN, "jet clear|clean|light|open|looked !blocked !no !not", "jets_look_clear", NOWHERE, JW_YES},
    {SEEN, "screw|passage|holes through nothing|no|came", "jet_looks_blocked", NOWHERE, JW_YES},
    {SEEN, "diaphragm|diaphragms crack|hole|pinched|stiff|torn|stretched", "diaphragm_torn", NOWHERE, JW_YES},
    {SEEN, "slide|piston|slides sticks|slow|drops|scored|rough|hangs", "slide_sticks", NOWHERE, JW_YES},
    {SEEN, "slide|slides free|freely|smooth|good", "slide_rises_freely", NOWHERE, JW_YES},
    {SEEN, "accelerator|pump squirt|jet|stream|plunger no|weak|dry|none|nothing|late", "pump_squirts", NOWHERE, JW_NO},
    {SEEN, "accelerator|pump squirt|squirts|stream good|strong|both|fine", "pump_squirts", NOWHERE, JW_YES},
    {SEEN, "solenoid|shutoff|cut no|not|dead|sticks|click", "bowl_dry", NOWHERE, JW_YES},
    {SEEN, "fuel|pump pressure below|low|drops|under|zero", "bowl_drain_weak", NOWHERE, JW_YES},
    {SEEN, "sight|fuel glass|filter|bowl half|nearly|empty", "bowl_drain_weak", NOWHERE, JW_YES},
    {SEEN, "drain|drains trickle|barely|slow|stops|dries", "bowl_drain_weak", NOWHERE, JW_YES},
    {SEEN, "sucking|blowing hose|tap|line nothing|no|none", "hose_flows_weakly", NOWHERE, JW_YES},
    /* air, exhaust, throttle */
    {SEEN, "filter dirty|clogged|blocked|oily|soaked !fuel", "filter_dirty", NOWHERE, JW_YES},
    {SEEN, "filter clean|new|removed|ok !fuel", "filter_clean", NOWHERE, JW_YES},
    {SEEN, "exhaust leak|blows|blowing|joint|joints|weeping", "exhaust_leak_heard", NOWHERE, JW_YES},
    {SEEN, "exhaust|silencer|muffler weak|little|blocked|coked", "exhaust_weak", NOWHERE, JW_YES},
    {SEEN, "outlet hole|holes stopped|blocked", "exhaust_weak", NOWHERE, JW_YES},
    {SEEN, "throttle|cable|arm|linkage sticks|stuck|loose|turns|slips|off", "throttle_sticks", NOWHERE, JW_YES},
    {SEEN, "ice|frost|icing", "ice_on_carburetor", NOWHERE, JW_YES},
    {SEEN, "filter oil|oily|soaked|oiled !fuel", "filter_oily", NOWHERE, JW_YES},
    {SEEN, "filter|element|foam|paper black|packed|solid|dusty|dirty|blocked !fuel !inline !tank", "filter_dirty",
     NOWHERE, JW_YES},
    {SEEN, "exhaust|muffler|silencer|baffle|arrestor|port carbon|coked|blocked|muffled|nest|crust", "exhaust_weak",
     NOWHERE, JW_YES},
    {SEEN, "muffled|stifled|strangled", "exhaust_weak", NOWHERE, JW_YES},
    {SEEN, "exhaust|muffler|silencer off|loosened|removed helps|runs|revs", "exhaust_weak", NOWHERE, JW_YES},
    {SEEN, "exhaust|manifold tick|ticking|chuff|chuffing|puffing|blowing", "exhaust_leak_heard", NOWHERE, JW_YES},
    {SEEN, "throttle|cable|linkage|spring|plate|butterfly sticks|loose|frayed|slack|kinked|broken|bent|tight|off|stays",
     "throttle_sticks", NOWHERE, JW_YES},
    /* what went before */
    {CONTEXT, "while|mid|flight|trip !in", "came_on_suddenly", NOWHERE, JW_YES},
    {CONTEXT, "in flight", "came_on_suddenly", NOWHERE, JW_YES},
    {CONTEXT, "carburetor|carburetors|carb|carbs cleaned|rebuilt|refitted|apart|overhauled", "after_reassembly",
     NOWHERE, JW_YES},
    {CONTEXT, "rebuilt|restoration|restored|reassembled|overhaul", "after_reassembly", NOWHERE, JW_YES},
    {CONTEXT, "jet|needle fitted|changed|new|kit|bigger|larger|smaller|swapped", "after_jet_change", NOWHERE, JW_YES},
    {CONTEXT, "exhaust|silencer|muffler|pipe fitted|changed|new|aftermarket|swapped", "after_exhaust_change", NOWHERE,
     JW_YES},
    {CONTEXT, "air filter|element fitted|changed|new|swapped|replaced|cleaned !fuel", "after_filter_change", NOWHERE,
     JW_YES},
    {CONTEXT, "coil|points|ignition|timing|stator|leads fitted|changed|new|replaced|set|adjusted !earlier !ago",
     "after_ignition_work", NOWHERE, JW_YES},
    {CONTEXT,
     "valve|valves|head|piston|top|rings|engine adjusted|rebuilt|replaced|rebuild|overhauled|refreshed !earlier !ago",
     "after_engine_work", NOWHERE, JW_YES},
    {CONTEXT, "rain|wash|washed|puddle|ford|flooded|pressure", "after_wash_or_rain", NOWHERE, JW_YES},
    {CONTEXT, "refuelled|filled|refuelling|fillup|refill", "after_refuelling", NOWHERE, JW_YES},
    {CONTEXT, "tipped|side|fell|crash|dropped|laid over", "after_tipping", NOWHERE, JW_YES},
    {CONTEXT, "carburetor stripped|rack|apart|off|rebuild|serviced|cleaning|swapped|refurbished", "after_reassembly",
     NOWHERE, JW_YES},
    {CONTEXT, "carburetor cleaned twice|times|three|several", "cleaning_no_help", NOWHERE, JW_YES},
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
			const jw_answer opposite = table[i].answer == JW_YES ? JW_NO : JW_YES;
			state(known, table[i].seen, table[i].range, denies(c, table[i].pattern) ? opposite : table[i].answer);
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

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to fit, and in which order to try, in sentences and rows. */
#include "rejet.h"
#include "show.h"
#include <math.h>
#include <string.h>

/* What serves where one of a part cannot. */
static const char *const instead[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] = "a needle or nozzle that lets more or less fuel through below full throttle",
    [JW_PART_PILOT_JET] = "another slide cutaway, or another pilot air jet",
    [JW_PART_NEEDLE_POSITION] = "a needle of another taper or thickness",
    [JW_PART_MIXTURE_SCREW] = "another pilot air jet"};

int rejet_may_be_dangerous(const rejet_asked *a, jw_range range)
{
	const jw_rejet_choice *c = &a->answer.choice;
	const double limit = jw_rejet_danger_lambda(range), was = a->answer.range[range].before.phi;
	const int leaner = c->phi[range] < was * (1 - JW_REJET_LEANER);
	const double doubt = leaner ? c->relative_after[range] : c->relative_change[range];
	return limit > 0 && lambda_of(c->phi[range]) * exp(SIGMAS_90 * doubt) > limit;
}

/* Bores are told to this. */
#define LEAST_BORE_M 0.5e-6

static const jw_rejet_piece *piece_of(const rejet_asked *a, jw_part part)
{
	return &a->answer.choice.piece[part];
}

static int any_bore(const rejet_asked *a, jw_part part)
{
	return !a->jets_word && (part == JW_PART_MAIN_JET || part == JW_PART_PILOT_JET);
}

static int moves(const rejet_asked *a, jw_part part)
{
	return fabs(piece_of(a, part)->chosen - piece_of(a, part)->was) > 1e-9;
}

static int anything_moves(const rejet_asked *a)
{
	int moved = 0;
	for (int i = 0; i < REJET_PARTS; i++)
		moved |= moves(a, rejet_order[i]);
	return moved;
}

/* There is a choice to tell of. */
static int fits(const rejet_asked *a)
{
	return a->request.changes || anything_moves(a);
}

/* ---- what it comes to ---- */

/* "main jet 107.5 (1.075 mm), mixture screw 2.00 turns" of what is exchanged or moved. */
static void fitted_words(const rejet_asked *a, char *text, size_t size)
{
	size_t used = 0;
	for (int i = 0; i < REJET_PARTS && used < size; i++) {
		const jw_part part = rejet_order[i];
		const jw_rejet_piece *p = piece_of(a, part);
		if (moves(a, part))
			used += (size_t)snprintf(text + used, size - used, "%s%s %s", used ? ", " : "", rejet_part_word(part),
			                         rejet_place_words(a, part, p->chosen, p->place).text);
	}
}

void rejet_print_finding(const rejet_asked *a)
{
	char fitted[256];
	const number_text stays = lambda_text(lambda_of(a->answer.range[JW_FULL].after.phi));
	fitted_words(a, fitted, sizeof fitted);
	if (!a->answer.choice.safe)
		page_title(a->page, "No main jet at hand is large enough: full throttle has to wait for one.");
	else if (anything_moves(a))
		page_title(a->page, "Fit %s: lambda at full throttle is then %s, as it stands %s.", fitted,
		           lambda_text(lambda_of(a->answer.choice.phi[JW_FULL])).text, stays.text);
	else
		page_title(a->page, "Nothing is to be fitted: lambda at full throttle is %s.", stays.text);
}

/* ---- what to fit ---- */

/* Another bore would be better, but by less than jets are made to. */
static int hardly_differs(const rejet_asked *a, jw_part part)
{
	const jw_rejet_piece *p = piece_of(a, part);
	const int bore = part == JW_PART_MAIN_JET || part == JW_PART_PILOT_JET;
	return bore && !moves(a, part) && fabs(p->ideal - p->was) > LEAST_BORE_M &&
	       fabs(p->ideal / p->was - 1) < JW_REJET_SAME_BORE;
}

/* "richer" where a part moves that way. */
static const char *way_of(const rejet_asked *a, jw_part part)
{
	const jw_rejet_piece *p = piece_of(a, part);
	const double moved = p->chosen - p->was;
	const int airs = part == JW_PART_MIXTURE_SCREW && a->answer.setup.carburetor.screw.kind == JW_AIR_SCREW;
	if (!moves(a, part))
		return "stays";
	return (moved > 0) != airs ? "richer" : "leaner";
}

static void print_parts(const rejet_asked *a)
{
	cli_table table = {.left = 1u << 4};
	table_heading(&table, (const char *const[]){"", "now", "ideal", "fit", ""}, 5);
	for (int i = 0; i < REJET_PARTS; i++) {
		const jw_rejet_piece *p = piece_of(a, rejet_order[i]);
		if (!p->sought)
			continue;
		table_cell(&table, "%s", rejet_part_word(rejet_order[i]));
		table_cell(&table, "%s", rejet_value_words(a, rejet_order[i], p->was).text);
		table_cell(&table, "%s", rejet_value_words(a, rejet_order[i], p->ideal).text);
		table_cell(&table, "%s", rejet_place_words(a, rejet_order[i], p->chosen, p->place).text);
		table_cell(&table, "%s", way_of(a, rejet_order[i]));
		table_row_end(&table);
	}
	page_table(a->page, &table);
}

static void print_hardly(const rejet_asked *a)
{
	for (int i = 0; i < REJET_PARTS; i++)
		if (hardly_differs(a, rejet_order[i]))
			page_say(a->page,
			         "The %s stays: the bore of the ideal one differs by less than %g %%, as jets of one size do.",
			         rejet_part_word(rejet_order[i]), 100 * JW_REJET_SAME_BORE);
}

static void print_conventions(const rejet_asked *a)
{
	const jw_rejet_piece *needle = piece_of(a, JW_PART_NEEDLE_POSITION);
	const jw_grooves *g = &a->request.grooves;
	if (needle->sought && g->count > 1)
		page_say(
		    a->page,
		    "Grooves count from the top of the needle: a clip one further down lifts the needle %.1f mm, richer.%s",
		    g->pitch_m * 1e3,
		    a->grooves_stated ? "" : " Five grooves with the clip in the middle are taken for granted: see --grooves.");
	page_say(a->page, "Screw turns count out from lightly seated: out is %s.",
	         a->answer.setup.carburetor.screw.kind == JW_FUEL_SCREW ? "richer" : "leaner");
}

static void print_mixtures(const rejet_asked *a)
{
	const jw_rejet_choice *c = &a->answer.choice;
	cli_table table = {.left = 1u << 5};
	table_heading(&table, (const char *const[]){"lambda", "wanted", "ideal", "with this", "90 % interval", "off"}, 6);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const double off = log(c->phi[r] / c->target[r]), lambda = lambda_of(c->phi[r]);
		table_cell(&table, "%s", range_text_of(r).text);
		table_cell(&table, "%s", lambda_text(lambda_of(c->target[r])).text);
		table_cell(&table, "%s", lambda_text(lambda_of(c->ideal[r])).text);
		table_cell(&table, "%s", lambda_text(lambda).text);
		table_cell(&table, "%s", lambda_interval_about(lambda, c->relative_after[r]).text);
		if (fabs(off) < jw_rejet_tolerance((jw_range)r))
			table_cell(&table, "%s", "");
		else
			table_cell(&table, "%.0f %% %s", 100 * fabs(exp(-off) - 1), off > 0 ? "rich" : "lean");
		table_row_end(&table);
	}
	page_table(a->page, &table);
}

/* Where lean is dangerous, those of one sort: "0.87 at full throttle and 0.91 at three quarters throttle", and the
 * limits "1.00 and 1.05". */
typedef struct lean_places {
	char lambda[128], limit[32];
} lean_places;

static void add_lean(lean_places *l, int range, double lambda, double limit)
{
	const char *and = *l->lambda ? " and " : "";
	const size_t used = strlen(l->lambda), limited = strlen(l->limit);
	snprintf(l->lambda + used, sizeof l->lambda - used, "%s%s at %s", and, lambda_text(lambda).text,
	         rejet_wide_open(range));
	snprintf(l->limit + limited, sizeof l->limit - limited, "%s%.2f", and, limit);
}

static const char *caution_of(const rejet_asked *a)
{
	if (!a->answer.choice.safe)
		return "Do not run it there.";
	return piece_of(a, JW_PART_MAIN_JET)->start_covers
	           ? "Run it there only with what trials begin with below, and leaner only by readings."
	           : "Nothing begins safely richer: run it there only with lambda read from the start.";
}

/* A choice is as near to what is wanted as can be, which need not be safe. */
static void print_choice_danger(const rejet_asked *a)
{
	const jw_rejet_choice *c = &a->answer.choice;
	lean_places is = {"", ""}, may = {"", ""};
	for (int r = JW_FULL; r >= JW_THREE_QUARTER; r--) {
		const double limit = jw_rejet_danger_lambda((jw_range)r), lambda = lambda_of(c->phi[r]);
		if (lambda > limit)
			add_lean(&is, r, lambda, limit);
		else if (rejet_may_be_dangerous(a, (jw_range)r))
			add_lean(&may, r, lambda, limit);
	}
	if (*is.lambda)
		page_say(a->page, "Danger: lambda is then %s; above %s heat destroys engines. Do not run it there.", is.lambda,
		         is.limit);
	if (*may.lambda)
		page_say(a->page,
		         "Danger: lambda is then foretold as %s, and may lie above %s, where heat destroys engines. %s",
		         may.lambda, may.limit, caution_of(a));
}

/* Up to where a choice that is not safe may be run. */
static int lowest_danger(const rejet_asked *a)
{
	return rejet_may_be_dangerous(a, JW_THREE_QUARTER) ? JW_THREE_QUARTER : JW_FULL;
}

/* "8 % rich", "right" */
static rejet_words standing(const jw_rejet_choice *c, jw_range range)
{
	rejet_words w;
	const double off = 100 * (c->target[range] / c->ideal[range] - 1);
	if (fabs(off) < 0.5)
		snprintf(w.text, sizeof w.text, "right");
	else
		snprintf(w.text, sizeof w.text, "%.0f %% %s", fabs(off), off > 0 ? "lean" : "rich");
	return w;
}

static int same_conflict(const jw_rejet_piece *p, const jw_rejet_piece *q)
{
	return p->torn && q->torn && p->lean == q->lean && p->rich == q->rich;
}

/* What a conflict is about, once for all parts that are in it. */
static void print_conflict(const rejet_asked *a, int first)
{
	const jw_rejet_choice *c = &a->answer.choice;
	const jw_rejet_piece *p = piece_of(a, rejet_order[first]);
	char parts[96] = "", takes[256] = "";
	for (int i = first; i < REJET_PARTS; i++) {
		if (!same_conflict(p, piece_of(a, rejet_order[i])))
			continue;
		const size_t named = strlen(parts), told = strlen(takes);
		snprintf(parts + named, sizeof parts - named, "%sone %s", named ? " and " : "",
		         rejet_part_word(rejet_order[i]));
		snprintf(takes + told, sizeof takes - told, "%s%s", told ? ", or " : "", instead[rejet_order[i]]);
	}
	page_say(a->page,
	         "%s cannot serve both %s and %s: with every part ideal %s is %s, %s %s. To have both right takes %s.",
	         rejet_capital(parts).text, range_text_of(p->lean).text, range_text_of(p->rich).text,
	         range_text_of(p->lean).text, standing(c, p->lean).text, range_text_of(p->rich).text,
	         standing(c, p->rich).text, takes);
}

static void print_torn(const rejet_asked *a)
{
	for (int i = 0; i < REJET_PARTS; i++) {
		int told = 0;
		for (int k = 0; k < i; k++)
			told |= same_conflict(piece_of(a, rejet_order[k]), piece_of(a, rejet_order[i]));
		if (piece_of(a, rejet_order[i])->torn && !told)
			print_conflict(a, i);
	}
}

/* Full throttle stays lean with a main jet of any size: another part meters. */
static int no_main_jet_does(const rejet_asked *a)
{
	const jw_rejet_choice *c = &a->answer.choice;
	return !c->safe && log(c->ideal[JW_FULL] / c->target[JW_FULL]) < -2 * JW_REJET_LEANER;
}

/* What to do about a part of which nothing at hand is ideal. */
static void say_beyond(const rejet_asked *a, jw_part part)
{
	const jw_rejet_piece *p = piece_of(a, part);
	const rejet_words ideal = rejet_value_words(a, part, p->ideal);
	if (part == JW_PART_NEEDLE_POSITION) {
		page_say(
		    a->page,
		    "Out of reach: the needle would have to hang %s than any groove lets it, at %s. Another needle is needed.",
		    p->beyond > 0 ? "higher" : "lower", ideal.text);
		return;
	}
	const int waits = part == JW_PART_MAIN_JET && !a->answer.choice.safe;
	page_say(a->page, "Out of reach: the %s would have to be %s, %s than any at hand. Get one of that size%s%s.",
	         rejet_part_word(part), ideal.text, p->beyond > 0 ? "more" : "less",
	         waits ? "; until then stay below " : "", waits ? rejet_wide_open(lowest_danger(a)) : "");
}

static void print_out_of_reach(const rejet_asked *a)
{
	const int none = no_main_jet_does(a), main_beyond = piece_of(a, JW_PART_MAIN_JET)->beyond;
	for (int i = 0; i < REJET_PARTS; i++)
		if (piece_of(a, rejet_order[i])->beyond && !(none && rejet_order[i] == JW_PART_MAIN_JET))
			say_beyond(a, rejet_order[i]);
	if (none)
		page_say(
		    a->page,
		    "No main jet of any size keeps full throttle from being leaner than wanted: needle jet, nozzle or throat "
		    "must be others. Stay below %s until they are.",
		    rejet_wide_open(lowest_danger(a)));
	else if (!a->answer.choice.safe && !main_beyond)
		page_say(a->page,
		         "Nothing at hand keeps full throttle from being leaner than wanted: stay below %s until a larger main "
		         "jet is there.",
		         rejet_wide_open(lowest_danger(a)));
}

/* Less is told as nothing. */
#define LEAST_LIFT_MM 0.05

static const char *const reasons[JW_RULE_REASON_COUNT] = {
    [JW_RULE_OTHER_CHANGE] = "more has changed than air and fuel, and it knows of nothing else",
    [JW_RULE_WEAK_PULL] = "the pull on the main jet is so weak that the height to which fuel must be lifted counts"};

/* A slide that floats finds its height by the flow, and the needle hangs in it. */
static rejet_words floating_words(const rejet_asked *a)
{
	rejet_words w;
	const jw_rejet_range *full = &a->answer.range[JW_FULL];
	const double before = full->before.path.lift_m * 1e3, after = full->after.path.lift_m * 1e3;
	if (fabs(after - before) < LEAST_LIFT_MM)
		snprintf(w.text, sizeof w.text, "the slide floats at full throttle, %.1f mm up before and after", after);
	else
		snprintf(w.text, sizeof w.text, "at full throttle the slide %s from %.1f to %.1f mm, its needle with it",
		         after < before ? "sinks" : "rises", before, after);
	return w;
}

static void print_rule(const rejet_asked *a)
{
	const jw_rejet_rule *rule = &a->answer.rule;
	const jw_rejet_piece *main = piece_of(a, JW_PART_MAIN_JET);
	const double bore = jw_part_value(a->request.setup, JW_PART_MAIN_JET) * sqrt(rule->area_factor);
	if (rule->reason == JW_RULE_NOTHING)
		return;
	if (rule->reason == JW_RULE_APPLIES)
		page_say(a->page,
		         "The rule of thumb, jet area with the square root of the air's density (and its dry share and the "
		         "fuel's needs), says a main jet of %.3f mm; the whole model %.3f mm.",
		         bore * 1e3, main->ideal * 1e3);
	else
		page_say(
		    a->page,
		    "The rule of thumb, jet area with the square root of the air's density, would say %.3f mm; it does not "
		    "hold here: %s.",
		    bore * 1e3, rule->reason == JW_RULE_SLIDE_FLOATS ? floating_words(a).text : reasons[rule->reason]);
}

void rejet_print_fit(const rejet_asked *a)
{
	if (!fits(a))
		return;
	page_gap(a->page);
	page_heading(a->page, "What to fit%s%s:", a->jets_word ? " out of " : " (any bore; --jets names those at hand)",
	             a->jets_word ? a->jets_word : "");
	print_parts(a);
	print_hardly(a);
	print_conventions(a);
	page_gap(a->page);
	print_mixtures(a);
	print_choice_danger(a);
	print_out_of_reach(a);
	print_torn(a);
	print_rule(a);
}

/* ---- in which order ---- */

/* phi at a range with the choice but one part. */
static double phi_with(const rejet_asked *a, jw_part part, double value, jw_range range)
{
	jw_setup setup = a->answer.setup;
	jw_mixture m = {0};
	for (int i = 0; i < REJET_PARTS; i++)
		if (piece_of(a, rejet_order[i])->sought)
			jw_part_set(&setup, rejet_order[i], piece_of(a, rejet_order[i])->chosen, NULL);
	jw_part_set(&setup, part, value, NULL);
	jw_mixture_at(&setup, &a->answer.air, &setup.range[range], &m, NULL);
	return m.phi;
}

static void print_trial(const rejet_asked *a, jw_part part, double value, int place)
{
	const jw_range range = jw_rejet_tells(part);
	const double lambda = lambda_of(phi_with(a, part, value, range)), u = a->answer.choice.relative_after[range];
	page_under(a->page, "%s: lambda %s, 90 %% interval %s", rejet_place_words(a, part, value, place).text,
	           lambda_text(lambda).text, lambda_interval_about(lambda, u).text);
}

/* Every jet or groove from where trials begin to the choice. */
static void print_ladder(const rejet_asked *a, jw_part part)
{
	const jw_rejet_piece *p = piece_of(a, part);
	const jw_grooves *g = &a->request.grooves;
	int count;
	const jw_jet *jets = rejet_jets_of(a, part, &count);
	count = jets ? count : g->count;
	if (p->start > p->chosen)
		print_trial(a, part, p->start, p->start_place);
	for (int k = count - 1; k >= 0; k--) {
		const double value = jets ? jets[k].bore_m : p->was + (k + 1 - g->now) * g->pitch_m;
		if (value > p->chosen + 1e-7 && value < p->start - 1e-7)
			print_trial(a, part, value, jets ? k : k + 1);
	}
	print_trial(a, part, p->chosen, p->place);
}

static const char *const confirm[JW_PART_COUNT] = {
    [JW_PART_MAIN_JET] =
        "Warm engine, full throttle under load: a steady reading of lambda, or the plug after the engine is "
        "cut from full throttle and rolls out.",
    [JW_PART_NEEDLE_POSITION] =
        "Half and quarter throttle held: a steady reading, and a clean answer when it is opened from "
        "there.",
    [JW_PART_PILOT_JET] = "Just off idle: a steady reading, and no stumble when it is opened from idle.",
    [JW_PART_MIXTURE_SCREW] =
        "Idle: a steady reading, or the setting at which it idles fastest, then an eighth of a turn to the "
        "rich side. Set the idle speed again."};

/* The choice is leaner than what is wanted, by more than is tolerated, where a part tells. */
static int is_left_lean(const jw_rejet_choice *c, jw_part part)
{
	const jw_range range = jw_rejet_tells(part);
	return log(c->target[range] / c->phi[range]) > jw_rejet_tolerance(range);
}

/* No trials lead to what is wanted where it tells. */
static int is_lean_for_good(const rejet_asked *a, jw_part part)
{
	return jw_rejet_tells(part) != JW_FULL && is_left_lean(&a->answer.choice, part);
}

static void print_step(const rejet_asked *a, int number, jw_part part)
{
	const jw_rejet_piece *p = piece_of(a, part);
	const jw_range range = jw_rejet_tells(part);
	const int trials = p->start > p->chosen + 1e-9;
	if (part == JW_PART_MIXTURE_SCREW) { /* turned by ear */
		page_step(a->page, number, moves(a, part) ? "Mixture screw to %s. %s" : "Mixture screw at %s, as it is. %s",
		          rejet_value_words(a, part, p->chosen).text, confirm[part]);
		return;
	}
	const char *fitted = moves(a, part) ? "as it is to be" : "as it is";
	page_step(a->page, number, "%s, %s. %s", rejet_capital(rejet_part_word(part)).text,
	          trials ? "from rich to lean" : fitted, confirm[part]);
	print_ladder(a, part);
	if (is_lean_for_good(a, part))
		page_under(a->page,
		           "Lambda %s, which is wanted there, is not reached: this is lean for the sake of other ranges, or "
		           "nothing richer is at hand.",
		           lambda_text(lambda_of(a->answer.choice.target[range])).text);
	else if (!p->start_covers && any_bore(a, part) && part == JW_PART_MAIN_JET)
		page_under(
		    a->page,
		    "No main jet begins as far on the rich side as the doubt of %.0f %% asks for: from %s on the needle jet "
		    "meters more than the main jet. Watch the first trial.",
		    100 * SIGMAS_90 * a->answer.choice.relative_change[range], rejet_value_words(a, part, p->start).text);
	else if (!p->start_covers && !any_bore(a, part))
		page_under(
		    a->page,
		    "Nothing at hand begins as far on the rich side as the doubt of %.0f %% asks for: watch the first trial.",
		    100 * SIGMAS_90 * a->answer.choice.relative_change[range]);
	if (trials)
		page_under(
		    a->page,
		    "Stop at the first that reads lambda %s or a little below; go no further than the last of these without "
		    "a reading.",
		    lambda_text(lambda_of(a->answer.choice.target[range])).text);
}

int rejet_waits(const jw_rejet_choice *c, jw_part part)
{
	return !c->safe && part != JW_PART_MAIN_JET && is_left_lean(c, part);
}

static int is_tried(const rejet_asked *a, jw_part part)
{
	if (!piece_of(a, part)->sought || (part == JW_PART_NEEDLE_POSITION && a->request.grooves.count <= 1))
		return 0;
	return part == JW_PART_MAIN_JET ? a->answer.choice.safe : !rejet_waits(&a->answer.choice, part);
}

/* " Trials of needle clip and pilot jet wait for it: until then half is 33 % lean, off idle is 39 % lean." */
static void waiting_words(const rejet_asked *a, char *text, size_t size)
{
	const jw_rejet_choice *c = &a->answer.choice;
	char parts[96] = "", lean[96] = "";
	int count = 0;
	*text = '\0';
	for (int i = 0; i < REJET_PARTS; i++) {
		const jw_part part = rejet_order[i];
		const jw_range range = jw_rejet_tells(part);
		if (!piece_of(a, part)->sought || !rejet_waits(c, part))
			continue;
		const size_t named = strlen(parts), told = strlen(lean);
		snprintf(parts + named, sizeof parts - named, "%s%s", count ? " and " : "", rejet_part_word(part));
		snprintf(lean + told, sizeof lean - told, "%s%s is %.0f %% lean", count ? ", " : "", range_text_of(range).text,
		         100 * (c->target[range] / c->phi[range] - 1));
		count++;
	}
	if (count)
		snprintf(text, size, " Trials of %s wait for it: until then %s.", parts, lean);
}

static void print_last_step(const rejet_asked *a, int number)
{
	char waiting[256];
	if (a->answer.choice.safe) {
		page_step(a->page, number, "%s", "Full throttle once more: every circuit below feeds it a little.");
		return;
	}
	if (no_main_jet_does(a)) {
		page_step(a->page, number, "%s", "Full throttle when needle jet, nozzle or throat are others: ask again then.");
		return;
	}
	waiting_words(a, waiting, sizeof waiting);
	page_step(a->page, number,
	          "%s when a larger main jet is there, about %s: ask again with it among the jets at hand.%s",
	          lowest_danger(a) == JW_FULL ? "Full throttle" : "Three quarters and full throttle",
	          rejet_value_words(a, JW_PART_MAIN_JET, piece_of(a, JW_PART_MAIN_JET)->ideal).text, waiting);
}

/* From where trials of full throttle begin. */
static void say_beginning(const rejet_asked *a)
{
	const double within = 100 * SIGMAS_90 * a->answer.choice.relative_change[JW_FULL];
	const char *of = a->request.readings || a->request.target_lambda[JW_FULL] > 0
	                     ? "Lambda itself at full throttle"
	                     : "The change of lambda at full throttle";
	if (!a->answer.choice.safe)
		page_say(a->page, "What follows stays with the largest main jet at hand, and below %s.",
		         rejet_wide_open(lowest_danger(a)));
	else if (piece_of(a, JW_PART_MAIN_JET)->start_covers)
		page_say(a->page, "%s is foretold within %.1f %% (nine in ten), so trials begin that much on the rich side%s.",
		         of, within, any_bore(a, JW_PART_MAIN_JET) ? ": choose from jets at hand with --jets" : "");
}

void rejet_print_order(const rejet_asked *a)
{
	int number = 1;
	if (!fits(a))
		return;
	page_gap(a->page);
	page_heading(a->page, "In which order:");
	say_beginning(a);
	for (int i = 0; i < REJET_PARTS; i++)
		if (is_tried(a, rejet_order[i]))
			print_step(a, number++, rejet_order[i]);
	print_last_step(a, number);
	if (!a->request.readings)
		page_say(a->page, "What the first trials read, given with --readings and the jets then in it (--main-jet and "
		                  "so on), narrows all of this.");
	page_gap(a->page);
	page_caution(
	    a->page,
	    "Lean at full throttle destroys engines. End a trial at the first pinking, fading power or rattle. "
	    "Plugs and exhaust are hot; petrol spills when the bowl is opened: engine cold, no flame near. An engine "
	    "certified for its emissions may have to stay as it was certified.");
}

/* ---- readings ---- */

void rejet_print_readings(const rejet_asked *a)
{
	if (!a->request.readings)
		return;
	page_gap(a->page);
	page_heading(a->page, "With the readings:");
	cli_table table = {0};
	table_heading(&table, (const char *const[]){"lambda", "foretold", "now", "doubt before", "after"}, 5);
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		const jw_rejet_range *r = &a->answer.range[i];
		table_cell(&table, "%s", range_text_of(i).text);
		table_cell(&table, "%s", lambda_text(lambda_of(r->after.phi * exp(-r->by_readings))).text);
		table_cell(&table, "%s", lambda_text(lambda_of(r->after.phi)).text);
		table_cell(&table, "%.1f %%", 100 * r->relative_foretold);
		table_cell(&table, "%.1f %%", 100 * r->relative_after);
		table_row_end(&table);
	}
	page_table(a->page, &table);
	page_say(a->page, "With the jets now in it; doubt is one standard uncertainty.");
	rejet_say_disagreement(a);
}

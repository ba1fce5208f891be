/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rejet in sentences and rows. */
#include "ambient.h"
#include "rejet.h"
#include "show.h"
#include <math.h>
#include <string.h>

/* Of ln(phi): less is told as nothing. */
#define LEAST 0.002
/* Of air and fuel in percent: what would be told as 0. */
#define TOLD_PERCENT 0.05

static const char *const becomes[JW_REJET_VERDICT_COUNT] = {
    [JW_REJET_RUNS] = "runs",
    [JW_REJET_RICH_ROUGH] = "rough, too rich",
    [JW_REJET_RICH_MISFIRES] = "misfires, far too rich",
    [JW_REJET_LEAN_ROUGH] = "rough, too lean",
    [JW_REJET_LEAN_MISFIRES] = "misfires, far too lean",
    [JW_REJET_DANGEROUS] = "DANGEROUSLY LEAN",
};

static double percent(double ln_ratio)
{
	return 100 * (exp(ln_ratio) - 1);
}

/* "3.1 % leaner" of a change of ln(phi) */
static rejet_words leaner_words(double lnphi)
{
	rejet_words w;
	const double off = percent(-lnphi);
	if (fabs(lnphi) < LEAST)
		snprintf(w.text, sizeof w.text, "no change");
	else
		snprintf(w.text, sizeof w.text, "%s %% %s", significant(fabs(off), 2).text, off > 0 ? "leaner" : "richer");
	return w;
}

/* ---- what was asked ---- */

const char *rejet_wide_open(int range)
{
	return range == JW_FULL ? "full throttle" : "three quarters throttle";
}

void rejet_say_targets(const rejet_asked *a)
{
	for (int r = JW_FULL; r >= JW_THREE_QUARTER; r--)
		if (a->request.target_lambda[r] > jw_rejet_danger_lambda((jw_range)r))
			page_say(a->page, "Danger: the lambda wanted at %s, %s, lies above %.2f, where heat destroys engines.",
			         rejet_wide_open(r), lambda_text(a->request.target_lambda[r]).text,
			         jw_rejet_danger_lambda((jw_range)r));
}

void rejet_print_question(const rejet_asked *a)
{
	const jw_carburetor *c = &a->request.setup->carburetor;
	page_say(a->page, "%s on %s. It %s in %s, on a main jet of %.4g mm and a pilot jet of %.4g mm.",
	         jw_profile_name(a->profile), jw_profile_fuel(a->profile),
	         a->request.anchored ? "ran right" : "is taken to have run right", air_text(&a->was).text,
	         c->main.fuel_jet.diameter_m * 1e3, c->pilot.fuel_jet.diameter_m * 1e3);
	if (!a->request.anchored)
		page_say(a->page, "Its profile has no baseline: nobody measured it so, lambda before is computed only.");
	rejet_say_targets(a);
	if (!a->request.changes) {
		page_say(a->page, "Nothing is said to have changed.");
		return;
	}
	page_say(a->page, "Changed:");
	for (int i = 0; i < a->request.changes; i++)
		page_item(a->page, 4, "%s", rejet_change_words(a, &a->change[i]).text);
}

/* ---- what happens ---- */

static void print_ranges(const rejet_asked *a)
{
	cli_table table = {.left = 1u << 5};
	table_heading(&table, (const char *const[]){"", "lambda before", "after", "90 % interval", "change", "it then"}, 6);
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		const jw_rejet_range *r = &a->answer.range[i];
		const double change = log(fmax(r->after.phi, 1e-3)) - log(fmax(r->before.phi, 1e-3));
		table_cell(&table, "%s", range_text_of(i).text);
		table_cell(&table, "%s", lambda_text(lambda_of(r->before.phi)).text);
		table_cell(&table, "%s", lambda_text(lambda_of(r->after.phi)).text);
		table_cell(&table, "%s", lambda_interval_about(lambda_of(r->after.phi), r->relative_after).text);
		table_cell(&table, "%s", leaner_words(change).text);
		table_cell(&table, "%s",
		           r->becomes == JW_REJET_DANGEROUS && r->danger < 0.5 ? "perhaps dangerously lean"
		                                                               : becomes[r->becomes]);
		table_row_end(&table);
	}
	page_table(a->page, &table);
}

void rejet_print_danger(const rejet_asked *a)
{
	for (int i = JW_FULL; i >= JW_THREE_QUARTER; i--) {
		const jw_rejet_range *r = &a->answer.range[i];
		if (r->becomes != JW_REJET_DANGEROUS)
			continue;
		page_say(a->page,
		         "Danger: at %s lambda goes from %s to %s, and may lie above %.2f, where heat destroys engines "
		         "(probability %.2f). Do not run it there%s before richer jets are in.",
		         rejet_wide_open(i), lambda_text(lambda_of(r->before.phi)).text,
		         lambda_text(lambda_of(r->after.phi)).text, jw_rejet_danger_lambda((jw_range)i), r->danger,
		         i == JW_FULL && a->answer.range[JW_THREE_QUARTER].becomes == JW_REJET_DANGEROUS
		             ? ", nor at three quarters,"
		             : "");
		return;
	}
	page_say(a->page, "%s",
	         a->answer.range[JW_THREE_QUARTER].danger < JW_REJET_DANGER &&
	                 a->answer.range[JW_FULL].danger < JW_REJET_DANGER
	             ? "Three quarters and full throttle stay out of danger."
	             : "Three quarters and full throttle grow no leaner than they ran; how lean that was is not surely "
	               "known: read lambda there before it is held open.");
}

/* "goes from 0.89 to 0.94, leaner although the air is thinner", "stays at 0.87" */
static rejet_words going(const rejet_asked *a, const jw_rejet_range *r)
{
	rejet_words w;
	const double before = lambda_of(r->before.phi), after = lambda_of(r->after.phi),
	             denser = a->answer.air.density_kg_m3 - a->was.density_kg_m3;
	const char *although = denser < 0 ? " although the air is thinner" : " although the air is denser";
	const number_text from = lambda_text(before), to = lambda_text(after);
	if (strcmp(from.text, to.text) == 0)
		snprintf(w.text, sizeof w.text, "stays at %s", from.text);
	else
		snprintf(w.text, sizeof w.text, "goes from %s to %s, %s%s", from.text, to.text,
		         after > before ? "leaner" : "richer", (after - before) * denser < 0 ? although : "");
	return w;
}

/* Where it leaves its stop, lambda need not go the way that the air alone would have it. */
void rejet_print_slide(const rejet_asked *a)
{
	const jw_rejet_range *full = &a->answer.range[JW_FULL];
	const jw_rejet_rule *rule = &a->answer.rule;
	if (rule->stop_before == rule->stop_after || a->other)
		return;
	page_say(
	    a->page,
	    "At full throttle the slide %s its upper stop, %.1f mm up before and %.1f mm after, and its needle %s more "
	    "of the needle jet: lambda there %s.",
	    rule->stop_before ? "leaves" : "comes up to", full->before.path.lift_m * 1e3, full->after.path.lift_m * 1e3,
	    rule->stop_before ? "closes" : "opens", going(a, full).text);
}

static void print_happens(const rejet_asked *a)
{
	page_gap(a->page);
	page_heading(a->page, "With nothing else changed:");
	print_ranges(a);
	page_say(a->page, "Lambda above 1 is lean, below 1 rich; its interval holds the doubt of what it was, too. "
	                  "Rough: hunts, stumbles or lacks power.");
	rejet_print_danger(a);
	rejet_print_slide(a);
	rejet_print_warnings(a);
}

/* ---- why ---- */

static void print_share_table(const rejet_asked *a)
{
	cli_table table = {0};
	table_cell(&table, "%s", "");
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		table_cell(&table, "%s", range_text_of(r).text);
	table_row_end(&table);
	for (int i = 0; i <= a->request.changes; i++) {
		const int all = i == a->request.changes;
		table_cell(&table, "%s", all ? "all together" : rejet_kind_word(a->change[i].kind));
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			double sum = 0;
			for (int k = 0; k < a->request.changes; k++)
				sum += all || k == i ? a->answer.share[r].of[JW_REJET_LNPHI][k] : 0;
			table_cell(&table, "%+.1f", percent(-sum));
		}
		table_row_end(&table);
	}
	page_table(a->page, &table);
}

typedef struct effects {
	double phi, air, fuel, pull; /* shares at full throttle; the pull of what it was */
} effects;

static effects effects_of(const rejet_asked *a, int change)
{
	const jw_rejet_share *s = &a->answer.share[JW_FULL];
	return (effects){s->of[JW_REJET_LNPHI][change], s->of[JW_REJET_LNAIR][change], s->of[JW_REJET_LNFUEL][change],
	                 s->of[JW_REJET_PULL][change] / a->answer.range[JW_FULL].before.flow.depression_pa};
}

/* "draws 4.2 % more air" */
static rejet_words more_words(double ln_ratio)
{
	rejet_words w;
	const double off = percent(ln_ratio);
	if (fabs(off) < TOLD_PERCENT)
		snprintf(w.text, sizeof w.text, "no more");
	else
		snprintf(w.text, sizeof w.text, "%s %% %s", significant(fabs(off), 2).text, off < 0 ? "less" : "more");
	return w;
}

/* By what full throttle forgives. */
static int corrects(const effects *e)
{
	return fabs(e->phi) < jw_rejet_tolerance(JW_FULL);
}

/* "34 % less pull": in words of more pull, or of none. */
static rejet_words pull_told(const effects *e, const char *none, const char *more, const char *what)
{
	rejet_words w;
	const double off = 100 * e->pull;
	if (fabs(off) < 0.5)
		snprintf(w.text, sizeof w.text, "%s", none);
	else
		snprintf(w.text, sizeof w.text, "%.0f %% %s%s", fabs(off), off < 0 ? "less" : more, what);
	return w;
}

/* "34 % less pull", "as much pull" */
static rejet_words pull_words(const effects *e)
{
	return pull_told(e, "as much pull", "more", " pull");
}

/* "26 % harder", "as hard as before" */
static rejet_words harder_words(const effects *e)
{
	return pull_told(e, "as hard as before", "harder", "");
}

static int is_nothing(double ln_ratio)
{
	return fabs(percent(ln_ratio)) < TOLD_PERCENT;
}

/* How far fuel follows the air that the engine draws. */
static const char *following(const effects *e)
{
	if (corrects(e))
		return "So it corrects itself.";
	if (e->phi * e->air > 0)
		return "So it more than corrects itself.";
	return fabs(e->phi) < fabs(e->air) ? "Only part of it corrects itself." : "None of it corrects itself.";
}

static void why_draw(const rejet_asked *a, const char *word, const effects *e)
{
	if (is_nothing(e->air) && is_nothing(e->fuel))
		page_item(a->page, 4, "%s: at full throttle the engine draws as much air as before, and as much fuel.", word);
	else
		page_item(a->page, 4,
		          "%s: the engine draws %s air at full throttle; that pulls %s on the main jet, which then gives %s "
		          "fuel. %s",
		          word, more_words(e->air).text, harder_words(e).text, more_words(e->fuel).text, following(e));
}

static void why_filling(const rejet_asked *a, const char *word, const effects *e)
{
	why_draw(a, word, e);
	page_under(a->page, "Common practice fits a main jet a size larger for a freer exhaust or a hotter camshaft all "
	                    "the same: what their pulses do at the nozzle is left out here.");
}

/* What the pull on the main jet does, when air hardly changes. */
static void why_pull(const rejet_asked *a, const char *word, const effects *e, const char *cause, const char *verdict)
{
	page_item(a->page, 4, "%s: %s: %s pull on the main jet at full throttle, with %s air. %s", word, cause,
	          more_words(log1p(fmax(e->pull, -0.999))).text, more_words(e->air).text, verdict);
}

static const char uncorrected[] = "That does not correct itself: the bowl vent sees another pressure than the throat.";

/* Which air the bowl breathes decides; where that changed too, the filter's share is the mean of both. */
static void why_filter(const rejet_asked *a, const char *word, const effects *e)
{
	const int outside = a->answer.setup.carburetor.bowl.vent == JW_VENT_ATMOSPHERE,
	          was_outside = a->request.setup->carburetor.bowl.vent == JW_VENT_ATMOSPHERE;
	const char *verdict = outside || was_outside ? uncorrected : "That does not correct itself.";
	const char *cause =
	    outside ? "the bowl breathes the air outside, the nozzle the air behind the filter, so that the filter's loss "
	              "counts as pull"
	    : was_outside ? "as long as the bowl breathed the air outside, the filter's loss counted as pull; behind the "
	                    "filter it counts little"
	                  : "bowl and nozzle both breathe the air behind the filter, so that its loss counts little";
	why_pull(a, word, e, cause, corrects(e) ? "So it nearly corrects itself." : verdict);
}

static void why_vent(const rejet_asked *a, const char *word, const effects *e)
{
	why_pull(
	    a, word, e,
	    a->answer.setup.carburetor.bowl.vent == JW_VENT_ATMOSPHERE
	        ? "the bowl now breathes the air outside, so that the filter's loss adds to the pull"
	        : "the bowl now breathes the air behind the filter, so that the filter's loss no longer adds to the pull",
	    uncorrected);
}

/* By the root of the density within a fifth of the way, or by what else decides. */
static const char *metering(const rejet_asked *a, const effects *e)
{
	const double share = e->fuel / e->air;
	if (share > 0.3 && share < 0.7)
		return "but what a jet meters goes with about the root of the density";
	return a->answer.setup.carburetor.kind == JW_CONSTANT_DEPRESSION
	           ? "what the jet meters does not go with the root of the density, since the slide finds another height"
	           : "what the jet meters does not go with the root of the density, since fuel must be lifted and bled";
}

static void why_thin(const rejet_asked *a, const char *word, const effects *e, double density)
{
	page_item(a->page, 4,
	          "%s: the air is %.1f %% %s by it, and the engine burns %s of it by weight at full throttle; %s: %s fuel.",
	          word, fabs(percent(log(density))), density < 1 ? "thinner" : "denser", more_words(e->air).text,
	          metering(a, e), more_words(e->fuel).text);
}

static void why_pressure(const rejet_asked *a, const char *word, const effects *e)
{
	why_thin(a, word, e, a->answer.air.pressure_pa / a->was.pressure_pa);
}

static void why_temperature(const rejet_asked *a, const char *word, const effects *e)
{
	why_thin(a, word, e, a->was.temperature_k / a->answer.air.temperature_k);
}

static void why_damp(const rejet_asked *a, const char *word, const effects *e)
{
	(void)e;
	page_item(a->page, 4, "%s: vapour takes the place of air that burns; the jets meter on both.", word);
}

static void why_fuel(const rejet_asked *a, const char *word, const effects *e)
{
	jw_fuel_state was, is;
	const jw_setup *before = a->request.setup, *after = &a->answer.setup;
	jw_fuel_at(&before->fuel, a->was.temperature_k + before->bowl_heating_k, &was, NULL);
	jw_fuel_at(&after->fuel, a->answer.air.temperature_k + after->bowl_heating_k, &is, NULL);
	const double needs = log(was.stoichiometric_afr / is.stoichiometric_afr);
	if (is_nothing(needs))
		page_item(
		    a->page, 4,
		    "%s: burning it takes as much air as before, %.2f kg a kg; the jets, by its density and thickness, pass "
		    "%s fuel at full throttle.",
		    word, is.stoichiometric_afr, more_words(e->fuel).text);
	else
		page_item(
		    a->page, 4,
		    "%s: burning it takes %.2f kg of air a kg in place of %.2f, so that the engine needs %s fuel; the jets, "
		    "by its density and thickness, pass %s at full throttle.",
		    word, is.stoichiometric_afr, was.stoichiometric_afr, more_words(needs).text, more_words(e->fuel).text);
}

static void why_throat(const rejet_asked *a, const char *word, const effects *e)
{
	page_item(a->page, 4,
	          "%s: the air passes it %s: %s on the main jet at full throttle, with %s air and %s fuel. That does not "
	          "correct itself.",
	          word, e->pull < 0 ? "slower" : "faster", pull_words(e).text, more_words(e->air).text,
	          more_words(e->fuel).text);
}

static void why_other(const rejet_asked *a, const char *word, const effects *e)
{
	page_item(a->page, 4, "%s: %s air and %s fuel at full throttle, by %s on the main jet.", word,
	          more_words(e->air).text, more_words(e->fuel).text, pull_words(e).text);
}

static void why_brass(const rejet_asked *a, const char *word, const effects *e)
{
	page_item(a->page, 4, "%s: %s fuel at full throttle.", word, more_words(e->fuel).text);
}

static void (*const why[JW_REJET_KIND_COUNT])(const rejet_asked *a, const char *word, const effects *e) = {
    [JW_REJET_CARBURETOR] = why_other, [JW_REJET_THROAT] = why_throat,     [JW_REJET_BORE] = why_draw,
    [JW_REJET_STROKE] = why_draw,      [JW_REJET_CYLINDERS] = why_draw,    [JW_REJET_COMPRESSION] = why_draw,
    [JW_REJET_FILLING] = why_filling,  [JW_REJET_FILTER] = why_filter,     [JW_REJET_VENT] = why_vent,
    [JW_REJET_REFERENCE] = why_other,  [JW_REJET_BRASS] = why_brass,       [JW_REJET_FUEL] = why_fuel,
    [JW_REJET_PREMIX] = why_fuel,      [JW_REJET_PRESSURE] = why_pressure, [JW_REJET_TEMPERATURE] = why_temperature,
    [JW_REJET_HUMIDITY] = why_damp,
};

void rejet_print_shares(const rejet_asked *a)
{
	if (!a->request.changes)
		return;
	page_gap(a->page);
	page_heading(a->page, "What each change does to lambda, in percent (+ leaner, - richer):");
	print_share_table(a);
	if (a->request.changes > 1)
		page_say(a->page,
		         "Each is its mean over every order of making the changes; as factors of lambda they multiply to all "
		         "together.");
}

void rejet_print_why(const rejet_asked *a)
{
	if (!a->request.changes)
		return;
	page_gap(a->page);
	page_heading(a->page, "Why:");
	for (int i = 0; i < a->request.changes; i++) {
		const effects e = effects_of(a, i);
		why[a->change[i].kind](a, rejet_capital(rejet_kind_word(a->change[i].kind)).text, &e);
	}
}

void rejet_text(const rejet_asked *asked)
{
	rejet_print_question(asked);
	page_gap(asked->page);
	rejet_print_finding(asked);
	print_happens(asked);
	rejet_print_shares(asked);
	rejet_print_why(asked);
	rejet_print_readings(asked);
	rejet_print_fit(asked);
	rejet_print_order(asked);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* snap: lambda after the throttle moves, sound and with one passage partly blocked. */
#include "ambient.h"
#include "commands.h"
#include "files.h"
#include "show.h"
#include <math.h>
#include <stddef.h>
#include <string.h>

static const cli_option snap_options[] = {
    {"speed", OPTION_QUANTITY, JW_SPEED, 1, 500, "1400rpm", "engine speed, held; that of off idle unless given"},
    {"from", OPTION_QUANTITY, JW_FRACTION, 0, 1, "0%", "throttle before, 0 at the idle stop unless given"},
    {"to", OPTION_QUANTITY, JW_FRACTION, 0, 1, "100%", "throttle after, wide open unless given"},
    {"in", OPTION_QUANTITY, JW_TIME, 0, 10, "0.1s", "time that the throttle takes, 0.1 s unless given"},
    {"walls", OPTION_QUANTITY, JW_TEMPERATURE, 223.15, 423.15, "70C",
     "temperature of the inlet's walls, 70 C (engine warm) unless given"},
    {"enrichener", OPTION_QUANTITY, JW_FRACTION, 0, 1, "100%", "how far the enrichener is open; shut unless given"},
    {"blocked", OPTION_QUANTITY, JW_FRACTION, 0, 1, "60%", "with PART: this share of its area is shut"},
    {"csv", OPTION_FLAG, 0, 0, 0, NULL, "write every instant as comma-separated values instead of text"},
    {0},
};

/* Long enough for a film to settle, short enough for the pump's shot. */
#define STEP_S 0.01
enum { INSTANTS = 401 };
static const double shown_s[] = {0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 0.8, 1, 1.5, 2, 3, 4};
enum { SHOWN = sizeof shown_s / sizeof *shown_s };

/* One set-up, followed. */
typedef struct followed {
	jw_instant instant[INSTANTS];
	jw_stumble stumble;
	double steady_phi; /* where the throttle comes to rest */
	double relative;   /* standard uncertainty of the leanest phi, from the film alone */
} followed;

typedef struct snapped {
	const jw_profile *profile;
	const jw_passage_info *part; /* NULL: none blocked */
	jw_setup blocked;
	double share; /* of its area */
	jw_air air;
	jw_snap snap;
	jw_range range; /* where the throttle comes to rest */
	followed sound, restricted;
	jw_status status;
} snapped;

static jw_status follow(const snapped *s, const jw_setup *setup, followed *f, jw_error *error)
{
	jw_status status = jw_snap_follow(setup, &s->air, &s->snap, f->instant, INSTANTS, error);
	if (status >= 0)
		f->stumble = jw_snap_stumble(f->instant, INSTANTS, 1 / jw_lean_limit(s->range));
	return status;
}

/* ln of the leanest phi with the film's shares or its times changed. */
static jw_status leanest_with(const snapped *s, const jw_setup *setup, double shares, double times, double *lnphi,
                              jw_error *error)
{
	followed f;
	jw_setup changed = *setup;
	changed.film.cold_share = fmin(changed.film.cold_share * shares, 0.95);
	changed.film.warm_share = fmin(changed.film.warm_share * shares, 0.95);
	changed.film.cold_s *= times;
	changed.film.warm_s *= times;
	jw_status status = follow(s, &changed, &f, error);
	if (status >= 0)
		*lnphi = f.stumble.leanest_phi > 0 ? log(f.stumble.leanest_phi) : 0;
	return status;
}

/* First order, by differences as wide as the uncertainty itself. */
static jw_status uncertain(const snapped *s, const jw_setup *setup, followed *f, jw_error *error)
{
	const double u = fmin(setup->film.uncertainty, 0.9);
	const double change[2][2] = {{1 + u, 1 - u}, {1, 1}};
	double variance = 0;
	for (int i = 0; i < 2; i++) {
		double more, less;
		jw_status status = leanest_with(s, setup, change[i][0], change[1 - i][0], &more, error);
		if (status >= 0)
			status = leanest_with(s, setup, change[i][1], change[1 - i][1], &less, error);
		if (status < 0)
			return status;
		variance += (more - less) * (more - less) / 4;
	}
	f->relative = sqrt(variance);
	return JW_OK;
}

static jw_status rest(const snapped *s, const jw_setup *setup, followed *f, jw_error *error)
{
	const jw_point end = {s->snap.speed_rev_s, s->snap.to, s->snap.enrichener};
	jw_mixture steady;
	jw_status status = jw_mixture_at(setup, &s->air, &end, &steady, error);
	if (status >= 0)
		f->steady_phi = steady.phi;
	return status;
}

/* All that is told of one set-up. */
static jw_status tell(const snapped *s, const jw_setup *setup, followed *f, jw_error *error)
{
	jw_status status = follow(s, setup, f, error);
	jw_status resting = status < 0 ? status : rest(s, setup, f, error);
	jw_status spread = resting < 0 ? resting : uncertain(s, setup, f, error);
	return spread < 0 ? spread : status;
}

static jw_status solve(snapped *s, jw_error *error)
{
	jw_status status = tell(s, jw_profile_setup(s->profile), &s->sound, error);
	if (status < 0 || !s->part)
		return status;
	jw_status second = tell(s, &s->blocked, &s->restricted, error);
	return second < 0 ? second : status | second;
}

/* ---- output ---- */

static const jw_instant *at_time(const followed *f, double time_s)
{
	return &f->instant[(int)lround(time_s / STEP_S)];
}

static int stays_lean(const snapped *s, const followed *f)
{
	return f->instant[INSTANTS - 1].phi < 1 / jw_lean_limit(s->range);
}

static void json_followed(cli_json *json, const char *key, const snapped *s, const followed *f)
{
	const double lambda = lambda_of(f->stumble.leanest_phi);
	json_object(json, key);
	json_number_or_null(json, "leanest_lambda", lambda);
	json_number_or_null(json, "leanest_lambda_low_90", lambda * exp(-SIGMAS_90 * f->relative));
	json_number_or_null(json, "leanest_lambda_high_90", lambda * exp(SIGMAS_90 * f->relative));
	json_number(json, "leanest_s", f->stumble.leanest_s);
	json_number(json, "beyond_limit_s", f->stumble.lean_s);
	json_flag(json, "stays_beyond_limit", stays_lean(s, f));
	json_number_or_null(json, "steady_lambda_after", lambda_of(f->steady_phi));
	json_array(json, "instants");
	for (int i = 0; i < INSTANTS; i++) {
		const jw_instant *at = &f->instant[i];
		json_object(json, NULL);
		json_number(json, "time_s", at->time_s);
		json_number(json, "throttle", at->throttle);
		json_number_or_null(json, "lambda", lambda_of(at->phi));
		json_number(json, "dry_air_kg_s", at->dry_air_kg_s);
		json_number(json, "metered_fuel_kg_s", at->metered_kg_s);
		json_number(json, "pump_fuel_kg_s", at->pump_kg_s);
		json_number(json, "wall_fuel_kg_s", at->from_film_kg_s);
		json_number(json, "cylinder_fuel_kg_s", at->cylinder_kg_s);
		json_object_end(json);
	}
	json_array_end(json);
	json_object_end(json);
}

static void print_json(const snapped *s)
{
	const jw_wall wall = jw_film_at(&jw_profile_setup(s->profile)->film, s->snap.wall_k);
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(s->profile));
	json_text(&json, "fuel", jw_profile_fuel(s->profile));
	json_air(&json, "air", &s->air);
	json_number(&json, "speed_rpm", s->snap.speed_rev_s * 60);
	json_number(&json, "from_throttle", s->snap.from);
	json_number(&json, "to_throttle", s->snap.to);
	json_number(&json, "opening_s", s->snap.opening_s);
	json_number(&json, "wall_share", wall.share);
	json_number(&json, "wall_time_s", wall.constant_s);
	json_number(&json, "lean_limit_lambda", jw_lean_limit(s->range));
	json_followed(&json, "sound", s, &s->sound);
	if (s->part) {
		json_text(&json, "part", s->part->id);
		json_number(&json, "blocked_area", s->share);
		json_followed(&json, "restricted", s, &s->restricted);
	}
	json_warnings(&json, s->status);
	json_end(&json);
}

static void csv_rows(const char *which, const followed *f)
{
	for (int i = 0; i < INSTANTS; i++) {
		const jw_instant *at = &f->instant[i];
		printf("%s,%.2f,%.4f,%.6f,%.9g,%.9g,%.9g,%.9g\n", which, at->time_s, at->throttle, at->phi, at->dry_air_kg_s,
		       at->metered_kg_s, at->pump_kg_s, at->from_film_kg_s);
	}
}

static void print_csv(const snapped *s)
{
	printf("engine,time_s,throttle,phi,dry_air_kg_s,metered_fuel_kg_s,pump_fuel_kg_s,wall_fuel_kg_s\n");
	csv_rows("sound", &s->sound);
	if (s->part)
		csv_rows("restricted", &s->restricted);
}

static void flow_cell(cli_table *table, double kg_s)
{
	table_cell(table, "%.0f", kg_s * 1e6);
}

static void print_instants(const snapped *s)
{
	static const char *const words[] = {"s", "throttle", "lambda", "jets mg/s", "pump mg/s", "off walls mg/s"};
	const int pumped = jw_profile_setup(s->profile)->carburetor.pump.shot_m3 > 0;
	cli_table table = {0};
	for (int i = 0; i < 6; i++) {
		if (i != 4 || pumped)
			table_cell(&table, "%s", words[i]);
		if (i == 2 && s->part)
			table_cell(&table, "restricted");
	}
	table_row_end(&table);
	for (int i = 0; i < SHOWN; i++) {
		const jw_instant *at = at_time(&s->sound, shown_s[i]);
		table_cell(&table, "%.2f", at->time_s);
		table_cell(&table, "%.0f %%", 100 * at->throttle);
		table_cell(&table, "%s", lambda_text(lambda_of(at->phi)).text);
		if (s->part)
			table_cell(&table, "%s", lambda_text(lambda_of(at_time(&s->restricted, shown_s[i])->phi)).text);
		flow_cell(&table, at->metered_kg_s);
		if (pumped)
			flow_cell(&table, at->pump_kg_s);
		flow_cell(&table, at->from_film_kg_s);
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

/* The richest instant of a throttle that closes. */
static void print_richest(const char *who, const followed *f)
{
	const jw_instant *richest = f->instant;
	for (int i = 1; i < INSTANTS; i++)
		richest = f->instant[i].phi > richest->phi ? &f->instant[i] : richest;
	text_wrap(stdout, 0, 0, "%s: richest at %.2f s, lambda %s.", who, richest->time_s,
	          lambda_text(lambda_of(richest->phi)).text);
}

static void print_stumble(const snapped *s, const char *who, const followed *f)
{
	const double lambda = lambda_of(f->stumble.leanest_phi), limit = jw_lean_limit(s->range);
	char verdict[160], spread[96] = "";
	if (s->snap.to < s->snap.from) {
		print_richest(who, f);
		return;
	}
	if (f->steady_phi < 1 / limit)
		snprintf(verdict, sizeof verdict,
		         "it cannot run at that opening at so low a speed, however slowly the throttle is opened: try --speed");
	else if (stays_lean(s, f))
		snprintf(verdict, sizeof verdict, "it bogs and does not recover within %.0f s", (INSTANTS - 1) * STEP_S);
	else if (f->stumble.lean_s > 0)
		snprintf(verdict, sizeof verdict, "it stumbles for %s s", significant(f->stumble.lean_s, 2).text);
	else
		snprintf(verdict, sizeof verdict,
		         lambda * exp(SIGMAS_90 * f->relative) > limit ? "it may stumble" : "it does not stumble");
	if (lambda > 0 && lambda_text(lambda).text[0] != 'o')
		snprintf(spread, sizeof spread, " (%s, 90 %% interval)",
		         lambda_interval(lambda * exp(-SIGMAS_90 * f->relative), lambda * exp(SIGMAS_90 * f->relative)).text);
	text_wrap(stdout, 0, 0, "%s: leanest at %.2f s, lambda %s%s; %s (misfires from lambda %.2f up).", who,
	          f->stumble.leanest_s, lambda_text(lambda).text, spread, verdict, limit);
}

static void print_text(const snapped *s)
{
	const jw_wall wall = jw_film_at(&jw_profile_setup(s->profile)->film, s->snap.wall_k);
	char restricted[96];
	text_wrap(stdout, 0, 0, "%s on %s; air %s.", jw_profile_name(s->profile), jw_profile_fuel(s->profile),
	          air_text(&s->air).text);
	text_wrap(stdout, 0, 0,
	          "Throttle from %.0f to %.0f %% in %s s at %.0f rpm. Inlet walls at %.0f C: %.0f %% of the fuel lands on "
	          "them and leaves again after %s s on average. Fuel of the sound engine by where it comes from.",
	          100 * s->snap.from, 100 * s->snap.to, significant(s->snap.opening_s, 2).text, s->snap.speed_rev_s * 60,
	          s->snap.wall_k - ZERO_CELSIUS, 100 * wall.share, significant(wall.constant_s, 2).text);
	printf("\n");
	print_instants(s);
	printf("\n");
	print_stumble(s, "Sound", &s->sound);
	if (s->part) {
		snprintf(restricted, sizeof restricted, "With %.0f %% of the %s shut", 100 * s->share, s->part->text);
		print_stumble(s, restricted, &s->restricted);
	}
	text_wrap(
	    stdout, 0, 0,
	    "Lambda above 1 is lean. The interval holds only what is not known of the fuel on the walls; speed is held, "
	    "and the air is taken to follow the throttle as in steady running.");
}

/* ---- command ---- */

static int answer(const cli_arguments *arguments, snapped *s)
{
	const jw_setup *setup = jw_profile_setup(s->profile);
	const jw_baseline *baseline = jw_profile_baseline(s->profile);
	jw_error error = {0};
	if (s->part && jw_passage_shut(setup, (jw_passage)jw_passage_find(s->part->id), s->share, &s->blocked, &error) < 0)
		return no_such_passage(arguments, s->part);
	int code = read_air(arguments, baseline ? &baseline->air : NULL, &s->air, &s->status);
	if (code != ANSWERED)
		return code;
	s->snap = (jw_snap){.speed_rev_s = value_of(arguments, "speed", setup->range[JW_OFF_IDLE].speed_rev_s),
	                    .from = value_of(arguments, "from", 0),
	                    .to = value_of(arguments, "to", 1),
	                    .opening_s = value_of(arguments, "in", 0.1),
	                    .enrichener = value_of(arguments, "enrichener", 0),
	                    .wall_k = value_of(arguments, "walls", 70 + ZERO_CELSIUS),
	                    .step_s = STEP_S};
	s->range = nearest_range(setup, s->snap.to);
	jw_status status = solve(s, &error);
	if (status < 0)
		return library_error(arguments->command, status, &error);
	s->status |= status;
	if (has(arguments, "json"))
		print_json(s);
	else if (has(arguments, "csv"))
		print_csv(s);
	else
		print_text(s);
	return answered(arguments, s->status, NULL);
}

static int run(const cli_arguments *arguments)
{
	static snapped s; /* large for a stack */
	const int named = arguments->operands == 2;
	if (named && !(s.part = passage_named(arguments, arguments->operand[1])))
		return WRONG_USE;
	if (named != has(arguments, "blocked"))
		return wrong_use(arguments->command, "PART and --blocked belong together, such as pilot_jet --blocked 60%%");
	s.share = value_of(arguments, "blocked", 0);
	jw_profile *profile = load_profile(arguments->operand[0], &s.status);
	if (!profile)
		return FAILED;
	s.profile = profile;
	int code = answer(arguments, &s);
	jw_profile_free(profile);
	return code;
}

const cli_command snap_command = {
    .name = "snap",
    .operands = "PROFILE [PART]",
    .operands_min = 1,
    .operands_max = 2,
    .summary = "lambda after the throttle snaps open, and whether the engine stumbles",
    .details =
        "Follows the mixture for four seconds after the throttle moves at held speed: part of the fuel lands on the "
        "walls of the inlet and comes late, an accelerator pump makes up for it. With PART and --blocked, the same "
        "with that passage partly shut beside it: pilot_jet, main_jet, power_jet, enrichener_jet, pilot_air_jet, "
        "main_air_jet, pilot_outlet, transfer_ports or pump_nozzle. A dead pump is a pump_nozzle blocked by 100%.",
    .groups = {snap_options, air_options},
    .examples =
        {
            {"snap estate-1100 pump_nozzle --blocked 100% --walls 20C", "a cold engine, its accelerator pump dead"},
            {"snap trail-250 --from 10% --to 100% --in 0.05s", "a quicker hand"},
        },
    .run = run,
};

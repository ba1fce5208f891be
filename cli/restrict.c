/* SPDX-License-Identifier: GPL-3.0-or-later */
/* restrict: what a partly blocked passage still delivers, and what the engine feels. */
#include "ambient.h"
#include "commands.h"
#include "files.h"
#include "show.h"
#include <math.h>
#include <string.h>

static const cli_option restrict_options[] = {
    {"film", OPTION_QUANTITY, JW_LENGTH, 0, 5e-3, "0.03mm",
     "a deposit of this thickness on the wall: the bore falls by twice it"},
    {"blocked", OPTION_QUANTITY, JW_FRACTION, 0, 1, "40%", "this share of the area is shut"},
    {"flow", OPTION_QUANTITY, JW_FRACTION, 0, 1, "60%", "this share of the clean flow still passes"},
    {"at", OPTION_TEXT, 0, 0, 0, "idle",
     "range at which the three ways are compared: idle, off_idle, quarter, half, three_quarter or full"},
    {0},
};

static const char *const stuff[] = {
    [JW_CARRIES_FUEL] = "fuel", [JW_CARRIES_AIR] = "air", [JW_CARRIES_EMULSION] = "emulsion"};

/* How much is blocked, as the user put it. */
typedef struct blocked_by {
	jw_restriction_kind kind;
	double value;
} blocked_by;

/* The answer. */
typedef struct restricted {
	const jw_profile *profile;
	jw_passage passage;
	const jw_passage_info *info;
	jw_point at; /* where the ways are compared */
	jw_range range;
	jw_passage_left left;
	double running; /* share of the clean flow that the running engine still draws there; 0: none */
	double before[JW_RANGE_COUNT], after[JW_RANGE_COUNT]; /* lambda */
	jw_status at_range[JW_RANGE_COUNT], status;
} restricted;

/* Lambda in every range with the passage clean and restricted. */
static jw_status compare(restricted *r, const jw_air *air, jw_error *error)
{
	const jw_setup *clean = jw_profile_setup(r->profile), *blocked = &r->left.setup;
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		jw_mixture before, after;
		jw_point point = clean->range[range];
		point.enrichener = r->at.enrichener;
		jw_status status = jw_mixture_at(clean, air, &point, &before, error);
		if (status >= 0)
			status |= jw_mixture_at(blocked, air, &point, &after, error);
		if (status < 0)
			return status;
		r->before[range] = lambda_of(before.phi);
		r->after[range] = lambda_of(after.phi);
		r->at_range[range] = status;
		r->status |= status;
	}
	return JW_OK;
}

/* The drop rises behind a restriction: what the engine still draws through it. */
static jw_status run_restricted(restricted *r, const jw_air *air, jw_error *error)
{
	jw_mixture before, after;
	jw_status status = jw_mixture_at(jw_profile_setup(r->profile), air, &r->at, &before, error);
	if (status >= 0)
		status |= jw_mixture_at(&r->left.setup, air, &r->at, &after, error);
	if (status < 0)
		return status;
	double clean = jw_passage_flow(&before, r->passage);
	r->running = clean > 0 ? jw_passage_flow(&after, r->passage) / clean : 0;
	return status;
}

static void print_json(const restricted *r)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(r->profile));
	json_text(&json, "part", r->info->id);
	json_text(&json, "at", jw_range_name(r->range));
	json_number(&json, "clean_bore_m", r->left.clean_m);
	json_number_or_null(&json, "drop_pa", r->left.drop_pa);
	json_number(&json, "film_m", r->left.left.film_m);
	json_number(&json, "blocked_area", r->left.left.blocked_area);
	json_number(&json, "flow_share", r->left.left.flow_share);
	json_number(&json, "flow_lost", 1 - r->left.left.flow_share);
	json_number(&json, "running_share", r->running);
	json_number(&json, "bore_m", r->left.left.diameter_m);
	json_array(&json, "lambda");
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		json_object(&json, NULL);
		json_text(&json, "range", jw_range_name(range));
		json_number_or_null(&json, "clean", r->before[range]);
		json_number_or_null(&json, "restricted", r->after[range]);
		json_object_end(&json);
	}
	json_array_end(&json);
	json_warnings(&json, r->status);
	json_end(&json);
}

static void print_lambda(const restricted *r)
{
	cli_table table = {.left = 1u << 3};
	table_heading(&table, (const char *const[]){"lambda", "clean", "restricted", ""}, 4);
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		const double before = r->before[range], after = r->after[range];
		const double change = before > 0 && after > 0 ? 100 * (after / before - 1) : 0;
		table_cell(&table, "%s", range_text_of(range).text);
		table_cell(&table, "%s", lambda_text(before).text);
		table_cell(&table, "%s", lambda_text(after).text);
		if (fabs(change) >= 0.5)
			table_cell(&table, "%.0f %% %s", fabs(change), change > 0 ? "leaner" : "richer");
		else
			table_cell(&table, before > 0 && !(after > 0) ? "no fuel left" : "unchanged");
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

static void print_text(const restricted *r)
{
	const jw_restriction *left = &r->left.left;
	const char *what = stuff[r->info->carries];
	text_wrap(stdout, 0, 0, "%s, %s: %.0f %% of its area is shut. At the same pull it passes %.0f %% of the %s.",
	          jw_profile_name(r->profile), r->info->text, 100 * left->blocked_area, 100 * left->flow_share, what);
	if (r->info->carries == JW_CARRIES_EMULSION)
		text_wrap(stdout, 0, 0,
		          "It is an outlet, so its flow goes with its area; bore and film are those of a round hole of its "
		          "free area.");
	else
		text_wrap(stdout, 0, 0, "Compared at %s, where %s drive the %s through the clean jet.",
		          range_text_of(r->range).text, pressure_text(r->left.drop_pa).text, what);
	printf("\n  film on the wall           %s mm: the bore falls from %.3f to %.3f mm\n",
	       significant(left->film_m * 1e3, 2).text, r->left.clean_m * 1e3, left->diameter_m * 1e3);
	printf("  area shut                  %.0f %%\n", 100 * left->blocked_area);
	printf("  flow left, same pull       %.0f %%\n", 100 * left->flow_share);
	if (r->info->carries != JW_CARRIES_EMULSION)
		printf("  flow left, running engine  %.0f %%%s\n", 100 * r->running,
		       r->running > left->flow_share + 0.01 ? ": the pull on it rises" : "");
	printf("\n");
	print_lambda(r);
	printf("\n");
	text_wrap(stdout, 0, 0, "Lambda above 1 is lean, below 1 rich.%s",
	          r->at.enrichener > 0 ? " The enrichener is open throughout." : "");
}

/* The one of the three ways that was given. */
static int read_amount(const cli_arguments *arguments, blocked_by *amount)
{
	static const struct {
		const char *name;
		jw_restriction_kind kind;
	} ways[] = {{"film", JW_FILM}, {"blocked", JW_BLOCKED_AREA}, {"flow", JW_FLOW_SHARE}};
	int ways_given = 0;
	for (int i = 0; i < 3; i++) {
		if (!has(arguments, ways[i].name))
			continue;
		ways_given++;
		amount->kind = ways[i].kind;
		amount->value = value_of(arguments, ways[i].name, 0);
	}
	if (ways_given != 1)
		return wrong_use(arguments->command, "expected one of --film 0.03mm, --blocked 40%% and --flow 60%%");
	return ANSWERED;
}

/* What a user should do where the passage cannot be restricted. */
static int explain_failure(const cli_arguments *arguments, const restricted *r, jw_status status, const jw_error *error)
{
	if (status == JW_E_NOT_FOUND)
		return no_such_passage(arguments, r->info);
	if (status != JW_E_NO_FLOW)
		return library_error(arguments->command, status, error);
	fprintf(stderr, "jetwright restrict: no %s passes the %s at %s; name another range with --at\n",
	        stuff[r->info->carries], r->info->text, range_text_of(r->range).text);
	return FAILED;
}

static int answer(const cli_arguments *arguments, restricted *r, blocked_by amount)
{
	const jw_setup *setup = jw_profile_setup(r->profile);
	const jw_baseline *baseline = jw_profile_baseline(r->profile);
	jw_air air;
	jw_error error = {0};
	int code = read_air(arguments, baseline ? &baseline->air : NULL, &air, &r->status);
	if (code != ANSWERED)
		return code;
	r->at = setup->range[r->range];
	if (r->passage == JW_PASSAGE_ENRICHENER_JET)
		r->at.enrichener = 1;
	jw_status status =
	    jw_passage_restrict(setup, &air, r->passage, &r->at, amount.kind, amount.value, &r->left, &error);
	r->status |= status;
	if (status >= 0)
		status = run_restricted(r, &air, &error);
	if (status >= 0)
		status = compare(r, &air, &error);
	if (status < 0)
		return explain_failure(arguments, r, status, &error);
	if (has(arguments, "json"))
		print_json(r);
	else
		print_text(r);
	return answered(arguments, r->status, r->at_range);
}

static int run(const cli_arguments *arguments)
{
	restricted r = {0};
	blocked_by amount = {0};
	int code = read_amount(arguments, &amount);
	if (code != ANSWERED)
		return code;
	if (!(r.info = passage_named(arguments, arguments->operand[1])))
		return WRONG_USE;
	r.passage = (jw_passage)jw_passage_find(r.info->id);
	if (r.info->carries == JW_CARRIES_SHOT)
		return wrong_use(arguments->command, "%s: no steady point feels it; 'jetwright snap' follows the throttle",
		                 r.info->id);
	code = read_range(arguments, r.info->tells, &r.range);
	if (code != ANSWERED)
		return code;
	jw_profile *profile = load_profile(arguments->operand[0], &r.status);
	if (!profile)
		return FAILED;
	r.profile = profile;
	code = answer(arguments, &r, amount);
	jw_profile_free(profile);
	return code;
}

const cli_command restrict_command = {
    .name = "restrict",
    .operands = "PROFILE PART",
    .operands_min = 2,
    .operands_max = 2,
    .summary = "what a partly blocked passage still delivers, and what the engine feels",
    .details =
        "Says one restriction in three ways: a film on the wall, a share of the area shut, a share of the flow left; "
        "then lambda in every range, clean and restricted. PART is pilot_jet, main_jet, power_jet, enrichener_jet, "
        "pilot_air_jet, main_air_jet, pilot_outlet or transfer_ports. Small bores lose more than their area, so the "
        "ways are compared at the pressure that drives the passage in one range: the one where it tells most, unless "
        "--at names another.",
    .groups = {restrict_options, air_options},
    .examples =
        {
            {"restrict courier-150 pilot_jet --film 0.03mm", "varnish on the wall of the bore"},
            {"restrict courier-150 main_jet --flow 60%", "a jet that passed 60 % of its flow on the bench"},
        },
    .run = run,
};

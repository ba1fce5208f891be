/* SPDX-License-Identifier: GPL-3.0-or-later */
/* balance: several carburetors on one linkage: what a row of vacuum gauges reads, and which adjuster to move. */
#include "ambient.h"
#include "commands.h"
#include "files.h"
#include "show.h"
#include <math.h>
#include <string.h>

static const char offsets_example[] = "0%,0.3%,-0.2%,0%";
/* A move by less of the travel prints as 0.00 %. */
#define LEAST_MOVE 5e-5

static const cli_option balance_options[] = {
    {"offsets", OPTION_TEXT, 0, 0, 0, offsets_example,
     "how much further open than the linkage each throttle stands, in percent of its travel from idle stop to wide "
     "open; one a carburetor, commas between"},
    {"at", OPTION_TEXT, 0, 0, 0, "idle", "range: idle (unless given), off_idle, quarter, half, three_quarter, full"},
    {0},
};

typedef struct balanced {
	const jw_profile *profile;
	jw_range range;
	jw_air air;
	jw_bank bank;
	jw_bank_state state;
	double move[JW_BANK]; /* of the adjuster, share of the travel; NAN where none brings it to the first's pressure */
	jw_status status;
} balanced;

/* ---- the list of offsets ---- */

/* The next item, `length` long. */
static int read_offset(const cli_arguments *arguments, const char *item, size_t length, jw_bank *bank)
{
	const cli_command *command = arguments->command;
	char text[32];
	const int number = bank->count + 1;
	if (number > JW_BANK)
		return wrong_use(command, "--offsets %s: too many, expected at most %d", text_of(arguments, "offsets", ""),
		                 JW_BANK);
	snprintf(text, sizeof text, "%.*s", (int)length, item);
	double *offset = &bank->offset[bank->count++];
	if (length >= sizeof text || jw_quantity_parse(text, JW_FRACTION, offset, NULL) < 0)
		return wrong_use(command,
		                 "--offsets: number %d, '%.*s', is not a share of the travel, expected a list such as %s",
		                 number, (int)length, item, offsets_example);
	if (fabs(*offset) > JW_BANK_OFFSET)
		return wrong_use(command, "--offsets: number %d, '%s', is out of range, expected %g%% to %g%%", number, text,
		                 -100 * JW_BANK_OFFSET, 100 * JW_BANK_OFFSET);
	return ANSWERED;
}

static int read_offsets(const cli_arguments *arguments, jw_bank *bank)
{
	int code = ANSWERED;
	if (!has(arguments, "offsets"))
		return wrong_use(arguments->command, "--offsets is missing, expected a list such as %s", offsets_example);
	for (const char *item = text_of(arguments, "offsets", ""); item && code == ANSWERED;) {
		item += strspn(item, " ");
		const size_t length = strcspn(item, ",");
		code = read_offset(arguments, item, length, bank);
		item = item[length] ? item + length + 1 : NULL;
	}
	if (code == ANSWERED && bank->count < 2)
		return wrong_use(arguments->command, "--offsets %s: one carburetor needs no balance, expected 2 to %d",
		                 text_of(arguments, "offsets", ""), JW_BANK);
	return code;
}

/* A profile that states several carburetors says how many; else the question is what several of them would do. */
static int several_stated(const balanced *b)
{
	return jw_profile_setup(b->profile)->engine.carburetors > 1;
}

/* ---- solving ---- */

static jw_status solve(balanced *b, jw_error *error)
{
	const jw_setup *setup = jw_profile_setup(b->profile);
	const jw_point *linkage = &setup->range[b->range];
	for (int i = 0; i < b->bank.count; i++)
		b->bank.setup[i] = setup;
	jw_status status = jw_bank_at(&b->bank, &b->air, linkage, &b->state, error);
	for (int i = 1; i < b->bank.count && status >= 0; i++) {
		double offset;
		jw_status found = jw_bank_balance(&b->bank, &b->air, linkage, 0, i, &offset, error);
		if (found < 0 && found != JW_E_NO_ROOT)
			return found;
		b->move[i] = found < 0 ? NAN : offset - b->bank.offset[i];
	}
	return status;
}

/* What a gauge on the manifold shows. */
static double gauge_pa(const balanced *b, int i)
{
	return b->air.pressure_pa - b->state.mixture[i].manifold_pa;
}

/* ---- output ---- */

static void print_json(const balanced *b)
{
	const jw_point *linkage = &jw_profile_setup(b->profile)->range[b->range];
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(b->profile));
	json_text(&json, "fuel", jw_profile_fuel(b->profile));
	json_air(&json, "air", &b->air);
	json_text(&json, "at", jw_range_name(b->range));
	json_number(&json, "speed_rpm", linkage->speed_rev_s * 60);
	json_number(&json, "linkage_throttle", linkage->throttle);
	json_array(&json, "carburetors");
	for (int i = 0; i < b->bank.count; i++) {
		const jw_mixture *m = &b->state.mixture[i];
		json_object(&json, NULL);
		json_number(&json, "offset", b->bank.offset[i]);
		json_number(&json, "throttle", b->state.throttle[i]);
		json_number(&json, "manifold_pa", m->manifold_pa);
		json_number(&json, "gauge_pa", gauge_pa(b, i));
		json_number(&json, "air_kg_s", m->air_kg_s);
		json_number(&json, "air_share", b->state.air_share[i]);
		json_number(&json, "phi", m->phi);
		json_number_or_null(&json, "lambda", lambda_of(m->phi));
		json_number(&json, "move_adjuster", b->move[i]);
		json_object_end(&json);
	}
	json_array_end(&json);
	json_number(&json, "mean_manifold_pa", b->state.manifold_pa);
	json_number(&json, "spread_pa", b->state.spread_pa);
	json_number(&json, "least_over_most_air", b->state.air_ratio);
	json_warnings(&json, b->status);
	json_end(&json);
}

static void print_carburetors(const balanced *b)
{
	static const char *const words[] = {"carburetor", "throttle",  "manifold kPa", "gauge kPa",
	                                    "air g/s",    "air share", "lambda"};
	cli_table table = {0};
	table_heading(&table, words, sizeof words / sizeof *words);
	for (int i = 0; i < b->bank.count; i++) {
		const jw_mixture *m = &b->state.mixture[i];
		table_cell(&table, "%d", i + 1);
		table_cell(&table, "%.2f %%", 100 * b->state.throttle[i]);
		table_cell(&table, "%.2f", m->manifold_pa / 1e3);
		table_cell(&table, "%.2f", gauge_pa(b, i) / 1e3);
		table_cell(&table, "%s", significant(m->air_kg_s * 1e3, 3).text);
		table_cell(&table, "%.1f %%", 100 * b->state.air_share[i]);
		table_cell(&table, "%s", lambda_text(lambda_of(m->phi)).text);
		table_row_end(&table);
	}
	table_print(&table, stdout);
}

/* Returns whether there was anything to move. */
static int print_move(const balanced *b, int i)
{
	if (isnan(b->move[i]))
		text_wrap(stdout, 0, 2, "- Carburetor %d: no setting of its adjuster brings it to carburetor 1.", i + 1);
	else if (fabs(b->move[i]) < LEAST_MOVE)
		return 0;
	else
		text_wrap(stdout, 0, 2, "- Carburetor %d: %s its throttle by %.2f %% of the travel.", i + 1,
		          b->move[i] > 0 ? "open" : "close", 100 * fabs(b->move[i]));
	return 1;
}

static void print_moves(const balanced *b)
{
	int moves = 0;
	printf("\n");
	text_wrap(
	    stdout, 0, 0,
	    "The gauges read %s apart; the carburetor that draws least has %.1f %% of the air of the one that draws most.",
	    pressure_text(b->state.spread_pa).text, 100 * b->state.air_ratio);
	printf("To bring each gauge to that of carburetor 1:\n");
	for (int i = 1; i < b->bank.count; i++)
		moves += print_move(b, i);
	if (!moves)
		printf("- Nothing to move.\n");
	if (b->range != JW_IDLE)
		printf("Adjust at idle, where gauges show an offset most.\n");
	text_wrap(stdout, 0, 0,
	          "Only differences count: all adjusters moved alike is a turn of the idle stop, which comes last.");
}

static void print_text(const balanced *b)
{
	const jw_point *linkage = &jw_profile_setup(b->profile)->range[b->range];
	text_wrap(stdout, 0, 0, "%s on %s; air %s.", jw_profile_name(b->profile), jw_profile_fuel(b->profile),
	          air_text(&b->air).text);
	text_wrap(stdout, 0, 0,
	          "At %s: %.0f rpm, linkage %.0f %% open. A gauge shows how far its manifold is below the "
	          "air around; one that is further open pulls less.",
	          range_text_of(b->range).text, linkage->speed_rev_s * 60, 100 * linkage->throttle);
	if (!several_stated(b))
		text_wrap(stdout, 0, 0, "The profile states one carburetor: taken as %d alike, each with its own cylinders.",
		          b->bank.count);
	printf("\n");
	print_carburetors(b);
	print_moves(b);
	text_wrap(stdout, 0, 0,
	          "Left out: a balance tube between the manifolds, which makes the gauges read closer together than this, "
	          "and what the engine's speed does while adjusters move.");
	printf("\n");
	text_wrap(stdout, 0, 0,
	          "Caution: balancing is done with the engine warm and running. Ventilate, or work in free air: exhaust "
	          "gas kills indoors. Hands, hoses and sleeves clear of hot and moving parts.");
}

/* ---- command ---- */

static int answer(const cli_arguments *arguments, balanced *b)
{
	const jw_baseline *baseline = jw_profile_baseline(b->profile);
	const int stated = jw_profile_setup(b->profile)->engine.carburetors;
	jw_error error = {0};
	if (several_stated(b) && b->bank.count != stated)
		return wrong_use(arguments->command, "--offsets %s: %d offsets, expected %d: this engine's carburetors",
		                 text_of(arguments, "offsets", ""), b->bank.count, stated);
	int code = read_air(arguments, baseline ? &baseline->air : NULL, &b->air, &b->status);
	if (code != ANSWERED)
		return code;
	jw_status status = solve(b, &error);
	if (status < 0)
		return library_error(arguments->command, status, &error);
	b->status |= status;
	if (has(arguments, "json"))
		print_json(b);
	else
		print_text(b);
	return answered(arguments, b->status, NULL);
}

static int run(const cli_arguments *arguments)
{
	balanced b = {0};
	int code = read_range(arguments, JW_IDLE, &b.range);
	if (code != ANSWERED)
		return code;
	code = read_offsets(arguments, &b.bank);
	if (code != ANSWERED)
		return code;
	jw_profile *profile = load_profile(arguments->operand[0], &b.status);
	if (!profile)
		return FAILED;
	b.profile = profile;
	code = answer(arguments, &b);
	jw_profile_free(profile);
	return code;
}

const cli_command balance_command = {
    .name = "balance",
    .operands = "PROFILE",
    .operands_min = 1,
    .operands_max = 1,
    .summary = "several carburetors on one linkage: gauges, mixture, which adjuster to move",
    .details =
        "What each of several like carburetors draws and delivers when their throttles do not stand alike: what a row "
        "of vacuum gauges reads, each one's share of the air and its lambda, and how far to move each adjuster to "
        "bring its gauge to that of the first. The profile describes one of them with the cylinders that it feeds.",
    .groups = {balance_options, air_options},
    .examples =
        {
            {"balance four-600 --offsets 0%,0.3%,-0.2%,0%", "four at idle, two of them out"},
            {"balance twin-480 --offsets 0%,-0.2% --at off_idle", "two, just off idle"},
        },
    .run = run,
};

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* restrict: what a partly blocked passage still delivers, and what the engine feels. */
#include "ambient.h"
#include "commands.h"
#include "files.h"
#include "show.h"
#include <math.h>
#include <stddef.h>
#include <string.h>

#define PI 3.14159265358979323846

static const cli_option restrict_options[] = {
    {"film", OPTION_QUANTITY, JW_LENGTH, 0, 5e-3, "0.03mm",
     "a deposit of this thickness on the wall: the bore falls by twice it"},
    {"blocked", OPTION_QUANTITY, JW_FRACTION, 0, 1, "40%", "this share of the area is shut"},
    {"flow", OPTION_QUANTITY, JW_FRACTION, 0, 1, "60%", "this share of the clean flow still passes"},
    {"at", OPTION_TEXT, 0, 0, 0, "idle",
     "range at which the three ways are compared: idle, off_idle, quarter, half, three_quarter or full"},
    {0},
};

/* What flows through a passage, hence what drives it. */
typedef enum carries { FUEL, AIR, EMULSION } carries;

/* A passage that may be blocked, and where it sits in a set-up. */
typedef struct passage_row {
	const char *id, *text;
	carries carries;
	jw_range tells; /* where it weighs most */
	size_t circuit; /* of jets, in jw_carburetor */
	size_t flow;    /* of jets, in jw_carburetor_flow */
	size_t element; /* jw_orifice of a jet, open share of the others, in jw_carburetor */
} passage_row;

#define JET(id, text, carries, tells, circuit, jet)                                                                    \
	{                                                                                                                  \
		id, text, carries, tells, offsetof(jw_carburetor, circuit), offsetof(jw_carburetor_flow, circuit),             \
		    offsetof(jw_carburetor, circuit.jet)                                                                       \
	}
#define OUTLET(id, text, tells, share)                                                                                 \
	{                                                                                                                  \
		id, text, EMULSION, tells, 0, 0, offsetof(jw_carburetor, share)                                                \
	}

static const passage_row passages[] = {
    JET("pilot_jet", "pilot jet", FUEL, JW_IDLE, pilot, fuel_jet),
    JET("main_jet", "main jet", FUEL, JW_FULL, main, fuel_jet),
    JET("pilot_air_jet", "pilot air jet", AIR, JW_IDLE, pilot, air_jet),
    JET("main_air_jet", "main air jet", AIR, JW_QUARTER, main, air_jet),
    OUTLET("pilot_outlet", "pilot outlet", JW_IDLE, screw.open_area),
    OUTLET("transfer_ports", "transfer ports", JW_OFF_IDLE, screw.ports_open_area),
};
enum { PASSAGES = sizeof passages / sizeof *passages };

static const char *const stuff[] = {[FUEL] = "fuel", [AIR] = "air", [EMULSION] = "emulsion"};

/* How much is blocked, as the user put it. */
typedef struct blocked_by {
	jw_restriction_kind kind;
	double value;
} blocked_by;

/* The answer. */
typedef struct restricted {
	const jw_profile *profile;
	const passage_row *passage;
	jw_range at;
	double clean_m, drop_pa; /* drop 0: an outlet, where the flow goes with the area */
	jw_restriction left;
	double before[JW_RANGE_COUNT], after[JW_RANGE_COUNT]; /* lambda */
	jw_status at_range[JW_RANGE_COUNT], status;
} restricted;

static const passage_row *find_passage(const char *id)
{
	for (int i = 0; i < PASSAGES; i++)
		if (strcmp(passages[i].id, id) == 0)
			return &passages[i];
	return NULL;
}

static const void *in_carburetor(const jw_setup *setup, size_t offset)
{
	return (const char *)&setup->carburetor + offset;
}

/* Drop across a jet and the density and viscosity of what passes it, at a solved point. */
static jw_status jet_state(const jw_setup *setup, const jw_air *air, const passage_row *passage, const jw_mixture *at,
                           double *drop_pa, jw_liquid_flow *liquid, jw_error *error)
{
	const jw_circuit *circuit = in_carburetor(setup, passage->circuit);
	const jw_circuit_flow *flow = (const void *)((const char *)&at->flow + passage->flow);
	if (passage->carries == AIR) {
		/* Over so small a drop air is a thin liquid. */
		*drop_pa = at->path.box_pa - flow->well_pa;
		*liquid = (jw_liquid_flow){air->density_kg_m3, air->viscosity_pa_s / air->density_kg_m3};
		return JW_OK;
	}
	jw_fuel_state fuel;
	jw_status status = jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, &fuel, error);
	if (status < 0)
		return status;
	const double depth = circuit->bleed_depth_m + setup->carburetor.bowl.level_error_m;
	*liquid = (jw_liquid_flow){fuel.density_kg_m3, fuel.viscosity_m2_s};
	*drop_pa = at->flow.bowl_pa + fuel.density_kg_m3 * JW_GRAVITY * depth - flow->well_pa;
	return status;
}

/* One bore with the area of an outlet at its screw's setting, or typical of the ports. */
static double outlet_bore(const jw_carburetor *carburetor, const passage_row *passage)
{
	double squares = 0;
	if (passage->element == offsetof(jw_carburetor, screw.open_area))
		return sqrt(4 / PI * jw_screw_area(&carburetor->screw));
	for (int i = 0; i < carburetor->ports; i++)
		squares += carburetor->port[i].diameter_m * carburetor->port[i].diameter_m;
	return carburetor->ports ? sqrt(squares / carburetor->ports) : 0;
}

/* Outlets pass emulsion in proportion to their area. */
static jw_restriction outlet_left(double bore, blocked_by amount)
{
	double share = amount.kind == JW_FILM           ? fmax(0, 1 - 2 * amount.value / bore)
	               : amount.kind == JW_BLOCKED_AREA ? sqrt(1 - amount.value)
	                                                : sqrt(amount.value);
	return (jw_restriction){
	    .film_m = bore * (1 - share) / 2,
	    .blocked_area = 1 - share * share,
	    .flow_share = share * share,
	    .diameter_m = bore * share,
	};
}

/* How much is left of the passage, said in every way. */
static jw_status restrict_passage(restricted *r, const jw_air *air, blocked_by amount, jw_error *error)
{
	const jw_setup *setup = jw_profile_setup(r->profile);
	const jw_orifice *jet = in_carburetor(setup, r->passage->element);
	jw_liquid_flow liquid;
	jw_mixture at;
	r->clean_m = r->passage->carries == EMULSION ? outlet_bore(&setup->carburetor, r->passage) : jet->diameter_m;
	if (!(r->clean_m > 0)) {
		fprintf(stderr, "jetwright restrict: this engine has no %s\n", r->passage->text);
		return JW_E_NOT_FOUND;
	}
	if (r->passage->carries == EMULSION) {
		r->left = outlet_left(r->clean_m, amount);
		return JW_OK;
	}
	jw_status status = jw_mixture_at(setup, air, &setup->range[r->at], &at, error);
	if (status >= 0)
		status = jet_state(setup, air, r->passage, &at, &r->drop_pa, &liquid, error);
	if (status < 0)
		return status;
	if (!(r->drop_pa > 0)) {
		fprintf(stderr, "jetwright restrict: no %s passes the %s at %s; name another range with --at\n",
		        stuff[r->passage->carries], r->passage->text, range_text_of(r->at).text);
		return JW_E_NOT_FOUND;
	}
	return jw_restrict(jet, amount.kind, amount.value, &liquid, r->drop_pa, &r->left, error);
}

/* Lambda in every range with the passage clean and restricted. */
static jw_status compare(restricted *r, const jw_air *air, jw_error *error)
{
	const jw_setup *clean = jw_profile_setup(r->profile);
	jw_setup blocked = *clean;
	void *element = (char *)&blocked.carburetor + r->passage->element;
	if (r->passage->carries == EMULSION)
		*(double *)element *= r->left.flow_share;
	else
		((jw_orifice *)element)->diameter_m = r->left.diameter_m;
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		jw_mixture before, after;
		jw_status status = jw_mixture_at(clean, air, &clean->range[range], &before, error);
		if (status >= 0)
			status |= jw_mixture_at(&blocked, air, &blocked.range[range], &after, error);
		if (status < 0)
			return status;
		r->before[range] = lambda_of(before.phi);
		r->after[range] = lambda_of(after.phi);
		r->at_range[range] = status;
		r->status |= status;
	}
	return JW_OK;
}

static void print_json(const restricted *r)
{
	cli_json json = json_begin(stdout);
	json_text(&json, "profile", jw_profile_name(r->profile));
	json_text(&json, "part", r->passage->id);
	json_text(&json, "at", jw_range_name(r->at));
	json_number(&json, "clean_bore_m", r->clean_m);
	json_number_or_null(&json, "drop_pa", r->drop_pa);
	json_number(&json, "film_m", r->left.film_m);
	json_number(&json, "blocked_area", r->left.blocked_area);
	json_number(&json, "flow_share", r->left.flow_share);
	json_number(&json, "flow_lost", 1 - r->left.flow_share);
	json_number(&json, "bore_m", r->left.diameter_m);
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
	const char *what = stuff[r->passage->carries];
	const jw_restriction *left = &r->left;
	text_wrap(stdout, 0, 0, "%s, %s: %.0f %% of the %s that flows through it is left, %.0f %% lost.",
	          jw_profile_name(r->profile), r->passage->text, 100 * left->flow_share, what,
	          100 * (1 - left->flow_share));
	if (r->passage->carries == EMULSION)
		text_wrap(stdout, 0, 0,
		          "It is an outlet, so its flow goes with its area; bore and film are those of a round hole of its "
		          "free area.");
	else
		text_wrap(stdout, 0, 0, "Compared at %s, where %s drive the %s through the clean jet.",
		          range_text_of(r->at).text, pressure_text(r->drop_pa).text, what);
	printf("\n  film on the wall  %s mm: the bore falls from %.3f to %.3f mm\n",
	       significant(left->film_m * 1e3, 2).text, r->clean_m * 1e3, left->diameter_m * 1e3);
	printf("  area shut         %.0f %%\n", 100 * left->blocked_area);
	printf("  flow left         %.0f %%\n\n", 100 * left->flow_share);
	print_lambda(r);
	printf("\n");
	text_wrap(stdout, 0, 0, "Lambda above 1 is lean, below 1 rich.");
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

static int answer(const cli_arguments *arguments, restricted *r, blocked_by amount)
{
	const jw_baseline *baseline = jw_profile_baseline(r->profile);
	jw_air air;
	jw_error error = {0};
	int code = read_air(arguments, baseline ? &baseline->air : NULL, &air, &r->status);
	if (code != ANSWERED)
		return code;
	jw_status status = restrict_passage(r, &air, amount, &error);
	if (status == JW_E_NOT_FOUND)
		return FAILED;
	r->status |= status;
	if (status >= 0)
		status = compare(r, &air, &error);
	if (status < 0)
		return library_error(arguments->command, status, &error);
	if (has(arguments, "json"))
		print_json(r);
	else
		print_text(r);
	return answered(arguments, r->status, r->at_range);
}

static int unknown_part(const cli_arguments *arguments)
{
	char names[160] = "";
	for (int i = 0; i < PASSAGES; i++)
		snprintf(names + strlen(names), sizeof names - strlen(names), "%s%s", i ? ", " : "", passages[i].id);
	return wrong_use(arguments->command, "%s: no such part, expected one of %s", arguments->operand[1], names);
}

static int run(const cli_arguments *arguments)
{
	restricted r = {.passage = find_passage(arguments->operand[1])};
	blocked_by amount = {0};
	int code = read_amount(arguments, &amount);
	if (code != ANSWERED)
		return code;
	if (!r.passage)
		return unknown_part(arguments);
	const int range = range_find(text_of(arguments, "at", jw_range_name(r.passage->tells)));
	if (range < 0)
		return wrong_use(arguments->command,
		                 "--at %s: no such range, expected idle, off_idle, quarter, half, three_quarter "
		                 "or full",
		                 text_of(arguments, "at", ""));
	r.at = (jw_range)range;
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
        "then lambda in every range, clean and restricted. PART is pilot_jet, main_jet, pilot_air_jet, main_air_jet, "
        "pilot_outlet or transfer_ports. Small bores lose more than their area, so the ways are compared at the "
        "pressure that drives the passage in one range: the one where it tells most, unless --at names another.",
    .groups = {restrict_options, air_options},
    .example = "restrict courier-150 pilot_jet --film 0.03mm",
    .run = run,
};

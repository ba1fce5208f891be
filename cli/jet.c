/* SPDX-License-Identifier: GPL-3.0-or-later */
/* jet: area and flow of a jet, or the bore behind a measured bench flow. */
#include "commands.h"
#include "ambient.h"
#include "files.h"
#include "show.h"
#include <math.h>

static const cli_option jet_options[] = {
    {"bore", OPTION_QUANTITY, JW_LENGTH, 0.02e-3, 20e-3, "1.05mm", "diameter of the jet's calibrated hole"},
    {"length", OPTION_QUANTITY, JW_LENGTH, 0.1e-3, 50e-3, "2mm", "length of that hole; 3 mm unless given"},
    {"head", OPTION_QUANTITY, JW_LENGTH, 1e-3, 10, "500mm", "height of the fuel's surface above the jet"},
    {"drop", OPTION_QUANTITY, JW_PRESSURE, 1, 100e3, "2kPa", "pressure drop across the jet, instead of --head"},
    {"volume", OPTION_QUANTITY, JW_VOLUME, 1e-7, 1e-1, "120ml", "fuel caught on the bench, with --time"},
    {"time", OPTION_QUANTITY, JW_TIME, 1, 36000, "60s", "how long it was caught"},
    {"fuel", OPTION_TEXT, 0, 0, 0, "e5", "fuel that runs through, by name or file; e5 unless given"},
    {"temperature", OPTION_QUANTITY, JW_TEMPERATURE, ZERO_CELSIUS - 30, ZERO_CELSIUS + 60, "20C",
     "its temperature; 20 C unless given"},
    {0},
};

/* A jet at work on the bench. */
typedef struct bench {
	jw_orifice jet;
	jw_fuel_state fuel;
	jw_liquid_flow liquid;
	double drop_pa, head_m;
	double kg_s, reynolds, cd;
	int measured;           /* the bore comes from a flow */
	int compared;           /* with a clean bore that was stated too */
	jw_restriction against; /* what is left of that bore */
	double clean_m;
} bench;

static void print_json(const bench *b)
{
	cli_json json = json_begin(stdout);
	json_number(&json, b->measured ? "effective_bore_m" : "bore_m", b->jet.diameter_m);
	json_number(&json, "length_m", b->jet.length_m);
	json_number(&json, "area_m2", jw_orifice_area(&b->jet));
	json_number(&json, "drop_pa", b->drop_pa);
	json_number(&json, "head_m", b->head_m);
	json_number(&json, "flow_kg_s", b->kg_s);
	json_number(&json, "flow_m3_s", b->kg_s / b->liquid.density_kg_m3);
	json_number(&json, "discharge_coefficient", b->cd);
	json_number(&json, "reynolds", b->reynolds);
	json_object(&json, "fuel");
	json_number(&json, "temperature_k", b->fuel.temperature_k);
	json_number(&json, "density_kg_m3", b->fuel.density_kg_m3);
	json_number(&json, "viscosity_m2_s", b->fuel.viscosity_m2_s);
	json_object_end(&json);
	if (b->compared) {
		json_object(&json, "against_clean");
		json_number(&json, "bore_m", b->clean_m);
		json_number(&json, "flow_share", b->against.flow_share);
		json_number(&json, "blocked_area", b->against.blocked_area);
		json_number(&json, "film_m", b->against.film_m);
		json_object_end(&json);
	}
	json_end(&json);
}

static void print_row(const char *name, number_text value, const char *sentence)
{
	printf("  %-23s%-8s", name, value.text);
	text_wrap(stdout, 33, 33, "%s", sentence);
}

static void print_text(const bench *b, const char *fuel)
{
	const double area = jw_orifice_area(&b->jet), ml_min = b->kg_s / b->liquid.density_kg_m3 * 60e6;
	if (b->measured)
		text_wrap(stdout, 0, 0, "The jet acts like a clean hole of %.3f mm, %.1f mm long.", b->jet.diameter_m * 1e3,
		          b->jet.length_m * 1e3);
	else
		text_wrap(stdout, 0, 0, "A clean hole of %.3f mm, %.1f mm long, passes %s ml/min.", b->jet.diameter_m * 1e3,
		          b->jet.length_m * 1e3, significant(ml_min, 3).text);
	text_wrap(stdout, 0, 0,
	          "Fuel standing %s mm above the jet (its head) presses on it with %s; %s at %.1f C weighs %.0f kg/m3.",
	          significant(b->head_m * 1e3, 3).text, pressure_text(b->drop_pa).text, fuel,
	          b->fuel.temperature_k - ZERO_CELSIUS, b->liquid.density_kg_m3);
	printf("\n");
	printf("  area                   %s mm2\n", significant(area * 1e6, 4).text);
	printf("  flow                   %s g/s, %s ml/min\n", significant(b->kg_s * 1e3, 3).text,
	       significant(ml_min, 3).text);
	print_row("discharge coefficient", significant(b->cd, 2), "share of the ideal flow through that area");
	print_row("length over bore", significant(b->jet.length_m / b->jet.diameter_m, 2),
	          "the coefficient is surest from 2 to 10");
	print_row("Reynolds number", significant(b->reynolds, 3),
	          "below about 1000 the fuel's stickiness, and with it its temperature, matters too");
	if (b->compared) {
		printf("\n");
		text_wrap(stdout, 0, 0,
		          "Against a clean hole of %.3f mm: %.0f %% of the flow is left; as if %.0f %% of the area were shut, "
		          "or a film of "
		          "%.3f mm lay on its wall.",
		          b->clean_m * 1e3, 100 * b->against.flow_share, 100 * b->against.blocked_area,
		          b->against.film_m * 1e3);
	}
}

/* Which of the two questions is asked, and whether it is asked completely. */
static int check_question(const cli_arguments *arguments)
{
	const cli_command *command = arguments->command;
	if (has(arguments, "head") == has(arguments, "drop"))
		return wrong_use(command, "expected what drives the fuel: either --head 500mm or --drop 2kPa");
	if (has(arguments, "volume") != has(arguments, "time"))
		return wrong_use(command, "--volume and --time belong together: fuel caught, and how long");
	if (!has(arguments, "bore") && !has(arguments, "volume"))
		return wrong_use(command, "expected --bore 1.05mm, or --volume 120ml with --time 60s");
	return ANSWERED;
}

static jw_status forward(const cli_arguments *arguments, bench *b, jw_error *error)
{
	(void)error;
	b->jet.diameter_m = value_of(arguments, "bore", 0);
	return jw_liquid_mass_flow(&b->jet, &b->liquid, b->drop_pa, &b->kg_s);
}

static jw_status backward(const cli_arguments *arguments, bench *b, jw_error *error)
{
	b->measured = 1;
	b->kg_s = b->liquid.density_kg_m3 * value_of(arguments, "volume", 0) / value_of(arguments, "time", 1);
	jw_status status = jw_bore_for_liquid_flow(&b->jet, &b->liquid, b->drop_pa, b->kg_s, &b->jet.diameter_m, error);
	b->clean_m = value_of(arguments, "bore", 0);
	if (status < 0 || !has(arguments, "bore") || b->clean_m <= b->jet.diameter_m)
		return status;
	double clean_kg_s;
	const jw_orifice clean = {.diameter_m = b->clean_m, .length_m = b->jet.length_m};
	jw_status against = jw_liquid_mass_flow(&clean, &b->liquid, b->drop_pa, &clean_kg_s);
	if (against >= 0)
		against = jw_restrict(&clean, JW_FLOW_SHARE, b->kg_s / clean_kg_s, &b->liquid, b->drop_pa, &b->against, error);
	b->compared = against >= 0;
	return against < 0 ? against : status | against;
}

static int run(const cli_arguments *arguments)
{
	const char *fuel_name = text_of(arguments, "fuel", "e5");
	bench b = {.jet.length_m = value_of(arguments, "length", 3e-3)};
	jw_fuel fuel;
	jw_error error = {0};
	int code = check_question(arguments);
	if (code != ANSWERED)
		return code;
	if (load_fuel(fuel_name, &fuel) < 0)
		return FAILED;
	jw_status status = jw_fuel_at(&fuel, value_of(arguments, "temperature", ZERO_CELSIUS + 20), &b.fuel, &error);
	if (status < 0)
		return library_error(arguments->command, status, &error);
	b.liquid = (jw_liquid_flow){b.fuel.density_kg_m3, b.fuel.viscosity_m2_s};
	b.head_m = value_of(arguments, "head", value_of(arguments, "drop", 0) / (b.liquid.density_kg_m3 * JW_GRAVITY));
	b.drop_pa = value_of(arguments, "drop", b.head_m * b.liquid.density_kg_m3 * JW_GRAVITY);
	jw_status flow = (has(arguments, "volume") ? backward : forward)(arguments, &b, &error);
	if (flow < 0)
		return library_error(arguments->command, flow, &error);
	const double velocity = sqrt(2 * b.drop_pa / b.liquid.density_kg_m3);
	b.reynolds = b.jet.diameter_m * velocity / b.liquid.viscosity_m2_s;
	b.cd = b.kg_s / (jw_orifice_area(&b.jet) * b.liquid.density_kg_m3 * velocity);
	if (has(arguments, "json"))
		print_json(&b);
	else
		print_text(&b, fuel_name);
	return answered(arguments, status | flow, NULL);
}

const cli_command jet_command = {
    .name = "jet",
    .operands = "",
    .summary = "area and flow of a jet, or the bore behind a measured bench flow",
    .details =
        "With --bore: what a clean jet passes. With --volume and --time: the bore that a jet acts like, from fuel "
        "caught on the bench; a --bore given beside them is the one it should have. Head is the height of the fuel's "
        "surface above the jet; keep it steady while you measure. Petrol vapour burns: measure away from flames and "
        "sparks, in moving air.",
    .groups = {jet_options},
    .example = "jet --volume 120ml --time 60s --head 500mm --length 2mm",
    .run = run,
};

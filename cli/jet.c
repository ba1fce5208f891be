/* SPDX-License-Identifier: GPL-3.0-or-later */
/* jet: area, flow and marks of a jet, or the bore behind a mark or a measured bench flow. */
#include "commands.h"
#include "ambient.h"
#include "files.h"
#include "show.h"
#include <math.h>
#include <string.h>

static const cli_option jet_options[] = {
    {"bore", OPTION_QUANTITY, JW_LENGTH, 0.02e-3, 20e-3, "1.05mm", "diameter of the jet's calibrated hole"},
    {"mark", OPTION_QUANTITY, JW_NUMBER, 0.5, 100000, "105", "what is stamped on the jet, with --as"},
    {"as", OPTION_TEXT, 0, 0, 0, "hundredths_mm",
     "how it is meant: hundredths_mm, thousandths_in, number_drill or flow_cc_min"},
    {"length", OPTION_QUANTITY, JW_LENGTH, 0.1e-3, 50e-3, "2.5mm", "length of that hole; 3 mm unless given"},
    {"head", OPTION_QUANTITY, JW_LENGTH, 1e-3, 10, "500mm", "height of the fuel's surface above the jet"},
    {"drop", OPTION_QUANTITY, JW_PRESSURE, 1, 100e3, "2kPa", "pressure drop across the jet, instead of --head"},
    {"volume", OPTION_QUANTITY, JW_VOLUME, 1e-7, 1e-1, "120ml", "fuel caught on the bench, with --time"},
    {"time", OPTION_QUANTITY, JW_TIME, 1, 36000, "60s", "how long it was caught"},
    {"fuel", OPTION_TEXT, 0, 0, 0, "e5", "fuel that runs through, by name or file; e5 unless given"},
    {"temperature", OPTION_QUANTITY, JW_TEMPERATURE, ZERO_CELSIUS - 30, ZERO_CELSIUS + 60, "20C",
     "its temperature; 20 C unless given"},
    {0},
};

/* A jet, and its work on the bench where something drives the fuel. */
typedef struct bench {
	jw_orifice jet;
	jw_fuel_state fuel;
	jw_liquid_flow liquid;
	int driven;
	double drop_pa, head_m;
	double kg_s, reynolds, cd;
	int measured;           /* the bore comes from a flow */
	int compared;           /* with a clean bore that was stated too */
	jw_restriction against; /* what is left of that bore; only the flow share where it passes more */
	double clean_m;
} bench;

static const char *const mark_texts[JW_MARK_KIND_COUNT] = {[JW_MARK_HUNDREDTHS_MM] = "hundredths of a mm",
                                                           [JW_MARK_THOUSANDTHS_IN] = "thousandths of an inch",
                                                           [JW_MARK_NUMBER_DRILL] = "number drill",
                                                           [JW_MARK_FLOW_CC_MIN] = "flow, cm3 a minute"};

static int mark_find(const char *word)
{
	for (int kind = 0; kind < JW_MARK_KIND_COUNT; kind++)
		if (strcmp(jw_mark_name((jw_mark_kind)kind), word) == 0)
			return kind;
	return -1;
}

/* The nearest mark of a kind; 0 where there is none: no drill of that size, or nothing that drives the fuel. */
static int nearest_mark(const bench *b, int kind, double *mark, double *difference_m)
{
	const jw_flow_bench on = {b->jet, b->liquid, b->drop_pa};
	return jw_mark_nearest((jw_mark_kind)kind, b->jet.diameter_m, b->driven ? &on : NULL, mark, difference_m, NULL) >=
	       0;
}

static int passes_more(const bench *b)
{
	return b->against.flow_share > 1;
}

static void json_flow(cli_json *json, const bench *b)
{
	json_number(json, "drop_pa", b->drop_pa);
	json_number(json, "head_m", b->head_m);
	json_number(json, "flow_kg_s", b->kg_s);
	json_number(json, "flow_m3_s", b->kg_s / b->liquid.density_kg_m3);
	json_number(json, "discharge_coefficient", b->cd);
	json_number(json, "reynolds", b->reynolds);
	json_object(json, "fuel");
	json_number(json, "temperature_k", b->fuel.temperature_k);
	json_number(json, "density_kg_m3", b->fuel.density_kg_m3);
	json_number(json, "viscosity_m2_s", b->fuel.viscosity_m2_s);
	json_object_end(json);
}

/* A jet that passes more than the clean one has nothing shut. */
static void json_against(cli_json *json, const bench *b)
{
	json_object(json, "against_clean");
	json_number(json, "bore_m", b->clean_m);
	json_number(json, "flow_share", b->against.flow_share);
	json_number(json, "blocked_area", passes_more(b) ? NAN : b->against.blocked_area);
	json_number(json, "film_m", passes_more(b) ? NAN : b->against.film_m);
	json_object_end(json);
}

static void json_marks(cli_json *json, const bench *b)
{
	double mark, difference_m;
	json_object(json, "nearest_marks");
	for (int kind = 0; kind < JW_MARK_KIND_COUNT; kind++) {
		if (!nearest_mark(b, kind, &mark, &difference_m)) {
			json_null(json, jw_mark_name((jw_mark_kind)kind));
			continue;
		}
		json_object(json, jw_mark_name((jw_mark_kind)kind));
		json_number(json, "mark", mark);
		json_number(json, "difference_m", difference_m);
		json_object_end(json);
	}
	json_object_end(json);
}

static void print_json(const bench *b)
{
	cli_json json = json_begin(stdout);
	json_number(&json, b->measured ? "effective_bore_m" : "bore_m", b->jet.diameter_m);
	json_number(&json, "length_m", b->jet.length_m);
	json_number(&json, "area_m2", jw_orifice_area(&b->jet));
	if (b->driven)
		json_flow(&json, b);
	if (b->compared)
		json_against(&json, b);
	json_marks(&json, b);
	json_end(&json);
}

static void print_row(const char *name, number_text value, const char *sentence)
{
	printf("  %-23s%-8s", name, value.text);
	text_wrap(stdout, 33, 33, "%s", sentence);
}

static double ml_per_min(const bench *b, double kg_s)
{
	return kg_s / b->liquid.density_kg_m3 * 60e6;
}

static void print_driven(const bench *b, const char *fuel)
{
	const number_text ml_min = significant(ml_per_min(b, b->kg_s), 3);
	if (b->measured)
		text_wrap(stdout, 0, 0, "The jet acts like a clean hole of %.3f mm, %.1f mm long.", b->jet.diameter_m * 1e3,
		          b->jet.length_m * 1e3);
	else
		text_wrap(stdout, 0, 0, "A clean hole of %.3f mm, %.1f mm long, passes %s ml/min.", b->jet.diameter_m * 1e3,
		          b->jet.length_m * 1e3, ml_min.text);
	text_wrap(stdout, 0, 0,
	          "Fuel standing %s mm above the jet (its head) presses on it with %s; %s at %.1f C weighs %.0f kg/m3.",
	          significant(b->head_m * 1e3, 3).text, pressure_text(b->drop_pa).text, fuel,
	          b->fuel.temperature_k - ZERO_CELSIUS, b->liquid.density_kg_m3);
	printf("\n");
	printf("  area                   %s mm2\n", significant(jw_orifice_area(&b->jet) * 1e6, 4).text);
	printf("  flow                   %s g/s, %s ml/min\n", significant(b->kg_s * 1e3, 3).text, ml_min.text);
	print_row("discharge coefficient", significant(b->cd, 2), "share of the ideal flow through that area");
	print_row("length over bore", significant(b->jet.length_m / b->jet.diameter_m, 2),
	          "the coefficient is surest from 2 to 10");
	print_row("Reynolds number", significant(b->reynolds, 3),
	          "below about 1000 the fuel's stickiness, and with it its temperature, matters too");
}

static void print_undriven(const bench *b)
{
	text_wrap(stdout, 0, 0,
	          "A hole of %.3f mm has an area of %s mm2. What it passes takes what drives the fuel: --head or --drop.",
	          b->jet.diameter_m * 1e3, significant(jw_orifice_area(&b->jet) * 1e6, 4).text);
}

static void print_against(const bench *b)
{
	printf("\n");
	if (fabs(b->against.flow_share - 1) < 0.01) /* no measuring glass tells that */
		text_wrap(stdout, 0, 0, "That is what a clean hole of %.3f mm passes.", b->clean_m * 1e3);
	else if (passes_more(b))
		text_wrap(
		    stdout, 0, 0,
		    "A clean hole of %.3f mm would pass less: %.0f %% of its flow was caught. The jet is drilled out, worn "
		    "or another than thought, or the flow was caught at a higher head.",
		    b->clean_m * 1e3, 100 * b->against.flow_share);
	else
		text_wrap(stdout, 0, 0,
		          "Against a clean hole of %.3f mm: %.0f %% of the flow is left; as if %.0f %% of the area were shut, "
		          "or a film of %.3f mm lay on its wall.",
		          b->clean_m * 1e3, 100 * b->against.flow_share, 100 * b->against.blocked_area,
		          b->against.film_m * 1e3);
}

static void print_difference(double difference_m)
{
	const double um = round(difference_m * 1e6);
	if (um == 0)
		printf("the same bore\n");
	else
		printf("%.3f mm %s\n", fabs(um) * 1e-3, um > 0 ? "wider" : "narrower");
}

/* Jets are stamped in many ways; which one is meant the stamp does not say. */
static void print_marks(const bench *b)
{
	double mark, difference_m;
	printf("\nThe nearest marks, and how a jet marked so differs from this bore:\n");
	for (int kind = 0; kind < JW_MARK_KIND_COUNT; kind++) {
		printf("  %-23s", mark_texts[kind]);
		if (nearest_mark(b, kind, &mark, &difference_m)) {
			printf("%-8.8g", mark);
			print_difference(difference_m);
		} else {
			printf("%-8s%s\n", "none",
			       kind == JW_MARK_FLOW_CC_MIN ? "depends on the head it was flowed at: add --head"
			                                   : "drills 80 to 50 are 0.343 to 1.778 mm");
		}
	}
}

static void print_text(const bench *b, const char *fuel)
{
	if (b->driven)
		print_driven(b, fuel);
	else
		print_undriven(b);
	if (b->compared)
		print_against(b);
	print_marks(b);
}

/* Which of the questions is asked, and whether it is asked completely. */
static int check_question(const cli_arguments *arguments)
{
	const cli_command *command = arguments->command;
	const int caught = has(arguments, "volume"), marked = has(arguments, "mark");
	const int kind = mark_find(text_of(arguments, "as", jw_mark_name(JW_MARK_HUNDREDTHS_MM)));
	if (has(arguments, "head") && has(arguments, "drop"))
		return wrong_use(command, "expected one way to say what drives the fuel: either --head 500mm or --drop 2kPa");
	if (caught != has(arguments, "time"))
		return wrong_use(command, "--volume and --time belong together: fuel caught, and how long");
	if (marked != has(arguments, "as"))
		return wrong_use(command, "--mark and --as belong together: what is stamped, and how it is meant");
	if (kind < 0)
		return wrong_use(command,
		                 "--as %s: no such mark, expected hundredths_mm, thousandths_in, number_drill or flow_cc_min",
		                 text_of(arguments, "as", ""));
	if (marked && has(arguments, "bore"))
		return wrong_use(command, "expected one way to say the bore: either --bore 1.05mm or --mark 105");
	if (!has(arguments, "bore") && !caught && !marked)
		return wrong_use(command, "expected --bore 1.05mm, --mark 105 with --as, or --volume 120ml with --time 60s");
	if ((caught || (marked && kind == JW_MARK_FLOW_CC_MIN)) && !has(arguments, "head") && !has(arguments, "drop"))
		return wrong_use(command, "expected what drives the fuel: either --head 500mm or --drop 2kPa");
	return ANSWERED;
}

/* No hole passes such a flow: tells what holes do pass, in the words of the bench. */
static int no_bore(const cli_arguments *arguments, const bench *b, double kg_s, const jw_error *error)
{
	fprintf(stderr,
	        "jetwright %s: a flow of %s ml/min at this head fits no hole of 0.02 to 20 mm, expected %s to %s ml/min\n",
	        arguments->command->name, significant(ml_per_min(b, kg_s), 3).text,
	        significant(ml_per_min(b, error->low), 3).text, significant(ml_per_min(b, error->high), 3).text);
	return FAILED;
}

static int refused(const cli_arguments *arguments, const bench *b, jw_status status, const jw_error *error)
{
	const int of_flow = status == JW_E_RANGE && error->field && strcmp(error->field, "kg_s") == 0;
	return of_flow ? no_bore(arguments, b, error->value, error) : library_error(arguments->command, status, error);
}

/* The bore that the jet has, or should have: 0 where neither bore nor mark is given. */
static jw_status stated_bore(const cli_arguments *arguments, const bench *b, double *bore_m, jw_error *error)
{
	const jw_flow_bench on = {b->jet, b->liquid, b->drop_pa};
	*bore_m = value_of(arguments, "bore", 0);
	if (!has(arguments, "mark"))
		return JW_OK;
	return jw_mark_bore((jw_mark_kind)mark_find(text_of(arguments, "as", "")), value_of(arguments, "mark", 0), &on,
	                    bore_m, error);
}

static jw_status compare(bench *b, jw_error *error)
{
	double clean_kg_s;
	const jw_orifice clean = {.diameter_m = b->clean_m, .length_m = b->jet.length_m};
	jw_status status = jw_liquid_mass_flow(&clean, &b->liquid, b->drop_pa, &clean_kg_s);
	if (status < 0)
		return status;
	b->compared = 1;
	b->against.flow_share = b->kg_s / clean_kg_s;
	if (passes_more(b))
		return status;
	return status |
	       jw_restrict(&clean, JW_FLOW_SHARE, b->against.flow_share, &b->liquid, b->drop_pa, &b->against, error);
}

static jw_status backward(const cli_arguments *arguments, bench *b, jw_error *error)
{
	b->measured = 1;
	b->kg_s = b->liquid.density_kg_m3 * value_of(arguments, "volume", 0) / value_of(arguments, "time", 1);
	jw_status status = jw_bore_for_liquid_flow(&b->jet, &b->liquid, b->drop_pa, b->kg_s, &b->jet.diameter_m, error);
	if (status < 0 || b->clean_m == 0)
		return status;
	jw_status against = compare(b, error);
	return against < 0 ? against : status | against;
}

static jw_status forward(bench *b)
{
	b->jet.diameter_m = b->clean_m;
	return b->driven ? jw_liquid_mass_flow(&b->jet, &b->liquid, b->drop_pa, &b->kg_s) : JW_OK;
}

static void complete(bench *b)
{
	const double velocity = sqrt(2 * b->drop_pa / b->liquid.density_kg_m3);
	if (!b->driven)
		return;
	b->reynolds = b->jet.diameter_m * velocity / b->liquid.viscosity_m2_s;
	b->cd = b->kg_s / (jw_orifice_area(&b->jet) * b->liquid.density_kg_m3 * velocity);
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
	b.driven = has(arguments, "head") || has(arguments, "drop");
	b.head_m = value_of(arguments, "head", value_of(arguments, "drop", 0) / (b.liquid.density_kg_m3 * JW_GRAVITY));
	b.drop_pa = value_of(arguments, "drop", b.head_m * b.liquid.density_kg_m3 * JW_GRAVITY);
	jw_status bore = stated_bore(arguments, &b, &b.clean_m, &error);
	if (bore < 0)
		return refused(arguments, &b, bore, &error);
	jw_status flow = has(arguments, "volume") ? backward(arguments, &b, &error) : forward(&b);
	if (flow < 0)
		return refused(arguments, &b, flow, &error);
	complete(&b);
	if (has(arguments, "json"))
		print_json(&b);
	else
		print_text(&b, fuel_name);
	return answered(arguments, status | bore | flow, NULL);
}

const cli_command jet_command = {
    .name = "jet",
    .operands = "",
    .summary = "area, flow and marks of a jet, or the bore behind a mark or a bench flow",
    .details =
        "With --bore, or --mark and --as: what a clean jet passes, and what it would be marked. With --volume and "
        "--time: the bore that a jet acts like, from fuel caught on the bench; a --bore or --mark given beside them is "
        "the one it should have. Head is the height of the fuel's surface above the jet; keep it steady while you "
        "measure. A mark by flow (flow_cc_min) holds for the --head, --fuel, --temperature and --length at which its "
        "maker flowed the jet. Petrol vapour burns: measure away from flames and sparks, in moving air.",
    .groups = {jet_options},
    .examples =
        {
            {"jet --volume 120ml --time 60s --head 500mm --length 2.5mm",
             "the bore behind fuel caught in a measuring glass"},
            {"jet --mark 105 --as hundredths_mm --head 500mm", "what a clean jet with that mark passes"},
        },
    .run = run,
};

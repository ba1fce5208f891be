/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was changed, from options. */
#include "ambient.h"
#include "files.h"
#include "rejet.h"
#include "show.h"
#include <math.h>
#include <stdlib.h>
#include <string.h>

const cli_option rejet_options[] = {
    {"bore", OPTION_QUANTITY, JW_LENGTH, 20e-3, 150e-3, "61mm",
     "bore of the cylinders; compression stays unless given"},
    {"stroke", OPTION_QUANTITY, JW_LENGTH, 20e-3, 200e-3, "62mm", "stroke"},
    {"cylinders", OPTION_QUANTITY, JW_NUMBER, 1, 12, "2", "cylinders on one carburetor"},
    {"compression", OPTION_QUANTITY, JW_NUMBER, 4, 18, "11", "compression ratio"},
    {"filling", OPTION_TEXT, 0, 0, 0, "half=1.02,full=1.08",
     "volumetric efficiency times a factor, for camshaft, ports or exhaust: one for all speeds, and one in its place "
     "for "
     "the speed of each range named; where none is given, 1, or what --exhaust does"},
    {"exhaust", OPTION_TEXT, 0, 0, 0, "freer",
     "a freer exhaust, which fills better by as much as is usual; --filling says by how much instead"},
    {"filter", OPTION_TEXT, 0, 0, 0, "open",
     "open (an open filter, a tenth of the loss), removed (no filter, no airbox), or its loss as a pressure at the air "
     "flow that the profile states"},
    {"throat", OPTION_QUANTITY, JW_LENGTH, 5e-3, 80e-3, "24mm",
     "bore of the carburetor's throat, plate and slide in proportion, jets as they are"},
    {"carburetor", OPTION_TEXT, 0, 0, 0, "twin-480", "the carburetor of another profile with its jets"},
    {"bowl-vent", OPTION_TEXT, 0, 0, 0, "airbox", "what the bowl is vented to: atmosphere or airbox"},
    {"diaphragm-reference", OPTION_TEXT, 0, 0, 0, "airbox",
     "what the upper side of a floating slide is vented to: atmosphere or airbox"},
    {"fuel", OPTION_TEXT, 0, 0, 0, "e85", "fuel, by name or file"},
    {"premix", OPTION_TEXT, 0, 0, 0, "1:40", "oil to petrol in the tank, or the oil's share as 2.5%"},
    {"season", OPTION_TEXT, 0, 0, 0, "winter",
     "spring (12 C, 65 %), summer (28 C, 55 %), autumn (10 C, 80 %) or winter (0 C, 85 % relative humidity)"},
    {0},
};

const cli_option rejet_brass_options[] = {
    {"jets", OPTION_TEXT, 0, 0, 0, "metric-steps", "jets at hand, by name or file; any bore unless given"},
    {"target", OPTION_TEXT, 0, 0, 0, "full=0.88,half=0.95", "lambda wanted in a range; as it was before unless given"},
    {"main-jet", OPTION_QUANTITY, JW_LENGTH, 0.1e-3, 5e-3, "1.2mm", "bore of the main jet that is in it now"},
    {"pilot-jet", OPTION_QUANTITY, JW_LENGTH, 0.1e-3, 3e-3, "0.42mm", "bore of the pilot jet that is in it now"},
    {"screw", OPTION_QUANTITY, JW_NUMBER, 0, 6, "2.5", "turns of the mixture screw now, out from lightly seated"},
    {"needle-raised", OPTION_QUANTITY, JW_LENGTH, -4e-3, 4e-3, "1mm",
     "the needle now, above where it hung when the engine ran right; --needle-raised=-1mm: below"},
    {"grooves", OPTION_QUANTITY, JW_NUMBER, 1, 12, "5",
     "grooves of the needle; 5 unless given, 1: only a shim moves it"},
    {"clip", OPTION_QUANTITY, JW_NUMBER, 1, 12, "3",
     "groove of the clip now, from the top; the middle one unless given"},
    {"groove-pitch", OPTION_QUANTITY, JW_LENGTH, 0.1e-3, 3e-3, "1mm", "from groove to groove; 1 mm unless given"},
    {"readings", OPTION_TEXT, 0, 0, 0, "first-ride.yaml",
     "readings on the changed engine with the jets now in it, as for fit: the answer agrees with them and is surer"},
    {"plan", OPTION_TEXT, 0, 0, 0, "0m:3000m",
     "from one altitude to another the fewest sets of jets that keep every range inside its band, and where to change; "
     "or for places with their altitude, temperature, humidity or season: 'harbour 0m 25C, pass 2400m winter'"},
    {"html", OPTION_FILE, 0, 0, 0, "sheet.html",
     "also write a job sheet there: one page to read on a phone or to print, with nothing else to load"},
    {"svg", OPTION_FILE, 0, 0, 0, "rejet.svg",
     "also draw lambda over the ranges, or with --plan over the altitudes or at the places"},
    {0},
};

/* Of a temperate place, invented. */
static const struct season {
	const char *name;
	double celsius, humidity;
} seasons[] = {{"spring", 12, 0.65}, {"summer", 28, 0.55}, {"autumn", 10, 0.80}, {"winter", 0, 0.85}};
enum { SEASONS = sizeof seasons / sizeof *seasons };

/* ---- reading ---- */

static jw_rejet_change *add(rejet_asked *asked, jw_rejet_kind kind)
{
	jw_rejet_change *change = &asked->change[asked->request.changes++];
	*change = (jw_rejet_change){.kind = kind};
	return change;
}

/* Options whose quantity is the value of a change. */
static const struct {
	const char *option;
	jw_rejet_kind kind;
} quantities[] = {{"bore", JW_REJET_BORE},
                  {"stroke", JW_REJET_STROKE},
                  {"cylinders", JW_REJET_CYLINDERS},
                  {"compression", JW_REJET_COMPRESSION},
                  {"throat", JW_REJET_THROAT}};

static int read_quantities(const cli_arguments *arguments, rejet_asked *asked)
{
	for (size_t i = 0; i < sizeof quantities / sizeof *quantities; i++)
		if (has(arguments, quantities[i].option))
			add(asked, quantities[i].kind)->value = value_of(arguments, quantities[i].option, 0);
	if (has(arguments, "cylinders") &&
	    value_of(arguments, "cylinders", 0) != floor(value_of(arguments, "cylinders", 0)))
		return wrong_use(arguments->command, "--cylinders %s: expected a whole number",
		                 text_of(arguments, "cylinders", ""));
	return ANSWERED;
}

int rejet_refused(const cli_arguments *arguments, const rejet_asked *asked, jw_status status, const jw_error *error)
{
	int made = 0, sound = 1;
	while (sound && made < asked->request.changes) {
		jw_setup setup = *asked->request.setup;
		jw_air air = asked->was;
		setup.pulses.nodes = 0; /* a new one takes seconds, and is not needed here */
		sound = jw_rejet_apply(asked->change, ++made, &setup, &air, NULL) >= 0;
	}
	library_error(arguments->command, status, error);
	for (size_t i = 0; i < sizeof quantities / sizeof *quantities && !sound; i++)
		if (quantities[i].kind == asked->change[made - 1].kind)
			fprintf(stderr, "That comes from --%s %s.\n", quantities[i].option,
			        text_of(arguments, quantities[i].option, ""));
	return FAILED;
}

static int read_vent(const cli_arguments *arguments, const char *option, jw_rejet_kind kind, rejet_asked *asked)
{
	if (!has(arguments, option))
		return ANSWERED;
	for (int v = 0; v < JW_VENT_COUNT; v++)
		if (!strcmp(rejet_vent_words[v], text_of(arguments, option, ""))) {
			add(asked, kind)->value = v;
			return ANSWERED;
		}
	return wrong_use(arguments->command, "--%s %s: expected atmosphere or airbox", option,
	                 text_of(arguments, option, ""));
}

static int read_vents(const cli_arguments *arguments, rejet_asked *asked)
{
	const jw_profile *profile = asked->other ? asked->other : asked->profile;
	if (has(arguments, "diaphragm-reference") && jw_profile_setup(profile)->carburetor.kind != JW_CONSTANT_DEPRESSION)
		return wrong_use(arguments->command, "--diaphragm-reference: this carburetor has no floating slide");
	int code = read_vent(arguments, "bowl-vent", JW_REJET_VENT, asked);
	return code == ANSWERED ? read_vent(arguments, "diaphragm-reference", JW_REJET_REFERENCE, asked) : code;
}

static int read_filter(const cli_arguments *arguments, rejet_asked *asked)
{
	const char *word = text_of(arguments, "filter", NULL);
	const jw_setup *setup = jw_profile_setup(asked->profile);
	jw_setup open = *setup;
	if (!word)
		return ANSWERED;
	double loss = 0;
	jw_change_apply(&open, JW_CHANGE_FILTER_OPEN, NULL);
	if (!strcmp(word, "open"))
		loss = open.carburetor.intake.loss_pa;
	else if (strcmp(word, "removed") &&
	         (jw_quantity_parse(word, JW_PRESSURE, &loss, NULL) < 0 || loss < 0 || loss > 20e3))
		return wrong_use(arguments->command,
		                 "--filter %s: expected open, removed, or a loss of 0 to 20 kPa such as 300Pa", word);
	add(asked, JW_REJET_FILTER)->value = loss;
	return ANSWERED;
}

#define EVERY_RANGE ((1u << JW_RANGE_COUNT) - 1)

/* "full=1.08", `length` long: its range as a bit, or all of them for "1.05" alone; 0 where it is neither or its number
 * lies outside. */
static unsigned read_at_range(const char *item, size_t length, double low, double high, double *value)
{
	char text[48];
	snprintf(text, sizeof text, "%.*s", (int)length, item);
	char *equals = strchr(text, '=');
	if (length >= sizeof text || jw_quantity_parse(equals ? equals + 1 : text, JW_NUMBER, value, NULL) < 0 ||
	    !(*value >= low && *value <= high))
		return 0;
	if (!equals)
		return EVERY_RANGE;
	*equals = '\0';
	for (unsigned r = 0; r < JW_RANGE_COUNT; r++)
		if (!strcmp(text, jw_range_name((jw_range)r)))
			return 1u << r;
	return 0;
}

/* A factor for all speeds, and one in its place where a range is named, in whichever order. */
typedef struct factors {
	double all, at[JW_RANGE_COUNT]; /* `at` 0: not named */
} factors;

static int read_factor(const char *item, size_t length, factors *f)
{
	double value;
	const unsigned ranges = read_at_range(item, length, 0.3, 3, &value);
	if (ranges == EVERY_RANGE)
		f->all = value;
	else
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			f->at[r] = (ranges >> r) & 1 ? value : f->at[r];
	return ranges != 0;
}

static int read_filling(const cli_arguments *arguments, rejet_asked *asked)
{
	factors f = {.all = 1};
	const char *word = text_of(arguments, "exhaust", NULL);
	jw_setup freer = *jw_profile_setup(asked->profile);
	const double before = freer.engine.ve[0];
	jw_change_apply(&freer, JW_CHANGE_EXHAUST_FREER, NULL);
	if (word && strcmp(word, "freer"))
		return wrong_use(arguments->command, "--exhaust %s: expected freer; --filling takes a factor", word);
	if (word)
		f.all = freer.engine.ve[0] / before;
	for (const char *item = text_of(arguments, "filling", NULL); item;) {
		const size_t length = strcspn(item, ",");
		if (!read_factor(item, length, &f))
			return wrong_use(
			    arguments->command,
			    "--filling: '%.*s' is no factor of 0.3 to 3, or of such a range, expected one such as 1.05 or "
			    "half=1.02,full=1.08 (idle, off_idle, quarter, half, three_quarter, full)",
			    (int)length, item);
		item = item[length] ? item + length + 1 : NULL;
	}
	if (!word && !has(arguments, "filling"))
		return ANSWERED;
	jw_rejet_change *change = add(asked, JW_REJET_FILLING);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		change->factor[r] = f.at[r] > 0 ? f.at[r] : f.all;
	return ANSWERED;
}

static int read_premix(const cli_arguments *arguments, rejet_asked *asked)
{
	const char *word = text_of(arguments, "premix", NULL);
	double share = NAN, parts;
	if (!word)
		return ANSWERED;
	if (jw_profile_setup(asked->profile)->engine.strokes == 4)
		return wrong_use(
		    arguments->command,
		    "--premix: this is a four-stroke, whose oil is not in its fuel; a two-stroke burns such a mix");
	if (!strncmp(word, "1:", 2) && jw_quantity_parse(word + 2, JW_NUMBER, &parts, NULL) >= 0)
		share = 1 / (1 + parts);
	else if (jw_quantity_parse(word, JW_FRACTION, &share, NULL) < 0)
		share = NAN;
	if (!(share >= 0 && share <= 0.2))
		return wrong_use(arguments->command, "--premix %s: expected oil to petrol such as 1:40, or 0%% to 20%%", word);
	add(asked, JW_REJET_PREMIX)->value = share;
	return ANSWERED;
}

static int read_fuel(const cli_arguments *arguments, rejet_asked *asked)
{
	jw_fuel fuel;
	if (!has(arguments, "fuel"))
		return ANSWERED;
	if (load_fuel(text_of(arguments, "fuel", ""), &fuel) < 0)
		return FAILED;
	add(asked, JW_REJET_FUEL)->fuel = fuel;
	asked->fuel = text_of(arguments, "fuel", "");
	return ANSWERED;
}

static int read_carburetor(const cli_arguments *arguments, rejet_asked *asked)
{
	jw_status status;
	if (!has(arguments, "carburetor"))
		return ANSWERED;
	asked->other = load_profile(text_of(arguments, "carburetor", ""), &status);
	if (!asked->other)
		return FAILED;
	asked->status |= status;
	add(asked, JW_REJET_CARBURETOR)->other = jw_profile_setup(asked->other);
	return ANSWERED;
}

static void give(cli_arguments *arguments, const char *name, double si, const char *text)
{
	for (int i = 0; i < arguments->options; i++)
		if (!strcmp(arguments->given[i].option->name, name) && !arguments->given[i].present) {
			arguments->given[i].present = 1;
			arguments->given[i].si = si;
			arguments->given[i].text = text;
		}
}

int rejet_season(const char *word, double *temperature_k, double *humidity)
{
	for (int i = 0; i < SEASONS; i++)
		if (!strcmp(word, seasons[i].name)) {
			*temperature_k = ZERO_CELSIUS + seasons[i].celsius;
			*humidity = seasons[i].humidity;
			return 1;
		}
	return 0;
}

/* What the season does not say, and the user does, holds. */
static int read_season(const cli_arguments *given, cli_arguments *arguments)
{
	*arguments = *given;
	const char *word = text_of(given, "season", NULL);
	double temperature_k, humidity;
	if (word && rejet_season(word, &temperature_k, &humidity)) {
		give(arguments, "temperature", temperature_k, word);
		if (!has(given, "dew-point"))
			give(arguments, "humidity", humidity, word);
		return ANSWERED;
	}
	return word ? wrong_use(given->command, "--season %s: expected spring, summer, autumn or winter", word) : ANSWERED;
}

static int read_weather(const cli_arguments *given, rejet_asked *asked)
{
	cli_arguments arguments;
	jw_air air;
	int code = read_season(given, &arguments);
	if (code == ANSWERED)
		code = read_air(&arguments, &asked->was, &air, &asked->status);
	if (code != ANSWERED)
		return code;
	const double wet = jw_relative_humidity(&air);
	if (air.pressure_pa != asked->was.pressure_pa)
		add(asked, JW_REJET_PRESSURE)->value = air.pressure_pa;
	if (air.temperature_k != asked->was.temperature_k)
		add(asked, JW_REJET_TEMPERATURE)->value = air.temperature_k;
	if (fabs(wet - jw_relative_humidity(&asked->was)) > 1e-6)
		add(asked, JW_REJET_HUMIDITY)->value = wet;
	return ANSWERED;
}

/* What is in it now; what is not given is as it was, or as the other carburetor has it. */
static int read_brass(const cli_arguments *arguments, rejet_asked *asked)
{
	static const struct {
		const char *option;
		jw_part part;
	} brass[] = {{"main-jet", JW_PART_MAIN_JET},
	             {"pilot-jet", JW_PART_PILOT_JET},
	             {"screw", JW_PART_MIXTURE_SCREW},
	             {"needle-raised", JW_PART_NEEDLE_POSITION}};
	const jw_setup *setup = jw_profile_setup(asked->other ? asked->other : asked->profile);
	double part[JW_PART_COUNT];
	int given = 0;
	for (int p = 0; p < JW_PART_COUNT; p++)
		part[p] = jw_part_value(setup, (jw_part)p);
	for (size_t i = 0; i < sizeof brass / sizeof *brass; i++)
		if (has(arguments, brass[i].option)) {
			const double from = brass[i].part == JW_PART_NEEDLE_POSITION ? part[brass[i].part] : 0;
			part[brass[i].part] = from + value_of(arguments, brass[i].option, 0);
			given = 1;
		}
	if (given)
		memcpy(add(asked, JW_REJET_BRASS)->part, part, sizeof part);
	return ANSWERED;
}

/* What only a needle has. */
static int read_needle(const cli_arguments *arguments, rejet_asked *asked)
{
	static const char *const options[] = {"needle-raised", "grooves", "clip", "groove-pitch"};
	const jw_profile *profile = asked->other ? asked->other : asked->profile;
	for (size_t i = 0; i < sizeof options / sizeof *options && nozzle_is_fixed(jw_profile_setup(profile)); i++)
		if (has(arguments, options[i]))
			return wrong_use(arguments->command, "--%s: this carburetor has no needle", options[i]);
	return ANSWERED;
}

static int read_grooves(const cli_arguments *arguments, rejet_asked *asked)
{
	jw_grooves *g = &asked->request.grooves;
	g->count = (int)value_of(arguments, "grooves", 5);
	g->now = (int)value_of(arguments, "clip", (g->count + 1) / 2);
	g->pitch_m = value_of(arguments, "groove-pitch", 1e-3);
	asked->grooves_stated = has(arguments, "grooves") || has(arguments, "clip") || has(arguments, "groove-pitch");
	if (g->now > g->count)
		return wrong_use(arguments->command, "--clip %d: expected a groove of 1 to %d, counted from the top", g->now,
		                 g->count);
	return ANSWERED;
}

static int read_jets(const cli_arguments *arguments, rejet_asked *asked)
{
	jw_faults faults = {0};
	asked->jets_word = text_of(arguments, "jets", NULL);
	if (!asked->jets_word)
		return ANSWERED;
	cli_place place = find_place("jets", asked->jets_word);
	jw_status status = jw_jets_load(place.path, place_library(&place), &asked->jets, NULL, 0, &faults);
	if (status < 0) {
		report_faults(&place, status, &faults);
		hint_names(&place, "jets");
		return FAILED;
	}
	asked->status |= status;
	asked->request.jets = &asked->jets;
	return ANSWERED;
}

/* Of one range each: no lambda is right in all. */
static int read_one_target(const char *item, size_t length, double *target)
{
	double value;
	const unsigned ranges = read_at_range(item, length, 0.5, 1.5, &value);
	if (!ranges || ranges == EVERY_RANGE)
		return 0;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		if ((ranges >> r) & 1)
			target[r] = value;
	return 1;
}

static int read_targets(const cli_arguments *arguments, rejet_asked *asked)
{
	for (const char *item = text_of(arguments, "target", NULL); item;) {
		const size_t length = strcspn(item, ",");
		if (!read_one_target(item, length, asked->request.target_lambda))
			return wrong_use(
			    arguments->command,
			    "--target: '%.*s', expected a range and lambda 0.5 to 1.5, such as full=0.88 (idle, off_idle, "
			    "quarter, half, three_quarter, full)",
			    (int)length, item);
		item = item[length] ? item + length + 1 : NULL;
	}
	return ANSWERED;
}

/* Air that they do not state is that of the changed engine. */
static int read_readings(const cli_arguments *arguments, rejet_asked *asked)
{
	jw_faults faults = {0};
	jw_setup setup = *asked->request.setup;
	jw_air air = asked->was;
	const char *word = text_of(arguments, "readings", NULL);
	setup.pulses.nodes = 0; /* no reading asks for the table, and a new one takes seconds */
	if (!word || jw_rejet_apply(asked->change, asked->request.changes, &setup, &air, NULL) < 0)
		return ANSWERED; /* jw_rejet says what is wrong */
	cli_place place = find_place("readings", word);
	jw_status status = jw_readings_load(place.path, &setup, &air, &asked->readings, &faults);
	if (status < 0) {
		report_faults(&place, status, &faults);
		hint_names(&place, "readings");
		return FAILED;
	}
	asked->status |= status;
	asked->request.reading = jw_readings_list(asked->readings, &asked->request.readings);
	return ANSWERED;
}

/* The profile's uncertainty of each coefficient holds that of its dimensions where nothing ties them to the engine. */
static void read_doubt(rejet_asked *asked)
{
	const jw_coefficients *c = &jw_profile_setup(asked->profile)->coefficient;
	jw_rejet_request *request = &asked->request;
	request->anchored = jw_profile_baseline(asked->profile) || c->main != 1 || c->needle != 1 || c->pilot != 1;
	if (request->anchored)
		request->unmeasured = jw_profile_unmeasured(asked->profile, &request->unmeasureds);
}

static int read_limits(const cli_arguments *arguments, rejet_asked *asked)
{
	if (asked->request.changes <= JW_REJET_CHANGES)
		return ANSWERED;
	return wrong_use(arguments->command,
	                 "%d changes at once (air counts as pressure, temperature and humidity), expected at most %d",
	                 asked->request.changes, JW_REJET_CHANGES);
}

int rejet_read(const cli_arguments *arguments, rejet_asked *asked)
{
	static int (*const readers[])(const cli_arguments *arguments, rejet_asked *asked) = {
	    read_carburetor, read_quantities, read_filling, read_filter, read_vents,
	    read_fuel,       read_premix,     read_needle,  read_brass,  read_weather,
	    read_grooves,    read_targets,    read_jets,    read_limits, read_readings};
	const jw_baseline *baseline = jw_profile_baseline(asked->profile);
	int code = ANSWERED;
	if (baseline)
		asked->was = baseline->air;
	else
		jw_air_from_humidity(STANDARD_PRESSURE, STANDARD_TEMPERATURE, 0, &asked->was, NULL);
	asked->request.setup = jw_profile_setup(asked->profile);
	asked->request.air = &asked->was;
	asked->request.change = asked->change;
	read_doubt(asked);
	for (size_t i = 0; i < sizeof readers / sizeof *readers && code == ANSWERED; i++)
		code = readers[i](arguments, asked);
	return code;
}

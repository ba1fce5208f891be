/* SPDX-License-Identifier: GPL-3.0-or-later */
/* air: the density of the day's air and what it does to the mixture. */
#include "commands.h"
#include "ambient.h"
#include "show.h"
#include <math.h>

/* The greatest correction that SAE J1349 (June 1990) allows for spark ignition, from memory. */
#define J1349_MOST 0.07

typedef struct comparison {
	jw_air now, reference;
	double rule, power_factor;
} comparison;

static void print_json(const comparison *c)
{
	cli_json json = json_begin(stdout);
	json_air(&json, "air", &c->now);
	json_air(&json, "reference", &c->reference);
	json_number(&json, "density_ratio", c->now.density_kg_m3 / c->reference.density_kg_m3);
	json_number(&json, "lambda_factor_first_order", c->rule);
	json_number(&json, "power_correction", c->power_factor);
	json_end(&json);
}

static void print_row(const char *name, const char *value, const char *sentence)
{
	printf("  %-16s%-13s", name, value);
	text_wrap(stdout, 31, 31, "%s", sentence);
}

static void print_text(const comparison *c)
{
	char value[32], sentence[512];
	const double density = c->now.density_kg_m3, ratio = density / c->reference.density_kg_m3;
	printf("Air at %s.\n\n", air_text(&c->now).text);

	snprintf(value, sizeof value, "%.2f kg/m3", density);
	snprintf(sentence, sizeof sentence, "%.1f %% of standard air at sea level (101.3 kPa, 15 C, dry: %.2f kg/m3)",
	         100 * ratio, c->reference.density_kg_m3);
	print_row("density", value, sentence);

	snprintf(value, sizeof value, "%.1f %%", 100 * c->now.dry_fraction);
	print_row(
	    "dry share", value,
	    "of the mass; the carburetor meters on all the air, but only the dry share burns fuel and counts in lambda");

	snprintf(value, sizeof value, "%.2f", c->rule);
	const char *side = c->rule < 0.995 ? "richer" : c->rule > 1.005 ? "leaner" : "the same within 0.5 %";
	snprintf(sentence, sizeof sentence,
	         "first order, brass unchanged: a lambda of 1.00 in standard air becomes %.2f here, %s. Holds for a fixed "
	         "venturi, "
	         "and for a slide at full lift; a floating constant-depression slide follows the air less: ask 'jetwright "
	         "mixture'",
	         c->rule, side);
	print_row("lambda factor", value, sentence);

	snprintf(value, sizeof value, "%.2f", c->power_factor);
	snprintf(
	    sentence, sizeof sentence,
	    "power measured in this air times %.2f is the power in the reference air of SAE J1349 (99 kPa dry, 25 C)%s",
	    c->power_factor,
	    fabs(c->power_factor - 1) > J1349_MOST ? "; the standard itself trusts no correction above 7 %" : "");
	print_row("power", value, sentence);
}

static int run(const cli_arguments *arguments)
{
	comparison c;
	jw_error error = {0};
	jw_status status = JW_OK;
	int code = read_air(arguments, NULL, &c.now, &status);
	if (code != ANSWERED)
		return code;
	jw_status reference = jw_air_from_humidity(STANDARD_PRESSURE, STANDARD_TEMPERATURE, 0, &c.reference, &error);
	if (reference < 0)
		return library_error(arguments->command, reference, &error);
	c.rule =
	    jw_density_rule(c.now.density_kg_m3, c.reference.density_kg_m3) * c.now.dry_fraction / c.reference.dry_fraction;
	c.power_factor = jw_power_correction(c.now.pressure_pa * (1 - c.now.vapour_fraction), c.now.temperature_k);
	if (has(arguments, "json"))
		print_json(&c);
	else
		print_text(&c);
	return answered(arguments, status, NULL);
}

const cli_command air_command = {
    .name = "air",
    .operands = "",
    .summary = "the density of the day's air and what it does to the mixture",
    .details =
        "Density of the air, its dry share, and what both do to the mixture, compared with standard air at sea level "
        "(ISO 2533: 101.325 kPa, 15 C, dry). What is not given is taken from that standard.",
    .groups = {air_options},
    .examples =
        {
            {"air --altitude 1600m --temperature 30C --humidity 60%", "a hot day in the mountains"},
            {"air --pressure 98.4kPa --temperature 12C --dew-point 8C", "as the barometer on the wall reads it"},
        },
    .run = run,
};

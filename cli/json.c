/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "json.h"
#include <jetwright/status.h>
#include <math.h>
#include <stdlib.h>

/* The program never sets a locale, so that printf and strtod keep the point. */

static void write_text(FILE *out, const char *text)
{
	fputc('"', out);
	for (const unsigned char *c = (const unsigned char *)text; *c; c++) {
		if (*c == '"' || *c == '\\')
			fprintf(out, "\\%c", *c);
		else if (*c < 0x20)
			fprintf(out, "\\u%04x", (unsigned)*c);
		else
			fputc(*c, out);
	}
	fputc('"', out);
}

static void line(cli_json *json)
{
	fputc('\n', json->out);
	for (int i = 0; i < json->depth; i++)
		fputc('\t', json->out);
}

static void member(cli_json *json, const char *key)
{
	if (json->members++)
		fputc(',', json->out);
	if (json->depth)
		line(json);
	if (key) {
		write_text(json->out, key);
		fputs(": ", json->out);
	}
}

static void open_bracket(cli_json *json, const char *key, char bracket)
{
	member(json, key);
	fputc(bracket, json->out);
	json->depth++;
	json->members = 0;
}

static void close_bracket(cli_json *json, char bracket)
{
	json->depth--;
	if (json->members)
		line(json);
	fputc(bracket, json->out);
	json->members = 1;
}

cli_json json_begin(FILE *out)
{
	cli_json json = {.out = out};
	open_bracket(&json, NULL, '{');
	json_text(&json, "jetwright", jw_version());
	json_number(&json, "format", 1);
	return json;
}

void json_end(cli_json *json)
{
	close_bracket(json, '}');
	fputc('\n', json->out);
}

void json_object(cli_json *json, const char *key)
{
	open_bracket(json, key, '{');
}

void json_object_end(cli_json *json)
{
	close_bracket(json, '}');
}

void json_array(cli_json *json, const char *key)
{
	open_bracket(json, key, '[');
}

void json_array_end(cli_json *json)
{
	close_bracket(json, ']');
}

void json_number(cli_json *json, const char *key, double value)
{
	char text[32];
	if (!isfinite(value)) {
		json_null(json, key);
		return;
	}
	member(json, key);
	for (int digits = 15; digits <= 17; digits++) {
		snprintf(text, sizeof text, "%.*g", digits, value);
		if (strtod(text, NULL) == value)
			break;
	}
	fputs(text, json->out);
}

void json_number_or_null(cli_json *json, const char *key, double value)
{
	json_number(json, key, value > 0 ? value : NAN);
}

void json_text(cli_json *json, const char *key, const char *text)
{
	if (!text) {
		json_null(json, key);
		return;
	}
	member(json, key);
	write_text(json->out, text);
}

void json_flag(cli_json *json, const char *key, int flag)
{
	member(json, key);
	fputs(flag ? "true" : "false", json->out);
}

void json_null(cli_json *json, const char *key)
{
	member(json, key);
	fputs("null", json->out);
}

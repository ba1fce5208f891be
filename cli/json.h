/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A small JSON writer. Keys are NULL inside an array. */
#ifndef CLI_JSON_H
#define CLI_JSON_H

#include <stdio.h>

typedef struct cli_json {
	FILE *out;
	int depth;
	int members; /* written so far at this depth: 0 or more */
} cli_json;

/* Opens the document with the program's version and the format's number. */
cli_json json_begin(FILE *out);
void json_end(cli_json *json);

void json_object(cli_json *json, const char *key);
void json_object_end(cli_json *json);
void json_array(cli_json *json, const char *key);
void json_array_end(cli_json *json);

/* Shortest decimal that reads back as the same number; null if not finite. */
void json_number(cli_json *json, const char *key, double value);
/* The number, or null where it is 0 (lambda without fuel). */
void json_number_or_null(cli_json *json, const char *key, double value);
/* Null where the text is NULL. */
void json_text(cli_json *json, const char *key, const char *text);
void json_flag(cli_json *json, const char *key, int flag);
void json_null(cli_json *json, const char *key);

#endif

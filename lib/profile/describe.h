/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a field expects, in words. */
#ifndef JW_PROFILE_DESCRIBE_H
#define JW_PROFILE_DESCRIBE_H

#include "profile/fields.h"

/* "0.3 mm to 4 mm", "one of a, b" and so on. */
void jw_field_expects(const jw_field *field, char *text, size_t size);

/* The same for a word that is not in the list; only the nearest one, where one is near. */
void jw_word_expects(const jw_field *field, const char *word, char *text, size_t size);

/* What was meant by an unknown key under a prefix ("engine." or "") of a table. */
void jw_key_expects(const jw_field *table, const char *prefix, const char *key, char *text, size_t size);

/* A value in SI in the unit in which the field states its bounds. */
void jw_field_format(const jw_field *field, double si, char *text, size_t size);

/* A value in SI in a unit, which may follow a blank: "1.05 mm". */
void jw_quantity_write(double si, jw_dimension dimension, const char *unit, int digits, char *text, size_t size);

#endif

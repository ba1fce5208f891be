/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A field table as a JSON Schema (draft 2020-12). */
#ifndef JW_PROFILE_SCHEMA_H
#define JW_PROFILE_SCHEMA_H

#include "profile/fields.h"

/* \return JW_OK or JW_E_WRITE */
jw_status jw_schema_print(const jw_field *table, const char *kind, FILE *out);

#endif

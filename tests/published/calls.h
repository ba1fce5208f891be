/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a row's function column may name: a public function, or what a user would compute from a few of them. */
#ifndef JW_PUBLISHED_CALLS_H
#define JW_PUBLISHED_CALLS_H

#include <jetwright/status.h>

#define INPUTS_MAX 12
#define VALUES_MAX 8

typedef struct values {
	double value[VALUES_MAX];
	int count;
} values;

typedef struct call {
	const char *name;
	const char *inputs; /* names in the order in which compute takes them, blank between */
	jw_status (*compute)(const values *in, values *out);
} call;

extern const call calls[]; /* ends with a NULL name */

#endif

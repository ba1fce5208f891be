/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Prints every unit that the library accepts: its kind's SI unit, its name, and what 1 and 0 of it are in SI. */
#include <jetwright/units.h>
#include <stdio.h>
#include <string.h>

#define JW_X(kind, si, example) si,
static const char *const si_units[] = {JW_DIMENSION_LIST(JW_X)};
#undef JW_X

static int print_unit(int kind, const char *name, int length)
{
	char text[2][32];
	double si[2];
	for (int number = 0; number < 2; number++) {
		snprintf(text[number], sizeof text[number], "%d %.*s", number, length, name);
		if (jw_quantity_parse(text[number], kind, &si[number], NULL) != JW_OK)
			return 1;
	}
	printf("%s\t%.*s\t%.17g\t%.17g\n", si_units[kind], length, name, si[1], si[0]);
	return 0;
}

int main(void)
{
	for (int kind = 0; kind < JW_DIMENSION_COUNT; kind++)
		for (const char *name = jw_unit_names(kind); *name;) {
			size_t length = strcspn(name, ",");
			if (print_unit(kind, name, (int)length) != 0)
				return 1;
			name += length + (name[length] ? 2 : 0);
		}
	return 0;
}

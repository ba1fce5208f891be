/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities as people write them, and what the library says where they are none. */
#include "must.h"

int main(void)
{
	double bore_m, thou;
	jw_error error = {0};
	must(jw_quantity_parse("1.05 mm", JW_LENGTH, &bore_m, &error), &error);
	must(jw_quantity_in(bore_m, JW_LENGTH, "thou", &thou, &error), &error);
	printf("jetwright %s: 1.05 mm are %.2f thousandths of an inch\n", jw_version(), thou);

	jw_status status = jw_quantity_parse("1.05 furlongs", JW_LENGTH, &bore_m, &error);
	printf("%s: %s; units of length: %s, as in %s\n", jw_status_name(status), jw_status_text(status),
	       jw_unit_names(JW_LENGTH), jw_unit_example(JW_LENGTH));
	return 0;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One bore, and what would be stamped on a jet of it. */
#include "must.h"

int main(void)
{
	const jw_flow_bench bench = {.jet = {.length_m = 2e-3}, .liquid = {745, 0.55e-6}, .drop_pa = 3650};
	jw_error error = {0};
	double bore_m;
	must(jw_mark_bore(JW_MARK_NUMBER_DRILL, 58, NULL, &bore_m, &error), &error);
	for (int kind = 0; kind < JW_MARK_KIND_COUNT; kind++) {
		double mark, difference_m;
		must(jw_mark_nearest((jw_mark_kind)kind, bore_m, &bench, &mark, &difference_m, &error), &error);
		printf("%-15s %6.1f, wider by %.4f mm\n", jw_mark_name((jw_mark_kind)kind), mark, 1e3 * difference_m);
	}
	return 0;
}

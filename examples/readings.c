/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: readings PROFILES. A set-up fitted to what instruments showed. */
#include "must.h"

int main(int argc, char **argv)
{
	const char *folder = argc > 1 ? argv[1] : "profiles";
	jw_profile *profile = engine_of(folder, "courier-150");
	const jw_setup *setup = jw_profile_setup(profile);
	char path[1024];
	jw_readings *readings;
	jw_faults faults = {0};
	int count;
	snprintf(path, sizeof path, "%s/readings/courier-150-road.yaml", folder);
	must_load(jw_readings_load(path, setup, NULL, &readings, &faults), &faults);
	const jw_reading *list = jw_readings_list(readings, &count);
	printf("%s\n%d readings, %d samples left out\n", jw_readings_about(readings), count,
	       jw_readings_left_out(readings));

	jw_fit_reading *each = malloc((size_t)count * sizeof *each);
	jw_error error = {0};
	jw_fit fit;
	if (!each)
		return 1;
	must(jw_fit_readings(setup, list, count, &fit, each, &error), &error);
	for (int i = 0; i < JW_UNKNOWN_COUNT; i++)
		if (fit.free[i])
			printf("%-10s %.4g in place of %.4g\n", jw_unknown_name((jw_unknown)i),
			       jw_unknown_value(&fit.setup, (jw_unknown)i), jw_unknown_value(setup, (jw_unknown)i));
	printf("farthest from the others: line %d, a %s, %.1f standard uncertainties\n", list[fit.worst].line,
	       jw_reading_name(list[fit.worst].kind), each[fit.worst].apart);
	free(each);
	jw_readings_free(readings);
	jw_profile_free(profile);
	return 0;
}

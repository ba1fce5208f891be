/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: comma PROFILE
 * Under a locale that writes 1,5 the library still reads 1.5, and leaves the locale as it found it.
 * Exits 77, a skip, where the locale named in the environment is not to be had. */
#include <jetwright/jetwright.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int faults;

static void expect(int holds, const char *what)
{
	if (!holds) {
		printf("failed: %s\n", what);
		faults++;
	}
}

/* What the profile's engine runs at half throttle; 0 if it does not load. */
static double phi_at_half(const char *path)
{
	jw_profile *profile = NULL;
	jw_faults faults_found;
	jw_air air;
	jw_mixture mixture = {0};
	if (jw_profile_load(path, NULL, &profile, &faults_found) < 0 ||
	    jw_air_from_humidity(98.7e3, 291.4, 0.37, &air, NULL) != JW_OK)
		return 0;
	const jw_setup *setup = jw_profile_setup(profile);
	jw_status status = jw_mixture_at(setup, &air, &setup->range[JW_HALF], &mixture, NULL);
	jw_profile_free(profile);
	return status < 0 ? 0 : mixture.phi;
}

int main(int argc, char **argv)
{
	if (argc != 2)
		return EXIT_FAILURE;
	double phi = phi_at_half(argv[1]);
	expect(phi > 0.5, "the profile loads and burns");

	if (!setlocale(LC_ALL, "") || strcmp(localeconv()->decimal_point, ",") != 0) {
		puts("SKIPPED: no locale with a decimal comma");
		return 77;
	}
	expect(strtod("1.5", NULL) == 1.0, "the C library follows the locale, else this test says nothing");

	double si = 0;
	expect(jw_quantity_parse("1.05 mm", JW_LENGTH, &si, NULL) == JW_OK && fabs(si - 1.05e-3) < 1e-15,
	       "1.05 mm is read");
	expect(jw_quantity_parse("2.5e-1", JW_NUMBER, &si, NULL) == JW_OK && si == 0.25, "2.5e-1 is read");
	expect(jw_quantity_parse("1,05 mm", JW_LENGTH, &si, NULL) == JW_E_ARGUMENT && si == 0.25, "1,05 mm is refused");
	expect(jw_quantity_parse("1,05", JW_NUMBER, &si, NULL) == JW_E_ARGUMENT && si == 0.25, "1,05 is refused");

	expect(phi_at_half(argv[1]) == phi, "a profile means the same");

	expect(strcmp(localeconv()->decimal_point, ",") == 0, "the locale is left alone");
	puts(faults ? "failed" : "passed under a decimal comma");
	return faults ? EXIT_FAILURE : EXIT_SUCCESS;
}

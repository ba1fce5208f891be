/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: profile PROFILES. Files: what an engine's profile holds, how it is written, and what may stand in one. */
#include "must.h"

static void show_engine(const jw_profile *profile, const jw_air *air)
{
	const jw_setup *setup = jw_profile_setup(profile);
	const char *class = jw_profile_based_on(profile);
	int count;
	const jw_unmeasured *unmeasured = jw_profile_unmeasured(profile, &count);
	jw_error error = {0};
	double relative, contribution[JW_UNMEASURED];
	must(jw_profile_contributions(profile, air, &setup->range[JW_HALF], contribution, &relative, &error), &error);
	printf("%s on %s. %s\n", jw_profile_name(profile), jw_profile_fuel(profile), jw_profile_about(profile));
	if (class)
		printf("what it leaves open is taken from the class %s\n", class);
	printf("lambda at half is known to %.1f %%; %d numbers unmeasured\n", 100 * relative, count);
	if (jw_profile_baseline(profile) && jw_profile_calibration(profile))
		printf("ran right at lambda %.2f at idle; the pilot jet's coefficient is %.3f\n",
		       jw_profile_baseline(profile)->lambda_idle, jw_profile_calibration(profile)->coefficient.pilot);
	for (int i = 0; i < count && i < 3; i++) {
		const char *how = jw_profile_measure(unmeasured[i].key);
		printf("  %s, measured %s: %+.2f %%\n", unmeasured[i].key, how ? how : "somehow", 100 * contribution[i]);
	}
}

/* The typical engine of a class is loaded like one that exists. */
static void show_class(const char *folder, const jw_air *air)
{
	char path[1024];
	jw_profile *profile;
	jw_faults faults = {0};
	snprintf(path, sizeof path, "%s/classes/scooter-125.yaml", folder);
	must_load(jw_profile_load(path, folder, &profile, &faults), &faults);
	show_engine(profile, air);
	jw_profile_free(profile);
}

static void show_others(const char *folder)
{
	char path[1024], about[200];
	jw_fuel fuel;
	jw_jet_set set;
	jw_faults faults = {0};
	snprintf(path, sizeof path, "%s/fuels/e10.yaml", folder);
	must_load(jw_fuel_load(path, &fuel, about, sizeof about, &faults), &faults);
	printf("e10: %d parts; %s\n", fuel.parts, about);
	snprintf(path, sizeof path, "%s/jets/metric-steps.yaml", folder);
	must_load(jw_jets_load(path, folder, &set, about, sizeof about, &faults), &faults);
	printf("metric-steps: %d main jets from %.3f mm; %s\n", set.mains, 1e3 * set.main[0].bore_m, about);
}

static void show_kinds(void)
{
	const char *const known[] = {"main_jet", "pilot_jet"};
	char text[JW_DATE_SIZE];
	int day;
	for (int i = 0; jw_profile_kind(i); i++)
		printf("%s%s", i ? ", " : "kinds of file: ", jw_profile_kind(i));
	printf("\nhow to measure is known of %s and others; 'mian_jet' was meant as %s\n", jw_profile_measured(0),
	       jw_word_nearest("mian_jet", known, 2));
	must(jw_date_parse("2026-04-18", &day), NULL);
	jw_date_write(day + 1, text);
	printf("the day after 2026-04-18 is %s\n", text);
}

/* Another main jet, written into a copy of the file that keeps its comments. */
static void write_copy(const char *folder, const jw_profile *profile, const char *to)
{
	char path[1024];
	jw_setup changed = *jw_profile_setup(profile);
	jw_faults faults = {0};
	jw_error error = {0};
	must(jw_part_set(&changed, JW_PART_MAIN_JET, 1.175e-3, &error), &error);
	snprintf(path, sizeof path, "%s/engines/courier-150.yaml", folder);
	must_load(jw_profile_write(path, folder, &changed, to, &faults), &faults);
	printf("written with a wider main jet\n");
	remove(to);
}

int main(int argc, char **argv)
{
	const char *folder = argc > 1 ? argv[1] : "profiles";
	char path[1024];
	jw_profile *profile;
	jw_faults faults = {0};
	jw_error error = {0};
	jw_air air;
	must(jw_air_from_humidity(101325, 288.15, 0, &air, &error), &error);
	snprintf(path, sizeof path, "%s/engines/courier-150.yaml", folder);
	must_load(jw_profile_load(path, folder, &profile, &faults), &faults);
	show_engine(profile, &air);
	show_class(folder, &air);
	show_others(folder);
	show_kinds();
	write_copy(folder, profile, "courier-150-wider.yaml");
	must(jw_profile_fields("fuel", stdout), NULL);
	must(jw_profile_schema("fuel", stdout), NULL);
	jw_profile_free(profile);
	return 0;
}

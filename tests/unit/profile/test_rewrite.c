/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Writing a set-up into its profile: what changes, what stays, and that no failure harms the file. */
#include "near.h"
#include "point/members.h"
#include "profile/files.h"
#include "profile/text.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define COURIER "profiles/engines/courier-150.yaml"

static char folder[64];

static void make_folder(void)
{
	cr_assert(!chdir(JW_SOURCE_DIR));
	strcpy(folder, "/tmp/jetwright-XXXXXX");
	cr_assert(mkdtemp(folder));
}

static char *in_folder(const char *name)
{
	static char path[512];
	snprintf(path, sizeof path, "%s/%s", folder, name);
	return path;
}

static int entries(void)
{
	int count = 0;
	DIR *stream = opendir(folder);
	cr_assert(stream);
	for (struct dirent *entry; (entry = readdir(stream));)
		count += *entry->d_name != '.';
	closedir(stream);
	return count;
}

static void remove_folder(void)
{
	DIR *stream = opendir(folder);
	for (struct dirent *entry; stream && (entry = readdir(stream));)
		if (*entry->d_name != '.')
			unlink(in_folder(entry->d_name));
	closedir(stream);
	rmdir(folder);
}

TestSuite(rewrite, .init = make_folder, .fini = remove_folder);

static char *text_of(const char *path)
{
	char *text = NULL;
	size_t size;
	jw_faults faults;
	jw_faults_begin(&faults, path);
	cr_assert_eq(jw_text_load(path, JW_TREE_BYTES, &text, &size, &faults), JW_OK, "%s", path);
	return text;
}

static void put_text(const char *path, const char *text)
{
	FILE *file = fopen(path, "w");
	cr_assert(file && fputs(text, file) >= 0 && !fclose(file));
}

static jw_setup setup_of(const char *path)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	cr_assert(jw_profile_load(path, "profiles", &profile, &faults) >= 0, "%s: %s: %s", path, faults.item[0].path,
	          faults.item[0].message);
	jw_setup setup = *jw_profile_setup(profile);
	jw_profile_free(profile);
	return setup;
}

static void write_profile(const char *from, const jw_setup *setup, const char *to)
{
	jw_faults faults;
	jw_status status = jw_profile_write(from, "profiles", setup, to, &faults);
	cr_assert(status >= 0 && !faults.count, "%d %s %s", status, faults.item[0].path, faults.item[0].message);
}

/* Expects the new text to be the old one with these stretches replaced, in this order, and nothing else. */
typedef struct change {
	const char *old, *new;
} change;

static void expect_changes(const char *old, const char *new, const change *changes, size_t count)
{
	for (size_t i = 0; i < count; i++) {
		const char *place = strstr(old, changes[i].old);
		cr_assert(place, "%s is not in what is left", changes[i].old);
		size_t same = (size_t)(place - old), length = strlen(changes[i].new);
		cr_assert(!strncmp(old, new, same), "before %s:\n%.*s\n---\n%.*s", changes[i].old, (int)same, old, (int)same,
		          new);
		cr_assert(!strncmp(new + same, changes[i].new, length), "expected %s, got %.40s", changes[i].new, new + same);
		old = place + strlen(changes[i].old);
		new += same + length;
	}
	cr_expect_str_eq(new, old);
}

Test(rewrite, only_the_numbers_change)
{
	jw_setup setup = setup_of(COURIER);
	char *old = text_of(COURIER), *path = in_folder("a.yaml");
	setup.coefficient = (jw_coefficients){1.0123456, 0.97, 1.04, 0.955};
	setup.uncertainty.main = 0.0123;
	setup.carburetor.main.fuel_jet.diameter_m = 1.1375e-3;
	setup.carburetor.bowl.level_error_m = -1.5e-3;
	write_profile(COURIER, &setup, path);
	char *new = text_of(path);
	const change changes[] = {
	    {"bowl: {vent", "bowl: {level_error: -1.5 mm, vent"},
	    {"jet: 1.15 mm", "jet: 1.1375 mm"},
	    {"main: 5%", "main: 1.23%"},
	};
	size_t length = strlen(old);
	cr_assert_eq(
	    strcmp(new + strlen(new) - strlen("coefficients: {air: 1.01235, main: 0.97, needle: 1.04, pilot: 0.955}\n"),
	           "coefficients: {air: 1.01235, main: 0.97, needle: 1.04, pilot: 0.955}\n"),
	    0, "%s", new);
	new[strlen(new) - strlen("coefficients: {air: 1.01235, main: 0.97, needle: 1.04, pilot: 0.955}\n")] = '\0';
	cr_assert_eq(old[length - 1], '\n');
	expect_changes(old, new, changes, 3);
	const jw_setup back = setup_of(path);
	JW_NEAR_REL(back.coefficient.air, 1.0123456, 5e-6);
	JW_NEAR_REL(back.uncertainty.main, 0.0123, 1e-12);
	JW_NEAR_REL(back.carburetor.bowl.level_error_m, -1.5e-3, 1e-12);
	JW_NEAR_REL(back.engine.bore_m, setup.engine.bore_m, 1e-15);
	cr_expect_eq(entries(), 1, "nothing else is left in the folder");
	free(old);
	free(new);
}

Test(rewrite, a_set_up_unchanged_is_the_file_unchanged)
{
	const char *const files[] = {COURIER, "tests/profiles/good/engine-compact.yaml",
	                             "tests/profiles/good/engine-inch-units.yaml",
	                             "tests/profiles/good/engine-with-all-that-is-optional.yaml"};
	for (size_t i = 0; i < 4; i++) {
		const jw_setup setup = setup_of(files[i]);
		char *path = in_folder("same.yaml");
		write_profile(files[i], &setup, path);
		char *old = text_of(files[i]), *new = text_of(path);
		cr_expect_str_eq(new, old);
		free(old);
		free(new);
	}
}

/* Written once and again in place: the block is there now, so its numbers change where they stand. */
Test(rewrite, in_place_and_again)
{
	char *path = in_folder("again.yaml"), *text = text_of(COURIER);
	put_text(path, text);
	free(text);
	cr_assert(!chmod(path, 0640));
	jw_setup setup = setup_of(path);
	setup.coefficient.pilot = 0.9;
	write_profile(path, &setup, path);
	char *first = text_of(path);
	setup.coefficient.pilot = 1.1;
	write_profile(path, &setup, path);
	char *second = text_of(path);
	expect_changes(first, second, (const change[]){{"pilot: 0.9}", "pilot: 1.1}"}}, 1);
	struct stat info;
	cr_expect(!stat(path, &info) && (info.st_mode & 0777) == 0640, "%o", info.st_mode);
	free(first);
	free(second);
}

static char *replaced(const char *text, const char *old, const char *new)
{
	const char *place = strstr(text, old);
	cr_assert(place, "%s", old);
	char *result = malloc(strlen(text) + strlen(new) + 1);
	sprintf(result, "%.*s%s%s", (int)(place - text), text, new, place + strlen(old));
	return result;
}

/* Block style, quotes, other units, letters of several bytes before the place, line ends of another system. */
Test(rewrite, the_file_keeps_its_own_style)
{
	static const char flow[] = "uncertainty: {air: 5%, main: 5%, needle: 5%, pilot: 5%}  #";
	char *courier = text_of(COURIER), *path = in_folder("style.yaml"), *written = in_folder("style.yaml");
	char *block =
	    replaced(courier, flow, "uncertainty:\n  # by a guess\n  air: '4%'  # \xc3\xa4\xe2\x82\xac\n  pilot: 0.05\n#");
	char *inch = replaced(block, "jet: 1.15 mm", "jet: 0.045 in");
	put_text(path, inch);
	jw_setup setup = setup_of(path);
	setup.uncertainty = (jw_coefficients){0.03, 0.02, 0.05, 0.01};
	setup.carburetor.main.fuel_jet.diameter_m = 0.046 * 0.0254;
	write_profile(path, &setup, written);
	char *new = text_of(written);
	const change changes[] = {
	    {"jet: 0.045 in", "jet: 0.046 in"},
	    {"  air: '4%'  #", "  main: 2%\n  air: 3%  #"},
	    {"pilot: 0.05", "pilot: 0.01"},
	};
	/* New keys go ahead of the first one; the coefficients of the old brass are stated, lest the baseline find others.
	 */
	char *pinned = strstr(new, "coefficients: {air: 1, main: ");
	cr_assert(pinned && strchr(pinned, '\n')[1] == '\0');
	*pinned = '\0';
	expect_changes(inch, new, changes, 3);
	free(new);

	char *crlf = malloc(2 * strlen(courier)), *to = crlf;
	for (const char *from = courier; *from; from++) {
		if (*from == '\n')
			*to++ = '\r';
		*to++ = *from;
	}
	*to = '\0';
	put_text(path, crlf);
	setup = setup_of(path);
	setup.coefficient.main = 0.9;
	write_profile(path, &setup, path);
	new = text_of(path);
	cr_expect(!strncmp(new, crlf, strlen(crlf)) && strstr(new + strlen(crlf), "coefficients: {") &&
	          !strcmp(new + strlen(new) - 3, "}\r\n"));
	free(new);
	free(crlf);
	free(inch);
	free(block);
	free(courier);
}

/* A number somewhat off; the other way where that leaves its range. */
static double moved(const jw_field *field, double before)
{
	double low, high;
	jw_field_range(field, &low, &high);
	double after = before + 1e-3 * (before != 0 ? before : high);
	return after > high || after < low ? before - 1e-3 * before : after;
}

/* Whatever number of the table changes, it reaches the file and comes back; -1: this engine has no such number. */
static int try_field(const char *from, const jw_field *field, jw_profile *variant)
{
	jw_faults faults;
	double before, after;
	char *member = (char *)variant + field->offset;
	memcpy(&before, member, sizeof before);
	after = moved(field, before);
	memcpy(member, &after, sizeof after);
	jw_status status = jw_setup_check(jw_profile_setup(variant), NULL);
	if (status >= 0)
		status = jw_profile_write(from, "profiles", jw_profile_setup(variant), in_folder("each.yaml"), &faults);
	else
		faults.count = 0;
	memcpy(member, &before, sizeof before);
	cr_expect(status >= 0 || !faults.count, "%s: %s: %s", from, field->path,
	          faults.count ? faults.item[0].message : "");
	return status >= 0;
}

static int is_tried(const jw_profile *profile, const jw_field *field)
{
	double value;
	if (field->kind != JW_FIELD_QUANTITY || !strncmp(field->path, "baseline.", 9))
		return 0;
	memcpy(&value, (const char *)profile + field->offset, sizeof value);
	return value != 0 || strstr(field->path, "level_error"); /* 0 may stand for a part that is not fitted */
}

Test(rewrite, every_number_of_the_table)
{
	const char *const files[] = {"tests/profiles/good/engine-with-all-that-is-optional.yaml",
	                             "profiles/engines/moped-50.yaml", "profiles/engines/pump-200.yaml",
	                             "profiles/engines/trail-250.yaml", "profiles/engines/estate-1100.yaml"};
	int tried = 0;
	for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
		jw_faults faults;
		jw_profile *profile = NULL, *variant = NULL;
		cr_assert(jw_profile_load(files[i], "profiles", &profile, &faults) >= 0);
		cr_assert_eq(jw_profile_with(profile, jw_profile_setup(profile), &variant), JW_OK);
		for (const jw_field *field = jw_engine_fields; field->path; field++)
			if (is_tried(profile, field))
				tried += try_field(files[i], field, variant);
		jw_profile_free(profile);
		jw_profile_free(variant);
	}
	cr_expect_gt(tried, 250, "%d", tried);
}

static void expect_windows(const jw_window *read, const jw_window *wanted, const char *from)
{
	cr_expect(fabs(read->opens_rad - wanted->opens_rad) < 1e-5 && fabs(read->closes_rad - wanted->closes_rad) < 1e-5 &&
	              fabs(read->size_m - wanted->size_m) < 1e-8 && fabs(read->lift_m - wanted->lift_m) < 1e-8,
	          "%s: %g %g %g %g, wanted %g %g %g %g", from, read->opens_rad, read->closes_rad, read->size_m,
	          read->lift_m, wanted->opens_rad, wanted->closes_rad, wanted->size_m, wanted->lift_m);
}

/* A block that most files leave out, with a list among its keys; in a file that states it nothing changes. */
Test(rewrite, usual_breathing_comes_in)
{
	static const char *const names[] = {"courier-150", "cruiser-1200", "estate-1100", "four-600", "kart-125",
	                                    "moped-50",    "pump-200",     "trail-250",   "twin-480"};
	for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
		char from[128];
		snprintf(from, sizeof from, "profiles/engines/%s.yaml", names[i]);
		jw_setup setup = setup_of(from);
		setup.engine.breathing = jw_breathing_usual(&setup.engine);
		write_profile(from, &setup, in_folder("breathes.yaml"));
		const jw_breathing back = setup_of(in_folder("breathes.yaml")).engine.breathing, *b = &setup.engine.breathing;
		JW_NEAR_REL(back.rod_ratio, b->rod_ratio, 1e-5);
		JW_NEAR_REL(back.runner_m, b->runner_m, 1e-5);
		expect_windows(&back.inlet, &b->inlet, from);
		expect_windows(&back.exhaust, &b->exhaust, from);
		expect_windows(&back.transfer, &b->transfer, from);
	}
}

static void expect_refused(const char *from, const jw_setup *setup, const char *to, jw_status wanted)
{
	jw_faults faults;
	jw_status status = jw_profile_write(from, "profiles", setup, to, &faults);
	cr_expect_eq(status, wanted, "%s to %s: %d %s", from, to, status, faults.item[0].message);
	cr_expect_eq(faults.count, 1);
}

/* What a file has no key for, or what is not written, is not left out in silence. */
static void expect_lost(const jw_setup *setup, jw_status wanted, const char *member)
{
	jw_faults faults;
	jw_status status = jw_profile_write(COURIER, "profiles", setup, in_folder("lost.yaml"), &faults);
	const char *message = faults.count ? faults.item[0].message : "";
	size_t length = strlen(message), named = strlen(member);
	cr_expect(status == wanted && length > named && !strcmp(message + length - named, member), "%s: %d %s", member,
	          status, message);
	cr_expect_eq(entries(), 0, "%s", member);
}

#define LOST(member, name, value, status)                                                                              \
	do {                                                                                                               \
		jw_setup setup = setup_of(COURIER);                                                                            \
		setup.member = (value);                                                                                        \
		expect_lost(&setup, status, name);                                                                             \
	} while (0)

Test(rewrite, what_would_be_lost_is_named)
{
	LOST(leak_m, "leak_m", 1e-3, JW_E_SCHEMA);
	LOST(carburetor.screw.open_area, "carburetor.screw.open_area", 0.5, JW_E_SCHEMA);
	LOST(carburetor.screw.ports_open_area, "carburetor.screw.ports_open_area", 0.5, JW_E_SCHEMA);
	LOST(carburetor.slide.stuck_lift_m, "carburetor.slide.stuck_lift_m", 5e-3, JW_E_SCHEMA);
	LOST(carburetor.main.fuel_coefficient, "carburetor.main.fuel_coefficient", 0.9, JW_E_SCHEMA);
	LOST(engine.cylinders, "engine.cylinders", 2, JW_E_SCHEMA);
	LOST(carburetor.bowl.vent, "carburetor.bowl.vent", JW_VENT_AIRBOX, JW_E_SCHEMA);
	LOST(carburetor.pilot.slip, "carburetor.pilot.slip", 1, JW_E_SCHEMA);
	LOST(carburetor.ports, "carburetor.ports", 1, JW_E_SCHEMA);
	LOST(carburetor.port[1].diameter_m, "carburetor.port.diameter_m", 0.7e-3, JW_E_SCHEMA);
	LOST(engine.ve[2], "engine.ve", 0.81, JW_E_SCHEMA);
	LOST(fuel.part[0].density_15c_kg_m3, "fuel.part.density_15c_kg_m3", 700, JW_E_SCHEMA);
	LOST(fuel.reid_pa, "fuel.reid_pa", 61e3, JW_E_SCHEMA);
	LOST(range[JW_HALF].throttle, "range.throttle", 0.45, JW_E_SCHEMA);
	LOST(range[JW_IDLE].enrichener, "range.enrichener", 0.5, JW_E_SCHEMA);
	LOST(carburetor.main.fuel_jet.diameter_m, "carburetor.main.fuel_jet.diameter_m", NAN, JW_E_NOT_FINITE);
	LOST(carburetor.main.fuel_jet.diameter_m, "carburetor.main.fuel_jet.diameter_m", 6e-3, JW_E_RANGE);
}

/* Every number of a set-up, moved to where the check lets it: it comes back, or the file is not written. */
Test(rewrite, whatever_is_written_comes_back)
{
	size_t count;
	const jw_member_row *row = jw_setup_members(&count);
	const jw_setup before = setup_of(COURIER);
	int written = 0, refused = 0;
	for (size_t i = 0; i < count; i++) {
		jw_faults faults;
		jw_setup setup = before;
		double *member = (double *)(void *)((char *)&setup + row[i].offset), wanted;
		*member += 0.02 * (row[i].high - *member);
		wanted = *member;
		if (jw_setup_check(&setup, NULL) < 0)
			continue;
		if (jw_profile_write(COURIER, "profiles", &setup, in_folder("any.yaml"), &faults) < 0) {
			refused++;
			continue;
		}
		setup = setup_of(in_folder("any.yaml"));
		written++;
		cr_expect(fabs(*member - wanted) <= 1e-5 * fabs(wanted), "%s: %g, wanted %g", row[i].field, *member, wanted);
	}
	cr_expect(written > 60 && refused > 10, "%d %d", written, refused);
}

Test(rewrite, failures_leave_the_old_file_whole)
{
	jw_setup setup = setup_of(COURIER);
	char path[512], *courier = text_of(COURIER), *now;
	snprintf(path, sizeof path, "%s", in_folder("old.yaml"));
	put_text(path, courier);

	setup.coefficient.main = 7; /* no file may say that */
	expect_refused(path, &setup, path, JW_E_SCHEMA);
	setup.coefficient.main = 0.9;
	expect_refused("no/such/profile.yaml", &setup, path, JW_E_OPEN);
	expect_refused("tests/profiles/bad/engine-alias.yaml", &setup, path, JW_E_SYNTAX);
	expect_refused(path, &setup, in_folder("no-folder/x.yaml"), JW_E_WRITE);
	expect_refused(path, &setup, folder, JW_E_WRITE);
	expect_refused(path, &setup, "/dev/null", JW_E_WRITE);
	char long_name[4096];
	memset(long_name, 'x', sizeof long_name);
	long_name[sizeof long_name - 4] = '\0'; /* no room for what it is called before it is whole */
	expect_refused(path, &setup, long_name, JW_E_WRITE);
	now = text_of(path);
	cr_expect_str_eq(now, courier);
	cr_expect_eq(entries(), 1, "no leftovers");
	free(now);

	jw_faults faults;
	cr_expect_eq(jw_profile_write(NULL, NULL, &setup, path, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_write(path, NULL, NULL, path, &faults), JW_E_ARGUMENT);
	free(courier);
}

/* Fuel and class are found beside the file that it started from, wherever it is written to. */
Test(rewrite, the_library_is_that_of_the_first_file)
{
	jw_setup setup = setup_of(COURIER);
	jw_faults faults;
	setup.carburetor.main.fuel_jet.diameter_m *= 1.05;
	cr_assert_eq(jw_profile_write(COURIER, NULL, &setup, in_folder("far.yaml"), &faults), JW_OK, "%s",
	             faults.item[0].message);
	JW_NEAR_REL(setup_of(in_folder("far.yaml")).carburetor.main.fuel_jet.diameter_m,
	            setup.carburetor.main.fuel_jet.diameter_m, 1e-6);
}

/* A full disk, where there is a device that plays one. */
static jw_status refuse(const char *staged, void *context)
{
	(void)context;
	cr_expect(!access(staged, R_OK));
	return JW_E_SCHEMA;
}

static jw_status accept(const char *staged, void *context)
{
	return rename(staged, context) ? JW_E_WRITE : JW_OK; /* gone when it is to be put in place */
}

Test(rewrite, a_link_is_followed_and_a_refusal_leaves_nothing)
{
	char path[512], link[512];
	jw_faults faults;
	jw_faults_begin(&faults, "x");
	snprintf(path, sizeof path, "%s", in_folder("file"));
	snprintf(link, sizeof link, "%s", in_folder("link"));
	put_text(path, "old\n");
	cr_assert(!symlink(path, link));
	cr_expect_eq(jw_text_save(link, "new\n", 4, refuse, NULL, &faults), JW_E_SCHEMA);
	cr_expect_eq(entries(), 2);
	char *text = text_of(path);
	cr_expect_str_eq(text, "old\n");
	free(text);
	cr_expect_eq(jw_text_save(link, "new\n", 4, accept, in_folder("away"), &faults), JW_E_WRITE);
	text = text_of(path);
	cr_expect_str_eq(text, "old\n");
	free(text);
	struct stat info;
	cr_expect(!lstat(link, &info) && S_ISLNK(info.st_mode));
}

static jw_status keep(const char *staged, void *context)
{
	(void)staged, (void)context;
	return JW_OK;
}

/* Beside the program's own place, where a name has no folder; a file that is there keeps who may read it. */
Test(rewrite, a_name_without_a_folder_is_written_here)
{
	jw_faults faults;
	struct stat info;
	jw_faults_begin(&faults, "x");
	cr_assert(!chdir(folder));
	cr_expect_eq(jw_text_save("here", "one\n", 4, keep, NULL, &faults), JW_OK);
	cr_assert(!chmod("here", 0640));
	cr_expect_eq(jw_text_save("here", "other\n", 6, keep, NULL, &faults), JW_OK);
	cr_expect(!stat("here", &info) && (info.st_mode & 0777) == 0640 && info.st_size == 6);
	cr_assert(!chdir(JW_SOURCE_DIR));
	cr_expect_eq(entries(), 1, "no leftovers");
}

/* Two speeds by two openings. */
static jw_pulse_table small_table(double air)
{
	jw_pulse_table t = {.nodes = 4, .speed_rev_s = {30, 30, 120, 120}, .throttle = {0, 1, 0, 1}};
	for (int i = 0; i < 4; i++) {
		t.factor[JW_PULSE_AIR][i] = air + 0.05 * i;
		t.factor[JW_PULSE_THROAT][i] = 1.5 + i;
		t.factor[JW_PULSE_MAIN_LIFT][i] = 90 + i;
		t.factor[JW_PULSE_MAIN][i] = 0.8 + 0.5 * i;
		t.factor[JW_PULSE_POWER][i] = -0.4;
		t.factor[JW_PULSE_PILOT][i] = 0.8;
	}
	return t;
}

static const char small_rows[] = "[[1800 rpm, 0%, 0.7, 1.5, 90 Pa, 0.8, 0 Pa, -0.4, 0.8],\n"
                                 "   [1800 rpm, 100%, 0.75, 2.5, 91 Pa, 1.3, 0 Pa, -0.4, 0.8],\n"
                                 "   [7200 rpm, 0%, 0.8, 3.5, 92 Pa, 1.8, 0 Pa, -0.4, 0.8],\n"
                                 "   [7200 rpm, 100%, 0.85, 4.5, 93 Pa, 2.3, 0 Pa, -0.4, 0.8]]";

/* A table comes in at the end; the baseline is met anew with it, and no coefficient is pinned. A second one takes its
 * place. */
Test(rewrite, a_table_comes_and_is_replaced)
{
	jw_setup setup = setup_of(COURIER);
	char first[512], expected[512];
	snprintf(first, sizeof first, "%s", in_folder("first.yaml"));
	snprintf(expected, sizeof expected, "pulse_table:\n  %s\n", small_rows);
	setup.pulses = small_table(0.7);
	write_profile(COURIER, &setup, first);
	char *old = text_of(COURIER), *new = text_of(first);
	cr_expect(!strncmp(new, old, strlen(old)));
	cr_expect_str_eq(new + strlen(old), expected);
	jw_setup back = setup_of(first);
	cr_expect_eq(back.pulses.nodes, 4);
	JW_NEAR_REL(back.pulses.factor[JW_PULSE_THROAT][3], 4.5, 1e-12);
	cr_expect(fabs(back.coefficient.main - setup.coefficient.main) > 0.01, "calibrated with the table");
	back.pulses = small_table(0.9);
	write_profile(first, &back, in_folder("second.yaml"));
	char *newer = text_of(in_folder("second.yaml"));
	cr_expect(!strncmp(newer, old, strlen(old)));
	cr_expect(strstr(newer, "  [[1800 rpm, 0%, 0.9, 1.5") && !strstr(newer, "0%, 0.7,"), "%s", newer + strlen(old));
	back = setup_of(in_folder("second.yaml"));
	JW_NEAR_REL(back.pulses.factor[JW_PULSE_AIR][1], 0.95, 1e-12);
	free(old);
	free(new);
	free(newer);
}

/* In another hand's layout, with comments and something after it. */
Test(rewrite, a_table_in_another_layout_is_replaced)
{
	char *old = text_of(COURIER), path[512];
	static char text[40000], wanted[40000];
	snprintf(path, sizeof path, "%s", in_folder("laid-out.yaml"));
	snprintf(text, sizeof text,
	         "pulse_table:\n  - [1800 rpm, 0%%, 1, 1, 0 Pa, 1, 0 Pa, 1, 1]  # measured\n"
	         "  - [1800 rpm, 100%%, 1, 4, 0 Pa, 3, 0 Pa, 3, 1]\n# after it\n%s",
	         old);
	put_text(path, text);
	jw_setup setup = setup_of(path);
	setup.pulses = small_table(0.7);
	write_profile(path, &setup, path);
	char *new = text_of(path);
	snprintf(wanted, sizeof wanted, "pulse_table:\n  %s\n# after it\n%s", small_rows, old);
	cr_expect_str_eq(new, wanted);
	cr_expect_eq(setup_of(path).pulses.nodes, 4);
	free(old);
	free(new);
}

/* What would leave no sound file leaves none. */
Test(rewrite, a_table_that_is_none_is_refused)
{
	jw_setup setup = setup_of(COURIER);
	setup.pulses = small_table(0.7);
	setup.pulses.throttle[3] = 0.5;
	expect_refused(COURIER, &setup, in_folder("bad.yaml"), JW_E_RANGE);
	cr_expect_eq(entries(), 0);
}

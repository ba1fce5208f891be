/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole files: those of tests/profiles with one fault each, sound ones, and those that come along. */
#include "near.h"
#include "profile/files.h"

#include <dirent.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define LIBRARY "profiles"
/* Its files have a fault each, or are links out of it. */
#define FAULTY_LIBRARY "tests/profiles/library"

static jw_status load_engine(const char *path, const char *library, jw_faults *faults)
{
	jw_profile *profile = NULL;
	jw_status status = jw_profile_load(path, library, &profile, faults);
	cr_expect((status >= 0) == (profile != NULL), "%s", path);
	jw_profile_free(profile);
	return status;
}

static jw_status load_fuel(const char *path, const char *library, jw_faults *faults)
{
	(void)library;
	jw_fuel fuel;
	return jw_fuel_load(path, &fuel, NULL, 0, faults);
}

static jw_status load_case(const char *path, const char *library, jw_faults *faults)
{
	jw_case_file *file = NULL;
	jw_status status = jw_case_load(path, library, &file, faults);
	cr_expect((status >= 0) == (file != NULL), "%s", path);
	jw_case_free(file);
	return status;
}

static jw_status load_jets(const char *path, const char *library, jw_faults *faults)
{
	jw_jet_set set;
	return jw_jets_load(path, library, &set, NULL, 0, faults);
}

static jw_status load_readings(const char *path, const char *library, jw_faults *faults)
{
	static const jw_setup any;
	(void)library;
	jw_readings *readings = NULL;
	jw_status status = jw_readings_load(path, &any, NULL, &readings, faults);
	cr_expect((status >= 0) == (readings != NULL), "%s", path);
	jw_readings_free(readings);
	return status;
}

/* A file's name starts with its kind. */
static jw_status load(const char *path, const char *name, jw_faults *faults)
{
	static const struct {
		const char *prefix, *library;
		jw_status (*load)(const char *path, const char *library, jw_faults *faults);
	} loaders[] = {{"engine-", LIBRARY, load_engine},
	               {"fuel-", LIBRARY, load_fuel},
	               {"case-", LIBRARY, load_case},
	               {"readings-", LIBRARY, load_readings},
	               {"trace-", LIBRARY, load_readings},
	               {"jets-", LIBRARY, load_jets},
	               {"named-engine-", FAULTY_LIBRARY, load_engine},
	               {"named-case-", FAULTY_LIBRARY, load_case},
	               {"named-jets-", FAULTY_LIBRARY, load_jets}};
	for (size_t i = 0; i < sizeof loaders / sizeof *loaders; i++)
		if (!strncmp(name, loaders[i].prefix, strlen(loaders[i].prefix)))
			return loaders[i].load(path, loaders[i].library, faults);
	cr_expect_fail("%s: no kind of file", name);
	return JW_OK;
}

static void write_fault(const char *name, const jw_faults *faults, char *text, size_t size)
{
	const jw_fault *f = faults->item;
	snprintf(text, size, "%s:%d:%d: %s%s%s\n", name, f->line, f->column, f->path, *f->path ? ": " : "", f->message);
}

static void check_bad(const char *folder, const char *name)
{
	char path[512], wanted[1024] = "", got[1024];
	snprintf(path, sizeof path, "%s/%.*s.expected", folder, (int)(strrchr(name, '.') - name), name);
	FILE *file = fopen(path, "r");
	cr_assert(file, "%s", path);
	wanted[fread(wanted, 1, sizeof wanted - 1, file)] = '\0';
	fclose(file);

	jw_faults faults;
	snprintf(path, sizeof path, "%s/%s", folder, name);
	jw_status status = load(path, name, &faults);
	cr_expect(status < 0, "%s: %d", name, status);
	cr_expect(faults.count == 1 && !faults.more, "%s: %d faults, one expected", name, faults.count);
	cr_expect_str_eq(faults.file, path);
	write_fault(name, &faults, got, sizeof got);
	cr_expect_str_eq(got, wanted, "%s:\n  got      %s  expected %s", name, got, wanted);
}

static void check_good(const char *folder, const char *name)
{
	char path[512], got[512];
	jw_faults faults;
	snprintf(path, sizeof path, "%s/%s", folder, name);
	jw_status status = load(path, name, &faults);
	write_fault(name, &faults, got, sizeof got);
	cr_expect(status == JW_OK && !faults.count, "%s: %d %s", name, status, got);
}

static int for_each_file(const char *folder, void (*check)(const char *folder, const char *name))
{
	int count = 0;
	DIR *entries = opendir(folder);
	cr_assert(entries, "%s", folder);
	for (struct dirent *entry; (entry = readdir(entries));) {
		const char *ending = strrchr(entry->d_name, '.');
		if (ending && (!strcmp(ending, ".yaml") || !strcmp(ending, ".csv"))) {
			check(folder, entry->d_name);
			count++;
		}
	}
	closedir(entries);
	return count;
}

static void go_to_source(void)
{
	cr_assert(!chdir(JW_SOURCE_DIR));
}

TestSuite(files, .init = go_to_source);

Test(files, one_fault_each)
{
	cr_expect_eq(for_each_file("tests/profiles/bad", check_bad), 215);
}

Test(files, sound)
{
	cr_expect_eq(for_each_file("tests/profiles/good", check_good), 18);
}

static void check_bundled_engine(const char *folder, const char *name)
{
	char path[512];
	jw_faults faults;
	jw_profile *profile = NULL;
	snprintf(path, sizeof path, "%s/%s", folder, name);
	/* Without a library: the folder above the file's own. */
	jw_status status = jw_profile_load(path, NULL, &profile, &faults);
	cr_assert(status == JW_OK, "%s: %d %s", path, status, faults.item[0].message);

	/* What the baseline says of the engine is what the set-up gives back. */
	const jw_setup *setup = jw_profile_setup(profile);
	const jw_baseline *baseline = jw_profile_baseline(profile);
	const struct {
		jw_range range;
		double lambda;
	} anchors[] = {
	    {JW_IDLE, baseline->lambda_idle}, {JW_HALF, baseline->lambda_half}, {JW_FULL, baseline->lambda_full}};
	for (size_t i = 0; i < sizeof anchors / sizeof *anchors; i++) {
		jw_mixture mixture;
		cr_expect(jw_mixture_at(setup, &baseline->air, &setup->range[anchors[i].range], &mixture, NULL) >= 0);
		JW_NEAR_REL(1 / mixture.phi, anchors[i].lambda, 1e-8);
	}
	const jw_coefficients *c = &jw_profile_calibration(profile)->coefficient;
	cr_expect(!memcmp(c, &setup->coefficient, sizeof *c));
	jw_profile_free(profile);
}

static void check_bundled_fuel(const char *folder, const char *name)
{
	char path[512], about[16] = "";
	jw_faults faults;
	jw_fuel fuel;
	snprintf(path, sizeof path, "%s/%s", folder, name);
	cr_expect_eq(jw_fuel_load(path, &fuel, about, sizeof about, &faults), JW_OK, "%s", path);
	cr_expect(strlen(about) == sizeof about - 1, "cut to what fits: %s", about);
}

static void check_bundled_case(const char *folder, const char *name)
{
	char path[512];
	jw_faults faults;
	jw_case_file *file = NULL;
	snprintf(path, sizeof path, "%s/%s", folder, name);
	cr_expect_eq(jw_case_load(path, NULL, &file, &faults), JW_OK, "%s: %s", path, faults.item[0].message);
	cr_expect(file && *jw_case_about(file) && jw_case_evidence(file)->evidences > 0 && jw_case_profile(file), "%s",
	          path);
	jw_case_free(file);
}

static void check_bundled_jets(const char *folder, const char *name)
{
	char path[512], about[512];
	jw_faults faults;
	jw_jet_set set;
	snprintf(path, sizeof path, "%s/%s", folder, name);
	cr_assert_eq(jw_jets_load(path, NULL, &set, about, sizeof about, &faults), JW_OK, "%s: %s", path,
	             faults.item[0].message);
	cr_expect(set.mains && set.pilots && *about, "%s", path);
}

Test(files, that_come_along)
{
	cr_expect_geq(for_each_file("profiles/jets", check_bundled_jets), 4);
	cr_expect_geq(for_each_file("profiles/engines", check_bundled_engine), 1);
	cr_expect_geq(for_each_file("profiles/fuels", check_bundled_fuel), 4);
	cr_expect_geq(for_each_file("profiles/cases", check_bundled_case), 3);
}

/* Inch units, grams-force and so on: conversions are exact, the file gives nine digits. */
Test(files, inch_units_give_the_same_engine)
{
	jw_faults faults;
	jw_profile *metric = NULL, *inch = NULL;
	cr_assert_eq(jw_profile_load("tests/profiles/good/engine-compact.yaml", LIBRARY, &metric, &faults), JW_OK);
	cr_assert_eq(jw_profile_load("tests/profiles/good/engine-inch-units.yaml", LIBRARY, &inch, &faults), JW_OK);
	const jw_setup *m = jw_profile_setup(metric), *i = jw_profile_setup(inch);
	JW_NEAR_REL(i->engine.bore_m, m->engine.bore_m, 1e-8);
	JW_NEAR_REL(i->engine.stroke_m, m->engine.stroke_m, 1e-8);
	JW_NEAR_REL(i->engine.manifold_heating_k, m->engine.manifold_heating_k, 1e-8);
	JW_NEAR_REL(i->engine.intake_duration_rad, m->engine.intake_duration_rad, 1e-8);
	JW_NEAR_REL(i->carburetor.intake.loss_pa, m->carburetor.intake.loss_pa, 1e-8);
	JW_NEAR_REL(i->carburetor.intake.loss_flow_kg_s, m->carburetor.intake.loss_flow_kg_s, 1e-8);
	JW_NEAR_REL(i->carburetor.slide.mass_kg, m->carburetor.slide.mass_kg, 1e-8);
	JW_NEAR_REL(i->carburetor.slide.spring_closed_n, m->carburetor.slide.spring_closed_n, 1e-8);
	JW_NEAR_REL(i->range[JW_IDLE].speed_rev_s, m->range[JW_IDLE].speed_rev_s, 1e-8);
	JW_NEAR_REL(i->range[JW_QUARTER].throttle, m->range[JW_QUARTER].throttle, 1e-12);
	jw_profile_free(metric);
	jw_profile_free(inch);
}

Test(files, values_reach_their_members)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	cr_assert_eq(
	    jw_profile_load("tests/profiles/good/engine-with-all-that-is-optional.yaml", LIBRARY, &profile, &faults),
	    JW_OK);
	const jw_setup *s = jw_profile_setup(profile);
	const jw_carburetor *c = &s->carburetor;
	cr_expect_str_eq(jw_profile_name(profile), "Test single");
	cr_expect_str_eq(jw_profile_about(profile), "A sound engine, written compactly.");
	cr_expect_str_eq(jw_profile_fuel(profile), "e5");
	cr_expect_null(jw_profile_baseline(profile));
	cr_expect_null(jw_profile_calibration(profile));
	cr_expect(s->engine.strokes == 4 && s->engine.cylinders == 1 && s->engine.ve_points == 3);
	JW_NEAR_REL(s->engine.ve_speed_rev_s[1], 6000 / 60.0, 1e-15);
	JW_NEAR_REL(s->engine.ve[2], 0.74, 1e-15);
	cr_expect(c->ports == 3 && c->bowl.vent == JW_VENT_ATMOSPHERE && c->kind == JW_CONSTANT_DEPRESSION);
	JW_NEAR_REL(c->port[1].diameter_m, 0.7e-3, 1e-15);
	JW_NEAR_REL(c->port[2].position_m, 3.2e-3, 1e-15);
	JW_NEAR_REL(c->main.fuel_jet.diameter_m, 1.05e-3, 1e-15);
	JW_NEAR_REL(c->pilot.bleed_depth_m, -5e-3, 1e-15);
	JW_NEAR_REL(c->enrichener.air_jet.coefficient, 0.75, 1e-15);
	JW_NEAR_REL(c->enrichener_outlet_m, 2.5e-3, 1e-15);
	JW_NEAR_REL(s->range[JW_FULL].throttle, 1, 1e-15);
	JW_NEAR_REL(s->uncertainty.needle, 0.06, 1e-15);
	JW_NEAR_REL(s->bowl_heating_k, 8, 1e-15);
	/* A sound engine, whatever the file. */
	cr_expect(c->slide.stuck_lift_m < 0 && c->screw.open_area == 1 && c->screw.ports_open_area == 1 && s->leak_m == 0);
	cr_expect(s->coefficient.main == 1 && c->main.fuel_coefficient == 1 && c->enrichener.fuel_coefficient == 1);
	jw_profile_free(profile);
}

Test(files, defaults_hold_where_nothing_is_said)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	cr_assert_eq(jw_profile_load("tests/profiles/good/engine-compact.yaml", LIBRARY, &profile, &faults), JW_OK);
	const jw_setup *s = jw_profile_setup(profile);
	cr_expect(s->carburetor.ports == 0 && s->carburetor.enrichener_outlet_m == 0 && s->bowl_heating_k == 0);
	JW_NEAR_REL(s->carburetor.throat.coefficient, 0.85, 1e-15);
	JW_NEAR_REL(s->carburetor.main.fuel_jet.length_m, 2e-3, 1e-15);
	JW_NEAR_REL(s->carburetor.main.air_jet.length_m, 3e-3, 1e-15);
	JW_NEAR_REL(s->carburetor.pilot.fuel_jet.length_m, 1e-3, 1e-15);
	JW_NEAR_REL(s->uncertainty.air, 0.05, 1e-15);
	jw_profile_free(profile);
}

Test(files, a_case_reaches_its_members)
{
	jw_faults faults;
	jw_case_file *file = NULL;
	cr_assert_eq(jw_case_load("tests/profiles/good/case-with-a-reading.yaml", LIBRARY, &file, &faults), JW_OK);
	const jw_case *c = jw_case_evidence(file);
	cr_expect_eq(c->evidences, 3);
	cr_expect_str_eq(jw_evidence_kind_at(c->evidence[0].kind)->id, "hunts");
	cr_expect(c->evidence[0].range == JW_IDLE && c->evidence[1].range == JW_IDLE && c->evidence[2].range == JW_FULL);
	JW_NEAR_REL(c->evidence[2].value, 0.98, 1e-15);
	JW_NEAR_REL(c->evidence[2].uncertainty, 0.02, 1e-15);
	JW_NEAR_REL(c->history.months_standing, 5, 1e-15);
	cr_expect(c->history.changed[JW_CHANGE_FILTER_OPEN] == 1 && c->history.changed[JW_CHANGE_EXHAUST_FREER] == 0);
	cr_expect_str_eq(jw_profile_name(jw_case_profile(file)), "Courier 150");
	jw_case_free(file);

	cr_assert_eq(jw_case_load("tests/profiles/good/case-sparse.yaml", LIBRARY, &file, &faults), JW_OK);
	cr_expect(jw_case_evidence(file)->history.months_standing < 0, "unknown");
	JW_NEAR_REL(jw_case_evidence(file)->air.pressure_pa, 101325, 1e-12);
	JW_NEAR_REL(jw_case_evidence(file)->air.temperature_k, 288.15, 1e-12);
	jw_case_free(file);
}

/* Readings with their units; lambda of a gas by the fuel that the engine burns. */
Test(files, a_case_reads_gauges)
{
	jw_faults faults;
	jw_case_file *file = NULL;
	cr_assert_eq(jw_case_load("tests/profiles/good/case-with-every-reading.yaml", LIBRARY, &file, &faults), JW_OK);
	const jw_case *c = jw_case_evidence(file);
	const double values[] = {0, 0, 0.97, 0, 950e3, 900e3, 3e-6, -2.5e-3, 0.35e-3, 0.92};
	const double uncertainties[] = {0.02, 0.03, 0.0291, 0, 30e3, 0, 0, 0, 0, 0};
	const jw_gas_analysis gas = {.co = 0.05, .co2 = 0.11, .o2 = 0.008, .hc = 200e-6};
	double hydrogen, oxygen, lambda;
	jw_fuel_state fuel;
	cr_assert_eq(jw_fuel_at(&jw_profile_setup(jw_case_profile(file))->fuel, 293.15, &fuel, NULL), JW_OK);
	cr_assert_eq(jw_fuel_atoms(&fuel, &hydrogen, &oxygen, NULL), JW_OK);
	cr_assert_eq(jw_lambda_from_gas(&gas, hydrogen, oxygen, &lambda, NULL), JW_OK);
	JW_NEAR_REL(c->evidence[0].value, lambda, 1e-12);
	cr_assert_eq(jw_lambda_from_co(0.04, hydrogen, oxygen, &lambda, NULL), JW_OK);
	JW_NEAR_REL(c->evidence[1].value, lambda, 1e-12);
	for (int i = 2; i < c->evidences; i++)
		JW_NEAR_ABS(c->evidence[i].value, values[i], 1e-12 * fmax(1, values[i]));
	for (int i = 0; i < c->evidences; i++)
		JW_NEAR_ABS(c->evidence[i].uncertainty, uncertainties[i], 1e-9);
	cr_expect_eq(c->evidence[3].answer, JW_UNKNOWN);
	jw_case_free(file);
}

#define HUNTS "evidence: [{seen: hunts, at: idle}]\n"

Test(files, a_class_stands_for_an_engine_without_a_profile)
{
	static const struct {
		const char *text, *class, *name;
	} cases[] = {
	    {"case: 1\nabout: a\nprofile: courier-150\n" HUNTS, NULL, "Courier 150"},
	    {"case: 1\nabout: a\nclass: scooter-125\n" HUNTS, "scooter-125", "Scooter class"},
	    {"case: 1\nabout: a\n" HUNTS, "utility-160", "Utility class"},
	};
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		jw_faults faults;
		jw_case_file *file = NULL;
		cr_assert_geq(jw_case_parse(cases[i].text, LIBRARY, &file, &faults), JW_OK, "%s", cases[i].text);
		const char *class = jw_case_class(file);
		cr_expect(!class == !cases[i].class && (!class || strcmp(class, cases[i].class) == 0), "%s", cases[i].text);
		cr_expect_str_eq(jw_profile_name(jw_case_profile(file)), cases[i].name);
		jw_case_free(file);
	}
}

static const jw_coefficients *uncertainty_of_case(const char *text, jw_case_file **file)
{
	jw_faults faults;
	cr_assert_geq(jw_case_parse(text, LIBRARY, file, &faults), JW_OK, "%s", text);
	return &jw_profile_setup(jw_case_profile(*file))->uncertainty;
}

/* Less is known of an engine by its class than by a profile with a baseline. */
Test(files, a_class_is_wider_than_a_profile)
{
	jw_case_file *own, *class;
	const jw_coefficients *known = uncertainty_of_case("case: 1\nabout: a\nprofile: courier-150\n" HUNTS, &own);
	const jw_coefficients *typical = uncertainty_of_case("case: 1\nabout: a\nclass: scooter-125\n" HUNTS, &class);
	cr_expect(known->main < typical->main && known->pilot < typical->pilot);
	jw_case_free(own);
	jw_case_free(class);
}

Test(files, a_case_in_memory_is_refused_as_a_file_is)
{
	jw_faults faults;
	jw_case_file *file = NULL;
	cr_expect_eq(jw_case_parse("case: 1\nabout: a\nevidence: [{seen: hunt, at: idle}]\n", LIBRARY, &file, &faults),
	             JW_E_SCHEMA);
	cr_expect(faults.count == 1 && faults.item[0].line == 3 && strstr(faults.item[0].message, "expected hunts"));
	cr_expect_eq(jw_case_parse("case: [", LIBRARY, &file, &faults), JW_E_SYNTAX);
	cr_expect_eq(jw_case_parse(NULL, LIBRARY, &file, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_case_parse("case: 1", NULL, &file, &faults), JW_E_ARGUMENT);
}

Test(files, a_named_file_that_may_not_be_read_is_there)
{
	enum { NOBODY = 65534 }; /* the superuser may read all */
	char folder[] = "/tmp/jetwright-test-XXXXXX", engines[64], path[96];
	jw_faults faults;
	jw_case_file *file = NULL;
	cr_assert(mkdtemp(folder));
	snprintf(engines, sizeof engines, "%s/engines", folder);
	snprintf(path, sizeof path, "%s/mine.yaml", engines);
	cr_assert(!mkdir(engines, 0755) && !chmod(folder, 0755));
	close(open(path, O_WRONLY | O_CREAT, 0));
	const uid_t user = geteuid();
	cr_assert(user || !seteuid(NOBODY));
	cr_expect_eq(jw_case_parse("case: 1\nabout: a\nprofile: mine\n" HUNTS, folder, &file, &faults), JW_E_SCHEMA);
	cr_assert(!seteuid(user));
	cr_expect(strstr(faults.item[0].message, "names a file that cannot be read"), "%s", faults.item[0].message);
	unlink(path);
	rmdir(engines);
	rmdir(folder);
}

/* ISO 2533: 95461 Pa and 284.90 K at 500 m; the ratio of station to sea-level pressure is that of the atmosphere. */
Test(files, jets_have_the_bore_of_their_mark)
{
	jw_faults faults;
	jw_jet_set set;
	cr_assert_eq(jw_jets_load("tests/profiles/good/jets-block-style.yaml", LIBRARY, &set, NULL, 0, &faults), JW_OK);
	cr_expect(set.kind == JW_MARK_HUNDREDTHS_MM && set.mains == 0 && set.pilots == 3);
	JW_NEAR_REL(set.pilot[2].bore_m, 0.425e-3, 1e-14);

	/* A mark by flow is what the bench of the file lets through: 2 mm long and at 20 C unless said. */
	cr_assert_eq(jw_jets_load("tests/profiles/good/jets-flowed.yaml", LIBRARY, &set, NULL, 0, &faults), JW_OK);
	cr_assert(set.kind == JW_MARK_FLOW_CC_MIN && set.mains == 2 && set.pilots == 0);
	jw_fuel fuel;
	jw_fuel_state state;
	cr_assert_eq(jw_fuel_load(LIBRARY "/fuels/e5.yaml", &fuel, NULL, 0, &faults), JW_OK);
	cr_assert_eq(jw_fuel_at(&fuel, 293.15, &state, NULL), JW_OK);
	for (int i = 0; i < set.mains; i++) {
		const jw_orifice jet = {set.main[i].bore_m, 2e-3, 0};
		const jw_liquid_flow liquid = {state.density_kg_m3, state.viscosity_m2_s};
		double kg_s = 0;
		jw_liquid_mass_flow(&jet, &liquid, state.density_kg_m3 * 9.80665 * 0.508, &kg_s);
		JW_NEAR_REL(kg_s / state.density_kg_m3 * 60e6, set.main[i].mark, 1e-9);
	}
}

Test(files, air_from_altitude_and_barometer)
{
	jw_faults faults;
	jw_air air;
	jw_air_block block = JW_AIR_UNSAID;
	jw_node *root = NULL;
	jw_faults_begin(&faults, "air");
	cr_assert_eq(jw_tree_parse("a: 1", 4, &root, &faults), JW_OK);
	block.altitude_m = 500;
	cr_expect_eq(jw_air_from_block(&block, jw_case_fields, root, "air", &air, &faults), JW_OK);
	JW_NEAR_REL(air.pressure_pa, 95461.3, 1e-6);
	JW_NEAR_REL(air.temperature_k, 284.90, 1e-5);
	block.sea_level_pa = 100000;
	cr_expect_eq(jw_air_from_block(&block, jw_case_fields, root, "air", &air, &faults), JW_OK);
	JW_NEAR_REL(air.pressure_pa, 95461.3 / 101325 * 100000, 1e-4);
	block.temperature_k = 300;
	block.humidity = 1;
	cr_expect_eq(jw_air_from_block(&block, jw_case_fields, root, "air", &air, &faults), JW_OK);
	JW_NEAR_REL(air.temperature_k, 300, 1e-15);
	cr_expect(air.vapour_fraction > 0.03, "saturated");
	jw_tree_free(root);
}

Test(files, arguments_and_names)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	jw_fuel fuel;
	jw_jet_set set;
	jw_case_file *file = NULL;
	jw_readings *readings = NULL;
	static const jw_setup any;
	char path[64];
	cr_expect_eq(jw_profile_load(NULL, NULL, &profile, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_load("x", NULL, NULL, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_load("x", NULL, &profile, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_fuel_load(NULL, &fuel, NULL, 0, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_case_load("x", NULL, NULL, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_fuel_load("x", NULL, NULL, 0, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_fuel_load("x", &fuel, NULL, 0, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_case_load(NULL, NULL, &file, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_case_load("x", NULL, &file, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_case_parse("case: 1", LIBRARY, NULL, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_case_parse("case: 1", LIBRARY, &file, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_jets_load(NULL, NULL, &set, NULL, 0, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_jets_load("x", NULL, NULL, NULL, 0, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_jets_load("x", NULL, &set, NULL, 0, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_readings_load(NULL, &any, NULL, &readings, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_readings_load("x", NULL, NULL, &readings, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_readings_load("x", &any, NULL, NULL, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_readings_load("x", &any, NULL, &readings, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_write(NULL, NULL, &any, "y", &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_write("x", NULL, NULL, "y", &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_write("x", NULL, &any, NULL, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_write("x", NULL, &any, "y", NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_profile_load("no/such/file.yaml", NULL, &profile, &faults), JW_E_OPEN);
	cr_expect_eq(jw_fuel_load("profiles", &fuel, NULL, 0, &faults), JW_E_OPEN, "a folder");
	cr_expect_eq(jw_case_load("no/such/file.yaml", NULL, &file, &faults), JW_E_OPEN);
	cr_expect(!profile && !file && !readings && faults.count == 1 && faults.item[0].line == 0);
	jw_profile_free(NULL);
	jw_case_free(NULL);

	cr_expect_eq(jw_library_path("lib", "x/y.yaml", "fuels", "e5", path, sizeof path), JW_OK);
	cr_expect_str_eq(path, "lib/fuels/e5.yaml");
	cr_expect_eq(jw_library_path(NULL, "x/y.yaml", "fuels", "e5", path, sizeof path), JW_OK);
	cr_expect_str_eq(path, "x/../fuels/e5.yaml");
	cr_expect_eq(jw_library_path(NULL, "y.yaml", "fuels", "e5", path, sizeof path), JW_OK);
	cr_expect_str_eq(path, "../fuels/e5.yaml");
	cr_expect_eq(jw_library_path("lib", "y.yaml", "fuels", "e5", path, 10), JW_E_LIMIT);
	char far[5000];
	memset(far, 'x', sizeof far);
	far[sizeof far - 1] = '\0';
	cr_expect(jw_profile_load("profiles/engines/courier-150.yaml", far, &profile, &faults) < 0 && !profile);
	cr_expect(faults.count == 1 && strstr(faults.item[0].message, "too long"));
}

/* A sound file made longer by a comment. */
static void write_padded(const char *from, const char *to, long bytes)
{
	FILE *in = fopen(from, "r"), *out = fopen(to, "w");
	cr_assert(in && out);
	for (int c; (c = fgetc(in)) != EOF;)
		fputc(c, out);
	for (fputc('#', out); ftell(out) < bytes;)
		fputc('x', out);
	cr_assert(!fclose(in) && !fclose(out));
}

Test(files, of_any_kind_are_refused_past_their_size)
{
	static const struct {
		const char *name, *from;
		long most;
		const char *message;
	} kinds[] = {
	    {"engine-", "profiles/engines/moped-50.yaml", 256 * 1024, "file is too large, expected at most 256 KiB"},
	    {"fuel-", "profiles/fuels/e10.yaml", 256 * 1024, "file is too large, expected at most 256 KiB"},
	    {"case-", "profiles/cases/stood-five-months.yaml", 256 * 1024, "file is too large, expected at most 256 KiB"},
	    {"jets-", "profiles/jets/metric-steps.yaml", 256 * 1024, "file is too large, expected at most 256 KiB"},
	    {"readings-", "profiles/readings/courier-150-road.yaml", 256 * 1024,
	     "file is too large, expected at most 256 KiB"},
	    {"trace-", "tests/profiles/good/trace-with-crlf-and-byte-order-mark.csv", 4096 * 1024,
	     "file is too large, expected at most 4 MiB"},
	};
	char folder[] = "/tmp/jw-large-XXXXXX", path[64];
	cr_assert(mkdtemp(folder));
	for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
		jw_faults faults;
		snprintf(path, sizeof path, "%s/large.%s", folder, strrchr(kinds[i].from, '.') + 1);
		write_padded(kinds[i].from, path, kinds[i].most);
		jw_status status = load(path, kinds[i].name, &faults);
		cr_expect(status >= 0, "%s: %s", kinds[i].name, faults.item[0].message);
		write_padded(kinds[i].from, path, kinds[i].most + 1);
		cr_expect_eq(load(path, kinds[i].name, &faults), JW_E_LIMIT, "%s", kinds[i].name);
		cr_expect_str_eq(faults.item[0].message, kinds[i].message);
		unlink(path);
	}
	rmdir(folder);
}

Test(files, words_that_were_meant)
{
	static const struct {
		const char *word, *meant;
	} rows[] = {
	    {"hunt", "expected hunts"},
	    {"stumbling", "expected stumbles"},
	    {"idles", "expected idles_well"},
	    {"no_spark", "expected spark_none"},
	    {"smokes", "expected smokes_black or smokes_white or smokes_blue"},
	    {"float_high", "expected one of "},
	    {"xyz", "expected one of "},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_case_file *file = NULL;
		jw_faults faults = {0};
		char text[256];
		snprintf(text, sizeof text, "case: 1\nabout: a\nclass: moped-50\nevidence:\n  - {seen: %s}\n", rows[i].word);
		cr_expect_eq(jw_case_parse(text, LIBRARY, &file, &faults), JW_E_SCHEMA);
		cr_expect(faults.count && strstr(faults.item[0].message, rows[i].meant), "%s: %s", rows[i].word,
		          faults.count ? faults.item[0].message : "no fault");
		jw_case_free(file);
	}
	static const char *const names[] = {"courier-150", "twin-500", "moped-50"};
	cr_expect_str_eq(jw_word_nearest("moped", names, 3), "moped-50");
	cr_expect_str_eq(jw_word_nearest("500-twin", names, 3), "twin-500");
	cr_expect_null(jw_word_nearest("tractor", names, 3));
	cr_expect_null(jw_word_nearest(NULL, names, 3));
	cr_expect_null(jw_word_nearest("moped", NULL, 3));
	static const char *const longer[] = {"courierofonehundredandfiftycubiccentimetres", "courier"};
	cr_expect_str_eq(jw_word_nearest("couriers", longer, 2), "courier");
	cr_expect_null(jw_word_nearest(longer[0], names, 3));
}

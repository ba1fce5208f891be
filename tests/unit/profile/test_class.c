/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Profiles that leave dimensions to a class. */
#include "member.h"
#include "profile/files.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define PLAIN "tests/profiles/good/engine-based-on-a-class.yaml"

static void go_to_source(void)
{
	cr_assert(!chdir(JW_SOURCE_DIR));
}

TestSuite(class, .init = go_to_source);

static jw_profile *load_from(const char *path, const char *library)
{
	jw_profile *profile = NULL;
	jw_faults faults;
	jw_status status = jw_profile_load(path, library, &profile, &faults);
	cr_assert(status >= 0, "%s: %s: %s", path, faults.item[0].path, faults.item[0].message);
	return profile;
}

/* A file beside the others of a folder made for the test. */
static void write_file(const char *path, const char *text)
{
	FILE *file = fopen(path, "w");
	cr_assert(file && fputs(text, file) >= 0 && !fclose(file), "%s", path);
}

static jw_profile *load_text(const char *text)
{
	char path[] = "/tmp/jw-class-XXXXXX";
	int handle = mkstemp(path);
	cr_assert(handle >= 0);
	close(handle);
	write_file(path, text);
	jw_profile *profile = load_from(path, "profiles");
	unlink(path);
	return profile;
}

static int unmeasured_at(const jw_profile *profile, const char *key)
{
	int count;
	const jw_unmeasured *list = jw_profile_unmeasured(profile, &count);
	for (int i = 0; i < count; i++)
		if (!strcmp(list[i].key, key))
			return i;
	return -1;
}

Test(class, gives_what_the_profile_leaves_out_at_its_own_size)
{
	jw_profile *class = load_from("profiles/classes/scooter-125.yaml", "profiles"),
	           *plain = load_from(PLAIN, "profiles");
	const jw_setup *c = jw_profile_setup(class), *p = jw_profile_setup(plain);
	double ratio = 57.4 * 57.4 * 57.8 / (52.5 * 52.5 * 57.5), root = sqrt(ratio);
	cr_expect_str_eq(jw_profile_based_on(plain), "scooter-125");
	cr_expect_null(jw_profile_based_on(class));
	cr_expect_str_eq(jw_profile_name(plain), "Plain 150");
	JW_NEAR_REL(p->carburetor.main.fuel_jet.diameter_m, 1.12e-3, 1e-12);
	JW_NEAR_REL(p->engine.bore_m, 57.4e-3, 1e-12);
	JW_NEAR_REL(p->carburetor.throat.bore_m, root * c->carburetor.throat.bore_m, 1e-12);
	JW_NEAR_REL(p->carburetor.needle.straight_m, root * c->carburetor.needle.straight_m, 1e-12);
	JW_NEAR_REL(p->carburetor.port[1].diameter_m, root * c->carburetor.port[1].diameter_m, 1e-12);
	JW_NEAR_REL(p->engine.manifold_volume_m3, ratio * c->engine.manifold_volume_m3, 1e-12);
	JW_NEAR_REL(p->carburetor.slide.spring_closed_n, ratio * c->carburetor.slide.spring_closed_n, 1e-12);
	JW_NEAR_REL(p->carburetor.main.outlet_height_m, c->carburetor.main.outlet_height_m, 1e-12);
	JW_NEAR_REL(p->engine.ve[2], c->engine.ve[2], 1e-12);
	cr_expect(unmeasured_at(class, "carburetor.main.jet") >= 0 && unmeasured_at(plain, "carburetor.main.jet") < 0);
	int throat = unmeasured_at(plain, "carburetor.throat.bore"),
	    ports = unmeasured_at(plain, "carburetor.pilot.ports.diameter"), count;
	const jw_unmeasured *list = jw_profile_unmeasured(plain, &count);
	cr_assert(throat >= 0 && ports >= 0);
	cr_expect_eq(list[throat].offset, offsetof(jw_setup, carburetor.throat.bore_m));
	JW_NEAR_REL(list[throat].relative, 0.04, 1e-12);
	cr_expect(list[ports].count == p->carburetor.ports && list[ports].stride == sizeof(jw_port));
	jw_profile_free(class);
	jw_profile_free(plain);
}

/* Shared by all: a measured dimension, a spread of the profile's own, a baseline. */
#define HEAD                                                                                                           \
	"profile: 1\nname: A\nabout: B\nfuel: e5\nbased_on: scooter-125\n"                                                 \
	"engine: {bore: 53 mm, stroke: 57 mm}\n"

static double relative_at(const jw_profile *profile, jw_range range)
{
	jw_air air;
	double relative = 0;
	cr_assert(jw_air_from_humidity(101325, 293.15, 0.5, &air, NULL) == JW_OK);
	cr_assert(
	    jw_profile_contributions(profile, &air, &jw_profile_setup(profile)->range[range], NULL, &relative, NULL) >= 0);
	return relative;
}

Test(class, measuring_narrows_and_doubting_widens)
{
	jw_profile *plain = load_text(HEAD "carburetor: {main: {jet: 1.05 mm}, pilot: {jet: 0.36 mm}}\n");
	jw_profile *measured =
	    load_text(HEAD "carburetor: {main: {jet: 1.05 mm}, pilot: {jet: 0.36 mm, screw_turns: 2}}\n");
	jw_profile *vague = load_text(
	    HEAD
	    "carburetor: {main: {jet: 1.05 mm}, pilot: {jet: 0.36 mm}}\nspread: {carburetor: {pilot: {jet: 0.04 mm}}}\n");
	double before = relative_at(plain, JW_IDLE);
	cr_expect(relative_at(measured, JW_IDLE) < before);
	cr_expect(relative_at(vague, JW_IDLE) > before);
	cr_expect(before > 3 * 0.05, "%g", before);
	/* What explain and fit use. */
	const jw_coefficients *u = &jw_profile_setup(plain)->uncertainty;
	cr_expect(u->pilot > 0.15 && u->main > 0.1 && u->needle > 0.1 && u->air == 0.05, "%g %g %g", u->pilot, u->main,
	          u->needle);
	jw_profile_free(plain);
	jw_profile_free(measured);
	jw_profile_free(vague);
}

/* A set-up as drawn, then calibrated anew by its baseline. */
typedef struct drawn {
	const jw_profile *profile;
	const jw_air *air;
	int range;
} drawn;

static jw_status lnphi_calibrated(const double *x, double *lnphi, void *context)
{
	const drawn *d = context;
	int count;
	const jw_unmeasured *list = jw_profile_unmeasured(d->profile, &count);
	jw_setup s = *jw_profile_setup(d->profile);
	jw_calibration found;
	jw_mixture mixture;
	for (int i = 0; i < count; i++)
		jw_setup_shift(&s, &list[i], x[4 + i]);
	if (jw_setup_check(&s, NULL) < 0 || jw_calibrate(&s, jw_profile_baseline(d->profile), &found, NULL) < 0)
		return JW_E_RANGE;
	s.coefficient = found.coefficient;
	s.coefficient.air *= exp(0.05 * x[0]);
	s.coefficient.main *= exp(0.05 * x[1]);
	s.coefficient.needle *= exp(0.05 * x[2]);
	s.coefficient.pilot *= exp(0.05 * x[3]);
	jw_status status = jw_mixture_at(&s, d->air, &s.range[d->range], &mixture, NULL);
	*lnphi = status >= 0 ? log(mixture.phi) : 0;
	return status < 0 ? JW_E_RANGE : JW_OK;
}

/* Where a baseline tells lambda, dimensions matter between its points only. First order errs to the wide side, since
 * far dimensions meet no baseline. */
Test(class, a_baseline_takes_the_doubt_back)
{
	enum { SAMPLES = 127 };
	double outputs[SAMPLES];
	jw_profile *p = load_text(HEAD "carburetor: {main: {jet: 1.05 mm}, pilot: {jet: 0.36 mm}}\n"
	                               "baseline: {temperature: 20 C, humidity: 50%, idle: 0.9, half: 0.95, full: 0.89}\n");
	cr_expect(jw_profile_setup(p)->uncertainty.pilot == 0.05);
	int count;
	jw_profile_unmeasured(p, &count);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const jw_air *air = &jw_profile_baseline(p)->air;
		drawn d = {p, air, r};
		jw_input inputs[JW_INPUTS];
		jw_sampling found;
		for (int i = 0; i < 4 + count; i++)
			inputs[i] = (jw_input){.mean = 0, .uncertainty = 1};
		cr_assert(jw_sample(lnphi_calibrated, &d, inputs, 4 + count, SAMPLES, 0.9, outputs, &found, NULL) >= 0);
		double anchored = relative_at(p, (jw_range)r), sampled = (found.high - found.low) / (2 * 1.644854);
		printf("%-14s first order %.3f, sampled and calibrated %.3f, %d left out\n", jw_range_name((jw_range)r),
		       anchored, sampled, found.left_out);
		cr_expect(anchored > 0.7 * sampled && anchored < 2.2 * sampled, "%s", jw_range_name((jw_range)r));
		if (r == JW_IDLE || r == JW_HALF)
			cr_expect(anchored < 0.07, "%s: %g", jw_range_name((jw_range)r), anchored);
	}
	jw_profile_free(p);
}

static double phi_of(const jw_setup *setup, const jw_air *air, int range)
{
	jw_mixture mixture;
	cr_assert(jw_mixture_at(setup, air, &setup->range[range], &mixture, NULL) >= 0);
	return mixture.phi;
}

/* Every quantity that a class states has a spread, every spread a way to measure it, and the class runs. */
static void check_class(const char *path)
{
	jw_profile *class = load_from(path, NULL);
	jw_faults faults;
	jw_node *root = NULL;
	jw_air air;
	int count;
	const jw_unmeasured *list = jw_profile_unmeasured(class, &count);
	for (int i = 0; i < count; i++)
		cr_expect(jw_profile_measure(list[i].key), "%s: %s", path, list[i].key);
	jw_faults_begin(&faults, path);
	cr_assert(jw_tree_load(path, &root, &faults) == JW_OK);
	for (const jw_field *field = jw_engine_fields; field->path; field++) {
		char spread[128];
		snprintf(spread, sizeof spread, "spread.%s", field->path);
		if (field->kind == JW_FIELD_QUANTITY && jw_node_find(root, field->path, NULL))
			cr_expect(jw_node_find(root, spread, NULL), "%s: %s", path, spread);
	}
	jw_tree_free(root);
	jw_air_from_humidity(101325, 293.15, 0.5, &air, NULL);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double lambda = 1 / phi_of(jw_profile_setup(class), &air, r);
		cr_expect(lambda > 0.75 && lambda < 1.25, "%s %s: lambda %g", path, jw_range_name((jw_range)r), lambda);
	}
	jw_profile_free(class);
}

Test(class, those_that_come_along_are_whole)
{
	int kinds[JW_CARBURETOR_KIND_COUNT] = {0}, count = 0;
	DIR *entries = opendir("profiles/classes");
	cr_assert(entries);
	for (struct dirent *entry; (entry = readdir(entries));) {
		char path[512];
		if (!strstr(entry->d_name, ".yaml"))
			continue;
		snprintf(path, sizeof path, "profiles/classes/%s", entry->d_name);
		check_class(path);
		jw_profile *class = load_from(path, NULL);
		kinds[jw_profile_setup(class)->carburetor.kind]++;
		count++;
		jw_profile_free(class);
	}
	closedir(entries);
	cr_expect(count >= 6 && kinds[0] && kinds[1] && kinds[2], "%d classes", count);
}

/* A dimension that both state to vary is doubted once, by as much as the profile says, whichever place it has there. */
Test(class, a_spread_of_its_own_takes_the_place_of_the_class)
{
	jw_profile *own =
	    load_text(HEAD "carburetor: {main: {jet: 1.05 mm}, pilot: {jet: 0.36 mm}}\n"
	                   "spread: {carburetor: {throat: {bore: 7%, recovery: 11%}, pilot: {outlet: 13%}}}\n");
	static const struct {
		const char *key;
		double relative;
	} rows[] = {{"carburetor.throat.bore", 0.07},
	            {"carburetor.throat.recovery", 0.11},
	            {"carburetor.pilot.outlet", 0.13},
	            {"carburetor.throat.coefficient", 0.04}};
	int count;
	const jw_unmeasured *list = jw_profile_unmeasured(own, &count);
	for (int i = 0; i < count; i++)
		cr_expect_eq(unmeasured_at(own, list[i].key), i, "%s is listed twice", list[i].key);
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const int at = unmeasured_at(own, rows[i].key);
		cr_assert(at >= 0, "%s", rows[i].key);
		JW_NEAR_REL(list[at].relative, rows[i].relative, 1e-12);
	}
	jw_profile_free(own);
}

/* A library of the test's own, in which the faults of classes can be shown. */
Test(class, no_chain_and_no_faulty_class)
{
	char library[] = "/tmp/jw-library-XXXXXX", path[64];
	jw_profile *profile = NULL;
	jw_faults faults;
	cr_assert(mkdtemp(library));
	snprintf(path, sizeof path, "%s/classes", library);
	cr_assert(!mkdir(path, 0700));
	snprintf(path, sizeof path, "%s/classes/scooter-125.yaml", library);
	write_file(path, "profile: 1\nname: A\nabout: B\nfuel: e5\nbased_on: scooter-125\n");
	cr_expect_eq(jw_profile_load(PLAIN, library, &profile, &faults), JW_E_SCHEMA);
	cr_expect_str_eq(faults.item[0].path, "based_on");
	cr_expect(strstr(faults.item[0].message, "names a file with faults"), "%s", faults.item[0].message);
	write_file(path, "profile: 1\nname: A\nabout: B\nfuel: [e5\n");
	cr_expect_eq(jw_profile_load(PLAIN, library, &profile, &faults), JW_E_SCHEMA);
	cr_expect_eq(faults.count, 1);
	cr_expect_null(profile);
	unlink(path);
	snprintf(path, sizeof path, "%s/classes", library);
	rmdir(path);
	rmdir(library);
}

static void read_file(const char *path, char *text, size_t room)
{
	FILE *file = fopen(path, "r");
	cr_assert(file, "%s", path);
	text[fread(text, 1, room - 1, file)] = '\0';
	fclose(file);
}

/* No class that comes along has a power jet: one that has, made of one of them. */
static void write_class_with_power_jet(const char *path)
{
	char text[8192], with[9216];
	read_file("profiles/classes/single-250.yaml", text, sizeof text);
	char *place = strstr(text, "  enrichener:");
	cr_assert(place);
	snprintf(with, sizeof with,
	         "%.*s  power_jet: {jet: 0.5 mm, jet_length: 1.2 mm, air_jet: 0.4 mm, bleed_below_level: 5 mm,\n"
	         "    outlet: 1.5 mm, outlet_above_level: 40 mm}\n%s",
	         (int)(place - text), text, place);
	write_file(path, with);
}

/* Angles, ratios and coefficients, and what air and heat do, are no dimensions. Of the others areas go with
 * displacement, bores with its root, and with areas what they carry: weights, forces and flows (common practice, no
 * source). */
static const struct {
	const char *field;
	double power;
} shapes[] = {{"engine.manifold_volume_m3", 1},
              {"carburetor.intake.loss_flow_kg_s", 1},
              {"carburetor.slide.mass_kg", 1},
              {"carburetor.slide.spring_closed_n", 1},
              {"carburetor.slide.spring_rate_n_m", 0.5},
              {"carburetor.slide.base_area_m2", 1},
              {"carburetor.slide.diaphragm_m", 0.5},
              {"carburetor.choke.relief_m2", 1},
              {"carburetor.choke.bore_m", 0.5},
              {"carburetor.plate.bore_m", 0.5},
              {"carburetor.plate.shaft_m", 0.5},
              {"carburetor.needle.straight_length_m", 0.5},
              {"carburetor.needle.tip_m", 0.5},
              {"engine.compression_ratio", 0},
              {"engine.crankcase_ratio", 0},
              {"engine.intake_duration_rad", 0},
              {"engine.manifold_heating_k", 0},
              {"engine.exhaust_back_pa", 0},
              {"bowl_heating_k", 0},
              {"carburetor.intake.loss_pa", 0},
              {"carburetor.throat.coefficient", 0},
              {"carburetor.throat.recovery", 0},
              {"carburetor.plate.coefficient", 0},
              {"carburetor.plate.closed_rad", 0},
              {"carburetor.plate.idle_rad", 0},
              {"carburetor.choke.coefficient", 0},
              {"carburetor.choke.closed_rad", 0},
              {"carburetor.needle.taper_rad", 0},
              {"carburetor.needle.coefficient", 0},
              {"carburetor.screw.coefficient", 0},
              {"carburetor.screw.cone_rad", 0},
              {"carburetor.screw.pitch_m", 0}};
enum { SHAPES = sizeof shapes / sizeof *shapes };

Test(class, bores_grow_and_shapes_do_not)
{
	static const struct {
		const char *class, *text;
	} rows[] = {{"profiles/classes/car-1200.yaml", "based_on: car-1200\nengine: {bore: 80 mm, stroke: 75 mm}\n"
	                                               "carburetor: {kind: fixed_venturi}\n"},
	            {"profiles/classes/moped-50.yaml", "based_on: moped-50\nengine: {bore: 44 mm, stroke: 44 mm}\n"
	                                               "carburetor: {kind: piston_slide}\n"},
	            {"profiles/classes/scooter-125.yaml", "based_on: scooter-125\nengine: {bore: 60 mm, stroke: 60 mm}\n"
	                                                  "carburetor: {kind: constant_depression}\n"}};
	int seen[SHAPES] = {0};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		char text[512];
		snprintf(text, sizeof text, "profile: 1\nname: A\nabout: B\nfuel: e5\n%s", rows[i].text);
		jw_profile *class = load_from(rows[i].class, "profiles"), *grown = load_text(text);
		const jw_carburetor *c = &jw_profile_setup(class)->carburetor, *g = &jw_profile_setup(grown)->carburetor;
		const double ratio =
		    jw_displacement(&jw_profile_setup(grown)->engine) / jw_displacement(&jw_profile_setup(class)->engine);
		cr_expect(g->throat.bore_m > 1.01 * c->throat.bore_m &&
		          g->pilot.fuel_jet.diameter_m > c->pilot.fuel_jet.diameter_m);
		for (int k = 0; k < SHAPES; k++) {
			const double was = member_value(jw_profile_setup(class), shapes[k].field);
			const double wanted = was * pow(ratio, shapes[k].power);
			cr_expect(fabs(member_value(jw_profile_setup(grown), shapes[k].field) - wanted) <= 1e-12 * fabs(wanted),
			          "%s: %s", rows[i].class, shapes[k].field);
			seen[k] |= was != 0;
		}
		jw_profile_free(class);
		jw_profile_free(grown);
	}
	for (int k = 0; k < SHAPES; k++)
		cr_expect(seen[k], "%s", shapes[k].field);
}

/* Bores grow so that their area goes with displacement; heights over the fuel are those of the bowl, and the land of a
 * jet is as long as it has to be (common practice, no source). */
Test(class, heights_do_not_grow_with_displacement)
{
	char library[] = "/tmp/jw-library-XXXXXX", classes[64], fuels[64], path[96], fuel[96], own[96], text[8192];
	cr_assert(mkdtemp(library));
	snprintf(classes, sizeof classes, "%s/classes", library);
	snprintf(path, sizeof path, "%s/single-250.yaml", classes);
	snprintf(fuels, sizeof fuels, "%s/fuels", library);
	snprintf(fuel, sizeof fuel, "%s/e5.yaml", fuels);
	snprintf(own, sizeof own, "%s/own.yaml", library);
	cr_assert(!mkdir(classes, 0700) && !mkdir(fuels, 0700));
	write_class_with_power_jet(path);
	read_file("profiles/fuels/e5.yaml", text, sizeof text);
	write_file(fuel, text);
	write_file(own,
	           "profile: 1\nname: A\nabout: B\nfuel: e5\nbased_on: single-250\nengine: {bore: 86 mm, stroke: 70 mm}\n"
	           "carburetor: {main: {jet: 1.8 mm}, pilot: {jet: 0.5 mm}}\n");
	jw_profile *class = load_from(path, library), *grown = load_from(own, library);
	const jw_carburetor *c = &jw_profile_setup(class)->carburetor, *g = &jw_profile_setup(grown)->carburetor;
	const double root = sqrt(86.0 * 86 * 70 / (72 * 72 * 61));
	JW_NEAR_REL(c->power.outlet_height_m, 40e-3, 1e-12);
	const double heights[][2] = {{g->power.outlet_height_m, c->power.outlet_height_m},
	                             {g->power.bleed_depth_m, c->power.bleed_depth_m},
	                             {g->main.outlet_height_m, c->main.outlet_height_m},
	                             {g->main.bleed_depth_m, c->main.bleed_depth_m},
	                             {g->pilot.outlet_height_m, c->pilot.outlet_height_m},
	                             {g->pilot.bleed_depth_m, c->pilot.bleed_depth_m},
	                             {g->enrichener.outlet_height_m, c->enrichener.outlet_height_m},
	                             {g->enrichener.bleed_depth_m, c->enrichener.bleed_depth_m},
	                             {g->power.fuel_jet.length_m, c->power.fuel_jet.length_m},
	                             {g->main.fuel_jet.length_m, c->main.fuel_jet.length_m},
	                             {g->pilot.air_jet.length_m, c->pilot.air_jet.length_m}};
	const double bores[][2] = {{g->power_outlet_m, c->power_outlet_m},
	                           {g->power.fuel_jet.diameter_m, c->power.fuel_jet.diameter_m},
	                           {g->power.air_jet.diameter_m, c->power.air_jet.diameter_m},
	                           {g->main.air_jet.diameter_m, c->main.air_jet.diameter_m},
	                           {g->pilot.air_jet.diameter_m, c->pilot.air_jet.diameter_m},
	                           {g->enrichener_outlet_m, c->enrichener_outlet_m},
	                           {g->enrichener.fuel_jet.diameter_m, c->enrichener.fuel_jet.diameter_m},
	                           {g->needle.jet_m, c->needle.jet_m},
	                           {g->needle.straight_m, c->needle.straight_m}};
	for (size_t i = 0; i < sizeof heights / sizeof *heights; i++)
		cr_expect(heights[i][1] != 0 && heights[i][0] == heights[i][1], "height %zu: %g of %g", i, heights[i][0],
		          heights[i][1]);
	for (size_t i = 0; i < sizeof bores / sizeof *bores; i++) {
		cr_expect_gt(bores[i][1], 0, "bore %zu", i);
		JW_NEAR_REL(bores[i][0], root * bores[i][1], 1e-12);
	}
	jw_profile_free(class);
	jw_profile_free(grown);
	unlink(own);
	unlink(path);
	unlink(fuel);
	rmdir(classes);
	rmdir(fuels);
	rmdir(library);
}

Test(class, a_changed_part_is_written_with_what_is_doubted)
{
	char to[] = "/tmp/jw-written-XXXXXX";
	int handle = mkstemp(to);
	cr_assert(handle >= 0);
	close(handle);
	jw_faults faults;
	jw_profile *plain = load_from(PLAIN, "profiles");
	jw_setup changed = *jw_profile_setup(plain);
	changed.carburetor.main.fuel_jet.diameter_m = 1.2e-3;
	changed.carburetor.needle.raised_m = 0.5e-3; /* which the class gave */
	jw_status status = jw_profile_write(PLAIN, "profiles", &changed, to, &faults);
	cr_assert(status >= 0, "%s", faults.item[0].message);
	jw_profile *back = load_from(to, "profiles");
	JW_NEAR_REL(jw_profile_setup(back)->carburetor.needle.raised_m, 0.5e-3, 1e-5);
	JW_NEAR_REL(jw_profile_setup(back)->uncertainty.pilot, changed.uncertainty.pilot, 1e-5);
	JW_NEAR_REL(jw_profile_setup(back)->carburetor.throat.bore_m, changed.carburetor.throat.bore_m, 1e-12);
	unlink(to);
	jw_profile_free(plain);
	jw_profile_free(back);
}

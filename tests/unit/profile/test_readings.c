/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings reach their members; traces become readings of steady running; faults tell where. */
#define _DEFAULT_SOURCE /* mkstemps */
#include "near.h"
#include "profile/readings.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static jw_setup usual_setup(void)
{
	jw_setup setup = {0};
	for (int range = 0; range < JW_RANGE_COUNT; range++)
		setup.range[range] = (jw_point){30 + range, 0.1 * range, 0};
	return setup;
}

static jw_air cool_air(void)
{
	jw_air air = {0};
	cr_assert_eq(jw_air_from_humidity(99e3, 280, 0.4, &air, NULL), JW_OK);
	return air;
}

static jw_readings *load(const char *path)
{
	jw_faults faults;
	jw_readings *readings = NULL;
	const jw_setup setup = usual_setup();
	const jw_air air = cool_air();
	char whole[512];
	snprintf(whole, sizeof whole, "%s/%s", JW_SOURCE_DIR, path);
	jw_status status = jw_readings_load(whole, &setup, &air, &readings, &faults);
	cr_assert(status >= 0, "%s: %d:%d: %s: %s", path, faults.item[0].line, faults.item[0].column, faults.item[0].path,
	          faults.item[0].message);
	return readings;
}

Test(readings, every_kind_reaches_its_members)
{
	int count = 0;
	jw_readings *readings = load("tests/profiles/good/readings-of-every-kind.yaml");
	const jw_reading *r = jw_readings_list(readings, &count);
	const jw_reading_kind kinds[] = {JW_READING_LAMBDA, JW_READING_AFR,  JW_READING_GAS,       JW_READING_JET_FLOW,
	                                 JW_READING_LEVEL,  JW_READING_LIFT, JW_READING_DEPRESSION};
	cr_assert_eq(count, 7);
	for (int i = 0; i < count; i++)
		cr_expect_eq(r[i].kind, kinds[i], "reading %d", i);
	cr_expect_str_eq(jw_readings_about(readings), "One of each.");
	cr_expect_eq(jw_readings_left_out(readings), 0);

	JW_NEAR_REL(r[0].value, 0.9, 1e-15);
	JW_NEAR_REL(r[0].uncertainty, 0.018, 1e-12);
	cr_expect(r[0].line == 5 && r[0].point.speed_rev_s == 30 && r[0].point.throttle == 0);
	JW_NEAR_REL(r[0].air.temperature_k, 288.15, 1e-15);
	JW_NEAR_REL(r[0].air.pressure_pa, 95461, 1e-4); /* ISO 2533 at 500 m */
	JW_NEAR_REL(r[1].value, 12.9, 1e-15);
	cr_expect(r[1].uncertainty == 0.3 && r[1].stoichiometric_afr == 0 && r[1].point.speed_rev_s == 35);
	JW_NEAR_REL(r[2].gas.hc, 200e-6, 1e-12);
	JW_NEAR_REL(r[2].gas.co2, 0.13, 1e-12);
	JW_NEAR_REL(r[2].air.pressure_pa, 95e3, 1e-15);
	JW_NEAR_REL(r[2].air.vapour_fraction * 95e3, jw_saturation_pressure(288.15), 0.01);
	JW_NEAR_REL(r[3].value, 140e-6 / 60, 1e-12);
	JW_NEAR_REL(r[3].uncertainty, 0.02 * 140e-6 / 60, 1e-12);
	JW_NEAR_REL(r[3].head_m, 0.5, 1e-15);
	cr_expect(r[3].jet == JW_PART_MAIN_JET && r[3].air.temperature_k == 298.15);
	cr_expect(r[4].value == 0 && r[4].uncertainty == 0.5e-3);
	cr_expect(r[5].line == 10 && r[6].line == 10 && r[5].point.throttle == 0.5);
	JW_NEAR_REL(r[5].value, 12e-3, 1e-12);
	JW_NEAR_REL(r[6].uncertainty, 55, 1e-12);
	jw_readings_free(readings);
	jw_readings_free(NULL);
}

/* A gauge's scale goes with the reading that states it, and with no other. */
Test(readings, a_stated_scale_is_that_of_its_reading)
{
	int count = 0, scaled = 0;
	jw_readings *readings = load("profiles/readings/courier-150-road.yaml");
	const jw_reading *r = jw_readings_list(readings, &count);
	for (int i = 0; i < count; i++) {
		cr_expect(r[i].stoichiometric_afr == 0 || (r[i].kind == JW_READING_AFR && r[i].stoichiometric_afr == 14.7));
		scaled += r[i].stoichiometric_afr == 14.7;
	}
	cr_expect_eq(scaled, 1);
	jw_readings_free(readings);
}

Test(readings, without_air_the_usual_one_holds)
{
	int count = 0;
	jw_readings *readings = load("tests/profiles/good/readings-block-style.yaml");
	const jw_air usual = cool_air();
	const jw_reading *r = jw_readings_list(readings, &count);
	cr_assert_eq(count, 4);
	cr_expect(!memcmp(&r[0].air, &usual, sizeof usual));
	JW_NEAR_REL(r[1].air.pressure_pa, 99e3, 1e-15);
	JW_NEAR_REL(r[1].air.temperature_k, 293.15, 1e-12);
	/* The same relative humidity, not the same vapour; air enhances saturation by up to 0.5 % (CIPM-2007). */
	JW_NEAR_REL(r[1].air.vapour_fraction / jw_saturation_pressure(293.15),
	            usual.vapour_fraction / jw_saturation_pressure(280), 5e-3);
	jw_readings_free(readings);
}

/* ---- traces ---- */

static jw_status read_trace(const char *text, jw_reading_list *list, jw_faults *faults)
{
	const jw_setup setup = usual_setup();
	const jw_entry_context context = {&setup, cool_air()};
	memset(list, 0, sizeof *list);
	jw_faults_begin(faults, "trace");
	return jw_trace_read(text, strlen(text), &context, list, faults);
}

/* Lines of a steady stretch. */
static void add_lines(char *text, double from_s, double until_s, double rpm, double throttle, double lambda)
{
	for (int i = 0; from_s + 0.1 * i < until_s - 1e-9; i++)
		sprintf(text + strlen(text), "%.1f,%.0f,%.1f,%.3f\n", from_s + 0.1 * i, rpm + 20 * (i % 2), throttle,
		        lambda + (i % 2 ? 0.01 : -0.01));
}

Test(trace, steady_stretches_become_readings)
{
	static char text[20000] = "# a log\ntime s, speed rpm, throttle (%), lambda\n\n";
	jw_reading_list list;
	jw_faults faults;
	add_lines(text, 0, 3, 3000, 25, 0.92);    /* 30 lines, 5 settle */
	add_lines(text, 3, 4, 4000, 40, 0.9);     /* too short */
	add_lines(text, 4, 6, 5000, 50, 0.98);    /* 20 lines, 5 settle */
	add_lines(text, 7.4, 8.4, 5000, 50, 1.2); /* the same point after a gap, too short */
	add_lines(text, 60, 61.4, 5000, 50, 1.2); /* again */
	cr_assert_eq(read_trace(text, &list, &faults), JW_OK, "%s", faults.item[0].message);
	cr_assert_eq(list.count, 2);
	cr_expect_eq(list.left_out, 5 + 10 + 5 + 10 + 14, "%d", list.left_out);
	JW_NEAR_ABS(list.item[0].value, 0.92, 1e-3);
	JW_NEAR_REL(list.item[0].point.speed_rev_s, 3010 / 60.0, 1e-3);
	JW_NEAR_REL(list.item[0].point.throttle, 0.25, 1e-12);
	/* 25 samples of scatter 0.01 beside the probe's 0.02. */
	JW_NEAR_REL(list.item[0].uncertainty, hypot(0.02, 0.01 / 5), 2e-3);
	JW_NEAR_ABS(list.item[1].value, 0.98, 1e-3);
	cr_expect_eq(list.item[0].line, 9, "the first that settled: %d", list.item[0].line);
}

/* Within a twentieth of the speed and 3 % of the throttle from where it began it holds still, beyond it does not: what
 * comes then is a stretch of its own. */
Test(trace, how_still_an_engine_must_hold)
{
	static const struct {
		double rpm, throttle;
		int readings;
	} rows[] = {{3125, 25, 1},   {3160, 25, 2},   {2875, 25, 1},   {2840, 25, 2},
	            {3000, 27.9, 1}, {3000, 28.2, 2}, {3000, 22.1, 1}, {3000, 21.8, 2}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		char text[4000] = "time s, speed rpm, throttle (%), lambda\n";
		jw_reading_list list;
		jw_faults faults;
		add_lines(text, 0, 3, 3000, 25, 0.92);
		add_lines(text, 3, 6, rows[i].rpm, rows[i].throttle, 0.92);
		cr_assert_eq(read_trace(text, &list, &faults), JW_OK, "%s", faults.item[0].message);
		cr_expect_eq(list.count, rows[i].readings, "%g rpm, %g %%: %d", rows[i].rpm, rows[i].throttle, list.count);
	}
}

Test(trace, without_time_each_line_is_a_reading)
{
	jw_reading_list list;
	jw_faults faults;
	/* A mark ahead, line ends of another system, an empty cell, a line without a reading, no line end at the end. */
	const char *text = "\xef\xbb\xbf"
	                   "at,lambda,slide_lift mm,temperature\r\n"
	                   "half,0.95,,20 C\r\n"
	                   "idle,,,\r\n"
	                   "full,0.89,21,86 F";
	cr_assert_eq(read_trace(text, &list, &faults), JW_OK, "%s", faults.item[0].message);
	cr_assert_eq(list.count, 3);
	cr_expect_eq(list.left_out, 1);
	cr_expect(list.item[0].point.speed_rev_s == 33 && list.item[1].point.speed_rev_s == 35);
	cr_expect(list.item[2].kind == JW_READING_LIFT && list.item[2].line == 4);
	JW_NEAR_REL(list.item[1].air.temperature_k, 303.15, 1e-12);
}

/* As RFC 4180 has it, but for a comma between quotes. */
Test(trace, cells_may_stand_in_quotes)
{
	jw_reading_list list;
	jw_faults faults;
	const char *text = "\"at\", \"lambda\" ,\"slide_lift mm\"\n\"half\",\"0.95\",\"\"\n\"full\",0.89,\"21\"\n";
	cr_assert_eq(read_trace(text, &list, &faults), JW_OK, "%s", faults.item[0].message);
	cr_assert_eq(list.count, 3);
	cr_expect(list.item[0].value == 0.95 && list.item[2].kind == JW_READING_LIFT);
}

Test(trace, faults_tell_where)
{
	static const struct {
		const char *text;
		int line, column;
		const char *part;
	} rows[] = {
	    {"", 1, 1, "holds no heading"},
	    {"speed rpm,throttle %,lamda\n", 1, 22, "is an unknown column, expected lambda"},
	    {"at,lambda,lambda\n", 1, 11, "is a column twice"},
	    {"speed rpm,lambda\n3000,0.9\n", 1, 1, "does not say where"},
	    {"at;lambda\nhalf;0,9\n", 1, 1, "has semicolons"},
	    {"at\tlambda\nhalf\t0.9\n", 1, 1, "has tabs"},
	    {"at,lambda\nhalf\n", 2, 1, "has 1 cells, expected 2"},
	    {"at,lambda\nhalf,\"0,9\"\n", 2, 1, "has 3 cells, expected 2"},
	    {"at,lambda\nhalf,\"\n", 2, 6, "is \"\"\""},
	    {"at,lambda\nhalf,0.9,1\n", 2, 1, "has 3 cells, expected 2"},
	    {"at,lambda\nhalf,  0,9\n", 2, 1, "has 3 cells"},
	    {"at,lambda\nfull,0.9\nhalf,  9\n", 3, 8, "is \"9\", expected 0.3 to 3"},
	    {"at,lambda\nhaff,0.9\n", 2, 1, "is \"haff\", expected half"},
	    {"speed,throttle %,lambda\n3000,50,0.9\n", 2, 1, "is \"3000\", expected 200 rpm to 25000 rpm"},
	    {"speed rpm,throttle %,lambda\n3000,,0.9\n", 2, 1, "does not say where"},
	    {"time s,at,lambda\n2,half,0.9\n1,half,0.9\n", 3, 1, "does not follow in time"},
	    {"time s,at,lambda\n2,half,0.9\n,half,0.9\n", 3, 1, "does not follow in time"},
	    {"time s,at,lambda\n2,half,0.9\n3,half,0.9\n", 3, 1, "holds no steady reading"},
	    {"at,lambda,slide_lift mm,uncertainty\nhalf,0.9,12,0.02\n", 2, 13, "may be that of more than one"},
	    {"a,b,c,d,e,f,g,h,i,j,k,l,m,n,o,p,q\n", 1, 1, "has 17 columns, expected at most 16"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_reading_list list;
		jw_faults faults;
		cr_expect_eq(read_trace(rows[i].text, &list, &faults), JW_E_SCHEMA, "row %zu", i);
		const jw_fault *f = faults.item;
		cr_expect(faults.count > 0 && f->line == rows[i].line && f->column == rows[i].column &&
		              strstr(f->message, rows[i].part),
		          "row %zu: %d:%d %s", i, f->line, f->column, f->message);
	}
}

/* A value that is wrong, an entry that holds no reading, and a sound one: each fault once. */
Test(readings, all_faults_are_told)
{
	static const char text[] = "readings: 1\nabout: Two faults.\ntaken:\n  - {at: half, lambda: 90}\n"
	                           "  - {at: full}\n  - {at: idle, lambda: 0.9}\n";
	const jw_setup setup = usual_setup();
	jw_readings *readings = NULL;
	jw_faults faults;
	char path[] = "/tmp/jetwright-readings-XXXXXX.yaml";
	int file = mkstemps(path, 5);
	cr_assert(file >= 0 && write(file, text, sizeof text - 1) == sizeof text - 1 && !close(file));
	cr_expect_eq(jw_readings_load(path, &setup, NULL, &readings, &faults), JW_E_SCHEMA);
	unlink(path);
	cr_expect_null(readings);
	cr_assert_eq(faults.count, 2, "%d", faults.count);
	cr_expect(faults.item[0].line == 4 && faults.item[1].line == 5);
	cr_expect_str_eq(faults.item[0].path, "taken[1].lambda");
	cr_expect_str_eq(faults.item[1].path, "taken[2]");
}

/* Every fault of a trace is told, not only the first. */
Test(trace, all_faults_are_told)
{
	jw_reading_list list;
	jw_faults faults;
	cr_expect_eq(read_trace("at,lambda\nhaff,9\nhalf,0.9\nfull,x\nidle\n", &list, &faults), JW_E_SCHEMA);
	cr_expect_eq(faults.count, 4, "%d", faults.count);
	cr_expect(faults.item[3].line == 5);
}

Test(trace, too_many_readings_are_refused)
{
	static char text[8192] = "at,lambda\n";
	jw_reading_list list;
	jw_faults faults;
	for (int i = 0; i <= JW_READINGS_MOST; i++)
		strcat(text, "half,0.9\n");
	cr_expect_eq(read_trace(text, &list, &faults), JW_E_LIMIT);
	cr_expect(list.count == JW_READINGS_MOST && faults.item[0].line == JW_READINGS_MOST + 2);
}

Test(trace, a_file_is_one_by_its_name)
{
	const jw_setup setup = usual_setup();
	jw_readings *readings = NULL;
	jw_faults faults;
	char path[] = "/tmp/jetwright-trace-XXXXXX.CSV";
	int file = mkstemps(path, 4);
	cr_assert(file >= 0 && write(file, "at,lambda\nhalf,0.9\n", 19) == 19 && !close(file));
	cr_expect_eq(jw_readings_load(path, &setup, NULL, &readings, &faults), JW_OK);
	int count = 0;
	const jw_reading *r = jw_readings_list(readings, &count);
	cr_expect_eq(count, 1);
	JW_NEAR_REL(r->air.pressure_pa, 101325, 1e-15);
	cr_expect_str_eq(jw_readings_about(readings), "");
	jw_readings_free(readings);
	unlink(path);
	readings = NULL;
	cr_expect_eq(jw_readings_load(path, &setup, NULL, &readings, &faults), JW_E_OPEN);
	cr_expect_eq(jw_readings_load("no.yaml", &setup, NULL, &readings, &faults), JW_E_OPEN);
	cr_expect_eq(jw_readings_load(NULL, &setup, NULL, &readings, &faults), JW_E_ARGUMENT);
	cr_expect_eq(jw_readings_load(path, NULL, NULL, &readings, &faults), JW_E_ARGUMENT);
	cr_expect_null(readings);
}

Test(readings, lift_of_a_slide_needs_a_slide)
{
	jw_faults faults;
	jw_readings *readings = NULL;
	jw_setup setup = usual_setup();
	const jw_air air = cool_air();
	setup.carburetor.kind = JW_FIXED_VENTURI;
	cr_assert_eq(jw_readings_load(JW_SOURCE_DIR "/tests/profiles/good/readings-of-every-kind.yaml", &setup, &air,
	                              &readings, &faults),
	             JW_E_SCHEMA);
	cr_expect_eq(faults.count, 1);
	cr_expect_not_null(strstr(faults.item[0].path, "slide_lift"));
	cr_expect_gt(faults.item[0].line, 1);
}

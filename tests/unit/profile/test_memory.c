/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every allocation in turn fails, with all after it or alone: the status says so and nothing is left behind.
 * Stands before the C library's allocator; under a sanitizer, which does the same, there is nothing to fail. */
#include <criterion/criterion.h>
#include <jetwright/cycle.h>
#include <jetwright/profile.h>
#include <jetwright/rejet.h>
#include <stdio.h>
#include <unistd.h>

#ifndef JW_SANITIZED

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *block, size_t size);
void __libc_free(void *block);

/* Of the thread that runs the test: the runner has threads of its own. */
static _Thread_local int armed, alone;
static _Thread_local long left, live;

static int refused(void)
{
	const long room = left;
	left -= armed;
	return armed && (alone ? room == 0 : room <= 0);
}

static void *counted(void *block)
{
	live += armed && block;
	return block;
}

void *malloc(size_t size)
{
	return refused() ? NULL : counted(__libc_malloc(size));
}

void *calloc(size_t count, size_t size)
{
	return refused() ? NULL : counted(__libc_calloc(count, size));
}

void *realloc(void *block, size_t size)
{
	if (refused())
		return NULL;
	return block ? __libc_realloc(block, size) : counted(__libc_malloc(size));
}

void free(void *block)
{
	live -= armed && block;
	__libc_free(block);
}

#define PROFILES JW_SOURCE_DIR "/profiles"

/* What the calls work on; loaded before anything fails. */
static jw_setup setup;
static jw_air air;
static jw_reading readings[JW_RANGE_COUNT];
static jw_jet_set jets;

static jw_status load_case(void)
{
	jw_faults faults;
	jw_case_file *file = NULL;
	jw_status status = jw_case_load(PROFILES "/cases/open-filter-fitted.yaml", PROFILES, &file, &faults);
	jw_case_free(file);
	return status;
}

static jw_status parse_case(void)
{
	jw_faults faults;
	jw_case_file *file = NULL;
	jw_status status = jw_case_parse("case: 1\nabout: a\nclass: scooter-125\nmain_jet: 1.1 mm\n"
	                                 "evidence: [{seen: hunts, at: idle}]\n",
	                                 PROFILES, &file, &faults);
	jw_case_free(file);
	return status;
}

static jw_status load_profile(void)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	jw_status status =
	    jw_profile_load(JW_SOURCE_DIR "/tests/profiles/good/engine-based-on-a-class.yaml", PROFILES, &profile, &faults);
	jw_profile_free(profile);
	return status;
}

static jw_status load_fuel(void)
{
	jw_faults faults;
	jw_fuel fuel;
	return jw_fuel_load(PROFILES "/fuels/e10.yaml", &fuel, NULL, 0, &faults);
}

static jw_status load_jets(void)
{
	jw_faults faults;
	jw_jet_set set;
	return jw_jets_load(JW_SOURCE_DIR "/tests/profiles/good/jets-flowed.yaml", PROFILES, &set, NULL, 0, &faults);
}

static jw_status load_readings(const char *path)
{
	jw_faults faults;
	jw_readings *read = NULL;
	jw_status status = jw_readings_load(path, &setup, NULL, &read, &faults);
	jw_readings_free(read);
	return status;
}

static jw_status load_yaml(void)
{
	return load_readings(PROFILES "/readings/courier-150-road.yaml");
}

static jw_status load_trace(void)
{
	return load_readings(JW_SOURCE_DIR "/tests/fuzz/traces/moments.csv");
}

static jw_status write_profile(void)
{
	jw_faults faults;
	jw_setup changed = setup;
	char path[64];
	changed.carburetor.main.fuel_jet.diameter_m *= 1.1;
	snprintf(path, sizeof path, "/tmp/jw_memory_%ld.yaml", (long)getpid());
	jw_status status = jw_profile_write(PROFILES "/engines/courier-150.yaml", PROFILES, &changed, path, &faults);
	int there = unlink(path) == 0;
	return status >= 0 && !there ? JW_E_WRITE : status < 0 && there ? JW_OK : status;
}

/* By those calls that fill an error; of files they are told as faults. */
static jw_error told;

static jw_status explain(void)
{
	jw_report *report = NULL;
	const jw_case known = {.air = air, .evidences = 1};
	jw_status status = jw_explain(&setup, &known, &report, &told);
	jw_report_free(report);
	return status;
}

/* What is so little known is fitted first. */
static jw_status explain_unknown(void)
{
	jw_report *report = NULL;
	jw_setup vague = setup;
	const jw_case known = {.air = air, .evidences = 1};
	vague.uncertainty.main = 0.2;
	jw_status status = jw_explain(&vague, &known, &report, &told);
	jw_report_free(report);
	return status;
}

static jw_status explain_log(void)
{
	static jw_log log;
	jw_report *report = NULL;
	const jw_case known = {.air = air, .evidences = 1};
	log = (jw_log){.visits = 1};
	log.visit[0].evidences = 1;
	jw_status status = jw_explain_log(&setup, &known, &log, &report, NULL, &told);
	jw_report_free(report);
	return status;
}

static jw_status fit(void)
{
	jw_fit found;
	jw_fit_reading each[JW_RANGE_COUNT];
	return jw_fit_readings(&setup, readings, JW_RANGE_COUNT, &found, each, &told);
}

static jw_status cycle(void)
{
	static jw_cycle found;
	const jw_cycle_options coarse = {.relative = 1e-3, .settled = 0.01, .cycles = 30};
	return jw_cycle_at(&setup, &air, &setup.range[JW_HALF], &coarse, &found, &told);
}

static jw_status tabulate(void)
{
	static jw_pulse_table table;
	int bridged;
	return jw_pulses_tabulate(&setup, &air, &table, &bridged, &told);
}

static jw_status plan(void)
{
	static jw_rejet_plan found;
	const jw_rejet_request request = {
	    .setup = &setup, .air = &air, .anchored = 1, .jets = &jets, .grooves = {5, 3, 1e-3}};
	return jw_rejet_plan_over(&request, 0, 500, &found, &told);
}

static jw_status rejet_tabled(void)
{
	static jw_setup tabled;
	static jw_rejet_answer found;
	const jw_rejet_change change = {.kind = JW_REJET_COMPRESSION, .value = setup.engine.compression_ratio + 0.1};
	const jw_rejet_request request = {.setup = &tabled, .air = &air, .change = &change, .changes = 1};
	tabled = setup;
	tabled.pulses = (jw_pulse_table){.nodes = 1, .speed_rev_s = {30.0}, .throttle = {0.5}};
	for (int f = 0; f < JW_PULSE_FACTORS; f++)
		tabled.pulses.factor[f][0] = 1.0;
	return jw_rejet(&request, &found, &told);
}

static jw_status plan_for(void)
{
	static jw_rejet_visits found;
	const jw_rejet_request request = {
	    .setup = &setup, .air = &air, .anchored = 1, .jets = &jets, .grooves = {5, 3, 1e-3}};
	return jw_rejet_plan_for(&request, &air, 1, &found, &told);
}

/* Which allocations fail: each, or the first only, where it takes seconds once it has them all: it is never run to its
 * end here. */
typedef enum pace { EACH, FIRST } pace;

/* Every public call that allocates itself (what other libraries allocate is not seen here), and how many allocations it
 * makes at least; whether it fills an error. */
static const struct call {
	const char *name;
	jw_status (*run)(void);
	long least;
	pace pace;
	int tells;
} calls[] = {
    {"jw_case_load", load_case, 300, EACH, 0},
    {"jw_case_parse", parse_case, 100, EACH, 0},
    {"jw_profile_load", load_profile, 100, EACH, 0},
    {"jw_fuel_load", load_fuel, 10, EACH, 0},
    {"jw_jets_load", load_jets, 10, EACH, 0},
    {"jw_readings_load", load_yaml, 10, EACH, 0},
    {"jw_readings_load of a trace", load_trace, 2, EACH, 0},
    {"jw_profile_write", write_profile, 300, EACH, 0},
    {"jw_explain", explain, 4, EACH, 1},
    {"jw_explain of little known", explain_unknown, 7, EACH, 1},
    {"jw_explain_log", explain_log, 4, EACH, 1},
    {"jw_fit_readings", fit, 3, EACH, 1},
    {"jw_cycle_at", cycle, 2, EACH, 1},
    {"jw_pulses_tabulate", tabulate, 4, FIRST, 1},
    {"jw_rejet with a new table", rejet_tabled, 4, FIRST, 1},
    {"jw_rejet_plan_over", plan, 1, EACH, 1},
    {"jw_rejet_plan_for", plan_for, 1, EACH, 1},
};

static jw_status with_room(const struct call *call, long room)
{
	live = 0;
	told = (jw_error){0};
	left = room;
	armed = 1;
	jw_status status = call->run();
	armed = 0;
	return status;
}

static void prepare(void)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	cr_assert(jw_profile_load(PROFILES "/engines/courier-150.yaml", PROFILES, &profile, &faults) >= 0);
	setup = *jw_profile_setup(profile);
	jw_profile_free(profile);
	cr_assert(jw_jets_load(PROFILES "/jets/metric-steps.yaml", PROFILES, &jets, NULL, 0, &faults) >= 0);
	cr_assert(jw_air_from_humidity(101325, 293.15, 0.5, &air, NULL) >= 0);
	for (int i = 0; i < JW_RANGE_COUNT; i++)
		readings[i] = (jw_reading){
		    .kind = JW_READING_LAMBDA, .air = air, .point = setup.range[i], .value = 0.95, .uncertainty = 0.02};
}

static void expect_told(const struct call *c, long room, jw_status status)
{
	cr_expect_eq(told.status, c->tells ? status : JW_OK, "%s, room for %ld", c->name, room);
	if (told.status == JW_E_MEMORY)
		cr_expect(told.field && told.value == 0 && told.low == 0 && told.high == 0, "%s, room for %ld", c->name, room);
}

static void expect_nothing_left(const struct call *c, long room)
{
	cr_expect_eq(live, 0, "%s, room for %ld: %ld blocks left", c->name, room, live);
}

static void fail_first(const struct call *c)
{
	for (long room = 0; room < c->least; room++) {
		const jw_status status = with_room(c, room);
		cr_expect_eq(status, JW_E_MEMORY, "%s, room for %ld", c->name, room);
		expect_told(c, room, status);
		expect_nothing_left(c, room);
	}
}

static void fail_until_done(const struct call *c)
{
	long room = 0;
	jw_status status;
	for (; (status = with_room(c, room)) == JW_E_MEMORY; room++) {
		expect_told(c, room, status);
		expect_nothing_left(c, room);
		cr_assert(room < 1000000, "%s", c->name);
	}
	cr_expect_geq(status, JW_OK, "%s, room for %ld: %s", c->name, room, jw_status_name(status));
	expect_nothing_left(c, room);
	cr_expect_geq(room, c->least, "%s: only %ld allocations%s", c->name, room, alone ? ", where one alone fails" : "");
}

Test(memory, every_failure_is_told_and_leaves_nothing, .init = prepare)
{
	for (size_t i = 0; i < sizeof calls / sizeof *calls; i++)
		for (alone = 0; alone < 2; alone++)
			if (calls[i].pace == FIRST)
				fail_first(&calls[i]);
			else
				fail_until_done(&calls[i]);
}

#endif

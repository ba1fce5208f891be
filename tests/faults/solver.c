/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One solution of a point in turn fails, then all from it on: every call that solves points either answers as it would
 * have or says what failed and leaves its outputs as they were. The linker lets every call of jw_mixture_at from
 * outside its own file pass here (--wrap). Cycles are left out: to them a point is but a first guess. */
#include <jetwright/bank.h>
#include <jetwright/profile.h>
#include <jetwright/rejet.h>
#include <jetwright/transient.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static long left = -1; /* solutions that succeed yet; below 0: all */
static int for_good;   /* 1: after the one that fails all others do */
static int failed;

jw_status __real_jw_mixture_at(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_mixture *mixture,
                               jw_error *error);
jw_status __wrap_jw_mixture_at(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_mixture *mixture,
                               jw_error *error);

jw_status __wrap_jw_mixture_at(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_mixture *mixture,
                               jw_error *error)
{
	if (left == 0) {
		failed = 1;
		left = for_good ? 0 : -1;
		if (error)
			*error = (jw_error){.status = JW_E_NO_CONVERGENCE, .field = "planted"};
		return JW_E_NO_CONVERGENCE;
	}
	left -= left > 0;
	return __real_jw_mixture_at(setup, air, point, mixture, error);
}

/* ---- what is asked ---- */

static jw_setup setup, supplied_setup;
static jw_air air, thin;
static const jw_point *half;
static const jw_unmeasured *unmeasured;
static int unmeasureds;
static jw_reading reading[3];
static jw_jet_set jets;

/* What counts of a finding. */
enum { LEADING = 4, TOLD };
typedef struct leading {
	double told[TOLD];
} leading;

/* Room for what any call returns. */
typedef union outputs {
	jw_rejet_answer rejet;
	jw_rejet_plan plan;
	jw_rejet_visits visits;
	leading leading[LEADING];
	jw_fit fit;
	jw_calibration calibration;
	jw_coefficients slope;
	jw_passage_left left;
	jw_bank_state bank;
	jw_supplied supplied;
	jw_lasting lasting;
	jw_instant instant[12];
	double number;
} outputs;
static outputs out, before, sound;

static jw_status rejet_asked(int readings, const jw_jet_set *at_hand, jw_error *error)
{
	const jw_rejet_change change[] = {{.kind = JW_REJET_BORE, .value = 1.03 * setup.engine.bore_m},
	                                  {.kind = JW_REJET_PRESSURE, .value = 88e3}};
	const jw_rejet_request request = {.setup = &setup,
	                                  .air = &air,
	                                  .change = change,
	                                  .changes = 2,
	                                  .unmeasured = unmeasured,
	                                  .unmeasureds = unmeasureds,
	                                  .anchored = 1,
	                                  .jets = at_hand,
	                                  .grooves = {5, 3, 0.8e-3},
	                                  .reading = reading,
	                                  .readings = readings};
	return jw_rejet(&request, &out.rejet, error);
}

static jw_status rejet_any_bore(jw_error *error)
{
	return rejet_asked(0, NULL, error);
}

static jw_status rejet_read(jw_error *error)
{
	return rejet_asked(3, &jets, error);
}

static jw_rejet_request plain_request(void)
{
	return (jw_rejet_request){.setup = &setup, .air = &air, .anchored = 1, .jets = &jets};
}

static jw_status plan_road(jw_error *error)
{
	const jw_rejet_request request = plain_request();
	return jw_rejet_plan_over(&request, 0, 1500, &out.plan, error);
}

static jw_status plan_places(jw_error *error)
{
	const jw_rejet_request request = plain_request();
	const jw_air place[] = {air, thin};
	return jw_rejet_plan_for(&request, place, 2, &out.visits, error);
}

/* An error has no report. */
static jw_status tell(jw_status status, jw_report *report)
{
	for (int i = 0; report && i < LEADING && i < jw_report_findings(report); i++) {
		const jw_finding *f = jw_report_finding(report, i);
		out.leading[i] = (leading){{f->cause, f->probability, f->severity.value, f->lambda_after[JW_IDLE]}};
	}
	jw_report_free(report);
	return status;
}

static jw_status explain(jw_error *error)
{
	const jw_case known = {.air = air, .history.ran_in = thin, .evidences = 1};
	jw_report *report = NULL;
	const jw_status status = jw_explain(&setup, &known, &report, error);
	return tell(status, report);
}

static jw_status explain_log(jw_error *error)
{
	static jw_log log;
	const jw_case known = {.air = air};
	log = (jw_log){.visits = 2};
	log.visit[0].evidences = 1;
	log.visit[0].done[0] = 1;
	log.visit[0].result = JW_RESULT_SAME;
	jw_report *report = NULL;
	const jw_status status = jw_explain_log(&setup, &known, &log, &report, NULL, error);
	return tell(status, report);
}

static jw_status effect(jw_error *error)
{
	return jw_cause_effect(&setup, &air, jw_cause_find("main_jet_restricted"), 0.4, &out.number, error);
}

static jw_status fit(jw_error *error)
{
	return jw_fit_readings(&setup, reading, 3, &out.fit, NULL, error);
}

static jw_status calibrate(jw_error *error)
{
	const jw_baseline baseline = {air, 0.94, 0.97, 0.87};
	return jw_calibrate(&setup, &baseline, &out.calibration, error);
}

static jw_status part_for_phi(jw_error *error)
{
	return jw_part_for_phi(&setup, &air, half, JW_PART_MAIN_JET, 1.1, &out.number, error);
}

static jw_status restrict_passage(jw_error *error)
{
	return jw_passage_restrict(&setup, &air, JW_PASSAGE_MAIN_JET, half, JW_FLOW_SHARE, 0.7, &out.left, error);
}

static jw_status sensitivity(jw_error *error)
{
	return jw_mixture_sensitivity(&setup, &air, half, &out.slope, error);
}

static jw_status contributions(jw_error *error)
{
	return jw_mixture_contributions(&setup, &air, half, unmeasured, unmeasureds, &thin, NULL, &out.number, error);
}

static jw_status supplied(jw_error *error)
{
	return jw_mixture_supplied(&supplied_setup, &air, &setup.range[JW_FULL], &out.supplied, error);
}

static jw_status lasts(jw_error *error)
{
	return jw_supply_lasts(&supplied_setup, &air, &setup.range[JW_FULL], 1.2, 30, &out.lasting, error);
}

static jw_status bank(jw_error *error)
{
	const jw_bank two = {2, {&setup, &setup}, {0, 0.02}};
	return jw_bank_at(&two, &air, half, &out.bank, error);
}

static jw_status balance(jw_error *error)
{
	const jw_bank two = {2, {&setup, &setup}, {0, 0.02}};
	return jw_bank_balance(&two, &air, half, 0, 1, &out.number, error);
}

static jw_status snap(jw_error *error)
{
	const jw_snap open = {
	    .speed_rev_s = half->speed_rev_s, .from = 0.1, .to = 0.9, .opening_s = 0.1, .wall_k = 320, .step_s = 0.02};
	return jw_snap_follow(&setup, &air, &open, out.instant, 12, error);
}

static const struct call {
	const char *name;
	jw_status (*run)(jw_error *error);
	long least;   /* points that it solves, at least */
	int slow;     /* 1: fewer of them fail */
	int scratch;  /* 1: documented to leave its outputs half written */
	double drift; /* of its answer where one solution failed, as a share: 0 but where it is documented to do without
	                 some */
} calls[] = {
    {"jw_rejet", rejet_any_bore, 100, 0, 0, 1e-2},
    {"jw_rejet with readings and jets", rejet_read, 100, 0, 0, 1e-2},
    {"jw_rejet_plan_over", plan_road, 1000, 1, 0, 0},
    {"jw_rejet_plan_for", plan_places, 1000, 0, 0, 0},
    {"jw_explain", explain, 100, 0, 0, INFINITY},
    {"jw_explain_log", explain_log, 100, 0, 0, INFINITY},
    {"jw_cause_effect", effect, 1, 0, 0, 0},
    {"jw_fit_readings", fit, 10, 0, 0, 0},
    {"jw_calibrate", calibrate, 10, 0, 0, 0},
    {"jw_part_for_phi", part_for_phi, 3, 0, 0, 0},
    {"jw_passage_restrict", restrict_passage, 1, 0, 0, 0},
    {"jw_mixture_sensitivity", sensitivity, 3, 0, 0, 0},
    {"jw_mixture_contributions", contributions, 10, 0, 0, 1e-2},
    {"jw_mixture_supplied", supplied, 2, 0, 0, 0},
    {"jw_supply_lasts", lasts, 10, 0, 0, 0},
    {"jw_bank_at", bank, 2, 0, 0, 0},
    {"jw_bank_balance", balance, 3, 0, 0, 0},
    {"jw_snap_follow", snap, 10, 0, 1, 0},
};

/* ---- what must hold ---- */

static int fault(const struct call *c, long room, const char *what, jw_status status)
{
	printf("%s, solution %ld fails%s: %s (%s)\n", c->name, room, for_good ? ", and all after it" : "", what,
	       jw_status_name(status));
	return 1;
}

/* Solvers that start elsewhere end elsewhere by their tolerance. */
#define ROUNDING 1e-9

/* Every number of the sound answer, wherever it stands, is that of this one; what is no number as double is passed
 * over. */
static int is_sound(double drift)
{
	for (size_t at = 0; at + sizeof(double) <= sizeof out; at += sizeof(double)) {
		double expected, number;
		memcpy(&expected, (const char *)&sound + at, sizeof expected);
		memcpy(&number, (const char *)&out + at, sizeof number);
		if (isnormal(expected) && !(fabs(number - expected) <= fmax(drift, ROUNDING) * fabs(expected)))
			return 0;
	}
	return 1;
}

/* How many faults; `*reached`: whether so many points were solved at all, `*told` counts errors. */
static int with_room(const struct call *c, long room, int *reached, int *told)
{
	jw_error error = {.status = JW_OK};
	int faults = 0;
	memset(&out, 0x5a, sizeof out);
	before = out;
	left = room;
	failed = 0;
	const jw_status status = c->run(&error);
	*reached = failed;
	*told += status < 0;
	left = -1;
	if (status >= 0 && !memcmp(&out, &before, sizeof out))
		faults += fault(c, room, "no error, but nothing told", status);
	if (status < 0 && !c->scratch && memcmp(&out, &before, sizeof out))
		faults += fault(c, room, "outputs are touched", status);
	if (status < 0 && error.status != status)
		faults += fault(c, room, "the error does not tell", status);
	if (status < 0 && !failed)
		faults += fault(c, room, "fails by itself", status);
	if (status >= 0 && !is_sound(c->drift))
		faults += fault(c, room, "another answer", status);
	return faults;
}

static int load(const char *folder, const char *name, jw_setup *into, jw_profile **kept)
{
	char path[1024];
	jw_faults faults;
	jw_profile *profile = NULL;
	snprintf(path, sizeof path, "%s/%s.yaml", folder, name);
	if (jw_profile_load(path, folder, &profile, &faults) < 0)
		return 0;
	*into = *jw_profile_setup(profile);
	*kept = profile;
	return 1;
}

int main(int argc, char **argv)
{
	jw_profile *profile[2] = {NULL, NULL};
	jw_faults found;
	char path[1024];
	int faults = 0;
	if (argc != 2 || !load(argv[1], "classes/scooter-125", &setup, &profile[0]) ||
	    !load(argv[1], "engines/courier-150", &supplied_setup, &profile[1])) {
		fprintf(stderr, "usage: faults_solver PROFILES\n");
		return 2;
	}
	snprintf(path, sizeof path, "%s/jets/metric-steps.yaml", argv[1]);
	if (jw_jets_load(path, argv[1], &jets, NULL, 0, &found) < 0 ||
	    jw_air_from_humidity(101325, 293.15, 0.5, &air, NULL) < 0 ||
	    jw_air_from_humidity(88e3, 285.15, 0.5, &thin, NULL) < 0)
		return 2;
	unmeasured = jw_profile_unmeasured(profile[0], &unmeasureds);
	half = &setup.range[JW_HALF];
	for (int i = 0; i < 3; i++)
		reading[i] = (jw_reading){.kind = JW_READING_LAMBDA,
		                          .air = air,
		                          .point = setup.range[i == 0   ? JW_IDLE
		                                               : i == 1 ? JW_HALF
		                                                        : JW_FULL],
		                          .value = 0.95,
		                          .uncertainty = 0.03};
	for (size_t i = 0; i < sizeof calls / sizeof *calls; i++)
		for (for_good = 0; for_good < 2; for_good++) {
			/* the first few one by one, then ever fewer: some calls solve many thousands */
			long room = 0;
			int told = 0;
			memset(&out, 0x5a, sizeof out);
			calls[i].run(NULL);
			sound = out;
			for (int reached = 1; reached; room += 1 + (room < 12 ? 0 : calls[i].slow ? 8 * room : room))
				faults += with_room(&calls[i], room, &reached, &told);
			if (room < calls[i].least)
				faults += fault(&calls[i], room, "solves fewer points than it should", JW_OK);
			if (for_good && !told)
				faults += fault(&calls[i], room, "never says so", JW_OK);
		}
	jw_profile_free(profile[0]);
	jw_profile_free(profile[1]);
	printf("%d faults\n", faults);
	return faults > 0;
}

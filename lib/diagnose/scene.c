/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The engine model behind a hypothesis. */
#include "base/base.h"
#include "diagnose/posterior.h"
#include "diagnose/starved.h"

/* Turns of the mixture screw in a trial. */
static const double trial_turns = 0.5;
/* Stands for "no fuel": leaner than any limit, yet finite. */
static const double least_phi = 1e-3;

/* A jet on the bench, without its rod, under half a metre of fuel; the share that a blocked one passes hardly depends
 * on it. */
static const jw_driven on_bench = {.drop_pa = 3.6e3};

static double lnphi_of(double phi)
{
	return log(fmax(phi, least_phi));
}

/* One solve after another of set-ups that differ little: each begins at the answer before it. */
typedef struct trail {
	jw_mixture mixture;
	int begun;
} trail;

/* What is solved in a range: as it runs, with the enrichener open, with the screw turned. */
typedef struct trails {
	trail plain, enriched, screw;
} trails;

static jw_status solve(const jw_inquiry *inquiry, const jw_setup *setup, const jw_point *point, trail *along,
                       jw_error *error)
{
	jw_mixture mixture;
	jw_status status =
	    jw_mixture_near(setup, inquiry->background.air, point, along->begun ? &along->mixture : NULL, &mixture, error);
	if (status >= 0)
		*along = (trail){mixture, 1};
	return status;
}

static jw_status solve_trials(const jw_inquiry *inquiry, const jw_setup *setup, jw_range range, unsigned needs,
                              trails *along, jw_signs *signs, jw_error *error)
{
	jw_status status = JW_OK;
	if (needs & JW_NEEDS_ENRICHED) {
		jw_point point = setup->range[range];
		point.enrichener = 1;
		status = solve(inquiry, setup, &point, &along->enriched, error);
		signs->lnphi_enriched = lnphi_of(along->enriched.mixture.phi);
	}
	if (status >= 0 && needs & JW_NEEDS_SCREW) {
		jw_setup turned = *setup;
		turned.carburetor.screw.turns += trial_turns;
		status = jw_both(status, solve(inquiry, &turned, &setup->range[range], &along->screw, error));
		signs->lnphi_screw = lnphi_of(along->screw.mixture.phi);
	}
	return status;
}

static double ln_ratio(double x, double over)
{
	return x > 0 && over > 0 ? log(x / over) : 0;
}

static void read_bench(const jw_inquiry *inquiry, const jw_setup *setup, double *bench)
{
	const jw_carburetor *now = &setup->carburetor, *sound = &inquiry->background.healthy->carburetor;
	bench[JW_BENCH_LEVEL] = now->bowl.level_error_m - sound->bowl.level_error_m;
	bench[JW_BENCH_PILOT_BORE] = ln_ratio(now->pilot.fuel_jet.diameter_m, sound->pilot.fuel_jet.diameter_m);
	bench[JW_BENCH_MAIN_BORE] = ln_ratio(now->main.fuel_jet.diameter_m, sound->main.fuel_jet.diameter_m);
	bench[JW_BENCH_SCREW] = now->screw.turns - sound->screw.turns;
	bench[JW_BENCH_NEEDLE] = now->needle.raised_m - sound->needle.raised_m;
	bench[JW_BENCH_NEEDLE_JET] = ln_ratio(now->needle.jet_m, sound->needle.jet_m);
}

static jw_status solve_signs(const jw_inquiry *inquiry, const jw_setup *setup, jw_range range, unsigned needs,
                             trails *along, jw_signs *signs, jw_error *error)
{
	jw_status status = solve(inquiry, setup, &setup->range[range], &along->plain, error);
	if (status < 0)
		return status;
	const jw_mixture *mixture = &along->plain.mixture;
	double lnphi = lnphi_of(mixture->phi), sound = inquiry->sound_air[range];
	*signs = (jw_signs){.lnphi = lnphi, .lnphi_enriched = lnphi, .lnphi_screw = lnphi};
	read_bench(inquiry, setup, signs->bench);
	if (sound > 0 && mixture->air_kg_s > 0) {
		signs->lnair = log(mixture->air_kg_s / sound);
		signs->leak_share = mixture->leak_kg_s / mixture->air_kg_s;
	}
	return jw_both(status, solve_trials(inquiry, setup, range, needs, along, signs, error));
}

static jw_status solve_ranges(const jw_inquiry *inquiry, const jw_setup *setup, unsigned ranges, trails *along,
                              jw_signs *signs, jw_error *error)
{
	jw_status status = JW_OK;
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++)
		if (ranges & (1u << r))
			status = jw_both(status,
			                 solve_signs(inquiry, setup, (jw_range)r, inquiry->needs[r], &along[r], &signs[r], error));
	return status;
}

jw_status jw_solve_signs(const jw_inquiry *inquiry, const jw_setup *setup, unsigned ranges, jw_signs *signs,
                         jw_error *error)
{
	trails along[JW_RANGE_COUNT] = {0};
	return solve_ranges(inquiry, setup, ranges, along, signs, error);
}

jw_status jw_try_signs(const jw_inquiry *inquiry, const jw_setup *setup, jw_range range, unsigned needs,
                       jw_signs *signs)
{
	trails along = {0};
	return solve_signs(inquiry, setup, range, needs, &along, signs, NULL);
}

static void tell_nothing(jw_scene *scene)
{
	for (int f = 0; f < JW_EVIDENCE_MAX; f++)
		scene->told[f] = JW_NOT_TOLD;
	for (int j = 0; j < JW_SCENE_NODES; j++)
		scene->brought[j] = 1;
}

jw_status jw_scene_of_setup(const jw_inquiry *inquiry, const jw_setup *setup, jw_scene *scene, jw_error *error)
{
	tell_nothing(scene);
	scene->nodes = 1;
	scene->density[0] = 1;
	return jw_solve_signs(inquiry, setup, JW_ALL_RANGES, scene->signs[0], error);
}

jw_status jw_scene_of_past(const jw_inquiry *inquiry, jw_scene *scene, jw_error *error)
{
	jw_inquiry past = *inquiry;
	past.background.air = inquiry->background.ran_in;
	jw_status status = jw_scene_of_setup(&past, inquiry->background.healthy, scene, error);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		scene->signs[0][r].lnair = 0; /* it is the sound engine, in the air that it drew then */
	return status;
}

/* What the flow bench says of a jet that is partly blocked, the same in every range. */
static void read_flow(const jw_inquiry *inquiry, const jw_setup *base, int cause, double severity, jw_signs *signs)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	const jw_bench bench = row->passage == JW_PASSAGE_MAIN_JET ? JW_BENCH_MAIN_FLOW : JW_BENCH_PILOT_FLOW;
	double share;
	if (row->effect != JW_EFFECT_FLOW ||
	    jw_cause_flow_share(base, inquiry->background.air, cause, severity, &on_bench, &share, NULL) < 0)
		return;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		signs[r].bench[bench] = log(fmax(share, least_phi));
}

void jw_scene_of_cause(const jw_inquiry *inquiry, const jw_setup *base, int cause, const double *density,
                       jw_scene *scene)
{
	tell_nothing(scene);
	scene->nodes = JW_NODES;
	trails along[JW_RANGE_COUNT] = {0};
	for (int j = 0; j < JW_NODES; j++) {
		jw_setup faulty;
		int solved = jw_cause_apply(base, cause, jw_node(j), &faulty, NULL) >= 0 &&
		             solve_ranges(inquiry, &faulty, JW_ALL_RANGES, along, scene->signs[j], NULL) >= 0;
		scene->density[j] = solved ? density[j] : 0;
		read_flow(inquiry, base, cause, jw_node(j), scene->signs[j]);
		for (int r = 0; r < JW_RANGE_COUNT && jw_cause_row_at(cause)->unsprayed; r++)
			scene->signs[j][r].leak_share = 0;
	}
}

/* ---- who is brought in ---- */

/* Of engines on which no range runs badly, those that are brought in all the same, set against those on which one does.
 * Trade practice, no source. */
static const double unfelt = 0.1;

/* Probability that a range runs as it should. */
static double runs_right(const jw_inquiry *inquiry, jw_range range, const jw_signs *signs)
{
	const double error = jw_shared_uncertainty(inquiry, range, signs->effect);
	const jw_limit rich = jw_wanted(range, JW_WANT_RICH_ROUGH), lean = jw_wanted(range, JW_WANT_LEAN_ROUGH);
	const double below = (lean.ln_lambda + signs->lnphi) / hypot(lean.spread, error);
	const double above = (-signs->lnphi - rich.ln_lambda) / hypot(rich.spread, error);
	return jw_normal_cdf(below) * jw_normal_cdf(above);
}

static double is_felt(const jw_inquiry *inquiry, const jw_signs *signs)
{
	double unfelt_all = 1;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		unfelt_all *= runs_right(inquiry, (jw_range)r, &signs[r]);
	return 1 - unfelt_all;
}

void jw_signs_compare(const jw_signs *present, jw_signs *signs)
{
	signs->effect = signs->lnphi - present->lnphi;
	signs->effect_enriched = signs->starved ? signs->effect : signs->lnphi_enriched - present->lnphi_enriched;
	signs->effect_screw = signs->starved ? signs->effect : signs->lnphi_screw - present->lnphi_screw;
}

/* In some range: what is told of starting alone is another matter. */
static int runs_badly(const jw_inquiry *inquiry)
{
	for (int f = 0; f < inquiry->facts; f++)
		if (jw_runs_badly(&inquiry->fact[f]) && jw_evidence_kind_at(inquiry->fact[f].kind)->takes_range)
			return 1;
	return 0;
}

/* Share of engines with the cause that show a complaint of the case in another way than by the mixture: the one that
 * they show most. */
static double brings(const jw_inquiry *inquiry, const jw_scene *scene)
{
	double most = 0;
	for (int f = 0; f < inquiry->facts; f++)
		if (scene->told[f] > JW_NOT_TOLD && jw_complains(&inquiry->fact[f]))
			most = fmax(most, inquiry->fact[f].answer == JW_NO ? 1 - scene->told[f] : scene->told[f]);
	return most;
}

void jw_scene_compare(const jw_inquiry *inquiry, const jw_scene *present, jw_scene *scene)
{
	const double otherwise = runs_badly(inquiry) ? 1 - brings(inquiry, scene) : 0;
	for (int j = 0; j < scene->nodes; j++) {
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			jw_signs_compare(&present->signs[0][r], &scene->signs[j][r]);
		scene->brought[j] = 1 - (1 - unfelt) * otherwise * (1 - is_felt(inquiry, scene->signs[j]));
	}
}

double jw_told_of(const jw_inquiry *inquiry, int cause, const jw_evidence *seen)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	const jw_evidence_row *of = jw_evidence_row_at(seen->kind);
	double share = JW_NOT_TOLD;
	if (!of->needs || !jw_supply_foretells(&inquiry->background.present, row))
		jw_cause_tells(row->info.id, of->kind.id, seen->range, &share);
	return share;
}

void jw_scene_tell(const jw_inquiry *inquiry, int cause, jw_scene *scene)
{
	for (int f = 0; f < inquiry->facts; f++) {
		const double share = jw_told_of(inquiry, cause, &inquiry->fact[f]);
		if (share > JW_NOT_TOLD)
			scene->told[f] = jw_tell_both(&inquiry->fact[f], scene->told[f], share);
	}
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/posterior.h"
#include "base/base.h"

/* Rms of ln(lambda) between the ranges that a three-point baseline anchors (trial computation, mean value against
 * crank-resolved). */
static const double model_spread = 0.06;
/* Rms of what the model says too much or too little of a fault's effect, as a share of it: 1 to 6 % in the ratio faulty
 * to healthy for most, a tenth for a filter or a slide, on faults of a third (the same). */
static const double effect_spread = 0.2;

/* A reading in a range is believed or doubted; where there is none, only the second branch counts. */
enum { BELIEVED, DOUBTED, BRANCHES };

/* One range under one draw. */
typedef struct outlook {
	double total;           /* likelihood of its facts */
	double share[BRANCHES]; /* of the total */
	double lnphi[BRANCHES];
	double each[BRANCHES][JW_EVIDENCE_MAX]; /* likelihood of each fact but the reading */
} outlook;

/* A hypothesis before the evidence, with the likelihood of each fact that the mixture says nothing of. */
typedef struct view {
	const jw_inquiry *inquiry;
	const jw_scene *scene;
	double apart[JW_EVIDENCE_MAX];
} view;

static int is_apart(const jw_inquiry *q, int fact)
{
	const jw_evidence_row *row = jw_evidence_row_at(q->fact[fact].kind);
	return !row->needs && !(row->gauge && row->gauge->on_bench);
}

static view view_of(const jw_inquiry *q, const jw_scene *scene)
{
	const jw_signs none = {0};
	view v = {.inquiry = q, .scene = scene};
	for (int f = 0; f < q->facts; f++)
		v.apart[f] = is_apart(q, f) ? jw_likelihood(&q->fact[f], &none, scene->told[f]) : 0;
	return v;
}

/* Product of a range's facts but the reading, on a mixture that the draw moves. */
static double all_seen(const view *v, int range, jw_signs signs, double by, double *each)
{
	const jw_inquiry *q = v->inquiry;
	double product = 1, past[JW_WANT_COUNT];
	signs.lnphi += by;
	signs.lnphi_enriched += by;
	signs.lnphi_screw += by;
	jw_past_limits((jw_range)range, q->wants[range], signs.lnphi, signs.tolerance, past);
	signs.past = past;
	for (int f = q->first[range]; f < q->first[range + 1]; f++)
		if (f != q->reading[range]) {
			each[f] = v->apart[f] > 0 ? v->apart[f] : jw_likelihood(&q->fact[f], &signs, v->scene->told[f]);
			product *= each[f];
		}
	return product;
}

static double shared_shift(const jw_inquiry *q, int range, const jw_deviate *draw)
{
	double by = 0;
	for (int k = 0; k < JW_SHARED; k++)
		by += q->shift[range][k] * draw->shared[k];
	return by;
}

static jw_reading_weight weigh_reading(const jw_inquiry *q, const double *told, int range, double lnphi)
{
	const int fact = q->reading[range];
	if (told[fact] > JW_NOT_TOLD)
		return (jw_reading_weight){.doubted = jw_likelihood_other(&q->fact[fact])};
	return jw_weigh_reading(&q->fact[fact], lnphi, model_spread);
}

/* The fault does more or less than the model says. */
static void stretch(jw_signs *signs, double by)
{
	signs->lnphi += by * signs->effect;
	signs->lnphi_enriched += by * signs->effect_enriched;
	signs->lnphi_screw += by * signs->effect_screw;
}

/* The model's own error in a range is summed over exactly where a reading says what it is: a reading may be far finer
 * than the draws are dense. */
static void look(const view *v, int node, int range, const jw_deviate *draw, outlook *out)
{
	const jw_inquiry *q = v->inquiry;
	jw_signs signs = v->scene->signs[node][range];
	double by = shared_shift(q, range, draw), error = model_spread * draw->model[range];
	jw_reading_weight reading = {.doubted = 1};
	signs.tolerance = draw->tolerance[range];
	stretch(&signs, effect_spread * draw->effect);
	out->share[BELIEVED] = 0;
	out->lnphi[BELIEVED] = signs.lnphi + by;
	if (q->reading[range] >= 0) {
		reading = weigh_reading(q, v->scene->told, range, signs.lnphi + by);
		double told = by + reading.error + reading.spread * draw->model[range];
		out->lnphi[BELIEVED] = signs.lnphi + told;
		out->share[BELIEVED] = reading.believed * all_seen(v, range, signs, told, out->each[BELIEVED]);
	}
	out->lnphi[DOUBTED] = signs.lnphi + by + error;
	out->share[DOUBTED] = reading.doubted * all_seen(v, range, signs, by + error, out->each[DOUBTED]);
	out->total = out->share[BELIEVED] + out->share[DOUBTED];
	for (int b = 0; b < BRANCHES; b++)
		out->share[b] /= out->total;
	if (q->reading[range] >= 0)
		for (int b = 0; b < BRANCHES; b++)
			out->each[b][q->reading[range]] = b == BELIEVED ? reading.believed : reading.doubted;
}

/* Where a likelihood stands without one of its facts, as a multiple. */
static double without(const jw_inquiry *q, int range, const outlook *out, int fact)
{
	if (fact == q->reading[range]) /* then the model's own error is free: the doubted branch, undoubted */
		return out->share[DOUBTED] / out->each[DOUBTED][fact];
	double sum = out->share[DOUBTED] / out->each[DOUBTED][fact];
	return out->share[BELIEVED] > 0 ? sum + out->share[BELIEVED] / out->each[BELIEVED][fact] : sum;
}

static void add_lambda(const outlook *out, double weight, double *cell)
{
	for (int b = 0; b < BRANCHES; b++) {
		double at = (-out->lnphi[b] - JW_CELLS_LOW) / JW_CELLS_STEP;
		cell[(int)jw_clamp(at, 0, JW_CELLS - 1)] += weight * out->share[b];
	}
}

/* One severity under one draw; returns the likelihood. */
static double weigh_draw(const view *v, int node, const jw_deviate *draw, double prior, jw_weight *weight)
{
	const jw_inquiry *q = v->inquiry;
	outlook out[JW_RANGE_COUNT];
	double product = prior;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		look(v, node, r, draw, &out[r]);
		product *= out[r].total;
	}
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		add_lambda(&out[r], product, weight->lambda[r]);
		for (int f = q->first[r]; f < q->first[r + 1]; f++)
			weight->each[f] += product * without(q, r, &out[r], f);
	}
	return product;
}

static void normalise(const jw_inquiry *q, const jw_scene *scene, jw_weight *weight)
{
	double all = weight->likelihood;
	if (!(all > 0))
		return;
	for (int j = 0; j < scene->nodes; j++)
		weight->severity[j] /= all;
	for (int f = 0; f < q->facts; f++)
		weight->each[f] = fmin(all / weight->each[f], 1); /* above it only by the draws' own error */
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		for (int c = 0; c < JW_CELLS; c++)
			weight->lambda[r][c] /= all;
}

void jw_weigh(const jw_inquiry *q, const jw_scene *scene, jw_weight *weight)
{
	const view v = view_of(q, scene);
	*weight = (jw_weight){0};
	for (int j = 0; j < scene->nodes; j++) {
		if (!(scene->density[j] > 0))
			continue;
		for (int n = 0; n < JW_DRAWS; n++)
			weight->severity[j] +=
			    weigh_draw(&v, j, &q->draw[n], scene->density[j] * scene->brought[j] / JW_DRAWS, weight);
		weight->likelihood += weight->severity[j];
	}
	normalise(q, scene, weight);
}

double jw_total_likelihood(const jw_inquiry *q, const jw_scene *scene, int stride)
{
	const view v = view_of(q, scene);
	double sum = 0;
	for (int j = 0; j < scene->nodes; j++)
		for (int n = 0; n < JW_DRAWS && scene->density[j] > 0; n += stride) {
			double product = scene->density[j] * scene->brought[j] * stride / JW_DRAWS;
			for (int r = 0; r < JW_RANGE_COUNT; r++) {
				outlook out;
				if (q->first[r] == q->first[r + 1])
					continue;
				look(&v, j, r, &q->draw[n], &out);
				product *= out.total;
			}
			sum += product;
		}
	return sum;
}

double jw_expected_likelihood(const jw_inquiry *q, const double *told, const jw_signs *signs, int fact)
{
	const jw_evidence *seen = &q->fact[fact];
	if (fact != q->reading[seen->range])
		return jw_likelihood(seen, &signs[seen->range], told[fact]);
	jw_reading_weight reading = weigh_reading(q, told, seen->range, signs[seen->range].lnphi);
	return reading.believed + reading.doubted;
}

/* A fact by itself under one draw. */
static double alone(const jw_inquiry *q, int range, const outlook *out, int fact)
{
	return fact == q->reading[range] ? out->each[BELIEVED][fact] + out->each[DOUBTED][fact] : out->each[DOUBTED][fact];
}

void jw_predict(const jw_inquiry *q, const jw_scene *scene, double *predicted)
{
	const view v = view_of(q, scene);
	for (int f = 0; f < q->facts; f++)
		predicted[f] = 0;
	for (int j = 0; j < scene->nodes; j++)
		for (int n = 0; n < JW_DRAWS; n++)
			for (int r = 0; r < JW_RANGE_COUNT; r++) {
				outlook out;
				look(&v, j, r, &q->draw[n], &out);
				for (int f = q->first[r]; f < q->first[r + 1]; f++)
					predicted[f] += scene->density[j] / JW_DRAWS * alone(q, r, &out, f);
			}
}

/* Place within n even cells below which a share of the probability lies, in cells. */
static double quantile(const double *p, int n, double share)
{
	double below = 0;
	for (int j = 0; j < n; j++) {
		if (below + p[j] >= share && p[j] > 0)
			return j + (share - below) / p[j];
		below += p[j];
	}
	return n;
}

double jw_severity_quantile(const double *severity, double share)
{
	return quantile(severity, JW_NODES, share) / JW_NODES;
}

/* Lambda below which a share of the probability lies; 0: there no fuel flows. */
static double lambda_below(const double *lambda, double share)
{
	double at = quantile(lambda, JW_CELLS, share);
	return at > JW_CELLS - 1 ? 0 : exp(JW_CELLS_LOW + at * JW_CELLS_STEP);
}

jw_interval jw_lambda_interval(const double *lambda)
{
	double median = lambda_below(lambda, 0.5);
	if (!(median > 0))
		return (jw_interval){0, 0, 0};
	return (jw_interval){median, lambda_below(lambda, 0.05), lambda_below(lambda, 0.95)};
}

double jw_shared_uncertainty(const jw_inquiry *inquiry, jw_range range, double effect)
{
	double variance = jw_square(model_spread) + jw_square(effect_spread * effect);
	for (int k = 0; k < JW_SHARED; k++)
		variance += jw_square(inquiry->shift[range][k]);
	return sqrt(variance);
}

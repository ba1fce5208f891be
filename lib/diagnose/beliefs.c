/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/beliefs.h"
#include "diagnose/carried.h"
#include "diagnose/starved.h"
#include "base/base.h"
#include <string.h>

/* Whatever the severity, the engine as it stands. */
static void scene_as_it_stands(const jw_scene *present, const double *density, jw_scene *scene)
{
	*scene = *present;
	scene->nodes = JW_NODES;
	for (int j = 0; j < JW_NODES; j++) {
		scene->density[j] = density[j];
		memcpy(scene->signs[j], present->signs[0], sizeof scene->signs[j]);
	}
}

/* \param present scene of the engine as it stands */
static void weigh_candidate(const jw_inquiry *q, const jw_cause_row *row, const jw_scene *present, jw_candidate *it)
{
	jw_prior prior;
	jw_cause_prior(&q->background, row, &prior, &it->base);
	it->further = jw_cause_is_further_off(&it->base, &q->background.present, row);
	if (it->further)
		scene_as_it_stands(present, prior.density, &it->scene);
	else if (jw_cause_meters(it->cause))
		jw_scene_of_cause(q, &it->base, it->cause, prior.density, &it->scene);
	else if (jw_supply_foretells(&q->background.present, row))
		jw_scene_of_supply(q, present, row, &it->scene);
	else
		it->scene = *present;
	jw_scene_tell(q, it->cause, &it->scene);
	jw_scene_compare(q, present, &it->scene);
	jw_weigh(q, &it->scene, &it->told);
	it->odds =
	    (q->carried ? q->carried->alone[it->cause] : prior.odds) * jw_odds_mended(q->background.history, it->cause);
	it->weight = it->odds * it->told.likelihood;
}

static int complaints(const jw_inquiry *q)
{
	for (int f = 0; f < q->facts; f++)
		if (jw_complains(&q->fact[f]))
			return 1;
	return 0;
}

static double sound_odds(const jw_inquiry *q)
{
	if (!q->carried)
		return jw_sound_odds(&q->background, complaints(q));
	return complaints(q) ? q->carried->sound / jw_no_complaint() : q->carried->sound;
}

static jw_status weigh_sound(jw_beliefs *b, jw_error *error)
{
	const jw_inquiry *q = &b->inquiry;
	jw_status status = jw_scene_of_past(q, &b->present, error);
	if (status >= 0) {
		jw_predict(q, &b->present, b->before);
		status = jw_both(status, jw_scene_of_setup(q, &q->background.present, &b->present, error));
	}
	if (status >= 0) {
		b->sound_likelihood = jw_total_likelihood(q, &b->present, 1);
		b->sound = sound_odds(q) * b->sound_likelihood;
	}
	return status;
}

static double weigh_other(const jw_inquiry *q)
{
	double other = q->carried ? q->carried->other : jw_other_odds();
	for (int f = 0; f < q->facts; f++)
		other *= jw_likelihood_other(&q->fact[f]);
	return other;
}

/* Weights to probabilities, of all hypotheses together 1. */
static void normalise(jw_beliefs *b)
{
	double sum = b->other + b->sound;
	for (int i = 0; i < b->candidates; i++)
		sum += b->candidate[i].weight;
	for (int i = 0; i < b->pairs; i++)
		sum += b->pair[i].weight;
	for (int i = 0; i < b->candidates; i++)
		b->candidate[i].weight /= sum;
	for (int i = 0; i < b->pairs; i++)
		b->pair[i].weight /= sum;
	b->all = sum;
	b->sound /= sum;
	b->other /= sum;
}

jw_status jw_weigh_all(jw_beliefs *b, jw_error *error)
{
	jw_status status = weigh_sound(b, error);
	if (status < 0)
		return status;
	b->other = weigh_other(&b->inquiry);
	for (int c = 0; c < jw_cause_count(); c++) {
		const jw_cause_row *row = jw_cause_row_at(c);
		if (!jw_cause_possible(b->inquiry.background.healthy, row))
			continue;
		jw_candidate *it = &b->candidate[b->candidates++];
		it->cause = c;
		weigh_candidate(&b->inquiry, row, &b->present, it);
	}
	b->pairs = jw_weigh_pairs(&b->inquiry, &b->present, b->candidate, b->candidates, b->pair);
	normalise(b);
	return status;
}

double jw_marginal(const jw_beliefs *b, int candidate)
{
	double sum = b->candidate[candidate].weight;
	for (int i = 0; i < b->pairs; i++)
		if (b->pair[i].member[0] == candidate || b->pair[i].member[1] == candidate)
			sum += b->pair[i].weight;
	return sum;
}

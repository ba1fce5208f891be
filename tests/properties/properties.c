/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random set-ups and points over the whole valid domain: each must have an answer, finite, mass closed, laws obeyed.
 * A draw depends on seed and index alone, so that any number of threads must come to the same bits. */
#include "finite.h"
#include "laws.h"

#include <pthread.h>
#include <stdlib.h>

#define THREADS 64
#define TOLD 20
#define MASS_GAP 1e-9    /* share of the flow */
#define NEIGHBOUR 2e-8   /* of phi, as point.h promises */
#define AIR_BALANCE 1e-9 /* of the greatest demand; phi takes up some multiple of its 1e-10 */
#define LEAST_DRAWN 1e-4 /* of what the engine could draw */
#define ROUNDED 1e-5     /* of phi or of 1, from the rounding of pressures */
#define ROUNDED_STARTING 1e-4
#define ROUNDED_NESTED 1e-3
#define LEAST_BOWL_M2 1e-5
#define ROUNDED_M 1e-12
#define STEP 0xd1342543de82ef95u

/* What one draw came to: written out as it stands, so doubles only. */
typedef struct answer {
	jw_mixture mixture;
	jw_mixture beside; /* the mixture again, begun at that of another point */
	jw_mixture starved;
	double level_m, tank_pa, could_kg_s, spilled_kg_s;
	jw_coefficients dlnphi;
	double relative; /* uncertainty */
} answer;
#define VALUES (sizeof(answer) / sizeof(double))

typedef struct tally {
	rejections turned_down;
	long tried[LAWS];
	double worst[LAWS], worst_gap, worst_beside;
	long failures;
	uint64_t checksum; /* a sum, so that the order of the draws does not matter */
} tally;

/* The share of one thread: every `stride`-th draw. */
typedef struct share {
	uint64_t seed;
	long first, end, stride;
	long zero; /* index of the first value in `answers` */
	answer *answers;
	tally t;
} share;

typedef struct drawn {
	long index;
	jw_setup setup;
	jw_air air;
	jw_point point, other;
	draw rest; /* what the laws draw from */
} drawn;

static void fail(tally *t, const drawn *w, const char *what, double value)
{
	if (t->failures++ < TOLD)
		fprintf(stderr, "draw %ld: %s: %.12g\n", w->index, what, value);
}

static int solved(tally *t, const drawn *w, const char *what, jw_status status, const jw_error *error)
{
	if (status >= 0)
		return 1;
	if (t->failures++ < TOLD)
		fprintf(stderr, "draw %ld: %s: %s %s = %.12g (%.12g..%.12g)\n", w->index, what, jw_status_name(status),
		        error->field, error->value, error->low, error->high);
	return 0;
}

static void draw_all(uint64_t seed, long index, drawn *w, rejections *turned_down)
{
	draw d = {seed + (uint64_t)index * STEP};
	w->index = index;
	draw_accepted(&d, &w->setup, turned_down);
	draw_air(&d, &w->air);
	w->point = draw_point(&d);
	w->other = draw_point(&d);
	w->rest = d;
}

static void check_point(tally *t, const drawn *w, answer *a)
{
	jw_error error = {0};
	jw_mixture *m = &a->mixture;
	jw_status status = jw_mixture_at(&w->setup, &w->air, &w->point, m, &error);
	if (!solved(t, w, "point", status, &error))
		return;
	if (!phi_fits(m, status))
		fail(t, w, "phi against status", m->phi);
	double gap = point_gap(m);
	if (!(gap <= MASS_GAP))
		fail(t, w, "mass does not close", gap);
	t->worst_gap = fmax(t->worst_gap, gap);
}

static int same_circuits_flow(const jw_mixture *a, const jw_mixture *b)
{
	const jw_circuit_flow *const pair[][2] = {{&a->flow.main, &b->flow.main},
	                                          {&a->flow.pilot, &b->flow.pilot},
	                                          {&a->flow.power, &b->flow.power},
	                                          {&a->flow.enrichener, &b->flow.enrichener}};
	for (size_t i = 0; i < sizeof pair / sizeof *pair; i++)
		if ((pair[i][0]->fuel_kg_s > 0.0) != (pair[i][1]->fuel_kg_s > 0.0))
			return 0;
	return 1;
}

/* Air is balanced to a share of what the engine could draw; pressures are rounded, and weigh heavily on a circuit that
 * starts. */
static double neighbours_apart(const drawn *w, const jw_mixture *m, const jw_mixture *beside, jw_status status)
{
	const int starting = !same_circuits_flow(m, beside) || status & JW_W_NEAR_THRESHOLD;
	double most = 0.0, rounded = w->setup.carburetor.pilot_from_main_well ? ROUNDED_NESTED
	                             : starting                               ? ROUNDED_STARTING
	                                                                      : ROUNDED;
	jw_engine_demand(&w->setup.engine, w->air.pressure_pa, w->air.temperature_k, w->air.gas_constant_j_kg_k,
	                 w->air.pressure_pa, w->point.speed_rev_s, &most);
	double could = w->setup.coefficient.air * most;
	if (!(m->plate_kg_s > LEAST_DRAWN * could))
		return INFINITY; /* an engine all but shut off: whether it draws at all is a matter of rounding */
	double air = AIR_BALANCE * could / m->plate_kg_s;
	return rounded * fmax(1.0, m->phi) + m->phi * (NEIGHBOUR + air);
}

static void check_neighbour(tally *t, const drawn *w, answer *a)
{
	jw_error error = {0};
	jw_mixture other;
	if (!solved(t, w, "other point", jw_mixture_at(&w->setup, &w->air, &w->other, &other, &error), &error))
		return;
	jw_status status = jw_mixture_near(&w->setup, &w->air, &w->point, &other, &a->beside, &error);
	if (!solved(t, w, "point from another", status, &error))
		return;
	double apart = fabs(a->beside.phi - a->mixture.phi), allowed = neighbours_apart(w, &a->mixture, &a->beside, status);
	if (!(apart <= allowed))
		fail(t, w, "phi depends on where the search begins, by", apart);
	t->worst_beside = fmax(t->worst_beside, apart / allowed);
}

static void check_supply(tally *t, const drawn *w, answer *a)
{
	jw_error error = {0};
	jw_supplied s;
	if (!(w->setup.supply.bowl_area_m2 >= LEAST_BOWL_M2))
		return; /* not described */
	if (!solved(t, w, "supply", jw_mixture_supplied(&w->setup, &w->air, &w->point, &s, &error), &error))
		return;
	if (s.level_m > w->setup.supply.overflow_m + ROUNDED_M)
		fail(t, w, "fuel stands above the overflow", s.level_m);
	a->starved = s.mixture;
	a->level_m = s.level_m;
	a->tank_pa = s.tank_pa;
	a->could_kg_s = s.could_kg_s;
	a->spilled_kg_s = s.spilled_kg_s;
}

static void check_uncertainty(tally *t, const drawn *w, answer *a)
{
	jw_error error = {0};
	jw_status status = jw_mixture_sensitivity(&w->setup, &w->air, &w->point, &a->dlnphi, &error);
	if (!solved(t, w, "sensitivity", status, &error))
		return;
	status = jw_mixture_uncertainty(&w->setup, &w->air, &w->point, &a->relative, &error);
	if (solved(t, w, "uncertainty", status, &error) && !(a->relative >= 0.0))
		fail(t, w, "negative uncertainty", a->relative);
}

static void check_laws(tally *t, drawn *w, const answer *a)
{
	for (size_t i = 0; i < LAWS; i++) {
		if (!laws[i].applies(&w->setup, &a->mixture))
			continue;
		jw_setup changed = w->setup;
		jw_mixture after;
		jw_error error = {0};
		laws[i].change(&changed, &w->rest);
		if (!solved(t, w, laws[i].name, jw_mixture_at(&changed, &w->air, &w->point, &after, &error), &error))
			continue;
		double broken = law_broken_by(&laws[i], &a->mixture, &after);
		if (!(broken <= SLACK))
			fail(t, w, laws[i].name, broken);
		t->tried[i]++;
		t->worst[i] = fmax(t->worst[i], broken);
	}
}

static void check_finite(tally *t, const drawn *w, const answer *a)
{
	size_t place = finite_up_to(a, sizeof *a);
	if (place < VALUES)
		fail(t, w, "not finite: value", (double)place);
}

/* FNV-1a over the bits of the answer, the index mixed in. */
static uint64_t digest(long index, const answer *a)
{
	uint64_t hash = 0xcbf29ce484222325u ^ (uint64_t)index;
	const unsigned char *byte = (const unsigned char *)a;
	for (size_t i = 0; i < sizeof *a; i++)
		hash = (hash ^ byte[i]) * 0x100000001b3u;
	return hash;
}

static void *work(void *context)
{
	share *s = context;
	for (long i = s->first; i < s->end; i += s->stride) {
		drawn w;
		answer a;
		memset(&a, 0, sizeof a);
		draw_all(s->seed, i, &w, &s->t.turned_down);
		check_point(&s->t, &w, &a);
		check_neighbour(&s->t, &w, &a);
		check_supply(&s->t, &w, &a);
		check_uncertainty(&s->t, &w, &a);
		check_finite(&s->t, &w, &a);
		check_laws(&s->t, &w, &a);
		s->t.checksum += digest(i, &a);
		if (s->answers)
			s->answers[i - s->zero] = a;
	}
	return NULL;
}

static void add(tally *all, const tally *t)
{
	all->turned_down.drawn += t->turned_down.drawn;
	all->turned_down.accepted += t->turned_down.accepted;
	for (size_t i = 0; i < LAWS; i++) {
		all->tried[i] += t->tried[i];
		all->worst[i] = fmax(all->worst[i], t->worst[i]);
	}
	all->worst_gap = fmax(all->worst_gap, t->worst_gap);
	all->worst_beside = fmax(all->worst_beside, t->worst_beside);
	all->failures += t->failures;
	all->checksum += t->checksum;
}

static int run(uint64_t seed, long first, long count, int threads, answer *answers, tally *all)
{
	static share shares[THREADS];
	pthread_t thread[THREADS];
	for (int i = 0; i < threads; i++) {
		shares[i] = (share){seed, first + i, first + count, threads, first, answers, {.failures = 0}};
		if (pthread_create(&thread[i], NULL, work, &shares[i])) {
			fprintf(stderr, "thread %d cannot start\n", i);
			return 0;
		}
	}
	for (int i = 0; i < threads; i++) {
		pthread_join(thread[i], NULL);
		add(all, &shares[i].t);
	}
	return 1;
}

static void print(const tally *t, long count)
{
	printf("%ld set-ups and points, one valid in %.1f drawn\n", count,
	       (double)t->turned_down.drawn / (double)t->turned_down.accepted);
	for (size_t i = 0; i < LAWS; i++)
		printf("%-52s tried %4.1f %%, worst %.2g\n", laws[i].name, 100.0 * (double)t->tried[i] / (double)count,
		       t->worst[i]);
	printf("largest gap in mass %.2g of the flow; phi from elsewhere %.2g of what is allowed\n", t->worst_gap,
	       t->worst_beside);
	printf("failures %ld\nchecksum %016llx\n", t->failures, (unsigned long long)t->checksum);
}

static int save(const char *path, const answer *answers, long count)
{
	FILE *file = fopen(path, "wb");
	int whole = file && fwrite(answers, sizeof *answers, (size_t)count, file) == (size_t)count;
	return file && !fclose(file) && whole;
}

int main(int argc, char **argv)
{
	static tally all;
	long count = 1000, first = 0, threads = 1, seed = 20261126;
	const char *values = NULL;
	const struct {
		const char *name;
		long *number;
		const char **text;
	} options[] = {{"--count", &count, NULL},
	               {"--first", &first, NULL},
	               {"--threads", &threads, NULL},
	               {"--seed", &seed, NULL},
	               {"--values", NULL, &values}};
	int good = argc % 2;
	for (int i = 1; i + 1 < argc; i += 2) {
		size_t k = 0;
		while (k < sizeof options / sizeof *options && strcmp(argv[i], options[k].name) != 0)
			k++;
		if (k == sizeof options / sizeof *options)
			good = 0;
		else if (options[k].number)
			*options[k].number = strtol(argv[i + 1], NULL, 10);
		else
			*options[k].text = argv[i + 1];
	}
	if (!good || count < 1 || threads < 1 || threads > THREADS || first < 0) {
		fprintf(stderr, "usage: properties [--count N] [--first I] [--threads 1..%d] [--seed S] [--values FILE]\n",
		        THREADS);
		return 2;
	}
	answer *answers = values ? malloc((size_t)count * sizeof *answers) : NULL;
	if (values && !answers)
		return 2;
	int done = run((uint64_t)seed, first, count, (int)threads, answers, &all);
	print(&all, count);
	if (values && !save(values, answers, count)) {
		fprintf(stderr, "cannot write %s\n", values);
		done = 0;
	}
	free(answers);
	return done && all.failures == 0 ? 0 : 1;
}

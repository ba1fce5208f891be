/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "point/cycle.h"

#include "base/base.h"
#include "solve/anderson.h"

#include <string.h>

/* Each circuit's fuel is one column with inertia; a bled well with one outlet moves too, the others answer at once.
 * Stepped by the second-order pair of Ascher, Ruuth and Spiteri (Implicit-explicit Runge-Kutta methods for
 * time-dependent partial differential equations, Appl. Numer. Math. 25, 1997; their 2,2,2): the flow out of a well,
 * which as air answers within microseconds and as fuel within a millisecond, backwards, the rest forwards. At low
 * speed a step lies between two nodes, whose pressures are interpolated. */

/* Of emulsion and of air an outlet takes very different flows: a step in which it turns round is taken in parts. */
#define PARTS_OF_A_TURN 8
#define BACKWARDS (1.0 - 0.70710678118654752440) /* share of the step in each of its two stages */
#define AT_FIRST (1.0 - 0.5 / BACKWARDS)         /* weight of the rates at the step's start */
/* Steps, the shorter of both, and in how many parts each is taken: less than any column takes to answer. The rough ones
 * serve while a cycle still leads so far from where it began. Where a pass does not settle, the choice between whole
 * steps and parts swings with the state: finer steps swing less. */
typedef struct pass {
	int nodes;
	double longest_s;
	int parts;
} pass;
static const pass passes[] = {{4, 0.5e-3, 1}, {2, 0.125e-3, 1}, {2, 0.125e-3, 2}, {2, 0.125e-3, 4}, {2, 0.125e-3, 8}};
#define PASSES ((int)(sizeof passes / sizeof *passes))
#define ROUGHLY_SETTLED 1e-3
#define CYCLES_A_PASS 25
/* Most that mixing may multiply or divide what a cycle ends with: near its threshold a circuit turns over. */
#define MOST_MIXED 2.0
#define MOST_EMPTIED 8.0
#define TURNED_BACK 1.1
#define LEVEL_SHARE 0.1
#define LEAST_FLOW 1e-9   /* kg/s */
#define GREATEST_ROOT 1e3 /* of a jet's drop, root Pa */
#define JET_IMBALANCE 1e-8
#define GAIN_IMBALANCE 1e-9
#define MOST_GAIN 20.0
#define MOST_FUEL_KEPT 1e-3 /* share of it */

typedef enum end_name { AT_NOZZLE, AT_PLATE, AT_MANIFOLD } end_name;

typedef enum column_name { MAIN, PILOT, POWER, ENRICHENER, COLUMNS } column_name;

/* Flow of each column, then what moves in the well of each. */
#define UNKNOWNS (COLUMNS + COLUMNS * JW_WELL_UNKNOWNS)
#define WELL(column) (COLUMNS + (column)*JW_WELL_UNKNOWNS)

/* A circuit: how the carburetor lays it out, where its outlets open in that order, and where its flows stand. */
static const struct {
	jw_branch (*branch)(const jw_carburetor *carburetor, const jw_fuel_ends *ends);
	end_name outlet[JW_PILOT_OUTLETS];
	size_t steady, mean, trace; /* in jw_carburetor_flow, jw_cycle, jw_cycle_trace; 0: not traced */
} circuits[COLUMNS] = {
    [MAIN] = {jw_carburetor_main,
              {AT_NOZZLE},
              offsetof(jw_carburetor_flow, main),
              offsetof(jw_cycle, main_kg_s),
              offsetof(jw_cycle_trace, main_kg_s)},
    [PILOT] = {jw_carburetor_pilot,
               {AT_MANIFOLD, AT_MANIFOLD, AT_PLATE},
               offsetof(jw_carburetor_flow, pilot),
               offsetof(jw_cycle, pilot_kg_s),
               offsetof(jw_cycle_trace, pilot_kg_s)},
    [POWER] =
        {jw_carburetor_power, {AT_NOZZLE}, offsetof(jw_carburetor_flow, power), offsetof(jw_cycle, power_kg_s), 0},
    [ENRICHENER] = {jw_carburetor_enrichener,
                    {AT_MANIFOLD},
                    offsetof(jw_carburetor_flow, enrichener),
                    offsetof(jw_cycle, enrichener_kg_s),
                    0},
};

static const jw_circuit_flow *steady_flow(const jw_carburetor_flow *all, int name)
{
	return (const jw_circuit_flow *)(const void *)((const char *)all + circuits[name].steady);
}

typedef struct columns {
	const jw_cycle_air *air;
	const jw_carburetor *carburetor;
	jw_fuel_column of[COLUMNS];
	double node_s; /* from one node to the next */
	const pass *pass;
	double mean[COLUMNS], left[COLUMNS]; /* through jet and outlets over the last cycle, kg/s */
	double bleeds[COLUMNS];              /* that came with it, kg/s */
	jw_status status;                    /* of the cycle under way */
} columns;

/* Where they stand, how fast that changes, and what has passed each jet and has left by its outlets since the cycle
 * began, and the air that came out of wells that move, kg. */
typedef struct course {
	double y[UNKNOWNS], rate[UNKNOWNS], passed[COLUMNS], left[COLUMNS], bleeds[COLUMNS];
} course;

/* ---- the momentum of one column ---- */

static double jet_excess(double root, void *context)
{
	const jw_fuel_column *c = context;
	double flow = 0.0;
	jw_liquid_mass_flow(&c->branch.circuit.fuel_jet, &c->branch.ends.fuel, root * root, &flow);
	return (flow - c->asked) / (flow + c->asked);
}

/* Drop at the jet that a flow of fuel makes. */
static jw_status jet_drop(jw_fuel_column *c, double kg_s, double *drop_pa)
{
	*drop_pa = 0.0;
	if (!(kg_s > 0.0))
		return JW_OK;
	c->asked = kg_s / c->branch.circuit.fuel_coefficient;
	jw_guess root = {0.0, GREATEST_ROOT, c->root, 0.5 / c->root};
	jw_status status = jw_rising_root(jet_excess, c, &root, JET_IMBALANCE, NULL);
	if (status < 0)
		return status;
	c->root = fmax(root.x, 1e-3);
	*drop_pa = jw_square(root.x);
	return JW_OK;
}

static double pressure_at(const jw_air_moment *m, end_name where)
{
	return where == AT_NOZZLE ? m->nozzle_pa : where == AT_PLATE ? m->plate_pa : m->manifold_pa;
}

/* Pressure in the well while the column brings so much. */
static jw_status well_at(jw_fuel_column *c, const end_name *outlet, double kg_s, double step_s, double *y,
                         const jw_air_moment *m, double *well_pa, double *fills_kg_s)
{
	jw_circuit_flow flow;
	for (int i = 0; i < c->branch.ends.outlets; i++)
		c->branch.ends.outlet[i].pressure_pa = pressure_at(m, outlet[i]);
	if (c->bled)
		return jw_bled_well_step(&c->moving, &c->branch.circuit, &c->branch.ends, kg_s, step_s, y, well_pa, fills_kg_s);
	jw_status status = jw_circuit_driven(&c->branch.circuit, &c->branch.ends, kg_s, &c->well, &flow, NULL);
	*well_pa = c->well.well_pa;
	return status;
}

jw_status jw_fuel_column_rate(jw_fuel_column *c, double feed_pa, double well_pa, double kg_s, double *rate)
{
	double head = c->branch.ends.fuel.density_kg_m3 * JW_GRAVITY * c->branch.circuit.bleed_depth_m, drop;
	jw_status status = jet_drop(c, kg_s, &drop);
	*rate = (feed_pa + head - well_pa - drop) / c->inertance;
	/* A meniscus that runs back and comes again has no memory of its way: fuel stops at its jet. */
	if (!(kg_s > 0.0 || *rate > 0.0))
		*rate = 0.0;
	return status;
}

/* Whatever goes through zero leaves the range of its formula there, and nothing hangs on it. */
static jw_status of_little(jw_status status)
{
	return status < 0 ? status : status & ~JW_W_EXTRAPOLATED;
}

/* Whether the pilot draws from its well. */
static int is_drawn_from(const columns *all, int name)
{
	return name == MAIN && all->carburetor->pilot_from_main_well;
}

/* Fuel that comes into the well of a column, kg/s: what the jet brings but for what the pilot draws from there. */
static double into_well(const columns *all, int name, const double *y)
{
	double comes = is_drawn_from(all, name) ? y[MAIN] - y[PILOT] : y[name];
	return all->of[name].bled ? comes : fmax(comes, 0.0);
}

/* Rates of all columns and wells at one moment, after the flows out of wells have made a step that ends there. A pilot
 * that is fed from the main well takes its fuel out of what the main jet brings. */
static void rates(columns *all, double step_s, double *y, const jw_air_moment *m, double *rate)
{
	memset(rate, 0, UNKNOWNS * sizeof *rate);
	int nested = all->carburetor->pilot_from_main_well;
	double main_well = all->of[MAIN].branch.ends.bowl_pa;
	for (int i = 0; i < COLUMNS; i++) {
		jw_fuel_column *c = &all->of[i];
		double feed = c->branch.ends.bowl_pa;
		if (!c->moves || !c->flows)
			continue;
		if (i == MAIN && all->air->moves)
			c->branch.ends.outlet[0].effective_area_m2 = jw_carburetor_annulus(all->carburetor, m->lift_m);
		double well = c->branch.ends.bowl_pa;
		jw_status status = well_at(c, circuits[i].outlet, into_well(all, i, y), step_s, &y[WELL(i)], m, &well,
		                           &rate[WELL(i) + JW_WELL_LIQUID]);
		if (i == MAIN)
			main_well = well;
		if (i == PILOT && nested)
			feed = jw_branch_feed(&all->of[MAIN].branch.circuit, &all->of[MAIN].branch.ends, main_well);
		status = jw_both(status, jw_fuel_column_rate(c, feed, well, y[i], &rate[i]));
		all->status = jw_both(all->status, y[i] < all->mean[i] ? of_little(status) : status);
	}
}

/* ---- a cycle ---- */

/* Pressures at a place between two nodes. */
static jw_air_moment moment_between(const jw_cycle_air *a, double place)
{
	int node = (int)fmin(place, JW_CYCLE_NODES - 1);
	const jw_air_moment *from = &a->node[node], *to = from + 1;
	double share = place - node;
	return (jw_air_moment){.nozzle_pa = from->nozzle_pa + share * (to->nozzle_pa - from->nozzle_pa),
	                       .plate_pa = from->plate_pa + share * (to->plate_pa - from->plate_pa),
	                       .manifold_pa = from->manifold_pa + share * (to->manifold_pa - from->manifold_pa),
	                       .lift_m = from->lift_m + share * (to->lift_m - from->lift_m)};
}

/* No fuel flows back past a jet. */
static void keep_positive(double *y)
{
	for (int i = 0; i < COLUMNS; i++)
		y[i] = fmax(y[i], 0.0);
}

/* What passes jets and outlets in a time, by the weights that move the wells' content. */
static void count(const columns *all, const double *y, const double *rate, double seconds, course *c)
{
	for (int i = 0; i < COLUMNS; i++) {
		double leaves = into_well(all, i, y) - rate[WELL(i) + JW_WELL_LIQUID];
		c->passed[i] += seconds * y[i];
		c->left[i] += seconds * leaves;
		c->bleeds[i] += seconds * (y[WELL(i) + JW_WELL_OUT] - leaves);
	}
}

static int turns(double from, double to)
{
	return (from < 0.0) != (to < 0.0);
}

/* \param place of its start among the nodes, \param nodes that it spans
 * \return whether the flow out of a well turned round */
static int step(columns *all, double place, double nodes, course *c)
{
	int turned = 0;
	double within[UNKNOWNS], there[UNKNOWNS], rate[UNKNOWNS];
	double step_s = nodes * all->node_s, stage_s = BACKWARDS * step_s;
	jw_air_moment at = moment_between(all->air, place + BACKWARDS * nodes);
	for (int i = 0; i < UNKNOWNS; i++)
		within[i] = c->y[i] + stage_s * c->rate[i];
	keep_positive(within);
	rates(all, stage_s, within, &at, rate);
	count(all, c->y, c->rate, AT_FIRST * step_s, c);
	count(all, within, rate, (1.0 - AT_FIRST) * step_s, c);
	for (int i = 0; i < UNKNOWNS; i++)
		there[i] = c->y[i] + step_s * (AT_FIRST * c->rate[i] + (1.0 - AT_FIRST) * rate[i]);
	for (int i = 0; i < COLUMNS; i++) {
		int out = WELL(i) + JW_WELL_OUT;
		there[out] = c->y[out] + (1.0 - BACKWARDS) / BACKWARDS * (within[out] - c->y[out]);
	}
	keep_positive(there);
	at = moment_between(all->air, place + nodes);
	rates(all, stage_s, there, &at, c->rate);
	for (int out = WELL(0) + JW_WELL_OUT; out < UNKNOWNS; out += JW_WELL_UNKNOWNS)
		turned |= turns(c->y[out], within[out]) | turns(within[out], there[out]);
	memcpy(c->y, there, sizeof there);
	return turned;
}

static void step_carefully(columns *all, double place, double nodes, course *c)
{
	const course before = *c;
	if (!step(all, place, nodes, c))
		return;
	*c = before;
	for (int k = 0; k < PARTS_OF_A_TURN; k++)
		step(all, place + nodes * k / PARTS_OF_A_TURN, nodes / PARTS_OF_A_TURN, c);
}

/* At a share of the way from one set of flows to the next. */
static void note(const columns *all, jw_cycle_trace *trace, int node, const double *from, const double *to,
                 double share)
{
	for (int i = 0; i < COLUMNS; i++)
		if (all->of[i].moves && circuits[i].trace)
			jw_double_at(trace, circuits[i].trace)[node] = from[i] + share * (to[i] - from[i]);
}

/* Steps flows and wells through one cycle. */
static void cycle_through(columns *all, double *y, jw_cycle_trace *trace)
{
	const pass *p = all->pass;
	const jw_cycle_options *o = &all->air->options;
	double longest_s = p->longest_s * fmin(o->column_factor, 1.0);
	int parts = p->parts * o->fuel_parts * (int)ceil(p->nodes * all->node_s / longest_s);
	course c = {.passed = {0}};
	all->status = JW_OK;
	memcpy(c.y, y, sizeof c.y);
	note(all, trace, 0, c.y, c.y, 0.0);
	rates(all, 0.0, c.y, &all->air->node[0], c.rate);
	for (int node = 0; node < JW_CYCLE_NODES; node += p->nodes) {
		const course before = c;
		for (int k = 0; k < parts; k++)
			step_carefully(all, node + (double)k / parts * p->nodes, (double)p->nodes / parts, &c);
		for (int n = 1; n <= p->nodes; n++)
			note(all, trace, node + n, before.y, c.y, (double)n / p->nodes);
	}
	memcpy(y, c.y, sizeof c.y);
	for (int i = 0; i < COLUMNS; i++) {
		if (!all->of[i].moves)
			continue;
		all->mean[i] = c.passed[i] / all->air->period_s;
		all->left[i] = c.left[i] / all->air->period_s;
		if (all->of[i].bled)
			all->bleeds[i] = c.bleeds[i] / all->air->period_s;
	}
}

/* Out of the bowl, kg/s; what a pilot takes out of the main well came through the main jet. */
static double all_fuel(const columns *all)
{
	double sum = all->carburetor->pilot_from_main_well ? -all->mean[PILOT] : 0.0;
	for (int i = 0; i < COLUMNS; i++)
		sum += all->mean[i];
	return sum;
}

/* Share of it that does not leave by the outlets. */
static double fuel_kept(const columns *all)
{
	double drawn = all_fuel(all), left = 0.0;
	for (int i = 0; i < COLUMNS; i++)
		left += all->left[i];
	double most = fmax(drawn, left);
	return most > 0.0 ? (drawn - left) / most : 0.0;
}

/* How far a cycle leads from where it began: flows, and what wells gain or lose, in shares of what comes out of the
 * bowl. */
static double off_by(const columns *all, const double *before, const double *after)
{
	double most = 0.0;
	for (int i = 0; i < COLUMNS; i++) {
		if (!all->of[i].moves)
			continue;
		int liquid = WELL(i) + JW_WELL_LIQUID;
		most = fmax(most, fabs(after[i] - before[i]));
		most = fmax(most, fabs(after[liquid] - before[liquid]) / all->air->period_s);
	}
	return most / (all_fuel(all) + LEAST_FLOW);
}

/* The content of a well to try next. Where it hardly flows it settles slowly, often near empty: there mixing may seek
 * it far off on the way that the cycle leads, but hardly the other way, where a bend of the map would send it for ever.
 */
static double content_near(double mixed, double before, double image)
{
	int empties = image < before;
	double far = empties ? image / MOST_EMPTIED : image * MOST_MIXED,
	       back = empties ? before * TURNED_BACK : before / TURNED_BACK;
	if (empties ? mixed > back : mixed < back)
		return empties ? image / MOST_MIXED : image * MOST_MIXED;
	return jw_clamp(mixed, fmin(far, back), fmax(far, back));
}

/* The same of a well from which the pilot draws: its level falls until as much comes as goes, far where its jet is
 * blocked. */
static double level_near(const jw_fuel_column *c, double mixed, double image)
{
	double reach = fabs(image) + LEVEL_SHARE * c->branch.ends.fuel.density_kg_m3 * c->moving.volume_m3;
	return jw_clamp(mixed, image - reach, image + reach);
}

static double kept_near(double mixed, double image)
{
	double least = fmin(image / MOST_MIXED, image * MOST_MIXED), most = fmax(image / MOST_MIXED, image * MOST_MIXED);
	return jw_clamp(mixed, least, most);
}

/* Where columns and wells may stand before the next cycle. */
typedef struct search {
	jw_anderson mixing;
	double scale[UNKNOWNS];
} search;

static search search_from(const double *y)
{
	search s = {.mixing.unknowns = UNKNOWNS};
	for (int i = 0; i < COLUMNS; i++) {
		s.scale[i] = s.scale[WELL(i) + JW_WELL_OUT] = 1e-6 + fabs(y[i]);
		s.scale[WELL(i) + JW_WELL_LIQUID] = 1e-9 + fabs(y[WELL(i) + JW_WELL_LIQUID]);
	}
	return s;
}

static void try_next(const columns *all, search *s, const double *before, double *y)
{
	double x[UNKNOWNS], image[UNKNOWNS];
	for (int i = 0; i < UNKNOWNS; i++) {
		x[i] = before[i] / s->scale[i];
		image[i] = y[i] / s->scale[i];
	}
	jw_anderson_next(&s->mixing, x, image, x);
	for (int i = 0; i < COLUMNS; i++) {
		int out = WELL(i) + JW_WELL_OUT, liquid = WELL(i) + JW_WELL_LIQUID;
		double content = x[liquid] * s->scale[liquid];
		y[liquid] = is_drawn_from(all, i) ? level_near(&all->of[i], content, y[liquid])
		                                  : content_near(content, before[liquid], y[liquid]);
		y[out] = kept_near(x[out], image[out]) * s->scale[out];
		y[i] = kept_near(x[i], image[i]) * s->scale[i];
	}
}

/* Of the columns that move. */
static jw_status settle(columns *all, jw_cycle_trace *trace, double *y, jw_error *error)
{
	double change = INFINITY;
	search s = search_from(y);
	for (all->pass = passes; all->pass < passes + PASSES; all->pass++) {
		int rough = all->pass == passes;
		for (int n = 0; n < CYCLES_A_PASS; n++) {
			double before[UNKNOWNS];
			memcpy(before, y, sizeof before);
			cycle_through(all, y, trace);
			if (all->status < 0)
				return jw_fail(error, all->status, "fuel column", n, 0, CYCLES_A_PASS);
			change = off_by(all, before, y);
			if (change < (rough ? ROUGHLY_SETTLED : all->air->options.settled))
				break;
			try_next(all, &s, before, y);
		}
		if (rough)
			continue;
		if (change < all->air->options.settled)
			return all->status;
		s.mixing.trials = 0;
	}
	return jw_fail(error, JW_E_NO_CONVERGENCE, "fuel column", change, 0, all->air->options.settled);
}

/* Air that a pilot brings, whose well answers at once. */
static jw_status breathe(columns *all, const jw_cycle_trace *trace)
{
	jw_fuel_column *c = &all->of[PILOT];
	jw_circuit_flow flow;
	for (int n = 0; n < JW_CYCLE_NODES && c->flows && !c->bled; n++) {
		for (int i = 0; i < c->branch.ends.outlets; i++)
			c->branch.ends.outlet[i].pressure_pa = pressure_at(&all->air->node[n], circuits[PILOT].outlet[i]);
		jw_status status =
		    jw_circuit_driven(&c->branch.circuit, &c->branch.ends, trace->pilot_kg_s[n], &c->well, &flow, NULL);
		if (status < 0)
			return status;
		all->bleeds[PILOT] += jw_circuit_air(&flow) / JW_CYCLE_NODES;
	}
	return JW_OK;
}

/* One circuit after the other, but main and pilot together where one feeds the other. */
static jw_status settle_all(columns *all, jw_cycle_trace *trace, double *y, jw_error *error)
{
	jw_status status = JW_OK;
	for (int first = 0; first < COLUMNS && status >= 0; first++) {
		int nested = all->carburetor->pilot_from_main_well;
		for (int i = 0; i < COLUMNS; i++)
			all->of[i].moves = i == first || (nested && first == MAIN && i == PILOT);
		if (!(nested && first == PILOT))
			status = jw_both(status, settle(all, trace, y, error));
	}
	return jw_both(status, breathe(all, trace));
}

/* ---- without inertia, and the steady circuits to compare with ---- */

static jw_fuel_ends ends_at(const columns *all, const jw_air_moment *m)
{
	const jw_cycle_air *a = all->air;
	return (jw_fuel_ends){.path = {.box_pa = a->box_pa,
	                               .mouth_pa = a->box_pa,
	                               .throat_pa = m->nozzle_pa,
	                               .throat_steady_pa = m->nozzle_pa,
	                               .plate_pa = m->plate_pa,
	                               .lift_m = m->lift_m},
	                      .ambient_pa = a->air->pressure_pa,
	                      .manifold_pa = m->manifold_pa,
	                      .controls = a->controls,
	                      .main_gain = 1.0,
	                      .fuel = all->of[MAIN].branch.ends.fuel,
	                      .air = a->gas};
}

static jw_status follow_at_once(columns *all, jw_cycle_trace *trace, jw_error *error)
{
	jw_carburetor_flow found;
	jw_status all_status = JW_OK;
	for (int n = 0; n <= JW_CYCLE_NODES; n++) {
		jw_fuel_ends ends = ends_at(all, &all->air->node[n]);
		jw_status status = jw_carburetor_fuel_near(all->carburetor, &ends, n > 0 ? &found : NULL, &found, error);
		if (status < 0)
			return status;
		all_status |= status;
		double flow[COLUMNS];
		for (int i = 0; i < COLUMNS; i++)
			flow[i] = steady_flow(&found, i)->fuel_kg_s;
		note(all, trace, n, flow, flow, 0.0);
		for (int i = 0; i < COLUMNS && n < JW_CYCLE_NODES; i++) {
			all->mean[i] += flow[i] / JW_CYCLE_NODES;
			all->bleeds[i] += jw_circuit_air(steady_flow(&found, i)) / JW_CYCLE_NODES;
		}
	}
	return all_status;
}

typedef struct gain_search {
	columns *all;
	double depression_pa, wanted;
} gain_search;

static double steady_main(const columns *all, double nozzle_pa)
{
	jw_branch main = all->of[MAIN].branch;
	jw_circuit_flow flow = {0};
	main.ends.outlet[0] = (jw_outlet){jw_carburetor_annulus(all->carburetor, all->air->lift_m), nozzle_pa};
	jw_circuit_near(&main.circuit, &main.ends, NAN, &flow, NULL);
	return flow.fuel_kg_s;
}

static double gain_excess(double gain, void *context)
{
	const gain_search *s = context;
	double flow = steady_main(s->all, s->all->air->box_pa - gain * s->depression_pa);
	return (flow - s->wanted) / (flow + s->wanted);
}

/* Gain on the steady depression that would draw as much main fuel; 1 where none flows. */
static double gain_for(columns *all, double depression_pa, double wanted)
{
	gain_search s = {all, depression_pa, wanted};
	double most = fmin(MOST_GAIN, 0.45 * all->air->box_pa / depression_pa);
	jw_guess gain = {0.0, most, fmin(1.5, 0.5 * most), 0.3};
	if (!(wanted > 0.0) || jw_rising_root(gain_excess, &s, &gain, GAIN_IMBALANCE, NULL) < 0)
		return 1.0;
	return gain.x;
}

/* ---- all together ---- */

static int takes_fuel(const jw_circuit *c)
{
	return c->fuel_jet.diameter_m > 0.0 && c->fuel_coefficient > 0.0;
}

static jw_fuel_column column_of(const jw_cycle_air *a, const jw_carburetor *carburetor, const jw_branch *branch)
{
	double factor = a->options.column_factor, bore_m = carburetor->main_column_bore_m, open = 0.0;
	const jw_orifice *jet = &branch->circuit.fuel_jet;
	jw_fuel_column c = {.branch = *branch, .moves = 1, .root = 30.0, .well = {branch->ends.bowl_pa - 500.0, NAN}};
	for (int k = 0; k < branch->ends.outlets; k++)
		open += branch->ends.outlet[k].effective_area_m2;
	c.flows = open > 0.0 && takes_fuel(&branch->circuit);
	if (!c.flows)
		return c;
	/* Nobody states the columns of the other circuits: as long and wide as the main one's. */
	double column = carburetor->main_column_m / (0.25 * JW_PI * jw_square(bore_m));
	c.inertance = factor * (column + jet->length_m / jw_orifice_area(jet));
	c.bled = branch->ends.outlets == 1 && branch->circuit.air_jet.diameter_m > 0.0;
	if (c.bled)
		c.moving = jw_bled_well_of(&branch->circuit, &branch->ends, bore_m, factor);
	return c;
}

static void set_up(columns *all, const jw_liquid_flow *fuel)
{
	all->of[MAIN].branch.ends.fuel = *fuel;
	jw_air_moment usual = all->air->node[0];
	usual.lift_m = all->air->lift_m;
	jw_fuel_ends ends = ends_at(all, &usual);
	for (int i = 0; i < COLUMNS; i++) {
		jw_branch branch = circuits[i].branch(all->carburetor, &ends);
		all->of[i] = column_of(all->air, all->carburetor, &branch);
	}
	if (all->carburetor->pilot_from_main_well && !takes_fuel(&all->of[MAIN].branch.circuit))
		all->of[PILOT].flows = 0;
}

static void start_well(const jw_fuel_column *c, const jw_circuit_flow *steady, double *y)
{
	if (!c->bled)
		return;
	y[JW_WELL_OUT] = fmax(steady->outlet_kg_s[0], 0.0);
	if (steady->fuel_kg_s > 0.0)
		y[JW_WELL_LIQUID] = jw_bled_well_holds(&c->moving, &c->branch.ends, steady->quality);
	else if (!(steady->branch_kg_s > 0.0))
		y[JW_WELL_LIQUID] = jw_bled_well_at_rest(&c->moving, &c->branch.circuit, &c->branch.ends);
}

/* Where steady circuits would stand between the mean pressures. */
static void start(columns *all, double *flow)
{
	memset(flow, 0, UNKNOWNS * sizeof *flow);
	jw_air_moment mean = {.lift_m = all->air->lift_m};
	for (int n = 0; n < JW_CYCLE_NODES; n++) {
		mean.nozzle_pa += all->air->node[n].nozzle_pa / JW_CYCLE_NODES;
		mean.plate_pa += all->air->node[n].plate_pa / JW_CYCLE_NODES;
		mean.manifold_pa += all->air->node[n].manifold_pa / JW_CYCLE_NODES;
	}
	jw_fuel_ends ends = ends_at(all, &mean);
	jw_carburetor_flow found = {0};
	jw_carburetor_fuel_near(all->carburetor, &ends, NULL, &found, NULL);
	for (int i = 0; i < COLUMNS; i++) {
		flow[i] = all->of[i].flows ? steady_flow(&found, i)->fuel_kg_s : 0.0;
		start_well(&all->of[i], steady_flow(&found, i), &flow[WELL(i)]);
	}
	if (all->carburetor->pilot_from_main_well)
		flow[MAIN] += flow[PILOT];
	memcpy(all->mean, flow, sizeof all->mean);
}

jw_status jw_cycle_columns(const jw_cycle_air *a, const jw_carburetor *calibrated, const jw_liquid_flow *fuel,
                           jw_cycle *cycle, jw_error *error)
{
	columns all = {.air = a, .carburetor = calibrated, .node_s = a->period_s / JW_CYCLE_NODES};
	double *mean = all.mean, flow[UNKNOWNS];
	set_up(&all, fuel);
	jw_status status;
	if (a->options.column_factor > 0.0) {
		start(&all, flow);
		status = settle_all(&all, &cycle->trace, flow, error);
		cycle->fuel_error = fuel_kept(&all);
		/* A pilot fed from a well without air jet, whose level is not followed, may ask for more than comes. */
		if (status >= 0 && !(fabs(cycle->fuel_error) <= MOST_FUEL_KEPT))
			return jw_fail(error, JW_E_NO_CONVERGENCE, "fuel balance", cycle->fuel_error, -MOST_FUEL_KEPT,
			               MOST_FUEL_KEPT);
		if (calibrated->pilot_from_main_well)
			mean[MAIN] = fmax(mean[MAIN] - mean[PILOT], 0.0);
	} else {
		status = follow_at_once(&all, &cycle->trace, error);
	}
	if (status < 0)
		return status;
	for (int i = 0; i < COLUMNS; i++) {
		*jw_double_at(cycle, circuits[i].mean) = mean[i];
		cycle->fuel_kg_s += mean[i];
		cycle->air_kg_s += all.bleeds[i];
	}
	double behind;
	jw_gas_downstream_pressure(a->throat_m2, &a->gas, a->box_pa, a->mean_kg_s, &behind);
	cycle->steady_depression_pa = a->box_pa - behind;
	cycle->main_gain =
	    cycle->steady_depression_pa > 0.0 ? gain_for(&all, cycle->steady_depression_pa, cycle->main_kg_s) : 1.0;
	return status & ~(JW_W_NEAR_THRESHOLD | JW_W_NO_FUEL);
}

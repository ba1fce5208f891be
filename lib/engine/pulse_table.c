/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/pulse_table.h"

#include "base/base.h"

/* A cubic between two nodes needs these and one more on either side. */
#define AROUND 4

/* The nodes of an axis about a place. */
typedef struct surroundings {
	int first, count;
	double at; /* the place, within the axis */
	double node[AROUND];
} surroundings;

static surroundings around(const double *node, int stride, int count, double at)
{
	surroundings s = {.at = jw_clamp(at, node[0], node[(count - 1) * stride])};
	int below = 0;
	while (below < count - 2 && node[(below + 1) * stride] <= s.at)
		below++;
	s.first = below > 0 ? below - 1 : 0;
	for (int i = s.first; i < count && i <= below + 2; i++)
		s.node[s.count++] = node[i * stride];
	return s;
}

/* Slope at a node between two chords: their weighted harmonic mean, level at a crest or a trough. */
static double slope_between(double before, double chord_before, double after, double chord_after)
{
	double w = before + 2.0 * after, v = 2.0 * before + after;
	return chord_before * chord_after > 0.0 ? (w + v) / (w / chord_before + v / chord_after) : 0.0;
}

static double slope_at(const surroundings *s, const double *y, int i)
{
	double before = i > 0 ? s->node[i] - s->node[i - 1] : 0.0,
	       after = i < s->count - 1 ? s->node[i + 1] - s->node[i] : 0.0;
	double chord_before = i > 0 ? (y[i] - y[i - 1]) / before : 0.0;
	double chord_after = i < s->count - 1 ? (y[i + 1] - y[i]) / after : 0.0;
	if (i == 0 || i == s->count - 1)
		return chord_before + chord_after;
	return slope_between(before, chord_before, after, chord_after);
}

static double between(const surroundings *s, const double *y)
{
	int i = 0;
	while (i < s->count - 2 && s->node[i + 1] <= s->at)
		i++;
	if (s->count < 2)
		return y[0];
	double length = s->node[i + 1] - s->node[i], t = (s->at - s->node[i]) / length, u = 1.0 - t;
	return u * u * ((1.0 + 2.0 * t) * y[i] + t * length * slope_at(s, y, i)) +
	       t * t * ((1.0 + 2.0 * u) * y[i + 1] - u * length * slope_at(s, y, i + 1));
}

/* In what each kind is interpolated, and back. */
static double as_it_is(double x)
{
	return x;
}

/* Fuel grows with the root of a pull above its lift, and begins where that is 0. */
static double signed_root(double x)
{
	return copysign(sqrt(fabs(x)), x);
}

static double signed_square(double x)
{
	return x * fabs(x);
}

static double pilot_measure(double x)
{
	return x <= 1.0 ? log(x) : sqrt(x - 1.0);
}

static double pilot_factor(double x)
{
	return x <= 0.0 ? exp(x) : 1.0 + x * x;
}

static const struct measure {
	double (*of)(double factor), (*back)(double x);
} measures[JW_PULSE_FACTORS] = {
    [JW_PULSE_AIR] = {log, exp},
    [JW_PULSE_THROAT] = {log, exp},
    [JW_PULSE_MAIN_LIFT] = {as_it_is, as_it_is},
    [JW_PULSE_MAIN] = {signed_root, signed_square},
    [JW_PULSE_POWER_LIFT] = {as_it_is, as_it_is},
    [JW_PULSE_POWER] = {signed_root, signed_square},
    [JW_PULSE_PILOT] = {pilot_measure, pilot_factor},
};

jw_status jw_pulse_table_at(const jw_pulse_table *table, double speed_rev_s, double throttle,
                            double factor[JW_PULSE_FACTORS])
{
	int openings = 1;
	while (openings < table->nodes && table->speed_rev_s[openings] == table->speed_rev_s[0])
		openings++;
	const surroundings speeds = around(table->speed_rev_s, openings, table->nodes / openings, speed_rev_s);
	const surroundings across = around(table->throttle, 1, openings, throttle);
	for (int f = 0; f < JW_PULSE_FACTORS; f++) {
		double along[AROUND], y[AROUND];
		for (int i = 0; i < speeds.count; i++) {
			const double *row = &table->factor[f][(speeds.first + i) * openings + across.first];
			for (int k = 0; k < across.count; k++)
				y[k] = measures[f].of(row[k]);
			along[i] = between(&across, y);
		}
		factor[f] = measures[f].back(between(&speeds, along));
	}
	return speeds.at == speed_rev_s && across.at == throttle ? JW_OK : JW_W_EXTRAPOLATED;
}

void jw_pulse_table_between(const jw_pulse_table *before, const jw_pulse_table *after, double share,
                            jw_pulse_table *table)
{
	jw_pulse_table found = *after;
	for (int i = 0; i < after->nodes; i++) {
		double was[JW_PULSE_FACTORS];
		jw_pulse_table_at(before, after->speed_rev_s[i], after->throttle[i], was);
		for (int f = 0; f < JW_PULSE_FACTORS; f++) {
			const double from = measures[f].of(was[f]), to = measures[f].of(after->factor[f][i]);
			found.factor[f][i] = measures[f].back(from + share * (to - from));
		}
	}
	*table = found;
}

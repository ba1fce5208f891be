/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far the mean-value model lies from the cycle at a point. */
#ifndef JW_TESTS_CYCLE_ERROR_H
#define JW_TESTS_CYCLE_ERROR_H

#include <jetwright/cycle.h>
#include <math.h>

/* Air and lambda in logarithms, a circuit's fuel as a share of all fuel; air without what the circuits bleed. */
enum { AIR, MAIN, POWER, PILOT, LAMBDA, ERRORS };

/* Not finite where no fuel leaves no lambda. */
static inline void cycle_error(const jw_mixture *m, const jw_cycle *c, double error[ERRORS])
{
	const double drawn = m->plate_kg_s + m->leak_kg_s, followed = c->plate_kg_s + c->leak_kg_s;
	error[AIR] = log(drawn / followed);
	error[MAIN] = (m->flow.main.fuel_kg_s - c->main_kg_s) / c->fuel_kg_s;
	error[POWER] = (m->flow.power.fuel_kg_s - c->power_kg_s) / c->fuel_kg_s;
	error[PILOT] = (m->flow.pilot.fuel_kg_s - c->pilot_kg_s) / c->fuel_kg_s;
	error[LAMBDA] = -log(m->fuel_kg_s / drawn / (c->fuel_kg_s / followed));
}

#endif

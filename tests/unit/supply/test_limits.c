/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The limits that supply.h states. */
#include "gravity.h"
#include "limits.h"

typedef struct question {
	jw_supply_ends ends;
	double level_m, kg_s;
} question;

static question put(int which, double value)
{
	question q = {{.fuel = {742, 0.55e-6},
	               .air = {293.15, 287.05, 1.8e-5},
	               .ambient_pa = 101325,
	               .bowl_pa = 101325,
	               .tank_pa = 101325,
	               .vapour_pa = 30e3,
	               .speed_rev_s = 100},
	              -0.5e-3,
	              5e-4};
	double *const member[] = {&q.ends.ambient_pa,
	                          &q.ends.bowl_pa,
	                          &q.ends.vapour_pa,
	                          &q.ends.tank_pa,
	                          &q.ends.speed_rev_s,
	                          &q.ends.air.temperature_k,
	                          &q.ends.air.gas_constant_j_kg_k,
	                          &q.ends.fuel.density_kg_m3,
	                          &q.ends.fuel.viscosity_m2_s,
	                          &q.level_m};
	*member[which] = value;
	return q;
}

static jw_status pass(int which, double value, jw_error *error)
{
	const question q = put(which, value);
	jw_supply_flow flow;
	const jw_supply supply = gravity();
	return jw_supply_pass(&supply, &q.ends, q.level_m, &flow, error);
}

static jw_status level(int which, double value, jw_error *error)
{
	question q = put(which < 9 ? which : 0, which < 9 ? value : 101325);
	double level_m;
	q.kg_s = which < 9 ? q.kg_s : value;
	const jw_supply supply = gravity();
	return jw_supply_level(&supply, &q.ends, q.kg_s, &level_m, error);
}

#define ENDS                                                                                                           \
	{"ambient_pa", 1e3, 1e6}, {"bowl_pa", 0, 1e6}, {"vapour_pa", 0, 1e7}, {"tank_pa", 0, 1e6},                         \
	    {"speed_rev_s", 0, 1e3}, {"air.temperature_k", 100, 1000}, {"air.gas_constant_j_kg_k", 10, 1e4},               \
	    {"density_kg_m3", 1, 1e5},                                                                                     \
	{                                                                                                                  \
		"viscosity_m2_s", 1e-9, 1                                                                                      \
	}

Test(limits, of_a_supply)
{
	static const limits passing[] = {ENDS, {"level_m", -1, 1}}, levelling[] = {ENDS, {"kg_s", 0, 1e3}};
	hold_limits(pass, passing, sizeof passing / sizeof *passing);
	hold_limits(level, levelling, sizeof levelling / sizeof *levelling);
}

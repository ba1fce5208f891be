/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/cause.h"
#include "base/base.h"
#include <string.h>

#define AT(member) offsetof(jw_setup, member)
#define ON(member) .exists = AT(member), .element = AT(member)
#define JET(name)                                                                                                      \
	ON(carburetor.name.fuel_jet.diameter_m), .circuit = AT(carburetor.name), .coefficient = AT(coefficient.name),      \
	                                         .flow = offsetof(jw_carburetor_flow, name)
/* A bore or area of which any share may be shut. */
#define SHUT(by, tells) .operation = by, .amount = 1, .effect = tells, .unit = 1, .high = 1
/* A jet of the wrong size, by the share of its area that it is short of (or over, where negative). */
#define WRONG_SIZE(share) .operation = JW_BY_AREA, .amount = share, .effect = JW_EFFECT_FIT, .unit = 1e-3
#define MASK(jw_part_id) .masked = 1, .mask = jw_part_id
#define REJET(part, where) .rejet = 1, .rejet_part = part, .rejet_range = where

#define FUEL_CAUTION "Fuel spills when the bowl is opened: engine cold, no flame or spark near, catch and wipe it up."
#define JET_CAUTION FUEL_CAUTION " Clear a jet with solvent and air, never with a drill: the bore is its calibration."
#define SPRAY_CAUTION                                                                                                  \
	"Cleaner spray burns: keep it off a hot exhaust and away from sparks. Air under pressure: protect your eyes."
#define FULL_CAUTION "Confirm from the rich side: an engine held lean at full throttle overheats and may seize."

#define RUNNING_CAUTION                                                                                                \
	"Set with the engine warm and running: in free air, hands and sleeves clear of hot and moving parts."

#define AREA_SHUT "share of the bore's area that is shut"

/* Odds are shares among complaints about engines in daily use, set by hand: the smallest bores varnish first, since a
 * film of one thickness takes most of the smallest (0.03 mm: 29 % of a 0.38 mm bore, 12 % of a 1.0 mm one); air jets
 * stay dry. Trade practice, no source. */
static const jw_cause_row rows[] = {
    {{"pilot_jet_restricted", "pilot jet partly blocked", "pilot jet", "clean",
      "take out the pilot jet and clean its bore until light shows round and full through it", JET_CAUTION, AREA_SHUT,
      "flow_share", "1"},
     JET(pilot),
     SHUT(JW_BY_AREA, JW_EFFECT_FLOW),
     .odds = 1.0,
     .standing = 12,
     MASK(JW_PART_PILOT_JET)},
    {{"pilot_outlet_restricted", "pilot outlet partly blocked", "pilot outlet", "clean",
      "take out the mixture screw and blow out the pilot outlet with cleaner", SPRAY_CAUTION,
      "share of the outlet's area that is shut", "area_share", "1"},
     .exists = AT(carburetor.screw.hole_m),
     .element = AT(carburetor.screw.open_area),
     SHUT(JW_BY_SHARE, JW_EFFECT_KEPT),
     .odds = 0.4,
     .standing = 6,
     MASK(JW_PART_PILOT_JET)},
    {{"transfer_ports_restricted", "transfer ports partly blocked", "transfer ports", "clean",
      "blow out the transfer ports at the plate's edge from both sides with cleaner", SPRAY_CAUTION,
      "share of the ports' area that is shut", "area_share", "1"},
     .exists = AT(carburetor.port[0].diameter_m),
     .element = AT(carburetor.screw.ports_open_area),
     SHUT(JW_BY_SHARE, JW_EFFECT_KEPT),
     .odds = 0.4,
     .standing = 6,
     MASK(JW_PART_PILOT_JET)},
    {{"pilot_air_restricted", "pilot air jet partly blocked", "pilot air jet", "clean",
      "clean the pilot air jet and its drilling from the intake side", SPRAY_CAUTION, AREA_SHUT, "area_share", "1"},
     ON(carburetor.pilot.air_jet.diameter_m),
     SHUT(JW_BY_AREA, JW_EFFECT_KEPT),
     .odds = 0.3,
     .standing = 1,
     MASK(JW_PART_PILOT_JET)},
    {{"main_jet_restricted", "main jet partly blocked", "main jet", "clean",
      "take out the main jet and clean its bore and the passage behind it", JET_CAUTION, AREA_SHUT, "flow_share", "1"},
     JET(main),
     SHUT(JW_BY_AREA, JW_EFFECT_FLOW),
     .odds = 0.8,
     .standing = 3,
     MASK(JW_PART_MAIN_JET)},
    {{"main_air_restricted", "main air jet or emulsion tube partly blocked", "main air jet", "clean",
      "clean the main air jet and the holes of the emulsion tube", SPRAY_CAUTION, AREA_SHUT, "area_share", "1"},
     ON(carburetor.main.air_jet.diameter_m),
     SHUT(JW_BY_AREA, JW_EFFECT_KEPT),
     .odds = 0.2,
     .standing = 1,
     MASK(JW_PART_MAIN_JET)},
    {{"main_jet_too_small", "main jet too small for this engine", "main jet", "fit", "fit a larger main jet",
      FULL_CAUTION " " FUEL_CAUTION, "how far its area falls short of what is needed, in parts of 50 %", "bore", "mm"},
     ON(carburetor.main.fuel_jet.diameter_m),
     WRONG_SIZE(0.5),
     .odds = 0.3,
     .high = 3,
     REJET(JW_PART_MAIN_JET, JW_FULL)},
    {{"main_jet_too_large", "main jet too large for this engine", "main jet", "fit", "fit a smaller main jet",
      FULL_CAUTION " " FUEL_CAUTION, "how far its area exceeds what is needed, in parts of 50 %", "bore", "mm"},
     ON(carburetor.main.fuel_jet.diameter_m),
     WRONG_SIZE(-0.5),
     .odds = 0.3,
     .high = 2,
     REJET(JW_PART_MAIN_JET, JW_FULL)},
    {{"pilot_jet_too_small", "pilot jet too small for this engine", "pilot jet", "fit", "fit a larger pilot jet",
      FUEL_CAUTION, "how far its area falls short of what is needed, in parts of 35 %", "bore", "mm"},
     ON(carburetor.pilot.fuel_jet.diameter_m),
     WRONG_SIZE(0.35),
     .odds = 0.15,
     .high = 2,
     REJET(JW_PART_PILOT_JET, JW_IDLE)},
    {{"pilot_jet_too_large", "pilot jet too large for this engine", "pilot jet", "fit", "fit a smaller pilot jet",
      FUEL_CAUTION, "how far its area exceeds what is needed, in parts of 50 %", "bore", "mm"},
     ON(carburetor.pilot.fuel_jet.diameter_m),
     WRONG_SIZE(-0.5),
     .odds = 0.15,
     .high = 2,
     REJET(JW_PART_PILOT_JET, JW_IDLE)},
    {{"needle_position", "needle sits too low", "needle", "set", "raise the needle: clip lower, or a shim under it",
      FUEL_CAUTION, "how far the needle is low, in parts of 2 mm", "needle_low", "mm"},
     .exists = AT(carburetor.needle.jet_m),
     .element = AT(carburetor.needle.raised_m),
     .operation = JW_BY_SHIFT,
     .amount = -2e-3,
     .effect = JW_EFFECT_OFF,
     .unit = 1e-3,
     .odds = 0.2,
     .high = 2,
     MASK(JW_PART_MAIN_JET)},
    {{"needle_too_high", "needle sits too high", "needle", "set", "lower the needle: clip higher, or a shim out",
      FUEL_CAUTION, "how far the needle is high, in parts of 2 mm", "needle_high", "mm"},
     .exists = AT(carburetor.needle.jet_m),
     .element = AT(carburetor.needle.raised_m),
     .operation = JW_BY_SHIFT,
     .amount = 2e-3,
     .effect = JW_EFFECT_OFF,
     .unit = 1e-3,
     .odds = 0.15,
     .high = 2,
     MASK(JW_PART_MAIN_JET)},
    {{"needle_jet_worn", "needle jet worn wide", "needle jet", "replace", "replace needle and needle jet together",
      FUEL_CAUTION, "growth of the bore's area, in parts of 10 %", "bore", "mm"},
     ON(carburetor.needle.jet_m),
     .operation = JW_BY_AREA,
     .amount = -0.1,
     .effect = JW_EFFECT_VALUE,
     .unit = 1e-3,
     .odds = 0.3,
     .high = 1,
     MASK(JW_PART_NEEDLE_POSITION)},
    {{"air_leak", "air leak behind the throttle plate", "intake joint", "seal",
      "find the leak at the joints behind the carburetor and seal it", SPRAY_CAUTION,
      "bore of a hole that leaks as much, in parts of 4 mm", "bore", "mm"},
     .exists = AT(carburetor.throat.bore_m),
     .element = AT(leak_m),
     .operation = JW_BY_SHIFT,
     .amount = 4e-3,
     .effect = JW_EFFECT_OFF,
     .unit = 1e-3,
     .odds = 1.2,
     .high = 1,
     MASK(JW_PART_PILOT_JET)},
    {{"float_level_low", "fuel level in the bowl too low", "float", "set",
      "set the float level, after checking that fuel reaches the bowl freely", FUEL_CAUTION,
      "how far the level is low, in parts of 8 mm", "level_low", "mm"},
     .exists = AT(carburetor.throat.bore_m),
     .element = AT(carburetor.bowl.level_error_m),
     .operation = JW_BY_SHIFT,
     .amount = -8e-3,
     .effect = JW_EFFECT_OFF,
     .unit = 1e-3,
     .odds = 0.5,
     .high = 1,
     .standing = 1,
     MASK(JW_PART_MAIN_JET)},
    {{"float_level_high", "fuel level in the bowl too high", "float", "set",
      "set the float level, after checking that the float needle seals", FUEL_CAUTION,
      "how far the level is high, in parts of 5 mm", "level_high", "mm"},
     .exists = AT(carburetor.throat.bore_m),
     .element = AT(carburetor.bowl.level_error_m),
     .operation = JW_BY_SHIFT,
     .amount = 5e-3,
     .effect = JW_EFFECT_OFF,
     .unit = 1e-3,
     .odds = 0.6,
     .high = 1,
     .standing = 1,
     MASK(JW_PART_MAIN_JET)},
    {{"idle_mixture_screw_lean", "mixture screw set too far in", "mixture screw", "set",
      "turn the mixture screw out until the idle is highest and steady", RUNNING_CAUTION,
      "share of its turns by which it is too far in", "turns", "turns"},
     ON(carburetor.screw.turns),
     SHUT(JW_BY_SHARE, JW_EFFECT_VALUE),
     .odds = 0.6,
     MASK(JW_PART_PILOT_JET)},
    {{"idle_mixture_screw_rich", "mixture screw set too far out", "mixture screw", "set",
      "turn the mixture screw in until the idle is highest and steady", RUNNING_CAUTION,
      "how far it is out beyond its setting, in parts of 3 turns", "turns", "turns"},
     .exists = AT(carburetor.screw.hole_m),
     .element = AT(carburetor.screw.turns),
     .operation = JW_BY_SHIFT,
     .amount = 3,
     .effect = JW_EFFECT_VALUE,
     .unit = 1,
     .odds = 0.4,
     .high = 1,
     MASK(JW_PART_PILOT_JET)},
    {{"slide_or_diaphragm", "slide stuck, or its diaphragm torn", "slide", "replace",
      "check the diaphragm for holes and the slide for free travel; replace what is torn, clean what sticks",
      FUEL_CAUTION, "lift at which the slide stays, share of the throat's bore", "lift", "mm"},
     .exists = AT(carburetor.slide.diaphragm_m),
     .element = AT(carburetor.slide.stuck_lift_m),
     .operation = JW_BY_STICK,
     .effect = JW_EFFECT_VALUE,
     .unit = 1e-3,
     .odds = 0.5,
     .high = 2,
     .standing = 1},
    {{"air_filter_blocked", "air filter blocked", "air filter", "replace", "clean or replace the air filter",
      "Never run the engine without its filter, and never clean a filter in petrol.",
      "share of the filter's area that is shut, in parts of 95 %", "loss", "kPa"},
     ON(carburetor.intake.loss_pa),
     .operation = JW_BY_LOSS,
     .amount = 0.95,
     .effect = JW_EFFECT_VALUE,
     .unit = 1e3,
     .odds = 1.0,
     .high = 1,
     MASK(JW_PART_MAIN_JET)},
    {{"enrichener_stuck_on", "enrichener stuck open", "enrichener", "replace",
      "see that the enrichener shuts fully; replace it where it does not", FUEL_CAUTION,
      "how far it stays open, 1 = fully", "opening", "1"},
     .exists = AT(carburetor.enrichener_outlet_m),
     .element = AT(range[0].enrichener),
     .times = JW_RANGE_COUNT,
     .stride = sizeof(jw_point),
     .operation = JW_BY_SHIFT,
     .amount = 1,
     .effect = JW_EFFECT_VALUE,
     .unit = 1,
     .odds = 0.6,
     .high = 1},
};

enum { ROWS = sizeof rows / sizeof *rows };

int jw_cause_count(void)
{
	return ROWS;
}

const jw_cause_row *jw_cause_row_at(int cause)
{
	return cause >= 0 && cause < ROWS ? &rows[cause] : NULL;
}

const jw_cause_info *jw_cause_at(int cause)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	return row ? &row->info : NULL;
}

int jw_cause_find(const char *id)
{
	for (int i = 0; i < ROWS; i++)
		if (id && strcmp(rows[i].info.id, id) == 0)
			return i;
	return -1;
}

static double *place(jw_setup *setup, size_t offset)
{
	return (double *)(void *)((char *)setup + offset);
}

double jw_value_at(const jw_setup *setup, size_t offset)
{
	return *(const double *)(const void *)((const char *)setup + offset);
}

int jw_cause_possible(const jw_setup *healthy, const jw_cause_row *row)
{
	return jw_value_at(healthy, row->exists) > 0;
}

double jw_cause_element(const jw_setup *setup, const jw_cause_row *row)
{
	return jw_value_at(setup, row->element);
}

static double changed(const jw_setup *setup, const jw_cause_row *row, double x, double severity)
{
	double step = row->amount * severity;
	switch (row->operation) {
	case JW_BY_AREA:
		return x * sqrt(fmax(1 - step, 0));
	case JW_BY_SHARE:
		return x * (1 - step);
	case JW_BY_LOSS:
		return x / jw_square(1 - step);
	case JW_BY_STICK:
		return severity * setup->carburetor.throat.bore_m;
	case JW_BY_SHIFT:
		break;
	}
	return x + step;
}

jw_status jw_cause_check(const jw_setup *healthy, int cause, double severity, jw_error *error)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	if (!row)
		return jw_fail(error, JW_E_ARGUMENT, "cause", cause, 0, ROWS - 1);
	if (!jw_cause_possible(healthy, row))
		return jw_fail(error, JW_E_ARGUMENT, row->info.part, jw_value_at(healthy, row->exists), 0, HUGE_VAL);
	return jw_check_range("severity", severity, 0, 1, error);
}

jw_status jw_cause_apply(const jw_setup *healthy, int cause, double severity, jw_setup *faulty, jw_error *error)
{
	jw_status status = jw_cause_check(healthy, cause, severity, error);
	if (status < 0)
		return status;
	const jw_cause_row *row = &rows[cause];
	jw_setup setup = *healthy;
	for (int i = 0; i < (row->times ? row->times : 1); i++) {
		double *x = place(&setup, row->element + (size_t)i * row->stride);
		*x = changed(healthy, row, *x, severity);
	}
	*faulty = setup;
	return JW_OK;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What rejet answers to one change at a time, as the files in recorded/ have it:
 *
 *     JETWRIGHT_RECORD=1 build/tests/test_unit_rejet --filter '*ecorded*'
 *
 * A change's line has its kind, the cost of what is chosen, whether that is safe, and why the first-order rule does not
 * serve. Then come the ranges with phi, the doubt of the change, danger and verdict; then the parts with ideal, chosen,
 * where trials begin, and what a usual step does where the part tells. */
#include "bundled.h"
#include "recorded.h"
#include "rejetted.h"

#include <jetwright/profile.h>

static jw_rejet_change change_of(jw_rejet_kind kind, const jw_setup *s, const jw_setup *other)
{
	const jw_carburetor *c = &s->carburetor;
	const double value[JW_REJET_KIND_COUNT] = {
	    [JW_REJET_THROAT] = 1.08 * c->throat.bore_m,
	    [JW_REJET_BORE] = 1.06 * s->engine.bore_m,
	    [JW_REJET_STROKE] = 1.08 * s->engine.stroke_m,
	    [JW_REJET_CYLINDERS] = s->engine.cylinders + 1,
	    [JW_REJET_COMPRESSION] = s->engine.compression_ratio + 1.5,
	    [JW_REJET_FILTER] = 0.1 * c->intake.loss_pa,
	    [JW_REJET_VENT] = c->bowl.vent == JW_VENT_AIRBOX ? JW_VENT_ATMOSPHERE : JW_VENT_AIRBOX,
	    [JW_REJET_REFERENCE] = c->slide.reference == JW_VENT_AIRBOX ? JW_VENT_ATMOSPHERE : JW_VENT_AIRBOX,
	    [JW_REJET_PREMIX] = 0.04,
	    [JW_REJET_PRESSURE] = 82e3,
	    [JW_REJET_TEMPERATURE] = 308,
	    [JW_REJET_HUMIDITY] = 0.95,
	};
	jw_rejet_change change = {.kind = kind,
	                          .value = value[kind],
	                          .factor = {1, 1.02, 1.04, 1.05, 1.09, 1.12},
	                          .fuel = {.part = {{JW_ETHANOL, 0.1}, {JW_PETROL, 0.9}}, .parts = 2},
	                          .other = other};
	for (int p = 0; p < JW_PART_COUNT; p++)
		change.part[p] = jw_part_value(s, (jw_part)p);
	change.part[JW_PART_MAIN_JET] *= 0.93;
	change.part[JW_PART_PILOT_JET] *= 1.08;
	return change;
}

static void note_answer(book *b, jw_rejet_kind kind, const jw_rejet_answer *a)
{
	const jw_rejet_choice *choice = &a->choice;
	note(b, jw_rejet_kind_name(kind), kind, choice->cost, choice->safe, a->rule.reason);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		note(b, jw_range_name((jw_range)r), a->range[r].after.phi, a->range[r].relative_change, a->range[r].danger,
		     a->range[r].becomes);
	for (int p = 0; p < JW_PART_COUNT; p++) {
		const jw_rejet_piece *piece = &choice->piece[p];
		if (piece->sought)
			note(b, jw_part_name((jw_part)p), piece->ideal, piece->chosen, piece->start,
			     piece->effect[jw_rejet_tells((jw_part)p)]);
	}
}

/* What an engine has no place for is refused, and stands in no line. */
static void compare(const char *engine, const char *other)
{
	static book now;
	char path[256];
	const jw_setup s = bundled(engine), carburetor = bundled(other);
	const jw_air air = mild_air();
	jw_jet_set jets;
	jw_faults faults;
	cr_assert(jw_jets_load(JW_SOURCE_DIR "/profiles/jets/metric-steps.yaml", NULL, &jets, NULL, 0, &faults) >= 0);
	for (jw_rejet_kind kind = 0; kind < JW_REJET_KIND_COUNT; kind++) {
		const jw_rejet_change change = change_of(kind, &s, &carburetor);
		const jw_rejet_request request = {.setup = &s,
		                                  .air = &air,
		                                  .change = &change,
		                                  .changes = 1,
		                                  .anchored = 1,
		                                  .jets = &jets,
		                                  .grooves = {5, 3, 0.8e-3}};
		static jw_rejet_answer a;
		if (jw_rejet(&request, &a, NULL) >= 0)
			note_answer(&now, kind, &a);
	}
	snprintf(path, sizeof path, "%s/tests/unit/rejet/recorded/%s.txt", JW_SOURCE_DIR, engine);
	beside_recorded(&now, path);
}

Test(recorded, floating_slide)
{
	compare("courier-150", "trail-250");
}

Test(recorded, lifted_slide)
{
	compare("kart-125", "trail-250");
}

Test(recorded, plate)
{
	compare("estate-1100", "pump-200");
}

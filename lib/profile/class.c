/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/class.h"

#include "base/base.h"

#include <string.h>

/* A class fits engines from half to twice its displacement. */
#define SPAN 2.0

#define PINS "with pin gauges; or under a stated head into a burette, and 'jetwright jet' makes a bore of the flow"
#define CALLIPERS "with callipers"
#define MICROMETER "with a micrometer"
#define GAUGES "with pin gauges or drill shanks"
#define BURETTE "fill it from a burette"
#define TUBE "from the fuel level, shown by a clear tube on the bowl drain"
#define PROTRACTOR "with a protractor, from the plane across the bore"
#define BALANCE "with a spring balance over a measured travel"
#define SCALE "on a kitchen scale"
#define WATER "with a water gauge behind the filter, at a known air flow"
#define LAMBDA "by lambda read at idle, half and full throttle, stated as a baseline"
#define SHANK "from the shank of a drill of the jet's size pushed in to the stop, or under a loupe"
#define THERMOMETER "with a thermometer, the engine hot"
#define JETS(block)                                                                                                    \
	{block ".jet", 0.5, PINS}, {block ".jet_length", 0, SHANK}, {block ".air_jet", 0.5, PINS},                         \
	    {block ".air_jet_length", 0, SHANK},                                                                           \
	{                                                                                                                  \
		block ".bleed_below_level", 0, TUBE                                                                            \
	}

/* How a dimension grows with displacement, and how it is measured (common practice, no source). */
static const struct dimension {
	const char *key;
	double power;
	const char *how;
} dimensions[] = {
    {"bowl_heating", 0, THERMOMETER},
    {"engine.bore", 0, CALLIPERS},
    {"engine.stroke", 0, "with a depth gauge through the plug hole, from one dead centre to the other"},
    {"engine.compression_ratio", 0, "fill the chamber from a burette at top dead centre"},
    {"engine.crankcase_ratio", 0, "fill the crankcase from a burette at bottom dead centre"},
    {"engine.intake_duration", 0, "with a degree wheel and a dial gauge on the inlet valve"},
    {"engine.manifold_volume", 1, BURETTE},
    {"engine.charge_heating", 0, THERMOMETER},
    {"engine.exhaust_back_pressure", 0, "with a gauge in the header at full throttle"},
    {"engine.volumetric_efficiency.efficiency", 0, "from the air flow or the power at full throttle on a test stand"},
    {"intake.filter_loss", 0, WATER},
    {"intake.at_air_flow", 1, WATER},
    {"carburetor.bowl.level_error", 0, TUBE},
    {"carburetor.throat.bore", 0.5, CALLIPERS},
    {"carburetor.throat.coefficient", 0, LAMBDA},
    {"carburetor.throat.recovery", 0, LAMBDA},
    {"carburetor.slide.diaphragm", 0.5, CALLIPERS},
    {"carburetor.slide.mass", 1, SCALE},
    {"carburetor.slide.spring_closed", 1, BALANCE},
    {"carburetor.slide.spring_rate", 0.5, BALANCE},
    {"carburetor.slide.base_area", 1, GAUGES},
    {"carburetor.piston.cutaway", 0.5, CALLIPERS},
    {"carburetor.piston.idle_lift", 0.5, GAUGES},
    {"carburetor.piston.full_lift", 0.5, CALLIPERS},
    {"carburetor.plate.bore", 0.5, CALLIPERS},
    {"carburetor.plate.shaft", 0.5, CALLIPERS},
    {"carburetor.plate.closed_angle", 0, PROTRACTOR},
    {"carburetor.plate.idle_angle", 0, PROTRACTOR},
    {"carburetor.plate.coefficient", 0, LAMBDA},
    {"carburetor.choke.bore", 0.5, CALLIPERS},
    {"carburetor.choke.shaft", 0.5, CALLIPERS},
    {"carburetor.choke.closed_angle", 0, PROTRACTOR},
    {"carburetor.choke.relief_area", 1, GAUGES},
    {"carburetor.choke.coefficient", 0, LAMBDA},
    JETS("carburetor.main"),
    {"carburetor.main.nozzle_above_level", 0, TUBE},
    {"carburetor.main.needle_jet", 0.5, PINS},
    {"carburetor.main.needle_straight", 0.5, MICROMETER},
    {"carburetor.main.needle_straight_length", 0.5, CALLIPERS},
    {"carburetor.main.needle_taper", 0, "with a micrometer at two places, and callipers between them"},
    {"carburetor.main.needle_tip", 0.5, MICROMETER},
    {"carburetor.main.needle_raised", 0, CALLIPERS},
    {"carburetor.main.annulus_coefficient", 0, LAMBDA},
    {"carburetor.main.column_length", 0, CALLIPERS},
    {"carburetor.main.column_bore", 0.5, GAUGES},
    JETS("carburetor.pilot"),
    {"carburetor.pilot.outlet", 0.5, GAUGES},
    {"carburetor.pilot.outlet_above_level", 0, TUBE},
    {"carburetor.pilot.outlet_coefficient", 0, LAMBDA},
    {"carburetor.pilot.screw_turns", 0, "by counting the turns in until it is lightly seated, then back out"},
    {"carburetor.pilot.screw_pitch", 0, "with a thread gauge"},
    {"carburetor.pilot.screw_cone", 0, "under a loupe with a protractor"},
    {"carburetor.pilot.air_seat", 0.5, GAUGES},
    {"carburetor.pilot.ports.diameter", 0.5, GAUGES},
    {"carburetor.pilot.ports.position", 0, "with callipers, from the edge of the closed plate"},
    {"carburetor.rod.lean", 0.5, MICROMETER},
    {"carburetor.rod.rich", 0.5, MICROMETER},
    {"carburetor.rod.from_throttle", 0, "by watching the rod while the throttle is opened"},
    JETS("carburetor.power_jet"),
    {"carburetor.power_jet.outlet", 0.5, GAUGES},
    {"carburetor.power_jet.outlet_above_level", 0, TUBE},
    JETS("carburetor.enrichener"),
    {"carburetor.enrichener.outlet", 0.5, GAUGES},
    {"carburetor.enrichener.outlet_above_level", 0, TUBE},
};
#define DIMENSIONS (sizeof dimensions / sizeof *dimensions)

static const struct dimension *dimension_at(const char *key)
{
	for (size_t i = 0; i < DIMENSIONS; i++)
		if (!strcmp(dimensions[i].key, key))
			return &dimensions[i];
	return NULL;
}

/* A column is known by its rows and its own name. */
static const struct dimension *dimension_of(const jw_field *field, const jw_field *cell)
{
	char key[96];
	if (cell == field)
		return dimension_at(field->path);
	snprintf(key, sizeof key, "%s.%s", field->path, cell->path);
	return dimension_at(key);
}

static int rows_of(const jw_field *field, const jw_profile *profile)
{
	int count = 1;
	if (field->kind == JW_FIELD_ROWS)
		memcpy(&count, (const char *)profile + field->count, sizeof count);
	return count;
}

static void scale(const jw_field *field, const jw_field *cell, double ratio, jw_profile *profile)
{
	const struct dimension *dimension = dimension_of(field, cell);
	size_t offset = cell == field ? field->offset : field->offset + cell->offset;
	for (int i = 0; dimension && i < rows_of(field, profile); i++) {
		double *value = jw_double_at(profile, offset + (size_t)i * cell->stride);
		*value *= pow(ratio, dimension->power);
	}
}

static void scale_all(const jw_node *root, double ratio, jw_profile *profile)
{
	for (const jw_field *field = jw_engine_fields; field->path; field++) {
		if (jw_node_find(root, field->path, NULL))
			continue;
		if (field->kind == JW_FIELD_QUANTITY)
			scale(field, field, ratio, profile);
		for (const jw_field *cell = field->columns; field->kind == JW_FIELD_ROWS && cell->path; cell++)
			scale(field, cell, ratio, profile);
	}
}

jw_unmeasured jw_unmeasured_of(const jw_profile *profile, const jw_spread *spread)
{
	const struct dimension *dimension = dimension_of(spread->field, spread->cell);
	int column = spread->cell != spread->field;
	return (jw_unmeasured){.key = dimension ? dimension->key : spread->field->path,
	                       .offset = spread->field->offset - offsetof(jw_profile, setup) +
	                                 (column ? spread->cell->offset : 0),
	                       .stride = spread->cell->stride,
	                       .count = rows_of(spread->field, profile),
	                       .relative = spread->relative,
	                       .absolute = spread->absolute};
}

/* ---- loading ---- */

/* Reads the class into the profile, and keeps what is needed of it. */
static jw_status read_class(jw_profile *p, const char *path, jw_basis *b, jw_faults *faults)
{
	jw_faults_begin(faults, path);
	jw_status status = jw_tree_load(path, &b->root, faults);
	if (status)
		return status;
	jw_fields_read(jw_engine_fields, b->root, p, faults);
	if (*p->based_on)
		jw_fault_at(faults, b->root, "based_on", "stands in a class, expected a file that states everything itself");
	memcpy(b->spread, p->spread, sizeof b->spread);
	b->spreads = p->spreads;
	b->cycle = p->cycle;
	b->kind = p->setup.carburetor.kind;
	b->displacement_m3 = jw_displacement(&p->setup.engine);
	p->spreads = 0;
	*p->fuel = '\0';
	return faults->count ? JW_E_SCHEMA : JW_OK;
}

jw_status jw_class_load(jw_profile *p, const jw_node *root, const char *path, const char *library, jw_basis *b,
                        jw_faults *faults)
{
	static const jw_field name = {.kind = JW_FIELD_NAME, .most = JW_NAME_MOST};
	const jw_node *node = jw_node_find(root, "based_on", NULL);
	char class_path[JW_PATH_MOST];
	jw_faults inner;
	if (!node)
		return JW_OK;
	if (node->kind != JW_NODE_TEXT || !jw_field_accepts(&name, node->text)) {
		jw_fault_node(faults, node, "is no name of a class, expected a-z, 0-9 and -");
		return JW_E_SCHEMA;
	}
	jw_status status = jw_library_file(library, path, "classes", node->text, class_path, root, "based_on", faults);
	if (status)
		return status;
	status = read_class(p, class_path, b, &inner);
	return status < 0 ? jw_fault_named(faults, root, "based_on", &inner, status) : JW_OK;
}

void jw_class_scale(jw_profile *p, const jw_node *root, const jw_basis *b, jw_faults *faults)
{
	double ratio = jw_displacement(&p->setup.engine) / b->displacement_m3;
	if (p->setup.carburetor.kind != b->kind)
		jw_fault_at(faults, root, "carburetor.kind",
		            "is another than that of the class, expected a class of this kind");
	if (p->cycle != b->cycle)
		jw_fault_at(faults, root, "engine.cycle", "is another than that of the class, expected a class of this cycle");
	if (!(ratio >= 1 / SPAN && ratio <= SPAN))
		jw_fault_at(faults, root, "based_on",
		            "is a class of another size, expected half to twice its displacement for each carburetor");
	scale_all(root, ratio, p);
}

const char *jw_profile_measure(const char *key)
{
	const struct dimension *dimension = key ? dimension_at(key) : NULL;
	return dimension ? dimension->how : NULL;
}

const char *jw_profile_measured(int index)
{
	return index >= 0 && index < (int)(sizeof dimensions / sizeof *dimensions) ? dimensions[index].key : NULL;
}

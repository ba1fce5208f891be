/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/files.h"

#define REFERENCE_K 288.15 /* at which volume fractions are stated */

typedef struct fuel_file {
	int schema;
	char about[JW_ABOUT_MOST + 1];
	jw_fuel fuel;
} fuel_file;

static const char *liquid_word(int index)
{
	return jw_liquid_name((jw_liquid)index);
}

static const jw_field part_fields[] = {
    {"liquid", JW_FIELD_WORD, JW_REQUIRED, .word = liquid_word, JW_AT(jw_fuel_part, liquid),
     .stride = sizeof(jw_fuel_part)},
    {"share", JW_FIELD_QUANTITY, JW_REQUIRED, JW_FRACTION, "0%", "100%", .member = "volume_fraction",
     JW_AT(jw_fuel_part, volume_fraction), .stride = sizeof(jw_fuel_part)},
    {"density", JW_FIELD_QUANTITY, JW_OPTIONAL, JW_DENSITY, "600 kg/m3", "1000 kg/m3", .member = "density_15c_kg_m3",
     JW_AT(jw_fuel_part, density_15c_kg_m3), .stride = sizeof(jw_fuel_part)},
    {"hydrogen_per_carbon", JW_FIELD_QUANTITY, JW_OPTIONAL, JW_NUMBER, "1.5", "2.3", .member = "hydrogen_per_carbon",
     JW_AT(jw_fuel_part, hydrogen_per_carbon), .stride = sizeof(jw_fuel_part)},
    JW_END_OF_FIELDS};

const jw_field jw_fuel_fields[] = {JW_SCHEMA_FIELD("fuel", fuel_file),
                                   JW_ABOUT_FIELD(fuel_file),
                                   JW_QUANTITY_FIELD("vapour_pressure", JW_PRESSURE, "10 kPa", "110 kPa", JW_OPTIONAL,
                                                     fuel_file, fuel.reid_pa, "reid_pa"),
                                   {"parts", JW_FIELD_RECORDS, JW_REQUIRED, JW_FRACTION, "100%", .most = JW_FUEL_PARTS,
                                    .columns = part_fields, .member = "sum of volume_fraction",
                                    JW_AT(fuel_file, fuel.part), .count = offsetof(fuel_file, fuel.parts)},
                                   JW_END_OF_FIELDS};

static jw_status fill(void *into, const jw_node *root, const char *path, const char *library, jw_faults *faults)
{
	(void)path, (void)library;
	fuel_file *file = into;
	jw_fuel_state state;
	jw_error error = {0};
	jw_fields_read(jw_fuel_fields, root, file, faults);
	if (faults->count)
		return JW_E_SCHEMA;
	jw_status status = jw_fuel_at(&file->fuel, REFERENCE_K, &state, &error);
	if (status >= 0)
		return status;
	jw_fields_blame(jw_fuel_fields, root, &error, faults);
	return JW_E_SCHEMA;
}

jw_status jw_fuel_load(const char *path, jw_fuel *fuel, char *about, size_t about_size, jw_faults *faults)
{
	if (!path || !fuel || !faults)
		return JW_E_ARGUMENT;
	fuel_file file = {0};
	jw_status status = jw_file_read(path, NULL, fill, &file, faults);
	if (status < 0)
		return status;
	*fuel = file.fuel;
	if (about && about_size)
		snprintf(about, about_size, "%s", file.about);
	return status;
}

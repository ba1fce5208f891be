/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/files.h"

#include "base/base.h"

/* Two keys that contradict each other, or one that needs another. */
static int check_keys(const jw_air_block *b, const jw_node *root, const char *prefix, jw_faults *faults)
{
	int pressure = !isnan(b->pressure_pa), altitude = !isnan(b->altitude_m), sea_level = !isnan(b->sea_level_pa);
	const struct {
		int wrong;
		const char *key, *message;
	} rules[] = {
	    {pressure && altitude, "altitude", "is given beside pressure, expected one of them"},
	    {pressure && sea_level, "sea_level_pressure", "is given beside pressure, expected one of them"},
	    {sea_level && !altitude && !pressure, "sea_level_pressure", "is given alone, expected altitude beside it"},
	    {!isnan(b->humidity) && !isnan(b->dew_point_k), "dew_point", "is given beside humidity, expected one of them"},
	};
	int sound = 1;
	for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
		if (rules[i].wrong) {
			char path[64];
			snprintf(path, sizeof path, "%s.%s", prefix, rules[i].key);
			jw_fault_at(faults, root, path, rules[i].message);
			sound = 0;
		}
	return sound;
}

static jw_status resolve(const jw_air_block *b, jw_air *air, jw_error *error)
{
	jw_atmosphere level;
	double altitude_m = isnan(b->altitude_m) ? 0 : jw_geopotential_altitude(b->altitude_m);
	jw_status status = jw_standard_atmosphere(altitude_m, &level, error);
	double pressure_pa = isnan(b->pressure_pa) ? level.pressure_pa : b->pressure_pa;
	if (status >= 0 && !isnan(b->sea_level_pa))
		status = jw_both(status, jw_station_pressure(b->sea_level_pa, altitude_m, &pressure_pa, error));
	if (status < 0)
		return status;
	double temperature_k = isnan(b->temperature_k) ? level.temperature_k : b->temperature_k;
	jw_status moist =
	    isnan(b->dew_point_k)
	        ? jw_air_from_humidity(pressure_pa, temperature_k, isnan(b->humidity) ? 0 : b->humidity, air, error)
	        : jw_air_from_dew_point(pressure_pa, temperature_k, b->dew_point_k, air, error);
	return jw_both(status, moist);
}

jw_status jw_air_from_block(const jw_air_block *block, const jw_field *table, const jw_node *root, const char *prefix,
                            jw_air *air, jw_faults *faults)
{
	jw_error error = {0};
	if (!check_keys(block, root, prefix, faults))
		return JW_E_SCHEMA;
	jw_status status = resolve(block, air, &error);
	if (status >= 0)
		return status;
	jw_fields_blame(table, root, &error, faults);
	return JW_E_SCHEMA;
}

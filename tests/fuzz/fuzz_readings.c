/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as readings and as a trace: as fuzz_profile.c, and every reading is fit to be used. */
#include "profile/readings.h"
#include "taken.h"

static jw_setup setup;
static jw_air air;

int LLVMFuzzerInitialize(int *count, char ***arguments);

int LLVMFuzzerInitialize(int *count, char ***arguments)
{
	static const char *const name = "courier-150";
	(void)count, (void)arguments;
	load_setups(&name, 1, &setup);
	return jw_air_from_humidity(101325, 293.15, 0.5, &air, NULL);
}

static void check_readings(const jw_reading *reading, int count)
{
	for (int i = 0; i < count; i++) {
		require(reading[i].kind < JW_READING_KIND_COUNT && isfinite(reading[i].value));
		require(isfinite(reading[i].uncertainty) && reading[i].uncertainty > 0);
	}
}

static void load_yaml(const char *path)
{
	int count = 0;
	jw_faults faults;
	jw_readings *readings = NULL;
	jw_status status = jw_readings_load(path, &setup, NULL, &readings, &faults);
	check_faults(status, &faults);
	require((status >= 0) == (readings != NULL));
	if (readings) {
		check_readings(jw_readings_list(readings, &count), count);
		require(jw_readings_about(readings) && jw_readings_left_out(readings) >= 0);
	}
	jw_readings_free(readings);
}

static void read_trace(const char *text, size_t size)
{
	jw_faults faults;
	jw_reading_list list = {.count = 0};
	jw_faults_begin(&faults, "trace");
	jw_status status = jw_trace_read(text, size, &(jw_entry_context){&setup, air}, &list, &faults);
	check_faults(status, &faults);
	if (status >= 0)
		check_readings(list.item, list.count);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	char *text = malloc(size + 1);
	require(text != NULL);
	memcpy(text, data, size);
	text[size] = '\0';
	with_file(data, size, load_yaml);
	read_trace(text, size);
	free(text);
	return 0;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether one set-up is another: no number of it is left out. */
#include "bundled.h"
#include "profile/same.h"
#include <string.h>

static const char *unlike_with(const jw_setup *s, size_t offset, const void *bytes, size_t size)
{
	const jw_likeness exact = {.coefficients = 1};
	jw_setup changed = *s;
	memcpy((char *)&changed + offset, bytes, size);
	return jw_setup_unlike(s, &changed, &exact);
}

/* Every list as long as can be. */
static jw_setup full_setup(void)
{
	jw_setup s = bundled("four-600");
	s.engine.ve_points = JW_VE_POINTS;
	s.engine.breathing.cam_points = JW_CAM_POINTS;
	s.carburetor.ports = JW_PORTS;
	s.fuel.parts = JW_FUEL_PARTS;
	s.pulses.nodes = JW_PULSE_NODES;
	return s;
}

/* Whether another number at a place is noticed. Bits that make hardly any number are whole ones. */
static int is_noticed(const jw_setup *s, size_t offset)
{
	int whole;
	double number;
	memcpy(&whole, (const char *)s + offset, sizeof whole);
	memcpy(&number, (const char *)s + offset - offset % sizeof number, sizeof number);
	const double other = number == 0 ? 1 : 2 * number;
	whole++;
	if (unlike_with(s, offset, &whole, sizeof whole))
		return 1;
	return (number == 0 || isnormal(number)) &&
	       unlike_with(s, offset - offset % sizeof number, &other, sizeof other) != NULL;
}

/* Whether a place is the gap behind a whole number that stands alone. */
static int is_gap(const jw_setup *s, size_t offset)
{
	static const char *const alone[] = {"engine.carburetors",
	                                    "engine.ve_points",
	                                    "engine.breathing.cam_points",
	                                    "carburetor.kind",
	                                    "carburetor.slide.reference",
	                                    "carburetor.screw.kind",
	                                    "carburetor.bowl.vent",
	                                    "carburetor.main.slip",
	                                    "carburetor.pilot.slip",
	                                    "carburetor.power.slip",
	                                    "carburetor.enrichener.slip",
	                                    "fuel.part.liquid",
	                                    "fuel.parts",
	                                    "pulses.nodes"};
	int before;
	if (offset % sizeof(double) != sizeof(int))
		return 0;
	memcpy(&before, (const char *)s + offset - sizeof(int), sizeof before);
	before++;
	const char *name = unlike_with(s, offset - sizeof(int), &before, sizeof before);
	for (size_t i = 0; i < sizeof alone / sizeof *alone; i++)
		if (name && strcmp(alone[i], name) == 0)
			return 1;
	return 0;
}

Test(same, every_number_counts)
{
	const jw_setup s = full_setup();
	cr_assert_null(jw_setup_unlike(&s, &s, &(jw_likeness){.coefficients = 1}));
	for (size_t offset = 0; offset < sizeof s; offset += sizeof(int))
		cr_expect(is_noticed(&s, offset) || is_gap(&s, offset), "what stands at %zu", offset);
}

/* The coefficients of a calibration only where they are asked for. */
Test(same, coefficients_may_be_left_aside)
{
	const jw_setup s = full_setup();
	jw_setup tuned = s;
	tuned.coefficient.main *= 1.1;
	cr_expect_null(jw_setup_unlike(&s, &tuned, &(jw_likeness){.coefficients = 0}));
	cr_expect_str_eq(jw_setup_unlike(&s, &tuned, &(jw_likeness){.coefficients = 1}), "coefficient.main");
}

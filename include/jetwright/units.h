/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file units.h
 * Quantities with units, metric and inch. The library works in SI; only text in and out is converted.
 */
#ifndef JETWRIGHT_UNITS_H
#define JETWRIGHT_UNITS_H

#include <jetwright/status.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Kinds of quantity: name, SI unit, example as a person writes it. */
#define JW_DIMENSION_LIST(X)                                                                        \
	X(JW_NUMBER, "", "1.05")                                                                        \
	X(JW_FRACTION, "", "40%")                                                                       \
	X(JW_LENGTH, "m", "1.05 mm")                                                                    \
	X(JW_AREA, "m2", "2.5 mm2")                                                                     \
	X(JW_VOLUME, "m3", "150 cm3")                                                                   \
	X(JW_PRESSURE, "Pa", "2.0 kPa")                                                                 \
	X(JW_TEMPERATURE, "K", "20 C")                                                                  \
	X(JW_TEMPERATURE_DIFFERENCE, "K", "15 K")                                                       \
	X(JW_ANGLE, "rad", "10 deg")                                                                    \
	X(JW_SPEED, "rev/s", "7500 rpm")                                                                \
	X(JW_MASS_FLOW, "kg/s", "8 g/s")                                                                \
	X(JW_VOLUME_FLOW, "m3/s", "120 ml/min")                                                         \
	X(JW_MASS, "kg", "20 g")                                                                        \
	X(JW_FORCE, "N", "2.1 N")                                                                       \
	X(JW_STIFFNESS, "N/m", "60 N/m")                                                                \
	X(JW_DENSITY, "kg/m3", "745 kg/m3")                                                             \
	X(JW_TIME, "s", "60 s")

/** Kinds of quantity. */
typedef enum jw_dimension {
#define JW_X(name, si, example) name,
	JW_DIMENSION_LIST(JW_X)
#undef JW_X
	    JW_DIMENSION_COUNT
} jw_dimension;

/** Reads "1.05 mm", "86 F", "40%" or "7500rpm" into SI.
 * \param text     number, optional blanks, unit; nothing may follow. Decimal point whatever the locale; no hex,
 *                 inf or nan. A bare number is accepted only for JW_NUMBER and JW_FRACTION.
 * \param kind     what quantity is expected
 * \param[out] si  the value in SI; untouched on error
 * \param[out] error may be NULL
 * \return JW_OK, JW_E_ARGUMENT (not a number, text after it), JW_E_NOT_FINITE, JW_E_UNIT.
 */
JW_API jw_status jw_quantity_parse(const char *text, jw_dimension kind, double *si, jw_error *error);

/** A value in SI expressed in the named unit, the inverse of ::jw_quantity_parse.
 * \param si any finite number, in the SI unit of the kind
 * \param unit one of ::jw_unit_names; "" for a number
 * \param[out] value in that unit; untouched on error
 * \return JW_OK, JW_E_UNIT (unit unknown for the kind), JW_E_ARGUMENT, JW_E_NOT_FINITE */
JW_API jw_status jw_quantity_in(double si, jw_dimension kind, const char *unit, double *value, jw_error *error);

/** Units accepted for a kind, the usual one first, as "mm, cm, m, in, thou"; empty for JW_NUMBER. Never NULL. */
JW_API const char *jw_unit_names(jw_dimension kind);

/** How a person writes such a quantity, as "1.05 mm". Never NULL. */
JW_API const char *jw_unit_example(jw_dimension kind);

#ifdef __cplusplus
}
#endif
#endif

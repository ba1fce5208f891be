/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file status.h
 * Status codes and the error record shared by every module.
 *
 * A status is negative on error (the outputs are untouched), 0 when all is well, and positive when the
 * result is valid but carries warnings; a positive status is a set of bits.
 */
#ifndef JETWRIGHT_STATUS_H
#define JETWRIGHT_STATUS_H

#if defined(__GNUC__)
#define JW_API __attribute__((visibility("default")))
#else
#define JW_API
#endif

#ifdef __cplusplus
extern "C" {
#endif

/** Errors: name, number, text. Numbers are stable and never reused; tens group them by cause. */
#define JW_ERROR_LIST(X)                                                                            \
	X(JW_E_ARGUMENT, -1, "argument missing or of the wrong kind")                                   \
	X(JW_E_RANGE, -2, "value outside its range")                                                    \
	X(JW_E_NOT_FINITE, -3, "value is not a finite number")                                          \
	X(JW_E_UNIT, -4, "unit missing or unknown for this quantity")                                   \
	X(JW_E_NO_ROOT, -10, "no solution between the given bounds")                                    \
	X(JW_E_NO_CONVERGENCE, -11, "the solution did not settle")                                      \
	X(JW_E_NO_FLOW, -12, "nothing flows there")                                                     \
	X(JW_E_MEMORY, -20, "out of memory")                                                            \
	X(JW_E_OPEN, -21, "file cannot be opened or read")                                              \
	X(JW_E_WRITE, -22, "file cannot be written")                                                    \
	X(JW_E_SYNTAX, -30, "file is not well formed")                                                  \
	X(JW_E_SCHEMA, -31, "file has faults in its content")                                           \
	X(JW_E_LIMIT, -32, "file exceeds a size or depth limit")                                        \
	X(JW_E_NOT_FOUND, -33, "no such name")                                                          \
	X(JW_E_BASELINE, -40, "the baseline cannot be met by any coefficient")

/** Warnings: name, bit, text. A result that carries them is valid within the stated meaning. */
#define JW_WARNING_LIST(X)                                                                          \
	X(JW_W_EXTRAPOLATED, 1, "outside the range of a fitted formula")                                \
	X(JW_W_CHOKED, 2, "a gas or emulsion passage is choked")                                        \
	X(JW_W_NO_FUEL, 4, "no fuel flows")                                                             \
	X(JW_W_NEAR_THRESHOLD, 8, "main circuit just above its start: small changes weigh heavily")     \
	X(JW_W_FLOODED, 16, "fuel stands above an air jet")                                             \
	X(JW_W_STARVED, 32, "the level is below the jet")                                               \
	X(JW_W_NO_DEMAND, 64, "the engine draws no air through the throttle")                           \
	X(JW_W_LEAK_ABOVE_DEMAND, 128, "the air leak alone exceeds what the engine draws")              \
	X(JW_W_CLOSED, 256, "the throttle is shut")                                                     \
	X(JW_W_COEFFICIENT, 512, "a baseline coefficient lies outside 0.8 to 1.25")                     \
	X(JW_W_CAPACITY, 1024, "the intake passes less than the engine could draw")                       \
	X(JW_W_DISAGREE, 2048, "a reading disagrees with the others")                                   \
	X(JW_W_BOILING, 4096, "the fuel boils in the bowl")                                             \
	X(JW_W_SHORT_SUPPLY, 8192, "the fuel supply passes less than the engine draws")                 \
	X(JW_W_OVERFLOW, 16384, "the float needle does not hold: fuel runs over")

/** Every status that has a name. */
enum jw_status_code {
	JW_OK = 0,
#define JW_X(name, value, text) name = value,
	JW_ERROR_LIST(JW_X) JW_WARNING_LIST(JW_X)
#undef JW_X
};

/** One of enum jw_status_code, or several warning bits together. */
typedef int jw_status;

/** What was wrong: filled by the call that fails, left alone by one that succeeds. Every function takes NULL for it. */
typedef struct jw_error {
	jw_status status;  /**< the same value that the call returned */
	const char *field; /**< which argument or struct member, a string that lives as long as the program */
	double value;      /**< its value, in SI */
	double low, high;  /**< the closed range that was expected, in SI; all 0 where no number is at fault */
} jw_error;

/** Text of one code: an error, JW_OK, or a single warning bit. Never NULL; "unknown status" otherwise. */
JW_API const char *jw_status_text(jw_status code);

/** Name of one code as written in this header ("JW_E_RANGE"). Never NULL. */
JW_API const char *jw_status_name(jw_status code);

/** Library version as "major.minor.patch". Never NULL. */
JW_API const char *jw_version(void);

#ifdef __cplusplus
}
#endif
#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file bank.h
 * Several carburetors on one engine and one linkage: what each delivers, and how they are balanced.
 */
#ifndef JETWRIGHT_BANK_H
#define JETWRIGHT_BANK_H

#include <jetwright/point.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Most carburetors of one bank. */
#define JW_BANK 8
/** Furthest that an adjuster moves a throttle against the linkage, as a share of its travel. */
#define JW_BANK_OFFSET 0.25

/** A set-up a carburetor, its engine being the cylinders that this one feeds; the same set-up may stand several times.
 * They share speed, air and linkage, and each has its own runner: a balance tube, which evens out the manifold
 * pressures, is left out, and so are a shared airbox's loss and what an uneven bank does to the speed. */
typedef struct jw_bank {
	int count; /**< 1..::JW_BANK */
	const jw_setup *setup[JW_BANK]; /**< none of the first `count` is NULL */
	/** By how much each throttle is further open than the linkage, as a share of the travel from idle stop to wide
	 * open: -::JW_BANK_OFFSET..::JW_BANK_OFFSET. Below the idle stop it goes on as if the stop were set back, until it
	 * is shut; it never goes beyond wide open. */
	double offset[JW_BANK];
} jw_bank;

/** What a bank delivers at one position of the linkage. */
typedef struct jw_bank_state {
	double throttle[JW_BANK];  /**< of each: 0 idle stop, below 0 further shut, 1 wide open */
	jw_mixture mixture[JW_BANK];
	double air_share[JW_BANK]; /**< of the air of all together, summing to 1; 0 where none draws */
	double manifold_pa;        /**< mean */
	double spread_pa;          /**< highest less lowest: how far a row of vacuum gauges reads apart */
	double air_ratio;          /**< least over most air of one: 1 where alike; 0 where none draws */
} jw_bank_state;

/** Solves each carburetor of a bank by ::jw_mixture_at, which names the sources. Allocates nothing.
 * \param point of the linkage: speed of the engine, throttle, enrichener (the same on each)
 * \return JW_OK, the warnings of all, JW_E_ARGUMENT ("setup": one is missing, its index the value),
 * JW_E_RANGE (count, offset, engine.strokes that differ), or as ::jw_mixture_at */
JW_API jw_status jw_bank_at(const jw_bank *bank, const jw_air *air, const jw_point *point, jw_bank_state *state,
                            jw_error *error);

/** The offset at which one carburetor's manifold pressure is that of another: equal depression with the engine warm, at
 * idle, is how a bank is balanced with gauges (common practice, no source). Only differences between offsets count.
 * \param reference the carburetor that stays, \param moved the one whose adjuster turns: 0..count - 1
 * \param[out] offset within 1e-10, to stand in place of bank->offset[moved]
 * \return JW_OK, JW_E_NO_ROOT where no offset brings it there (low, high: those tried, from shut to wide open at most),
 * or as ::jw_bank_at */
JW_API jw_status jw_bank_balance(const jw_bank *bank, const jw_air *air, const jw_point *point, int reference,
                                 int moved, double *offset, jw_error *error);

#ifdef __cplusplus
}
#endif
#endif

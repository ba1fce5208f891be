/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file jetwright.h
 * Everything.
 *
 * What holds for every function: a pointer may be NULL only where its function says so, but for `error`, which may always be
 * (its record is then not filled), and the argument of a function that frees. What is missing elsewhere is not looked for. A
 * pointer that a member of a struct holds is looked for, and named. A text or a struct that is returned by pointer lives as long
 * as the handle that it was asked of, and as long as the program where there is none; it is not to be freed or changed. What a
 * handle was made from (paths, set-ups, cases) may go once the call is over. */
#ifndef JETWRIGHT_JETWRIGHT_H
#define JETWRIGHT_JETWRIGHT_H

#include <jetwright/air.h>
#include <jetwright/bank.h>
#include <jetwright/carburetor.h>
#include <jetwright/circuit.h>
#include <jetwright/cycle.h>
#include <jetwright/diagnose.h>
#include <jetwright/engine.h>
#include <jetwright/flow.h>
#include <jetwright/fuel.h>
#include <jetwright/jet.h>
#include <jetwright/point.h>
#include <jetwright/profile.h>
#include <jetwright/rejet.h>
#include <jetwright/status.h>
#include <jetwright/supply.h>
#include <jetwright/transient.h>
#include <jetwright/tune.h>
#include <jetwright/uncertainty.h>
#include <jetwright/units.h>

#endif

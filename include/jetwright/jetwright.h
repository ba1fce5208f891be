/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file jetwright.h
 * Everything. */
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

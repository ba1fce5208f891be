/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A cause told: how far it goes, what it explains, and the change that would hide it. */
#ifndef JW_DIAGNOSE_FINDING_H
#define JW_DIAGNOSE_FINDING_H

#include "diagnose/beliefs.h"

jw_status jw_tell_finding(const jw_beliefs *beliefs, int candidate, jw_finding *finding, jw_error *error);

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_PUBLISHED_SIMPLE_H
#define JW_PUBLISHED_SIMPLE_H

#include "calls.h"

jw_status simple_afr(const values *in, values *out);
jw_status simple_velocity(const values *in, values *out);
jw_status simple_afr_at_drop(const values *in, values *out);
jw_status simple_start(const values *in, values *out);

#endif

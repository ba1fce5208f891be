/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/status.h>
#include <string.h>

Test(status, numbers_are_stable_and_named)
{
	cr_expect_eq(JW_E_ARGUMENT, -1);
	cr_expect_eq(JW_E_BASELINE, -40);
	cr_expect_eq(JW_W_CAPACITY, 1024);
	cr_expect_str_eq(jw_status_name(JW_W_CHOKED), "JW_W_CHOKED");
	cr_expect_str_eq(jw_status_text(-9999), "unknown status");
}

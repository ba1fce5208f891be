/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole files in and out. */
#ifndef JW_PROFILE_TEXT_H
#define JW_PROFILE_TEXT_H

#include "profile/faults.h"

/* Reads a file of at most `most` bytes, and one more of a longer one; the caller frees the text, which ends with a
 * zero. \return JW_OK, JW_E_OPEN, JW_E_MEMORY, with a fault */
jw_status jw_text_load(const char *path, size_t most, char **text, size_t *size, jw_faults *faults);

/* Whether a file that is written but not yet in its place may go there. */
typedef jw_status (*jw_text_check)(const char *staged, void *context);

/* Puts a file in place as a whole or not at all: written beside it, flushed to the disk, checked, renamed. Keeps the
 * mode of a file that is there, and follows a link to it. \return JW_OK, JW_E_WRITE with a fault, JW_E_MEMORY, or what
 * the check said */
jw_status jw_text_save(const char *path, const char *text, size_t size, jw_text_check check, void *context,
                       jw_faults *faults);

#endif

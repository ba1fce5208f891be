/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a long computation does and how far it is, in a line on standard error while it lasts; on a terminal only. */
#ifndef CLI_PROGRESS_H
#define CLI_PROGRESS_H

/* \param steps how often ::progress_step will be called; 1: how far it is cannot be told
 * \param after_s of patience before anything is said; 0: it is known to last */
void progress_begin(const char *doing, int steps, double after_s);
/* Before each step. */
void progress_step(void);
/* Erases the line; before anything else is printed. */
void progress_end(void);

#endif

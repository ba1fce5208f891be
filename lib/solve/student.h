/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_SOLVE_STUDENT_H
#define JW_SOLVE_STUDENT_H

/* Student's t below which a share lies. The GNU Scientific Library's own inverse gives up for some shares, and calls
 * its error handler, which ends the program. \param below 1e-10..1 - 1e-10 \param freedom 0.5 or above */
double jw_student(double below, double freedom);

#endif

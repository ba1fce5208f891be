/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_CARBURETOR_NOZZLE_H
#define JW_CARBURETOR_NOZZLE_H

/* Of air: jw_critical_pressure_ratio(1.4), spelled out since every trial of a solve asks for it. */
#define JW_CRITICAL_RATIO 0.52828178771717416

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any evidence about a sound engine: explained or refused, and probabilities are such. */
#include "evidence.h"

static jw_setup setups[3];
LOAD_SETUPS(setups, "courier-150", "moped-50", "pump-200")

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static jw_case known;
	bytes b = {data, data + size};
	jw_report *report = NULL;
	memset(&known, 0, sizeof known);
	const jw_setup *setup = &setups[take_byte(&b) % 3];
	known.air = take_air(&b);
	take_history(&b, &known.history);
	for (unsigned tools = take_byte(&b), i = 0; i < JW_TOOL_COUNT; i++)
		known.tools[i] = tools >> i & 1;
	known.evidences = take_whole(&b, 6);
	for (int i = 0; i < known.evidences && i < JW_EVIDENCE_MAX; i++)
		known.evidence[i] = take_evidence(&b);
	jw_status status = jw_explain(setup, &known, &report, NULL);
	require((status >= 0) == (report != NULL));
	if (report)
		check_report(report);
	jw_report_free(report);
	return 0;
}

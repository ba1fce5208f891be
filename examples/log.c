/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: log PROFILES. A case over several visits, from a file, and what was believed after each. */
#include "must.h"

static void show_course(const jw_case_file *file, const jw_log *log)
{
	static jw_course course;
	jw_report *report;
	jw_case present;
	jw_error error = {0};
	const jw_case *known = jw_case_evidence(file);
	must(jw_explain_log(jw_profile_setup(jw_case_profile(file)), known, log, &report, &course, &error), &error);
	for (int i = 0; i < course.beliefs; i++) {
		const jw_belief *belief = &course.belief[i];
		printf("visit %d, %s: %.2f %s\n", belief->visit + 1, belief->done ? "once done" : "as seen",
		       belief->probability, belief->cause < 0 ? "nothing" : jw_cause_at(belief->cause)->text);
	}
	must(jw_log_present(known, log, &present, &error), &error);
	printf("%d things speak of the engine as it is; the last remedy's result: %s\n", present.evidences,
	       jw_result_name(log->visit[log->visits - 1].result));
	jw_report_free(report);
}

int main(int argc, char **argv)
{
	const char *folder = argc > 1 ? argv[1] : "profiles";
	char path[1024];
	jw_case_file *file;
	jw_faults faults = {0};
	snprintf(path, sizeof path, "%s/cases/one-fault-after-another.yaml", folder);
	must_load(jw_case_load(path, folder, &file, &faults), &faults);
	printf("%s\n", jw_case_about(file));
	show_course(file, jw_case_log(file));
	jw_case_free(file);

	/* The same of a text, on the typical engine of a class. */
	must_load(jw_case_parse("case: 1\nabout: A told one.\nclass: scooter-125\nevidence:\n  - {seen: hunts, at: idle}\n",
	                        folder, &file, &faults),
	          &faults);
	printf("%s stands in for it\n", jw_case_class(file));
	jw_case_free(file);
	return 0;
}

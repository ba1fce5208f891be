/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What explain advises: the test to do first, the repair, and what to look at after it. */
#include "explain.h"

/* Minutes that a test must save to be worth its words. */
static const double least_saved = 3;

static void print_retest(const answer *a, const jw_finding *finding, const jw_finding *second)
{
	char text[160];
	int open = 0;
	for (int i = 0; i < a->known->evidences; i++)
		open += a->known->evidence[i].answer != JW_UNKNOWN &&
		        (bearing_of(&finding->explained[i]) == OPEN || bearing_of(&finding->explained[i]) == AGAINST);
	text_wrap(stdout, 2, 2,
	          "Then try again everything listed above: faults come in pairs, and mending one may uncover another.%s",
	          open ? " What this finding does not explain may have a cause of its own." : "");
	const jw_hypothesis *next = jw_report_hypothesis(a->report, 1);
	if (!second && (next->kind == JW_HYPOTHESIS_SOUND || next->probability < LEAST_SHOWN))
		return;
	printf("  ");
	text_wrap(stdout, 2, 2, "If a part of the complaint stays, look next for this: %s.",
	          second ? jw_cause_at(second->cause)->text : hypothesis_text(next, text, sizeof text));
}

static const char *leads(int cause, char *text, size_t size)
{
	if (cause < 0)
		return "no cause leads yet";
	snprintf(text, size, "look to this: %s", jw_cause_at(cause)->text);
	return text;
}

int print_test(const answer *a)
{
	char text[256], yes[128], no[128];
	const jw_action *best = jw_report_action(a->report, 0);
	const jw_action *repair = best;
	for (int i = 0; repair && repair->cause < 0; i++)
		repair = jw_report_action(a->report, i);
	if (!repair || best->cause >= 0 || repair->expected_minutes - best->expected_minutes < least_saved)
		return 0;
	const jw_test_info *test = jw_test_of(best->evidence);
	printf("  ");
	text_wrap(stdout, 2, 2, "Test first (%.0f minutes): %s.", best->minutes, test->text);
	printf("  ");
	text_wrap(stdout, 2, 4, "If \"%s\" (probability %.2f), %s. If not, %s.", jw_evidence_kind_at(best->evidence)->text,
	          best->yes, leads(best->if_yes, yes, sizeof yes), leads(best->if_no, no, sizeof no));
	printf("  ");
	text_wrap(stdout, 2, 2, "That way a verified repair is expected in %.0f minutes, without the test in %.0f.",
	          best->expected_minutes, repair->expected_minutes);
	printf("  ");
	text_wrap(stdout, 2, 2, "Caution: %s", capital(test->caution, text, sizeof text));
	return 1;
}

void print_remedy(const answer *a, const jw_finding *finding, const jw_finding *second)
{
	char remedy[256];
	const jw_cause_info *cause = jw_cause_at(finding->cause);
	printf("\nWhat to do:\n");
	print_test(a);
	printf("  ");
	text_wrap(stdout, 2, 2, "%s.", capital(cause->remedy, remedy, sizeof remedy));
	if (finding->fit_value > 0) {
		/* From the rich side: the larger end of the interval. */
		printf("  ");
		text_wrap(stdout, 2, 2, "Start rich, at %.2f mm, and come down in steps towards %.2f mm.",
		          finding->effect.high_90, finding->effect.value);
	}
	printf("  ");
	text_wrap(stdout, 2, 2, "Caution: %s", cause->caution);
	printf("  ");
	print_retest(a, finding, second);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/evidence.h"
#include "engine.h"

/* Rows against the sources named in want.c. */
Test(want, sources)
{
	/* Heywood 1988: best power lambda 0.86..0.90; idle AFR 11.5..13 at 14.6 stoichiometric; misfire 1.2..1.4, 0.5..0.6.
	 */
	double full = jw_wanted(JW_FULL, JW_WANT_BEST).lambda, idle = jw_wanted(JW_IDLE, JW_WANT_BEST).lambda;
	cr_expect(full >= 0.86 && full <= 0.90);
	cr_expect(idle >= 11.5 / 14.6 && idle <= 13 / 14.6);
	/* Sparrow, NACA TR-189 (1925): best power at fuel/air 0.07..0.08. */
	cr_expect(1 / (full * 14.6) >= 0.07 && 1 / (full * 14.6) <= 0.08);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double lean = jw_wanted((jw_range)r, JW_WANT_LEAN_LIMIT).lambda;
		double rich = jw_wanted((jw_range)r, JW_WANT_RICH_LIMIT).lambda;
		cr_expect_eq(jw_lean_limit((jw_range)r), lean);
		cr_expect(lean >= 1.2 && lean <= 1.4 && rich >= 0.5 && rich <= 0.6, "%s", jw_range_name((jw_range)r));
		for (int k = 1; k < JW_WANT_COUNT; k++)
			cr_expect(jw_wanted((jw_range)r, (jw_want)k).lambda > jw_wanted((jw_range)r, (jw_want)(k - 1)).lambda);
		for (int k = 0; k < JW_WANT_COUNT; k++) {
			const jw_limit limit = jw_wanted((jw_range)r, (jw_want)k);
			JW_NEAR_ABS(limit.ln_lambda, log(limit.lambda), 1e-15);
		}
	}
	cr_expect_eq(jw_lean_limit(JW_RANGE_COUNT), 0.0);
}

/* The factor of the unit in which people state a reading is the one that the list of units has. */
Test(evidence, a_reading_has_a_unit_of_its_dimension)
{
	int readings = 0;
	for (int kind = 0; kind < jw_evidence_kind_count(); kind++) {
		const jw_evidence_unit *unit = jw_evidence_unit_of(kind);
		cr_expect_eq(unit != NULL, jw_evidence_kind_at(kind)->takes_value, "%s", jw_evidence_kind_at(kind)->id);
		if (!unit)
			continue;
		char text[64];
		double si;
		snprintf(text, sizeof text, "2%s%s", *unit->unit ? " " : "", unit->unit);
		cr_assert_eq(jw_quantity_parse(text, unit->dimension, &si, NULL), JW_OK, "%s", text);
		JW_NEAR_REL(si, 2 * unit->si, 1e-12);
		cr_expect(unit->low < unit->high, "%s", jw_evidence_kind_at(kind)->id);
		readings++;
	}
	cr_expect(readings > 10);
}

static const char *answer_at(int i)
{
	return jw_answer_name((jw_answer)i);
}

static const char *result_at(int i)
{
	return jw_result_name((jw_result)i);
}

static const char *need_at(int i)
{
	return jw_need_name((jw_need)i);
}

/* As files and JSON have them. */
Test(evidence, lists_have_words)
{
	static const struct {
		const char *(*name)(int);
		int count;
		const char *word[4];
	} rows[] = {{answer_at, JW_ANSWER_COUNT, {"yes", "no", "unknown"}},
	            {result_at, JW_RESULT_COUNT, {"unknown", "gone", "part", "same"}},
	            {need_at, JW_NEED_COUNT, {"mixture", "cranking", "spark", "compression"}}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		for (int k = 0; k < rows[i].count; k++)
			cr_expect_str_eq(rows[i].name(k), rows[i].word[k]);
		cr_expect(!rows[i].name(rows[i].count) && !rows[i].name(-1), "row %zu", i);
	}
}

/* Standard normal quantiles, Abramowitz and Stegun, table 26.5. */
Test(want, normal)
{
	JW_NEAR_ABS(jw_normal_cdf(0), 0.5, 1e-15);
	JW_NEAR_ABS(jw_normal_cdf(1.6448536269514722), 0.95, 1e-12);
	JW_NEAR_ABS(jw_normal_cdf(-2.5758293035489004), 0.005, 1e-12);
}

Test(evidence, table)
{
	for (int i = 0; i < jw_evidence_kind_count(); i++) {
		const jw_evidence_kind *kind = jw_evidence_kind_at(i);
		cr_expect(jw_evidence_kind_find(kind->id) == i, "%s is there twice", kind->id);
		cr_expect(kind->text && *kind->text);
	}
	cr_expect(jw_evidence_kind_at(-1) == NULL && jw_evidence_kind_at(jw_evidence_kind_count()) == NULL);
	cr_expect(jw_evidence_kind_find("sulks") == -1 && jw_evidence_kind_find(NULL) == -1);
}

/* Every likelihood is a probability, whatever the engine does, and never quite 0: people err. */
Test(evidence, bounds)
{
	static const double lnphi[] = {-6.9, -0.7, -0.05, 0.13, 0.4, 1.5};
	enum { N = sizeof lnphi / sizeof *lnphi };
	for (int i = 0; i < jw_evidence_kind_count(); i++)
		for (int n = 0; n < N * N * N; n++) {
			jw_signs signs = {lnphi[n % N], lnphi[n / N % N], lnphi[n / N / N], n % 7 - 3, 0.1 * (n % 11), n % 5 - 2};
			jw_evidence seen = {i, (jw_range)(n % JW_RANGE_COUNT), any_value(i), 0};
			seen = jw_evidence_read(&seen);
			double l;
			if (jw_reads_mixture(jw_evidence_row_at(i))) {
				jw_reading_weight reading = jw_weigh_reading(&seen, signs.lnphi, 0.06);
				l = reading.believed + reading.doubted;
			} else {
				l = jw_likelihood(&seen, &signs, n % 3 ? JW_NOT_TOLD : n % 2 ? JW_ANY_MIXTURE : 0.4);
			}
			double other = jw_likelihood_other(&seen);
			cr_expect(l > 0 && l <= 1, "%s: %g", jw_evidence_kind_at(i)->id, l);
			cr_expect(other > 0 && other <= 1, "%s: %g", jw_evidence_kind_at(i)->id, other);
		}
}

/* Of what is judged by feel one report in ten is wrong, either way. */
static const double doubt = 0.20, wrong = 0.10;

/* What is left of a likelihood without the doubt. */
static double likelihood(const char *id, jw_range range, jw_signs signs)
{
	jw_evidence seen = {jw_evidence_kind_find(id), range, 0, 0};
	cr_assert(seen.kind >= 0, "%s", id);
	seen = jw_evidence_read(&seen);
	return (jw_likelihood(&seen, &signs, JW_NOT_TOLD) - wrong) / (1 - doubt);
}

/* Signs of an engine with the same lambda whatever is tried. */
static jw_signs at(double lambda)
{
	double lnphi = -log(lambda);
	return (jw_signs){lnphi, lnphi, lnphi, 0, 0};
}

/* Each symptom is far likelier where trade writing has it than at the best mixture and at the other end. */
Test(evidence, where_symptoms_belong)
{
	static const struct {
		const char *id;
		jw_range range;
		double likely, unlikely[2]; /* lambda */
	} rows[] = {
	    {"hunts", JW_IDLE, 1.2, {0.85, 1.9}},          {"surges", JW_HALF, 1.3, {0.95, 0.6}},
	    {"stumbles", JW_OFF_IDLE, 1.3, {0.9, 0.9}},    {"flat", JW_FULL, 1.2, {0.88, 0.88}},
	    {"flat", JW_FULL, 0.55, {0.88, 2.5}},          {"misfires_lean", JW_FULL, 1.6, {0.88, 0.5}},
	    {"misfires_rich", JW_FULL, 0.55, {0.88, 1.3}}, {"runs_well", JW_FULL, 0.88, {1.3, 0.5}},
	    {"idles_well", JW_IDLE, 0.85, {1.4, 0.5}},     {"dies_at_idle", JW_IDLE, 1.6, {0.85, 0.85}},
	    {"cuts_out", JW_FULL, 1.7, {0.88, 0.88}},      {"smokes_black", JW_FULL, 0.5, {0.88, 1.2}},
	    {"plug_white", JW_FULL, 1.2, {0.88, 0.6}},     {"plug_black", JW_FULL, 0.55, {0.88, 1.2}},
	    {"hanging_idle", JW_IDLE, 1.4, {0.85, 0.6}},   {"needs_no_enrichener_cold", JW_IDLE, 0.5, {0.85, 1.2}},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
		for (int k = 0; k < 2; k++) {
			double yes = likelihood(rows[i].id, rows[i].range, at(rows[i].likely));
			double no = likelihood(rows[i].id, rows[i].range, at(rows[i].unlikely[k]));
			cr_expect(yes > 2 * no, "%s at lambda %g: %g, at %g: %g", rows[i].id, rows[i].likely, yes,
			          rows[i].unlikely[k], no);
		}
}

/* A denial is the complement; what is told besides is a second reason for trouble, a second condition of running well,
 * and all there is where the mixture says nothing. */
Test(evidence, answers_and_told_shares)
{
	jw_evidence flat = {jw_evidence_kind_find("flat"), JW_FULL, 0, 0, JW_YES},
	            well = {jw_evidence_kind_find("runs_well"), JW_FULL, 0, 0, JW_YES},
	            spark = {jw_evidence_kind_find("spark_weak"), JW_IDLE, 0, 0, JW_YES};
	jw_signs lean = at(1.1);
	double yes = jw_likelihood(&flat, &lean, JW_NOT_TOLD), model = (yes - wrong) / (1 - doubt);
	JW_NEAR_REL(jw_likelihood(&flat, &lean, 0.5), (1 - doubt) * (1 - 0.5 * (1 - model)) + wrong, 1e-12);
	JW_NEAR_REL(jw_likelihood(&well, &lean, 0.5), 0.5 * (jw_likelihood(&well, &lean, JW_NOT_TOLD) - wrong) + wrong,
	            1e-12);
	JW_NEAR_REL(jw_likelihood(&spark, &lean, 0.3), 0.92 * 0.3 + 0.04, 1e-12);
	flat.answer = JW_NO;
	JW_NEAR_REL(jw_likelihood(&flat, &lean, JW_NOT_TOLD), 1 - yes, 1e-12);
	JW_NEAR_REL(jw_tell_both(&flat, 0.5, 0.4), 0.7, 1e-12);
	JW_NEAR_REL(jw_tell_both(&well, 0.5, 0.4), 0.2, 1e-12);
	JW_NEAR_REL(jw_tell_both(&spark, 0.7, 0.1), 0.7, 1e-12);
	JW_NEAR_REL(jw_tell_both(&spark, JW_NOT_TOLD, 0.1), 0.1, 1e-12);
}

/* What follows from a word is a word of the vocabulary, and leads back to none. */
Test(evidence, what_follows_ends)
{
	for (int i = 0; i < jw_evidence_kind_count(); i++) {
		int steps = 0;
		for (const char *id = jw_evidence_row_at(i)->implies; id && steps < 10; steps++) {
			const int kind = jw_evidence_kind_find(id);
			cr_assert(kind >= 0, "%s", id);
			cr_expect(!jw_evidence_row_at(kind)->gauge, "%s", id);
			id = jw_evidence_row_at(kind)->implies;
		}
		cr_expect(steps < 10, "%s", jw_evidence_row_at(i)->kind.id);
	}
}

/* What rules something out is a word of the vocabulary. */
Test(evidence, opposites)
{
	for (int i = 0; i < jw_evidence_kind_count(); i++) {
		const jw_evidence_row *row = jw_evidence_row_at(i);
		const char *const named[] = {row->opposite, row->against[0], row->against[1], row->implies};
		for (int k = 0; k < 4; k++)
			cr_expect(!named[k] || jw_evidence_kind_find(named[k]) >= 0, "%s: %s", row->kind.id, named[k]);
		cr_expect((row->gauge != NULL) == row->kind.takes_value, "%s", row->kind.id);
		cr_expect(row->shape || row->gauge, "%s", row->kind.id);
		const int foretold = !row->needs && !(row->gauge && row->gauge->on_bench);
		cr_expect(foretold ? row->sound > 0 && row->sound < 1 : row->needs || row->sound == 0, "%s", row->kind.id);
		cr_expect(row->sound < 0.5 || row->good, "%s is seen on most sound engines and no complaint", row->kind.id);
	}
}

Test(evidence, trials)
{
	jw_signs lean = {-log(1.3), -log(0.6), -log(1.2), 0, 0}, rich = {-log(0.65), -log(0.4), -log(0.6), 0, 0};
	jw_signs deaf = at(1.3);
	cr_expect(likelihood("starts_only_with_enrichener", JW_IDLE, lean) > 0.8);
	cr_expect(likelihood("starts_only_with_enrichener", JW_IDLE, rich) < 0.1);
	cr_expect(likelihood("enrichener_helps", JW_IDLE, lean) > 0.8);
	cr_expect(likelihood("enrichener_helps", JW_IDLE, rich) < 0.15);
	cr_expect(likelihood("enrichener_helps", JW_IDLE, deaf) < 0.15);
	cr_expect(likelihood("enrichener_worsens", JW_IDLE, rich) > 0.8);
	cr_expect(likelihood("enrichener_worsens", JW_IDLE, lean) < 0.1);
	cr_expect(likelihood("screw_out_helps", JW_IDLE, lean) > 0.8);
	cr_expect(likelihood("screw_out_helps", JW_IDLE, rich) < 0.15);
	cr_expect(likelihood("screw_no_effect", JW_IDLE, deaf) > 0.8);
	cr_expect(likelihood("screw_no_effect", JW_IDLE, lean) < 0.1);
	jw_signs drawing = at(1.1), tight = at(1.1);
	drawing.lnair = 0.4;
	drawing.leak_share = 0.2;
	cr_expect(likelihood("high_idle", JW_IDLE, drawing) > 0.8 && likelihood("high_idle", JW_IDLE, tight) < 0.1);
	cr_expect(likelihood("hanging_idle", JW_IDLE, drawing) > 0.8);
	double changes = likelihood("leak_spray_changes", JW_IDLE, drawing);
	cr_expect(changes > 0.8 && likelihood("leak_spray_changes", JW_IDLE, tight) < 0.1);
	JW_NEAR_ABS(likelihood("leak_spray_no_change", JW_IDLE, drawing), 1 - changes, 1e-12);
}

/* What is seen only while the engine runs is not seen on one that is flooded or starved. */
Test(evidence, stops_rich_as_well)
{
	cr_expect(likelihood("smokes_black", JW_FULL, at(0.52)) > 0.5);
	cr_expect(likelihood("smokes_black", JW_FULL, at(0.25)) < 0.1);
	cr_expect(likelihood("hunts", JW_IDLE, at(3)) < 0.1);
}

/* The tolerance of the engine, drawn from the normal, gives back the limit's spread. */
Test(want, tolerance_gives_back_the_spread)
{
	const jw_limit limit = jw_wanted(JW_FULL, JW_WANT_LEAN_ROUGH);
	for (double lambda = 0.95; lambda < 1.2; lambda += 0.05) {
		double lean = 0, rich = 0, step = 0.01;
		for (double t = -6; t <= 6; t += step) {
			double weight = step * exp(-0.5 * t * t) / sqrt(2 * 3.14159265358979);
			lean += weight * jw_leaner_than(JW_FULL, JW_WANT_LEAN_ROUGH, -log(lambda), t);
			rich += weight * jw_richer_than(JW_FULL, JW_WANT_LEAN_ROUGH, -log(lambda), t);
		}
		double expected = jw_normal_cdf((log(lambda) - log(limit.lambda)) / limit.spread);
		JW_NEAR_ABS(lean, expected, 1e-6);
		JW_NEAR_ABS(rich, 1 - expected, 1e-6);
	}
	cr_expect(jw_leaner_than(JW_FULL, JW_WANT_LEAN_ROUGH, -log(1.05), 1) <
	          jw_leaner_than(JW_FULL, JW_WANT_LEAN_ROUGH, -log(1.05), -1));
	cr_expect(jw_richer_than(JW_FULL, JW_WANT_RICH_ROUGH, -log(0.7), 1) <
	          jw_richer_than(JW_FULL, JW_WANT_RICH_ROUGH, -log(0.7), -1));
}

/* A reading is worth most where it agrees, symmetric in ln(lambda), and spreads as its own and the model's error do. */
Test(evidence, reading)
{
	jw_evidence seen = {jw_evidence_kind_find("lambda"), JW_HALF, 0.97, 0};
	seen = jw_evidence_read(&seen);
	double lnphi = -log(0.97), top = jw_weigh_reading(&seen, lnphi, 0.06).believed;
	jw_reading_weight above = jw_weigh_reading(&seen, lnphi - 0.1, 0.06);
	JW_NEAR_REL(above.believed, jw_weigh_reading(&seen, lnphi + 0.1, 0.06).believed, 1e-12);
	double own = 0.03 / 0.97;
	JW_NEAR_REL(above.believed / top, exp(-0.5 * 0.01 / (own * own + 0.06 * 0.06)), 1e-12);
	/* The model's error, given the reading: weighted mean of 0 and what the reading says (JCGM 100). */
	JW_NEAR_REL(above.error, 0.1 * 0.06 * 0.06 / (own * own + 0.06 * 0.06), 1e-9);
	JW_NEAR_REL(1 / (above.spread * above.spread), 1 / (own * own) + 1 / (0.06 * 0.06), 1e-9);
}

/* Weighted mean; two that disagree by 4 standard deviations of their difference are worth a quarter. */
Test(evidence, merged_readings)
{
	int lambda = jw_evidence_kind_find("lambda");
	jw_evidence pair[] = {{lambda, JW_HALF, 1, 0.03}, {lambda, JW_HALF, 1, 0.04}};
	jw_evidence merged = jw_merge_readings(pair, 2);
	JW_NEAR_REL(merged.value, 1, 1e-12);
	JW_NEAR_REL(merged.uncertainty, 0.03 * 0.04 / 0.05, 1e-12);
	pair[1].value = exp(0.2);
	pair[1].uncertainty = 0.04 * pair[1].value;
	merged = jw_merge_readings(pair, 2);
	JW_NEAR_REL(log(merged.value), 0.2 * 9 / 25, 1e-9);
	JW_NEAR_REL(merged.uncertainty / merged.value, 4 * 0.03 * 0.04 / 0.05, 1e-9);
}

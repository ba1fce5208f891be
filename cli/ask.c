/* SPDX-License-Identifier: GPL-3.0-or-later */
/* explain --ask: one question at a time, on a terminal or over a pipe. */
#include "ask.h"
#include "text.h"
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum { LINE = 256, ANSWERS_MOST = 128, SHOWN = 20 };

/* An answer that was given, and the case before it. */
typedef struct step {
	draft *before;
	char answer[LINE];
} step;

typedef struct talk {
	const char *path, *library;
	save_stamp known; /* the case's file, as this conversation left it */
	draft now;
	step step[ANSWERS_MOST];
	int steps;
	char kept[LINE]; /* the answer that stands where it was asked to go back; "": none */
	int code;
} talk;

typedef enum turn { ASK_AGAIN, GO_ON, LEAVE } turn;

#define SAY(indent, ...) text_wrap_within(stdout, text_columns(), 0, indent, __VA_ARGS__)

/* ---- asking ---- */

static void print_choice(const choice *c, int number)
{
	printf("%2d ", number);
	text_wrap_within(stdout, text_columns(), 3, 3, "%s", c->text.text);
}

static void print_question(const talk *t, const question *q)
{
	printf("\n");
	if (*q->before)
		SAY(0, "%s", q->before);
	SAY(0, "%s", q->text);
	if (*q->caution)
		SAY(0, "Caution: %s", q->caution);
	for (int i = 0; i < q->choices; i++)
		print_choice(&q->choice[i], i + 1);
	if (q->kind == ASK_READING) {
		const char *unit = jw_evidence_unit_of(q->evidence)->unit;
		SAY(0, "What does it read%s%s?", *unit ? ", in " : "", unit);
	}
	if (*t->kept)
		SAY(0, "It was: %s. Enter keeps it.", t->kept);
}

static void prompt(void)
{
	printf("> ");
	fflush(stdout);
}

/* ---- understanding ---- */

/* In small letters; units are told apart by theirs. */
static void fold(const char *line, char words[LINE])
{
	snprintf(words, LINE, "%s", line);
	for (char *c = words; *c; c++)
		*c = (char)tolower((unsigned char)*c);
}

static int is_command(const char *line, const char *command)
{
	return strcmp(line, command) == 0 || (line[0] == command[0] && !line[1] && *command != 'u');
}

/* Numbers or words of choices. Of several the last denies all others, and stands alone. */
static int read_choices(const question *q, const char *line, reply *r)
{
	char words[LINE];
	int named = 0;
	fold(line, words);
	for (char *rest = NULL, *word = strtok_r(words, " ,", &rest); word; word = strtok_r(NULL, " ,", &rest)) {
		int found = -1;
		char *end;
		const long number = strtol(word, &end, 10);
		for (int i = 0; i < q->choices; i++)
			if ((!*end && number == i + 1) ||
			    (q->choice[i].word && (strcmp(q->choice[i].word, word) == 0 ||
			                           (!word[1] && word[0] == q->choice[i].word[0] && q->choices <= 3))))
				found = i;
		if (found < 0)
			return 0;
		named += !((r->picked >> found) & 1);
		r->picked |= 1u << found;
	}
	return named == 1 || (named > 1 && q->several && !((r->picked >> (q->choices - 1)) & 1));
}

/* A number, its unit left out or said. */
static int read_number(const question *q, const char *line, reply *r)
{
	const jw_evidence_unit *unit = q->kind == ASK_READING ? jw_evidence_unit_of(q->evidence) : NULL;
	char stated[LINE + 16];
	const int bare = !line[strspn(line, "+-.0123456789")];
	snprintf(stated, sizeof stated, "%s%s%s", line, bare && unit && *unit->unit ? " " : "",
	         bare && unit ? unit->unit : "");
	double si;
	if (jw_quantity_parse(stated, unit ? unit->dimension : JW_NUMBER, &si, NULL) != JW_OK)
		return 0;
	r->number = si / (unit ? unit->si : 1);
	return r->number >= q->low && r->number <= q->high;
}

static int understand(const question *q, const char *line, reply *r)
{
	char words[LINE];
	fold(line, words);
	*r = (reply){.unknown = strcmp(words, "unknown") == 0 || strcmp(words, "u") == 0 || strcmp(words, "?") == 0};
	return r->unknown || (q->number ? read_number(q, line, r) : read_choices(q, line, r));
}

static void print_expected(const question *q, const char *line)
{
	int shown = (int)strnlen(line, SHOWN);
	while (shown > 0 && (line[shown] & 0xc0) == 0x80)
		shown--; /* not within a character */
	if (*line)
		SAY(0, "'%.*s' is no answer here.", shown, line);
	if (q->number)
		SAY(0, "Expected a number from %g to %g, such as %g; or unknown, back, undo, why, stop.", q->low, q->high,
		    q->kind == ASK_READING ? 0.5 * (q->low + q->high) : 3);
	else
		SAY(0, "Expected a number from 1 to %d, such as 1%s; or unknown, back, undo, why, stop.", q->choices,
		    q->several ? " or 1 2" : "");
}

/* ---- why ---- */

static const char *const reasons[ASK_NOTHING] = {
    [ASK_ENGINE] = "Jets and passages of such an engine are what the computation starts from.",
    [ASK_MONTHS] = "Fuel that stands leaves varnish, in the smallest bores first.",
    [ASK_CHANGED] = "A freer filter or exhaust asks for other jets, and no cleaning.",
    [ASK_COMPLAINT] = "Each complaint points to other parts.",
    [ASK_RUNS] = "What runs well clears the parts that work there.",
};

static void print_then(const talk *t, const question *q, const reply *r, const char *said)
{
	draft *then = malloc(sizeof *then);
	worked w;
	if (!then)
		return;
	*then = t->now;
	take_reply(then, q, r);
	if (work(then, t->library, 0, &w)) {
		const conclusion c = conclude(&w.a);
		const double p = c.first ? c.first->probability : c.probability;
		SAY(3, "If %s: %s, %.2f.", said,
		    c.first ? cause_text(&w.a, c.first->cause).text : hypothesis_text(&w.a, c.hypothesis).text, p);
		work_free(&w);
	}
	free(then);
}

/* What would lead after each answer. */
static void print_why(const talk *t, const question *q)
{
	if (reasons[q->kind])
		SAY(0, "%s", reasons[q->kind]);
	if (q->kind == ASK_ENGINE || q->kind == ASK_CHANGED || q->kind == ASK_MONTHS)
		return;
	SAY(0, "What would lead after each answer, and how sure:");
	for (int i = 0; i < q->choices; i++) {
		char said[16];
		snprintf(said, sizeof said, "%d", i + 1);
		print_then(t, q, &(reply){.picked = 1u << i}, said);
	}
	for (int side = 0; q->kind == ASK_READING && side < 3; side++) {
		char said[32];
		const double value = q->low + (0.1 + 0.4 * side) * (q->high - q->low);
		snprintf(said, sizeof said, "%.3g", value);
		print_then(t, q, &(reply){.number = value}, said);
	}
}

/* ---- taking back ---- */

static int remember(talk *t, const char *said)
{
	if (t->steps == ANSWERS_MOST)
		return 0;
	step *s = &t->step[t->steps];
	s->before = malloc(sizeof *s->before);
	if (!s->before)
		return 0;
	*s->before = t->now;
	snprintf(s->answer, sizeof s->answer, "%s", said);
	t->steps++;
	return 1;
}

/* ---- keeping ---- */

/* Writes the case, but not over what somebody else has written. */
static turn keep(talk *t, turn next)
{
	const save_stamp found = save_stamp_of(t->path);
	if (!save_is_same(&found, &t->known)) {
		fprintf(stderr,
		        "jetwright explain: %s was changed meanwhile, expected nobody else to write it; this answer is not "
		        "kept. Go on from what it holds now: jetwright explain --ask ",
		        t->path);
		shell_print(stderr, t->path);
		fputc('\n', stderr);
		t->code = FAILED;
		return LEAVE;
	}
	if (!draft_save(&t->now, t->path, &t->known)) {
		t->code = FAILED;
		return LEAVE;
	}
	return next;
}

/* To the case before the last answer; \param keeps whether that answer is offered again */
static turn step_back(talk *t, int keeps)
{
	if (!t->steps) {
		printf("There is nothing to go back to.\n");
		return GO_ON;
	}
	step *s = &t->step[--t->steps];
	t->now = *s->before;
	snprintf(t->kept, sizeof t->kept, "%s", keeps ? s->answer : "");
	free(s->before);
	if (keeps)
		return GO_ON;
	SAY(0, "Taken back: %s", s->answer);
	return keep(t, GO_ON);
}

/* ---- the conversation ---- */

/* Without blanks around it; control characters are blanks, too. What is too long ends in "...", and so is no answer. */
static int read_line(char line[LINE])
{
	static const char more[] = "...";
	size_t length = 0;
	int c;
	while ((c = getchar()) != EOF && c != '\n') {
		const int blank = iscntrl(c) || c == ' ';
		if ((length || !blank) && length < LINE)
			line[length++] = (char)(blank ? ' ' : c);
	}
	if (c == EOF && !length)
		return 0;
	if (length == LINE) {
		strcpy(line + LINE - sizeof more, more);
		return 1;
	}
	while (length && line[length - 1] == ' ')
		length--;
	line[length] = '\0';
	return 1;
}

static turn take_answer(talk *t, const question *q, const char *line)
{
	reply r;
	if (!understand(q, line, &r)) {
		print_expected(q, line);
		return ASK_AGAIN;
	}
	if (!remember(t, line)) {
		printf("That is as much as one conversation holds.\n");
		return LEAVE;
	}
	take_reply(&t->now, q, &r);
	*t->kept = '\0';
	/* What is not tried yet is asked when it is. */
	return keep(t, q->kind == ASK_RESULT && r.unknown ? LEAVE : GO_ON);
}

static turn take_line(talk *t, const question *q, const char *line)
{
	char word[LINE];
	fold(line, word);
	if (is_command(word, "stop"))
		return LEAVE;
	if (is_command(word, "why")) {
		print_why(t, q);
		return ASK_AGAIN;
	}
	if (is_command(word, "back") || strcmp(word, "undo") == 0)
		return step_back(t, *word == 'b');
	return take_answer(t, q, !*line && *t->kept ? t->kept : line);
}

/* One question until it is answered. */
static turn ask(talk *t, const question *q)
{
	char line[LINE];
	turn next = ASK_AGAIN;
	print_question(t, q);
	while (next == ASK_AGAIN) {
		prompt();
		if (!read_line(line)) {
			printf("\n");
			return LEAVE;
		}
		next = take_line(t, q, line);
	}
	return next;
}

static void print_beginning(const talk *t)
{
	SAY(0, "Answer with a number or a word. Always valid: unknown, back, undo, why, stop.");
	SAY(0, "Kept after every answer in %s.", t->path);
}

static void print_end(const talk *t)
{
	printf("\n");
	if (!t->known.number) {
		SAY(0, "Nothing was answered, so nothing is kept.");
		return;
	}
	SAY(0, "The case is in %s. What follows from it, and how to go on:", t->path);
	static const char *const commands[] = {"explain", "explain --ask"};
	for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) { /* to copy, so not broken */
		printf("  jetwright %s ", commands[i]);
		shell_print(stdout, t->path);
		printf("\n");
	}
}

static int begin(talk *t, const char *source, int today, const char *head)
{
	if (source)
		return draft_load(&t->now, source, t->library, today);
	draft_begin(&t->now, today, head);
	return 1;
}

int converse(const char *path, const char *source, const char *library, int today, const char *head)
{
	talk *t = calloc(1, sizeof *t);
	question q;
	if (!t)
		return FAILED;
	t->path = path;
	t->library = library;
	t->known = save_stamp_of(path);
	t->code = begin(t, source, today, head) ? ANSWERED : FAILED;
	turn next = t->code == ANSWERED ? GO_ON : LEAVE;
	if (next == GO_ON)
		print_beginning(t);
	while (next == GO_ON) {
		if (!next_question(&t->now, library, &q)) {
			t->code = FAILED;
			break;
		}
		if (q.kind == ASK_NOTHING) {
			print_question(t, &q);
			break;
		}
		next = ask(t, &q);
	}
	if (t->code == ANSWERED)
		print_end(t);
	while (t->steps)
		free(t->step[--t->steps].before);
	const int code = t->code;
	free(t);
	return code;
}

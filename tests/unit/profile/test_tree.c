/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/tree.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static jw_status parse(const char *text, jw_node **root, jw_faults *faults)
{
	jw_faults_begin(faults, "test");
	*root = NULL;
	return jw_tree_parse(text, strlen(text), root, faults);
}

Test(tree, values_know_where_they_stand)
{
	jw_faults faults;
	jw_node *root;
	char path[64];
	cr_assert_eq(parse("# first\na: {b: x, c: [1, {d: \"y z\"}]}\n", &root, &faults), JW_OK);
	const jw_node *b = jw_node_find(root, "a.b", NULL), *c = jw_node_find(root, "a.c", NULL);
	cr_expect(b && b->line == 2 && b->column == 8 && b->key_line == 2 && b->key_column == 5);
	cr_expect_str_eq(b->text, "x");
	cr_expect(c && c->kind == JW_NODE_LIST && c->last->index == 1);
	const jw_node *d = jw_node_find(c->last, "d", NULL), *nearest = NULL;
	cr_expect_str_eq(d->text, "y z");
	jw_node_path(d, path, sizeof path);
	cr_expect_str_eq(path, "a.c[2].d");
	jw_node_path(d, path, 6);
	cr_expect_str_eq(path, "a.c[2", "cut to what fits");
	cr_expect_null(jw_node_find(root, "a.e.f", &nearest));
	cr_expect_eq(nearest, jw_node_find(root, "a", NULL));
	jw_tree_free(root);
	jw_tree_free(NULL);
}

Test(tree, refuses_what_it_does_not_read)
{
	static const struct {
		const char *text;
		jw_status status;
		int line, column;
	} rows[] = {
	    {"", JW_E_SYNTAX, 1, 1},
	    {"---\n", JW_E_SYNTAX, 1, 1},
	    {"- a\n", JW_E_SYNTAX, 1, 1},
	    {"a: &x 1\n", JW_E_SYNTAX, 1, 4},
	    {"a: &x [1]\n", JW_E_SYNTAX, 1, 4},
	    {"a: &x {b: 1}\n", JW_E_SYNTAX, 1, 4},
	    {"a: 1\nb: *x\n", JW_E_SYNTAX, 2, 4},
	    {"*x : 1\n", JW_E_SYNTAX, 1, 1},
	    {"a: !!str 1\n", JW_E_SYNTAX, 1, 4},
	    {"a: ! 1\n", JW_E_SYNTAX, 1, 4},
	    {"a: !t [1]\n", JW_E_SYNTAX, 1, 4},
	    {"a: !t {b: 1}\n", JW_E_SYNTAX, 1, 4},
	    {"a: 1\n---\nb: 1\n", JW_E_SYNTAX, 2, 1},
	    {"? [a]\n: 1\n", JW_E_SYNTAX, 1, 3},
	    {"? {a: 1}\n: 1\n", JW_E_SYNTAX, 1, 3},
	    {"\"\": 1\n", JW_E_SYNTAX, 1, 1},
	    {"a: \"x\\0y\"\n", JW_E_SYNTAX, 1, 4},
	    {"a: [1\n", JW_E_SYNTAX, 2, 1},
	    {"a:\n\tb: 1\n", JW_E_SYNTAX, 2, 1},
	    {"a: \x01\n", JW_E_SYNTAX, 1, 4},
	    {"a: 1\nb: \xff\xff\n", JW_E_SYNTAX, 2, 4},
	    {"a: \xed\xa0\x80\n", JW_E_SYNTAX, 1, 4},
	    {"\xff\xfe"
	     "a\n",
	     JW_E_SYNTAX, 1, 1},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_faults faults;
		jw_node *root;
		cr_expect_eq(parse(rows[i].text, &root, &faults), rows[i].status, "row %zu", i);
		cr_expect_null(root, "row %zu", i);
		cr_expect(faults.count == 1 && faults.item[0].line == rows[i].line && faults.item[0].column == rows[i].column,
		          "row %zu: %d:%d %s", i, faults.item[0].line, faults.item[0].column, faults.item[0].message);
	}
}

static jw_status parse_repeated(const char *head, const char *body, int times)
{
	size_t step = strlen(body), size = strlen(head) + step * (size_t)times;
	char *text = malloc(size + 1), *end = text + strlen(head);
	jw_faults faults;
	jw_node *root;
	strcpy(text, head);
	for (int i = 0; i < times; i++, end += step)
		memcpy(end, body, step + 1);
	jw_status status = parse(text, &root, &faults);
	cr_expect(status == JW_OK || faults.count == 1);
	jw_tree_free(root);
	free(text);
	return status;
}

Test(tree, limits)
{
	cr_expect_eq(parse_repeated("a: [", "1,", JW_TREE_NODES), JW_E_LIMIT);
	cr_expect_eq(parse_repeated("a: [", "1,", JW_TREE_NODES - 2), JW_E_SYNTAX, "below the limit, the bracket is open");
	cr_expect_eq(parse_repeated("", "{a: ", JW_TREE_DEPTH + 1), JW_E_LIMIT);
	cr_expect_eq(parse_repeated("", "{a: ", JW_TREE_DEPTH), JW_E_SYNTAX);
	cr_expect_eq(parse_repeated("a: ", "[", JW_TREE_BYTES - 4), JW_E_LIMIT, "in no time");
	cr_expect_eq(parse_repeated("a: 1\n", "#", JW_TREE_BYTES - 5), JW_OK);
	cr_expect_eq(parse_repeated("a: 1\n", "#", JW_TREE_BYTES - 4), JW_E_LIMIT);
}

Test(tree, keys_given_twice_are_all_told)
{
	jw_faults faults;
	jw_node *root;
	cr_assert_eq(parse("a: 1\nb: {c: 1, c: 2}\na: 2\na: 3\n", &root, &faults), JW_OK);
	cr_expect_eq(faults.count, 3);
	cr_expect_str_eq(faults.item[0].path, "b.c");
	cr_expect(faults.item[1].line == 3 && faults.item[2].line == 4);
	jw_tree_free(root);
}

Test(tree, faults_stay_in_order_and_printable)
{
	jw_faults faults;
	jw_faults_begin(&faults, "f");
	for (int i = 0; i < JW_FAULTS + 5; i++)
		jw_fault_add(&faults, JW_FAULTS + 5 - i, 1, "p", "%d", i);
	cr_expect(faults.count == JW_FAULTS && faults.more == 5);
	for (int i = 0; i < JW_FAULTS; i++)
		cr_expect_eq(faults.item[i].line, i + 1);

	jw_faults_begin(&faults, "f");
	jw_fault_add(&faults, 1, 1, "k\033[2J", "%s",
	             "\x7f\xc2\x9b"
	             "31m \xc3\xa9 \xe2\x82");
	cr_expect_str_eq(faults.item[0].path, "k?[2J");
	cr_expect_str_eq(faults.item[0].message, "???31m \xc3\xa9 ??");
	char text[400];
	memset(text, 'x', sizeof text);
	text[sizeof text - 1] = '\0';
	jw_fault_add(&faults, 2, 1, text, "%s", text);
	const char *message = faults.item[1].message;
	cr_expect_eq(strlen(message), sizeof faults.item->message - 1);
	cr_expect_str_eq(message + strlen(message) - 4, "x...");
}

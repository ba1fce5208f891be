/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A YAML file as a tree that knows where each value stands. The only user of libyaml.
 * Text only: no anchors, aliases, tags or second documents; keys are plain and unique. */
#ifndef JW_PROFILE_TREE_H
#define JW_PROFILE_TREE_H

#include "profile/faults.h"

#define JW_TREE_BYTES (256 * 1024)
#define JW_TREE_DEPTH 16
#define JW_TREE_NODES 4096

typedef enum jw_node_kind { JW_NODE_TEXT, JW_NODE_LIST, JW_NODE_BLOCK } jw_node_kind;

/* Lines and columns count from 1; those of an entry of a block are its key's. */
typedef struct jw_node {
	jw_node_kind kind;
	int line, column;
	int key_line, key_column;
	size_t start, end; /* of a text, or of the first character of a block or list: characters from the file's first */
	int index;         /* among its parent's entries */
	char *key;         /* NULL in a list */
	char *text;        /* NULL unless text */
	struct jw_node *parent, *first, *last, *next;
} jw_node;

/* JW_OK with a tree that the caller frees, even where keys were found twice (see the faults); else an error and no
 * tree. */
jw_status jw_tree_load(const char *path, jw_node **root, jw_faults *faults);
jw_status jw_tree_parse(const char *text, size_t size, jw_node **root, jw_faults *faults);
void jw_tree_free(jw_node *root);

/* The node under a block at keys joined by dots, or NULL. Where `nearest` is given it receives the deepest node met. */
const jw_node *jw_node_find(const jw_node *block, const char *path, const jw_node **nearest);

/* Key path from the root: "evidence[2].seen". */
void jw_node_path(const jw_node *node, char *path, size_t size);

#endif

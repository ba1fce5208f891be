/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/tree.h"
#include "profile/text.h"

#include <stdlib.h>
#include <string.h>
#include <yaml.h>

#define BYTE_ORDER_MARK "\xef\xbb\xbf"

/* What is kept while events arrive. */
typedef struct builder {
	jw_node *root, *open; /* the block or list being filled */
	char *key;            /* read, its value still to come */
	yaml_mark_t key_mark;
	int documents, depth, nodes;
	size_t ahead; /* characters before what libyaml reads */
	jw_faults *faults;
} builder;

static char *copy_text(const yaml_event_t *event)
{
	char *text = malloc(event->data.scalar.length + 1);
	if (text) {
		memcpy(text, event->data.scalar.value, event->data.scalar.length);
		text[event->data.scalar.length] = '\0';
	}
	return text;
}

static jw_status refuse(builder *b, yaml_mark_t mark, jw_status status, const char *message)
{
	char path[sizeof b->faults->item->path] = "";
	if (b->open)
		jw_node_path(b->open, path, sizeof path);
	jw_fault_add(b->faults, (int)mark.line + 1, (int)mark.column + 1, path, "%s", message);
	return status;
}

static jw_status take_key(builder *b, const yaml_event_t *event)
{
	if (event->type != YAML_SCALAR_EVENT || !event->data.scalar.length)
		return refuse(b, event->start_mark, JW_E_SYNTAX, "key is not plain, expected a word and a colon");
	b->key = copy_text(event);
	b->key_mark = event->start_mark;
	return b->key ? JW_OK : JW_E_MEMORY;
}

static void report_twin(builder *b, const jw_node *node)
{
	char path[sizeof b->faults->item->path];
	for (const jw_node *twin = node->parent->first; twin != node; twin = twin->next)
		if (!strcmp(twin->key, node->key)) {
			jw_node_path(node, path, sizeof path);
			jw_fault_add(b->faults, node->key_line, node->key_column, path,
			             "key is given twice, expected once (first on line %d)", twin->key_line);
			return;
		}
}

static void hang(builder *b, jw_node *node)
{
	jw_node *parent = b->open;
	node->parent = parent;
	if (!parent) {
		b->root = node;
		return;
	}
	node->index = parent->last ? parent->last->index + 1 : 0;
	*(parent->last ? &parent->last->next : &parent->first) = node;
	parent->last = node;
	if (node->key)
		report_twin(b, node);
}

static jw_status take_node(builder *b, const yaml_event_t *event, jw_node_kind kind)
{
	if (b->open && b->open->kind == JW_NODE_BLOCK && !b->key)
		return take_key(b, event);
	if (++b->nodes > JW_TREE_NODES)
		return refuse(b, event->start_mark, JW_E_LIMIT, "file has too many values, expected at most 4096");
	if (kind != JW_NODE_TEXT && ++b->depth > JW_TREE_DEPTH)
		return refuse(b, event->start_mark, JW_E_LIMIT, "file is nested too deeply, expected at most 16 levels");

	jw_node *node = calloc(1, sizeof *node);
	char *text = kind == JW_NODE_TEXT ? copy_text(event) : NULL;
	if (!node || (kind == JW_NODE_TEXT && !text)) {
		free(node);
		free(text);
		return JW_E_MEMORY;
	}
	yaml_mark_t key_mark = b->key ? b->key_mark : event->start_mark;
	*node = (jw_node){.kind = kind,
	                  .line = (int)event->start_mark.line + 1,
	                  .column = (int)event->start_mark.column + 1,
	                  .key_line = (int)key_mark.line + 1,
	                  .key_column = (int)key_mark.column + 1,
	                  .start = b->ahead + event->start_mark.index,
	                  .end = b->ahead + event->end_mark.index,
	                  .key = b->key,
	                  .text = text};
	b->key = NULL;
	hang(b, node);
	if (kind != JW_NODE_TEXT)
		b->open = node;
	return JW_OK;
}

static void close_node(builder *b)
{
	b->open = b->open->parent;
	b->depth--;
}

static jw_status check_plain(builder *b, const yaml_event_t *event, const yaml_char_t *anchor, const yaml_char_t *tag)
{
	if (anchor)
		return refuse(b, event->start_mark, JW_E_SYNTAX, "value has an anchor, expected none");
	if (tag)
		return refuse(b, event->start_mark, JW_E_SYNTAX, "value has a tag, expected none");
	return JW_OK;
}

static jw_status take_text(builder *b, const yaml_event_t *event)
{
	jw_status status = check_plain(b, event, event->data.scalar.anchor, event->data.scalar.tag);
	if (status)
		return status;
	if (strlen((const char *)event->data.scalar.value) != event->data.scalar.length)
		return refuse(b, event->start_mark, JW_E_SYNTAX, "text holds a zero byte, expected none");
	return take_node(b, event, JW_NODE_TEXT);
}

static jw_status take_list(builder *b, const yaml_event_t *event)
{
	jw_status status = check_plain(b, event, event->data.sequence_start.anchor, event->data.sequence_start.tag);
	return status ? status : take_node(b, event, JW_NODE_LIST);
}

static jw_status take_block(builder *b, const yaml_event_t *event)
{
	jw_status status = check_plain(b, event, event->data.mapping_start.anchor, event->data.mapping_start.tag);
	return status ? status : take_node(b, event, JW_NODE_BLOCK);
}

static jw_status take(builder *b, const yaml_event_t *event)
{
	switch (event->type) {
	case YAML_DOCUMENT_START_EVENT:
		if (b->documents++)
			return refuse(b, event->start_mark, JW_E_SYNTAX, "file holds a second document, expected one");
		return JW_OK;
	case YAML_ALIAS_EVENT:
		return refuse(b, event->start_mark, JW_E_SYNTAX, "value is an alias, expected it written out");
	case YAML_SCALAR_EVENT:
		return take_text(b, event);
	case YAML_SEQUENCE_START_EVENT:
		return take_list(b, event);
	case YAML_MAPPING_START_EVENT:
		return take_block(b, event);
	case YAML_SEQUENCE_END_EVENT:
	case YAML_MAPPING_END_EVENT:
		close_node(b);
		return JW_OK;
	default:
		return JW_OK;
	}
}

/* libyaml gives only a byte offset for what it cannot read as text. */
static void place_of(const char *text, size_t size, size_t offset, int *line, int *column)
{
	*line = *column = 1;
	for (size_t i = 0; i < offset && i < size; i++) {
		*column = text[i] == '\n' ? 1 : *column + 1;
		*line += text[i] == '\n';
	}
}

static int is_tab(const char *text, size_t size, int line, int column)
{
	for (size_t i = 0; i < size && line >= 1; i++) {
		if (line == 1 && --column == 0)
			return text[i] == '\t';
		line -= text[i] == '\n';
	}
	return 0;
}

static jw_status parser_fault(const yaml_parser_t *parser, const char *text, size_t size, jw_faults *faults)
{
	int line = (int)parser->problem_mark.line + 1, column = (int)parser->problem_mark.column + 1;
	if (parser->error == YAML_MEMORY_ERROR)
		return JW_E_MEMORY;
	if (parser->error == YAML_READER_ERROR)
		place_of(text, size, parser->problem_offset, &line, &column);
	jw_fault_add(faults, line, column, "", "file is not well formed, expected plain YAML in UTF-8: %s",
	             is_tab(text, size, line, column) ? "found a tab in place of blanks" : parser->problem);
	return JW_E_SYNTAX;
}

static jw_status parse(yaml_parser_t *parser, builder *b, const char *text, size_t size)
{
	yaml_parser_set_encoding(parser, YAML_UTF8_ENCODING);
	yaml_parser_set_input_string(parser, (const unsigned char *)text, size);
	for (;;) {
		yaml_event_t event;
		if (!yaml_parser_parse(parser, &event))
			return parser_fault(parser, text, size, b->faults);
		jw_status status = take(b, &event);
		int last = event.type == YAML_STREAM_END_EVENT;
		yaml_event_delete(&event);
		if (status || last)
			return status;
	}
}

jw_status jw_tree_parse(const char *text, size_t size, jw_node **root, jw_faults *faults)
{
	builder b = {.faults = faults};
	yaml_parser_t parser;
	if (size > JW_TREE_BYTES)
		return jw_fault_file(faults, JW_E_LIMIT, "file is too large, expected at most 256 KiB");
	if (!yaml_parser_initialize(&parser))
		return jw_fault_file(faults, JW_E_MEMORY, "out of memory");
	/* libyaml would count it as a column of the first line. */
	b.ahead = size >= strlen(BYTE_ORDER_MARK) && !memcmp(text, BYTE_ORDER_MARK, strlen(BYTE_ORDER_MARK));
	const size_t skipped = b.ahead ? strlen(BYTE_ORDER_MARK) : 0;
	jw_status status = parse(&parser, &b, text + skipped, size - skipped);
	yaml_parser_delete(&parser);
	if (status == JW_E_MEMORY)
		jw_fault_file(faults, status, "out of memory");
	if (!status && !b.root)
		status = refuse(&b, (yaml_mark_t){0}, JW_E_SYNTAX, "file holds nothing, expected \"key: value\" lines");
	else if (!status && b.root->kind != JW_NODE_BLOCK)
		status =
		    refuse(&b, (yaml_mark_t){0}, JW_E_SYNTAX, "file is not a block of keys, expected \"key: value\" lines");
	free(b.key);
	if (status)
		jw_tree_free(b.root);
	else
		*root = b.root;
	return status;
}

jw_status jw_tree_load(const char *path, jw_node **root, jw_faults *faults)
{
	char *text = NULL;
	size_t size = 0;
	jw_status status = jw_text_load(path, JW_TREE_BYTES, &text, &size, faults);
	if (!status)
		status = jw_tree_parse(text, size, root, faults);
	free(text);
	return status;
}

void jw_tree_free(jw_node *root)
{
	if (!root)
		return;
	for (jw_node *child = root->first, *next; child; child = next) {
		next = child->next;
		jw_tree_free(child);
	}
	free(root->key);
	free(root->text);
	free(root);
}

static const jw_node *child_of(const jw_node *block, const char *key, size_t length)
{
	for (const jw_node *child = block->first; child; child = child->next)
		if (child->key && strlen(child->key) == length && !memcmp(child->key, key, length))
			return child;
	return NULL;
}

const jw_node *jw_node_find(const jw_node *block, const char *path, const jw_node **nearest)
{
	const jw_node *node = block;
	for (size_t length; *path; path += length + (path[length] == '.')) {
		length = strcspn(path, ".");
		if (nearest)
			*nearest = node;
		node = child_of(node, path, length);
		if (!node)
			return NULL;
	}
	return node;
}

void jw_node_path(const jw_node *node, char *path, size_t size)
{
	*path = '\0';
	if (!node->parent)
		return;
	jw_node_path(node->parent, path, size);
	size_t used = strlen(path);
	if (node->key)
		snprintf(path + used, size - used, "%s%s", used ? "." : "", node->key);
	else
		snprintf(path + used, size - used, "[%d]", node->index + 1);
}

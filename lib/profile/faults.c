/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/faults.h"

#include <stdarg.h>
#include <string.h>

#define CUT "..."

/* Length of the UTF-8 character at the start of a text; 0 for a part of one or a control character. */
static size_t character(const char *text)
{
	unsigned char lead = (unsigned char)*text;
	size_t length = lead < 0x80 ? 1 : lead >= 0xf0 ? 4 : lead >= 0xe0 ? 3 : lead >= 0xc2 ? 2 : 0;
	for (size_t i = 1; i < length; i++)
		if (((unsigned char)text[i] & 0xc0) != 0x80)
			return 0;
	int control = lead < 0x20 || lead == 0x7f || (lead == 0xc2 && (unsigned char)text[1] < 0xa0);
	return control ? 0 : length;
}

/* A fault may quote the file, cut anywhere: nothing else than whole characters may reach a terminal. */
static void make_printable(char *text)
{
	for (size_t length; *text; text += length ? length : 1) {
		length = character(text);
		if (!length)
			*text = '?';
	}
}

void jw_faults_begin(jw_faults *faults, const char *file)
{
	memset(faults, 0, sizeof *faults);
	snprintf(faults->file, sizeof faults->file, "%s", file);
}

static int comes_after(const jw_fault *fault, int line, int column)
{
	return fault->line > line || (fault->line == line && fault->column > column);
}

void jw_fault_add(jw_faults *faults, int line, int column, const char *path, const char *format, ...)
{
	int place = faults->count;
	while (place && comes_after(&faults->item[place - 1], line, column))
		place--;
	if (faults->count == JW_FAULTS)
		faults->more++;
	else
		faults->count++;
	if (place == JW_FAULTS)
		return;
	memmove(&faults->item[place + 1], &faults->item[place], sizeof *faults->item * (size_t)(faults->count - 1 - place));

	jw_fault *fault = &faults->item[place];
	fault->line = line;
	fault->column = column;
	snprintf(fault->path, sizeof fault->path, "%s", path);
	va_list arguments;
	va_start(arguments, format);
	int length = vsnprintf(fault->message, sizeof fault->message, format, arguments);
	va_end(arguments);
	if (length >= (int)sizeof fault->message)
		strcpy(fault->message + sizeof fault->message - sizeof CUT, CUT);
	make_printable(fault->path);
	make_printable(fault->message);
}

jw_status jw_fault_file(jw_faults *faults, jw_status status, const char *message)
{
	jw_fault_add(faults, 0, 0, "", "%s", message);
	return status;
}

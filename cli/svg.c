/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "svg.h"
#include "page.h"
#include <math.h>
#include <string.h>

enum {
	TEXT_HEIGHT = 14,
	TICK_LENGTH = 4,
	LEAD = 12,   /* from a line's end to its sample */
	SAMPLE = 26, /* of the line, before its label */
	LEGEND_ROW = 20,
	LETTER = 8 /* the widest that is usual */
};

/* Sizes in pixels: a panel with its axes lies within a cell. */
typedef struct frame {
	const char *looks;
	int head; /* of the whole, above all panels */
	int width, height, left, top, bottom, right;
	int legend; /* 1: lines are named above the plot, 0: at their ends, at the right */
} frame;

/* A file is looked at on a screen; what stands within a page must do on a phone, too. */
static const frame alone = {"jw-picture", 70, 560, 270, 64, 34, 50, 136, 0};
static const frame within_page = {"jw-picture narrow", 0, 400, 320, 42, 28, 62, 22, 1};

#define TICKS_ABOUT 5

/* Every rule begins with the class of the whole, for pictures that stand within a page. */
static const char style[] =
    "<style>\n"
    ".jw-picture{font-family:system-ui,\"DejaVu Sans\",sans-serif;font-size:12px}.jw-picture.narrow{font-size:14px}\n"
    ".jw-picture text{fill:#1c2126}.jw-picture .head{font-size:17px;font-weight:600}"
    ".jw-picture .name{font-weight:600}.jw-picture .quiet{fill:#525b64}\n"
    ".jw-picture .paper{fill:#ffffff}.jw-picture .axis{stroke:#525b64;fill:none}"
    ".jw-picture .grid{stroke:#d9dee3;fill:none}.jw-picture .span{fill:#e4ebf2}\n"
    ".jw-picture .line{fill:none;stroke-width:1.8;stroke-linejoin:round}.jw-picture .lead{fill:none;stroke-width:0.7}"
    ".jw-picture .band{stroke:none;fill-opacity:0.16}\n"
    ".jw-picture .c0{stroke:#1d4f91}.jw-picture .c1{stroke:#96540c}.jw-picture .c2{stroke:#7c3a7f}"
    ".jw-picture .c3{stroke:#0d6b73}.jw-picture .c4{stroke:#5b5f1a}.jw-picture .c5{stroke:#3b4046}\n"
    ".jw-picture .f0{fill:#1d4f91}.jw-picture .f1{fill:#96540c}.jw-picture .f2{fill:#7c3a7f}"
    ".jw-picture .f3{fill:#0d6b73}.jw-picture .f4{fill:#5b5f1a}.jw-picture .f5{fill:#3b4046}\n"
    "@media screen and (prefers-color-scheme:dark){\n"
    ".jw-picture text{fill:#e8ebee}.jw-picture .quiet{fill:#a9b2bb}\n"
    ".jw-picture .paper{fill:#15181b}.jw-picture .axis{stroke:#a9b2bb}.jw-picture .grid{stroke:#333a41}"
    ".jw-picture .span{fill:#222d38}\n"
    ".jw-picture .c0{stroke:#86b6f2}.jw-picture .c1{stroke:#eba55c}.jw-picture .c2{stroke:#dc9fdf}"
    ".jw-picture .c3{stroke:#62ccd4}.jw-picture .c4{stroke:#c8cd78}.jw-picture .c5{stroke:#d3d8de}\n"
    ".jw-picture .f0{fill:#86b6f2}.jw-picture .f1{fill:#eba55c}.jw-picture .f2{fill:#dc9fdf}"
    ".jw-picture .f3{fill:#62ccd4}.jw-picture .f4{fill:#c8cd78}.jw-picture .f5{fill:#d3d8de}\n"
    "}\n</style>\n";
enum { COLOURS = 6 };
static const char *const dashes[SVG_LINES] = {"", "7 3", "2 3", "9 3 2 3", "4 4", "12 4", "1 5", "9 3 2 3 2 3"};

/* ---- text ---- */

static void write_element(FILE *out, const char *name, const char *text)
{
	fprintf(out, "<%s>", name);
	markup_text(out, text);
	fprintf(out, "</%s>\n", name);
}

/* \param anchor "start", "middle" or "end" */
static void write_label(FILE *out, double x, double y, const char *anchor, const char *looks, const char *text)
{
	fprintf(out, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"%s\"", x, y, anchor);
	if (*looks)
		fprintf(out, " class=\"%s\"", looks);
	fputc('>', out);
	markup_text(out, text);
	fputs("</text>\n", out);
}

/* ---- scales ---- */

typedef struct scale {
	double low, high, step;
	int decimals;
	double pixels;
	int words;
} scale;

static double round_step(double span)
{
	const double rough = span / TICKS_ABOUT, power = pow(10, floor(log10(rough)));
	static const double steps[] = {1, 2, 5};
	for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
		if (rough <= 1.0001 * steps[i] * power)
			return steps[i] * power;
	return 10 * power;
}

static void widen(double *low, double *high, const double *value, int count)
{
	for (int i = 0; value && i < count; i++)
		if (isfinite(value[i])) {
			*low = fmin(*low, value[i]);
			*high = fmax(*high, value[i]);
		}
}

static scale scale_of(const svg_axis *axis, double low, double high, double pixels)
{
	scale s = {.pixels = pixels};
	const int stated = axis->low < axis->high;
	while (axis->words && axis->words[s.words])
		s.words++;
	if (s.words)
		return (scale){.low = -0.5, .high = s.words - 0.5, .step = 1, .pixels = pixels, .words = s.words};
	if (stated)
		low = axis->low, high = axis->high;
	if (!(low <= high))
		low = 0, high = 1;
	const double least = 1e-3 * fmax(fabs(low), fabs(high)); /* what stands still is no noise */
	if (high - low < least || !(high > low)) {
		const double more = least > 0 ? least : 1;
		low -= more, high += more;
	}
	s.step = axis->step > 0 ? axis->step : round_step(high - low);
	s.low = stated ? low : s.step * floor(low / s.step + 1e-9);
	s.high = stated ? high : s.step * ceil(high / s.step - 1e-9);
	s.decimals = (int)fmax(0, ceil(-log10(s.step) - 1e-9));
	return s;
}

static double along(const scale *s, double value)
{
	return s->pixels * (value - s->low) / (s->high - s->low);
}

static double across(const scale *s, double value)
{
	return s->pixels - along(s, value);
}

static double within(const scale *s, double value)
{
	return fmin(fmax(value, s->low), s->high);
}

/* Where words stand at the left, lines that end anywhere among them are named above. */
static int has_legend(const svg_panel *p, const frame *f)
{
	return f->legend || p->y.words;
}

/* Of the names of lines above the plot. */
static int legend_height(const svg_panel *p, const frame *f)
{
	return has_legend(p, f) * p->lines * LEGEND_ROW;
}

static int letters(const char *word)
{
	int count = 0;
	for (; *word; word++)
		count += (*word & 0xc0) != 0x80; /* one in UTF-8, however many bytes */
	return count;
}

static int left_of(const svg_panel *p, const frame *f)
{
	int left = f->left;
	for (int i = 0; p->y.words && p->y.words[i]; i++)
		left = (int)fmax(left, LETTER * (1 + letters(p->y.words[i])));
	return left;
}

static scale x_scale(const svg_panel *p, const frame *f)
{
	double low = INFINITY, high = -INFINITY;
	for (int i = 0; i < p->lines; i++)
		widen(&low, &high, p->line[i].x, p->line[i].count);
	return scale_of(&p->x, low, high, f->width - left_of(p, f) - f->right);
}

static scale y_scale(const svg_panel *p, const frame *f)
{
	double low = INFINITY, high = -INFINITY;
	for (int i = 0; i < p->lines; i++) {
		widen(&low, &high, p->line[i].y, p->line[i].count);
		widen(&low, &high, p->line[i].low, p->line[i].count);
		widen(&low, &high, p->line[i].high, p->line[i].count);
	}
	for (int i = 0; i < p->spans; i++)
		if (!p->span[i].upright) {
			widen(&low, &high, &p->span[i].from, 1);
			widen(&low, &high, &p->span[i].to, 1);
		}
	return scale_of(&p->y, low, high, f->height - f->top - f->bottom - legend_height(p, f));
}

/* ---- axes ---- */

typedef struct tick_text {
	char text[32];
} tick_text;

static tick_text tick_of(const scale *s, double value)
{
	tick_text tick;
	snprintf(tick.text, sizeof tick.text, "%.*f", s->decimals, fabs(value) < 1e-9 * s->step ? 0.0 : value);
	return tick;
}

static double first_tick(const scale *s)
{
	return s->words ? 0 : s->step * ceil(s->low / s->step - 1e-9);
}

/* A name of a place below the axis, its words one below the other. \return rows */
static int write_place(FILE *out, double x, double y, const char *words)
{
	char word[32];
	int row = 0;
	for (const char *rest = words; *rest; row++) {
		const size_t length = strcspn(rest, " ");
		snprintf(word, sizeof word, "%.*s", (int)length, rest);
		write_label(out, x, y + row * TEXT_HEIGHT, "middle", "", word);
		rest += length + strspn(rest + length, " ");
	}
	return row;
}

static void draw_x_axis(FILE *out, const svg_axis *axis, const scale *s, double top)
{
	int rows = 1;
	for (double at = first_tick(s); at <= s->high + 1e-9 * s->step; at += s->step) {
		const double x = along(s, at), y = top + TICK_LENGTH + 13;
		fprintf(out, "<path class=\"axis\" d=\"M%.1f %.0fv%d\"/>\n", x, top, TICK_LENGTH);
		if (s->words)
			rows = (int)fmax(rows, write_place(out, x, y, axis->words[(int)lround(at)]));
		else
			write_label(out, x, y, "middle", "", tick_of(s, at).text);
	}
	if (axis->title)
		write_label(out, 0.5 * s->pixels, top + 36 + (rows - 1) * 10, "middle", "quiet", axis->title);
}

static void draw_y_axis(FILE *out, const svg_axis *axis, const scale *s, double right)
{
	for (double at = first_tick(s); at <= s->high + 1e-9 * s->step; at += s->step) {
		const double y = across(s, at);
		fprintf(out, "<path class=\"grid\" d=\"M0 %.1fh%.0f\"/>\n", y, right);
		write_label(out, -8, y + 4, "end", "", s->words ? axis->words[(int)lround(at)] : tick_of(s, at).text);
	}
	if (axis->title)
		write_label(out, 0, -8, "start", "quiet", axis->title);
}

static void draw_span(FILE *out, const svg_span *span, const scale *x, const scale *y)
{
	const scale *s = span->upright ? x : y;
	const double from = within(s, span->from), to = within(s, span->to);
	const double left = span->upright ? along(s, from) : 0, top = span->upright ? 0 : across(s, to);
	fprintf(out, "<rect class=\"span\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\"/>\n", left, top,
	        span->upright ? along(s, to) - left : x->pixels, span->upright ? y->pixels : across(s, from) - top);
	if (span->label)
		write_label(out, left + 4, top + 13, "start", "quiet", span->label);
}

/* ---- lines ---- */

static int is_point(const svg_line *line, const double *y, int i)
{
	return isfinite(line->x[i]) && isfinite(y[i]);
}

static void begin_line(FILE *out, int index)
{
	fprintf(out, "<path class=\"line c%d\"", index % COLOURS);
	if (*dashes[index])
		fprintf(out, " stroke-dasharray=\"%s\"", dashes[index]);
	fputs(" d=\"", out);
}

static void draw_line(FILE *out, const svg_line *line, int index, const scale *x, const scale *y)
{
	int drawn = 0;
	begin_line(out, index);
	for (int i = 0; i < line->count; i++) {
		const int point = is_point(line, line->y, i);
		if (point)
			fprintf(out, "%s%.1f %.1f", drawn ? " " : "M", along(x, line->x[i]), across(y, line->y[i]));
		drawn = point;
	}
	fputs("\"/>\n", out);
}

/* There along the upper edge and back along the lower one, for each stretch without a gap. */
static void draw_band(FILE *out, const svg_line *line, int index, const scale *x, const scale *y)
{
	if (!line->low || !line->high)
		return;
	fprintf(out, "<path class=\"band f%d\" d=\"", index % COLOURS);
	for (int from = 0, to; from < line->count; from = to + 1) {
		for (to = from; to < line->count && is_point(line, line->low, to) && is_point(line, line->high, to); to++)
			fprintf(out, "%s%.1f %.1f", to == from ? "M" : " ", along(x, line->x[to]), across(y, line->high[to]));
		for (int i = to - 1; i >= from; i--)
			fprintf(out, " %.1f %.1f", along(x, line->x[i]), across(y, line->low[i]));
		if (to > from)
			fputs("z", out);
	}
	fputs("\"/>\n", out);
}

/* Where a line ends at the right, and where its label stands, behind a sample of the line. */
typedef struct ending {
	int index;
	double x, y, label_y;
} ending;

static int find_endings(const svg_panel *p, const scale *x, const scale *y, ending *end)
{
	int count = 0;
	for (int i = 0; i < p->lines; i++) {
		const svg_line *line = &p->line[i];
		int last = line->count - 1;
		while (last >= 0 && !is_point(line, line->y, last))
			last--;
		if (last < 0 || !line->label)
			continue;
		const double at = across(y, within(y, line->y[last]));
		int place = count++;
		for (; place && end[place - 1].y > at; place--)
			end[place] = end[place - 1];
		end[place] = (ending){i, along(x, within(x, line->x[last])), at, at};
	}
	return count;
}

/* Labels in the order of their ends, none over another, none outside. */
static void spread(ending *end, int count, double bottom)
{
	for (int i = 0; i < count; i++) {
		const double least = i ? end[i - 1].label_y + TEXT_HEIGHT : 0;
		end[i].label_y = fmax(end[i].label_y, least);
	}
	for (int i = count - 1; i >= 0; i--) {
		const double most = i < count - 1 ? end[i + 1].label_y - TEXT_HEIGHT : bottom;
		end[i].label_y = fmin(end[i].label_y, most);
	}
}

/* \param index of the line \param x, y where its sample begins */
static void draw_sample(FILE *out, const svg_panel *p, int index, double x, double y)
{
	begin_line(out, index);
	fprintf(out, "M%.0f %.1fh%d\"/>\n", x, y, SAMPLE);
	write_label(out, x + SAMPLE + 4, y + 4, "start", "", p->line[index].label);
}

static void draw_labels(FILE *out, const svg_panel *p, const scale *x, const scale *y)
{
	ending end[SVG_LINES];
	const int count = find_endings(p, x, y, end);
	spread(end, count, y->pixels);
	for (int i = 0; i < count; i++) {
		const ending *e = &end[i];
		fprintf(out, "<path class=\"lead c%d\" d=\"M%.1f %.1fL%.0f %.1f\"/>\n", e->index % COLOURS, e->x, e->y,
		        x->pixels + LEAD, e->label_y);
		draw_sample(out, p, e->index, x->pixels + LEAD, e->label_y);
	}
}

static void draw_legend(FILE *out, const svg_panel *p, double bottom)
{
	for (int i = 0; i < p->lines; i++)
		if (p->line[i].label)
			draw_sample(out, p, i, 0, bottom - (p->lines - i - 0.5) * LEGEND_ROW);
}

static void draw_panel(FILE *out, const svg_panel *p, const frame *f, double left, double top)
{
	const scale x = x_scale(p, f), y = y_scale(p, f);
	const double above = p->y.title ? -24 : -8;
	fprintf(out, "<g transform=\"translate(%.0f %.0f)\">\n", left + left_of(p, f), top + f->top + legend_height(p, f));
	if (p->title)
		write_label(out, 0, above - legend_height(p, f), "start", "name", p->title);
	for (int i = 0; i < p->spans; i++)
		draw_span(out, &p->span[i], &x, &y);
	draw_y_axis(out, &p->y, &y, x.pixels);
	draw_x_axis(out, &p->x, &x, y.pixels);
	/* A drawing of its own cuts off what lies outside. */
	fprintf(out, "<svg width=\"%.0f\" height=\"%.0f\">\n", x.pixels, y.pixels);
	for (int i = 0; i < p->lines; i++)
		draw_band(out, &p->line[i], i, &x, &y);
	for (int i = 0; i < p->lines; i++)
		draw_line(out, &p->line[i], i, &x, &y);
	fprintf(out, "</svg>\n<path class=\"axis\" d=\"M0 0v%.0fh%.0f\"/>\n", y.pixels, x.pixels);
	if (has_legend(p, f))
		draw_legend(out, p, above);
	else
		draw_labels(out, p, &x, &y);
	fputs("</g>\n", out);
}

/* ---- all of it ---- */

static void draw_head(FILE *out, const svg_picture *p)
{
	write_label(out, 16, 28, "start", "head", p->title);
	if (p->subtitle)
		write_label(out, 16, 48, "start", "quiet", p->subtitle);
}

static void draw(FILE *out, const svg_picture *p, const frame *f)
{
	const int columns = f->legend || p->columns < 1 ? 1 : p->columns, rows = (p->panels + columns - 1) / columns;
	const int width = columns * f->width, height = f->head + rows * f->height;
	fprintf(out,
	        " class=\"%s\" role=\"img\" width=\"%d\" height=\"%d\" "
	        "viewBox=\"0 0 %d %d\">\n",
	        f->looks, width, height, width, height);
	write_element(out, "title", p->title);
	write_element(out, "desc", p->description);
	fputs(style, out);
	fprintf(out, "<rect class=\"paper\" width=\"%d\" height=\"%d\"/>\n", width, height);
	if (f->head)
		draw_head(out, p);
	for (int i = 0; i < p->panels; i++)
		draw_panel(out, &p->panel[i], f, i % columns * f->width, f->head + i / columns * f->height);
	fputs("</svg>\n", out);
}

void svg_draw(FILE *out, const svg_picture *picture)
{
	fputs("<svg", out);
	draw(out, picture, &within_page);
}

static void write_file(FILE *out, const void *content)
{
	fputs("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\"", out);
	draw(out, content, &alone);
}

int svg_save(const cli_command *command, const char *path, const svg_picture *picture)
{
	return save_file(command, path, write_file, picture);
}

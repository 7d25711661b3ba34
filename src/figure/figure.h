/* Figures: gnuplot as a child process. Data is handed over as numbers in data blocks and labels as escaped literals; no
 * text of a user's is ever read as gnuplot syntax; no shell, no temporary script. One process draws all figures of a
 * report.
 *
 * A figure is a plot file of plots/ (embedded), plus named number blocks ($data ...), named text lists (tick labels) and
 * named numbers/strings that the plot file reads as variables. What each plot file reads stands in its head.
 *
 * Every block NAME also gives the plot file NAME_rows and, for column K from 1, NAME_nK (how many finite values), NAME_loK
 * and NAME_hiK (least and greatest of them; 0 when there is none). The first block of a figure is the one it is about: a
 * figure whose first block holds no finite number is not sent to gnuplot and says so. Numbers go in as they are to be
 * read: converted to page units by the caller. Text is cut at 400 characters, in a row at 250; control characters become blanks. */
#ifndef AP_FIGURE_FIGURE_H
#define AP_FIGURE_FIGURE_H

#include "base/arena.h"
#include "base/units.h"

typedef struct ap_figure_set ap_figure_set;
typedef struct ap_figure ap_figure;

typedef enum ap_figure_format { AP_FIGURE_SVG = 0, AP_FIGURE_PNG, AP_FIGURE_PDF, AP_FIGURE_TEXT } ap_figure_format;

ap_figure_set *ap_figure_set_new(ap_arena *arena, ap_figure_format format); /* NULL only when memory is out */
/* Columns of AP_FIGURE_TEXT, 40 to 400; 80 unless set. */
void ap_figure_set_text_width(ap_figure_set *set, int columns);
/* Each figure is drawn a second time for a phone's width and half a sheet of paper (SVG only): ap_narrow is 1 for its plot. */
void ap_figure_set_narrow(ap_figure_set *set);
/* `plot` names plots/PLOT.gp (see plots.h); `id` prefixes every id inside the SVG: a letter, then letters, digits, '-'. Bytes
 * that are none of these become '-', and an id already in the set gets a number behind it. NULL only when memory is out;
 * the calls below do nothing on NULL. `name` is a lower-case word of ours, never a user's: [a-z][a-z0-9_]*. */
ap_figure *ap_figure_add(ap_figure_set *set, const char *plot, const char *id, ap_str title, ap_str description);
void ap_figure_number(ap_figure *figure, const char *name, double value); /* name = value */
void ap_figure_string(ap_figure *figure, const char *name, ap_str value); /* name = 'value', escaped */
/* A data block $NAME of rows of numbers; NaN is written as the missing-data word "NaN". */
void ap_figure_block(ap_figure *figure, const char *name);
void ap_figure_row(ap_figure *figure, const double *values, size_t count);
/* A labelled row: numbers, then one escaped text column that the plot reads with strcol(). */
void ap_figure_row_label(ap_figure *figure, const double *values, size_t count, ap_str label);
/* Says in words why there is nothing to draw: the figure is then not sent to gnuplot. */
void ap_figure_empty(ap_figure *figure, ap_str why);

/* Draws all. Always AP_OK unless memory is out: a missing, failing or hanging gnuplot leaves every figure without output
 * and `*trouble` (may be none) with the sentence that goes where the figure would be. `deadline_ms` for the whole run. */
AP_MUST_USE ap_status ap_figure_set_draw(ap_str *trouble, ap_figure_set *set, int deadline_ms, ap_error *err);
/* The drawing (SVG text made safe to inline: unique ids, role="img", title and desc); none when it could not be drawn. */
ap_str ap_figure_output(const ap_figure *figure);
/* The drawing as it stands in a page: the narrow one behind the broad one, each with its class; one alone has none. */
ap_str ap_figure_page(const ap_figure *figure);
ap_str ap_figure_missing(const ap_figure *figure); /* why there is none */
ap_str ap_figure_id(const ap_figure *figure);
ap_str ap_figure_title(const ap_figure *figure);
ap_str ap_figure_description(const ap_figure *figure);
size_t ap_figure_set_count(const ap_figure_set *set);
const ap_figure *ap_figure_set_get(const ap_figure_set *set, size_t index);

#endif

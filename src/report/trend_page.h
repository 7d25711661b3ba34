/* The trend in words, as a table, a figure and JSON. */
#ifndef AP_REPORT_TREND_PAGE_H
#define AP_REPORT_TREND_PAGE_H

#include "analysis/trend_months.h"
#include "figure/figure.h"
#include "report/weights_page.h"

/* "Over 7 months the typical error rose by 4 % a year (90 % interval -3 to +12 %): chance alone could do that." */
ap_str ap_say_slope(ap_arena *arena, const ap_trend_series *series);
/* When the level changed, that no change was found, or how many months it takes to look for one. */
ap_str ap_say_change(ap_arena *arena, const ap_trend_series *series);
/* The run figure's signals by job; or that there is none, or too few jobs. */
ap_str ap_say_run_signals(ap_arena *arena, const ap_roster *roster, const ap_trend_series *series);

void ap_trend_months_table(ap_doc *doc, const char *id, const ap_roster *roster, const ap_trend_series *series);
/* "silver maple, through" of a series with a grouping. */
ap_str ap_trend_series_label(ap_arena *arena, const ap_roster *roster, const ap_trend *trend,
                             const ap_trend_series *series);
/* Rows of the figure trend_months; marked empty when there is no month. */
void ap_trend_describe(ap_figure *figure, const ap_trend_series *series);

void ap_trend_page(ap_doc *doc, const ap_roster *roster, const ap_trend *trend);
/* docs/json.md, "trend". */
void ap_trend_json(ap_json *json, const ap_roster *roster, const ap_trend *trend, ap_period period);

#endif

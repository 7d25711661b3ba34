/* The error table as a page and as JSON. */
#ifndef AP_REPORT_WEIGHTS_PAGE_H
#define AP_REPORT_WEIGHTS_PAGE_H

#include "analysis/robust_error.h"
#include "figure/figure.h"
#include "page/json.h"
#include "report/pooled_say.h"
#include "report/weighing_say.h"

/* The table behind the figures: one row a group. */
void ap_weights_table(ap_doc *doc, const char *id, const char *caption, const ap_roster *roster,
                      const ap_weight_table *table);
/* The same for a spreadsheet, with the robust and the pooled figures in the same rows; `pooled` NULL: without those. */
void ap_weights_spreadsheet(ap_doc *doc, const ap_roster *roster, const ap_weight_table *table,
                            const ap_pooled *pooled);
/* The whole page of `afterpick weights`; `pooled` NULL for a grouping that the model does not know. */
void ap_weights_page(ap_doc *doc, const ap_roster *roster, const ap_weight_table *table, const ap_pooled *pooled,
                     const ap_weighing *weighing);
/* The groups of the table as rows of the figure AP_PLOT_ERROR_GROUPS, and what it shows; the rows, none without a weighed pick. */
extern const char ap_weights_figure_describes[];
size_t ap_weights_describe(ap_figure *figure, ap_arena *arena, const ap_roster *roster, const ap_weight_table *table);
/* docs/json.md, "weights". */
void ap_weights_json(ap_json *json, const ap_roster *roster, const ap_weight_table *table, const ap_pooled *pooled,
                     const ap_weighing *weighing, ap_period period);

void ap_json_put_period(ap_json *json, ap_period period); /* "period": {"since": ..., "until": ...} */

#endif

/* The pooled error in words, as a table and as JSON keys. */
#ifndef AP_REPORT_POOLED_SAY_H
#define AP_REPORT_POOLED_SAY_H

#include "analysis/people.h"
#include "page/json.h"
#include "report/sentences.h"

/* "silver maple, through"; "all picks" for the level without names. */
ap_str ap_say_cell(ap_arena *arena, const ap_roster *roster, const ap_pooled_level *level, const uint32_t *key);
/* "35 %" of a factor of 1.348, rounded up: what to add to the planned weight; "0 %" at 1; none for no bound. */
ap_str ap_say_add(ap_arena *arena, const ap_pooled_bound *bound);
/* Whose factor a cell carries: "own", "silver maple", "all picks"; none when it has none. */
ap_str ap_say_carried(ap_arena *arena, const ap_roster *roster, const ap_pooled *pooled, const ap_pooled_cell *cell);
/* Why the model says nothing, or what it cannot tell apart; none when there is nothing to say. */
ap_str ap_say_model_limits(ap_arena *arena, const ap_pooled *pooled);
/* "1,204 weighed picks on 210 trees. Spread: species 5 %, ..., tree 8 %, rest 12 %." */
ap_str ap_say_model(ap_arena *arena, const ap_pooled_level *level);
/* Suspects as a sentence with their picks; none when there are none. */
ap_str ap_say_suspects(ap_arena *arena, const ap_roster *roster, const ap_pooled *pooled);

/* One row a cell, most picks first; cells of few picks are not shown by person. */
void ap_pooled_table(ap_doc *doc, const char *id, const char *caption, const ap_roster *roster,
                     const ap_pooled *pooled);
/* "2 groups of fewer than 5 weighed picks are not shown by person ..."; none when all are shown. */
ap_str ap_say_people_hidden(ap_arena *arena, const ap_roster *roster, const ap_pooled_level *level);
/* How the pooled figures were worked out, inside an open working part. */
void ap_pooled_working(ap_doc *doc, const ap_pooled *pooled);

/* The cells of a level, most picks first, then by label. */
const ap_pooled_cell **ap_pooled_rank(ap_arena *arena, const ap_roster *roster, const ap_pooled_level *level);

/* "pooled_ratio" ... "prediction_factor"; all null when cell is NULL or has none. */
void ap_json_put_pooled(ap_json *json, const ap_pooled_cell *cell);
void ap_json_put_factor_of(ap_json *json, const ap_roster *roster, const ap_pooled *pooled, const ap_pooled_cell *cell);

#define AP_SAY_NONE_BY_PERSON "No group is large enough to be shown by person."
extern const char ap_say_not_a_chart[]; /* stands on every page with a factor */

#endif

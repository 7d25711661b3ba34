/* The planning factors as a table a crew can carry, and their proof. */
#ifndef AP_REPORT_FACTORS_PAGE_H
#define AP_REPORT_FACTORS_PAGE_H

#include "analysis/factors.h"
#include "report/pooled_say.h"

typedef struct ap_factors_sheet {
    const ap_roster *roster;
    const ap_factors *factors;
    ap_date made_on;
    double against;         /* share of the chart; NaN when not asked for */
    ap_against against_now; /* filled when `against` is */
    ap_str against_words;   /* "85 %" */
} ap_factors_sheet;

void ap_factors_page(ap_doc *doc, const ap_factors_sheet *sheet);
/* docs/json.md, "factors". */
void ap_factors_json(ap_json *json, const ap_factors_sheet *sheet);

/* "Of 812 held-out picks 95 % (93 to 97 %) were within plan x factor; within the plan itself 71 %. Mean 28 % added." */
ap_str ap_say_proof(ap_arena *arena, const ap_proof *proof);

#endif

/* One number worked out without a book, with its working and its source. */
#ifndef AP_REPORT_CALC_PAGE_H
#define AP_REPORT_CALC_PAGE_H

#include "page/doc.h"
#include "page/json.h"

enum { AP_CALC_ITEMS_MAX = 32 };

typedef struct ap_calc_item {
    const char *key;   /* of the JSON object and the CSV, with its SI unit */
    const char *label; /* what a person reads; NULL: the key */
    double value;      /* SI; NaN: null in JSON, left out of the page */
    bool whole;
    ap_dim dim;  /* shown in the page's units */
    bool small;  /* in/cm instead of ft/m */
    ap_str text; /* a word in place of the number */
} ap_calc_item;

typedef struct ap_calc {
    ap_str answer;  /* the number in a sentence */
    ap_str working; /* the formula with its values */
    ap_str source;
    ap_str caution; /* none: nobody acts on it */
    ap_calc_item items[AP_CALC_ITEMS_MAX];
    size_t item_count;
} ap_calc;

void ap_calc_quantity(ap_calc *calc, const char *key, const char *label, double si, ap_dim dim, bool small);
void ap_calc_number(ap_calc *calc, const char *key, const char *label, double value);
void ap_calc_word(ap_calc *calc, const char *key, const char *label, ap_str text);

/* k of mean + k sd for n independent values. Errors: those of stats/tolerance.h. */
AP_MUST_USE ap_status ap_calc_tolerance(ap_calc *out, ap_arena *arena, uint64_t n, double content, double confidence,
                                        ap_error *err);
/* How often `run` picks in a row are heavier than planned by more than the share `over`, by chance; picks 0: not asked. */
AP_MUST_USE ap_status ap_calc_runs(ap_calc *out, ap_arena *arena, double sd, double bias, double over, uint64_t run,
                                   uint64_t picks, ap_error *err);
/* Rate of events a pick with its exact interval. */
AP_MUST_USE ap_status ap_calc_rate(ap_calc *out, ap_arena *arena, uint64_t events, uint64_t picks, double level,
                                   ap_error *err);

/* `plain`: keys and SI numbers, for a spreadsheet. */
void ap_calc_page(ap_doc *doc, const ap_calc *calc, bool plain);
void ap_calc_json(ap_json *json, const ap_calc *calc);

#endif

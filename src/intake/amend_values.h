/* Values a person gives for a stored pick, read and judged as a row of a log is. */
#ifndef AP_INTAKE_AMEND_VALUES_H
#define AP_INTAKE_AMEND_VALUES_H

#include "base/settings.h"
#include "intake/judge.h"

typedef struct ap_amend_value {
    int column;   /* of the field table */
    ap_unit unit; /* what a bare number means; AP_UNIT_NONE = the unit the stored value was written in */
    ap_str text;  /* blank = not recorded */
} ap_amend_value;

enum { AP_AMEND_MAX = 64 };

/* "planned_weight=5000 lb" or "planned_weight_lb=5000". Names are those of a log's header.
 * Errors  AP_E_USAGE: no '=', a name that is none (with the nearest). */
AP_MUST_USE ap_status ap_amend_parse(ap_amend_value *out, ap_arena *arena, ap_book *book, ap_str text, ap_error *err);

/* *changed = the stored pick with the values in it, not yet stored. A text with two readings, a word that is none, a value
 * that import would set aside is refused in import's own words; a doubt is told.
 * Texts of *changed live in the values and in `stored`. Errors  AP_E_INPUT; AP_E_USAGE: a field twice, too many. */
AP_MUST_USE ap_status ap_amend_read(ap_pick *changed, ap_arena *arena, ap_book *book, const ap_settings *settings,
                                    const ap_pick *stored, const ap_amend_value *values, size_t count, ap_date today,
                                    ap_doubt_fn doubt, void *context, ap_error *err);

#endif

/* What the reader of quantities is made of; nobody else includes this. */
#ifndef AP_TEXT_QUANTITY_PARTS_H
#define AP_TEXT_QUANTITY_PARTS_H

#include "text/decimal.h"
#include "text/spelling.h"

/* A number with the unit written behind it, before units are settled against the rules. */
typedef struct ap_reading {
    double major;
    double minor;       /* the second part of a compound; 0 */
    ap_unit unit;       /* AP_UNIT_NONE: none was written */
    ap_unit minor_unit; /* AP_UNIT_NONE: not a compound */
    uint8_t quantum;    /* of the last part: see ap_written */
} ap_reading;

/* Mixed fractions and compounds: 2 1/4 tons, 18' 6 1/2". `text` has no sign. */
bool ap_quantity_read_form(ap_reading *out, ap_str text, const ap_quantity_rules *rules);
/* How many of the minor unit make one of the major; 0 when the two do not go together. */
double ap_compound_ratio(ap_unit major, ap_unit minor);
/* A unit word, a full stop behind it allowed. */
bool ap_unit_word(ap_unit *out, ap_str word);

/* "a weight", "a length". */
const char *ap_dim_noun(ap_dim dim);
/* Each fills *why and returns false. `shown` is the cell as ap_spelling_show() gives it. */
bool ap_refuse(ap_refusal *why, const char *remedy, const char *format, ...) AP_PRINTF(3, 4);
bool ap_refuse_number(ap_refusal *why, const char *shown, const ap_decimal *number, ap_decimal_end end,
                      const ap_quantity_rules *rules);
bool ap_refuse_text(ap_refusal *why, const char *shown, const ap_spelling *plain, const ap_quantity_rules *rules);
const char *ap_remedy(ap_dim dim);

#endif

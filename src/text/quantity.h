/* Quantities as people write them: "18 ft 6 in", "18'6\"", "5,200 lb", "2 1/4 tons", "0.61m", "4800#".
 *
 * One reading or none: ranges, "approx", "?" and two readings are refused with the reason. */
#ifndef AP_TEXT_QUANTITY_H
#define AP_TEXT_QUANTITY_H

#include "base/units.h"

typedef struct ap_quantity_rules {
    ap_dim dim;           /* what the field wants */
    ap_unit default_unit; /* from the header or the file; AP_UNIT_NONE = a bare number is refused */
    ap_unit ton;          /* what a bare t/ton/tons means: AP_UNIT_US_TON, _LONG_TON, _TONNE; NONE = refused */
    char decimal;         /* '.' or ','; 0 = settle from the cell, refuse when both readings are possible */
    bool ton_in_settings; /* a setting of the company or a profile settles a bare ton: a refusal says how */
} ap_quantity_rules;

typedef struct ap_quantity {
    double value;       /* SI of rules->dim: m, kg, degrees, share of 1 */
    ap_written written; /* unit and last digit as written (AP_UNIT of the default when none was written) */
} ap_quantity;

enum { AP_REASON_MAX = 240 };
/* Why a text is not one quantity, and what would mend it; both are sentences' tails in lower case, "" when fine. */
typedef struct ap_refusal {
    char reason[AP_REASON_MAX];
    char remedy[AP_REASON_MAX];
} ap_refusal;

/* Fast for the plain forms ("4850", "4,850 lb", "6.25 m"); compound forms go through PCRE2. False = refused, *why set.
 * Never accepts NaN, infinity, hex or a number that overflows. Negative numbers are read (plausibility is not decided
 * here). A percent for AP_DIM_SHARE is divided by 100; a bare number of a share is a share. */
bool ap_quantity_read(ap_quantity *out, ap_str text, const ap_quantity_rules *rules, ap_refusal *why);

/* Appends the text of a quantity that ap_quantity_read() gives back bit by bit where a bare number means `bare` (AP_UNIT_NONE: nothing)
 * and the decimal mark is a point: in the unit and to the digit it was written, as a fraction or a compound of two units if need
 * be, so that the last digit is the same too; else in as many digits as it takes. The unit is left out only of a plain number in `bare`.
 * Not for AP_DIM_FORCE. False: no text of up to 40 digits gives this very number back, and what is written is the nearest one. */
bool ap_quantity_write(ap_buf *out, double value, ap_dim dim, ap_written written, ap_unit bare);

/* Frees the compound forms' compiled patterns, which the first compound cell builds; later reads build them again. */
void ap_quantity_release(void);

/* The unit in a header cell: "length_ft", "length (ft)", "Weight [lbs]", "butt dia. in" -> the name part (view) and the
 * unit; AP_UNIT_NONE when it has none. */
ap_unit ap_header_split_unit(ap_str *name, ap_str header);

#endif

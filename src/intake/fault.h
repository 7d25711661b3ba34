/* Why a row is set aside: the first cell at fault in full, the others in a few words, so that all can be mended at once. */
#ifndef AP_INTAKE_FAULT_H
#define AP_INTAKE_FAULT_H

#include "base/str.h"

enum { AP_FAULT_TEXT_MAX = 160, AP_FAULT_REASON_MAX = 900, AP_FAULT_REMEDY_MAX = 400 };

typedef struct ap_fault {
    int count;
    int column;   /* from 1; 0 = the row as a whole */
    ap_str field; /* lives in the plan or is a constant */
    size_t text_len;
    char text[AP_FAULT_TEXT_MAX]; /* what was found, cut short at a character */
    char reason[AP_FAULT_REASON_MAX];
    char remedy[AP_FAULT_REMEDY_MAX];
} ap_fault;

void ap_fault_clear(ap_fault *fault);
/* `reason` follows the field's name and quotes the text itself: "'approx 2t?' is not a weight", "is blank"; `remedy` is an
 * order: "write one number with its unit". */
void ap_fault_add(ap_fault *fault, int column, ap_str field, ap_str text, const char *remedy, const char *reason, ...)
    AP_PRINTF(6, 7);
enum { AP_QUOTED_SIZE = 72 };
/* The text in quotes, short, without control characters. */
void ap_fault_quote(char out[AP_QUOTED_SIZE], ap_str text);
/* At most `most` bytes of a text, cut between characters. */
ap_str ap_str_shortened(ap_str text, size_t most);

#endif

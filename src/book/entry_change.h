/* One change of what the company entered about a crane or a sling, as the book keeps it. */
#ifndef AP_BOOK_ENTRY_CHANGE_H
#define AP_BOOK_ENTRY_CHANGE_H

#include "base/str.h"

typedef struct ap_entry_change {
    ap_str field;
    ap_str old_value; /* none = there was none */
    ap_str new_value; /* none = taken away */
    ap_str on, who, why;
} ap_entry_change;

#endif

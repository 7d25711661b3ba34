/* People on pages: unless names are asked for, a name becomes a role; a code that a company gave stays. */
#ifndef AP_DERIVE_PERSON_H
#define AP_DERIVE_PERSON_H

#include "base/str.h"

/* "E2", "mk3": a code that a company gave, not a name. */
bool ap_person_is_code(ap_str text);
/* What is shown of a person: the text itself with `names`, for a code or a blank; else "ROLE NUMBER", or the role alone
 * when `number` is 0. */
void ap_person_label(ap_buf *out, const char *role, ap_str text, bool names, unsigned number);

#endif

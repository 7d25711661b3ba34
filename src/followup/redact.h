/* Names taken out of a text before it is shared outside. */
#ifndef AP_FOLLOWUP_REDACT_H
#define AP_FOLLOWUP_REDACT_H

#include "base/str.h"

/* Appends `text` with every whole-word occurrence of each name (letter case of ASCII ignored; the longest first) put as
 * "[left out]". Names of fewer than 2 characters are not looked for. Returns how many were taken out. */
size_t ap_redact(ap_buf *out, ap_str text, const ap_str *names, size_t count);

#endif

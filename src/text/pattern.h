/* Patterns over untrusted text: PCRE2 with UTF, MATCH_INVALID_UTF, JIT where there is, and limits on effort. */
#ifndef AP_TEXT_PATTERN_H
#define AP_TEXT_PATTERN_H

#include "base/str.h"

typedef struct ap_pattern ap_pattern;

/* `flags`: "i" caseless, "x" extended, "m" multiline, "s" dot matches newline; NULL for none. A pattern that does not
 * compile gives AP_E_INPUT with PCRE2's words and the offset. */
AP_MUST_USE ap_status ap_pattern_new(ap_pattern **out, ap_str pattern, const char *flags, ap_error *err);
void ap_pattern_free(ap_pattern *pattern);

/* Searches from `start`. *found says whether; on a match groups are read with the functions below until the next match.
 * Past the match limit (catastrophic backtracking): AP_E_LIMIT. One pattern is used by one thread at a time. */
AP_MUST_USE ap_status ap_pattern_match(bool *found, ap_pattern *pattern, ap_str subject, size_t start, ap_error *err);
/* Group 0 is the whole match. AP_STR_NONE for a group that took no part. */
ap_str ap_pattern_group(const ap_pattern *pattern, unsigned group);
ap_str ap_pattern_named(const ap_pattern *pattern, const char *name);
unsigned ap_pattern_name_count(const ap_pattern *pattern);
const char *ap_pattern_name(const ap_pattern *pattern, unsigned index, unsigned *group);
/* Whether it refers back to one of its groups (\1): the numbers change when it stands among others. */
bool ap_pattern_refers_back(const ap_pattern *pattern);
/* Whether a match could begin with these bytes at the start of a text; true when in doubt. Ends the use of the last match. */
bool ap_pattern_may_begin(const ap_pattern *pattern, ap_str prefix);

#endif

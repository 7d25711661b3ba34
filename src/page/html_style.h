/* The one style element of a page. Its SHA-256 is in the page's Content-Security-Policy, so that the page obeys its own
 * rule: no other style element, no other script, nothing from elsewhere. */
#ifndef AP_PAGE_HTML_STYLE_H
#define AP_PAGE_HTML_STYLE_H

#include "base/str.h"

/* The style's text in parts, NULL behind the last: a C compiler need not take a longer literal than 4095. */
extern const char *const ap_html_style[];

enum { AP_HTML_HASH_SIZE = 64 };
/* "sha256-BASE64=" of the joined parts of a style or a script (W3C Content Security Policy Level 3, hash-source). */
void ap_html_hash(char out[AP_HTML_HASH_SIZE], const char *const *parts);

#endif

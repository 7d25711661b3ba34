/* What a guess makes of a log, for the person who must answer: what was taken, what is asked, and what to type next. */
#ifndef AP_REPORT_GUESS_PAGE_H
#define AP_REPORT_GUESS_PAGE_H

#include "intake/profile_guess.h"
#include "page/doc.h"
#include "page/json.h"

/* `log` and `out`: the paths of the log and of the profile that was written. */
/* The commands that come next, a line each, those that are longer than a line parted as a shell takes them together: the next
 * guess with the answers given and proposed, or check, keep and import. They stand below the page, to be copied. */
void ap_guess_next(ap_buf *out, const ap_guess_told *told, const char *log, const char *profile);
void ap_guess_page(ap_doc *doc, const ap_guess_told *told, const char *log, const char *out);
/* The same in parts, with the profile's `text`; `out`: none when it was written nowhere else. */
void ap_guess_json(ap_json *json, const ap_guess_told *told, ap_str text, const char *log, ap_str out);

#endif

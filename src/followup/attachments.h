/* Files that belong to a write-up: photos, print-outs of the load indicator. A copy lies beside the book, named by its
 * SHA-256 ("oak.book-attachments/<SHA-256>"), so that it can be seen later whether it is still the same. */
#ifndef AP_FOLLOWUP_ATTACHMENTS_H
#define AP_FOLLOWUP_ATTACHMENTS_H

#include "book/writeups.h"

enum { AP_ATTACHMENT_MAX = 64 << 20 };

/* Copies the file and notes it in the book; inside a transaction. Its name is what stands behind the last slash.
 * Errors  AP_E_INPUT: no such file, or no name; AP_E_LIMIT above AP_ATTACHMENT_MAX; AP_E_IO. */
AP_MUST_USE ap_status ap_attachment_add(ap_attachment *out, ap_arena *arena, ap_book *book, int64_t writeup,
                                        const char *path, ap_str says, const ap_book_author *author, ap_error *err);

typedef enum ap_attachment_state { AP_ATTACHMENT_GOOD, AP_ATTACHMENT_GONE, AP_ATTACHMENT_CHANGED } ap_attachment_state;
/* Reads the copy whole. */
ap_attachment_state ap_attachment_check(ap_arena *arena, const ap_book *book, const ap_attachment *file);

#endif

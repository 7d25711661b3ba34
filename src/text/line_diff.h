/* What two texts have in common line by line, and two edits of one text put together.
 *
 * Shape    a text is cut into lines, each with its own ending (LF, CRLF or none at the end); lines are equal when their
 *          bytes are, endings apart, so that an editor of another system changes nothing.
 * Method   shortest edit script by the greedy search of E. Myers 1986, "An O(ND) difference algorithm", Algorithmica
 *          1:251-266; equal lines at both ends are taken first. Beyond AP_LINE_EDITS_MAX edits the middle counts as
 *          changed as a whole: longer than it need be, never wrong.
 * Errors   AP_E_LIMIT above AP_LINES_MAX lines; AP_E_MEMORY. */
#ifndef AP_TEXT_LINE_DIFF_H
#define AP_TEXT_LINE_DIFF_H

#include "base/arena.h"

#define AP_LINE_NONE SIZE_MAX
enum { AP_LINES_MAX = 100000, AP_LINE_EDITS_MAX = 1000 };

typedef struct ap_line_list {
    ap_str *items; /* views on the text, endings included */
    size_t count;
} ap_line_list;

AP_MUST_USE ap_status ap_line_split(ap_line_list *out, ap_arena *arena, ap_str text, ap_error *err);
/* The line without its ending. */
ap_str ap_line_body(ap_str line);

/* (*out)[i] = the line of `b` that line i of `a` stayed, AP_LINE_NONE when it is gone; ascending. */
AP_MUST_USE ap_status ap_line_match(size_t **out, ap_arena *arena, const ap_line_list *a, const ap_line_list *b,
                                    ap_error *err);

/* Lines put before, between and behind two edits of the same place. */
typedef struct ap_line_labels {
    ap_str theirs, ours, end;
} ap_line_labels;

/* Appends `base` with the changes of `ours` and of `theirs`. Where both changed the same lines otherwise, both texts are
 * written, first theirs, each under its label: nothing is lost. *clashes counts those places. */
AP_MUST_USE ap_status ap_line_merge(ap_buf *out, size_t *clashes, ap_arena *arena, ap_str base, ap_str ours,
                                    ap_str theirs, const ap_line_labels *labels, ap_error *err);

/* Appends what changed from `old_text` to `new_text`, for a person: "  " kept, "- " gone, "+ " new, `around` kept lines
 * on either side, "..." for what is left out. Nothing when they are equal. */
AP_MUST_USE ap_status ap_line_diff(ap_buf *out, ap_arena *arena, ap_str old_text, ap_str new_text, size_t around,
                                   ap_error *err);

#endif

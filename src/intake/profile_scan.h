/* The pieces of one line of a profile: words, "texts", /patterns/, marks. */
#ifndef AP_INTAKE_PROFILE_SCAN_H
#define AP_INTAKE_PROFILE_SCAN_H

#include "base/arena.h"

typedef struct ap_scan_line {
    ap_str rest;
    ap_arena *arena;
} ap_scan_line;

/* Each takes its piece and the blanks behind it; false leaves the line where it is. */
bool ap_take_word(ap_str *out, ap_scan_line *line);                   /* letters, digits, _ and - */
bool ap_take_this(ap_scan_line *line, const char *word);              /* that word, or those marks */
bool ap_take_text(ap_str *out, ap_scan_line *line);                   /* "...", with \" \\ \n \t */
bool ap_take_pattern(ap_str *out, char flags[8], ap_scan_line *line); /* /.../i */
bool ap_take_number(int64_t *out, ap_scan_line *line);
/* What is left up to a comment, or up to an unquoted comma when `to_comma`: quotes around all of it fall away. */
bool ap_take_rest(ap_str *out, ap_scan_line *line, bool to_comma);
/* Nothing is left but a comment. */
bool ap_at_end(const ap_scan_line *line);
/* What stands next, short, for a message. */
ap_str ap_next_shown(const ap_scan_line *line);

#endif

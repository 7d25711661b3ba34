/* The text of a write-up: a Markdown file that people edit in any editor and the program fills in places of its own.
 *
 *   W1 The file opens with a header between two lines "---": which write-up it is, of which picks, at which revision.
 *   W2 A part of the program's stands between two marker lines, <!-- afterpick begin NAME CHECK: ... --> and
 *      <!-- afterpick end NAME -->. Everything else is a person's, byte for byte, line endings and BOM included.
 *   W3 CHECK is a hash of the part as the program wrote it. A part whose text no longer fits it was edited by hand: it is
 *      left as it stands and named.
 *   W4 A part that a person took out, both marker lines with it, stays out.
 *   W5 Markers that do not pair, a name that is none, a part twice, a header that cannot be read: refused with the line,
 *      and nothing is changed.
 *
 * docs/writeup.md describes the format. Everything points into the text given in or lives in the arena. */
#ifndef AP_FOLLOWUP_WRITEUP_TEXT_H
#define AP_FOLLOWUP_WRITEUP_TEXT_H

#include "book/writeups.h"

typedef enum ap_writeup_part {
    AP_WRITEUP_DUTIES, /* injury or damage: what comes before any write-up */
    AP_WRITEUP_FACTS,
    AP_WRITEUP_RECONSTRUCTION,
    AP_WRITEUP_CAPACITY,
    AP_WRITEUP_SIMILAR,
    AP_WRITEUP_FINDINGS,
    AP_WRITEUP_SEVERITY,
    AP_WRITEUP_QUESTIONS,
    AP_WRITEUP_ACTIONS,
    AP_WRITEUP_ATTACHMENTS,
    AP_WRITEUP_PART_COUNT
} ap_writeup_part;

enum { AP_WRITEUP_TEXT_MAX = 4 << 20, AP_WRITEUP_TOKEN_SIZE = 17 };

typedef struct ap_writeup_header {
    int64_t id;
    ap_str token; /* 16 hex digits: which book's write-up it is, beside its number */
    int64_t revision;
    ap_str picks; /* "J231/17, J231/18" */
    ap_date opened;
} ap_writeup_header;

typedef struct ap_writeup_place {
    bool there;
    bool by_hand;      /* edited by a person since the program wrote it */
    size_t first_line; /* of the begin marker, from 1 */
    size_t last_line;  /* of the end marker */
    size_t mark_at;    /* bytes: the begin marker's line, */
    size_t at, end;    /* what stands between the marker lines, */
    size_t mark_end;   /* and behind the end marker's line */
} ap_writeup_place;

typedef struct ap_writeup_text {
    ap_str text;
    ap_writeup_header header;
    size_t header_at, header_end; /* bytes of the header with its two lines */
    size_t clash_line;            /* first line that shows two edits of one place; 0 = none */
    ap_writeup_place part[AP_WRITEUP_PART_COUNT];
} ap_writeup_text;

typedef enum ap_writeup_refreshed {
    AP_WRITEUP_SAME,
    AP_WRITEUP_UPDATED,
    AP_WRITEUP_BY_HAND, /* left as a person wrote it */
    AP_WRITEUP_TAKEN_OUT
} ap_writeup_refreshed;

const char *ap_writeup_part_name(ap_writeup_part part); /* "facts" */

/* Errors: AP_E_INPUT with the line, what is wrong with it and what to do (W5); AP_E_LIMIT above AP_WRITEUP_TEXT_MAX. */
AP_MUST_USE ap_status ap_writeup_parse(ap_writeup_text *out, ap_str text, ap_error *err);

/* A new text: the header, every heading, the prompts of the person's parts, and the parts of the program that are not
 * none. `title` stands behind "# ". */
AP_MUST_USE ap_status ap_writeup_compose(ap_buf *out, const ap_writeup_header *header, ap_str title,
                                         const ap_str parts[AP_WRITEUP_PART_COUNT], ap_error *err);

/* The text with the program's parts as they are now and the revision in its header; `state` says what became of each. A
 * part that is none in `parts` is left as it is. */
AP_MUST_USE ap_status ap_writeup_refresh(ap_buf *out, ap_writeup_refreshed state[AP_WRITEUP_PART_COUNT],
                                         const ap_writeup_text *old, const ap_str parts[AP_WRITEUP_PART_COUNT],
                                         int64_t revision, ap_error *err);

/* Two people's edits of one revision put together (text/line_diff.h). The program's parts are those of `theirs`. Where
 * both changed the same lines, both stand one behind the other under a line that says whose; *clashes counts them. `whose`
 * says who kept theirs and when. */
AP_MUST_USE ap_status ap_writeup_merge(ap_buf *out, size_t *clashes, ap_arena *arena, const ap_writeup_text *base,
                                       const ap_writeup_text *ours, const ap_writeup_text *theirs, ap_str whose,
                                       ap_error *err);

/* What a person settled in the text: the title ("# ..."), "Severity settled on: ...", "Probability settled on: ..." and
 * "Signed off on: DATE"; what is blank or gone stays open. Source of the words: MIL-STD-882E, tables I and II.
 * Errors: AP_E_INPUT with the line for a word that is none. */
AP_MUST_USE ap_status ap_writeup_settled(ap_writeup *out, ap_arena *arena, const ap_writeup_text *text, ap_error *err);

#endif

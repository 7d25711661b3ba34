/* Write-ups kept in the book: which picks, every revision of the text, what is attached. What a text means is followup's. */
#ifndef AP_BOOK_WRITEUPS_H
#define AP_BOOK_WRITEUPS_H

#include "book/book.h"

enum { AP_WRITEUP_PICKS_MAX = 32, AP_WRITEUP_BETWEEN = '\x1F' };

typedef struct ap_writeup_new {
    ap_str title;
    ap_str token;                       /* 16 hex digits */
    ap_str told;                        /* answers of a pick in no log; none otherwise */
    ap_str picks[AP_WRITEUP_PICKS_MAX]; /* names */
    int64_t ids[AP_WRITEUP_PICKS_MAX];  /* 0 = not in the book */
    size_t pick_count;
} ap_writeup_new;

typedef struct ap_writeup {
    int64_t id;
    ap_str token;
    ap_str title;
    ap_str severity;    /* none = not settled */
    ap_str probability; /* none = not settled */
    ap_str state;       /* "draft", "signed off", "withdrawn" */
    ap_date opened;
    ap_str told;
    ap_str picks;      /* "J231/17, J231/18", to be read */
    ap_str pick_names; /* the same with AP_WRITEUP_BETWEEN between: a name may hold a comma */
    int64_t revision;
    ap_date stored_on; /* of the last revision */
    ap_str who;
} ap_writeup;

typedef struct ap_writeup_revision {
    int64_t revision;
    ap_str text;
    ap_date stored_on;
    ap_str who;
    ap_str why;
} ap_writeup_revision;

typedef struct ap_attachment {
    ap_str name;
    ap_str sha256;
    int64_t bytes;
    ap_str says;
    ap_date added_on;
    ap_str who;
} ap_attachment;

/* Inside a transaction. */
AP_MUST_USE ap_status ap_book_writeup_open(int64_t *id, ap_book *book, const ap_writeup_new *new_one,
                                           const ap_book_author *author, ap_error *err);
AP_MUST_USE ap_status ap_book_writeup_keep(int64_t *revision, ap_book *book, int64_t id, ap_str text, ap_str why,
                                           const ap_book_author *author, ap_error *err);
/* What a kept text settles; none leaves severity and probability open. */
AP_MUST_USE ap_status ap_book_writeup_settle(ap_book *book, const ap_writeup *writeup, ap_error *err);
AP_MUST_USE ap_status ap_book_writeup_take_up(ap_book *book, int64_t id, int64_t finding, ap_error *err);
AP_MUST_USE ap_status ap_book_writeup_attach(ap_book *book, int64_t id, const ap_attachment *file,
                                             const ap_book_author *author, ap_error *err);

/* The newest first. Everything lives in the arena. */
AP_MUST_USE ap_status ap_book_writeups(ap_writeup **out, size_t *count, ap_arena *arena, ap_book *book, ap_error *err);
/* AP_E_NOT_FOUND when there is none of this number. */
AP_MUST_USE ap_status ap_book_writeup_get(ap_writeup *out, ap_arena *arena, ap_book *book, int64_t id, ap_error *err);
/* A kept text; revision 0 = the last. AP_E_NOT_FOUND when there is none. */
AP_MUST_USE ap_status ap_book_writeup_text(ap_writeup_revision *out, ap_arena *arena, ap_book *book, int64_t id,
                                           int64_t revision, ap_error *err);
AP_MUST_USE ap_status ap_book_writeup_attachments(ap_attachment **out, size_t *count, ap_arena *arena, ap_book *book,
                                                  int64_t id, ap_error *err);

#endif

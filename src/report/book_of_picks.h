/* The book of picks: a linked folder for browsing. Which picks get a page, what the pages are called, and the pages that gather
 * picks: index, species, crane. The page of one pick and of one finding are pick_page.h's and finding_page.h's. */
#ifndef AP_REPORT_BOOK_OF_PICKS_H
#define AP_REPORT_BOOK_OF_PICKS_H

#include "book/writeups.h"
#include "report/review.h"

enum { AP_PICK_BOOK_MOST = 2000, AP_PICK_BOOK_GROUPS_MOST = 500 };

/* Why a pick matters. */
enum { AP_MATTERS_LIMIT = 1, AP_MATTERS_CERTAIN = 2, AP_MATTERS_WRITEUP = 4, AP_MATTERS_LIKELY = 8 };

typedef struct ap_pick_book {
    const ap_review *review;
    size_t *picks;   /* places in the roster, in pick order */
    ap_str *files;   /* "pick-j231-17.html" */
    uint8_t *why;    /* sets of AP_MATTERS_* */
    size_t count;    /* at most AP_PICK_BOOK_MOST, the gravest kept */
    size_t matter;   /* that would have deserved one */
    ap_str *species; /* files by group of review->species, none without a page; the same for cranes */
    ap_str *cranes;
    size_t species_count, crane_count;
} ap_pick_book;

/* Findings of the review, write-ups, picks past the company's limit in the period. Everything lives in the review's arena. */
AP_MUST_USE ap_status ap_pick_book_choose(ap_pick_book *out, const ap_review *review, const ap_writeup *writeups,
                                          size_t writeup_count, ap_error *err);
/* Every pick that has a page is linked to it; `folder` is "" inside the book, "book/" outside. */
void ap_pick_book_link(ap_doc *doc, const ap_pick_book *book, const char *folder);
/* A pick's place in the book, SIZE_MAX without a page. */
size_t ap_pick_book_find(const ap_pick_book *book, size_t pick);

void ap_pick_book_index(ap_doc *doc, const ap_pick_book *book);
void ap_pick_book_species(ap_doc *doc, const ap_pick_book *book, size_t group);
/* The part of a crane's page that the picks tell. */
void ap_pick_book_crane(ap_doc *doc, const ap_pick_book *book, size_t group);
/* The part of a pick's page that leads on: why it is here, findings, species, crane. */
void ap_pick_book_pick(ap_doc *doc, const ap_pick_book *book, size_t at);

#endif

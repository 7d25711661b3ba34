/* A small book in a folder of its own, for tests of the rooms above it. */
#ifndef AP_TESTS_BOOK_FIXTURE_H
#define AP_TESTS_BOOK_FIXTURE_H

#include "book/imports.h"
#include "support/check.h"

typedef struct book_fixture {
    char folder[256];
    char path[320];
    ap_book *book;
    int64_t import_id;
    int64_t file_id;
    ap_pick_writer *writer;
    int64_t line;
    int64_t fresh;    /* picks this import stored */
    ap_stored stored; /* what became of the last offer */
    int differs;
} book_fixture;

/* A role and a day; 2026-10-05. */
ap_book_author fixture_author(void);
ap_date fixture_date(const char *iso);

void fixture_make(book_fixture *it);   /* a fresh book, open for writing */
void fixture_remove(book_fixture *it); /* closes and removes everything */
void fixture_reopen(book_fixture *it, ap_book_mode mode);

/* Begins a transaction, an import and its one file (the digit makes the SHA-256 its own). */
void fixture_import_begin(book_fixture *it, const char *path, char digit);
void fixture_import_end(book_fixture *it); /* counts and commits */

/* A pick that can be stored: blank but for job, pick, date, species and a measured weight in pounds read to 1 lb. */
ap_pick fixture_pick(book_fixture *it, const char *job, const char *pick, const char *date, double pounds);
void fixture_set_quantity(ap_pick *pick, int column, double value, ap_unit unit, uint8_t quantum);
void fixture_offer(book_fixture *it, const ap_pick *pick, const char *part);
/* One import of one pick from file to commit. */
void fixture_store(book_fixture *it, const ap_pick *pick, char digit);
/* Runs statements on a connection of its own. */
void fixture_change(const book_fixture *it, const char *sql);
/* First column of the first row of a statement, on a connection of its own. */
int64_t fixture_number(const book_fixture *it, const char *sql);

#endif

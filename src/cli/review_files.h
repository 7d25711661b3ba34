/* The files of a review. Private to that command. */
#ifndef AP_CLI_REVIEW_FILES_H
#define AP_CLI_REVIEW_FILES_H

#include "cli/cli.h"
#include "page/write.h"
#include "report/book_of_picks.h"

enum { AP_REVIEW_FILES_MOST = 8 };

/* What was written, as it is told: JSON key and path below the folder. */
typedef struct ap_review_files {
    const char *key[AP_REVIEW_FILES_MOST];
    const char *name[AP_REVIEW_FILES_MOST];
    size_t count;
    size_t with_page, matter; /* picks of the book */
    size_t removed, left;     /* its pages of an earlier review: taken away; changed by somebody and left */
} ap_review_files;

typedef ap_status (*ap_page_writer)(ap_sink *sink, const ap_doc *doc, ap_error *err);

/* One page into FOLDER/NAME; told in `files`. */
AP_MUST_USE ap_status ap_review_write(ap_review_files *files, ap_cli *cli, const char *folder, const char *key,
                                      const char *name, const ap_doc *doc, ap_page_writer write, ap_error *err);
AP_MUST_USE ap_status ap_review_choose_picks(ap_pick_book *book, ap_cli *cli, const ap_review *review, ap_error *err);
/* FOLDER/book/, every page of it. */
AP_MUST_USE ap_status ap_review_write_book(ap_review_files *files, ap_cli *cli, const ap_pick_book *book,
                                           const char *folder, ap_error *err);

#endif

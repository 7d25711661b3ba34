/* What `afterpick check` found, in words: the book, what needs a person, how well the logs are kept, the machine. */
#ifndef AP_REPORT_CHECK_PAGE_H
#define AP_REPORT_CHECK_PAGE_H

#include "analysis/kept_check.h"
#include "analysis/upkeep.h"
#include "book/sources.h"
#include "figure/gnuplot_check.h"
#include "intake/log_copy.h"
#include "page/doc.h"
#include "page/json.h"
#include "report/problems_page.h"

enum { AP_CHECK_VERSIONS = 6, AP_CHECK_NOTES_MAX = 4 };

typedef struct ap_check {
    ap_str book;
    int version; /* of its tables */
    int damages;
    ap_str damage_says; /* one line each */
    ap_source_counts counts;
    ap_problems problems;
    ap_upkeep upkeep;
    ap_copies copies;
    ap_kept_check kept;
    ap_str rights[AP_CHECK_NOTES_MAX]; /* who else may write the book or its folder; each needs a person */
    size_t rights_count;
    ap_gnuplot gnuplot;
    struct {
        const char *name;
        ap_str version;
    } versions[AP_CHECK_VERSIONS];
} ap_check;

bool ap_check_needs_person(const ap_check *check);
void ap_check_page(ap_doc *doc, const ap_check *check);
/* One row a thing that needs a person, for a spreadsheet. */
void ap_check_table(ap_doc *doc, const ap_check *check);
/* docs/json.md, "check". */
void ap_check_json(ap_json *json, const ap_check *check);

#endif

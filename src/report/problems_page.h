/* Rows set aside and second readings, one by one, with what mends them. */
#ifndef AP_REPORT_PROBLEMS_PAGE_H
#define AP_REPORT_PROBLEMS_PAGE_H

#include "book/problems.h"
#include "intake/row_again.h"
#include "page/doc.h"
#include "page/json.h"
#include "report/weights_page.h"

typedef struct ap_problem_filter {
    ap_str file; /* the log's name as given, or its last part; none = any */
    ap_period period;
    bool all; /* dropped and decided ones too */
    bool names;
} ap_problem_filter;

typedef enum ap_problem_state { AP_PROBLEM_OPEN, AP_PROBLEM_STORED_SINCE, AP_PROBLEM_DROPPED } ap_problem_state;

typedef struct ap_problem_row {
    ap_aside aside;
    ap_row_again again;
    ap_str stored_since; /* the pick's name; none when no later file brought it */
    ap_problem_state state;
} ap_problem_row;

typedef struct ap_problems {
    ap_problem_row *rows;
    size_t row_count;
    size_t rows_open;
    ap_conflict_list conflicts;
    size_t conflicts_open;
} ap_problems;

/* A row belongs to the period of its date cell; one whose date can not be read belongs to every period. */
AP_MUST_USE ap_status ap_problems_read(ap_problems *out, ap_arena *arena, ap_book *book,
                                       const ap_problem_filter *filter, ap_error *err);
/* `file` as given, or by its last part. */
bool ap_problem_file_is(ap_str path, ap_str file);

void ap_problems_page(ap_doc *doc, const ap_problems *problems, const ap_problem_filter *filter);
/* One row a problem; a conflict has one a differing value. */
void ap_problems_table(ap_doc *doc, const ap_problems *problems, const ap_problem_filter *filter);
/* docs/json.md, "problems". */
void ap_problems_json(ap_json *json, ap_arena *arena, const ap_problems *problems, const ap_problem_filter *filter);
void ap_conflicts_json(ap_json *json, ap_arena *arena, const ap_conflict_list *conflicts, bool names);

#endif

#include "book/sources.h"

#include "book/handle.h"

const char *ap_book_sqlite_version(void) {
    return sqlite3_libversion();
}

ap_status ap_book_source_counts(ap_source_counts *out, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "check_counts", err);
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK && row) {
        *out = (ap_source_counts){.imports = ap_query_int(query, 0),
                                  .undone = ap_query_int(query, 1),
                                  .files = ap_query_int(query, 2),
                                  .picks = ap_query_int(query, 3),
                                  .amended = ap_query_int(query, 4),
                                  .warnings = ap_query_int(query, 5)};
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_each_log_file(ap_book *book, ap_log_file_fn each, void *context, ap_error *err) {
    ap_query *query = NULL;
    bool row = true;
    ap_status status = ap_query_open(&query, book, "check_files", err);
    while (status == AP_OK && row) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            const ap_log_file file = {ap_query_int(query, 0), ap_query_text(query, 1), ap_query_text(query, 2)};
            status = each(context, &file, err);
        }
    }
    ap_query_close(query);
    return status;
}

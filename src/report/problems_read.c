#include "report/problems_page.h"

bool ap_problem_file_is(ap_str path, ap_str file) {
    if (!file.ptr || ap_str_equal(path, file)) {
        return true;
    }
    size_t start = path.len;
    while (start > 0 && path.ptr[start - 1] != '/') {
        start--;
    }
    return ap_str_equal((ap_str){path.ptr + start, path.len - start}, file);
}

static bool in_period(ap_date date, ap_period period) {
    return date == AP_DATE_NONE || ((period.since == AP_DATE_NONE || date >= period.since) &&
                                    (period.until == AP_DATE_NONE || date <= period.until));
}

static ap_status read_row(ap_problem_row *out, ap_arena *arena, ap_book *book, const ap_aside *aside, ap_error *err) {
    *out = (ap_problem_row){.aside = *aside, .stored_since = AP_STR_NONE};
    ap_status status = ap_row_again_read(&out->again, arena, aside, err);
    if (status == AP_OK && out->again.job.len && out->again.pick.len) {
        status =
            ap_book_stored_since(&out->stored_since, arena, book, aside->file_id, out->again.job, out->again.pick, err);
    }
    out->state = aside->dropped_on != AP_DATE_NONE ? AP_PROBLEM_DROPPED
                 : out->stored_since.len           ? AP_PROBLEM_STORED_SINCE
                                                   : AP_PROBLEM_OPEN;
    return status;
}

static ap_status read_rows(ap_problems *out, ap_arena *arena, ap_book *book, const ap_problem_filter *filter,
                           ap_error *err) {
    ap_aside_list asides;
    ap_status status = ap_book_asides(&asides, arena, book, filter->all, err);
    if (status != AP_OK || asides.count == 0) {
        return status;
    }
    out->rows = ap_arena_alloc_array(arena, asides.count, sizeof *out->rows);
    if (!out->rows) {
        return ap_arena_check(arena, "the problems", err);
    }
    for (size_t i = 0; i < asides.count && status == AP_OK; i++) {
        ap_problem_row *row = &out->rows[out->row_count];
        if (!ap_problem_file_is(asides.items[i].file, filter->file)) {
            continue;
        }
        status = read_row(row, arena, book, &asides.items[i], err);
        if (status == AP_OK && in_period(row->again.date, filter->period)) {
            out->rows_open += row->state == AP_PROBLEM_OPEN;
            out->row_count++;
        }
    }
    return status;
}

static ap_status read_conflicts(ap_problems *out, ap_arena *arena, ap_book *book, const ap_problem_filter *filter,
                                ap_error *err) {
    const ap_conflict_filter wanted = {
        .all = filter->all, .since = filter->period.since, .until = filter->period.until};
    ap_status status = ap_book_conflicts(&out->conflicts, arena, book, &wanted, err);
    size_t kept = 0;
    for (size_t i = 0; status == AP_OK && i < out->conflicts.count; i++) {
        const ap_conflict *conflict = &out->conflicts.items[i];
        if (ap_problem_file_is(conflict->file, filter->file) ||
            ap_problem_file_is(conflict->stored_file, filter->file)) {
            out->conflicts_open += conflict->open;
            out->conflicts.items[kept++] = *conflict;
        }
    }
    out->conflicts.count = status == AP_OK ? kept : 0;
    return status;
}

ap_status ap_problems_read(ap_problems *out, ap_arena *arena, ap_book *book, const ap_problem_filter *filter,
                           ap_error *err) {
    *out = (ap_problems){0};
    ap_status status = read_rows(out, arena, book, filter, err);
    return status == AP_OK ? read_conflicts(out, arena, book, filter, err) : status;
}

#include "intake/row_again.h"

#include "text/delimited.h"
#include "text/when.h"

/* "semicolon, UTF-8, ..." Rows of other kinds of logs are kept as comma-separated text. */
static char delimiter_of(ap_str dialect) {
    return ap_str_starts(dialect, AP_STR_LIT("semicolon")) ? ';'
           : ap_str_starts(dialect, AP_STR_LIT("tab"))     ? '\t'
           : ap_str_starts(dialect, AP_STR_LIT("pipe"))    ? '|'
                                                           : ',';
}

static ap_date_order order_of(ap_str text) {
    return ap_str_starts(text, AP_STR_LIT("m/d/y"))   ? AP_DATES_MDY
           : ap_str_starts(text, AP_STR_LIT("d/m/y")) ? AP_DATES_DMY
                                                      : AP_DATES_ISO;
}

static ap_str cell_at(const ap_row *row, int position) {
    return position > 0 && (size_t)position <= row->count ? ap_str_trim(row->cells[position - 1]) : AP_STR_NONE;
}

ap_status ap_row_again_read(ap_row_again *out, ap_arena *arena, const ap_aside *aside, ap_error *err) {
    *out = (ap_row_again){.date = AP_DATE_NONE};
    /* A line of a text log or an object has no cells to split into. */
    if (aside->raw.len == 0 || ap_str_starts(aside->dialect, AP_STR_LIT("text log")) ||
        ap_str_starts(aside->dialect, AP_STR_LIT("JSON Lines"))) {
        return AP_OK;
    }
    ap_str from = aside->raw;
    ap_delimited *reader = NULL;
    const ap_delimited_options options = {.delimiter = delimiter_of(aside->dialect)};
    ap_row row = {0};
    bool more = false;
    ap_status status = ap_delimited_new(&reader, ap_read_from_str, &from, &options, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_delimited_next(&row, &more, reader, err);
    if (status == AP_OK && more && !row.trouble) {
        ap_refusal why;
        out->job = ap_arena_str(arena, cell_at(&row, aside->job_column));
        out->pick = ap_arena_str(arena, cell_at(&row, aside->pick_column));
        ap_str date = cell_at(&row, aside->date_column);
        if (date.len == 0 || !ap_when_read_date(&out->date, date, order_of(aside->date_order), &why)) {
            out->date = AP_DATE_NONE;
        }
        status = ap_arena_check(arena, "a row set aside", err);
    }
    ap_delimited_free(reader);
    return status;
}

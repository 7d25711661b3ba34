/* Any bytes as a profile, and what follows a NUL as a text log read by it. What must hold:
 *  - a profile is read, or refused with a sentence that names it;
 *  - what was read is whole: a name, every needed field given by something, bounds kept, patterns in order;
 *  - reading the same text again gives the same profile;
 *  - a text log has a row for every line or block, with a cell for every column; a value is never endless. */
#include "intake/text_rows.h"
#include "require.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static ap_book *book;

static void close_book(void) {
    ap_book_close(book);
}

static void check_profile(const ap_profile *profile) {
    require(profile->name.len > 0 && profile->name.len <= AP_PROFILE_NAME_MAX);
    require(profile->column_count <= AP_PROFILE_COLUMNS_MAX && profile->pattern_count <= AP_PROFILE_PATTERNS_MAX);
    bool given[AP_COLUMN_COUNT] = {false};
    for (size_t i = 0; i < profile->column_count; i++) {
        const ap_profile_column *column = &profile->columns[i];
        require(column->field >= -1 && column->field < AP_COLUMN_COUNT);
        require(column->header.len > 0 || column->number > 0 || profile->find_count > 0);
        if (column->field >= 0) {
            require(!given[column->field]);
            given[column->field] = true;
            require(column->unit == AP_UNIT_NONE || ap_unit_dim(column->unit) == ap_field_get(column->field)->dim);
        }
    }
    for (size_t i = 0; i < profile->constant_count; i++) {
        given[profile->constants[i].field] = true;
    }
    for (size_t i = 0; i < profile->also_count; i++) {
        given[profile->alsos[i].field] = true;
    }
    require(given[AP_F_job] && given[AP_F_date] && given[AP_F_species]);
    require(given[AP_F_pick] || profile->count_picks);
    require(given[AP_F_planned_weight] || given[AP_F_measured_weight]);
    for (size_t i = 0; i < profile->pattern_count; i++) {
        for (size_t k = 0; k < profile->patterns[i].group_count; k++) {
            require(profile->patterns[i].groups[k].column < profile->column_count);
        }
    }
}

typedef struct feed {
    ap_str rest;
} feed;

static ap_status feed_read(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    (void)err;
    feed *from = context;
    *got = from->rest.len < cap ? from->rest.len : cap;
    if (*got) {
        memcpy(bytes, from->rest.ptr, *got);
        from->rest.ptr += *got;
        from->rest.len -= *got;
    }
    return AP_OK;
}

static void read_log(const ap_profile *profile, ap_str log) {
    feed from = {log};
    ap_text_rows *rows = NULL;
    ap_buf space;
    int64_t last = 0;
    ap_buf_init(&space, 1u << 16);
    require(ap_text_rows_new(&rows, feed_read, &from, profile, book, NULL) == AP_OK);
    for (int n = 0; n < 2000; n++) {
        ap_row row;
        bool more = false;
        ap_error err;
        ap_error_clear(&err);
        const ap_status status = ap_text_rows_next(&row, &more, rows, &err);
        require(status == AP_OK || status == AP_E_MEMORY || status == AP_E_INTERNAL);
        if (status != AP_OK || !more) {
            break;
        }
        require(row.line > last && row.line_last >= row.line && row.count == profile->column_count + 1);
        last = row.line_last;
        for (size_t i = 0; i < row.count; i++) {
            require(row.cells[i].ptr != NULL);
            const int field = i ? profile->columns[i - 1].field : -1;
            ap_str out = row.cells[i];
            if (field >= 0 && profile->values[field].count && row.cells[i].len) {
                const ap_status mapped = ap_profile_value_of(&out, &profile->values[field], row.cells[i], &space, NULL);
                require(mapped == AP_OK || mapped == AP_E_LIMIT);
            }
        }
    }
    ap_text_rows_free(rows);
    ap_buf_release(&space);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    ap_str log = AP_STR_NONE;
    const ap_str text = ap_str_split((ap_str){(const char *)data, size}, '\0', &log);
    ap_profile *profile = NULL;
    ap_profile *again = NULL;
    ap_error err;
    ap_error_clear(&err);
    if (!book) {
        require(ap_book_open_seed(&book, &err) == AP_OK);
        atexit(close_book);
    }
    const ap_status status = ap_profile_read(&profile, text, "fuzz", &err);
    require(status == AP_OK || strstr(err.text, "the profile 'fuzz'"));
    if (status != AP_OK) {
        return 0;
    }
    check_profile(profile);
    require(ap_profile_read(&again, profile->text, "fuzz", &err) == AP_OK);
    require(ap_str_equal(again->name, profile->name) && again->column_count == profile->column_count &&
            again->value_count == profile->value_count && again->sample_count == profile->sample_count);
    ap_profile_free(again);
    if (profile->kind != AP_PROFILE_TABLE && log.len) {
        read_log(profile, log);
    }
    ap_profile_free(profile);
    return 0;
}

#include "book/cranes.h"

#include "base/pick.h"

static double or_none(double value) {
    return value > 0 ? value : (double)NAN;
}

static ap_status read_calibrations(ap_crane *crane, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_calibration found[AP_CALIBRATIONS_MAX];
    size_t count = 0;
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "crane_calibrations", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":crane", crane->id);
    }
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row && count < AP_CALIBRATIONS_MAX) {
            found[count++] = (ap_calibration){.on = ap_query_date(query, 0),
                                              .factor = ap_query_real(query, 1),
                                              .band = ap_query_real(query, 2),
                                              .source = ap_arena_str(arena, ap_query_text(query, 3))};
        }
    }
    ap_query_close(query);
    ap_calibration *kept = status == AP_OK && count ? ap_arena_alloc_array(arena, count, sizeof *kept) : NULL;
    if (kept) {
        memcpy(kept, found, count * sizeof *kept);
        crane->calibrations = kept;
        crane->calibration_count = count;
    }
    return status;
}

static ap_status read_chart(ap_crane *crane, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_buf rows;
    ap_buf_init(&rows, AP_CHART_ROWS_MAX * sizeof(ap_capacity_row));
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "crane_chart", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":crane", crane->id);
    }
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            const ap_capacity_row one = {or_none(ap_query_real(query, 0)), ap_query_real(query, 1),
                                         ap_query_real(query, 2)};
            ap_buf_append(&rows, &one, sizeof one);
        }
    }
    ap_query_close(query);
    if (status == AP_OK) {
        status = ap_buf_check(&rows, "the load chart of a crane", err);
    }
    ap_capacity_row *kept = status == AP_OK && rows.len ? ap_arena_alloc(arena, rows.len) : NULL;
    if (kept) {
        memcpy(kept, rows.ptr, rows.len);
        crane->chart = kept;
        crane->chart_count = rows.len / sizeof *kept;
    }
    ap_buf_release(&rows);
    return status;
}

static ap_status read_names(ap_crane **out, size_t *count, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    size_t cap = 0;
    ap_status status = ap_query_open(&query, book, "crane_list", err);
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status != AP_OK || !row) {
            break;
        }
        if (*count == AP_CRANES_MAX) {
            status = ap_error_set(err, AP_E_LIMIT, "the book holds more than %d cranes", (int)AP_CRANES_MAX);
            break;
        }
        if (*count == cap) {
            ap_crane *wider = ap_arena_alloc_array(arena, cap ? cap * 2 : 16, sizeof *wider);
            if (!wider) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory for the cranes");
                break;
            }
            if (cap) {
                memcpy(wider, *out, cap * sizeof *wider);
            }
            *out = wider;
            cap = cap ? cap * 2 : 16;
        }
        ap_str weighed_as = ap_query_text(query, 3);
        (*out)[(*count)++] = (ap_crane){.id = ap_query_int(query, 0),
                                        .name = ap_arena_str(arena, ap_query_text(query, 1)),
                                        .block_weight_kg = ap_query_real(query, 2),
                                        .weighed_as = weighed_as.len ? ap_word_find(AP_VOC_WEIGHED_AS, weighed_as) : 0,
                                        .band = ap_query_real(query, 4)};
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_cranes(const ap_crane **out, size_t *count, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_crane *cranes = NULL;
    *out = NULL;
    *count = 0;
    ap_status status = read_names(&cranes, count, arena, book, err);
    for (size_t i = 0; status == AP_OK && i < *count; i++) {
        status = read_calibrations(&cranes[i], arena, book, err);
        if (status == AP_OK) {
            status = read_chart(&cranes[i], arena, book, err);
        }
    }
    *out = cranes;
    return status == AP_OK ? ap_arena_check(arena, "the cranes", err) : status;
}

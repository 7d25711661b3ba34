#include "base/pick.h"
#include "book/cranes.h"
#include "book/handle.h"

enum { HISTORY_MAX = 2000, CHART_TEXT_MAX = 1 << 20, SHORT_TEXT_MAX = 4096 };

ap_status ap_book_crane_uses(ap_crane_use **out, size_t *count, size_t *left_out, ap_arena *arena, ap_book *book,
                             ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    *left_out = 0;
    *out = ap_arena_alloc_array(arena, AP_CRANES_MAX, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the cranes");
    }
    ap_status status = ap_query_open(&query, book, "crane_uses", err);
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row && *count == AP_CRANES_MAX) {
            (*left_out)++;
        } else if (status == AP_OK && row) {
            (*out)[(*count)++] = (ap_crane_use){.name = ap_arena_str(arena, ap_query_text(query, 0)),
                                                .picks = ap_query_int(query, 1),
                                                .first = ap_query_date(query, 2),
                                                .last = ap_query_date(query, 3)};
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the cranes", err) : status;
}

ap_status ap_book_crane_history(ap_entry_change **out, size_t *count, ap_arena *arena, ap_book *book, ap_str name,
                                ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    *out = ap_arena_alloc_array(arena, HISTORY_MAX, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the history of a crane");
    }
    ap_status status = ap_query_open(&query, book, "crane_history_list", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":crane", name);
    }
    for (bool row = true; status == AP_OK && row && *count < HISTORY_MAX;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            /* Of a chart kept whole only the line that says what it was. */
            ap_str rest = AP_STR_NONE;
            ap_str old_value = ap_str_split(ap_query_text(query, 1), '\n', &rest);
            (*out)[(*count)++] = (ap_entry_change){.field = ap_arena_str(arena, ap_query_text(query, 0)),
                                                   .old_value = ap_arena_str(arena, old_value),
                                                   .new_value = ap_arena_str(arena, ap_query_text(query, 2)),
                                                   .on = ap_arena_str(arena, ap_query_text(query, 3)),
                                                   .who = ap_arena_str(arena, ap_query_text(query, 4)),
                                                   .why = ap_arena_str(arena, ap_query_text(query, 5))};
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the history of a crane", err) : status;
}

static ap_status check_name(ap_str name, ap_error *err) {
    if (ap_str_is_blank(name)) {
        return ap_error_set(err, AP_E_INPUT, "a crane needs a name: write it as the logs do");
    }
    if (name.len > AP_CRANE_NAME_MAX || !ap_utf8_is_valid(name)) {
        return ap_error_set(err, AP_E_INPUT, "a crane's name is text of at most %d bytes", (int)AP_CRANE_NAME_MAX);
    }
    for (size_t i = 0; i < name.len; i++) {
        if ((unsigned char)name.ptr[i] < ' ' || name.ptr[i] == 0x7f) {
            return ap_error_set(err, AP_E_INPUT, "a crane's name holds a control character: write it as the logs do");
        }
    }
    return AP_OK;
}

typedef struct stored {
    int64_t id;
    double block_weight_kg;
    double band;
    ap_str weighed_as; /* "net", "gross" or none */
} stored;

static ap_status find(bool *found, stored *out, ap_book *book, ap_str name, ap_error *err) {
    ap_query *query = NULL;
    *found = false;
    ap_status status = ap_query_open(&query, book, "crane_get", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", name);
        status = ap_query_step(found, query, err);
    }
    if (status == AP_OK && *found) {
        ap_str weighed_as = ap_query_text(query, 3);
        *out = (stored){.id = ap_query_int(query, 0),
                        .block_weight_kg = ap_query_real(query, 2),
                        .weighed_as = ap_str_equal_word(weighed_as, "net")     ? AP_STR_LIT("net")
                                      : ap_str_equal_word(weighed_as, "gross") ? AP_STR_LIT("gross")
                                                                               : AP_STR_NONE,
                        .band = ap_query_real(query, 4)};
    }
    ap_query_close(query);
    return status;
}

/* The crane of an edit, entered when it was not. */
static ap_status open_crane(stored *out, ap_book *book, const ap_crane_edit *edit, ap_error *err) {
    bool found = false;
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = check_name(edit->name, err);
    }
    if (status == AP_OK) {
        status = find(&found, out, book, edit->name, err);
    }
    if (status != AP_OK || found) {
        return status;
    }
    status = ap_query_open(&query, book, "crane_insert", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", edit->name);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    *out = (stored){.id = ap_book_last_row(book), .block_weight_kg = NAN, .band = NAN};
    return status;
}

static ap_status keep_history(ap_book *book, const ap_crane_edit *edit, const char *field, ap_str old_value,
                              ap_str new_value, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "crane_history_insert", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":crane", edit->name);
        ap_query_bind_text(query, ":field", ap_str_from(field));
        ap_query_bind_text(query, ":old_value", old_value.len ? old_value : AP_STR_NONE);
        ap_query_bind_text(query, ":new_value", new_value.len ? new_value : AP_STR_NONE);
        ap_query_bind_date(query, ":today", edit->author->today);
        ap_query_bind_text(query, ":who", edit->author->role.ptr ? edit->author->role : AP_STR_LIT(""));
        ap_query_bind_text(query, ":why", edit->why.ptr ? edit->why : AP_STR_LIT(""));
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_status check_default(ap_crane_field field, double value, ap_error *err) {
    switch (field) {
    case AP_CRANE_BLOCK_WEIGHT:
        return isnan(value) || (value >= 0 && value <= 5000)
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT, "block_weight must be from 0 to 5,000 kg");
    case AP_CRANE_WEIGHED_AS:
        return isnan(value) || value == AP_WEIGHED_AS_NET || value == AP_WEIGHED_AS_GROSS
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT, "weighed_as is net or gross");
    case AP_CRANE_BAND:
        return isnan(value) || (value >= 0 && value < 0.5)
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT, "band is the indicator's largest error, from 0 to below 50 %%");
    }
    return ap_error_set(err, AP_E_INTERNAL, "no such field of a crane");
}

ap_status ap_book_crane_set(ap_book *book, const ap_crane_edit *edit, ap_crane_field field, double value,
                            ap_str written, ap_error *err) {
    static const char *const names[] = {"block_weight", "weighed_as", "band"};
    stored crane;
    ap_query *query = NULL;
    char before[64] = "";
    ap_status status = check_default(field, value, err);
    if (status == AP_OK) {
        status = open_crane(&crane, book, edit, err);
    }
    if (status != AP_OK) {
        return status;
    }
    if (field == AP_CRANE_BLOCK_WEIGHT && !isnan(crane.block_weight_kg)) {
        snprintf(before, sizeof before, "%.6g kg", crane.block_weight_kg);
    } else if (field == AP_CRANE_BAND && !isnan(crane.band)) {
        snprintf(before, sizeof before, "%.6g %%", 100 * crane.band);
    } else if (field == AP_CRANE_WEIGHED_AS) {
        snprintf(before, sizeof before, "%.*s", AP_STR_ARG(crane.weighed_as));
    }
    status = keep_history(book, edit, names[field], ap_str_from(before), written, err);
    if (field == AP_CRANE_BLOCK_WEIGHT) {
        crane.block_weight_kg = value;
    } else if (field == AP_CRANE_BAND) {
        crane.band = value;
    } else {
        const char *word = value > 0 ? ap_word_get(AP_VOC_WEIGHED_AS, (int)value) : NULL;
        crane.weighed_as = word ? ap_str_from(word) : AP_STR_NONE;
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "crane_put", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":crane", crane.id);
        ap_query_bind_real(query, ":block_weight_kg", crane.block_weight_kg);
        ap_query_bind_text(query, ":weighed_as", crane.weighed_as);
        ap_query_bind_real(query, ":band", crane.band);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

static void say_calibration(ap_buf *out, ap_date on, double factor, double band, ap_str source) {
    char day[AP_ISO_SIZE];
    ap_date_to_iso(day, on);
    ap_buf_appendf(out, "%s: factor %.6g", day, factor);
    if (!isnan(band)) {
        ap_buf_appendf(out, ", band %.6g %%", 100 * band);
    }
    ap_buf_appendf(out, ", %.*s", AP_STR_ARG(source));
}

/* What was entered for a day, in words; "" for nothing. */
static ap_status calibration_before(ap_buf *out, ap_book *book, int64_t crane, ap_date on, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "crane_calibrations", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":crane", crane);
    }
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row && ap_query_date(query, 0) == on) {
            say_calibration(out, on, ap_query_real(query, 1), ap_query_real(query, 2), ap_query_text(query, 3));
        }
    }
    ap_query_close(query);
    return status;
}

static ap_status check_calibration(const ap_calibration *c, ap_error *err) {
    if (!isnan(c->factor) && !(c->factor > 0.5 && c->factor < 2)) {
        return ap_error_set(err, AP_E_INPUT,
                            "factor is true load over indicated load, above 0.5 and below 2: an indicator that shows "
                            "5,000 lb for 4,850 lb has 0.97");
    }
    if (!isnan(c->band) && !(c->band >= 0 && c->band < 0.5)) {
        return ap_error_set(err, AP_E_INPUT, "band is the largest error left, from 0 to below 50 %%");
    }
    if (!isnan(c->factor) && ap_str_is_blank(c->source)) {
        return ap_error_set(err, AP_E_INPUT, "a calibration needs its source: source=\"certificate 12\"");
    }
    return AP_OK;
}

ap_status ap_book_crane_calibrate(ap_book *book, const ap_crane_edit *edit, const ap_calibration *c, ap_error *err) {
    bool drop = isnan(c->factor);
    stored crane;
    ap_query *query = NULL;
    ap_buf before;
    ap_buf after;
    ap_buf_init(&before, SHORT_TEXT_MAX);
    ap_buf_init(&after, SHORT_TEXT_MAX);
    ap_status status = check_calibration(c, err);
    if (status == AP_OK) {
        status = open_crane(&crane, book, edit, err);
    }
    if (status == AP_OK) {
        status = calibration_before(&before, book, crane.id, c->on, err);
    }
    if (status == AP_OK && drop && before.len == 0) {
        char day[AP_ISO_SIZE];
        ap_date_to_iso(day, c->on);
        status = ap_error_set(err, AP_E_NOT_FOUND, "no calibration of %s is entered for '%.*s'", day,
                              AP_STR_ARG(edit->name));
    }
    if (status == AP_OK && !drop) {
        say_calibration(&after, c->on, c->factor, c->band, c->source);
        status = ap_buf_check(&after, "the calibration", err);
    }
    if (status == AP_OK) {
        status = keep_history(book, edit, "calibration", ap_buf_str(&before), ap_buf_str(&after), err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, drop ? "crane_calibration_drop" : "crane_calibration_put", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":crane", crane.id);
        ap_query_bind_date(query, ":on", c->on);
        if (!drop) {
            ap_query_bind_real(query, ":factor", c->factor);
            ap_query_bind_real(query, ":band", c->band);
            ap_query_bind_text(query, ":source", c->source);
        }
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    ap_buf_release(&before);
    ap_buf_release(&after);
    return status;
}

/* The old chart whole, under a line that says what it was; "" when there was none. */
static ap_status chart_before(ap_buf *out, ap_book *book, int64_t crane, ap_error *err) {
    ap_query *query = NULL;
    ap_buf rows;
    size_t count = 0;
    ap_buf_init(&rows, CHART_TEXT_MAX);
    ap_status status = ap_query_open(&query, book, "crane_chart", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":crane", crane);
    }
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            ap_buf_appendf(&rows, "\n%.10g,%.10g,%.10g", ap_query_real(query, 0), ap_query_real(query, 1),
                           ap_query_real(query, 2));
            count++;
        }
    }
    ap_query_close(query);
    if (status == AP_OK && count) {
        ap_buf_appendf(out, "%zu row%s\nboom_length_m,radius_m,capacity_kg", count, count == 1 ? "" : "s");
        ap_buf_append_str(out, ap_buf_str(&rows));
        status = ap_buf_check(out, "the old load chart", err);
    }
    ap_buf_release(&rows);
    return status;
}

static ap_status insert_rows(ap_book *book, int64_t crane, const ap_capacity_row *rows, size_t count, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "crane_chart_insert", err);
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        ap_query_bind_int(query, ":crane", crane);
        ap_query_bind_real(query, ":boom", isnan(rows[i].boom_m) ? 0 : rows[i].boom_m);
        ap_query_bind_real(query, ":radius", rows[i].radius_m);
        ap_query_bind_real(query, ":capacity", rows[i].capacity_kg);
        status = ap_query_run(query, err);
        if (status == AP_OK) {
            status = ap_query_reset(query, err);
        }
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_crane_chart(ap_book *book, const ap_crane_edit *edit, const ap_capacity_row *rows, size_t count,
                              ap_str says, ap_error *err) {
    stored crane;
    ap_query *query = NULL;
    ap_buf before;
    ap_buf_init(&before, CHART_TEXT_MAX);
    ap_status status = count <= AP_CHART_ROWS_MAX
                           ? open_crane(&crane, book, edit, err)
                           : ap_error_set(err, AP_E_LIMIT, "a load chart of more than %d rows", (int)AP_CHART_ROWS_MAX);
    if (status == AP_OK) {
        status = chart_before(&before, book, crane.id, err);
    }
    if (status == AP_OK && count == 0 && before.len == 0) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "no load chart is entered for '%.*s'", AP_STR_ARG(edit->name));
    }
    if (status == AP_OK) {
        status = keep_history(book, edit, "chart", ap_buf_str(&before), says, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "crane_chart_drop", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":crane", crane.id);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    if (status == AP_OK) {
        status = insert_rows(book, crane.id, rows, count, err);
    }
    ap_buf_release(&before);
    return status;
}

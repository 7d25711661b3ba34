#include "book/merge_amendments.h"

#include "base/pick.h"
#include "book/handle.h"

enum {
    AT_JOB,
    AT_PICK,
    AT_FIELD,
    AT_OLD,
    AT_OLD_SI,
    AT_OLD_WRITTEN,
    AT_NEW,
    AT_NEW_SI,
    AT_NEW_WRITTEN,
    AT_DAY,
    AT_WHO,
    AT_WHY,
    TEXT_MAX = 1 << 20
};

/* The number of the pick here; 0 when it was not stored by this import. */
static ap_status find_pick(int64_t *id, ap_query *find, const ap_query *its, ap_error *err) {
    bool row = false;
    *id = 0;
    ap_query_bind_text(find, ":job", ap_query_text(its, AT_JOB));
    ap_query_bind_text(find, ":pick", ap_query_text(its, AT_PICK));
    ap_status status = ap_query_step(&row, find, err);
    if (status == AP_OK && row) {
        *id = ap_query_int(find, 0);
    }
    return status == AP_OK ? ap_query_reset(find, err) : status;
}

static ap_status write_down(ap_query *insert, const ap_query *its, int64_t pick, ap_buf *text, ap_str name,
                            ap_error *err) {
    const ap_str who = ap_query_text(its, AT_WHO);
    const ap_str job = ap_query_text(its, AT_JOB);
    const ap_str rest = ap_query_text(its, AT_PICK);
    ap_buf_clear(text);
    ap_buf_appendf(text, "%.*s/%.*s", AP_STR_ARG(job), AP_STR_ARG(rest));
    ap_query_bind_text(insert, ":name", ap_buf_str(text)); /* copied */
    ap_buf_clear(text);
    ap_buf_appendf(text, "%.*s%s(%.*s)", AP_STR_ARG(who), who.len ? " " : "", AP_STR_ARG(name));
    ap_query_bind_text(insert, ":who", ap_buf_str(text));
    ap_query_bind_int(insert, ":pick", pick);
    ap_query_bind_text(insert, ":field", ap_query_text(its, AT_FIELD));
    ap_query_bind_text(insert, ":old_value", ap_query_text(its, AT_OLD));
    ap_query_bind_real(insert, ":old_si", ap_query_real(its, AT_OLD_SI));
    ap_query_bind_text(insert, ":old_written", ap_query_text(its, AT_OLD_WRITTEN));
    ap_query_bind_text(insert, ":new_value", ap_query_text(its, AT_NEW));
    ap_query_bind_real(insert, ":new_si", ap_query_real(its, AT_NEW_SI));
    ap_query_bind_text(insert, ":new_written", ap_query_text(its, AT_NEW_WRITTEN));
    ap_query_bind_text(insert, ":today", ap_query_text(its, AT_DAY));
    ap_query_bind_text(insert, ":why", ap_query_text(its, AT_WHY));
    const ap_status status = ap_buf_check(text, "an amendment", err);
    return status == AP_OK ? ap_query_run(insert, err) : status;
}

ap_status ap_book_merge_amendments(int64_t *count, ap_book *book, ap_book *other, ap_str name, ap_error *err) {
    ap_query *its = NULL;
    ap_query *find = NULL;
    ap_query *insert = NULL;
    ap_buf text;
    bool row = false;
    *count = 0;
    ap_buf_init(&text, TEXT_MAX);
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_query_open(&its, other, "merge_amendments", err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&find, book, "merge_pick", err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&insert, book, "amendment_insert", err);
    }
    if (status == AP_OK) {
        status = ap_query_step(&row, its, err);
    }
    while (status == AP_OK && row) {
        int64_t pick = 0;
        status = find_pick(&pick, find, its, err);
        if (status == AP_OK && pick && ap_field_find(ap_query_text(its, AT_FIELD)) >= 0) {
            status = write_down(insert, its, pick, &text, name, err);
            *count += status == AP_OK;
        }
        if (status == AP_OK) {
            status = ap_query_step(&row, its, err);
        }
    }
    ap_query_close(insert);
    ap_query_close(find);
    ap_query_close(its);
    ap_buf_release(&text);
    return status;
}

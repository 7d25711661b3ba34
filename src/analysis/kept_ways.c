#include "analysis/kept_ways.h"

#include "analysis/fact_pack.h"
#include "analysis/roster_wood.h"

enum { BYTES_MAX = 1 << 20 };

typedef struct span {
    int64_t first, last; /* row numbers */
    size_t picks;
    bool there;
} span;

typedef struct renewing {
    ap_book *book;
    const ap_company *company;
    uint8_t digest[AP_KEPT_COMPANY_SIZE];
    span *spans; /* by chunk */
    size_t chunks;
    size_t seen;
    ap_fact facts[AP_COLUMN_MOST];
    ap_fact_rest rests[AP_COLUMN_MOST];
    size_t count; /* of facts */
} renewing;

bool ap_kept_ways_split(ap_str *ways, ap_str bytes, const uint8_t digest[AP_KEPT_COMPANY_SIZE]) {
    bool same = bytes.len > AP_KEPT_COMPANY_SIZE && memcmp(bytes.ptr, digest, AP_KEPT_COMPANY_SIZE) == 0;
    *ways = same ? (ap_str){bytes.ptr + AP_KEPT_COMPANY_SIZE, bytes.len - AP_KEPT_COMPANY_SIZE} : AP_STR_NONE;
    return same;
}

static ap_status take_span(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    renewing *r = context;
    uint64_t ids[AP_COLUMN_MOST];
    ap_column_reader reader = {(const unsigned char *)bytes.ptr, (const unsigned char *)bytes.ptr + bytes.len, false};
    bool good = (uint64_t)chunk < r->chunks && picks > 0 && picks <= AP_COLUMN_MOST &&
                ap_column_get(ids, &reader, (size_t)picks, sizeof *ids) && ids[picks - 1] <= INT64_MAX;
    if (!good) {
        return ap_error_set(err, AP_E_BOOK, "what is kept of the picks does not hold together");
    }
    r->spans[chunk] = (span){(int64_t)ids[0], (int64_t)ids[picks - 1], (size_t)picks, false};
    r->seen++;
    return AP_OK;
}

static ap_status take_there(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)err;
    renewing *r = context;
    ap_str ways;
    if ((uint64_t)chunk < r->chunks) {
        r->spans[chunk].there = (size_t)picks == r->spans[chunk].picks && ap_kept_ways_split(&ways, bytes, r->digest);
    }
    return AP_OK;
}

static ap_status work_out(void *context, const ap_pick *pick, ap_error *err) {
    renewing *r = context;
    if (r->count == AP_COLUMN_MOST) {
        return ap_error_set(err, AP_E_BOOK, "more picks than are kept");
    }
    ap_fact *fact = &r->facts[r->count];
    fact->rest = &r->rests[r->count++];
    ap_fact_rest_blank(fact->rest);
    ap_fact_set_ways(fact, pick, ap_roster_species_of(r->book, pick), r->company);
    return AP_OK;
}

static ap_status renew_chunk(renewing *r, size_t chunk, ap_buf *bytes, ap_error *err) {
    const span *of = &r->spans[chunk];
    r->count = 0;
    ap_status status = ap_book_each_pick_by_row(r->book, of->first, of->last, work_out, r, err);
    if (status == AP_OK && r->count != of->picks) {
        status = ap_error_set(err, AP_E_BOOK, "not the picks that are kept");
    }
    if (status == AP_OK) {
        ap_buf_clear(bytes);
        ap_buf_append(bytes, r->digest, sizeof r->digest);
        ap_fact_pack_ways(bytes, r->facts, r->count);
        status = ap_buf_check(bytes, "the movement of some picks", err);
    }
    return status == AP_OK
               ? ap_book_kept_put(r->book, AP_KEPT_WAYS, (int64_t)chunk, (int64_t)r->count, ap_buf_str(bytes), err)
               : status;
}

/* Which chunks there are, and which of them are as wanted. */
static ap_status look(renewing *r, bool *complete, ap_error *err) {
    ap_kept_state state;
    uint8_t company[AP_KEPT_COMPANY_SIZE];
    ap_status status = ap_book_kept_state(&state, r->book, INT64_MAX, err);
    if (status == AP_OK) {
        status = ap_kept_company(company, r->book, r->company, err);
    }
    bool usable = status == AP_OK && state.in_force && state.head.method == AP_FACT_METHOD &&
                  memcmp(company, state.head.company, sizeof company) == 0 && state.head.chunks <= state.head.picks;
    free(r->spans);
    r->chunks = usable ? (size_t)state.head.chunks : 0;
    r->spans = usable ? calloc(r->chunks + 1, sizeof *r->spans) : NULL;
    r->seen = 0;
    if (!r->spans) {
        return status == AP_OK ? ap_error_set(err, AP_E_BOOK, "nothing is kept of the picks") : status;
    }
    ap_kept_learnt(r->digest, company, r->company->brush);
    status = ap_book_kept_each(r->book, AP_KEPT_LABELS, take_span, r, err);
    if (status == AP_OK && r->seen != r->chunks) {
        status = ap_error_set(err, AP_E_BOOK, "what is kept of the picks does not hold together");
    }
    if (status == AP_OK) {
        status = ap_book_kept_each(r->book, AP_KEPT_WAYS, take_there, r, err);
    }
    *complete = status == AP_OK;
    for (size_t i = 0; i < r->chunks; i++) {
        *complete = *complete && r->spans[i].there;
    }
    return status;
}

static ap_status renew_missing(renewing *r, ap_error *err) {
    bool complete = false;
    ap_buf bytes;
    ap_buf_init(&bytes, BYTES_MAX);
    ap_status status = look(r, &complete, err); /* again: now nobody else changes it */
    for (size_t i = 0; status == AP_OK && i < r->chunks; i++) {
        if (!r->spans[i].there) {
            status = renew_chunk(r, i, &bytes, err);
        }
    }
    ap_buf_release(&bytes);
    return status;
}

bool ap_kept_ways_renew(ap_book *book, const ap_company *company) {
    ap_error err;
    bool complete = false;
    renewing *r = company->brush ? calloc(1, sizeof *r) : NULL;
    if (r) {
        r->book = book;
        r->company = company;
        ap_status status = look(r, &complete, &err);
        if (status == AP_OK && !complete && ap_book_kept_begin(book)) {
            complete = ap_book_kept_end(book, renew_missing(r, &err));
        }
        free(r->spans);
        free(r);
    }
    return complete;
}

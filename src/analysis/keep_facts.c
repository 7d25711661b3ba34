#include "analysis/keep_facts.h"

#include "analysis/fact_pack.h"
#include "analysis/keep_order.h"
#include "analysis/kept_company.h"
#include "analysis/roster_labels.h"
#include "analysis/roster_wood.h"

enum { PART_MAX = 1 << 26, NAME_MAX_BYTES = 1 << 16, RENEW_MEMORY = 160 << 20 };

struct ap_fact_keeper {
    ap_book *book;
    const ap_company *company;
    ap_kept_head head; /* what is in force once it is put */
    bool begun;
    bool given_up; /* whatever the reason: nothing is kept */
    bool sorts;    /* the picks come from an import: their order is settled here */
    ap_arena arena;
    ap_arena trees; /* texts of trees are the most of all, and not wanted for the order */
    ap_intern *texts[AP_FACT_TEXTS];
    uint32_t put[AP_FACT_TEXTS]; /* texts that are in the book already */
    ap_labeller labeller;
    ap_keep_order order;
    size_t count; /* in the chunk */
    ap_fact facts[AP_COLUMN_MOST];
    ap_fact_rest rests[AP_COLUMN_MOST];
    float stem_m[AP_COLUMN_MOST];
    uint64_t ids[AP_COLUMN_MOST];
    ap_buf names;
    ap_buf text;
    ap_buf part;
    ap_fact last;
    ap_fact_rest last_rest;
};

ap_fact_keeper *ap_fact_keeper_new(ap_book *book, const ap_company *company, size_t memory) {
    ap_fact_keeper *keeper = calloc(1, sizeof *keeper);
    if (!keeper) {
        return NULL;
    }
    keeper->book = book;
    keeper->company = company;
    keeper->sorts = true;
    ap_arena_init(&keeper->arena, memory);
    ap_arena_init(&keeper->trees, memory);
    for (size_t t = 0; t < AP_FACT_TEXTS; t++) {
        keeper->texts[t] = ap_intern_new(ap_fact_texts[t] == AP_BY_TREE ? &keeper->trees : &keeper->arena);
        keeper->given_up = keeper->given_up || !keeper->texts[t];
    }
    ap_labeller_init(&keeper->labeller, NULL);
    ap_buf_init(&keeper->names, PART_MAX);
    ap_buf_init(&keeper->text, NAME_MAX_BYTES);
    ap_buf_init(&keeper->part, PART_MAX);
    return keeper;
}

void ap_fact_keeper_free(ap_fact_keeper *keeper) {
    if (keeper) {
        ap_arena_release(&keeper->arena);
        ap_arena_release(&keeper->trees);
        ap_labeller_release(&keeper->labeller);
        ap_keep_order_release(&keeper->order);
        ap_buf_release(&keeper->names);
        ap_buf_release(&keeper->text);
        ap_buf_release(&keeper->part);
        free(keeper);
    }
}

/* The texts of a chunk that is in the book already: they keep their numbers. */
static ap_status take_texts(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)chunk;
    ap_fact_keeper *keeper = context;
    ap_column_reader reader = {(const unsigned char *)bytes.ptr, (const unsigned char *)bytes.ptr + bytes.len, false};
    uint64_t ids[AP_COLUMN_MOST];
    bool good = picks > 0 && picks <= AP_COLUMN_MOST && ap_column_get(ids, &reader, (size_t)picks, sizeof *ids);
    for (size_t t = 0; good && t < AP_FACT_TEXTS; t++) {
        uint32_t count = 0;
        ap_str text = AP_STR_NONE;
        good = ap_fact_unpack_count(&count, &reader);
        for (uint32_t i = 0; good && i < count; i++) {
            good = ap_fact_unpack_text(&text, &reader) && ap_intern_add(keeper->texts[t], text) == ++keeper->put[t];
        }
    }
    return good && reader.at == reader.end ? AP_OK
                                           : ap_error_set(err, AP_E_BOOK, "what is kept does not hold together");
}

/* What is in force before the first new pick is gone on with; otherwise it must be the first pick of the book. */
static ap_status begin(ap_fact_keeper *keeper, int64_t first, ap_error *err) {
    ap_kept_state state;
    uint8_t company[AP_KEPT_COMPANY_SIZE];
    ap_status status = ap_book_kept_state(&state, keeper->book, first, err);
    if (status == AP_OK) {
        status = ap_kept_company(company, keeper->book, keeper->company, err);
    }
    if (status != AP_OK) {
        return status;
    }
    bool go_on = state.in_force && state.head.method == AP_FACT_METHOD &&
                 memcmp(state.head.company, company, sizeof company) == 0;
    if (go_on) {
        keeper->head = state.head;
        return ap_book_kept_each(keeper->book, AP_KEPT_LABELS, take_texts, keeper, err);
    }
    keeper->given_up = keeper->given_up || state.picks > 0;
    keeper->head = (ap_kept_head){.method = AP_FACT_METHOD, .order = AP_KEPT_ORDER_ROWS, .last_date = AP_DATE_NONE};
    keeper->head.last_pick = INT64_MIN;
    memcpy(keeper->head.company, company, sizeof company);
    return ap_book_kept_drop(keeper->book, err);
}

/* One part of the chunk. */
static ap_status put_part(ap_fact_keeper *keeper, ap_kept_part part, const ap_buf *bytes, ap_error *err) {
    ap_status status = ap_buf_check(bytes, "what some picks come to", err);
    return status == AP_OK ? ap_book_kept_put(keeper->book, part, keeper->head.chunks, (int64_t)keeper->count,
                                              ap_buf_str(bytes), err)
                           : status;
}

static ap_status put_labels(ap_fact_keeper *keeper, ap_error *err) {
    ap_buf_clear(&keeper->part);
    ap_column_put(&keeper->part, keeper->ids, keeper->count, sizeof *keeper->ids);
    for (size_t t = 0; t < AP_FACT_TEXTS; t++) {
        uint32_t known = ap_intern_count(keeper->texts[t]);
        ap_fact_pack_count(&keeper->part, known - keeper->put[t]);
        while (keeper->put[t] < known) {
            ap_fact_pack_text(&keeper->part, ap_intern_get(keeper->texts[t], ++keeper->put[t]));
        }
    }
    return put_part(keeper, AP_KEPT_LABELS, &keeper->part, err);
}

static ap_status put_chunk(ap_fact_keeper *keeper, ap_error *err) {
    ap_status status = put_labels(keeper, err);
    if (status == AP_OK) {
        ap_buf_clear(&keeper->part);
        ap_fact_pack_errors(&keeper->part, keeper->facts, keeper->count);
        status = put_part(keeper, AP_KEPT_ERRORS, &keeper->part, err);
    }
    if (status == AP_OK) {
        ap_buf_clear(&keeper->part);
        ap_fact_pack_wood(&keeper->part, keeper->facts, keeper->stem_m, keeper->count);
        status = put_part(keeper, AP_KEPT_WOOD, &keeper->part, err);
    }
    if (status == AP_OK) {
        ap_buf_clear(&keeper->part);
        ap_fact_pack_rest(&keeper->part, keeper->facts, keeper->count);
        status = put_part(keeper, AP_KEPT_REST, &keeper->part, err);
    }
    if (status == AP_OK) {
        status = put_part(keeper, AP_KEPT_NAMES, &keeper->names, err);
    }
    keeper->head.chunks++;
    keeper->head.picks += (int64_t)keeper->count;
    keeper->count = 0;
    ap_buf_clear(&keeper->names);
    return status;
}

/* Numbers of the texts; words stay the numbers of their vocabularies. */
static bool set_labels(ap_fact_keeper *keeper, ap_fact *fact, const ap_pick *pick) {
    const ap_crane *crane = ap_company_crane(keeper->company, pick->crane);
    fact->no_tree = !ap_tree_label(&keeper->text, pick);
    const ap_str texts[AP_FACT_TEXTS] = {pick->species_common,
                                         ap_str_trim(pick->estimator),
                                         pick->crew,
                                         crane ? crane->name : pick->crane,
                                         pick->job,
                                         ap_buf_str(&keeper->text),
                                         AP_STR_NONE};
    bool good = keeper->text.status == AP_OK;
    for (size_t t = 0; t < AP_FACT_TEXTS; t++) {
        uint32_t number = ap_fact_texts[t] == AP_BY_SETUP ? ap_label_setup(&keeper->labeller, keeper->texts[t], pick)
                                                          : ap_intern_add(keeper->texts[t], texts[t]);
        good = ap_fact_set_group(fact, ap_fact_texts[t], number) && good;
    }
    const int words[] = {pick->cut, pick->estimate_basis, pick->piece, pick->condition, pick->foliage};
    const ap_by by[] = {AP_BY_CUT, AP_BY_BASIS, AP_BY_PIECE, AP_BY_CONDITION, AP_BY_FOLIAGE};
    for (size_t i = 0; i < sizeof by / sizeof *by; i++) {
        good = words[i] >= 0 && ap_fact_set_group(fact, by[i], (uint32_t)words[i]) && good;
    }
    return good && !keeper->arena.failed && !keeper->trees.failed;
}

static bool keep(ap_fact_keeper *keeper, const ap_pick *pick) {
    ap_fact *fact = &keeper->facts[keeper->count];
    bool plain = pick->date != AP_DATE_NONE && pick->name.len > 0 && !memchr(pick->name.ptr, 0, pick->name.len);
    if (!plain || pick->id <= keeper->head.last_pick) {
        return false;
    }
    *fact = keeper->last;
    fact->rest = &keeper->rests[keeper->count];
    *fact->rest = keeper->last_rest;
    keeper->stem_m[keeper->count] =
        ap_roster_wood_set(fact, pick, ap_roster_species_of(keeper->book, pick), keeper->company);
    keeper->ids[keeper->count] = (uint64_t)pick->id;
    ap_buf_append_str(&keeper->names, pick->name);
    ap_buf_append_char(&keeper->names, '\0');
    if (!set_labels(keeper, fact, pick)) {
        return false;
    }
    if (keeper->sorts && !ap_keep_order_add(&keeper->order, pick, ap_fact_group(fact, AP_BY_JOB))) {
        return false;
    }
    keeper->head.last_pick = pick->id;
    keeper->head.last_date = pick->date > keeper->head.last_date ? pick->date : keeper->head.last_date;
    keeper->count++;
    return true;
}

const ap_fact *ap_fact_keeper_take(ap_fact_keeper *keeper, const ap_pick *pick) {
    ap_error err;
    keeper->last_rest = (ap_fact_rest){0};
    keeper->last = (ap_fact){.rest = &keeper->last_rest};
    ap_fact_set(&keeper->last, pick, keeper->company);
    if (!keeper->begun) {
        keeper->begun = true;
        keeper->given_up = begin(keeper, pick->id, &err) != AP_OK || keeper->given_up;
        keeper->order.kept = keeper->head;
    }
    if (!keeper->given_up) {
        keeper->given_up = !keep(keeper, pick);
    }
    if (!keeper->given_up && keeper->count == AP_COLUMN_MOST) {
        keeper->given_up = put_chunk(keeper, &err) != AP_OK;
    }
    return &keeper->last;
}

static ap_status settle(ap_fact_keeper *keeper, ap_error *err) {
    ap_buf places;
    ap_buf_init(&places, SIZE_MAX / 2);
    ap_status status = keeper->count > 0 ? put_chunk(keeper, err) : AP_OK;
    ap_arena_release(&keeper->trees);
    if (status == AP_OK && keeper->sorts) {
        const size_t jobs = 4;
        status = ap_keep_order_settle(&keeper->head, &places, &keeper->order, keeper->texts[jobs], keeper->book, err);
    } else if (status == AP_OK) {
        status = ap_keep_order_read(&keeper->head, &places, keeper->book, err);
    }
    if (status == AP_OK) {
        status =
            ap_book_kept_put_head(keeper->book, &keeper->head, places.len > 0 ? ap_buf_str(&places) : AP_STR_NONE, err);
    }
    ap_buf_release(&places);
    return status;
}

ap_status ap_fact_keeper_end(ap_fact_keeper *keeper, ap_error *err) {
    if (!keeper->begun) {
        return AP_OK;
    }
    keeper->given_up = keeper->given_up || settle(keeper, err) != AP_OK;
    return keeper->given_up ? ap_book_kept_drop(keeper->book, err) : AP_OK;
}

static ap_status take_row(void *context, const ap_pick *pick, ap_error *err) {
    ap_fact_keeper *keeper = context;
    ap_fact_keeper_take(keeper, pick);
    return keeper->given_up ? ap_error_set(err, AP_E_INPUT, "a pick that can not be kept") : AP_OK;
}

bool ap_kept_facts_renew(ap_book *book, const ap_company *company) {
    ap_error err;
    if (!ap_book_kept_begin(book)) {
        return false;
    }
    ap_fact_keeper *keeper = ap_fact_keeper_new(book, company, RENEW_MEMORY);
    ap_status status = keeper ? ap_book_kept_drop(book, &err) : AP_E_MEMORY;
    if (status == AP_OK) {
        keeper->sorts = false;
        status = ap_book_each_pick_by_row(book, INT64_MIN, INT64_MAX, take_row, keeper, &err);
    }
    if (status == AP_OK) {
        status = ap_fact_keeper_end(keeper, &err);
        status = keeper->given_up || !keeper->begun ? AP_E_INPUT : status;
    }
    ap_fact_keeper_free(keeper);
    return ap_book_kept_end(book, status);
}

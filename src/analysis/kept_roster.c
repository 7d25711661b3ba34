#include "analysis/kept_roster.h"

#include "analysis/fact_pack.h"
#include "analysis/keep_facts.h"
#include "analysis/keep_order.h"
#include "analysis/kept_company.h"
#include "analysis/kept_ways.h"
#include "analysis/roster_wood.h"
#include "base/wide.h"

/* Fewer are read in no time; a report does not write the book for them. */
enum { PICKS_LEAST = 10000, SCRATCH_MAX = 96 << 20 };

typedef struct loading {
    ap_roster *roster;
    ap_labeller *labeller;
    ap_kept_head head;
    ap_roster_depth depth;
    uint8_t learnt[AP_KEPT_COMPANY_SIZE]; /* digest of the company with its brush */
    ap_fact *facts;
    ap_fact_rest *rests; /* one for all where only the error is asked */
    float *stem_m;       /* in pick order; NULL where only the error is asked */
    uint32_t *to;        /* place in pick order of each row */
    size_t at;           /* rows taken of the part that is read */
    size_t chunks;       /* of that part */
    uint64_t last_id;
    ap_arena scratch;
    ap_str *texts[AP_FACT_TEXTS]; /* by number, from 1; in the arena with what they outgrew */
    size_t room[AP_FACT_TEXTS];
    ap_fact_bounds bounds;
    uint32_t *labels[AP_FACT_TEXTS]; /* of the roster, by number of the text; 0: none yet */
    ap_roster_trees trees;
} loading;

static ap_status refuse(ap_error *err) {
    return ap_error_set(err, AP_E_BOOK, "what is kept of the picks does not hold together");
}

/* Is the next chunk one that fits what the head says? */
static bool fits(loading *load, int64_t picks) {
    bool good = picks > 0 && picks <= AP_COLUMN_MOST && (uint64_t)picks <= (uint64_t)load->head.picks - load->at;
    load->chunks++;
    return good && load->chunks <= (size_t)load->head.chunks;
}

static bool took_all(const loading *load) {
    return load->at == (size_t)load->head.picks && load->chunks == (size_t)load->head.chunks;
}

/* A text for the next number. */
static bool add_text(loading *load, size_t t, ap_str text) {
    size_t number = ++load->bounds.texts[t];
    if (number >= load->room[t]) {
        size_t room = load->room[t] ? 2 * load->room[t] : 64;
        ap_str *wider = ap_arena_alloc_array(&load->scratch, room, sizeof *wider);
        if (!wider) {
            return false;
        }
        if (load->room[t]) {
            memcpy(wider, load->texts[t], load->room[t] * sizeof *wider);
        }
        load->texts[t] = wider;
        load->room[t] = room;
    }
    load->texts[t][number] = text;
    return true;
}

static ap_status take_labels(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)chunk;
    loading *load = context;
    uint64_t ids[AP_COLUMN_MOST];
    ap_str kept =
        ap_arena_str(&load->roster->arena, bytes); /* the texts, and the labels they become, are views on it */
    ap_column_reader reader = {(const unsigned char *)kept.ptr, (const unsigned char *)kept.ptr + kept.len, false};
    bool good = kept.ptr && fits(load, picks) && ap_column_get(ids, &reader, (size_t)picks, sizeof *ids);
    for (int64_t i = 0; good && i < picks; i++) {
        good = ids[i] <= INT64_MAX && (load->at + (size_t)i == 0 || ids[i] > load->last_id);
        load->last_id = ids[i];
    }
    for (size_t t = 0; good && t < AP_FACT_TEXTS; t++) {
        uint32_t count = 0;
        ap_str text = AP_STR_NONE;
        good = ap_fact_unpack_count(&count, &reader);
        for (uint32_t i = 0; good && i < count; i++) {
            good = ap_fact_unpack_text(&text, &reader) && !ap_str_is_blank(text) && add_text(load, t, text);
        }
    }
    load->at += good ? (size_t)picks : 0;
    return good && reader.at == reader.end ? AP_OK : refuse(err);
}

static ap_status take_errors(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)chunk;
    loading *load = context;
    bool good = fits(load, picks) &&
                ap_fact_unpack_errors(load->facts, load->to + load->at, (size_t)picks, bytes, &load->bounds);
    load->at += good ? (size_t)picks : 0;
    return good ? AP_OK : refuse(err);
}

static ap_status take_wood(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)chunk;
    loading *load = context;
    bool good =
        fits(load, picks) && ap_fact_unpack_wood(load->facts, load->stem_m, load->to + load->at, (size_t)picks, bytes);
    load->at += good ? (size_t)picks : 0;
    return good ? AP_OK : refuse(err);
}

static ap_status take_rest(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)chunk;
    loading *load = context;
    bool good =
        fits(load, picks) && ap_fact_unpack_rest(load->facts, load->to + load->at, (size_t)picks, bytes, &load->bounds);
    load->at += good ? (size_t)picks : 0;
    return good ? AP_OK : refuse(err);
}

static size_t count_ends(ap_str bytes) {
    size_t ends = 0;
    for (size_t i = 0; i < bytes.len; i++) {
        ends += bytes.ptr[i] == '\0';
    }
    return ends;
}

/* One copy of all names of the chunk, each ended by a zero; facts that share their rest find theirs by row. */
static ap_status take_names(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)chunk;
    loading *load = context;
    ap_roster_names *by_row = &load->roster->row_names;
    bool good =
        fits(load, picks) && bytes.len > 0 && bytes.ptr[bytes.len - 1] == '\0' && count_ends(bytes) == (size_t)picks;
    char *names = good ? ap_arena_alloc(&load->roster->arena, bytes.len) : NULL;
    if (!names) {
        return refuse(err);
    }
    memcpy(names, bytes.ptr, bytes.len);
    if (load->depth == AP_ROSTER_ERRORS) {
        by_row->chunks[by_row->chunk_count].first = load->at;
        by_row->chunks[by_row->chunk_count++].names = names;
        load->at += (size_t)picks;
    }
    for (int64_t i = 0; load->depth == AP_ROSTER_ALL && i < picks; i++) {
        load->facts[load->to[load->at++]].rest->name = names;
        names += strlen(names) + 1;
    }
    return AP_OK;
}

static bool name_by_row(loading *load) {
    ap_roster_names *by_row = &load->roster->row_names;
    size_t count = (size_t)load->head.picks;
    by_row->chunks = ap_arena_alloc_array(&load->roster->arena, (size_t)load->head.chunks, sizeof *by_row->chunks);
    by_row->rows = ap_arena_alloc_array(&load->roster->arena, count, sizeof *by_row->rows);
    for (size_t row = 0; by_row->rows && row < count; row++) {
        by_row->rows[load->to[row]] = (uint32_t)row;
    }
    return by_row->chunks && by_row->rows;
}

static ap_status take_ways(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    loading *load = context;
    ap_str ways;
    bool good = (uint64_t)chunk == load->chunks && fits(load, picks) &&
                ap_kept_ways_split(&ways, bytes, load->learnt) &&
                ap_fact_unpack_ways(load->facts, load->to + load->at, (size_t)picks, ways);
    load->at += good ? (size_t)picks : 0;
    return good ? AP_OK : refuse(err);
}

/* Places in pick order -> place of each row; every row once. */
static ap_status take_places(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)chunk;
    loading *load = context;
    size_t count = (size_t)load->head.picks;
    if (picks != load->head.picks || bytes.len != 4 * count) {
        return refuse(err);
    }
    memset(load->to, 0xff, count * sizeof *load->to);
    for (size_t k = 0; k < count; k++) {
        uint32_t row = ap_keep_order_place(bytes, k);
        if (row >= count || load->to[row] != UINT32_MAX) {
            return refuse(err);
        }
        load->to[row] = (uint32_t)k;
    }
    return AP_OK;
}

static ap_status read_part(loading *load, ap_book *book, ap_kept_part part, ap_kept_fn take, ap_error *err) {
    load->at = 0;
    load->chunks = 0;
    ap_status status = ap_book_kept_each(book, part, take, load, err);
    return status == AP_OK && !took_all(load) ? refuse(err) : status;
}

static ap_status read_order(loading *load, ap_book *book, ap_error *err) {
    ap_status status = AP_OK;
    if (load->head.order == AP_KEPT_ORDER_ROWS) {
        for (size_t i = 0; i < (size_t)load->head.picks; i++) {
            load->to[i] = (uint32_t)i;
        }
    } else if (load->head.order == AP_KEPT_ORDER_PLACES) {
        status = ap_book_kept_places(take_places, load, book, err);
    } else {
        ap_buf places;
        ap_buf_init(&places, SIZE_MAX / 2);
        ap_kept_head head = load->head;
        status = ap_keep_order_read(&head, &places, book, err);
        load->head.order = head.order;
        if (status == AP_OK && head.order == AP_KEPT_ORDER_PLACES) {
            status = take_places(load, 0, load->head.picks, ap_buf_str(&places), err);
        } else if (status == AP_OK && head.order == AP_KEPT_ORDER_ROWS) {
            status = read_order(load, book, err);
        }
        ap_buf_release(&places);
    }
    return status == AP_OK && load->head.order == AP_KEPT_ORDER_UNKNOWN ? refuse(err) : status;
}

static bool prepare(loading *load) {
    size_t count = (size_t)load->head.picks;
    bool good = load->head.picks > 0 && load->head.picks < UINT32_MAX && load->head.chunks > 0;
    ap_arena_init(&load->scratch, SCRATCH_MAX);
    bool shared = load->depth == AP_ROSTER_ERRORS;
    size_t rests = shared ? 1 : count;
    load->facts = good ? ap_wide_array(count, sizeof *load->facts) : NULL;
    load->rests = good ? ap_wide_array(rests, sizeof *load->rests) : NULL;
    load->to = good ? calloc(count, sizeof *load->to) : NULL;
    load->stem_m = good && !shared ? calloc(count, sizeof *load->stem_m) : NULL;
    bool made = load->facts && load->rests && load->to && (load->stem_m || shared);
    for (size_t i = 0; made && i < rests; i++) {
        ap_fact_rest_blank(&load->rests[i]);
    }
    for (size_t i = 0; made && i < count; i++) {
        load->facts[i].rest = &load->rests[shared ? 0 : i];
    }
    return made;
}

static uint32_t number_label(loading *load, size_t t, uint32_t text) {
    ap_roster *roster = load->roster;
    ap_by by = ap_fact_texts[t];
    uint32_t *label = &load->labels[t][text];
    if (text && !*label) {
        ap_str words = load->texts[t][text];
        *label = by == AP_BY_ESTIMATOR ? ap_label_person(load->labeller, by, words)
                                       : ap_intern_append(roster->labels[by], words);
    }
    return text ? *label : 0;
}

/* Labels get their numbers in order of first appearance in pick order, as they do when picks are read. */
static void number_fact(loading *load, ap_fact *fact) {
    ap_labeller *labeller = load->labeller;
    fact->label_species = (uint16_t)number_label(load, 0, fact->label_species);
    fact->label_cut = ap_label_word(labeller, AP_BY_CUT, AP_VOC_CUT, fact->label_cut);
    fact->label_basis = ap_label_word(labeller, AP_BY_BASIS, AP_VOC_BASIS, fact->label_basis) & 15u;
    fact->label_piece = ap_label_word(labeller, AP_BY_PIECE, AP_VOC_PIECE, fact->label_piece) & 15u;
    fact->label_estimator = number_label(load, 1, fact->label_estimator);
    fact->label_crew = number_label(load, 2, fact->label_crew);
    fact->label_crane = number_label(load, 3, fact->label_crane);
    fact->label_condition = ap_label_word(labeller, AP_BY_CONDITION, AP_VOC_CONDITION, fact->label_condition) & 15u;
    fact->label_foliage = ap_label_word(labeller, AP_BY_FOLIAGE, AP_VOC_FOLIAGE, fact->label_foliage) & 15u;
    fact->label_job = number_label(load, 4, fact->label_job);
    if (load->depth == AP_ROSTER_ALL) {
        fact->rest->label_setup = number_label(load, 6, fact->rest->label_setup);
    }
    fact->label_month = ap_label_month(labeller, fact->date);
    fact->label_tree = number_label(load, 5, fact->label_tree);
}

/* Numbers the facts up to a day; facts that are not in date order are no roster. */
static ap_status number_all(loading *load, ap_date until, ap_error *err) {
    ap_roster *roster = load->roster;
    for (size_t t = 0; t < AP_FACT_TEXTS; t++) {
        load->labels[t] = ap_arena_alloc_array(&load->scratch, (size_t)load->bounds.texts[t] + 1, sizeof(uint32_t));
        if (!load->labels[t] || !ap_intern_reserve(roster->labels[ap_fact_texts[t]], load->bounds.texts[t])) {
            return refuse(err);
        }
    }
    size_t count = (size_t)load->head.picks;
    size_t k = 0;
    for (; k < count && (until == AP_DATE_NONE || load->facts[k].date <= until); k++) {
        ap_fact *fact = &load->facts[k];
        if (k > 0 && fact->date < load->facts[k - 1].date) {
            return refuse(err);
        }
        number_fact(load, fact);
        roster->trees_assumed += fact->no_tree;
        if (load->depth != AP_ROSTER_ERRORS && !ap_roster_wood_stem(&load->trees, fact, k, load->stem_m[k])) {
            return refuse(err);
        }
    }
    for (size_t later = k; later < count; later++) {
        if (later > 0 && load->facts[later].date < load->facts[later - 1].date) {
            return refuse(err);
        }
    }
    roster->facts = load->facts;
    roster->rests = load->rests;
    roster->count = k;
    roster->cap = count;
    ap_roster_wood_end(&load->trees, roster);
    return ap_arena_check(&roster->arena, "the roster of picks", err);
}

static ap_status read_all(loading *load, ap_book *book, ap_date until, ap_error *err) {
    ap_status status = read_order(load, book, err);
    if (status == AP_OK) {
        status = read_part(load, book, AP_KEPT_LABELS, take_labels, err);
    }
    if (status == AP_OK && load->last_id != (uint64_t)load->head.last_pick) {
        status = refuse(err);
    }
    if (status == AP_OK) {
        status = read_part(load, book, AP_KEPT_ERRORS, take_errors, err);
    }
    if (status == AP_OK && load->depth != AP_ROSTER_ERRORS) {
        status = read_part(load, book, AP_KEPT_WOOD, take_wood, err);
    }
    if (status == AP_OK && load->depth == AP_ROSTER_ERRORS && !name_by_row(load)) {
        status = refuse(err);
    }
    if (status == AP_OK && load->depth != AP_ROSTER_WOOD) {
        status = read_part(load, book, AP_KEPT_NAMES, take_names, err);
    }
    if (status == AP_OK && load->depth == AP_ROSTER_ALL) {
        status = read_part(load, book, AP_KEPT_REST, take_rest, err);
    }
    if (status == AP_OK && load->roster->company.brush) {
        ap_kept_learnt(load->learnt, load->head.company, load->roster->company.brush);
        status = read_part(load, book, AP_KEPT_WAYS, take_ways, err);
    }
    return status == AP_OK ? number_all(load, until, err) : status;
}

/* In force, by this method and for this company. */
static bool is_usable(ap_kept_state *state, ap_book *book, const ap_company *company) {
    uint8_t digest[AP_KEPT_COMPANY_SIZE];
    ap_error err;
    return ap_book_kept_state(state, book, INT64_MAX, &err) == AP_OK && state->in_force &&
           state->head.method == AP_FACT_METHOD && ap_kept_company(digest, book, company, &err) == AP_OK &&
           memcmp(digest, state->head.company, sizeof digest) == 0;
}

bool ap_kept_roster_load(ap_roster *roster, ap_labeller *labeller, ap_book *book, ap_date until,
                         ap_roster_depth depth) {
    loading load = {.roster = roster, .labeller = labeller, .depth = depth};
    ap_kept_state state;
    ap_error err;
    bool own = ap_book_kept_look(book); /* one state of the book for all parts */
    bool usable = is_usable(&state, book, &roster->company);
    load.head = state.head;
    ap_status status = AP_E_BOOK;
    if (usable && prepare(&load)) {
        status = read_all(&load, book, until, &err);
    }
    if (status != AP_OK) {
        free(load.facts);
        free(load.rests);
        roster->row_names = (ap_roster_names){0};
        roster->facts = NULL;
        roster->rests = NULL;
        roster->count = 0;
        roster->cap = 0;
        roster->trees_assumed = 0;
    }
    free(load.trees.thickest);
    free(load.to);
    free(load.stem_m);
    ap_arena_release(&load.scratch);
    ap_book_kept_looked(book, own);
    return status == AP_OK;
}

static void settle_order(ap_book *book, const ap_company *company) {
    ap_kept_state state;
    ap_buf places;
    ap_error err;
    if (!ap_book_kept_begin(book)) {
        return;
    }
    ap_buf_init(&places, SIZE_MAX / 2);
    ap_status status = is_usable(&state, book, company) ? AP_OK : AP_E_BUSY;
    if (status == AP_OK) {
        status = ap_keep_order_read(&state.head, &places, book, &err);
    }
    if (status == AP_OK) {
        status = ap_book_kept_put_head(book, &state.head, places.len ? ap_buf_str(&places) : AP_STR_NONE, &err);
    }
    (void)ap_book_kept_end(book, status);
    ap_buf_release(&places);
}

bool ap_kept_roster_is_worth_it(ap_book *book) {
    ap_kept_state state;
    ap_error err;
    return ap_book_kept_state(&state, book, INT64_MAX, &err) == AP_OK && state.picks >= PICKS_LEAST;
}

void ap_kept_roster_refresh(ap_book *book, const ap_company *company) {
    ap_kept_state state;
    bool usable = is_usable(&state, book, company);
    if (state.picks < PICKS_LEAST) {
        return;
    }
    if (!usable) {
        (void)ap_kept_facts_renew(book, company);
    } else if (state.head.order == AP_KEPT_ORDER_UNKNOWN) {
        settle_order(book, company);
    }
    if (company->brush) {
        (void)ap_kept_ways_renew(book, company);
    }
}

#include "analysis/kept_check.h"

#include "analysis/fact_pack.h"
#include "analysis/kept_roster.h"
#include "analysis/roster_wood.h"
#include "book/kept_facts.h"

enum { PACKED_MAX = 1 << 16 };

typedef struct comparing {
    ap_roster *roster;
    ap_book *book;
    ap_kept_check *out;
    ap_arena *arena;
    size_t at;
    ap_roster_trees trees;
    size_t butts; /* facts that are kept as their tree's butt */
    ap_labeller labeller;
    ap_intern *setups; /* of the picks */
    ap_buf text;
    ap_buf bytes[2];
} comparing;

static bool same_label(const comparing *c, const ap_fact *fact, ap_by by, ap_str words) {
    ap_str label = ap_roster_label(c->roster, by, ap_fact_group(fact, by));
    return ap_str_is_blank(words) ? label.len == 0 : ap_str_equal(label, words);
}

static ap_str word(ap_vocabulary vocabulary, int value) {
    const char *text = value ? ap_word_get(vocabulary, value) : NULL;
    return text ? ap_str_from(text) : AP_STR_NONE;
}

static bool same_labels(comparing *c, const ap_fact *fact, const ap_pick *pick) {
    const ap_crane *crane = ap_company_crane(&c->roster->company, pick->crane);
    char month[AP_ISO_SIZE];
    ap_month_to_iso(month, ap_month_index(pick->date));
    (void)ap_tree_label(&c->text, pick);
    bool same = same_label(c, fact, AP_BY_TREE, ap_buf_str(&c->text)) && same_label(c, fact, AP_BY_JOB, pick->job) &&
                same_label(c, fact, AP_BY_SPECIES, pick->species_common) &&
                same_label(c, fact, AP_BY_ESTIMATOR, ap_str_trim(pick->estimator)) &&
                same_label(c, fact, AP_BY_CREW, pick->crew) &&
                same_label(c, fact, AP_BY_CRANE, crane ? crane->name : pick->crane) &&
                same_label(c, fact, AP_BY_MONTH, ap_str_from(month)) &&
                same_label(c, fact, AP_BY_CUT, word(AP_VOC_CUT, pick->cut)) &&
                same_label(c, fact, AP_BY_BASIS, word(AP_VOC_BASIS, pick->estimate_basis)) &&
                same_label(c, fact, AP_BY_PIECE, word(AP_VOC_PIECE, pick->piece)) &&
                same_label(c, fact, AP_BY_CONDITION, word(AP_VOC_CONDITION, pick->condition)) &&
                same_label(c, fact, AP_BY_FOLIAGE, word(AP_VOC_FOLIAGE, pick->foliage));
    uint32_t setup = ap_label_setup(&c->labeller, c->setups, pick);
    return same && same_label(c, fact, AP_BY_SETUP, setup ? ap_intern_get(c->setups, setup) : AP_STR_NONE);
}

/* The figures as bytes: every member that is kept, and no other. */
static void figures(ap_buf *out, ap_fact fact, float stem_m) {
    ap_fact_rest rest = *fact.rest;
    fact.rest = &rest;
    fact.wood = (uint8_t)(fact.wood & ~AP_FACT_BUTT); /* of the tree, not of the piece */
    for (int by = 0; by < AP_BY_COUNT; by++) {
        (void)ap_fact_set_group(&fact, (ap_by)by, 0);
    }
    ap_buf_clear(out);
    ap_fact_pack_errors(out, &fact, 1);
    ap_fact_pack_wood(out, &fact, &stem_m, 1);
    ap_fact_pack_rest(out, &fact, 1);
}

static ap_status compare(void *context, const ap_pick *pick, ap_error *err) {
    comparing *c = context;
    bool same = c->at < c->roster->count;
    if (same) {
        const ap_fact *kept = &c->roster->facts[c->at++];
        ap_fact_rest rest = {0};
        ap_fact fact = {.rest = &rest, .no_tree = kept->no_tree}; /* of the label, which is compared apart */
        ap_fact_set(&fact, pick, &c->roster->company);
        float stem_m = ap_roster_wood_set(&fact, pick, ap_roster_species_of(c->book, pick), &c->roster->company);
        figures(&c->bytes[0], fact, stem_m);
        figures(&c->bytes[1], *kept, stem_m);
        same = ap_str_equal(ap_buf_str(&c->bytes[0]), ap_buf_str(&c->bytes[1])) && same_labels(c, kept, pick) &&
               ap_str_equal(ap_str_from(kept->rest->name), pick->name) &&
               ap_roster_wood_stem(&c->trees, kept, c->at - 1, stem_m);
        c->butts += (kept->wood & AP_FACT_BUTT) != 0;
    }
    if (!same) {
        c->out->verdict = AP_KEPT_DIFFERS;
        c->out->first = ap_arena_str(c->arena, pick->name);
        return ap_error_set(err, AP_E_BOOK, "what is kept of '%.*s' is not what the pick comes to",
                            AP_STR_ARG(pick->name));
    }
    return ap_buf_check(&c->text, "the label of a tree", err);
}

/* One piece a tree is its butt, and it is the thickest. */
static bool same_butts(const comparing *c) {
    size_t butts = 0;
    bool same = true;
    for (size_t tree = 1; tree < c->trees.room; tree++) {
        size_t fact = c->trees.thickest[tree].fact;
        butts += fact != 0;
        same = same && (!fact || (c->roster->facts[fact - 1].wood & AP_FACT_BUTT));
    }
    return same && butts == c->butts;
}

static ap_status compare_all(comparing *c, ap_error *err) {
    const ap_pick_filter all = {.since = AP_DATE_NONE, .until = AP_DATE_NONE};
    c->setups = ap_intern_new(c->arena);
    if (!c->setups) {
        return ap_arena_check(c->arena, "what the picks come to", err);
    }
    ap_labeller_init(&c->labeller, NULL);
    ap_buf_init(&c->text, PACKED_MAX);
    ap_buf_init(&c->bytes[0], PACKED_MAX);
    ap_buf_init(&c->bytes[1], PACKED_MAX);
    c->out->verdict = AP_KEPT_AGREES;
    ap_status status = ap_book_each_pick(c->book, &all, compare, c, err);
    c->out->picks = c->at;
    if (status == AP_OK && (c->at != c->roster->count || !same_butts(c))) {
        c->out->verdict = AP_KEPT_DIFFERS;
    }
    free(c->trees.thickest);
    ap_labeller_release(&c->labeller);
    ap_buf_release(&c->text);
    ap_buf_release(&c->bytes[0]);
    ap_buf_release(&c->bytes[1]);
    return c->out->verdict == AP_KEPT_DIFFERS ? AP_OK : status;
}

static bool let_go(ap_book *book) {
    ap_error err;
    return ap_book_kept_begin(book) && ap_book_kept_end(book, ap_book_kept_drop(book, &err));
}

ap_status ap_kept_facts_check(ap_kept_check *out, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_roster roster;
    *out = (ap_kept_check){0};
    ap_status status = ap_roster_load_kept(&roster, book, err);
    if (status == AP_OK && roster.kept) {
        comparing c = {.roster = &roster, .book = book, .out = out, .arena = arena};
        status = compare_all(&c, err);
    }
    ap_roster_release(&roster);
    if (status == AP_OK && out->verdict == AP_KEPT_DIFFERS) {
        out->let_go = let_go(book);
    }
    return status;
}

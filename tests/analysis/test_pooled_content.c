/* The pooled error judged by simulation: books of picks clustered in trees, with fixed seeds. What is asked is what the
 * pages claim: the planning factor covers 95 % of new pieces with 90 % confidence, the interval holds the cell's mean in
 * 90 %, no more than a tenth of the cells called heavy are not.
 *
 * Monte Carlo error: cells of one book share its estimators, cranes and variances, so that the book is the unit. Each share
 * is an average over BOOKS books; its standard error is worked out from the books and 3 of them are allowed. */
#include "analysis/pooled.h"
#include "stats/prng.h"
#include "support/check.h"

enum { SPECIES = 5, CUTS = 5, SIZES = 5, ESTIMATORS = 4, CRANES = 3, PICKS_MOST = 8, BOOKS = 120 };
static const int trees_of[SIZES] = {3, 5, 8, 12, 30};

typedef struct world {
    double species, cut, species_cut, estimator, crane, tree, rest; /* standard deviations */
    double mean;
    uint32_t estimators; /* 0: ESTIMATORS */
    int books;           /* 0: BOOKS */
} world;

typedef struct truth {
    double mean[SPECIES + 1][CUTS + 1];
    double new_sd;
} truth;

static void make_book(ap_pooled_picks *picks, truth *true_book, const world *w, ap_prng *prng) {
    double species[SPECIES + 1], cut[CUTS + 1], estimator[ESTIMATORS + 1], crane[CRANES + 1];
    for (int i = 1; i <= SPECIES; i++) {
        species[i] = w->species * ap_prng_normal(prng);
    }
    for (int i = 1; i <= CUTS; i++) {
        cut[i] = w->cut * ap_prng_normal(prng);
    }
    uint32_t estimators = w->estimators ? w->estimators : ESTIMATORS;
    for (uint32_t i = 1; i <= estimators; i++) {
        estimator[i] = w->estimator * ap_prng_normal(prng);
    }
    for (int i = 1; i <= CRANES; i++) {
        crane[i] = w->crane * ap_prng_normal(prng);
    }
    uint32_t tree = 0;
    picks->count = 0;
    picks->cut_labels = CUTS;
    for (uint32_t s = 1; s <= SPECIES; s++) {
        for (uint32_t c = 1; c <= CUTS; c++) {
            double mean = w->mean + species[s] + cut[c] + w->species_cut * ap_prng_normal(prng);
            true_book->mean[s][c] = mean;
            for (int t = 0; t < trees_of[(s + c) % SIZES]; t++) {
                uint32_t e = 1 + (uint32_t)ap_prng_below(prng, estimators);
                uint32_t i = 1 + (uint32_t)ap_prng_below(prng, CRANES);
                double level = mean + estimator[e] + crane[i] + w->tree * ap_prng_normal(prng);
                tree++;
                for (size_t n = 1 + (size_t)ap_prng_below(prng, PICKS_MOST); n > 0; n--) {
                    picks->items[picks->count++] = (ap_pooled_pick){.e = level + w->rest * ap_prng_normal(prng),
                                                                    .tree = tree,
                                                                    .species = (uint16_t)s,
                                                                    .cut = (uint8_t)c,
                                                                    .estimator = e,
                                                                    .instrument = i};
                }
            }
        }
    }
    true_book->new_sd = sqrt(w->tree * w->tree + w->rest * w->rest + w->estimator * w->estimator + w->crane * w->crane);
}

/* Average over books with its standard error. */
typedef struct tally {
    double n, mean, m2;
} tally;

static void add(tally *t, double value) {
    t->n += 1;
    double apart = value - t->mean;
    t->mean += apart / t->n;
    t->m2 += apart * (value - t->mean);
}

static double error_of(const tally *t) {
    return sqrt(t->m2 / (t->n - 1) / t->n);
}

typedef struct outcome {
    tally held[SIZES];    /* share of cells whose factor covers 95 % */
    tally content[SIZES]; /* mean share covered */
    tally interval[SIZES];
    tally false_found; /* share of false ones among those called heavy, 0 when none */
    size_t found;
} outcome;

static double normal_share(double z) {
    return 0.5 * erfc(-z / sqrt(2));
}

static void judge_book(outcome *out, const ap_pooled *pooled, const truth *book) {
    double cells[SIZES] = {0}, held[SIZES] = {0}, content[SIZES] = {0}, interval[SIZES] = {0};
    double found = 0, false_found = 0;
    for (uint32_t s = 1; s <= SPECIES; s++) {
        for (uint32_t c = 1; c <= CUTS; c++) {
            const uint32_t key[AP_WEIGHTS_BY_MAX] = {s, c};
            const ap_pooled_bound *bound = ap_pooled_bound_for(pooled, key);
            const ap_pooled_cell *cell = ap_pooled_find(&pooled->level[0], key);
            size_t size = (s + c) % SIZES;
            assert_non_null(bound);
            assert_non_null(cell);
            double covered = normal_share((bound->mean + bound->k * bound->scale - book->mean[s][c]) / book->new_sd);
            cells[size]++;
            held[size] += covered >= 0.95;
            content[size] += covered;
            interval[size] += cell->pooled_low <= book->mean[s][c] && book->mean[s][c] <= cell->pooled_high;
            found += cell->biased;
            false_found += cell->biased && book->mean[s][c] <= 0;
        }
    }
    for (size_t i = 0; i < SIZES; i++) {
        add(&out->held[i], held[i] / cells[i]);
        add(&out->content[i], content[i] / cells[i]);
        add(&out->interval[i], interval[i] / cells[i]);
    }
    add(&out->false_found, found > 0 ? false_found / found : 0);
    out->found += (size_t)found;
}

static outcome simulate(const world *w, uint64_t stream) {
    static const ap_by by[] = {AP_BY_SPECIES, AP_BY_CUT};
    outcome out = {0};
    ap_prng prng;
    ap_pooled_picks picks = {0};
    ap_arena arena;
    truth book;
    ap_prng_init(&prng, 20261103, stream);
    picks.items = calloc(SPECIES * CUTS * 30 * PICKS_MOST, sizeof *picks.items);
    assert_non_null(picks.items);
    ap_arena_init(&arena, 16u << 20);
    for (int b = 0; b < (w->books ? w->books : BOOKS); b++) {
        ap_pooled pooled;
        ap_error err;
        make_book(&picks, &book, w, &prng);
        ap_arena_clear(&arena);
        check_ok(ap_pooled_fit(&pooled, &arena, &picks, by, 2, &err), &err);
        assert_true(pooled.level[0].fitted);
        judge_book(&out, &pooled, &book);
    }
    ap_arena_release(&arena);
    ap_pooled_picks_release(&picks);
    return out;
}

/* The share found is at least the nominal one, three standard errors of the simulation allowed. */
static void at_least(const tally *t, double nominal, const char *what, int trees) {
    if (t->mean + 3 * error_of(t) < nominal) {
        fail_msg("%s at %d trees: %.3f (standard error %.3f), nominal %.3f", what, trees, t->mean, error_of(t),
                 nominal);
    }
}

static void judge_content(const outcome *out) {
    for (size_t i = 0; i < SIZES; i++) {
        if (trees_of[i] >= AP_POOLED_TREES_LEAST) {
            at_least(&out->held[i], AP_POOLED_CONFIDENCE, "the planning factor covers 95 %", trees_of[i]);
        }
        /* Below 5 trees it is the species' factor, which speaks for the mix of its cuts: on the average 95 %. */
        at_least(&out->content[i], AP_POOLED_CONTENT, "mean content", trees_of[i]);
        at_least(&out->interval[i], AP_WEIGHTS_CONFIDENCE, "the interval of the mean", trees_of[i]);
    }
}

static void content_holds(void **state) {
    (void)state;
    const world plain = {.species = .05,
                         .cut = .04,
                         .species_cut = .03,
                         .estimator = .03,
                         .crane = .03,
                         .tree = .08,
                         .rest = .12,
                         .mean = .05};
    outcome out = simulate(&plain, 1);
    judge_content(&out);
}

static void content_holds_where_trees_differ_much(void **state) {
    (void)state;
    const world trees = {.species = .05,
                         .cut = .04,
                         .species_cut = .03,
                         .estimator = .03,
                         .crane = .03,
                         .tree = .15,
                         .rest = .12,
                         .mean = .05};
    outcome out = simulate(&trees, 2);
    judge_content(&out);
}

/* A third of the cells lie above 0, the others at or below it. */
static void few_cells_are_called_heavy_wrongly(void **state) {
    (void)state;
    const world mixed = {.species = .06,
                         .cut = .04,
                         .species_cut = .04,
                         .estimator = .03,
                         .crane = .02,
                         .tree = .08,
                         .rest = .12,
                         .mean = -.04};
    outcome out = simulate(&mixed, 3);
    assert_true(out.found > BOOKS); /* it finds something: a test that cannot fail says nothing */
    if (out.false_found.mean - 3 * error_of(&out.false_found) > AP_POOLED_DISCOVERY) {
        fail_msg("false ones among the cells called heavy: %.3f (standard error %.3f), nominal %.2f",
                 out.false_found.mean, error_of(&out.false_found), AP_POOLED_DISCOVERY);
    }
}

static void none_is_heavy(void **state) {
    (void)state;
    const world none = {.estimator = .03, .crane = .02, .tree = .08, .rest = .12, .mean = 0};
    outcome out = simulate(&none, 4);
    /* With every cell at 0 any find is false: the share of books with one is what Benjamini & Hochberg bound. */
    if (out.false_found.mean - 3 * error_of(&out.false_found) > AP_POOLED_DISCOVERY) {
        fail_msg("books with a cell called heavy: %.3f", out.false_found.mean);
    }
}

/* Two people plan and differ much: their cells are wrong together. Tested with the degrees of freedom of the picks, a seventh of
 * such books had a cell called heavy. More books than elsewhere, so that three standard errors are less than that excess. */
static void none_is_heavy_with_two_estimators(void **state) {
    (void)state;
    const world two = {
        .estimator = .08, .crane = .02, .tree = .08, .rest = .12, .mean = 0, .estimators = 2, .books = 1500};
    outcome out = simulate(&two, 5);
    if (out.false_found.mean - 3 * error_of(&out.false_found) > AP_POOLED_DISCOVERY) {
        fail_msg("books with a cell called heavy: %.3f (standard error %.3f)", out.false_found.mean,
                 error_of(&out.false_found));
    }
    for (size_t i = 0; i < SIZES; i++) {
        at_least(&out.content[i], AP_POOLED_CONTENT, "mean content", trees_of[i]);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(content_holds),
        cmocka_unit_test(content_holds_where_trees_differ_much),
        cmocka_unit_test(few_cells_are_called_heavy_wrongly),
        cmocka_unit_test(none_is_heavy),
        cmocka_unit_test(none_is_heavy_with_two_estimators),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

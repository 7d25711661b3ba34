/* The pooled figures, the proof, the trend and the weighing on small rosters: what has to come out by hand, and what
 * happens where there is too little. */
#include "analysis/factors.h"
#include "analysis/trend_months.h"
#include "analysis/weighing.h"
#include "stats/prng.h"
#include "support/roster.h"

static const ap_by species_cut[] = {AP_BY_SPECIES, AP_BY_CUT};

typedef struct setting {
    ap_roster roster;
    ap_arena arena;
    ap_pooled_picks picks;
    ap_pooled pooled;
} setting;

static void begin(setting *s) {
    memset(s, 0, sizeof *s);
    check_roster_init(&s->roster);
    ap_arena_init(&s->arena, 32u << 20);
}

static void fit(setting *s, size_t by_count) {
    ap_error err;
    ap_pooled_picks_release(&s->picks);
    check_ok(ap_pooled_picks_take(&s->picks, &s->roster, 0, s->roster.count, &err), &err);
    check_ok(ap_pooled_fit(&s->pooled, &s->arena, &s->picks, species_cut, by_count, &err), &err);
}

static void end(setting *s) {
    ap_pooled_picks_release(&s->picks);
    ap_arena_release(&s->arena);
    ap_roster_release(&s->roster);
}

static ap_fact *add(setting *s, size_t number, double ratio, const char *species, const char *cut, size_t tree) {
    char name[32], tree_name[32];
    snprintf(name, sizeof name, "J%zu/%zu", tree, number);
    snprintf(tree_name, sizeof tree_name, "T%zu", tree);
    ap_fact *fact =
        check_roster_add(&s->roster, name, (ap_date)(20000 + 3 * tree), ratio, species, cut, "E1", tree_name);
    snprintf(name, sizeof name, "J%zu", tree);
    ap_fact_set_group(fact, AP_BY_JOB, ap_intern_add(s->roster.labels[AP_BY_JOB], ap_str_from(name)));
    char month[AP_ISO_SIZE];
    ap_month_to_iso(month, ap_month_index(fact->date));
    ap_fact_set_group(fact, AP_BY_MONTH, ap_intern_add(s->roster.labels[AP_BY_MONTH], ap_str_from(month)));
    fact->hook_kg = fact->measured_net_kg;
    return fact;
}

/* No cell of any level may hold an infinity, and a bound that is there is finite and at least 1. */
static void check_sound(const ap_pooled *pooled) {
    for (size_t l = 0; l < pooled->level_count; l++) {
        const ap_pooled_level *level = &pooled->level[l];
        assert_true(level->fitted || level->why_not.len > 0);
        for (size_t c = 0; c < level->cell_count; c++) {
            const ap_pooled_cell *cell = &level->cells[c];
            assert_false(isinf(cell->pooled_log) || isinf(cell->pooled_high) || isinf(cell->t) || isinf(cell->scale));
            assert_true(!cell->bound || (isfinite(cell->bound->planning) && cell->bound->planning >= 1));
            assert_true(!cell->bound || (isfinite(cell->bound->prediction) && cell->bound->prediction >= 1));
        }
    }
}

static void too_little_gets_a_sentence(void **state) {
    (void)state;
    setting s;
    begin(&s);
    fit(&s, 2); /* no pick at all */
    check_sound(&s.pooled);
    assert_false(s.pooled.level[0].fitted);
    add(&s, 1, NAN, "oak", "through", 1); /* only unweighed */
    fit(&s, 2);
    assert_int_equal(s.picks.count, 0);
    check_sound(&s.pooled);
    add(&s, 2, 1.2, "oak", "through", 1); /* one pick */
    fit(&s, 2);
    check_sound(&s.pooled);
    assert_false(s.pooled.level[0].fitted);
    for (size_t i = 0; i < 20; i++) { /* all equal */
        add(&s, 3 + i, 1.2, "oak", "through", 2 + i);
    }
    fit(&s, 2);
    check_sound(&s.pooled);
    assert_false(s.pooled.level[0].fitted);
    end(&s);
}

static void one_group_and_cells_of_one(void **state) {
    (void)state;
    setting s;
    begin(&s);
    ap_prng prng;
    ap_prng_init(&prng, 7, 1);
    for (size_t i = 0; i < 24; i++) {
        add(&s, i, exp(.1 * ap_prng_normal(&prng)), "oak", "through", i / 2);
    }
    fit(&s, 2); /* one species, one cut, one estimator, no crane */
    check_sound(&s.pooled);
    assert_true(s.pooled.level[0].fitted);
    assert_non_null(s.pooled.level[0].cells[0].bound);
    for (size_t i = 0; i < 12; i++) {
        char name[16];
        snprintf(name, sizeof name, "kind %zu", i);
        add(&s, 100 + i, exp(.1 * ap_prng_normal(&prng)), name, "step", 100 + i);
    }
    fit(&s, 2);
    check_sound(&s.pooled);
    for (size_t c = 0; c < s.pooled.level[0].cell_count; c++) { /* P3 */
        const ap_pooled_cell *cell = &s.pooled.level[0].cells[c];
        assert_int_equal(cell->of_level, cell->trees >= AP_POOLED_TREES_LEAST ? 0 : 2);
    }
    end(&s);
}

/* With one group, each tree one pick, one estimator and no crane, the model is a plain sample of ten.
 * Source of k: reference/stats, tolerance_k_onesided.csv, n = 10, content .95, confidence .90: 2.56837320589 (R 4.2.2). */
static void a_plain_sample_gets_its_textbook_factor(void **state) {
    (void)state;
    static const double e[10] = {.12, -.05, .08, .21, -.11, .03, .15, -.02, .06, .01};
    setting s;
    begin(&s);
    for (size_t i = 0; i < 10; i++) {
        add(&s, i, exp(e[i]), "oak", "through", i);
    }
    fit(&s, 0);
    const ap_pooled_cell *cell = &s.pooled.level[0].cells[0];
    assert_non_null(cell->bound);
    check_close(cell->own_log, .048, 1e-12, "the mean of the ten values, by hand");
    check_close(cell->scale, sqrt((.1070 - 10 * .048 * .048) / 9), 1e-6,
                "sd of the ten: squares sum to .1070, by hand; pooled and own are the same here");
    check_close(cell->bound->k, 2.56837320589, 1e-6, "tolerance_k_onesided.csv, n = 10");
    check_close(cell->bound->planning, exp(cell->own_log + 2.56837320589 * cell->scale), 1e-6, "exp(mean + k sd)");
    end(&s);
}

static void lighter_plans_never_get_a_factor_below_one(void **state) {
    (void)state;
    setting s;
    begin(&s);
    ap_prng prng;
    ap_prng_init(&prng, 8, 1);
    for (size_t i = 0; i < 60; i++) {
        add(&s, i, exp(-.8 + .05 * ap_prng_normal(&prng)), "oak", "through", i / 3);
    }
    fit(&s, 2);
    check_close(s.pooled.level[0].cells[0].bound->planning, 1, 0, "P5: never below 1");
    check_close(s.pooled.level[0].cells[0].bound->prediction, 1, 0, "P5");
    assert_false(s.pooled.level[0].cells[0].biased);
    end(&s);
}

static void a_suspect_is_questioned_and_the_larger_factor_carried(void **state) {
    (void)state;
    setting s;
    begin(&s);
    ap_prng prng;
    ap_prng_init(&prng, 9, 1);
    for (size_t i = 0; i < 80; i++) {
        add(&s, i, exp(.05 + .1 * ap_prng_normal(&prng)), i % 2 ? "oak" : "ash", "through", i / 4);
    }
    fit(&s, 2);
    assert_int_equal(s.pooled.suspect_count, 0);
    const uint32_t oak[AP_WEIGHTS_BY_MAX] = {ap_intern_find(s.roster.labels[AP_BY_SPECIES], AP_STR_LIT("oak")), 1};
    double before = ap_pooled_bound_for(&s.pooled, oak)->planning;
    add(&s, 99, 10, "oak", "through", 3); /* a slip of a decimal point */
    fit(&s, 2);
    assert_int_equal(s.pooled.suspect_count, 1);
    assert_int_equal(s.pooled.suspects[0].fact, s.roster.count - 1);
    const ap_pooled_cell *cell = ap_pooled_find(&s.pooled.level[0], oak);
    assert_int_equal(cell->suspects, 1);
    assert_true(cell->has_without);
    check_close(cell->without.planning, before, 1e-9, "without it the book is the one before");
    assert_true(cell->bound->planning >= cell->without.planning);
    check_close(cell->bound->planning, fmax(cell->own_bound.planning, cell->without.planning), 0, "the larger, P4");
    end(&s);
}

/* The proof knows nothing of what it plans: a book whose later half is far heavier is caught short by its first half. */
static void rolling_origin_does_not_look_ahead(void **state) {
    (void)state;
    setting s;
    begin(&s);
    ap_prng prng;
    ap_prng_init(&prng, 10, 1);
    for (size_t i = 0; i < 400; i++) {
        double level = i < 200 ? 0 : .6;
        add(&s, i, exp(level + .05 * ap_prng_normal(&prng)), "oak", "through", i / 4);
    }
    ap_factors factors;
    ap_error err;
    check_ok(ap_factors_work_out(&factors, &s.arena, &s.roster, AP_DATE_NONE, species_cut, 2, &err), &err);
    const ap_proof_line *rolling = &factors.proof.rolling;
    assert_int_equal(rolling->held_out + rolling->no_factor, 400);
    /* The months are of 40 picks or so: the first after the step is planned from light ones alone. */
    size_t missed = rolling->held_out - rolling->within;
    assert_true(missed >= 20);
    /* Leave-one-job-out knows the future and covers nearly all. */
    assert_int_equal(factors.proof.left_out.held_out, 400);
    assert_true(factors.proof.left_out.held_out - factors.proof.left_out.within < missed);
    end(&s);
}

static void trend_finds_a_step_and_a_slope(void **state) {
    (void)state;
    setting s;
    begin(&s);
    for (size_t tree = 0; tree < 150; tree++) { /* fourteen or so months; from the middle on 20 % heavier */
        for (size_t i = 0; i < 3; i++) {
            add(&s, i, (tree < 75 ? 1.0 : 1.2) * (1 + .01 * (double)i), "oak", "through", tree);
        }
    }
    ap_trend trend;
    ap_error err;
    check_ok(ap_trend_work_out(&trend, &s.arena, &s.roster, 0, s.roster.count, NULL, 0, &err), &err);
    assert_int_equal(trend.count, 1);
    const ap_trend_series *series = &trend.series[0];
    assert_true(series->month_count >= AP_TREND_CHANGE_LEAST);
    assert_true(series->has_change && series->change_up);
    int step = ap_month_index((ap_date)(20000 + 3 * 75));
    assert_true(abs(series->change_month - step) <= 1);
    assert_true(series->by_month.has_slope && series->by_month.slope > 0);
    assert_true(series->has_run && series->signal_count > 0 && series->signals[0].side == -1);
    end(&s);
}

static void trend_of_little(void **state) {
    (void)state;
    setting s;
    begin(&s);
    ap_trend trend;
    ap_error err;
    check_ok(ap_trend_work_out(&trend, &s.arena, &s.roster, 0, 0, NULL, 0, &err), &err);
    assert_int_equal(trend.count, 0);
    for (size_t tree = 0; tree < 40; tree++) {
        add(&s, 1, 1.1, "oak", "through", tree); /* all equal */
    }
    check_ok(ap_trend_work_out(&trend, &s.arena, &s.roster, 0, s.roster.count, NULL, 0, &err), &err);
    const ap_trend_series *series = &trend.series[0];
    assert_false(series->by_month.has_p);
    assert_false(series->has_run);
    assert_false(series->has_change);
    end(&s);
}

/* A first day: many picks, one tree. No number about the next tree, and no failure. */
static void one_tree_gets_a_sentence(void **state) {
    (void)state;
    for (size_t n = 1; n <= 12; n++) {
        setting s;
        begin(&s);
        for (size_t i = 0; i < n; i++) {
            add(&s, i, 1.1 + .03 * (double)i, "oak", "through", 7);
        }
        static const ap_by by[] = {AP_BY_SPECIES};
        ap_pooled pooled;
        ap_pooled_picks picks;
        ap_error err;
        check_ok(ap_pooled_picks_take(&picks, &s.roster, 0, s.roster.count, &err), &err);
        check_ok(ap_pooled_fit(&pooled, &s.roster.arena, &picks, by, 1, &err), &err);
        assert_false(pooled.level[0].fitted);
        assert_true(pooled.level[0].why_not.len > 0);
        assert_null(pooled.level[0].cells[0].bound);
        ap_pooled_picks_release(&picks);
        end(&s);
    }
}

/* Weights that repeat the plan, each kind at its own share of it and rounded to a pound: a factor of them would be that share
 * without any margin. The same picks with a spread as scales have it get one. */
static void weights_too_even_for_a_scale_get_a_sentence(void **state) {
    (void)state;
    for (int even = 0; even < 2; even++) {
        setting s;
        begin(&s);
        ap_prng prng;
        ap_prng_init(&prng, 12, 1);
        for (size_t i = 0; i < 48; i++) {
            double planned = 1000 + 37 * (double)i;
            double off = exp((even ? 0 : .05) * ap_prng_normal(&prng));
            double ratio = round(planned * (i % 2 ? 1.08 : 1.2) * off) / planned;
            add(&s, i, ratio, i % 2 ? "oak" : "ash", "through", i / 4);
        }
        fit(&s, 2);
        check_sound(&s.pooled);
        const ap_pooled_level *level = &s.pooled.level[0];
        assert_true(level->fitted == !even);
        assert_true((level->cells[0].bound != NULL) == !even);
        assert_int_equal(level->cells[0].trees, 12); /* told also without a fit */
        assert_true(!even || strstr(level->why_not.ptr, "copied from the plan") != NULL);
        end(&s);
    }
}

static void weighing_by_hand(void **state) {
    (void)state;
    setting s;
    begin(&s);
    for (size_t i = 0; i < 20; i++) { /* ratios 1.00 .. 1.19: the heaviest tenth is 1.18 and 1.19 */
        ap_fact *fact = add(&s, i, 1 + .01 * (double)i, "oak", "through", i);
        fact->weighed_by = AP_WEIGHED_BY_LOAD_INDICATOR;
    }
    for (size_t i = 0; i < 10; i++) {
        add(&s, 20 + i, NAN, "oak", "through", 20 + i);
    }
    ap_weighing w;
    ap_error err;
    check_ok(ap_weighing_read(&w, &s.roster, 0, s.roster.count, &err), &err);
    assert_int_equal(w.unweighed, 10);
    check_close(w.tenth_log, (log(1.18) + log(1.19)) / 2, 1e-12, "by hand");
    check_close(w.worst_share_heavier, (9 + 10) / 30.0, 1e-12, "9 of 20 above 1.10, all 10 unweighed taken to be");
    assert_int_equal(w.by_indicator, 20);
    assert_int_equal(w.explained, 11); /* 1.00 to 1.10 may be an indicator reading up to 110 % */
    check_ok(ap_weighing_read(&w, &s.roster, 20, 30, &err), &err); /* only unweighed */
    assert_true(isnan(w.mean_log) && isnan(w.worst_mean_log) && w.compared == 0);
    end(&s);
}

/* sd of ln(u), u even over 0.95 .. 1.10: reference/stats, load_indicator_error.csv, 0.0422980513559 (quadrature). */
static void indicator_band_variance(void **state) {
    (void)state;
    setting s;
    begin(&s);
    const double sd = .2;
    for (size_t i = 0; i < 2; i++) {
        add(&s, i, exp(i ? sd / sqrt(2) : -sd / sqrt(2)), "oak", "through", i)->weighed_by =
            AP_WEIGHED_BY_LOAD_INDICATOR;
    }
    ap_weighing w;
    ap_error err;
    check_ok(ap_weighing_read(&w, &s.roster, 0, 2, &err), &err);
    check_close(w.variance_share, 0.0422980513559 * 0.0422980513559 / (sd * sd), 1e-9, "load_indicator_error.csv");
    end(&s);
}

/* Plan 1500 net and 500 of block and slings; the indicator shows the gross. 2200 / 1.10 = 2000 and 1900 / 0.95 = 2000 are the
 * plan, though the net came 13 % heavier and 7 % lighter; 2210 and 1890 are not. One percent of the gross is gross / net
 * percent of the net. Scales are not judged, and do not thin out the spread. */
static void indicator_reads_the_gross(void **state) {
    (void)state;
    setting s;
    begin(&s);
    const double gross[] = {2200, 1900, 2210, 1890, 2000};
    double share = 0, mean = 0, sum = 0;
    for (size_t i = 0; i < 5; i++) {
        ap_fact *fact = add(&s, i, (gross[i] - 500) / 1500, "oak", "through", i);
        fact->weighed_by = AP_WEIGHED_BY_LOAD_INDICATOR;
        fact->planned_net_kg = 1500;
        fact->measured_net_kg = gross[i] - 500;
        fact->rigging_kg = 500;
        fact->hook_kg = gross[i];
        mean += log((gross[i] - 500) / 1500) / 5;
        share += pow(gross[i] / (gross[i] - 500) * 0.0422980513559, 2) / 5;
    }
    for (size_t i = 0; i < 5; i++) {
        sum += pow(log((gross[i] - 500) / 1500) - mean, 2) / 4;
    }
    ap_weighing w;
    ap_error err;
    check_ok(ap_weighing_read(&w, &s.roster, 0, 5, &err), &err);
    assert_int_equal(w.by_indicator, 5);
    assert_int_equal(w.explained, 3);
    check_close(w.variance_share, share / sum, 1e-9, "by hand; the band's sd of load_indicator_error.csv");
    for (size_t i = 5; i < 15; i++) {
        add(&s, i, i & 1 ? 3 : 1, "oak", "through", i)->weighed_by = AP_WEIGHED_BY_SCALE;
    }
    check_ok(ap_weighing_read(&w, &s.roster, 0, 15, &err), &err);
    check_close(w.variance_share, share / sum, 1e-9, "scales beside them change nothing");
    check_ok(ap_weighing_read(&w, &s.roster, 5, 15, &err), &err);
    assert_true(isnan(w.variance_share) && w.by_indicator == 0);
    end(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(too_little_gets_a_sentence),
        cmocka_unit_test(one_group_and_cells_of_one),
        cmocka_unit_test(a_plain_sample_gets_its_textbook_factor),
        cmocka_unit_test(lighter_plans_never_get_a_factor_below_one),
        cmocka_unit_test(a_suspect_is_questioned_and_the_larger_factor_carried),
        cmocka_unit_test(rolling_origin_does_not_look_ahead),
        cmocka_unit_test(trend_finds_a_step_and_a_slope),
        cmocka_unit_test(trend_of_little),
        cmocka_unit_test(one_tree_gets_a_sentence),
        cmocka_unit_test(weights_too_even_for_a_scale_get_a_sentence),
        cmocka_unit_test(weighing_by_hand),
        cmocka_unit_test(indicator_band_variance),
        cmocka_unit_test(indicator_reads_the_gross),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

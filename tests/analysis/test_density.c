/* The density model and its guards on invented wood whose truth is known: no book, no files. */
#include "analysis/density_study.h"

#include "analysis/brush_learnt.h"
#include "analysis/pooled.h"
#include "stats/prng.h"
#include "support/roster.h"

static ap_error err;

/* Invented figures: the guards do not depend on them. */
static const ap_species oak = {
    .id = 1, .common = {"oak", 3}, .hardwood = true, .gravity = 0.6, .density_kg_m3 = 1000, .ceiling_kg_m3 = 1210.6};
static const ap_species weak = {.id = 2,
                                .common = {"weak", 4},
                                .hardwood = true,
                                .placeholder = true,
                                .gravity = 0.6,
                                .density_kg_m3 = 1000,
                                .ceiling_kg_m3 = 1210.6};
static const ap_species bare = {
    .id = 3, .common = {"bare", 4}, .gravity = 0.5, .density_kg_m3 = NAN, .ceiling_kg_m3 = 1175.5};
static const ap_species *const known[] = {&oak, &weak, &bare};

typedef struct wood {
    ap_roster roster;
    ap_arena arena;
    ap_prng prng;
    ap_density_study study;
} wood;

static void wood_init(wood *w, uint64_t seed) {
    memset(w, 0, sizeof *w);
    check_roster_init(&w->roster);
    ap_arena_init(&w->arena, 64u << 20);
    ap_prng_init(&w->prng, seed, 0);
}

static void wood_release(wood *w) {
    ap_density_study_release(&w->study);
    ap_roster_release(&w->roster);
    ap_arena_release(&w->arena);
}

/* A trunk piece of 1 m3 that weighs `ratio` times the handbook's figure; planned at `plan` times it by table. */
static ap_fact *add_piece(wood *w, const char *species, unsigned tree, double ratio, double plan) {
    char name[32], label[32];
    snprintf(name, sizeof name, "J%u/%zu", tree, w->roster.count);
    snprintf(label, sizeof label, "J%u/T1", tree);
    ap_fact *fact =
        check_roster_add(&w->roster, name, (ap_date)(20000 + 10 * tree), ratio / plan, species, "through", "E1", label);
    fact->planned_net_kg = 1000 * plan;
    fact->measured_net_kg = 1000 * ratio;
    fact->rest->volume_m3 = 1;
    fact->wood = AP_FACT_PLANNED_BY_DENSITY;
    fact->wood_class = AP_WOOD_SOUND;
    ap_fact_set_group(fact, AP_BY_BASIS, ap_intern_add(w->roster.labels[AP_BY_BASIS], AP_STR_LIT("table")));
    ap_fact_set_group(fact, AP_BY_PIECE, ap_intern_add(w->roster.labels[AP_BY_PIECE], AP_STR_LIT("trunk")));
    ap_fact_set_group(fact, AP_BY_JOB, ap_intern_add(w->roster.labels[AP_BY_JOB], ap_str_from(label)));
    return fact;
}

/* `trees` trees of `each` pieces around `ratio`, tree sd .05 and rest sd .05, planned at the handbook. */
static void add_trees(wood *w, const char *species, unsigned first, unsigned trees, unsigned each, double ratio) {
    for (unsigned t = first; t < first + trees; t++) {
        double tree = 0.05 * ap_prng_normal(&w->prng);
        for (unsigned i = 0; i < each; i++) {
            add_piece(w, species, t, ratio * exp(tree + 0.05 * ap_prng_normal(&w->prng)), 1);
        }
    }
}

static uint32_t label_of(const wood *w, const char *species) {
    return ap_intern_find(w->roster.labels[AP_BY_SPECIES], ap_str_from(species));
}

static void work_out(wood *w, const char *only) {
    size_t labels = (size_t)ap_intern_count(w->roster.labels[AP_BY_SPECIES]) + 1;
    w->roster.species = ap_arena_alloc_array(&w->roster.arena, labels, sizeof *w->roster.species);
    assert_non_null(w->roster.species);
    for (size_t k = 0; k < sizeof known / sizeof known[0]; k++) {
        uint32_t label = ap_intern_find(w->roster.labels[AP_BY_SPECIES], known[k]->common);
        if (label) {
            w->roster.species[label] = known[k];
        }
    }
    check_ok(ap_density_study_run(&w->study, &w->arena, &w->roster, only ? label_of(w, only) : 0, &err), &err);
}

static const ap_density_species *row_of(const wood *w, const char *species) {
    return ap_density_find(&w->study.density, label_of(w, species));
}

static const ap_reestimate_species *plans_of(const wood *w, const char *species) {
    const ap_density_species *row = row_of(w, species);
    assert_non_null(row);
    return &w->study.plans.species[row - w->study.density.species];
}

/* Heavier wood on many trees is taken, between the handbook and what the pieces say; the held-out error falls. */
static void test_heavier(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 1);
    add_trees(&w, "oak", 1, 12, 4, 1.15);
    work_out(&w, NULL);
    const ap_density_species *row = row_of(&w, "oak");
    const ap_reestimate_species *plans = plans_of(&w, "oak");
    assert_int_equal(plans->verdict, AP_DENSITY_HEAVIER);
    assert_int_equal(row->bare_trees, 12);
    assert_int_equal(row->bare_picks, 48);
    assert_true(row->shift > 0 && row->shift < log(1.15) + 0.03);
    assert_true(row->low < row->shift && row->shift < row->high);
    assert_false(row->conflict);
    assert_true(fabs(plans->tree.after.bias) < fabs(plans->tree.before.bias));
    assert_true(plans->tree.gain_low > 0);
    assert_true(plans->rolling.before.picks > 0 && plans->rolling.before.picks < 48); /* the first month has no past */
    /* Five more pieces, each on another tree, and a checked indicator: tests/stats/test_posterior.c checks both figures. */
    assert_true(row->narrow.weigh_sd < row->sd && row->narrow.instrument_sd < row->sd);
    assert_int_equal(row->narrow.brush, 0);
    wood_release(&w);
}

static void add_tops(wood *w, unsigned trees, const char *foliage) {
    for (unsigned t = 1; t <= trees; t++) {
        ap_fact *top = add_piece(w, "oak", t, 1.4, 1);
        top->wood |= AP_FACT_BRUSHY;
        ap_fact_set_group(top, AP_BY_PIECE, ap_intern_add(w->roster.labels[AP_BY_PIECE], AP_STR_LIT("top")));
        ap_fact_set_group(top, AP_BY_FOLIAGE, ap_intern_add(w->roster.labels[AP_BY_FOLIAGE], ap_str_from(foliage)));
    }
}

/* Tops that weigh 1.4 times what their stems would, beside bare pieces of the same trees at the handbook's figure: the allowance
 * comes near 0.4, below it by the prior; four trees teach nothing, and so does another foliage. */
static void test_learnt_brush(void **state) {
    (void)state;
    double learnt[AP_WOOD_BRUSH_CLASSES];
    wood w;
    wood_init(&w, 12);
    for (unsigned t = 1; t <= 30; t++) {
        for (unsigned i = 0; i < 4; i++) {
            add_piece(&w, "oak", t, 0.99 + 0.02 * (i & 1), 1);
        }
    }
    add_tops(&w, 30, "leaf_on");
    add_tops(&w, AP_BRUSH_TREES_LEAST - 1, "leaf_off");
    work_out(&w, NULL);
    check_ok(ap_brush_learnt(learnt, &w.roster, &err), &err);
    double on = learnt[ap_wood_brush_number(AP_PIECE_TOP, AP_FOLIAGE_LEAF_ON, AP_WOOD_HARDWOOD)];
    assert_true(on > 0.37 && on <= 0.40);
    assert_true(isnan(learnt[ap_wood_brush_number(AP_PIECE_TOP, AP_FOLIAGE_LEAF_OFF, AP_WOOD_HARDWOOD)]));
    assert_true(isnan(learnt[ap_wood_brush_number(AP_PIECE_TOP, AP_FOLIAGE_LEAF_ON, AP_WOOD_SOFTWOOD)]));
    wood_release(&w);
}

/* Guard 1 of lighter plans: ten weighed trees. Nine are refused; a butt does not count as one. */
static void test_lighter_trees(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 2);
    add_trees(&w, "oak", 1, 9, 4, 0.85);
    add_piece(&w, "oak", 10, 0.85, 1)->wood |= AP_FACT_BUTT;
    work_out(&w, NULL);
    assert_int_equal(row_of(&w, "oak")->trees, 10);
    assert_int_equal(row_of(&w, "oak")->bare_trees, 9);
    assert_int_equal(plans_of(&w, "oak")->verdict, AP_DENSITY_FEW_TREES);
    wood_release(&w);
}

/* Guard 2: plans ran so heavy that hardly a piece passed plan x 1; lighter ones would be passed as often as a factor
 * allows. The share rises: refused, although the error gets smaller. */
static void test_lighter_share(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 3);
    add_trees(&w, "oak", 1, 30, 4, 0.70);
    work_out(&w, NULL);
    const ap_reestimate_species *plans = plans_of(&w, "oak");
    assert_true(plans->tree.gain_low > 0);
    assert_true(plans->guard.told);
    assert_true(plans->guard.share_after > plans->guard.share_before);
    assert_true(plans->guard.rise_high > 0);
    assert_int_equal(plans->verdict, AP_DENSITY_SHARE_RISES);
    assert_false(ap_density_is_recommended(plans->verdict));
    wood_release(&w);
}

/* ... and passed when no more pieces would come heavier than plan x factor: twenty trees alike, planned 12 % too heavy by a
 * table that had the density wrong. Then, and only then, a lighter figure is taken. */
static void test_lighter_taken(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 4);
    for (unsigned t = 1; t <= 20; t++) {
        for (unsigned i = 0; i < 4; i++) {
            add_piece(&w, "oak", t, 0.88 * (1 + 0.004 * (double)((int)((t + i) % 5) - 2)), 1);
        }
    }
    work_out(&w, "oak");
    const ap_reestimate_species *plans = plans_of(&w, "oak");
    assert_true(plans->change < 0);
    assert_true(plans->guard.told);
    assert_int_equal(plans->guard.picks, 80);
    assert_true(plans->guard.rise_high <= 0);
    assert_int_equal(plans->verdict, AP_DENSITY_LIGHTER);
    wood_release(&w);
}

/* No correction counts twice: plans made anew with the accepted figure need no factor for what the figure mended. The factor
 * of re-estimated plans is that of the same picks planned with the new figure in the first place. */
static void test_factor_in_the_same_step(void **state) {
    (void)state;
    wood w, anew;
    wood_init(&w, 5);
    add_trees(&w, "oak", 1, 20, 4, 1.20);
    work_out(&w, "oak");
    const ap_reestimate_species *plans = plans_of(&w, "oak");
    double figure = exp(row_of(&w, "oak")->shift);
    assert_true(plans->guard.factor_after < plans->guard.factor_before);
    wood_init(&anew, 5);
    add_trees(&anew, "oak", 1, 20, 4, 1.20);
    for (size_t i = 0; i < anew.roster.count; i++) {
        anew.roster.facts[i].log_error -= log(figure);
    }
    static const ap_by by[] = {AP_BY_SPECIES};
    ap_pooled pooled;
    ap_pooled_picks picks;
    check_ok(ap_pooled_picks_take(&picks, &anew.roster, 0, anew.roster.count, &err), &err);
    check_ok(ap_pooled_fit(&pooled, &anew.arena, &picks, by, 1, &err), &err);
    const uint32_t key[AP_WEIGHTS_BY_MAX] = {label_of(&anew, "oak")};
    check_close(plans->guard.factor_after, ap_pooled_bound_for(&pooled, key)->planning, 1e-6,
                "the same picks planned with the new figure");
    ap_pooled_picks_release(&picks);
    wood_release(&w);
    wood_release(&anew);
}

/* An accepted figure moves the plans of the days before it, and only those by chart, table or working. */
static void test_in_force(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 6);
    add_trees(&w, "oak", 1, 12, 4, 1.15);
    ap_assumption accepted[] = {
        {.id = 1, .species_id = oak.id, .density_kg_m3 = 1100, .since = 20050, .undone_on = AP_DATE_NONE},
        {.id = 2, .species_id = oak.id, .density_kg_m3 = 1200, .since = 20060, .undone_on = 20070},
    };
    w.roster.assumptions = (ap_assumptions){accepted, 2};
    work_out(&w, NULL);
    uint32_t label = label_of(&w, "oak");
    static const struct {
        ap_date day;
        double density;
    } want[] = {{20049, 1000}, {20050, 1100}, {20060, 1200}, {20069, 1200}, {20070, 1100}, {AP_DATE_NONE, 1100}};
    for (size_t i = 0; i < sizeof want / sizeof want[0]; i++) {
        check_close(ap_roster_density_log(&w.roster, label, want[i].day), log(want[i].density / 1000), 1e-12,
                    "the youngest figure that has begun and was not taken back");
    }
    check_close(plans_of(&w, "oak")->in_force, log(1.1), 1e-12, "what is in force now");
    wood_release(&w);
}

/* Bad input: a clear word and no recommendation. */
static void test_unused(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 7);
    add_piece(&w, "oak", 1, 1, 1)->rest->volume_m3 = NAN; /* no dimensions */
    ap_fact *fact = add_piece(&w, "oak", 2, 1, 1);        /* tip thicker than butt, zero length */
    fact->rest->volume_m3 = NAN;
    fact->wood |= AP_FACT_IMPOSSIBLE;
    add_piece(&w, "oak", 3, 1, 1)->wood |= AP_FACT_ALL_BRUSH;
    add_piece(&w, "bare", 4, 1, 1); /* no handbook figure */
    add_piece(&w, "", 5, 1, 1);
    add_piece(&w, "oak", 6, 1, 1)->measured_net_kg = NAN;
    work_out(&w, NULL);
    const size_t *unused = w.study.picks.unused;
    assert_int_equal(unused[AP_DENSITY_NO_DIMENSIONS], 1);
    assert_int_equal(unused[AP_DENSITY_IMPOSSIBLE], 1);
    assert_int_equal(unused[AP_DENSITY_ALL_BRUSH], 1);
    assert_int_equal(unused[AP_DENSITY_NO_HANDBOOK], 1);
    assert_int_equal(unused[AP_DENSITY_NO_SPECIES], 1);
    assert_int_equal(unused[AP_DENSITY_NOT_WEIGHED], 1);
    assert_int_equal(unused[AP_DENSITY_USED], 0);
    assert_int_equal(w.study.density.species_count, 0);
    wood_release(&w);
}

static void test_only_butts(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 8);
    add_trees(&w, "oak", 1, 12, 1, 1.3);
    for (size_t i = 0; i < w.roster.count; i++) {
        w.roster.facts[i].wood |= AP_FACT_BUTT;
    }
    work_out(&w, NULL);
    assert_int_equal(row_of(&w, "oak")->bare_trees, 0);
    assert_int_equal(plans_of(&w, "oak")->verdict, AP_DENSITY_ONLY_BUTTS);
    wood_release(&w);
    wood_init(&w, 8); /* the same with the middle taped is evidence like any */
    add_trees(&w, "oak", 1, 12, 1, 1.3);
    for (size_t i = 0; i < w.roster.count; i++) {
        w.roster.facts[i].wood |= AP_FACT_BUTT | AP_FACT_MID_TAPED;
    }
    work_out(&w, NULL);
    assert_int_equal(row_of(&w, "oak")->bare_trees, 12);
    wood_release(&w);
}

static void test_one_tree(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 9);
    add_trees(&w, "oak", 1, 1, 40, 1.3);
    work_out(&w, NULL);
    assert_int_equal(plans_of(&w, "oak")->verdict, AP_DENSITY_ONE_TREE);
    wood_release(&w);
    wood_init(&w, 9); /* and one pick */
    add_trees(&w, "oak", 1, 1, 1, 1.3);
    work_out(&w, NULL);
    assert_int_equal(plans_of(&w, "oak")->verdict, AP_DENSITY_ONE_TREE);
    assert_true(w.study.density.assumed);
    assert_true(isfinite(row_of(&w, "oak")->low) && isfinite(row_of(&w, "oak")->high));
    wood_release(&w);
}

/* By-eye plans do not move and prove nothing. */
static void test_by_eye(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 10);
    add_trees(&w, "oak", 1, 12, 4, 1.2);
    for (size_t i = 0; i < w.roster.count; i++) {
        w.roster.facts[i].wood = 0;
        ap_fact_set_group(&w.roster.facts[i], AP_BY_BASIS,
                          ap_intern_add(w.roster.labels[AP_BY_BASIS], AP_STR_LIT("by_eye")));
    }
    work_out(&w, NULL);
    assert_int_equal(plans_of(&w, "oak")->by_eye.picks, 48);
    assert_int_equal(plans_of(&w, "oak")->tree.before.picks, 0);
    assert_int_equal(plans_of(&w, "oak")->verdict, AP_DENSITY_NO_PLANS);
    wood_release(&w);
}

/* Plans that were good already are not mended: the figure is heavier, the plans were too. */
static void test_not_better(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 11);
    for (unsigned t = 1; t <= 15; t++) {
        double tree = 0.05 * ap_prng_normal(&w.prng);
        for (unsigned i = 0; i < 4; i++) {
            add_piece(&w, "oak", t, 1.2 * exp(tree + 0.05 * ap_prng_normal(&w.prng)), 1.2);
        }
    }
    work_out(&w, NULL);
    assert_int_equal(plans_of(&w, "oak")->verdict, AP_DENSITY_NOT_BETTER);
    wood_release(&w);
}

/* Rolling origin: later jobs are planned from earlier ones only. Heavy wood in the first month, as in the handbook in the
 * second: the figure of all of it helps on trees left out, but what the first month taught would have made the second worse. */
static void test_later_jobs(void **state) {
    (void)state;
    enum { FIRST = 80 };
    wood w;
    wood_init(&w, 15);
    add_trees(&w, "oak", 1, 20, 4, 1.25);
    add_trees(&w, "oak", 21, 20, 4, 1.0);
    for (size_t i = 0; i < w.roster.count; i++) {
        w.roster.facts[i].date = i < FIRST ? 20030 : 20065; /* 2024-11-03, 2024-12-08 */
    }
    work_out(&w, NULL);
    const ap_reestimate_species *plans = plans_of(&w, "oak");
    ap_density earlier;
    check_ok(ap_density_fit(&earlier, &w.arena, &w.study.picks, FIRST, &ap_density_priors_default, &err), &err);
    assert_int_equal(plans->rolling.before.picks, w.roster.count - FIRST);
    check_close(plans->rolling.after.bias, plans->rolling.before.bias - ap_density_shift(&earlier, label_of(&w, "oak")),
                1e-12, "a fit of the first month alone");
    assert_true(plans->tree.gain_low > 0);
    assert_true(plans->rolling.gain < 0);
    assert_int_equal(plans->verdict, AP_DENSITY_NOT_LATER);
    ap_density_release(&earlier);
    wood_release(&w);
}

/* Beyond three standard deviations of prior and picks together: flagged. The weak row's prior is wider. */
static void test_conflict(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 12);
    add_trees(&w, "oak", 1, 20, 4, 1.55);
    add_trees(&w, "weak", 100, 20, 4, 1.55);
    work_out(&w, NULL);
    const ap_density_species *strong = row_of(&w, "oak");
    const ap_density_species *row = row_of(&w, "weak");
    check_close(strong->prior_sd, 0.12, 0, "methods: the handbook is a prior with sd 0.12");
    check_close(row->prior_sd, 0.20, 0, "methods: weak rows 0.20");
    assert_true(strong->conflict);
    assert_false(row->conflict);
    assert_true(row->shift / row->own > strong->shift / strong->own); /* the weaker prior gives way more */
    wood_release(&w);
}

/* Above the ceiling: questioned in the open, the heavier figure carried, and a suspect of the factors too. */
static void test_ceiling(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 13);
    add_trees(&w, "oak", 1, 12, 4, 1.05);
    ap_fact *fact = add_piece(&w, "oak", 13, 1.9, 1);
    fact->wood |= AP_FACT_ABOVE_CEILING;
    work_out(&w, NULL);
    const ap_density_species *row = row_of(&w, "oak");
    assert_int_equal(row->above_ceiling, 1);
    assert_int_equal(row->picks, 49); /* not dropped */
    assert_true(row->shift_without < row->shift);
    static const ap_by by[] = {AP_BY_SPECIES};
    ap_pooled pooled;
    ap_pooled_picks picks;
    check_ok(ap_pooled_picks_take(&picks, &w.roster, 0, w.roster.count, &err), &err);
    check_ok(ap_pooled_fit(&pooled, &w.arena, &picks, by, 1, &err), &err);
    assert_int_equal(pooled.suspect_count, 1);
    assert_int_equal(pooled.suspects[0].reason, AP_SUSPECT_CEILING);
    assert_int_equal(pooled.suspects[0].fact, 48);
    ap_pooled_picks_release(&picks);
    wood_release(&w);
}

/* Dead wood does not make the sound figure lighter; brush does not make it heavier. */
static void test_kinds_apart(void **state) {
    (void)state;
    wood w;
    wood_init(&w, 14);
    add_trees(&w, "oak", 1, 15, 4, 1.0);
    for (size_t i = 0; i < w.roster.count; i++) {
        ap_fact *fact = &w.roster.facts[i];
        if (i % 4 == 0) {
            fact->measured_net_kg *= 0.7;
            fact->wood_class = AP_WOOD_DEAD;
        } else if (i % 4 == 1) {
            fact->measured_net_kg *= 1.4;
            fact->wood |= AP_FACT_BRUSHY;
            ap_fact_set_group(fact, AP_BY_PIECE, ap_intern_add(w.roster.labels[AP_BY_PIECE], AP_STR_LIT("top")));
            ap_fact_set_group(fact, AP_BY_FOLIAGE,
                              ap_intern_add(w.roster.labels[AP_BY_FOLIAGE], AP_STR_LIT("leaf_on")));
        }
    }
    work_out(&w, NULL);
    const ap_density *d = &w.study.density;
    check_close(row_of(&w, "oak")->shift, 0, 0.05, "invented wood that weighs what the handbook says");
    size_t told = 0;
    for (size_t k = 0; k < d->effect_count; k++) {
        const ap_density_effect *effect = &d->effects[k];
        if (effect->kind == AP_DENSITY_CONDITION) {
            check_close(effect->mean, log(0.7), 0.05, "invented dead wood at 0.7");
            assert_int_equal(effect->trees, 15);
            told++;
        } else if (effect->kind == AP_DENSITY_BRUSH) {
            check_close(effect->mean, log(1.4), 0.05, "invented brush at 1.4");
            check_str(ap_density_brush_text(&w.arena, effect->key), "top, leaf on, hardwood");
            told++;
        }
    }
    assert_int_equal(told, 2);
    wood_release(&w);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_heavier),       cmocka_unit_test(test_learnt_brush),
        cmocka_unit_test(test_lighter_trees), cmocka_unit_test(test_lighter_share),
        cmocka_unit_test(test_lighter_taken), cmocka_unit_test(test_factor_in_the_same_step),
        cmocka_unit_test(test_in_force),      cmocka_unit_test(test_unused),
        cmocka_unit_test(test_only_butts),    cmocka_unit_test(test_one_tree),
        cmocka_unit_test(test_by_eye),        cmocka_unit_test(test_not_better),
        cmocka_unit_test(test_later_jobs),    cmocka_unit_test(test_conflict),
        cmocka_unit_test(test_ceiling),       cmocka_unit_test(test_kinds_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

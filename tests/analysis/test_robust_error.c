/* The robust figures of a group: what stands in for what, and that a tree counts once. The estimates themselves are checked against
 * published values in tests/stats. */
#include "analysis/robust_error.h"

#include "support/roster.h"

typedef struct setting {
    ap_roster roster;
    ap_arena arena;
    ap_weight_table table;
    ap_robust_error *robust;
} setting;

static void begin(setting *s) {
    memset(s, 0, sizeof *s);
    check_roster_init(&s->roster);
    ap_arena_init(&s->arena, 1 << 20);
}

static void add(setting *s, double ratio, const char *species, const char *tree) {
    char name[24];
    snprintf(name, sizeof name, "J/%zu", s->roster.count + 1);
    check_roster_add(&s->roster, name, 20000, ratio, species, "step", "E1", tree);
}

static const ap_robust_error *of(setting *s, const char *species) {
    ap_error err;
    const ap_by by[] = {AP_BY_SPECIES};
    check_ok(ap_weights(&s->table, &s->arena, &s->roster, 0, s->roster.count, by, 1, &err), &err);
    check_ok(ap_robust_errors(&s->robust, &s->arena, &s->roster, 0, s->roster.count, &s->table, &err), &err);
    for (size_t g = 0; g < s->table.count; g++) {
        ap_str label = ap_roster_label(&s->roster, AP_BY_SPECIES, s->table.groups[g].key[0]);
        if (ap_str_equal_word(label, species)) {
            return &s->robust[g];
        }
    }
    fail_msg("no group '%s'", species);
    return NULL;
}

static void end(setting *s) {
    ap_arena_release(&s->arena);
    ap_roster_release(&s->roster);
}

static void each_tree_counts_once(void **state) {
    (void)state;
    setting s;
    begin(&s);
    static const char *const trees[] = {"a", "b", "c", "d", "e"};
    for (int t = 0; t < 5; t++) {
        for (int i = 0; i <= 2 * t; i++) { /* the heavier the tree the more picks it has; its median is its level */
            add(&s, (1 + .1 * t) * (i % 2 ? 1.01 : i ? .99 : 1), "oak", trees[t]);
        }
        if (t == 3) {
            assert_true(isnan(of(&s, "oak")->median_low)); /* four trees reach 87.5 % at most */
        }
    }
    add(&s, 1.1, "ash", "f");
    add(&s, NAN, "elm", "g");
    /* Five values: smallest to largest hold the median in 1 - 2 / 2^5 = 93.75 % (Conover 1999, section 3.2). */
    const ap_robust_error *oak = of(&s, "oak");
    check_close(oak->median_low, 1.0, 1e-12, "the median of tree a");
    check_close(oak->median_high, 1.4 * .99, .015, "the median of tree e");
    assert_int_equal(oak->kind, AP_LOCATION_HUBER);
    assert_true(oak->ratio > 1.2 && oak->ratio < 1.4);
    const ap_robust_error *ash = of(&s, "ash");
    assert_int_equal(ash->kind, AP_LOCATION_MEDIAN_TOO_FEW);
    check_close(ash->ratio, 1.1, 1e-12, "one pick");
    assert_true(isnan(of(&s, "elm")->ratio)); /* nothing weighed */
    end(&s);
}

/* A slip of a decimal point moves the plain average by a quarter and the robust one by little. */
static void one_wild_pick_moves_little(void **state) {
    (void)state;
    setting s;
    begin(&s);
    for (int i = 0; i < 10; i++) {
        add(&s, 1 + .01 * i, "oak", "a");
        add(&s, 1.1, "ash", "b");
    }
    double before = of(&s, "oak")->ratio;
    check_close(before, 1.045, .002, "the ten are even about 1.045, by hand");
    add(&s, 10, "oak", "a");
    double after = of(&s, "oak")->ratio;
    assert_true(after > before && after < before * 1.02);
    assert_int_equal(of(&s, "ash")->kind, AP_LOCATION_MEDIAN_NO_MAD);
    /* A group whose figures were taken away has none here either. */
    ap_error err;
    s.table.groups[0].median_ratio = NAN;
    check_ok(ap_robust_errors(&s.robust, &s.arena, &s.roster, 0, s.roster.count, &s.table, &err), &err);
    assert_true(isnan(s.robust[0].ratio) && !isnan(s.robust[1].ratio));
    end(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_tree_counts_once),
        cmocka_unit_test(one_wild_pick_moves_little),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

#include "support/roster.h"

#include "analysis/associations.h"
#include "analysis/movement.h"
#include "stats/rates.h"

typedef struct fixture {
    ap_roster roster;
    ap_arena arena;
    ap_associations found;
} fixture;

static void open_fixture(fixture *f) {
    memset(f, 0, sizeof *f);
    check_roster_init(&f->roster);
    ap_arena_init(&f->arena, 16u << 20);
}

static void close_fixture(fixture *f) {
    ap_arena_release(&f->arena);
    ap_roster_release(&f->roster);
}

static void find_all(fixture *f) {
    ap_error err;
    check_ok(ap_associations_find(&f->found, &f->arena, &f->roster, 0, f->roster.count, &err), &err);
}

/* `n` picks of one kerf, the first `hits` moved; each of a tree of its own unless `one_tree`. */
static void add_kerf(fixture *f, int kerf, size_t n, size_t hits, bool one_tree) {
    for (size_t i = 0; i < n; i++) {
        char tree[32];
        snprintf(tree, sizeof tree, "T%zu", one_tree ? 0 : f->roster.count);
        ap_fact *fact = check_roster_add(&f->roster, "J/1", 1, 1.0, "beech", "step", "E1", tree);
        fact->kerf = (uint8_t)kerf;
        fact->rest->movement = i < hits ? AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) : AP_MOVE_BIT(AP_MOVEMENT_STILL);
    }
}

static const ap_association *get(const fixture *f, ap_association_kind kind, const char *group) {
    for (size_t i = 0; i < f->found.count; i++) {
        if (f->found.items[i].kind == kind && ap_str_equal_word(f->found.items[i].group, group)) {
            return &f->found.items[i];
        }
    }
    return NULL;
}

static void a_closing_kerf_goes_with_movement(void **state) {
    (void)state;
    fixture f;
    open_fixture(&f);
    add_kerf(&f, AP_KERF_CLOSING, 12, 9, false);
    add_kerf(&f, AP_KERF_STEADY, 60, 9, false);
    add_kerf(&f, AP_KERF_OPENING, 3, 3, false); /* too few to be compared */
    find_all(&f);
    assert_int_equal(f.found.count, 1);
    assert_int_equal(f.found.left_out, 1);
    const ap_association *closing = get(&f, AP_ASSOCIATION_KERF, "kerf closing");
    assert_non_null(closing);
    assert_int_equal(closing->hits, 9);
    assert_int_equal(closing->picks, 12);
    assert_int_equal(closing->other_hits, 9);
    assert_int_equal(closing->others, 60); /* a steady kerf, not the opening ones */
    assert_int_equal(closing->verdict, AP_ASSOCIATION_DIFFERS);
    check_close(closing->difference, 0.75 - 0.15, 1e-12, "9/12 - 9/60");
    ap_fisher fisher;
    ap_error err;
    check_ok(ap_fisher_test(&fisher, 9, 3, 9, 51, &err), &err);
    check_close(closing->p, fisher.p_two_sided, 1e-12, "Fisher 1935");
    close_fixture(&f);
}

static void hits_of_one_tree_are_not_said_to_differ(void **state) {
    (void)state;
    fixture f;
    open_fixture(&f);
    add_kerf(&f, AP_KERF_CLOSING, 12, 9, true);
    add_kerf(&f, AP_KERF_STEADY, 60, 9, false);
    find_all(&f);
    assert_int_equal(get(&f, AP_ASSOCIATION_KERF, "kerf closing")->verdict, AP_ASSOCIATION_ONE_TREE);
    close_fixture(&f);
}

/* The same seen from the other side; and one hit among many, always of one tree, does not hide that the others have many. */
static void the_side_that_has_more_must_be_of_several_trees(void **state) {
    (void)state;
    fixture f;
    open_fixture(&f);
    add_kerf(&f, AP_KERF_CLOSING, 60, 0, false);
    add_kerf(&f, AP_KERF_STEADY, 12, 9, true);
    find_all(&f);
    assert_int_equal(get(&f, AP_ASSOCIATION_KERF, "kerf closing")->verdict, AP_ASSOCIATION_ONE_TREE);
    close_fixture(&f);

    open_fixture(&f);
    add_kerf(&f, AP_KERF_CLOSING, 60, 1, false);
    add_kerf(&f, AP_KERF_STEADY, 60, 30, false);
    find_all(&f);
    assert_int_equal(get(&f, AP_ASSOCIATION_KERF, "kerf closing")->verdict, AP_ASSOCIATION_DIFFERS);
    close_fixture(&f);

    for (int trees = 1; trees <= 2; trees++) { /* against all other set-ups: the others' hits in two of them */
        open_fixture(&f);
        for (size_t i = 0; i < 80; i++) {
            char tree[32];
            bool eye = i >= 60;
            snprintf(tree, sizeof tree, "T%zu", eye ? i % (size_t)trees : i);
            ap_fact *fact = check_roster_add(&f.roster, "J/1", 1, 1.0, "beech", "step", "E1", tree);
            fact->rest->slings = (uint8_t)((i % 2 && eye ? 1 : 2) | (eye ? AP_SLINGS_EYE : AP_SLINGS_ADJUSTABLE));
            fact->rest->re_rigs = eye;
        }
        find_all(&f);
        assert_int_equal(get(&f, AP_ASSOCIATION_RE_RIG, "2 legs, adjustable")->verdict,
                         trees == 1 ? AP_ASSOCIATION_ONE_TREE : AP_ASSOCIATION_DIFFERS);
        close_fixture(&f);
    }
}

static void too_little_says_how_much_more(void **state) {
    (void)state;
    fixture f;
    open_fixture(&f);
    add_kerf(&f, AP_KERF_CLOSING, 8, 2, false);
    add_kerf(&f, AP_KERF_STEADY, 400, 60, false);
    find_all(&f);
    const ap_association *few = get(&f, AP_ASSOCIATION_KERF, "kerf closing");
    assert_int_equal(few->verdict, AP_ASSOCIATION_TOO_LITTLE);
    assert_true(few->needs_more > 20 && few->needs_more < 100);
    size_t needed = few->needs_more + 8;
    close_fixture(&f);

    open_fixture(&f); /* with that many more, and no difference, it is said that none was seen */
    add_kerf(&f, AP_KERF_CLOSING, needed, needed * 15 / 100, false);
    add_kerf(&f, AP_KERF_STEADY, 400, 60, false);
    find_all(&f);
    assert_int_equal(get(&f, AP_ASSOCIATION_KERF, "kerf closing")->verdict, AP_ASSOCIATION_ALIKE);
    close_fixture(&f);
}

static void set_ups_leans_and_blanks(void **state) {
    (void)state;
    fixture f;
    open_fixture(&f);
    for (size_t i = 0; i < 80; i++) {
        char tree[32];
        snprintf(tree, sizeof tree, "T%zu", i);
        ap_fact *fact = check_roster_add(&f.roster, "J/1", 1, 1.0, "beech", i % 2 ? "step" : "through", "E1", tree);
        bool eye = i < 30;
        fact->rest->slings = (uint8_t)(2 | (eye ? AP_SLINGS_EYE : AP_SLINGS_ADJUSTABLE) | AP_SLINGS_STATE);
        fact->rest->slings |= eye && i % 2 ? AP_SLINGS_SLACK : 0;
        fact->rest->lean_deg = 30;
        fact->rest->re_rigs = eye && i % 3 ? 1 : 0;
        fact->rest->movement = AP_MOVE_BIT(AP_MOVEMENT_STILL);
    }
    ap_fact *blank = check_roster_add(&f.roster, "J/2", 1, 1.0, "beech", "step", "E1", "T");
    blank->rest->re_rigs = AP_COUNT_NONE;
    find_all(&f);
    const ap_association *re_rig = get(&f, AP_ASSOCIATION_RE_RIG, "2 legs, eye");
    assert_int_equal(re_rig->hits, 20);
    assert_int_equal(re_rig->picks, 30);
    assert_int_equal(re_rig->others, 50);
    assert_int_equal(re_rig->verdict, AP_ASSOCIATION_DIFFERS);
    assert_int_equal(get(&f, AP_ASSOCIATION_SLACK, "2 legs, eye")->hits, 15);
    const ap_association *leaning = get(&f, AP_ASSOCIATION_EYE_LEANING, "an eye sling on a leaning piece");
    assert_int_equal(leaning->picks, 30);
    const ap_association *moved = get(&f, AP_ASSOCIATION_MOVED, "step cut, 2 legs, eye, leaning 30 to 60 degrees");
    assert_int_equal(moved->picks, 15);
    assert_int_equal(moved->others, 65);
    close_fixture(&f);
}

/* Without any cause: of 200 books of invented chance, the share in which anything is said to differ keeps below the rate promised. */
static void chance_alone_is_seldom_said_to_differ(void **state) {
    (void)state;
    enum { BOOKS = 200 };
    uint64_t seed = 7;
    size_t wrong = 0;
    for (size_t book = 0; book < BOOKS; book++) {
        fixture f;
        open_fixture(&f);
        for (size_t i = 0; i < 160; i++) {
            char tree[32];
            snprintf(tree, sizeof tree, "T%zu", i);
            ap_fact *fact = check_roster_add(&f.roster, "J/1", 1, 1.0, "beech", "step", "E1", tree);
            unsigned draw[4];
            for (size_t d = 0; d < 4; d++) {
                seed = seed * 6364136223846793005u + 1442695040888963407u;
                draw[d] = (unsigned)(seed >> 40);
            }
            fact->rest->slings = (uint8_t)(1 + draw[0] % 3) | (draw[0] / 8 % 2 ? AP_SLINGS_EYE : AP_SLINGS_ADJUSTABLE);
            fact->kerf = (uint8_t)(1 + draw[1] % 3);
            fact->rest->re_rigs = draw[2] % 5 == 0;
            fact->rest->movement = draw[3] % 4 == 0 ? AP_MOVE_BIT(AP_MOVEMENT_SWING) : AP_MOVE_BIT(AP_MOVEMENT_STILL);
        }
        find_all(&f);
        bool any = false;
        for (size_t i = 0; i < f.found.count; i++) {
            any |= f.found.items[i].verdict == AP_ASSOCIATION_DIFFERS;
        }
        wrong += any;
        close_fixture(&f);
    }
    /* With no true difference the discovery rate is the chance of any: at most q; 3 standard errors of the simulation on top. */
    assert_true(wrong <= BOOKS * (AP_ASSOCIATION_FALSE + 3 * sqrt(0.1 * 0.9 / BOOKS)));
}

static void an_empty_book_compares_nothing(void **state) {
    (void)state;
    fixture f;
    open_fixture(&f);
    find_all(&f);
    assert_int_equal(f.found.count, 0);
    close_fixture(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_closing_kerf_goes_with_movement),
        cmocka_unit_test(hits_of_one_tree_are_not_said_to_differ),
        cmocka_unit_test(the_side_that_has_more_must_be_of_several_trees),
        cmocka_unit_test(too_little_says_how_much_more),
        cmocka_unit_test(set_ups_leans_and_blanks),
        cmocka_unit_test(chance_alone_is_seldom_said_to_differ),
        cmocka_unit_test(an_empty_book_compares_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

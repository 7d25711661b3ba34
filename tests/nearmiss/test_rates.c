/* Comparisons of rates on picks that come tree by tree (rate_cells.h, cluster.c N4), and what becomes of a finding that tells two. */
#include "followup/life.h"
#include "nearmiss/detect.h"
#include "stats/rates.h"

#include "support/book_fixture.h"
#include "support/findings.h"
#include "support/limits.h"

typedef check_findings fixture;

static ap_fact *add(fixture *f, ap_date date, const char *job, const char *tree, const char *crew) {
    char name[64];
    snprintf(name, sizeof name, "%s/%zu", job, f->roster.count + 1);
    ap_fact *fact = check_roster_add(&f->roster, name, date, 1, "beech", "step", "E1", tree);
    ap_fact_set_group(fact, AP_BY_JOB, ap_intern_add(f->roster.labels[AP_BY_JOB], ap_str_from(job)));
    ap_fact_set_group(fact, AP_BY_CREW, ap_intern_add(f->roster.labels[AP_BY_CREW], ap_str_from(crew)));
    fact->kerf = AP_KERF_STEADY;
    fact->near_miss = AP_YESNO_NO;
    return fact;
}

/* A tree of seven picks on which the kerf closed so often, the first of them first. */
static void add_tree(fixture *f, ap_date date, const char *job, const char *tree, int closed) {
    for (int i = 0; i < 7; i++) {
        add(f, date, job, tree, "")->kerf = i < closed ? AP_KERF_CLOSING : AP_KERF_STEADY;
    }
}

/* Forty trees, two a job, on which the kerf closed once in every tenth tree. */
static void add_others(fixture *f) {
    for (int t = 0; t < 40; t++) {
        char job[32];
        char tree[48];
        snprintf(job, sizeof job, "P%d", t / 2);
        snprintf(tree, sizeof tree, "P%d/T%d", t / 2, t % 2);
        add_tree(f, (ap_date)t, job, tree, t % 10 == 0);
    }
}

static void detect(fixture *f, ap_date since) {
    ap_error err;
    ap_finding_list_init(&f->findings, &f->arena);
    const ap_detect_given given = {.roster = &f->roster, .limits = check_limits()};
    check_ok(ap_detect_all(&f->findings, &f->chance, &given, since, AP_DATE_NONE, &err), &err);
}

static const ap_finding *find(const fixture *f, ap_detector_id detector) {
    for (size_t i = 0; i < f->findings.count; i++) {
        if (f->findings.items[i].detector == detector) {
            return &f->findings.items[i];
        }
    }
    return NULL;
}

/* Taken as independent less than 1 in a million; all of one tree it is no evidence about other trees, and that it was left out is seen. */
static void one_tree_is_no_rate(void **state) {
    (void)state;
    assert_true(ap_hypergeometric_more(6, 7, 301, 10) < 1e-6);
    for (int trees = 1; trees <= 2; trees++) { /* alone in its job, or beside a tree without any */
        fixture f;
        check_findings_open(&f);
        add_others(&f);
        add_tree(&f, 100, "J1", "J1/T1", 6);
        if (trees == 2) {
            add_tree(&f, 100, "J1", "J1/T2", 0);
        }
        add_tree(&f, 101, "J2", "J2/T1", 0);
        add_tree(&f, 101, "J2", "J2/T2", 0);
        detect(&f, 100);
        assert_null(find(&f, AP_DETECT_KERF));
        assert_int_equal((int)f.chance.line[AP_DETECT_KERF].one_tree, 1);
        check_findings_close(&f);
    }
}

/* Three closed kerfs on each of two trees: of the pairs that 44 trees make, 43 * 44 / 2, this one alone stands out as much. */
static void two_trees_are_judged_as_two(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    add_others(&f);
    add_tree(&f, 100, "J1", "J1/T1", 3);
    add_tree(&f, 100, "J1", "J1/T2", 3);
    add_tree(&f, 101, "J2", "J2/T1", 0);
    add_tree(&f, 101, "J2", "J2/T2", 0);
    detect(&f, 100);
    const ap_finding *kerf = find(&f, AP_DETECT_KERF);
    assert_non_null(kerf);
    check_str(kerf->scope, "job J1");
    assert_int_equal((int)kerf->trees, 2);
    assert_int_equal((int)kerf->rests_on, 6);
    double one_pair = 1 / (43.0 * 44 / 2);
    check_close(kerf->p / one_pair, 1, 0.4, "counted; four standard errors of 100 dealings");
    assert_true(ap_hypergeometric_more(6, 14, 308, 10) < 1e-4);
    assert_int_equal((int)f.chance.line[AP_DETECT_KERF].one_tree, 0);
    /* Two jobs of two trees. */
    assert_int_equal((int)f.chance.line[AP_DETECT_KERF].looks, 2);
    check_findings_close(&f);
}

/* A tree with two set-ups is two clusters; one whose picks go on after the period's first day is split there. */
static void picks_that_are_each_a_tree_are_fishers_test(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    for (int i = 0; i < 60; i++) {
        char tree[48];
        snprintf(tree, sizeof tree, "T%d", i);
        ap_fact *fact = add(&f, i, "J", tree, "A");
        bool here = i % 5 == 0; /* 12 of 60 */
        ap_fact_set_group(fact, AP_BY_SETUP,
                          ap_intern_add(f.roster.labels[AP_BY_SETUP], ap_str_from(here ? "one" : "other")));
        fact->rest->re_rigs = here ? i < 25 : i == 1; /* 5 of 12, 1 of 48 */
    }
    detect(&f, AP_DATE_NONE);
    const ap_finding *re_rig = find(&f, AP_DETECT_RE_RIG);
    assert_non_null(re_rig);
    double fisher = ap_hypergeometric_more(5, 12, 60, 6);
    assert_true(re_rig->p >= fisher);
    check_close(re_rig->p / fisher, 1, 0.4, "Fisher 1935; four standard errors of 100 dealings");
    check_findings_close(&f);
}

/* Crew B's four near misses six picks apart, and one before; in 400 picks before that two: a window and a rise at once. */
static void add_bad_week(fixture *f, bool everybody) {
    static const char *const crews[] = {"A", "B", "C", "D"};
    for (int i = 0; i < 400; i++) {
        char tree[48];
        snprintf(tree, sizeof tree, "T%d", i / 4);
        add(f, i / 4, "J", tree, i % 2 ? "A" : "B")->near_miss = i % 200 == 7 ? AP_YESNO_YES : AP_YESNO_NO;
    }
    for (int i = 0; i < 60; i++) {
        char tree[48];
        snprintf(tree, sizeof tree, "U%d", i);
        bool hit = i == 0 || (i >= 30 && i < 54 && i % 6 == 0);
        const char *crew = hit && everybody ? crews[i / 6 % 4] : hit || i % 3 == 0 ? "B" : "A";
        add(f, 200 + i / 4, "K", tree, crew)->near_miss = hit ? AP_YESNO_YES : AP_YESNO_NO;
    }
}

static size_t count(const fixture *f, ap_detector_id detector) {
    size_t found = 0;
    for (size_t i = 0; i < f->findings.count; i++) {
        found += f->findings.items[i].detector == detector;
    }
    return found;
}

static void the_same_week_is_told_once(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    add_bad_week(&f, false);
    detect(&f, 200);
    assert_int_equal((int)count(&f, AP_DETECT_CLUSTER), 1);
    const ap_finding *rise = find(&f, AP_DETECT_CLUSTER);
    assert_int_equal(rise->reasons, AP_CLUSTER_RISE | AP_CLUSTER_WINDOW);
    check_str(rise->scope, "crew B");
    assert_int_equal((int)rise->rests_on, 5);
    assert_int_equal((int)rise->picks[0], 400);
    assert_int_equal((int)rise->near_events, 4);
    assert_int_equal((int)rise->near_picks, 19);
    assert_int_equal((int)rise->also_first, 430);
    assert_true(rise->p < 0.05);
    check_findings_close(&f);
    /* Four crews share it: no crew rose, the window alone is told. */
    check_findings_open(&f);
    add_bad_week(&f, true);
    detect(&f, 200);
    assert_int_equal((int)count(&f, AP_DETECT_CLUSTER), 1);
    assert_int_equal(find(&f, AP_DETECT_CLUSTER)->reasons, AP_CLUSTER_WINDOW);
    check_findings_close(&f);
}

static ap_str says_nothing(void *context, const ap_finding *finding) {
    (void)context;
    (void)finding;
    return AP_STR_LIT("near misses");
}

/* L5: the window was kept and dismissed; told with the rise it is the same finding, and its state stays. */
static void what_was_dismissed_stays_so_when_told_with_another(void **state) {
    (void)state;
    book_fixture it;
    fixture f;
    ap_error err;
    fixture_make(&it);
    check_findings_open(&f);
    add_bad_week(&f, false);
    detect(&f, 200);
    ap_finding told = *find(&f, AP_DETECT_CLUSTER);
    ap_finding window = told;
    window.kind = told.also_kind;
    window.picks = told.picks + 1;
    window.pick_count = told.pick_count - 1;
    window.rests_on = window.pick_count;
    window.also_kind = NULL;
    ap_finding_list alone = {.arena = &f.arena, .items = &window, .count = 1};
    ap_finding_list both = {.arena = &f.arena, .items = &told, .count = 1};
    const ap_life_groups none = {NULL, 0};
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_life_keep(&alone, it.book, &f.roster, &none, says_nothing, NULL, 300, &err), &err);
    assert_true(window.number > 0);
    const ap_book_author author = fixture_author();
    check_ok(ap_book_finding_set_state(it.book, window.number, AP_STR_LIT("dismissed"), AP_STR_LIT("a drill"), &author,
                                       &err),
             &err);
    check_ok(ap_life_keep(&both, it.book, &f.roster, &none, says_nothing, NULL, 301, &err), &err);
    check_ok(ap_book_end(it.book, AP_OK, &err), &err);
    assert_true(told.number == window.number);
    assert_int_equal(told.state, AP_FINDING_DISMISSED);
    assert_true(told.went_on); /* it rests on one pick more */
    check_findings_close(&f);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_tree_is_no_rate),
        cmocka_unit_test(two_trees_are_judged_as_two),
        cmocka_unit_test(picks_that_are_each_a_tree_are_fishers_test),
        cmocka_unit_test(the_same_week_is_told_once),
        cmocka_unit_test(what_was_dismissed_stays_so_when_told_with_another),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Picks from one near miss to the next: the published example end to end through the roster, planted changes, silence where nothing
 * changes. */
#include "support/check.h"
#include "support/roster.h"

#include "analysis/between.h"
#include "stats/prng.h"
#include "stats/rates.h"

typedef struct bench {
    ap_arena arena;
    ap_roster roster;
    ap_between b;
} bench;

static void start(bench *it) {
    memset(it, 0, sizeof *it);
    ap_arena_init(&it->arena, 8u << 20);
    check_roster_init(&it->roster);
}

static void end(bench *it) {
    ap_roster_release(&it->roster);
    ap_arena_release(&it->arena);
}

/* `gap` picks, the last of them a near miss. */
static void add(bench *it, size_t gap) {
    for (size_t i = 0; i < gap; i++) {
        ap_fact *fact = check_roster_add(&it->roster, "J1/1", 739000, 1.0, "oak", "step", "E1", "J1/T1");
        fact->near_miss = i + 1 == gap ? AP_YESNO_YES : AP_YESNO_NO;
    }
}

static void count(bench *it) {
    ap_error err;
    check_ok(ap_between_count(&it->b, &it->arena, &it->roster, 0, it->roster.count, &err), &err);
}

/* Hours between failures of a valve, taken as picks. Montgomery, Introduction to Statistical Quality Control; the data recalled from memory:
 * arithmetic only. */
static void the_published_example(void **state) {
    (void)state;
    const char *source = "tchart_montgomery_recalled.csv";
    check_table table;
    bench it;
    start(&it);
    check_table_load(&table, "tests/stats/data/tchart_montgomery_recalled.csv");
    add(&it, 1);
    for (size_t row = 0; row < table.rows; row++) {
        add(&it, (size_t)check_table_number(&table, row, "hours"));
    }
    count(&it);
    assert_int_equal(it.b.events, table.rows + 1);
    assert_int_equal(it.b.count, table.rows);
    for (size_t row = 0; row < table.rows; row++) {
        assert_int_equal(it.b.gaps[row].picks, (size_t)check_table_number(&table, row, "hours"));
        check_close(it.b.gaps[row].score, check_table_number(&table, row, "x"), 1e-10, source);
        assert_int_equal(it.b.gaps[row].mark.rules, 0); /* the book calls the process in control */
    }
    assert_true(it.b.has_limits);
    check_close(it.b.limits.center, 5.38927697275, 1e-10, source);
    check_close(it.b.limits.spread, 2.36092057242, 1e-10, source);
    /* That source rounds 3 / 1.128 to 2.66. */
    check_close(it.b.limits.high, 11.6693256954, 0.0005 * it.b.limits.spread, source);
    check_close(it.b.limits.low, -0.890771749901, 0.0005 * it.b.limits.spread, source);
    check_close(it.b.center_picks, pow(5.38927697275, 3.6), 1e-6, "the transform undone");
    check_close(it.b.low_picks, 0, 0, "a limit below one pick is none");
    check_table_release(&table);
    end(&it);
}

static void a_change_is_marked_on_its_side(void **state) {
    (void)state;
    bench it;
    start(&it);
    for (size_t i = 0; i < 21; i++) {
        add(&it, i % 2 ? 30 : 60);
    }
    count(&it);
    assert_int_equal(it.b.count, 20);
    for (size_t i = 0; i < 20; i++) {
        assert_int_equal(it.b.gaps[i].mark.rules, 0);
    }
    for (size_t i = 0; i < 5; i++) {
        add(&it, 3);
    }
    count(&it);
    bool sooner = false;
    for (size_t i = 0; i < it.b.count; i++) {
        sooner = sooner || (i >= 20 && it.b.gaps[i].mark.side == -1);
        assert_true(i >= 20 || it.b.gaps[i].mark.side >= 0);
    }
    assert_true(sooner);
    /* The picks since the last one: on the limit they are usual, one more and they are not. */
    size_t most = (size_t)floor(it.b.high_picks);
    for (size_t i = 0; i < most; i++) {
        check_roster_add(&it.roster, "J1/1", 739000, 1.0, "oak", "step", "E1", "J1/T1");
    }
    count(&it);
    assert_int_equal(it.b.open_picks, most);
    assert_false(it.b.open_long);
    check_roster_add(&it.roster, "J1/1", 739000, 1.0, "oak", "step", "E1", "J1/T1");
    count(&it);
    assert_true(it.b.open_long);
    end(&it);
}

static void too_few_have_no_limits(void **state) {
    (void)state;
    bench it;
    start(&it);
    count(&it);
    assert_int_equal(it.b.events, 0);
    assert_false(it.b.has_limits);
    add(&it, 7);
    count(&it);
    assert_int_equal(it.b.events, 1);
    assert_int_equal(it.b.count, 0);
    for (size_t i = 0; i < AP_BETWEEN_LEAST - 1; i++) {
        add(&it, 5 + i);
    }
    count(&it);
    assert_int_equal(it.b.count, AP_BETWEEN_LEAST - 1);
    assert_false(it.b.has_limits);
    add(&it, 9);
    count(&it);
    assert_true(it.b.has_limits);
    end(&it);
    start(&it);
    for (size_t i = 0; i < 20; i++) {
        add(&it, 1); /* every pick a near miss: equal gaps have no limits and are no error */
    }
    count(&it);
    assert_int_equal(it.b.count, 19);
    assert_false(it.b.has_limits);
    assert_int_equal(it.b.open_picks, 0);
    end(&it);
}

/* Near misses that come alone at one rate: the page says that about one figure in seven of 30 carries a mark. */
static void how_often_nothing_is_marked(void **state) {
    (void)state;
    enum { FIGURES = 1000, EVENTS = 30 };
    size_t marked = 0;
    ap_prng prng;
    ap_prng_init(&prng, 2026112611, 0);
    for (int f = 0; f < FIGURES; f++) {
        bench it;
        start(&it);
        for (int e = 0; e < EVENTS; e++) {
            add(&it, 1 + (size_t)floor(log(ap_prng_uniform(&prng)) / log1p(-0.03)));
        }
        count(&it);
        bool any = false;
        for (size_t i = 0; i < it.b.count; i++) {
            any = any || it.b.gaps[i].mark.rules;
        }
        marked += any;
        end(&it);
    }
    ap_interval interval;
    ap_error err;
    check_ok(ap_share_interval(&interval, marked, FIGURES, 0.99, &err), &err);
    print_message("figures of %d near misses with nothing wrong: %zu of %d carry a mark, 99 %% interval %.3f to %.3f\n",
                  EVENTS, marked, FIGURES, interval.low, interval.high);
    assert_true(interval.low <= 1.0 / 7 && interval.high >= 1.0 / 7);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_example),
        cmocka_unit_test(a_change_is_marked_on_its_side),
        cmocka_unit_test(too_few_have_no_limits),
        cmocka_unit_test(how_often_nothing_is_marked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Counts of predicted against logged movement on rosters made by hand. */
#include "support/check.h"
#include "support/roster.h"

#include "analysis/predicted.h"

typedef struct bench {
    ap_arena arena;
    ap_roster roster;
    ap_predicted p;
} bench;

static void start(bench *b) {
    ap_arena_init(&b->arena, 8 << 20);
    check_roster_init(&b->roster);
}

static void add(bench *b, int count, float butt_up_m, float way_m, int32_t movement, double distance_m) {
    for (int i = 0; i < count; i++) {
        ap_fact *fact = check_roster_add(&b->roster, "J1/1", 739000, 1.0, "oak", "step", "E1", "J1/T1");
        fact->rest->butt_up_m = butt_up_m;
        fact->rest->way_m = way_m;
        fact->rest->movement = (uint16_t)movement;
        fact->rest->movement_distance_m = (float)distance_m;
    }
}

static void finish(bench *b) {
    ap_error err;
    check_ok(ap_predicted_count(&b->p, &b->arena, &b->roster, 0, b->roster.count, &err), &err);
}

static void end(bench *b) {
    ap_roster_release(&b->roster);
    ap_arena_release(&b->arena);
}

#define BIT AP_MOVE_BIT

static void the_table_counts_direction_by_direction(void **state) {
    (void)state;
    bench b;
    start(&b);
    add(&b, 8, 0.5f, 1.0f, BIT(AP_MOVEMENT_BUTT_UP) | BIT(AP_MOVEMENT_TIP_DIVE), 1.0);
    add(&b, 1, 0.5f, 1.0f, BIT(AP_MOVEMENT_BUTT_DOWN), NAN);
    add(&b, 1, -0.5f, 1.0f, BIT(AP_MOVEMENT_TIP_UP), 3.0);
    add(&b, 5, -0.1f, 0.2f, BIT(AP_MOVEMENT_STILL), NAN);
    add(&b, 2, 0.4f, 0.8f, BIT(AP_MOVEMENT_SETTLED), NAN);
    add(&b, 3, 0.4f, 0.8f, BIT(AP_MOVEMENT_SWING), 2.0); /* names no direction */
    add(&b, 1, 0.4f, 0.8f, BIT(AP_MOVEMENT_SWING) | BIT(AP_MOVEMENT_BUTT_UP), 0.8);
    add(&b, 4, NAN, NAN, BIT(AP_MOVEMENT_BUTT_UP), 1.0); /* not worked out */
    add(&b, 6, 0.4f, 0.8f, 0, NAN);                      /* not logged */
    finish(&b);
    const ap_predicted *p = &b.p;
    assert_int_equal(p->picks, 31);
    assert_int_equal(p->logged, 25);
    assert_int_equal(p->predicted, 27);
    assert_int_equal(p->both, 21);
    assert_int_equal(p->other, 3);
    assert_int_equal(p->table[AP_GOES_UP][AP_GOES_UP], 9);
    assert_int_equal(p->table[AP_GOES_UP][AP_GOES_DOWN], 1);
    assert_int_equal(p->table[AP_GOES_DOWN][AP_GOES_DOWN], 1);
    assert_int_equal(p->table[AP_GOES_STAYS][AP_GOES_STAYS], 5);
    assert_int_equal(p->table[AP_GOES_UP][AP_GOES_STAYS], 2);
    assert_int_equal(p->direction.of, 11);
    assert_int_equal(p->direction.agree, 10);
    /* margins 10, 1 and 9, 2: (10*9 + 1*2) / 121 */
    check_close(p->direction.by_chance, 92.0 / 121.0, 1e-12, "Cohen 1960, by hand");
    assert_int_equal(p->all.of, 18);
    assert_int_equal(p->all.agree, 15);
    /* sizes: 8 x 1.0, 1 x 3.0, 1 x 1.0 */
    assert_int_equal(p->sized, 10);
    assert_int_equal(p->size.agree, 9);
    check_close(p->median_ratio, 1.0, 1e-6, "by hand");
    assert_int_equal(p->pair_count, 18);
    end(&b);
}

/* Clopper and Pearson 1934 for 10 of 10: (alpha/2)^(1/10) .. 1, in closed form. */
static void the_interval_is_exact(void **state) {
    (void)state;
    bench b;
    start(&b);
    add(&b, 10, 0.5f, 1.0f, BIT(AP_MOVEMENT_BUTT_UP), NAN);
    finish(&b);
    check_close(b.p.direction.interval.low, pow(0.025, 0.1), 1e-9, "Clopper and Pearson 1934, k = n");
    check_close(b.p.direction.interval.high, 1.0, 0, "the same");
    check_close(b.p.direction.by_chance, 1.0, 1e-12, "one direction only: chance agrees too");
    assert_int_equal(b.p.sized, 0);
    assert_true(isnan(b.p.median_ratio));
    assert_true(b.p.median_interval.low > b.p.median_interval.high);
    end(&b);
}

static void nothing_to_compare_is_said_by_zeros(void **state) {
    (void)state;
    bench b;
    start(&b);
    finish(&b);
    assert_int_equal(b.p.pair_count, 0);
    assert_int_equal(b.p.direction.of, 0);
    assert_true(isnan(b.p.direction.by_chance));
    end(&b);
}

/* Up and down in one pick name no direction. */
static void a_contradiction_names_no_direction(void **state) {
    (void)state;
    bench b;
    start(&b);
    add(&b, 1, 0.5f, 1.0f, BIT(AP_MOVEMENT_BUTT_UP) | BIT(AP_MOVEMENT_TIP_UP), 1.0);
    finish(&b);
    assert_int_equal(b.p.other, 1);
    assert_int_equal(b.p.pair_count, 0);
    end(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_counts_direction_by_direction),
        cmocka_unit_test(the_interval_is_exact),
        cmocka_unit_test(nothing_to_compare_is_said_by_zeros),
        cmocka_unit_test(a_contradiction_names_no_direction),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

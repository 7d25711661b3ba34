/* Thinning: nothing below a thousand, counts that add up, few marks, outliers kept. What is expected follows from the
 * promises in thin_points.h alone. */
#include "figure/thin_points.h"

#include "support/check.h"

enum { MANY = 60000 };

static double next_unit(uint64_t *seed) {
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 40) / (double)(1u << 24);
}

static size_t counted(const ap_thin_mark *mark, size_t marks) {
    size_t sum = 0;
    for (size_t i = 0; i < marks; i++) {
        assert_true(mark[i].count > 0 && (i == 0 || mark[i].index > mark[i - 1].index));
        sum += mark[i].count;
    }
    return sum;
}

static void test_few(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 1u << 24);
    const double x[4] = {1, 1, NAN, 2};
    const double y[4] = {5, 5, 5, INFINITY};
    size_t marks = 9;
    assert_null(ap_thin_points(&marks, &arena, x, y, 0));
    assert_int_equal(marks, 0);
    const ap_thin_mark *mark = ap_thin_points(&marks, &arena, x, y, 4);
    assert_int_equal(marks, 2); /* the same place twice stays two marks: nothing is thinned */
    assert_int_equal(mark[0].index, 0);
    assert_int_equal(mark[1].index, 1);
    assert_null(ap_thin_points(&marks, &arena, x + 2, y + 2, 2));
    assert_int_equal(marks, 0);
    ap_arena_release(&arena);
}

static void test_many(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 1u << 26);
    double *x = ap_arena_alloc_array(&arena, MANY, sizeof *x);
    double *y = ap_arena_alloc_array(&arena, MANY, sizeof *y);
    uint64_t seed = 20261101;
    for (int spread = 0; spread < 3; spread++) {
        for (size_t i = 0; i < MANY; i++) { /* all over, along a line, all in one place */
            x[i] = spread == 2 ? 7 : next_unit(&seed);
            y[i] = spread == 0 ? next_unit(&seed) : spread == 1 ? x[i] : 7;
        }
        x[MANY / 2] = 40; /* one far away */
        y[MANY / 2] = -40;
        size_t marks;
        const ap_thin_mark *mark = ap_thin_points(&marks, &arena, x, y, MANY);
        assert_true(marks >= 2 && marks <= AP_THIN_MOST);
        assert_int_equal(counted(mark, marks), MANY);
        bool far = false;
        for (size_t i = 0; i < marks; i++) {
            far = far || (mark[i].index == MANY / 2 && mark[i].count == 1);
        }
        assert_true(far);
    }
    ap_arena_release(&arena);
}

/* One more than is left alone; the greatest numbers there are. */
static void test_edges(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 1u << 24);
    double x[AP_THIN_FROM + 1];
    double y[AP_THIN_FROM + 1];
    for (size_t i = 0; i <= AP_THIN_FROM; i++) {
        x[i] = i % 2 ? 1.7e308 : -1.7e308;
        y[i] = 0;
    }
    size_t marks;
    const ap_thin_mark *mark = ap_thin_points(&marks, &arena, x, y, AP_THIN_FROM);
    assert_int_equal(marks, AP_THIN_FROM);
    assert_int_equal(counted(mark, marks), AP_THIN_FROM);
    mark = ap_thin_points(&marks, &arena, x, y, AP_THIN_FROM + 1);
    assert_int_equal(marks, 2);
    assert_int_equal(mark[0].count, AP_THIN_FROM / 2 + 1);
    assert_int_equal(mark[1].count, AP_THIN_FROM / 2);
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_few),
        cmocka_unit_test(test_many),
        cmocka_unit_test(test_edges),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

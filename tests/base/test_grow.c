/* Arrays that grow: what was in them stays, what is new is zero where that is said, and what cannot be had leaves all as it was. */
#include "support/check.h"

#include "base/grow.h"
#include "base/wide.h"

static void items_stay_where_they_were_put(void **state) {
    (void)state;
    size_t room = 0;
    size_t *items = NULL;
    for (size_t i = 0; i < 10000; i++) {
        if (i == room) {
            size_t *grown = ap_grown(items, &room, 1, sizeof *grown);
            assert_non_null(grown);
            assert_true(room > i);
            items = grown;
        }
        items[i] = i * i;
    }
    for (size_t i = 0; i < 10000; i++) {
        assert_true(items[i] == i * i);
    }
    free(items);
}

static void new_items_are_zero(void **state) {
    (void)state;
    static const size_t at[] = {0, 63, 64, 5000};
    size_t room = 0;
    uint32_t *items = NULL;
    for (size_t k = 0; k < sizeof at / sizeof *at; k++) {
        if (at[k] >= room) {
            items = ap_grown_to(items, &room, at[k], sizeof *items);
            assert_non_null(items);
            assert_true(room > at[k]);
        }
        for (size_t i = 0; i < room; i++) {
            bool set = k > 0 && (i == at[0] || (k > 1 && i == at[1]) || (k > 2 && i == at[2]));
            assert_int_equal(items[i], set ? 7 : 0);
        }
        items[at[k]] = 7;
    }
    free(items);
}

static void what_no_memory_holds_is_refused(void **state) {
    (void)state;
    size_t room = SIZE_MAX / 16;
    assert_null(ap_grown(NULL, &room, 64, 16));
    assert_true(room == SIZE_MAX / 16);
    room = 3;
    assert_null(ap_grown_to(NULL, &room, SIZE_MAX / 2, 1));
    assert_null(ap_grown_to(NULL, &room, SIZE_MAX / 8, 16));
    assert_int_equal(room, 3);
}

/* Also where the memory was used before: calloc() may take it from what was freed. */
static void a_large_array_is_zero(void **state) {
    (void)state;
    const size_t sizes[] = {1, 4096, (2 << 20) - 1, 5 << 20};
    for (size_t k = 0; k < sizeof sizes / sizeof *sizes; k++) {
        for (int round = 0; round < 2; round++) {
            unsigned char *items = ap_wide_array(sizes[k], 3);
            assert_non_null(items);
            size_t set = 0;
            for (size_t i = 0; i < 3 * sizes[k]; i++) {
                set += items[i] != 0;
            }
            assert_int_equal(set, 0);
            memset(items, 0xa5, 3 * sizes[k]);
            free(items);
        }
    }
    assert_null(ap_wide_array(SIZE_MAX / 4, 8));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(items_stay_where_they_were_put),
        cmocka_unit_test(new_items_are_zero),
        cmocka_unit_test(what_no_memory_holds_is_refused),
        cmocka_unit_test(a_large_array_is_zero),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

#include "analysis/key_map.h"

#include "stats/prng.h"
#include "support/check.h"

enum { KEYS = 3000 };

static uint32_t keys[KEYS][AP_WEIGHTS_BY_MAX];

static void fill_keys(const uint32_t *most, uint64_t seed) {
    ap_prng prng;
    ap_prng_init(&prng, seed, 1);
    for (size_t i = 0; i < KEYS; i++) {
        for (size_t k = 0; k < AP_WEIGHTS_BY_MAX; k++) {
            keys[i][k] = (uint32_t)ap_prng_below(&prng, (uint64_t)most[k] + 1);
        }
    }
}

/* Numbers follow first appearance, whether a key has its place or is searched: checked by looking back through all. */
static void numbers_by_first_appearance(void **state) {
    (void)state;
    static const uint32_t shapes[][AP_WEIGHTS_BY_MAX] = {
        {0}, {5}, {0, 7, 0, 3}, {9, 4, 8, 5}, {200, 30, 1, 1}, {UINT32_MAX, UINT32_MAX, UINT32_MAX, UINT32_MAX}};
    for (size_t s = 0; s < sizeof shapes / sizeof *shapes; s++) {
        ap_key_map map;
        size_t count = 0;
        fill_keys(shapes[s], s);
        assert_true(ap_key_map_start(&map, shapes[s], KEYS));
        assert_int_equal(map.direct, s < 4);
        for (size_t i = 0; i < KEYS; i++) {
            uint32_t number = 0;
            assert_true(ap_key_map_add(&map, keys[i], &number));
            assert_true(number <= count);
            assert_memory_equal(map.keys[number], keys[i], sizeof keys[i]);
            for (size_t before = 0; before < number; before++) {
                assert_memory_not_equal(map.keys[before], keys[i], sizeof keys[i]);
            }
            count += number == count;
            assert_int_equal(map.count, count);
        }
        ap_key_map_release(&map);
    }
}

static void finds_what_is_there(void **state) {
    (void)state;
    const uint32_t most[AP_WEIGHTS_BY_MAX] = {9, 4};
    const uint32_t there[AP_WEIGHTS_BY_MAX] = {9, 4}, beside[AP_WEIGHTS_BY_MAX] = {9, 3};
    const uint32_t above[AP_WEIGHTS_BY_MAX] = {8, 9}; /* has the place of {9, 4} in the table, and is not in it */
    uint32_t number = 7;
    ap_key_map map;
    assert_true(ap_key_map_start(&map, most, 100));
    assert_false(ap_key_map_find(&map, there, &number));
    assert_true(ap_key_map_add(&map, there, &number));
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    for (int settled = 0; settled < 2; settled++) {
        assert_true(ap_key_map_find(&map, there, &number));
        assert_int_equal(number, 0);
        assert_false(ap_key_map_find(&map, beside, &number));
        assert_false(ap_key_map_find(&map, above, &number));
        assert_true(settled || ap_key_map_settle(&map, &arena));
    }
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_by_first_appearance),
        cmocka_unit_test(finds_what_is_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

#include "support/check.h"

#include <stdalign.h>

#include "base/arena.h"

static void aligned_zeroed_apart(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 8u << 20);
    unsigned char *last = NULL;
    size_t last_size = 0;
    for (int round = 0; round < 2; round++) {
        for (size_t size = 0; size < 3000; size += 7) {
            unsigned char *at = ap_arena_alloc(&arena, size);
            assert_non_null(at);
            assert_int_equal((uintptr_t)at % alignof(max_align_t), 0);
            for (size_t i = 0; i < size; i++) {
                assert_int_equal(at[i], 0);
            }
            memset(at, 0xEE, size);
            if (last && last_size > 0) {
                assert_int_equal(last[last_size - 1], 0xEE);
            }
            last = at;
            last_size = size;
        }
        assert_true(arena.total <= arena.max);
        ap_arena_clear(&arena); /* the second round reuses the soiled chunk */
        last = NULL;
    }
    ap_arena_release(&arena);
    ap_arena_release(&arena);
}

static void bound_holds(void **state) {
    (void)state;
    ap_arena arena;
    ap_error err;
    ap_error_clear(&err);
    ap_arena_init(&arena, 1000);
    assert_non_null(ap_arena_alloc(&arena, 1000)); /* the bound itself is reachable */
    check_ok(ap_arena_check(&arena, "picks", &err), &err);
    assert_null(ap_arena_alloc(&arena, 1));
    check_refused(ap_arena_check(&arena, "picks", &err), AP_E_MEMORY, &err, "limit of 1000 bytes");
    ap_arena_clear(&arena);
    check_ok(ap_arena_check(&arena, "picks", &err), &err);
    assert_non_null(ap_arena_alloc(&arena, 16));
    assert_null(ap_arena_alloc(&arena, 1001));
    assert_null(ap_arena_alloc(&arena, SIZE_MAX));
    ap_arena_release(&arena);

    ap_arena_init(&arena, SIZE_MAX);
    assert_null(ap_arena_alloc_array(&arena, SIZE_MAX / 2, 3)); /* count times size does not fit a size_t */
    assert_true(arena.failed);
    assert_null(ap_arena_alloc(&arena, SIZE_MAX - 8)); /* nor do the chunk's head and this */
    ap_arena_release(&arena);

    ap_arena_init(&arena, 1u << 20);
    size_t got = 0;
    while (ap_arena_alloc(&arena, 100)) {
        got += 100;
        assert_true(arena.total <= arena.max);
    }
    assert_true(got > (1u << 20) / 2);
    ap_arena_release(&arena);
}

static void copies(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    char source[] = "white oak";
    ap_str copy = ap_arena_str(&arena, ap_str_from(source));
    source[0] = 'X';
    check_str(copy, "white oak");
    assert_int_equal(copy.ptr[copy.len], '\0');
    assert_null(ap_arena_str(&arena, AP_STR_NONE).ptr);
    assert_non_null(ap_arena_str(&arena, AP_STR_LIT("")).ptr);
    assert_string_equal(ap_arena_cstr(&arena, (ap_str){"abc", 2}), "ab");
    check_str(ap_arena_printf(&arena, "%s/%d", "J231", 17), "J231/17");
    check_str(ap_arena_printf(&arena, "%s", ""), "");
    ap_str longer = ap_arena_printf(&arena, "%5000s", "x");
    assert_int_equal(longer.len, 5000);
    assert_null(ap_arena_printf(&arena, "%70000s", "x").ptr);
    assert_true(arena.failed);
    ap_arena_release(&arena);
}

static void interning(void **state) {
    (void)state;
    enum { COUNT = 5000 };
    static ap_str views[COUNT + 1];
    ap_arena arena;
    ap_arena_init(&arena, 8u << 20);
    ap_intern *set = ap_intern_new(&arena);
    assert_non_null(set);
    char name[32];
    for (uint32_t i = 1; i <= COUNT; i++) {
        snprintf(name, sizeof name, "crew %u", i);
        assert_int_equal(ap_intern_find(set, ap_str_from(name)), 0);
        assert_int_equal(ap_intern_add(set, ap_str_from(name)), i);
        views[i] = ap_intern_get(set, i);
    }
    for (uint32_t i = 1; i <= COUNT; i++) {
        snprintf(name, sizeof name, "crew %u", i);
        assert_int_equal(ap_intern_add(set, ap_str_from(name)), i);
        assert_int_equal(ap_intern_find(set, ap_str_from(name)), i);
        assert_ptr_equal(ap_intern_get(set, i).ptr, views[i].ptr);
        check_str(views[i], name);
    }
    assert_int_equal(ap_intern_count(set), COUNT);
    assert_int_equal(ap_intern_add(set, AP_STR_NONE), 0);
    assert_int_equal(ap_intern_add(set, AP_STR_LIT("  ")), 0);
    assert_null(ap_intern_get(set, 0).ptr);
    assert_null(ap_intern_get(set, COUNT + 1).ptr);
    assert_int_equal(ap_intern_count(set), COUNT);
    assert_true(ap_intern_reserve(set, 3 * COUNT)); /* numbers stay */
    assert_int_equal(ap_intern_find(set, AP_STR_LIT("crew 4999")), 4999);
    assert_int_equal(ap_intern_add(set, AP_STR_LIT("crew 6000")), COUNT + 1);
    assert_false(ap_intern_reserve(set, 1u << 27)); /* more than the arena holds */
    ap_arena_release(&arena);
}

/* Appended texts have their numbers at once and are found as if they had been added, also between others and past the room there was. */
static void appended_texts_are_found(void **state) {
    (void)state;
    enum { COUNT = 300 };
    static char names[COUNT][16];
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    ap_intern *set = ap_intern_new(&arena);
    assert_non_null(set);
    for (uint32_t i = 1; i < COUNT; i++) {
        snprintf(names[i], sizeof names[i], "tree %u", i);
        uint32_t number =
            i % 7 == 0 ? ap_intern_add(set, ap_str_from(names[i])) : ap_intern_append(set, ap_str_from(names[i]));
        assert_int_equal(number, i);
    }
    assert_ptr_equal(ap_intern_get(set, 5).ptr, names[5]); /* no copy */
    for (uint32_t i = 1; i < COUNT; i++) {
        assert_int_equal(ap_intern_find(set, ap_str_from(names[i])), i);
        assert_int_equal(ap_intern_add(set, ap_str_from(names[i])), i);
    }
    assert_int_equal(ap_intern_count(set), COUNT - 1);
    ap_arena_release(&arena);
}

static void interning_out_of_room(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 6000);
    ap_intern *set = ap_intern_new(&arena);
    assert_non_null(set);
    uint32_t added = 0;
    char name[32];
    for (uint32_t i = 1; i < 2000; i++) {
        snprintf(name, sizeof name, "crew %u", i);
        uint32_t number = ap_intern_add(set, ap_str_from(name));
        if (number == 0) {
            break;
        }
        added = number;
    }
    assert_true(added > 10 && added < 1999);
    assert_true(arena.failed);
    assert_int_equal(ap_intern_count(set), added);
    check_str(ap_intern_get(set, 1), "crew 1"); /* what is in it stays usable */
    assert_int_equal(ap_intern_find(set, AP_STR_LIT("crew 2")), 2);
    ap_arena_release(&arena);

    ap_arena_init(&arena, 64);
    assert_null(ap_intern_new(&arena));
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(aligned_zeroed_apart),
        cmocka_unit_test(bound_holds),
        cmocka_unit_test(copies),
        cmocka_unit_test(interning),
        cmocka_unit_test(appended_texts_are_found),
        cmocka_unit_test(interning_out_of_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

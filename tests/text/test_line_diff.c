/* Line matching and merging. No published values are needed: the properties define the method (Myers 1986, section 2:
 * a shortest edit script has the longest common subsequence), which a plain dynamic programme recomputes here. */
#include "support/check.h"

#include "stats/prng.h"
#include "text/line_diff.h"

typedef struct fixture {
    ap_arena arena;
    ap_error err;
} fixture;

static int setup(void **state) {
    fixture *it = calloc(1, sizeof *it);
    ap_arena_init(&it->arena, 64u << 20);
    *state = it;
    return 0;
}

static int teardown(void **state) {
    fixture *it = *state;
    ap_arena_release(&it->arena);
    free(it);
    return 0;
}

/* Length of the longest common subsequence, by the textbook table. */
static size_t common(const ap_line_list *a, const ap_line_list *b) {
    static size_t table[64][64];
    assert_true(a->count < 64 && b->count < 64);
    for (size_t i = 0; i <= a->count; i++) {
        for (size_t j = 0; j <= b->count; j++) {
            if (i == 0 || j == 0) {
                table[i][j] = 0;
            } else if (ap_str_equal(ap_line_body(a->items[i - 1]), ap_line_body(b->items[j - 1]))) {
                table[i][j] = table[i - 1][j - 1] + 1;
            } else {
                table[i][j] = table[i - 1][j] > table[i][j - 1] ? table[i - 1][j] : table[i][j - 1];
            }
        }
    }
    return table[a->count][b->count];
}

static ap_str random_text(fixture *it, ap_prng *prng, size_t lines, unsigned words) {
    ap_str text = AP_STR_LIT("");
    for (size_t i = 0; i < lines; i++) {
        text = ap_arena_printf(&it->arena, "%.*s%c\n", AP_STR_ARG(text), (int)('a' + ap_prng_below(prng, words)));
    }
    return text;
}

static void matches_as_many_lines_as_can_be(void **state) {
    fixture *it = *state;
    ap_prng prng;
    ap_prng_init(&prng, 20261126, 1);
    for (int round = 0; round < 3000; round++) {
        ap_line_list a;
        ap_line_list b;
        size_t *match = NULL;
        ap_arena_clear(&it->arena);
        ap_str left = random_text(it, &prng, (size_t)ap_prng_below(&prng, 30), 2 + (unsigned)ap_prng_below(&prng, 6));
        ap_str right = random_text(it, &prng, (size_t)ap_prng_below(&prng, 30), 2 + (unsigned)ap_prng_below(&prng, 6));
        check_ok(ap_line_split(&a, &it->arena, left, &it->err), &it->err);
        check_ok(ap_line_split(&b, &it->arena, right, &it->err), &it->err);
        check_ok(ap_line_match(&match, &it->arena, &a, &b, &it->err), &it->err);
        size_t kept = 0;
        size_t least = 0;
        for (size_t i = 0; i < a.count; i++) {
            if (match[i] == AP_LINE_NONE) {
                continue;
            }
            assert_true(match[i] >= least && match[i] < b.count);
            assert_true(ap_str_equal(ap_line_body(a.items[i]), ap_line_body(b.items[match[i]])));
            least = match[i] + 1;
            kept++;
        }
        assert_int_equal(kept, common(&a, &b));
    }
}

static const ap_line_labels labels = {
    .theirs = {"THEIRS", 6},
    .ours = {"OURS", 4},
    .end = {"END", 3},
};

static ap_str merge(fixture *it, ap_buf *out, size_t *clashes, const char *base, const char *ours, const char *theirs) {
    ap_buf_init(out, 1u << 20);
    check_ok(ap_line_merge(out, clashes, &it->arena, ap_str_from(base), ap_str_from(ours), ap_str_from(theirs), &labels,
                           &it->err),
             &it->err);
    return ap_buf_str(out);
}

static void joins_edits_of_different_places(void **state) {
    fixture *it = *state;
    ap_buf out;
    size_t clashes;
    check_str(merge(it, &out, &clashes, "a\nb\nc\nd\n", "A\nb\nc\nd\n", "a\nb\nc\nD\ne\n"), "A\nb\nc\nD\ne\n");
    assert_int_equal(clashes, 0);
    ap_buf_release(&out);
    check_str(merge(it, &out, &clashes, "a\nb\n", "", "a\nb\n"), "");
    assert_int_equal(clashes, 0);
    ap_buf_release(&out);
}

static void shows_both_where_they_clash(void **state) {
    fixture *it = *state;
    ap_buf out;
    size_t clashes;
    check_str(merge(it, &out, &clashes, "a\nb\nc\n", "a\nmine\nc\n", "a\nyours\nc\n"),
              "a\nTHEIRS\nyours\nOURS\nmine\nEND\nc\n");
    assert_int_equal(clashes, 1);
    ap_buf_release(&out);
    check_str(merge(it, &out, &clashes, "a", "b", "c"), "THEIRS\nc\nOURS\nb\nEND\n");
    assert_int_equal(clashes, 1);
    ap_buf_release(&out);
}

/* Every line that either side added is in the joined text; what neither touched is there once. */
static void loses_no_added_line(void **state) {
    fixture *it = *state;
    ap_prng prng;
    ap_prng_init(&prng, 7, 1);
    for (int round = 0; round < 1000; round++) {
        ap_arena_clear(&it->arena);
        ap_buf ours;
        ap_buf theirs;
        ap_buf base;
        ap_buf out;
        ap_buf_init(&ours, 1u << 20);
        ap_buf_init(&theirs, 1u << 20);
        ap_buf_init(&base, 1u << 20);
        int added[2] = {0, 0};
        for (int i = 0; i < 12; i++) {
            ap_buf_appendf(&base, "%d\n", i);
            ap_buf *sides[2] = {&ours, &theirs};
            for (int side = 0; side < 2; side++) {
                uint64_t what = ap_prng_below(&prng, 5);
                if (what != 0) {
                    ap_buf_appendf(sides[side], "%d\n", i);
                }
                if (what == 1) {
                    ap_buf_appendf(sides[side], "new %c%d\n", side ? 't' : 'o', added[side]++);
                }
            }
        }
        size_t clashes;
        ap_buf_init(&out, 1u << 20);
        check_ok(ap_line_merge(&out, &clashes, &it->arena, ap_buf_str(&base), ap_buf_str(&ours), ap_buf_str(&theirs),
                               &labels, &it->err),
                 &it->err);
        for (int side = 0; side < 2; side++) {
            for (int i = 0; i < added[side]; i++) {
                char line[32];
                snprintf(line, sizeof line, "new %c%d\n", side ? 't' : 'o', i);
                assert_non_null(strstr(out.ptr ? out.ptr : "", line));
            }
        }
        ap_buf_release(&ours);
        ap_buf_release(&theirs);
        ap_buf_release(&base);
        ap_buf_release(&out);
    }
}

static void says_what_changed(void **state) {
    fixture *it = *state;
    ap_buf out;
    ap_buf_init(&out, 1u << 20);
    check_ok(ap_line_diff(&out, &it->arena, AP_STR_LIT("1\n2\n3\n4\n5\n6\n7\n"), AP_STR_LIT("1\n2\n3\nfour\n5\n6\n7\n"),
                          1, &it->err),
             &it->err);
    check_str(ap_buf_str(&out), "...\n  3\n- 4\n+ four\n  5\n...\n");
    ap_buf_clear(&out);
    check_ok(ap_line_diff(&out, &it->arena, AP_STR_LIT("1\r\n2\r\n"), AP_STR_LIT("1\n2\n3"), 1, &it->err), &it->err);
    check_str(ap_buf_str(&out), "...\n  2\n+ 3\n");
    ap_buf_release(&out);
}

static void refuses_too_many_lines(void **state) {
    fixture *it = *state;
    ap_buf text;
    ap_line_list list;
    ap_buf_init(&text, 1u << 20);
    for (int i = 0; i <= AP_LINES_MAX; i++) {
        ap_buf_append_char(&text, '\n');
    }
    check_refused(ap_line_split(&list, &it->arena, ap_buf_str(&text), &it->err), AP_E_LIMIT, &it->err, "100000 lines");
    ap_buf_release(&text);
}

/* More edits than are searched for: nothing is matched in the middle, and nothing is lost. */
static void stays_right_beyond_the_limit_of_edits(void **state) {
    fixture *it = *state;
    ap_buf a;
    ap_buf b;
    ap_buf out;
    size_t clashes;
    ap_buf_init(&a, 1u << 20);
    ap_buf_init(&b, 1u << 20);
    ap_buf_init(&out, 1u << 20);
    for (int i = 0; i < 2 * AP_LINE_EDITS_MAX; i++) {
        ap_buf_appendf(&a, "a%d\n", i);
        ap_buf_appendf(&b, "b%d\n", i);
    }
    check_ok(
        ap_line_merge(&out, &clashes, &it->arena, ap_buf_str(&a), ap_buf_str(&b), ap_buf_str(&a), &labels, &it->err),
        &it->err);
    assert_int_equal(clashes, 0);
    assert_true(ap_str_equal(ap_buf_str(&out), ap_buf_str(&b)));
    ap_buf_release(&a);
    ap_buf_release(&b);
    ap_buf_release(&out);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(matches_as_many_lines_as_can_be, setup, teardown),
        cmocka_unit_test_setup_teardown(joins_edits_of_different_places, setup, teardown),
        cmocka_unit_test_setup_teardown(shows_both_where_they_clash, setup, teardown),
        cmocka_unit_test_setup_teardown(loses_no_added_line, setup, teardown),
        cmocka_unit_test_setup_teardown(says_what_changed, setup, teardown),
        cmocka_unit_test_setup_teardown(refuses_too_many_lines, setup, teardown),
        cmocka_unit_test_setup_teardown(stays_right_beyond_the_limit_of_edits, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

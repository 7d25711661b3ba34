/* Sentences that more than one page uses: how many digits a figure is told with. */
#include "support/check.h"

#include "report/sentences.h"

typedef struct page {
    ap_arena arena;
    ap_doc *doc;
} page;

static void open_page(page *p) {
    const ap_doc_head head = {.units = AP_UNITS_US};
    ap_arena_init(&p->arena, 1u << 20);
    p->doc = ap_doc_new(&p->arena, &head);
    assert_non_null(p->doc);
}

static void odds_have_two_digits_at_the_most(void **state) {
    (void)state;
    static const struct {
        double one_in;
        const char *want;
    } cases[] = {{8281, "about 1 in 8,300"},       {9999, "about 1 in 10,000"}, {10000, "about 1 in 10,000"},
                 {10001, "less than 1 in 10,000"}, {283.6, "about 1 in 280"},   {99.6, "about 1 in 100"},
                 {73.4, "about 1 in 73"},          {3.7, "about 1 in 4"},       {1, "about 1 in 1"},
                 {1e9, "less than 1 in 10,000"}};
    page p;
    open_page(&p);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        check_str(ap_say_odds(p.doc, 1 / cases[i].one_in), cases[i].want);
    }
    ap_arena_release(&p.arena);
}

static void shares_have_a_decimal_only_below_one_percent(void **state) {
    (void)state;
    page p;
    open_page(&p);
    check_str(ap_say_percent(p.doc, 0.053), "5 %");
    check_str(ap_say_percent(p.doc, 0.004), "0.4 %");
    check_str(ap_say_percent(p.doc, 0), "0 %");
    /* A side of the limit hangs on 101 %; none on 404 %. */
    check_str(ap_say_worked_out_share(p.doc, 1.01), "101 %");
    check_str(ap_say_worked_out_share(p.doc, 4.04), "400 %");
    ap_arena_release(&p.arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(odds_have_two_digits_at_the_most),
        cmocka_unit_test(shares_have_a_decimal_only_below_one_percent),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

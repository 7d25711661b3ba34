/* Which picks get a page of the book, what the pages are called, what is said when there are too many. */
#include "support/roster.h"

#include "page/write.h"
#include "report/book_of_picks.h"

typedef struct kit {
    ap_arena arena;
    ap_roster roster;
    ap_review review;
    ap_pick_book book;
} kit;

static void init(kit *k) {
    memset(k, 0, sizeof *k);
    ap_arena_init(&k->arena, 64u << 20);
    check_roster_init(&k->roster);
    k->review = (ap_review){.arena = &k->arena,
                            .roster = &k->roster,
                            .species = {.by = {AP_BY_SPECIES}, .by_count = 1},
                            .cranes = {.by = {AP_BY_CRANE}, .by_count = 1}};
}

static void release(kit *k) {
    ap_roster_release(&k->roster);
    ap_arena_release(&k->arena);
}

static ap_fact *add(kit *k, const char *name, double share) {
    ap_fact *fact = check_roster_add(&k->roster, name, 20000, 1.1, "oak", "step", "E1", "T1");
    fact->rest->share_cut = share;
    k->review.end = k->roster.count;
    return fact;
}

static void choose(kit *k, const ap_writeup *writeups, size_t count) {
    ap_error err;
    check_ok(ap_pick_book_choose(&k->book, &k->review, writeups, count, &err), &err);
}

static void those_that_matter_have_a_page(void **state) {
    (void)state;
    kit k;
    init(&k);
    add(&k, "J1/1", 0.5);
    add(&k, "J1/2", 0.95); /* past the second band, 85 % */
    add(&k, "J1/3", NAN);
    add(&k, "J1/4", 0.85); /* on the line: not past it */
    add(&k, "J1/5", 0.5);
    add(&k, "J1/6", 0.5);
    size_t certain[] = {0};
    size_t likely[] = {0, 4};
    ap_finding findings[] = {{.class = AP_FINDING_CERTAIN, .picks = certain, .pick_count = 1},
                             {.class = AP_FINDING_LIKELY, .picks = likely, .pick_count = 2}};
    k.review.findings = (ap_finding_list){.items = findings, .count = 2};
    const ap_writeup writeup = {.picks = AP_STR_LIT("J1/6, J9/9")};
    choose(&k, &writeup, 1);
    assert_int_equal(k.book.count, 4);
    assert_int_equal(k.book.matter, 4);
    static const size_t places[] = {0, 1, 4, 5};
    static const int why[] = {AP_MATTERS_CERTAIN | AP_MATTERS_LIKELY, AP_MATTERS_LIMIT, AP_MATTERS_LIKELY,
                              AP_MATTERS_WRITEUP};
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(k.book.picks[i], places[i]);
        assert_int_equal(k.book.why[i], why[i]);
        assert_int_equal(ap_pick_book_find(&k.book, places[i]), i);
    }
    assert_true(ap_pick_book_find(&k.book, 2) == SIZE_MAX);
    release(&k);
}

/* Small letters, digits and dashes, whatever the pick is called; two that would be the same are told apart. */
static void names_of_files(void **state) {
    (void)state;
    kit k;
    init(&k);
    static const char *const names[] = {
        "J231/17",  "j231 17",
        "J231-17",  "../../etc/passwd",
        "<script>", "\xE2\x80\xAEodd",
        "",         "a very long name that goes on and on and on for more than fifty bytes"};
    enum { COUNT = sizeof names / sizeof *names };
    for (size_t i = 0; i < COUNT; i++) {
        add(&k, names[i], 2);
    }
    choose(&k, NULL, 0);
    assert_int_equal(k.book.count, COUNT);
    check_str(k.book.files[0], "pick-j231-17.html");
    check_str(k.book.files[1], "pick-j231-17-2.html");
    check_str(k.book.files[2], "pick-j231-17-3.html");
    check_str(k.book.files[3], "pick-etc-passwd.html");
    check_str(k.book.files[6], "pick-unnamed.html");
    for (size_t i = 0; i < COUNT; i++) {
        ap_str file = k.book.files[i];
        assert_true(file.len < 70);
        for (size_t at = 0; at < file.len; at++) {
            assert_non_null(strchr("abcdefghijklmnopqrstuvwxyz0123456789-.", file.ptr[at]));
        }
        for (size_t other = 0; other < i; other++) {
            assert_false(ap_str_equal(file, k.book.files[other]));
        }
    }
    release(&k);
}

static void the_gravest_are_kept_and_the_rest_counted(void **state) {
    (void)state;
    kit k;
    init(&k);
    enum { MANY = AP_PICK_BOOK_MOST + 500 };
    static size_t all[MANY];
    for (size_t i = 0; i < MANY; i++) {
        char name[32];
        snprintf(name, sizeof name, "J%zu/1", i);
        add(&k, name, i >= MANY - 700 ? 1.2 : 0.5); /* the last 700 are past the limit */
        all[i] = i;
    }
    ap_finding likely = {.class = AP_FINDING_LIKELY, .picks = all, .pick_count = MANY};
    k.review.findings = (ap_finding_list){.items = &likely, .count = 1};
    choose(&k, NULL, 0);
    assert_int_equal(k.book.count, AP_PICK_BOOK_MOST);
    assert_int_equal(k.book.matter, MANY);
    for (size_t i = MANY - 700; i < MANY; i++) {
        assert_true(ap_pick_book_find(&k.book, i) != SIZE_MAX);
    }
    for (size_t i = 1; i < k.book.count; i++) {
        assert_true(k.book.picks[i - 1] < k.book.picks[i]);
    }
    /* The index says it. */
    const ap_doc_head head = {.title = AP_STR_LIT("Book")};
    ap_doc *doc = ap_doc_new(&k.arena, &head);
    ap_pick_book_index(doc, &k.book);
    ap_buf page;
    ap_error err;
    ap_buf_init(&page, 64u << 20);
    ap_sink sink = ap_sink_to_buf(&page);
    check_ok(ap_page_write_text(&sink, doc, 80, false, &err), &err);
    ap_buf_append_char(&page, '\0');
    assert_non_null(strstr(page.ptr, "2500 picks would have deserved a page"));
    ap_buf_release(&page);
    release(&k);
}

static void links_lead_to_the_pages(void **state) {
    (void)state;
    kit k;
    init(&k);
    add(&k, "J1/1", 2);
    choose(&k, NULL, 0);
    const ap_doc_head head = {.title = AP_STR_LIT("t")};
    ap_doc *doc = ap_doc_new(&k.arena, &head);
    ap_pick_book_link(doc, &k.book, "book/");
    ap_doc_alert(doc, AP_STR_LIT("Over chart"), AP_STR_LIT("J1/1"), AP_STR_LIT("says"));
    ap_buf page;
    ap_error err;
    ap_buf_init(&page, 1u << 20);
    ap_sink sink = ap_sink_to_buf(&page);
    check_ok(ap_page_write_html(&sink, doc, &err), &err);
    ap_buf_append_char(&page, '\0');
    assert_non_null(strstr(page.ptr, "href=\"book/pick-j1-1.html\">"));
    ap_buf_release(&page);
    release(&k);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(those_that_matter_have_a_page),
        cmocka_unit_test(names_of_files),
        cmocka_unit_test(the_gravest_are_kept_and_the_rest_counted),
        cmocka_unit_test(links_lead_to_the_pages),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

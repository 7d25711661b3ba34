/* A file of evidence comes from outside: what is taken, and each fault refused with its line. The form is docs/evidence.md. */
#include <unistd.h>

#include "base/sink.h"
#include "intake/evidence_file.h"
#include "support/book_fixture.h"

#define HEAD "{\"format\":\"afterpick-evidence\",\"version\":1,\"origin\":\"north branch\"}\n"
#define OAK(rest)                                                                                                      \
    "{\"kind\":\"species\",\"symbol\":\"QUAL\",\"scientific\":\"Quercus alba\",\"handbook_kg_m3\":1015.5706," rest "}" \
    "\n"
#define FIGURE "\"log_shift\":0.05,\"se_log\":0.03,\"trees\":12,\"picks\":40"

typedef struct scene {
    book_fixture it;
    ap_arena arena;
    ap_evidence_file file;
    ap_error err;
} scene;

static ap_status take(scene *s, const char *text) {
    char path[512];
    snprintf(path, sizeof path, "%s/evidence.jsonl", s->it.folder);
    ap_error_clear(&s->err);
    check_ok(ap_file_write(path, ap_str_from(text), &s->err), &s->err);
    return ap_evidence_file_read(&s->file, &s->arena, s->it.book, path, &s->err);
}

static void start(scene *s) {
    memset(s, 0, sizeof *s);
    fixture_make(&s->it);
    ap_arena_init(&s->arena, 64u << 20);
}

static void end(scene *s) {
    ap_arena_release(&s->arena);
    fixture_remove(&s->it);
}

static void a_whole_file_is_taken(void **state) {
    (void)state;
    scene s;
    start(&s);
    check_ok(
        take(&s,
             HEAD OAK(
                 FIGURE) "\n{\"kind\":\"butt\"," FIGURE "}\n"
                         "{\"kind\":\"condition\",\"condition\":\"hollow\"," FIGURE "}\n"
                         "{\"kind\":\"brush\",\"piece\":\"limb\",\"foliage\":\"leaf_on\",\"group\":\"hardwood\"," FIGURE
                         "}\n"
                         "{\"kind\":\"brush\",\"group\":\"softwood\"," FIGURE "}\n"),
        &s.err);
    assert_int_equal(s.file.count, 5);
    check_str(s.file.origin, "north branch");
    assert_int_equal(s.file.items[0].species_id, 802);
    check_close(s.file.items[0].log_shift, 0.05, 1e-12, "as written: the handbook's figure is the book's own");
    assert_int_equal(s.file.items[2].class, 4);                  /* AP_WOOD_HOLLOW */
    assert_int_equal(s.file.items[3].class, 0 * 12 + 0 * 3 + 2); /* in order of their class */
    assert_int_equal(s.file.items[4].class, AP_PIECE_LIMB * 12 + AP_FOLIAGE_LEAF_ON * 3 + 1);
    ap_evidence_words words = ap_evidence_class_words(&s.file.items[4]);
    assert_string_equal(words.piece, "limb");
    assert_string_equal(words.foliage, "leaf_on");
    assert_string_equal(words.group, "hardwood");
    end(&s);
}

static void the_hash_is_of_the_figures(void **state) {
    (void)state;
    scene s;
    start(&s);
    char first[AP_EVIDENCE_HASH + 1];
    check_ok(take(&s, HEAD OAK(FIGURE) "{\"kind\":\"butt\"," FIGURE "}\n"), &s.err);
    memcpy(first, s.file.sha256, sizeof first);
    /* Another order, spacing and name of the same. */
    check_ok(take(&s, "{\"origin\":\"south\", \"version\":1, \"format\":\"afterpick-evidence\"}\r\n"
                      "{ \"kind\":\"butt\", " FIGURE " }\r\n" OAK(FIGURE)),
             &s.err);
    assert_string_equal(s.file.sha256, first);
    check_ok(take(&s, HEAD OAK("\"log_shift\":0.06,\"se_log\":0.03,\"trees\":12,\"picks\":40")), &s.err);
    assert_string_not_equal(s.file.sha256, first);
    end(&s);
}

/* 5 % more against a handbook figure that is 2 % higher is 7.1 % more against ours: ln 1.05 + ln 1.02. */
static void another_handbook_figure_is_brought_over(void **state) {
    (void)state;
    scene s;
    char text[600];
    start(&s);
    snprintf(text, sizeof text,
             HEAD "{\"kind\":\"species\",\"symbol\":\"QUAL\",\"scientific\":\"Quercus alba\",\"handbook_kg_m3\":%.4f,"
                  "\"log_shift\":%.4f,\"se_log\":0.03,\"trees\":12,\"picks\":40}\n",
             63.4 * 16.018463373960142 * 1.02, log(1.05));
    check_ok(take(&s, text), &s.err);
    check_close(s.file.items[0].log_shift, log(1.05 * 1.02), 2e-4, "logarithms add; figures of four decimals");
    end(&s);
}

static void every_fault_is_refused_with_its_line(void **state) {
    (void)state;
    static const struct {
        const char *text, *says;
    } rows[] = {
        {"", "no figure"},
        {HEAD, "no figure"},
        {"not json\n", "line 1"},
        {OAK(FIGURE), "line 1: 'kind' does not belong there"},
        {"{\"format\":\"other\"}\n" OAK(FIGURE), "line 1: the first line must be the head"},
        {"{\"format\":\"afterpick-evidence\",\"version\":2,\"origin\":\"x\"}\n" OAK(FIGURE), "it reads 1"},
        {"{\"format\":\"afterpick-evidence\",\"version\":1}\n" OAK(FIGURE), "origin"},
        {"{\"format\":\"afterpick-evidence\",\"version\":1,\"origin\":\"a\\u0007b\"}\n" OAK(FIGURE), "origin"},
        {HEAD OAK(FIGURE ",\"site\":\"Elm Street 4\""), "line 2: 'site' does not belong there"},
        {HEAD OAK(FIGURE ",\"origin\":\"x\""), "line 2: 'origin' does not belong there"},
        {HEAD OAK(FIGURE) OAK(FIGURE), "line 3: the same figure"},
        {HEAD "{\"kind\":\"tree\"," FIGURE "}\n", "line 2: kind 'tree'"},
        {HEAD "{" FIGURE "}\n", "line 2: kind ''"},
        {HEAD OAK("\"log_shift\":1.5,\"se_log\":0.03,\"trees\":12,\"picks\":40"), "from -1 to 1"},
        {HEAD OAK("\"log_shift\":1e-2,\"se_log\":0.03,\"trees\":12,\"picks\":40"), "plain number"},
        {HEAD OAK("\"log_shift\":\"NaN\",\"se_log\":0.03,\"trees\":12,\"picks\":40"), "plain number"},
        {HEAD OAK("\"log_shift\":null,\"se_log\":0.03,\"trees\":12,\"picks\":40"), "log_shift '' is not"},
        {HEAD OAK("\"log_shift\":0.05,\"se_log\":0,\"trees\":12,\"picks\":40"), "from 0.001 to 2"},
        {HEAD OAK("\"log_shift\":0.05,\"se_log\":-0.03,\"trees\":12,\"picks\":40"), "from 0.001 to 2"},
        {HEAD OAK("\"log_shift\":0.05,\"se_log\":0.03,\"trees\":2,\"picks\":40"), "from 3 to"},
        {HEAD OAK("\"log_shift\":0.05,\"se_log\":0.03,\"trees\":12.5,\"picks\":40"), "whole"},
        {HEAD OAK("\"log_shift\":0.05,\"se_log\":0.03,\"trees\":12,\"picks\":11"), "picks '11' must be from 12"},
        {HEAD OAK("\"log_shift\":0.05,\"se_log\":0.03,\"trees\":12,\"picks\":99999999999"), "from 12 to"},
        {HEAD "{\"kind\":\"species\",\"symbol\":\"XXXX\"," FIGURE "}\n", "symbol 'XXXX'"},
        {HEAD "{\"kind\":\"species\",\"symbol\":\"white oak\"," FIGURE "}\n", "symbol 'white oak'"},
        {HEAD
         "{\"kind\":\"species\",\"symbol\":\"QUAL\",\"scientific\":\"Acer rubrum\",\"handbook_kg_m3\":1015.6," FIGURE
         "}\n",
         "another species"},
        {HEAD "{\"kind\":\"species\",\"symbol\":\"QUAL\",\"scientific\":\"Quercus alba\",\"handbook_kg_m3\":700," FIGURE
              "}\n",
         "too far"},
        {HEAD "{\"kind\":\"condition\",\"condition\":\"sound\"," FIGURE "}\n", "condition 'sound'"},
        {HEAD "{\"kind\":\"condition\"," FIGURE "}\n", "condition ''"},
        {HEAD "{\"kind\":\"brush\",\"piece\":\"log\",\"group\":\"hardwood\"," FIGURE "}\n", "piece 'log'"},
        {HEAD "{\"kind\":\"brush\",\"piece\":\"limb\"," FIGURE "}\n", "group ''"},
        {HEAD "{\"kind\":\"butt\",\"log_shift\":{\"a\":1}}\n", "line 2"},
        {HEAD "{\"kind\":\"butt\"," FIGURE "} {}\n", "line 2"},
        {HEAD "{\"kind\":\"butt\"," FIGURE "\n", "line 2"},
    };
    scene s;
    start(&s);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        check_refused(take(&s, rows[i].text), AP_E_INPUT, &s.err, rows[i].says);
        assert_int_equal(s.file.count, 0);
    }
    end(&s);
}

static void the_size_is_bounded(void **state) {
    (void)state;
    scene s;
    start(&s);
    size_t size = AP_EVIDENCE_FILE_MAX + 1000;
    char *text = malloc(size + 1);
    assert_non_null(text);
    memset(text, ' ', size);
    text[size] = '\0';
    assert_int_not_equal(take(&s, text), AP_OK);
    free(text);
    end(&s);
}

static void sets_come_once_and_go_again(void **state) {
    (void)state;
    scene s;
    start(&s);
    ap_evidence all;
    bool known = true;
    ap_book_author author = fixture_author();
    check_ok(take(&s, HEAD OAK(FIGURE)), &s.err);
    ap_evidence_set set = {.sha256 = ap_str_from(s.file.sha256), .origin = s.file.origin, .why = AP_STR_LIT("agreed")};
    check_ok(ap_book_begin(s.it.book, &s.err), &s.err);
    check_ok(ap_book_evidence_add(&known, s.it.book, &set, s.file.items, s.file.count, &author, &s.err), &s.err);
    assert_false(known);
    check_ok(ap_book_evidence_add(&known, s.it.book, &set, s.file.items, s.file.count, &author, &s.err), &s.err);
    assert_true(known); /* idempotent */
    set.origin = AP_STR_LIT("the same under another name");
    check_ok(ap_book_evidence_add(&known, s.it.book, &set, s.file.items, s.file.count, &author, &s.err), &s.err);
    assert_true(known);
    ap_evidence_set newer = {.sha256 = AP_STR_LIT("00"), .origin = s.file.origin, .why = AP_STR_LIT("newer")};
    check_refused(ap_book_evidence_add(&known, s.it.book, &newer, s.file.items, s.file.count, &author, &s.err),
                  AP_E_DOMAIN, &s.err, "count twice");
    newer.why = AP_STR_LIT(" ");
    check_refused(ap_book_evidence_add(&known, s.it.book, &newer, s.file.items, s.file.count, &author, &s.err),
                  AP_E_USAGE, &s.err, "reason");
    check_ok(ap_book_evidence_read(&all, &s.arena, s.it.book, author.today, &s.err), &s.err);
    assert_int_equal(all.set_count, 1);
    assert_int_equal(all.item_count, 1);
    check_close(all.items[0].log_shift, 0.05, 1e-12, "as taken in");
    check_ok(ap_book_evidence_read(&all, &s.arena, s.it.book, author.today - 1, &s.err), &s.err);
    assert_int_equal(all.item_count, 0); /* a review of the day before does not know it */

    author.today += 10;
    check_ok(ap_book_evidence_remove(s.it.book, s.file.origin, AP_STR_LIT("wrong tapes"), &author, &s.err), &s.err);
    check_refused(ap_book_evidence_remove(s.it.book, s.file.origin, AP_STR_LIT("again"), &author, &s.err),
                  AP_E_NOT_FOUND, &s.err, "no evidence");
    check_ok(ap_book_evidence_read(&all, &s.arena, s.it.book, AP_DATE_NONE, &s.err), &s.err);
    assert_int_equal(all.set_count, 1);
    assert_int_equal(all.item_count, 0);
    check_ok(ap_book_evidence_read(&all, &s.arena, s.it.book, author.today - 1, &s.err), &s.err);
    assert_int_equal(all.item_count, 1); /* it counted until then */

    check_ok(ap_book_evidence_exported(s.it.book, AP_STR_LIT("77"), AP_STR_LIT("us"), author.today, &s.err), &s.err);
    ap_evidence_set back = {.sha256 = AP_STR_LIT("77"), .origin = AP_STR_LIT("us"), .why = AP_STR_LIT("x")};
    check_refused(ap_book_evidence_add(&known, s.it.book, &back, s.file.items, s.file.count, &author, &s.err),
                  AP_E_DOMAIN, &s.err, "own picks");
    check_ok(ap_book_commit(s.it.book, &s.err), &s.err);
    end(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_file_is_taken),
        cmocka_unit_test(the_hash_is_of_the_figures),
        cmocka_unit_test(another_handbook_figure_is_brought_over),
        cmocka_unit_test(every_fault_is_refused_with_its_line),
        cmocka_unit_test(the_size_is_bounded),
        cmocka_unit_test(sets_come_once_and_go_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

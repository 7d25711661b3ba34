/* Files kept beside the book: the same, changed, gone; and what is no file. */
#include "followup/attachments.h"

#include <sys/stat.h>
#include <unistd.h>

#include "base/sink.h"
#include "support/book_fixture.h"

static int64_t open_writeup(book_fixture *it) {
    ap_error err;
    int64_t id = 0;
    ap_book_author author = fixture_author();
    const ap_writeup_new fresh = {.title = AP_STR_LIT("Near miss"),
                                  .token = AP_STR_LIT("0123456789abcdef"),
                                  .picks = {AP_STR_LIT("A,B/1")},
                                  .pick_count = 1};
    check_ok(ap_book_begin(it->book, &err), &err);
    check_ok(ap_book_writeup_open(&id, it->book, &fresh, &author, &err), &err);
    check_ok(ap_book_commit(it->book, &err), &err);
    return id;
}

static ap_status attach(ap_attachment *out, ap_arena *arena, book_fixture *it, int64_t id, const char *path,
                        ap_error *err) {
    ap_error end;
    ap_book_author author = fixture_author();
    check_ok(ap_book_begin(it->book, &end), &end);
    ap_status status = ap_attachment_add(out, arena, it->book, id, path, AP_STR_LIT("the sling"), &author, err);
    if (status == AP_OK) {
        check_ok(ap_book_commit(it->book, &end), &end);
    } else {
        ap_book_rollback(it->book);
    }
    return status;
}

static const char *in_folder(ap_arena *arena, const book_fixture *it, const char *name) {
    return ap_arena_printf(arena, "%s/%s", it->folder, name).ptr;
}

static void a_copy_is_known_by_its_digest_and_missed_when_it_is_gone(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    ap_attachment file;
    ap_attachment *kept;
    size_t count;
    ap_arena_init(&arena, 16u << 20);
    fixture_make(&it);
    int64_t id = open_writeup(&it);
    const char *path = in_folder(&arena, &it, "-abc \n<x>.txt");
    check_ok(ap_file_write(path, AP_STR_LIT("abc"), &err), &err);
    check_ok(attach(&file, &arena, &it, id, path, &err), &err);
    check_str(file.name, "-abc \n<x>.txt");
    /* FIPS 180-4, example of the one-block message "abc". */
    check_str(file.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    check_ok(ap_book_writeup_attachments(&kept, &count, &arena, it.book, id, &err), &err);
    assert_int_equal(count, 1);
    assert_int_equal(kept[0].bytes, 3);
    assert_int_equal(ap_attachment_check(&arena, it.book, &kept[0]), AP_ATTACHMENT_GOOD);
    const char *copy = ap_arena_printf(&arena, "%s-attachments/%.*s", it.path, AP_STR_ARG(file.sha256)).ptr;
    check_ok(ap_file_write(copy, AP_STR_LIT("abd"), &err), &err);
    assert_int_equal(ap_attachment_check(&arena, it.book, &kept[0]), AP_ATTACHMENT_CHANGED);
    assert_int_equal(unlink(copy), 0);
    assert_int_equal(ap_attachment_check(&arena, it.book, &kept[0]), AP_ATTACHMENT_GONE);
    assert_int_equal(mkdir(copy, 0777), 0);
    assert_int_equal(ap_attachment_check(&arena, it.book, &kept[0]), AP_ATTACHMENT_CHANGED);
    assert_int_equal(rmdir(copy), 0);
    /* The same file again is one attachment, and its copy is there again. */
    check_ok(attach(&file, &arena, &it, id, path, &err), &err);
    check_ok(ap_book_writeup_attachments(&kept, &count, &arena, it.book, id, &err), &err);
    assert_int_equal(count, 1);
    assert_int_equal(ap_attachment_check(&arena, it.book, &kept[0]), AP_ATTACHMENT_GOOD);
    fixture_remove(&it);
    ap_arena_release(&arena);
}

static void what_is_no_file_is_refused_and_nothing_is_noted(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    ap_attachment file;
    ap_arena_init(&arena, 16u << 20);
    fixture_make(&it);
    int64_t id = open_writeup(&it);
    check_refused(attach(&file, &arena, &it, id, in_folder(&arena, &it, "none.jpg"), &err), AP_E_INPUT, &err,
                  "none.jpg");
    check_refused(attach(&file, &arena, &it, id, it.folder, &err), AP_E_INPUT, &err, "not a plain file");
    const char *pipe = in_folder(&arena, &it, "pipe");
    assert_int_equal(mkfifo(pipe, 0600), 0); /* nobody writes into it: reading would wait for ever */
    check_refused(attach(&file, &arena, &it, id, pipe, &err), AP_E_INPUT, &err, "not a plain file");
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM writeup_attachment"), 0);
    fixture_remove(&it);
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_copy_is_known_by_its_digest_and_missed_when_it_is_gone),
        cmocka_unit_test(what_is_no_file_is_refused_and_nothing_is_noted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

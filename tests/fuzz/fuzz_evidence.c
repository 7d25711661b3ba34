/* Any bytes as a file of evidence. What must hold:
 *  - it ends with a status and, if it is not AP_OK, a sentence;
 *  - what is taken lies within its bounds, in canonical order, each figure once;
 *  - a book takes it in as it is. */
#include "intake/evidence_file.h"
#include "require.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static ap_book *book;

static void clean_up(void) {
    ap_book_close(book);
}

static void check_item(const ap_evidence_item *item) {
    require(item->kind >= AP_EVIDENCE_SPECIES && item->kind <= AP_EVIDENCE_BRUSH);
    require(fabs(item->log_shift) <= AP_EVIDENCE_SHIFT_MAX && item->se_log >= 0.001 && item->se_log <= 2);
    require(item->trees >= AP_EVIDENCE_TREES_LEAST && item->picks >= item->trees);
    require((item->kind == AP_EVIDENCE_SPECIES) == (item->species_id != 0));
    require(ap_evidence_class_words(item).kind[0]);
}

static void check_file(const ap_evidence_file *file, ap_error *err) {
    const ap_book_author author = {.role = AP_STR_LIT("fuzz"), .today = 20000};
    const ap_evidence_set set = {
        .sha256 = ap_str_from(file->sha256), .origin = file->origin, .why = AP_STR_LIT("fuzz")};
    bool known = false;
    require(file->count > 0 && file->count <= AP_EVIDENCE_ITEMS_MAX && strlen(file->sha256) == AP_EVIDENCE_HASH);
    require(ap_evidence_origin_is_fine(file->origin));
    for (size_t i = 0; i < file->count; i++) {
        check_item(&file->items[i]);
    }
    require(ap_book_begin(book, err) == AP_OK);
    require(ap_book_evidence_add(&known, book, &set, file->items, file->count, &author, err) == AP_OK && !known);
    ap_book_rollback(book);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    ap_error err;
    ap_arena arena;
    ap_evidence_file file;
    ap_error_clear(&err);
    if (!book) {
        require(ap_book_open_seed(&book, &err) == AP_OK);
        atexit(clean_up);
    }
    if (size > AP_EVIDENCE_FILE_MAX) {
        return 0;
    }
    ap_arena_init(&arena, 16u << 20);
    const ap_str text = {(const char *)data, size};
    if (ap_evidence_text_read(&file, &arena, book, text, "fuzz", &err) == AP_OK) {
        check_file(&file, &err);
    } else {
        require(err.text[0] != '\0');
    }
    ap_arena_release(&arena);
    return 0;
}

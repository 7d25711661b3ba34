#include "followup/attachments.h"

#include <sys/stat.h>
#include <sys/types.h>

#include <sha256.h>

#include "base/sink.h"

static ap_str copy_path(ap_arena *arena, const ap_book *book, ap_str sha256) {
    return ap_arena_printf(arena, "%s-attachments/%.*s", ap_book_path(book), AP_STR_ARG(sha256));
}

static ap_status write_copy(ap_arena *arena, const ap_book *book, ap_str sha256, ap_str bytes, ap_error *err) {
    ap_str folder = ap_arena_printf(arena, "%s-attachments", ap_book_path(book));
    ap_str path = copy_path(arena, book, sha256);
    ap_status status = ap_arena_check(arena, "an attachment", err);
    if (status == AP_OK) {
        status = ap_folder_make(folder.ptr, err);
    }
    return status == AP_OK ? ap_file_write(path.ptr, bytes, err) : status;
}

ap_status ap_attachment_add(ap_attachment *out, ap_arena *arena, ap_book *book, int64_t writeup, const char *path,
                            ap_str says, const ap_book_author *author, ap_error *err) {
    ap_buf bytes;
    char hex[SHA256_DIGEST_STRING_LENGTH];
    ap_attachment file = {.name = ap_arena_str(arena, ap_str_from(ap_file_name(path))), .says = says};
    struct stat info;
    if (stat(path, &info) == 0 && !S_ISREG(info.st_mode)) {
        return ap_error_set(err, AP_E_INPUT, "unable to read '%s': it is not a plain file", path);
    }
    ap_status status = ap_file_read(&bytes, path, AP_ATTACHMENT_MAX, err);
    if (status == AP_OK && file.name.len == 0) {
        status = ap_error_set(err, AP_E_INPUT, "'%s' is not the name of a file", path);
    }
    if (status == AP_OK) {
        SHA256Data((const uint8_t *)(bytes.ptr ? bytes.ptr : ""), bytes.len, hex);
        file.sha256 = ap_arena_str(arena, ap_str_from(hex));
        file.bytes = (int64_t)bytes.len;
        status = write_copy(arena, book, file.sha256, ap_buf_str(&bytes), err);
    }
    if (status == AP_OK) {
        status = ap_book_writeup_attach(book, writeup, &file, author, err);
    }
    ap_buf_release(&bytes);
    if (status == AP_OK) {
        *out = file;
    }
    return status;
}

ap_attachment_state ap_attachment_check(ap_arena *arena, const ap_book *book, const ap_attachment *file) {
    char hex[SHA256_DIGEST_STRING_LENGTH];
    struct stat info;
    ap_str path = copy_path(arena, book, file->sha256);
    if (!path.ptr || stat(path.ptr, &info) != 0) {
        return AP_ATTACHMENT_GONE;
    }
    bool same = S_ISREG(info.st_mode) && SHA256File(path.ptr, hex) && ap_str_equal_word(file->sha256, hex);
    return same ? AP_ATTACHMENT_GOOD : AP_ATTACHMENT_CHANGED;
}

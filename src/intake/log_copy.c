#include "intake/log_copy.h"

#include <sha256.h>
#include <sys/stat.h>

#include "book/sources.h"

typedef struct checker {
    ap_copies *out;
    ap_arena *arena;
} checker;

static ap_status check_one(void *context, const ap_log_file *file, ap_error *err) {
    const checker *check = context;
    ap_copies *out = check->out;
    char hex[SHA256_DIGEST_STRING_LENGTH];
    struct stat info;
    out->logs++;
    if (!out->folder_exists) {
        return AP_OK;
    }
    ap_str name = ap_arena_printf(check->arena, "%.*s/%.*s", AP_STR_ARG(out->folder), AP_STR_ARG(file->sha256));
    ap_status status = ap_arena_check(check->arena, "the copies of logs", err);
    if (status != AP_OK) {
        return status;
    }
    bool exists = stat(name.ptr, &info) == 0;
    bool same = exists && S_ISREG(info.st_mode) && SHA256File(name.ptr, hex) && ap_str_equal_word(file->sha256, hex);
    out->good += same;
    if (!same) {
        if (out->lost_count < AP_LOST_SHOWN) {
            out->lost[out->lost_count] = (ap_lost_copy){.path = ap_arena_str(check->arena, file->path),
                                                        .sha256 = ap_arena_str(check->arena, file->sha256),
                                                        .import_id = file->import_id,
                                                        .changed = exists};
        }
        out->lost_count++;
    }
    return ap_arena_check(check->arena, "the copies of logs", err);
}

ap_status ap_copies_check(ap_copies *out, ap_arena *arena, ap_book *book, ap_error *err) {
    struct stat info;
    memset(out, 0, sizeof *out);
    out->folder = ap_arena_printf(arena, "%s-logs", ap_book_path(book));
    ap_status status = ap_arena_check(arena, "the copies of logs", err);
    if (status != AP_OK) {
        return status;
    }
    out->folder_exists = stat(out->folder.ptr, &info) == 0 && S_ISDIR(info.st_mode);
    checker check = {out, arena};
    return ap_book_each_log_file(book, check_one, &check, err);
}

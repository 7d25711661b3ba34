/* SQLite's online backup: pages go over a few thousand at a time, and between two times others may write. A change that another
 * program stores meanwhile makes SQLite begin anew; after a few of these the rest goes over in one piece, and writers wait for it. */
#include "book/book_copy.h"

#include "book/handle.h"
#include "book/integrity.h"

enum { ANEW_MOST = 3, SAYS_MAX = 1 << 16 };

static int step_pages = 4096;

void ap_book_set_copy_step(int pages) {
    step_pages = pages;
}

/* `doing` could be the book's trouble or the copy's: the code says which. */
static ap_status copy_error(ap_error *err, const ap_book *book, sqlite3 *to, int rc, const char *shown) {
    const int main_code = rc & 0xff;
    const bool copys = main_code == SQLITE_FULL || rc == SQLITE_IOERR_WRITE || rc == SQLITE_IOERR_TRUNCATE ||
                       rc == SQLITE_IOERR_FSYNC || main_code == SQLITE_CANTOPEN || main_code == SQLITE_READONLY;
    if (main_code == SQLITE_FULL) {
        return ap_error_set(err, AP_E_IO, "unable to write '%s': the disk is full; nothing was kept", shown);
    }
    if (copys) {
        const int reason = to ? sqlite3_system_errno(to) : 0;
        return ap_error_set(err, AP_E_IO, "unable to write '%s': %s; nothing was kept", shown,
                            reason ? strerror(reason) : sqlite3_errstr(rc));
    }
    return ap_book_error(err, book, rc, "read the pages");
}

static int step_all(sqlite3_backup *backup, ap_book *book) {
    int left = INT32_MAX;
    int anew = 0;
    int rc = SQLITE_OK;
    while (rc == SQLITE_OK) {
        ap_book_wait_as_usual(
            book); /* else the waits of all steps together are one wait to SQLite, and soon too long */
        rc = sqlite3_backup_step(backup, anew < ANEW_MOST ? step_pages : -1);
        anew += sqlite3_backup_remaining(backup) > left;
        left = sqlite3_backup_remaining(backup);
    }
    return rc;
}

static ap_status write_pages(int64_t *pages, ap_book *book, sqlite3 *to, const char *shown, ap_error *err) {
    /* A copy that does not come about is removed: it needs no journal, and the caller brings it to the disk. */
    sqlite3_exec(to, "PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF", NULL, NULL, NULL);
    sqlite3_backup *backup = sqlite3_backup_init(to, "main", book->db, "main");
    if (!backup) {
        return copy_error(err, book, to, sqlite3_extended_errcode(to), shown);
    }
    int rc = step_all(backup, book);
    *pages = sqlite3_backup_pagecount(backup);
    const int end = sqlite3_backup_finish(backup);
    rc = rc == SQLITE_DONE ? end : rc;
    return rc == SQLITE_OK ? AP_OK : copy_error(err, book, to, rc, shown);
}

static ap_status fill(int64_t *pages, ap_book *book, const char *draft, const char *shown, ap_error *err) {
    sqlite3 *to = NULL;
    char *path = ap_book_plain_path(draft);
    if (!path) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the copy");
    }
    const int rc = sqlite3_open_v2(path, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, ap_book_vfs());
    ap_status status = AP_OK;
    if (rc != SQLITE_OK) {
        status = copy_error(err, book, to, rc, shown);
    } else {
        sqlite3_extended_result_codes(to, 1);
        status = write_pages(pages, book, to, shown, err);
    }
    const int closed = sqlite3_close_v2(to);
    free(path);
    return status == AP_OK && closed != SQLITE_OK ? copy_error(err, book, NULL, closed, shown) : status;
}

static ap_status look_whole(ap_book *copy, const ap_book *book, const char *shown, ap_error *err) {
    ap_buf says;
    int troubles = 0;
    ap_buf_init(&says, SAYS_MAX);
    ap_status status = ap_book_check_file(&troubles, &says, copy, err);
    if (status == AP_OK && troubles > 0) {
        ap_str rest;
        const ap_str first = ap_str_split(ap_buf_str(&says), '\n', &rest);
        status =
            ap_error_set(err, AP_E_BOOK,
                         "'%s' was not kept: what was read back is damaged (%.*s); 'afterpick --book %s check' tells "
                         "whether the book is",
                         shown, AP_STR_ARG(first), book->path);
    }
    ap_buf_release(&says);
    return status;
}

static ap_status read_back(ap_book_copy *out, ap_book *copy, const ap_book *book, const char *shown, ap_error *err) {
    int64_t page_size = 0;
    int64_t pages = 0;
    ap_status status = look_whole(copy, book, shown, err);
    if (status == AP_OK) {
        status = ap_book_integer(&page_size, copy, "PRAGMA page_size", 0, err);
    }
    if (status == AP_OK) {
        status = ap_book_integer(&pages, copy, "PRAGMA page_count", 0, err);
    }
    if (status == AP_OK) {
        status = ap_book_integer(&out->picks, copy, "SELECT count(*) FROM pick", 0, err);
    }
    if (status == AP_OK && pages != out->pages) {
        return ap_error_set(err, AP_E_IO, "'%s' was not kept: of %lld pages %lld came back from the disk", shown,
                            (long long)out->pages, (long long)pages);
    }
    out->bytes = pages * page_size;
    out->version = copy->version;
    return status;
}

ap_status ap_book_copy_to(ap_book_copy *out, ap_book *book, const char *draft, const char *shown, ap_error *err) {
    ap_book *copy = NULL;
    *out = (ap_book_copy){.bytes = 0};
    ap_status status = fill(&out->pages, book, draft, shown, err);
    if (status == AP_OK) { /* through a connection of its own: from the file, not from what was written */
        status = ap_book_open(&copy, draft, AP_BOOK_AS_IS, err);
    }
    if (status == AP_OK) {
        status = read_back(out, copy, book, shown, err);
    }
    ap_book_close(copy);
    return status;
}

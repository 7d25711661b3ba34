/* Opening a book: what is not ours, or newer than this program, is refused before a byte of it is written. */
#include <errno.h>
#include <fcntl.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif
#include <sys/stat.h>
#include <unistd.h>

#include "book/handle.h"

static const char *vfs_name;
static int busy_wait_ms = 5000;

enum {
    TEXTS_MAX = 8 << 20,
    HEADER_SIZE = 100,
    HEADER_MODE_AT = 18,
    HEADER_VERSION_AT = 60,
    HEADER_APPLICATION_AT = 68
};

void ap_book_set_vfs(const char *name) {
    vfs_name = name;
}

const char *ap_book_vfs(void) {
    return vfs_name;
}

bool ap_book_only_reads(const ap_book *book) {
    return book->mode != AP_BOOK_WRITE && book->mode != AP_BOOK_CREATE;
}

void ap_book_set_busy_wait(int milliseconds) {
    busy_wait_ms = milliseconds;
}

static uint32_t big_endian(const unsigned char *at) {
    return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

static ap_status refuse_foreign(const char *path, uint32_t application_id, ap_error *err) {
    if (application_id == AP_BOOK_APPLICATION_ID) {
        return AP_OK;
    }
    return ap_error_set(err, AP_E_BOOK,
                        "'%s' is not a book: it is an SQLite file of another program (application id 0x%08x)", path,
                        (unsigned)application_id);
}

static ap_status refuse_newer(const char *path, int64_t version, ap_error *err) {
    if (version <= ap_book_version_known()) {
        return AP_OK;
    }
    return ap_error_set(err, AP_E_BOOK,
                        "'%s' is a book of version %lld, this program knows versions up to %d: take a newer afterpick",
                        path, (long long)version, ap_book_version_known());
}

static bool journal_beside(const char *path) {
    ap_buf name;
    ap_buf_init(&name, 1 << 16);
    ap_buf_append_cstr(&name, path);
    ap_buf_append_cstr(&name, "-journal");
    struct stat info;
    bool there = name.status == AP_OK && stat(name.ptr, &info) == 0 && info.st_size > 0;
    ap_buf_release(&name);
    return there;
}

/* Reads the file's first bytes without SQLite, which would create, lock or roll back. The numbers in the header may be
 * those of a change that was cut short: they are judged here only when no journal lies beside the file. */
static ap_status look_at_header(const char *path, ap_book_mode mode, ap_error *err) {
    unsigned char head[HEADER_SIZE];
    struct stat info;
    FILE *file = fopen(path, "rb");
    if (!file) {
        if (errno == ENOENT) {
            return ap_error_set(err, AP_E_NOT_FOUND, "no book '%s': make one with 'afterpick init'", path);
        }
        return ap_error_from_errno(err, errno, "open", path);
    }
    bool regular = fstat(fileno(file), &info) == 0 && S_ISREG(info.st_mode);
    size_t got = regular ? fread(head, 1, sizeof head, file) : 0;
    bool failed = ferror(file) != 0;
    fclose(file);
    if (!regular) {
        return ap_error_set(err, AP_E_BOOK, "'%s' is not a book: it is not a plain file", path);
    }
    if (failed) {
        return ap_error_set(err, AP_E_IO, "unable to read '%s'", path);
    }
    bool journal = journal_beside(path);
    if (got == 0) {
        return ap_error_set(err, AP_E_BOOK, "'%s' is not a book: it is empty", path);
    }
    if (got < sizeof head || memcmp(head, "SQLite format 3", 16) != 0) {
        return ap_error_set(err, AP_E_BOOK, "'%s' is not a book", path);
    }
    if (journal && mode == AP_BOOK_STRANGER) {
        return ap_error_set(
            err, AP_E_BUSY,
            "a change of '%s' is under way or was cut short ('%s-journal' lies beside it): try again, or run "
            "'afterpick --book %s check' first",
            path, path, path);
    }
    if (mode == AP_BOOK_STRANGER && head[HEADER_MODE_AT] != 1) {
        return ap_error_set(err, AP_E_BOOK,
                            "'%s' is in SQLite's write-ahead mode and can not be read without writing beside it: any "
                            "command of this program that changes it ends that",
                            path);
    }
    if (journal) {
        return AP_OK;
    }
    ap_status status = refuse_foreign(path, big_endian(head + HEADER_APPLICATION_AT), err);
    return status == AP_OK ? refuse_newer(path, big_endian(head + HEADER_VERSION_AT), err) : status;
}

/* The file is made here, so that an existing one is never taken over, not even in a race. */
static ap_status make_file(const char *path, ap_error *err) {
    int file = open(path, O_CREAT | O_EXCL | O_WRONLY, 0666);
    if (file < 0) {
        if (errno == EEXIST) {
            return ap_error_set(err, AP_E_USAGE, "'%s' exists already: choose another name or move it away", path);
        }
        return ap_error_from_errno(err, errno, "make", path);
    }
    close(file);
    return AP_OK;
}

/* SQLite reads meaning into names such as ":memory:" and "file:x?mode=ro"; a path is a path. */
char *ap_book_plain_path(const char *path) {
    bool special = path[0] == ':' || strncmp(path, "file:", 5) == 0;
    size_t size = strlen(path) + 3;
    char *copy = malloc(size);
    if (copy) {
        snprintf(copy, size, "%s%s", special ? "./" : "", path);
    }
    return copy;
}

/* KiB of pages. A sort may take as much again, and reports sort. A wish: SQLite works with any. */
void ap_book_cache_as_usual(ap_book *book) {
    bool reads = ap_book_only_reads(book);
    sqlite3_exec(book->db, reads ? "PRAGMA cache_size = -16384" : "PRAGMA cache_size = -24576", NULL, NULL, NULL);
}

void ap_book_memory_back(ap_book *book) {
    sqlite3_db_release_memory(book->db);
#ifdef __GLIBC__
    malloc_trim(0);
#endif
    ap_book_cache_as_usual(book);
}

void ap_book_wait_as_usual(ap_book *book) {
    sqlite3_busy_timeout(book->db, busy_wait_ms);
}

static ap_status configure(ap_book *book, ap_error *err) {
    static const char pragmas[] = "PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;"
                                  "PRAGMA mmap_size = 0; PRAGMA synchronous = FULL;";
    sqlite3_extended_result_codes(book->db, 1);
    ap_book_wait_as_usual(book);
    sqlite3_db_config(book->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(book->db, SQLITE_DBCONFIG_DQS_DDL, 0, NULL);
    sqlite3_db_config(book->db, SQLITE_DBCONFIG_DQS_DML, 0, NULL);
    ap_status status = ap_book_exec(book, pragmas, "set up work", err);
    ap_book_cache_as_usual(book);
    return status;
}

static ap_status check_numbers(ap_book *book, ap_error *err) {
    int64_t application_id = 0;
    int64_t version = 0;
    ap_status status = ap_book_integer(&application_id, book, "PRAGMA application_id", 0, err);
    if (status == AP_OK) {
        status = ap_book_integer(&version, book, "PRAGMA user_version", 0, err);
    }
    if (status == AP_OK) {
        status = refuse_foreign(book->path, (uint32_t)application_id, err);
    }
    if (status == AP_OK) {
        status = refuse_newer(book->path, version, err);
    }
    book->version = (int)version;
    return status;
}

static ap_status make_ready_to_read(ap_book *book, ap_error *err) {
    if (book->version < ap_book_version_known() && book->mode != AP_BOOK_AS_IS) {
        return ap_error_set(
            err, AP_E_BOOK,
            "'%s' is a book of version %d, this program works with version %d: make a copy with 'afterpick backup', "
            "then run a command that changes the book; it is brought up to date first",
            book->path, book->version, ap_book_version_known());
    }
    return ap_book_exec(book, "PRAGMA query_only = ON", "set up reading", err);
}

static ap_status make_ready_to_write(ap_book *book, ap_error *err) {
    if (sqlite3_db_readonly(book->db, "main") != 0) {
        return ap_error_set(err, AP_E_IO, "'%s' may not be written: look at the rights of the file and its folder",
                            book->path);
    }
    ap_status status = ap_book_exec(book, "PRAGMA journal_mode = DELETE", "set up writing", err);
    return status == AP_OK ? ap_book_migrate(book, err) : status;
}

/* The program has one thread: SQLite's locks and its count of bytes are not needed, and cost a tenth of an import. Refused
 * without harm when SQLite is at work already. */
static void configure_library(void) {
    static bool done;
    if (!done) {
        done = true;
        (void)sqlite3_config(SQLITE_CONFIG_SINGLETHREAD);
        (void)sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
    }
}

static ap_status open_checked(ap_book *book, ap_error *err) {
    configure_library();
    /* A report opens for writing too: a book left by a killed import must be rolled back before it can be read. */
    const int way = book->mode == AP_BOOK_STRANGER ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE;
    int rc = sqlite3_open_v2(book->path, &book->db, way | SQLITE_OPEN_NOMUTEX, vfs_name);
    if (!book->db) {
        return ap_error_set(err, AP_E_MEMORY, "unable to open '%s': out of memory", book->path);
    }
    if (rc != SQLITE_OK) {
        return ap_book_error(err, book, rc, "open");
    }
    ap_status status = configure(book, err);
    if (status == AP_OK && book->mode != AP_BOOK_CREATE) {
        status = check_numbers(book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    return ap_book_only_reads(book) ? make_ready_to_read(book, err) : make_ready_to_write(book, err);
}

ap_status ap_book_open(ap_book **out, const char *path, ap_book_mode mode, ap_error *err) {
    *out = NULL;
    ap_status status = mode == AP_BOOK_CREATE ? make_file(path, err) : look_at_header(path, mode, err);
    if (status != AP_OK) {
        return status;
    }
    ap_book *book = calloc(1, sizeof *book);
    if (book) {
        ap_arena_init(&book->texts, TEXTS_MAX);
        book->mode = mode;
        book->path = ap_book_plain_path(path);
    }
    if (!book || !book->path) {
        status = ap_error_set(err, AP_E_MEMORY, "unable to open '%s': out of memory", path);
    } else {
        status = open_checked(book, err);
    }
    if (status != AP_OK) {
        ap_book_close(book);
        if (mode == AP_BOOK_CREATE) {
            unlink(path);
        }
        return status;
    }
    *out = book;
    return AP_OK;
}

ap_status ap_book_open_seed(ap_book **out, ap_error *err) {
    static const char name[] = ":memory:";
    *out = NULL;
    ap_book *book = calloc(1, sizeof *book);
    ap_status status = AP_OK;
    if (book) {
        ap_arena_init(&book->texts, TEXTS_MAX);
        book->mode = AP_BOOK_CREATE;
        book->path = strdup(name);
    }
    if (!book || !book->path) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the species");
    } else {
        configure_library();
        int rc = sqlite3_open_v2(name, &book->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
        status =
            rc == SQLITE_OK ? configure(book, err) : ap_error_set(err, AP_E_MEMORY, "out of memory for the species");
    }
    if (status == AP_OK) {
        status = ap_book_migrate(book, err);
    }
    if (status != AP_OK) {
        ap_book_close(book);
        return status;
    }
    *out = book;
    return AP_OK;
}

void ap_book_close(ap_book *book) {
    if (!book) {
        return;
    }
    ap_book_rollback(book);
    ap_book_query_release(book);
    ap_book_species_release(book);
    sqlite3_close_v2(book->db);
    ap_arena_release(&book->texts);
    free(book->path);
    free(book);
}

const char *ap_book_path(const ap_book *book) {
    return book->path;
}

int ap_book_version(const ap_book *book) {
    return book->version;
}

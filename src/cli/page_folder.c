#include "cli/page_folder.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

#include <sha256.h>

#include "base/sink.h"

enum { ARENA_MAX = 16 << 20, PAGE_MAX = 64 << 20, LIST_MAX = 4 << 20, HEX = SHA256_DIGEST_STRING_LENGTH - 1 };
static const char list_name[] = "pages.sha256";

/* What a list says of a page; two lines of one name when a run broke off between them. */
struct ap_page_mark {
    char hex[HEX + 1];
    bool now; /* written in this run */
    ap_page_mark *next;
};

typedef enum kind { ABSENT, OURS, NOT_OURS } kind;

static const char *path_of(ap_page_folder *folder, const char *name) {
    ap_str path = ap_arena_printf(&folder->arena, "%s/%s", folder->path, name);
    return path.ptr;
}

/* Names of pages as we make them: nothing that leads out of the folder. */
static bool is_page_name(ap_str name) {
    for (size_t i = 0; i < name.len; i++) {
        char c = name.ptr[i];
        bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
        if (!plain && !(c == '.' && i > 0)) {
            return false;
        }
    }
    return name.len > 5 && memcmp(name.ptr + name.len - 5, ".html", 5) == 0;
}

static void add_mark(ap_page_folder *folder, ap_str name, ap_str hex, bool now) {
    uint32_t number = ap_intern_add(folder->names, name);
    ap_page_mark *mark = number && number <= AP_PAGE_FOLDER_MOST ? ap_arena_alloc(&folder->arena, sizeof *mark) : NULL;
    if (mark) {
        memcpy(mark->hex, hex.ptr, HEX);
        mark->hex[HEX] = '\0';
        mark->now = now;
        mark->next = folder->marks[number];
        folder->marks[number] = mark;
    }
}

static void read_list(ap_page_folder *folder, ap_str text) {
    while (text.len > 0) {
        ap_str line = ap_str_split(text, '\n', &text);
        if (line.len > HEX + 2 && is_page_name((ap_str){line.ptr + HEX + 2, line.len - HEX - 2})) {
            add_mark(folder, (ap_str){line.ptr + HEX + 2, line.len - HEX - 2}, (ap_str){line.ptr, HEX}, false);
        }
    }
}

ap_status ap_page_folder_open(ap_page_folder *out, const char *path, ap_error *err) {
    *out = (ap_page_folder){.path = path, .list = -1};
    ap_arena_init(&out->arena, ARENA_MAX);
    out->names = ap_intern_new(&out->arena);
    out->marks = ap_arena_alloc_array(&out->arena, AP_PAGE_FOLDER_MOST + 1, sizeof *out->marks);
    const char *list = path_of(out, list_name);
    ap_status status = ap_arena_check(&out->arena, "the list of pages", err);
    if (status == AP_OK) {
        status = ap_folder_make(path, err);
    }
    if (status == AP_OK) {
        out->list = open(list, O_RDWR | O_CREAT | O_APPEND | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, 0666);
        status = out->list < 0 ? ap_error_from_errno(err, errno, "write", list) : AP_OK;
    }
    ap_buf text;
    ap_buf_init(&text, LIST_MAX);
    if (status == AP_OK) {
        status = ap_file_read(&text, list, LIST_MAX, err);
    }
    if (status == AP_OK) {
        read_list(out, ap_buf_str(&text));
        status = ap_arena_check(&out->arena, "the list of pages", err);
    }
    ap_buf_release(&text);
    return status;
}

/* P2. A file that cannot be read is not ours; one that is as it shall be (`wanted`, NULL for none) may be taken for ours. */
static kind look(ap_page_folder *folder, const char *path, uint32_t number, const char *wanted) {
    struct stat info;
    ap_buf bytes;
    ap_error ignored;
    char hex[HEX + 1];
    if (lstat(path, &info) != 0) {
        return errno == ENOENT ? ABSENT : NOT_OURS;
    }
    if (!S_ISREG(info.st_mode) || ap_file_read(&bytes, path, PAGE_MAX, &ignored) != AP_OK) {
        return NOT_OURS;
    }
    SHA256Data((const uint8_t *)(bytes.ptr ? bytes.ptr : ""), bytes.len, hex);
    ap_buf_release(&bytes);
    if (wanted && memcmp(wanted, hex, HEX) == 0) {
        return OURS;
    }
    const ap_page_mark *mark = number <= AP_PAGE_FOLDER_MOST ? folder->marks[number] : NULL;
    while (mark && memcmp(mark->hex, hex, HEX) != 0) {
        mark = mark->next;
    }
    return mark ? OURS : NOT_OURS;
}

static ap_status note(ap_page_folder *folder, const char *hex, const char *name, ap_error *err) {
    char line[HEX + 300];
    int len = snprintf(line, sizeof line, "%s  %s\n", hex, name);
    bool whole = len > 0 && (size_t)len < sizeof line && write(folder->list, line, (size_t)len) == len;
    return whole ? AP_OK : ap_error_from_errno(err, errno ? errno : EIO, "write", path_of(folder, list_name));
}

ap_status ap_page_folder_write(ap_page_folder *folder, const char *name, ap_str bytes, ap_error *err) {
    char hex[HEX + 1];
    const char *path = path_of(folder, name);
    assert(is_page_name(ap_str_from(name)));
    if (!path) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page '%s'", name);
    }
    SHA256Data((const uint8_t *)(bytes.ptr ? bytes.ptr : ""), bytes.len, hex);
    if (look(folder, path, ap_intern_find(folder->names, ap_str_from(name)), hex) == NOT_OURS) {
        return ap_error_set(err, AP_E_INPUT,
                            "'%s' is there and is not as an earlier review left it; move it away, or choose another "
                            "--out",
                            path);
    }
    errno = 0;
    ap_status status = note(folder, hex, name, err);
    if (status == AP_OK) {
        add_mark(folder, ap_str_from(name), ap_str_from(hex), true);
        status = ap_arena_check(&folder->arena, "the list of pages", err);
    }
    return status == AP_OK ? ap_file_write(path, bytes, err) : status;
}

/* The mark of this run; NULL when the page was not written again. */
static const ap_page_mark *mark_of_now(const ap_page_folder *folder, uint32_t number) {
    const ap_page_mark *mark = folder->marks[number];
    while (mark && !mark->now) {
        mark = mark->next;
    }
    return mark;
}

/* P3. What is left in the list: pages of this run, and older ones that somebody has changed, so that they stay told apart. */
static ap_status settle(ap_page_folder *folder, ap_error *err) {
    ap_buf list;
    ap_buf_init(&list, LIST_MAX);
    uint32_t count = ap_intern_count(folder->names);
    for (uint32_t n = 1; n <= count && n <= AP_PAGE_FOLDER_MOST; n++) {
        ap_str name = ap_intern_get(folder->names, n);
        const ap_page_mark *mark = mark_of_now(folder, n);
        const char *path = mark ? NULL : path_of(folder, ap_arena_cstr(&folder->arena, name));
        kind now = path ? look(folder, path, n, NULL) : ABSENT;
        if (now == OURS && unlink(path) == 0) {
            folder->removed++;
        } else if (now != ABSENT) {
            folder->left++;
            mark = folder->marks[n];
        }
        if (mark) {
            ap_buf_appendf(&list, "%s  %.*s\n", mark->hex, AP_STR_ARG(name));
        }
    }
    ap_status status = ap_buf_check(&list, "the list of pages", err);
    if (status == AP_OK) {
        status = ap_file_write(path_of(folder, list_name), ap_buf_str(&list), err);
    }
    ap_buf_release(&list);
    return status;
}

ap_status ap_page_folder_close(ap_page_folder *folder, ap_status status, ap_error *err) {
    if (folder->list >= 0) {
        close(folder->list);
        folder->list = -1;
    }
    if (status == AP_OK) {
        status = settle(folder, err);
    }
    ap_arena_release(&folder->arena);
    return status;
}

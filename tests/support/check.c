#include "support/check.h"

#include <dirent.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/sink.h"

void check_close_at(double got, double want, double tolerance, const char *source, const char *file, int line) {
    if (isfinite(got) && fabs(got - want) <= tolerance) {
        return;
    }
    print_error("%s:%d: got %.15g, want %.15g within %.3g (source: %s)\n", file, line, got, want, tolerance, source);
    _fail(file, line);
}

void check_ok_at(ap_status status, const ap_error *err, const char *file, int line) {
    if (status == AP_OK) {
        return;
    }
    print_error("%s:%d: status %d: %s\n", file, line, (int)status, err ? err->text : "");
    _fail(file, line);
}

void check_refused_at(ap_status status, ap_status code, const ap_error *err, const char *says, const char *file,
                      int line) {
    if (status == code && err && strstr(err->text, says)) {
        return;
    }
    print_error("%s:%d: status %d, want %d; text '%s' should say '%s'\n", file, line, (int)status, (int)code,
                err ? err->text : "", says);
    _fail(file, line);
}

void check_str_at(ap_str got, const char *want, const char *file, int line) {
    if (got.len == strlen(want) && (got.len == 0 || memcmp(got.ptr, want, got.len) == 0)) {
        return;
    }
    print_error("%s:%d: got '%.*s', want '%s'\n", file, line, AP_STR_ARG(got), want);
    _fail(file, line);
}

void check_folder_make(char *path, size_t size) {
    const char *top = getenv("TMPDIR");
    snprintf(path, size, "%s/afterpick-test-XXXXXX", top ? top : "/tmp");
    if (!mkdtemp(path)) {
        fail_msg("no temporary folder: %s", path);
    }
}

void check_folder_remove(const char *path) {
    DIR *dir = opendir(path);
    if (!dir) {
        return;
    }
    for (struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0) {
            continue;
        }
        char inner[4096];
        struct stat info;
        snprintf(inner, sizeof inner, "%s/%s", path, entry->d_name);
        if (lstat(inner, &info) == 0 && S_ISDIR(info.st_mode)) {
            check_folder_remove(inner);
        } else {
            unlink(inner);
        }
    }
    closedir(dir);
    rmdir(path);
}

/* Splits one line; quoted cells may hold commas and doubled quotes, which stay doubled. */
static size_t split_line(ap_str line, ap_str *cells, size_t most) {
    size_t count = 0;
    size_t at = 0;
    while (count < most) {
        size_t end = at;
        if (at < line.len && line.ptr[at] == '"') {
            end = at + 1;
            while (end < line.len && !(line.ptr[end] == '"' && (end + 1 == line.len || line.ptr[end + 1] == ','))) {
                end++;
            }
            cells[count++] = (ap_str){line.ptr + at + 1, end - at - 1};
            end = end < line.len ? end + 1 : end;
        } else {
            while (end < line.len && line.ptr[end] != ',') {
                end++;
            }
            cells[count++] = (ap_str){line.ptr + at, end - at};
        }
        if (end >= line.len) {
            break;
        }
        at = end + 1;
    }
    return count;
}

void check_table_load(check_table *table, const char *path) {
    ap_error err;
    ap_error_clear(&err);
    memset(table, 0, sizeof *table);
    ap_buf_init(&table->text, 16u << 20);
    check_ok(ap_file_read(&table->text, path, 16u << 20, &err), &err);
    size_t lines = 1;
    for (size_t i = 0; i < table->text.len; i++) {
        lines += table->text.ptr[i] == '\n';
    }
    enum { MOST = 64 };
    ap_str cells[MOST];
    ap_str rest = ap_buf_str(&table->text);
    while (rest.ptr && rest.len > 0) {
        ap_str line = ap_str_split(rest, '\n', &rest);
        if (line.len > 0 && line.ptr[line.len - 1] == '\r') {
            line.len--;
        }
        if (ap_str_is_blank(line) || line.ptr[0] == '#') {
            continue;
        }
        size_t count = split_line(line, cells, MOST);
        if (!table->cells) {
            table->columns = count;
            table->cells = calloc(lines * count, sizeof(ap_str));
            assert_non_null(table->cells);
        } else {
            table->rows++;
        }
        memcpy(table->cells + (table->rows) * table->columns, cells,
               (count < table->columns ? count : table->columns) * sizeof(ap_str));
    }
    assert_non_null(table->cells);
}

ap_str check_table_get(const check_table *table, size_t row, const char *column) {
    for (size_t i = 0; i < table->columns; i++) {
        if (ap_str_equal_word(table->cells[i], column)) {
            return table->cells[(row + 1) * table->columns + i];
        }
    }
    fail_msg("no column '%s'", column);
    return AP_STR_NONE;
}

double check_table_number(const check_table *table, size_t row, const char *column) {
    ap_str cell = check_table_get(table, row, column);
    char text[64];
    if (cell.len == 0 || cell.len >= sizeof text) {
        return NAN;
    }
    memcpy(text, cell.ptr, cell.len);
    text[cell.len] = '\0';
    return strtod(text, NULL);
}

void check_table_release(check_table *table) {
    ap_buf_release(&table->text);
    free(table->cells);
    memset(table, 0, sizeof *table);
}

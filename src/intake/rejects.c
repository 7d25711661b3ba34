#include "intake/rejects.h"

#include <errno.h>
#include <sys/stat.h>
#include <unistd.h>

enum { FILES_MAX = 64, LINE_MAX_BYTES = 32 << 20, PATH_BYTES = 4096 };

typedef struct one_file {
    FILE *stream;
    ap_buf header; /* as written, to know it again */
    char path[PATH_BYTES];
    char temporary[PATH_BYTES];
} one_file;

struct ap_rejects {
    char path[PATH_BYTES - 32];
    one_file *files[FILES_MAX];
    size_t count;
    ap_buf header; /* of the log being read */
    char delimiter;
    bool has_reason;   /* the log has our column in front already */
    one_file *current; /* NULL until its first row */
    ap_buf line;
};

ap_status ap_rejects_new(ap_rejects **out, const char *path, ap_error *err) {
    ap_rejects *rejects = calloc(1, sizeof *rejects);
    if (!rejects) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the rows set aside");
    }
    if ((size_t)snprintf(rejects->path, sizeof rejects->path, "%s", path) >= sizeof rejects->path) {
        free(rejects);
        return ap_error_set(err, AP_E_USAGE, "the name for the rows set aside is too long");
    }
    ap_buf_init(&rejects->header, LINE_MAX_BYTES);
    ap_buf_init(&rejects->line, LINE_MAX_BYTES);
    *out = rejects;
    return AP_OK;
}

static void free_file(one_file *file) {
    if (file->stream) {
        fclose(file->stream);
        unlink(file->temporary);
    }
    ap_buf_release(&file->header);
    free(file);
}

void ap_rejects_free(ap_rejects *rejects) {
    if (!rejects) {
        return;
    }
    for (size_t i = 0; i < rejects->count; i++) {
        free_file(rejects->files[i]);
    }
    ap_buf_release(&rejects->header);
    ap_buf_release(&rejects->line);
    free(rejects);
}

/* A cell that a spreadsheet would run is guarded, once: it may come out of a file that guards already. A signed number is none. NUL bytes
 * can not stand in a text file. */
static void write_cell(ap_buf *out, ap_str cell, char delimiter) {
    cell = ap_delimited_unguard(cell);
    const bool number = cell.len > 1 && (cell.ptr[0] == '-' || cell.ptr[0] == '+') &&
                        ((cell.ptr[1] >= '0' && cell.ptr[1] <= '9') || cell.ptr[1] == '.');
    if (cell.len && memchr(cell.ptr, '\0', cell.len)) {
        ap_buf clean;
        ap_buf_init(&clean, LINE_MAX_BYTES);
        for (size_t i = 0; i < cell.len; i++) {
            if (cell.ptr[i]) {
                ap_buf_append_char(&clean, cell.ptr[i]);
            } else {
                ap_buf_append_cstr(&clean, "\xEF\xBF\xBD"); /* U+FFFD */
            }
        }
        ap_delimited_write_cell(out, ap_buf_str(&clean), delimiter, !number);
        ap_buf_release(&clean);
        return;
    }
    ap_delimited_write_cell(out, cell, delimiter, !number);
}

void ap_rejects_file(ap_rejects *rejects, const ap_plan *plan, char delimiter) {
    rejects->delimiter = delimiter ? delimiter : ',';
    rejects->current = NULL;
    ap_buf_clear(&rejects->header);
    rejects->has_reason = ap_str_equal_nocase(ap_str_trim(plan->columns[0].header), AP_STR_LIT("reason"));
    ap_buf_append_cstr(&rejects->header, "reason");
    for (size_t i = rejects->has_reason ? 1 : 0; i < plan->count; i++) {
        ap_buf_append_char(&rejects->header, rejects->delimiter);
        write_cell(&rejects->header, plan->columns[i].header, rejects->delimiter);
    }
    ap_buf_append_char(&rejects->header, '\n');
}

static void name_file(one_file *file, const char *path, size_t number) {
    const char *slash = strrchr(path, '/');
    const char *dot = strrchr(path, '.');
    if (number == 1) {
        snprintf(file->path, sizeof file->path, "%s", path);
    } else if (dot && dot != path && (!slash || dot > slash + 1)) {
        snprintf(file->path, sizeof file->path, "%.*s-%zu%s", (int)(dot - path), path, number, dot);
    } else {
        snprintf(file->path, sizeof file->path, "%s-%zu", path, number);
    }
    snprintf(file->temporary, sizeof file->temporary, "%.4080s.XXXXXX", file->path);
}

static ap_status open_file(ap_rejects *rejects, ap_error *err) {
    for (size_t i = 0; i < rejects->count; i++) {
        if (ap_str_equal(ap_buf_str(&rejects->files[i]->header), ap_buf_str(&rejects->header))) {
            rejects->current = rejects->files[i];
            return AP_OK;
        }
    }
    if (rejects->count == FILES_MAX) {
        return ap_error_set(err, AP_E_LIMIT,
                            "more than %d different headers among the rows set aside: import fewer files at once",
                            (int)FILES_MAX);
    }
    one_file *file = calloc(1, sizeof *file);
    if (!file) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the rows set aside");
    }
    ap_buf_init(&file->header, LINE_MAX_BYTES);
    name_file(file, rejects->path, rejects->count + 1);
    const int fd = mkstemp(file->temporary);
    file->stream = fd >= 0 ? fdopen(fd, "w") : NULL;
    if (!file->stream) {
        const int saved = errno;
        if (fd >= 0) {
            close(fd);
            unlink(file->temporary);
        }
        const ap_status status = ap_error_from_errno(err, saved, "write", file->path);
        free_file(file);
        return status;
    }
    rejects->files[rejects->count++] = file;
    rejects->current = file;
    ap_buf_append_str(&file->header, ap_buf_str(&rejects->header));
    fwrite(file->header.ptr, 1, file->header.len, file->stream);
    return ap_buf_check(&file->header, "the header of the rows set aside", err);
}

ap_status ap_rejects_row(ap_rejects *rejects, const ap_row *row, ap_str reason, ap_str remedy, ap_error *err) {
    if (!rejects->current) {
        const ap_status status = open_file(rejects, err);
        if (status != AP_OK) {
            return status;
        }
    }
    const char delimiter = rejects->delimiter;
    ap_buf why;
    ap_buf_init(&why, LINE_MAX_BYTES);
    ap_buf_append_str(&why, reason);
    if (remedy.len) {
        ap_buf_append_cstr(&why, ": ");
        ap_buf_append_str(&why, remedy);
    }
    ap_buf_clear(&rejects->line);
    write_cell(&rejects->line, ap_buf_str(&why), delimiter);
    ap_buf_release(&why);
    /* A row of our own that comes round again keeps one reason, the newest. */
    for (size_t i = rejects->has_reason ? 1 : 0; i < row->count; i++) {
        ap_buf_append_char(&rejects->line, delimiter);
        write_cell(&rejects->line, row->cells[i], delimiter);
    }
    ap_buf_append_char(&rejects->line, '\n');
    const ap_status status = ap_buf_check(&rejects->line, "a row set aside", err);
    if (status == AP_OK &&
        fwrite(rejects->line.ptr, 1, rejects->line.len, rejects->current->stream) != rejects->line.len) {
        return ap_error_from_errno(err, errno, "write", rejects->current->path);
    }
    return status;
}

static ap_status finish_file(one_file *file, ap_error *err) {
    FILE *stream = file->stream;
    file->stream = NULL;
    const bool written = fflush(stream) == 0 && !ferror(stream) && fsync(fileno(stream)) == 0 &&
                         fchmod(fileno(stream), S_IRUSR | S_IWUSR | S_IRGRP | S_IROTH) == 0;
    int saved = errno;
    if (fclose(stream) != 0 || !written || rename(file->temporary, file->path) != 0) {
        saved = written ? errno : saved;
        unlink(file->temporary);
        return ap_error_from_errno(err, saved, "write", file->path);
    }
    return AP_OK;
}

ap_status ap_rejects_finish(ap_str *names, ap_arena *arena, ap_rejects *rejects, ap_error *err) {
    *names = AP_STR_NONE;
    for (size_t i = 0; i < rejects->count; i++) {
        const ap_status status = finish_file(rejects->files[i], err);
        if (status != AP_OK) {
            return status;
        }
        *names = i ? ap_arena_printf(arena, "%.*s; %s", AP_STR_ARG(*names), rejects->files[i]->path)
                   : ap_arena_printf(arena, "%s", rejects->files[i]->path);
    }
    return ap_arena_check(arena, "the names of the rejects", err);
}

#include "intake/paths.h"

#include "base/grow.h"

#include <dirent.h>
#include <errno.h>
#include <sys/stat.h>

enum { FILES_MAX = 100000, ARENA_MAX = 32 << 20 };

static ap_status add(ap_paths *paths, char *name, ap_error *err) {
    if (paths->count == FILES_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "more than %d files: import them in several runs", (int)FILES_MAX);
    }
    if (paths->count == paths->cap) {
        char **wider = ap_grown(paths->names, &paths->cap, 16, sizeof *wider);
        if (!wider) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory for the names of the files");
        }
        paths->names = wider;
    }
    if (!name) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the names of the files");
    }
    paths->names[paths->count++] = name;
    return AP_OK;
}

static int by_name(const void *a, const void *b) {
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* "oak.book" and what SQLite keeps beside it: a folder of logs may hold the book, which is none. */
static bool is_book(const char *name) {
    const char *end = strstr(name, ".book");
    return end && (end[5] == '\0' || strcmp(end + 5, "-journal") == 0);
}

static ap_status add_folder(ap_paths *paths, const char *folder, ap_error *err) {
    DIR *dir = opendir(folder);
    if (!dir) {
        return ap_error_from_errno(err, errno, "list the folder", folder);
    }
    const size_t first = paths->count;
    const size_t len = strlen(folder);
    const char *slash = len && folder[len - 1] == '/' ? "" : "/";
    ap_status status = AP_OK;
    errno = 0;
    for (struct dirent *entry = readdir(dir); entry && status == AP_OK; entry = readdir(dir)) {
        struct stat info;
        if (entry->d_name[0] == '.' || is_book(entry->d_name)) {
            continue;
        }
        const ap_str name = ap_arena_printf(&paths->arena, "%s%s%s", folder, slash, entry->d_name);
        if (name.ptr && stat(name.ptr, &info) == 0 && !S_ISREG(info.st_mode)) {
            continue;
        }
        status = add(paths, (char *)name.ptr, err);
    }
    closedir(dir);
    if (paths->count > first) {
        qsort(paths->names + first, paths->count - first, sizeof *paths->names, by_name);
    }
    return status;
}

ap_status ap_paths_expand(ap_paths *out, const char *const *paths, size_t count, ap_error *err) {
    memset(out, 0, sizeof *out);
    ap_arena_init(&out->arena, ARENA_MAX);
    ap_status status = AP_OK;
    for (size_t i = 0; i < count && status == AP_OK; i++) {
        struct stat info;
        if (strcmp(paths[i], "-") != 0 && stat(paths[i], &info) == 0 && S_ISDIR(info.st_mode)) {
            status = add_folder(out, paths[i], err);
        } else {
            status = add(out, ap_arena_cstr(&out->arena, ap_str_from(paths[i])), err);
        }
    }
    if (status != AP_OK) {
        ap_paths_release(out);
    }
    return status;
}

void ap_paths_release(ap_paths *paths) {
    ap_arena_release(&paths->arena);
    free(paths->names);
    memset(paths, 0, sizeof *paths);
}

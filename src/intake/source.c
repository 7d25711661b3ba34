#include "intake/source.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <sha256.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/sink.h"
#include "text/delimited.h"

enum { BLOCK = 256 * 1024, HEAD = 4096 };

struct ap_source {
    char *path;
    char *folder;    /* where the copy goes; NULL = no copy */
    char *temporary; /* the copy while it has no name; NULL when there is none */
    FILE *spool;     /* standard input's bytes */
    char spool_path[32];
    bool workbook;
    int fd;
    int64_t size;
    struct stat before;

    pthread_t thread;
    bool thread_runs;
    bool digested;
    ap_status digest_status;
    ap_error digest_error;
    char hex[AP_SHA256_HEX + 1];
};

static ap_status refuse_kind(const struct stat *info, const char *path, ap_error *err) {
    if (S_ISDIR(info->st_mode)) {
        return ap_error_set(err, AP_E_INPUT,
                            "'%s' is a folder inside the list: name the files in it, or the folder alone", path);
    }
    if (!S_ISREG(info->st_mode)) {
        return ap_error_set(err, AP_E_INPUT, "'%s' is a device or a pipe, not a file: hand its bytes over with '-'",
                            path);
    }
    if (info->st_size == 0) {
        return ap_error_set(err, AP_E_INPUT, "'%s' is empty: export the log again", path);
    }
    return AP_OK;
}

static ap_status refuse_not_text(ap_source *source, ap_error *err) {
    char head[HEAD];
    size_t got = 0;
    const ap_status status = ap_source_read_at(head, sizeof head, &got, source, 0, err);
    if (status != AP_OK) {
        return status;
    }
    const char *kind = ap_text_kind_of_file((ap_str){head, got});
    source->workbook = kind && strstr(kind, "workbook");
    if (kind && !source->workbook) {
        return ap_error_set(err, AP_E_INPUT, "'%s' is %s, not a text log: open it where it was made and save it as CSV",
                            source->path, kind);
    }
    return AP_OK;
}

static ap_status spool_input(ap_source *source, ap_error *err) {
    source->spool = tmpfile();
    if (!source->spool) {
        return ap_error_from_errno(err, errno, "make", "a temporary file for standard input");
    }
    char block[HEAD * 4];
    for (size_t got = fread(block, 1, sizeof block, stdin); got > 0; got = fread(block, 1, sizeof block, stdin)) {
        if (fwrite(block, 1, got, source->spool) != got) {
            return ap_error_from_errno(err, errno, "write", "a temporary file for standard input");
        }
    }
    if (ferror(stdin)) {
        return ap_error_set(err, AP_E_IO, "unable to read standard input to its end");
    }
    if (fflush(source->spool) != 0) {
        return ap_error_from_errno(err, errno, "write", "a temporary file for standard input");
    }
    source->fd = fileno(source->spool);
    snprintf(source->spool_path, sizeof source->spool_path, "/dev/fd/%d", source->fd);
    return AP_OK;
}

static ap_status open_file(ap_source *source, ap_error *err) {
    /* O_NONBLOCK: a named pipe without a writer must not hang us before fstat can refuse it. */
    source->fd = open(source->path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (source->fd < 0) {
        const int saved = errno;
        if (saved == ENOENT || saved == ENOTDIR) {
            return ap_error_set(err, AP_E_NOT_FOUND, "there is no file '%s': check the name and the folder",
                                source->path);
        }
        return ap_error_from_errno(err, saved, "open", source->path);
    }
    return AP_OK;
}

ap_status ap_source_open(ap_source **out, const char *path, const char *copy_folder, ap_error *err) {
    const bool input = strcmp(path, "-") == 0;
    ap_source *source = calloc(1, sizeof *source);
    ap_status status = AP_OK;
    if (source) {
        source->fd = -1;
        source->path = strdup(input ? "standard input" : path);
        source->folder = copy_folder ? strdup(copy_folder) : NULL;
    }
    if (!source || !source->path || (copy_folder && !source->folder)) {
        ap_source_close(source);
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening '%s'", path);
    }
    status = input ? spool_input(source, err) : open_file(source, err);
    if (status == AP_OK && fstat(source->fd, &source->before) != 0) {
        status = ap_error_from_errno(err, errno, "look at", source->path);
    }
    if (status == AP_OK) {
        source->size = (int64_t)source->before.st_size;
        status = refuse_kind(&source->before, source->path, err);
    }
    if (status == AP_OK) {
        status = refuse_not_text(source, err);
    }
    if (status != AP_OK) {
        ap_source_close(source);
        return status;
    }
    *out = source;
    return AP_OK;
}

void ap_source_close(ap_source *source) {
    if (!source) {
        return;
    }
    if (source->thread_runs) {
        pthread_join(source->thread, NULL);
    }
    if (source->temporary) {
        unlink(source->temporary);
    }
    ap_source_let_go(source);
    free(source->temporary);
    free(source->folder);
    free(source->path);
    free(source);
}

void ap_source_let_go(ap_source *source) {
    if (source->spool) {
        fclose(source->spool);
    } else if (source->fd >= 0) {
        close(source->fd);
    }
    source->spool = NULL;
    source->fd = -1;
}

bool ap_source_is_workbook(const ap_source *source) {
    return source->workbook;
}

const char *ap_source_path(const ap_source *source) {
    return source->spool ? source->spool_path : source->path;
}

int64_t ap_source_size(const ap_source *source) {
    return source->size;
}

ap_status ap_source_read_at(char *bytes, size_t cap, size_t *got, const ap_source *source, int64_t offset,
                            ap_error *err) {
    ssize_t n = -1;
    do {
        n = pread(source->fd, bytes, cap, (off_t)offset);
    } while (n < 0 && errno == EINTR);
    if (n < 0) {
        return ap_error_from_errno(err, errno, "read", source->path);
    }
    *got = (size_t)n;
    return AP_OK;
}

static char *join_path(const char *folder, const char *name) {
    const size_t size = strlen(folder) + strlen(name) + 2;
    char *path = malloc(size);
    if (path) {
        snprintf(path, size, "%s/%s", folder, name);
    }
    return path;
}

static ap_status open_copy(int *fd, ap_source *source, ap_error *err) {
    const ap_status status = ap_folder_make(source->folder, err);
    if (status != AP_OK) {
        return status;
    }
    source->temporary = join_path(source->folder, "incoming-XXXXXX");
    if (!source->temporary) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while copying '%s'", source->path);
    }
    *fd = mkstemp(source->temporary);
    if (*fd < 0) {
        const int saved = errno;
        free(source->temporary);
        source->temporary = NULL;
        return ap_error_from_errno(err, saved, "write in", source->folder);
    }
    return AP_OK;
}

static ap_status write_all(int fd, const char *bytes, size_t len, const char *subject, ap_error *err) {
    while (len > 0) {
        const ssize_t n = write(fd, bytes, len);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n < 0) {
            return ap_error_from_errno(err, errno, "write", subject);
        }
        bytes += n;
        len -= (size_t)n;
    }
    return AP_OK;
}

static ap_status refuse_changed(const ap_source *source, int64_t seen, ap_error *err) {
    struct stat now;
    if (fstat(source->fd, &now) != 0) {
        return ap_error_from_errno(err, errno, "look at", source->path);
    }
    const struct stat *was = &source->before;
    if (seen != source->size || now.st_size != was->st_size || now.st_mtim.tv_sec != was->st_mtim.tv_sec ||
        now.st_mtim.tv_nsec != was->st_mtim.tv_nsec) {
        return ap_error_set(err, AP_E_INPUT,
                            "'%s' changed while it was read: close it where it is edited and import again",
                            source->path);
    }
    return AP_OK;
}

static void hex_of(char out[AP_SHA256_HEX + 1], const uint8_t *digest, size_t size) {
    static const char digits[] = "0123456789abcdef";
    for (size_t i = 0; i < size; i++) {
        out[2 * i] = digits[digest[i] >> 4];
        out[2 * i + 1] = digits[digest[i] & 15];
    }
    out[2 * size] = '\0';
}

static ap_status digest_and_copy(ap_source *source, ap_error *err) {
    int copy = -1;
    char *block = malloc(BLOCK);
    ap_status status = block ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory while reading '%s'", source->path);
    if (status == AP_OK && source->folder) {
        status = open_copy(&copy, source, err);
    }
    SHA2_CTX sha;
    SHA256Init(&sha);
    int64_t at = 0;
    while (status == AP_OK) {
        size_t got = 0;
        status = ap_source_read_at(block, BLOCK, &got, source, at, err);
        if (status != AP_OK || got == 0) {
            break;
        }
        SHA256Update(&sha, (const uint8_t *)block, got);
        at += (int64_t)got;
        if (copy >= 0) {
            status = write_all(copy, block, got, source->temporary, err);
        }
    }
    if (status == AP_OK) {
        status = refuse_changed(source, at, err);
    }
    if (copy >= 0) {
        if (status == AP_OK && fsync(copy) != 0) {
            status = ap_error_from_errno(err, errno, "write", source->temporary);
        }
        if (close(copy) != 0 && status == AP_OK) {
            status = ap_error_from_errno(err, errno, "write", source->temporary);
        }
    }
    uint8_t digest[SHA256_DIGEST_LENGTH];
    SHA256Final(digest, &sha);
    hex_of(source->hex, digest, sizeof digest);
    free(block);
    return status;
}

static void *run_digest(void *context) {
    ap_source *source = context;
    source->digest_status = digest_and_copy(source, &source->digest_error);
    return NULL;
}

void ap_source_digest_start(ap_source *source) {
    if (source->thread_runs || source->digested) {
        return;
    }
    /* No thread to be had: the digest is then made when it is asked for. */
    source->thread_runs = pthread_create(&source->thread, NULL, run_digest, source) == 0;
}

ap_status ap_source_digest(char hex[AP_SHA256_HEX + 1], ap_source *source, ap_error *err) {
    if (source->thread_runs) {
        pthread_join(source->thread, NULL);
        source->thread_runs = false;
    } else if (!source->digested) {
        run_digest(source);
    }
    source->digested = true;
    if (source->digest_status != AP_OK) {
        return ap_error_set(err, source->digest_status, "%s", source->digest_error.text);
    }
    snprintf(hex, AP_SHA256_HEX + 1, "%s", source->hex);
    return AP_OK;
}

static void sync_folder(const char *folder) {
    const int fd = open(folder, O_RDONLY | O_CLOEXEC);
    if (fd >= 0) {
        (void)fsync(fd);
        close(fd);
    }
}

ap_status ap_source_keep_copy(ap_source *source, ap_error *err) {
    if (!source->temporary) {
        return AP_OK;
    }
    char *name = join_path(source->folder, source->hex);
    if (!name) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while keeping the copy of '%s'", source->path);
    }
    ap_status status = AP_OK;
    if (access(name, F_OK) != 0) {
        if (chmod(source->temporary, S_IRUSR | S_IWUSR | S_IRGRP | S_IROTH) != 0 ||
            rename(source->temporary, name) != 0) {
            status = ap_error_from_errno(err, errno, "keep the copy as", name);
        } else {
            sync_folder(source->folder);
            free(source->temporary);
            source->temporary = NULL;
        }
    }
    free(name);
    return status;
}

#include "base/draft.h"
#include "base/sink.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PATH_MOST = 4096 };

static int write_all(int fd, ap_str bytes) {
    size_t done = 0;
    while (done < bytes.len) {
        ssize_t n = write(fd, bytes.ptr + done, bytes.len - done);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n <= 0) {
            return n < 0 ? errno : EIO;
        }
        done += (size_t)n;
    }
    return 0;
}

const char *ap_file_name(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

ap_status ap_file_write(const char *path, ap_str bytes, ap_error *err) {
    ap_draft draft;
    ap_status status = ap_draft_open(&draft, path, err);
    if (status != AP_OK) {
        return status;
    }
    int reason = write_all(draft.fd, bytes);
    if (reason != 0) {
        status = ap_error_from_errno(err, reason, "write", path);
    } else {
        status = ap_draft_finish(&draft, true, err);
    }
    ap_draft_drop(&draft);
    return status;
}

/* A name that leads to no file is a wrong input; the rest is the machine's trouble. */
static ap_status read_error(ap_error *err, int reason, const char *path) {
    ap_status status = ap_error_from_errno(err, reason, "read", path);
    if (reason == ENOENT || reason == ENOTDIR || reason == EISDIR || reason == ENAMETOOLONG) {
        status = AP_E_INPUT;
    }
    if (err) {
        err->code = status;
    }
    return status;
}

static ap_status read_all(ap_buf *out, int fd, const char *path, size_t max, ap_error *err) {
    static const size_t STEP = 65536;
    char *step = malloc(STEP);
    ap_status status = AP_OK;
    if (!step) {
        return ap_error_from_errno(err, ENOMEM, "read", path);
    }
    for (;;) {
        ssize_t n = read(fd, step, STEP);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n < 0) {
            status = read_error(err, errno, path);
            break;
        }
        if (n == 0) {
            break;
        }
        ap_buf_append(out, step, (size_t)n);
        if (out->status == AP_E_LIMIT) {
            status = ap_error_set(err, AP_E_LIMIT, "unable to read '%s': more than %zu bytes", path, max);
            break;
        }
        if (out->status != AP_OK) {
            status = ap_error_from_errno(err, ENOMEM, "read", path);
            break;
        }
    }
    free(step);
    return status;
}

ap_status ap_file_read(ap_buf *out, const char *path, size_t max, ap_error *err) {
    ap_buf_init(out, max);
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) {
        return read_error(err, errno, path);
    }
    ap_status status = read_all(out, fd, path, max, err);
    close(fd);
    if (status != AP_OK) {
        ap_buf_release(out);
    }
    return status;
}

/* Returns an errno. Another process may make the same folder meanwhile: that is fine. */
static int make_one(const char *path) {
    struct stat info;
    if (mkdir(path, 0777) == 0) {
        return 0;
    }
    int reason = errno;
    if (stat(path, &info) == 0) {
        return S_ISDIR(info.st_mode) ? 0 : ENOTDIR;
    }
    return reason;
}

ap_status ap_folder_make(const char *path, ap_error *err) {
    char part[PATH_MOST];
    size_t len = strlen(path);
    if (len == 0 || len >= sizeof part) {
        return ap_error_from_errno(err, len == 0 ? ENOENT : ENAMETOOLONG, "make folder", path);
    }
    memcpy(part, path, len + 1);
    for (size_t i = 1; i <= len; i++) {
        if (part[i] != '/' && part[i] != '\0') {
            continue;
        }
        char kept = part[i];
        part[i] = '\0';
        int reason = make_one(part);
        if (reason != 0) {
            return ap_error_from_errno(err, reason, "make folder", part);
        }
        part[i] = kept;
    }
    return AP_OK;
}

#include "base/sink.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
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

/* The name as it is once links are followed, and the mode the new file gets. A device or a pipe is refused: the
 * rename would replace it. Returns an errno. */
static int find_target(char target[PATH_MAX], mode_t *mode, const char *path) {
    struct stat info;
    if (stat(path, &info) == 0) {
        if (!S_ISREG(info.st_mode)) {
            return S_ISDIR(info.st_mode) ? EISDIR : EINVAL;
        }
        *mode = info.st_mode & 07777;
        return realpath(path, target) ? 0 : errno;
    }
    if (errno != ENOENT) {
        return errno;
    }
    mode_t mask = umask(0);
    umask(mask);
    *mode = 0666 & ~mask;
    if (strlen(path) >= PATH_MAX) {
        return ENAMETOOLONG;
    }
    memcpy(target, path, strlen(path) + 1);
    return 0;
}

/* "" when the name has no folder part, "/" for the root. */
static void folder_of(char *folder, size_t size, const char *path) {
    const char *slash = strrchr(path, '/');
    size_t len = !slash ? 0 : slash == path ? 1 : (size_t)(slash - path);
    len = len < size ? len : size - 1;
    memcpy(folder, path, len);
    folder[len] = '\0';
}

static int sync_folder(const char *folder) {
    int fd = open(folder[0] ? folder : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0) {
        return errno;
    }
    /* Some file systems cannot sync a folder and say EINVAL. */
    int reason = fsync(fd) != 0 && errno != EINVAL ? errno : 0;
    close(fd);
    return reason;
}

static int fill_and_rename(int fd, const char *draft, const char *target, mode_t mode, ap_str bytes) {
    int reason = write_all(fd, bytes);
    if (reason == 0 && fchmod(fd, mode) != 0) {
        reason = errno;
    }
    if (reason == 0 && fsync(fd) != 0) {
        reason = errno;
    }
    if (close(fd) != 0 && reason == 0) {
        reason = errno;
    }
    if (reason == 0 && rename(draft, target) != 0) {
        reason = errno;
    }
    if (reason != 0) {
        unlink(draft);
    }
    return reason;
}

ap_status ap_file_write(const char *path, ap_str bytes, ap_error *err) {
    char target[PATH_MAX];
    char folder[PATH_MAX];
    char draft[PATH_MAX + 32];
    mode_t mode = 0;
    int reason = find_target(target, &mode, path);
    if (reason == EINVAL) {
        return ap_error_set(err, AP_E_IO, "unable to write '%s': it is not a plain file", path);
    }
    if (reason != 0) {
        return ap_error_from_errno(err, reason, "write", path);
    }
    folder_of(folder, sizeof folder, target);
    snprintf(draft, sizeof draft, "%s%s.draft-XXXXXX", folder, folder[0] && strcmp(folder, "/") != 0 ? "/" : "");
    int fd = mkstemp(draft);
    if (fd < 0) {
        return ap_error_from_errno(err, errno, "write", path);
    }
    if (fcntl(fd, F_SETFD, FD_CLOEXEC) != 0) {
        reason = errno;
        close(fd);
        unlink(draft);
    } else {
        reason = fill_and_rename(fd, draft, target, mode, bytes);
    }
    if (reason == 0) {
        reason = sync_folder(folder);
    }
    return reason == 0 ? AP_OK : ap_error_from_errno(err, reason, "write", path);
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

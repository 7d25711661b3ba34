#include "base/draft.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

/* The name as it is once links are followed, and the mode the new file gets. A device or a pipe is refused: the
 * rename would replace it. Returns an errno. */
static int find_target(ap_draft *draft, const char *path) {
    struct stat info;
    if (stat(path, &info) == 0) {
        char real[PATH_MAX];
        if (!S_ISREG(info.st_mode)) {
            return S_ISDIR(info.st_mode) ? EISDIR : EINVAL;
        }
        draft->mode = info.st_mode & 07777;
        if (!realpath(path, real)) {
            return errno;
        }
        return snprintf(draft->target, sizeof draft->target, "%s", real) < AP_DRAFT_PATH ? 0 : ENAMETOOLONG;
    }
    if (errno != ENOENT) {
        return errno;
    }
    mode_t mask = umask(0);
    umask(mask);
    draft->mode = 0666 & ~mask;
    return snprintf(draft->target, sizeof draft->target, "%s", path) < AP_DRAFT_PATH ? 0 : ENAMETOOLONG;
}

/* "" when the name has no folder part, "/" for the root. */
static void folder_of(char folder[AP_DRAFT_PATH], const char *path) {
    const char *slash = strrchr(path, '/');
    size_t len = !slash ? 0 : slash == path ? 1 : (size_t)(slash - path);
    memcpy(folder, path, len);
    folder[len] = '\0';
}

static int sync_folder(const char *path) {
    char folder[AP_DRAFT_PATH];
    folder_of(folder, path);
    int fd = open(folder[0] ? folder : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0) {
        return errno;
    }
    /* Some file systems cannot sync a folder and say EINVAL. */
    int reason = fsync(fd) != 0 && errno != EINVAL ? errno : 0;
    close(fd);
    return reason;
}

ap_status ap_draft_stream(FILE **out, const ap_draft *draft, ap_error *err) {
    const int copy = dup(draft->fd);
    *out = copy >= 0 ? fdopen(copy, "wb") : NULL;
    if (*out) {
        return AP_OK;
    }
    const ap_status status = ap_error_from_errno(err, errno, "write", draft->given);
    if (copy >= 0) {
        close(copy);
    }
    return status;
}

void ap_draft_drop(ap_draft *draft) {
    if (draft->fd >= 0) {
        close(draft->fd);
        draft->fd = -1;
    }
    if (draft->path[0]) {
        unlink(draft->path);
        draft->path[0] = '\0';
    }
}

ap_status ap_draft_open(ap_draft *out, const char *path, ap_error *err) {
    char folder[AP_DRAFT_PATH];
    *out = (ap_draft){.given = path, .fd = -1};
    int reason = find_target(out, path);
    if (reason == EINVAL) {
        return ap_error_set(err, AP_E_IO, "unable to write '%s': it is not a plain file", path);
    }
    if (reason != 0) {
        return ap_error_from_errno(err, reason, "write", path);
    }
    folder_of(folder, out->target);
    snprintf(out->path, sizeof out->path, "%s%s.draft-XXXXXX", folder,
             folder[0] && strcmp(folder, "/") != 0 ? "/" : "");
    out->fd = mkstemp(out->path);
    if (out->fd < 0) {
        reason = errno;
        out->path[0] = '\0';
    } else if (fcntl(out->fd, F_SETFD, FD_CLOEXEC) != 0) {
        reason = errno;
        ap_draft_drop(out);
    }
    return reason == 0 ? AP_OK : ap_error_from_errno(err, reason, "write", path);
}

/* A second name for the draft is refused by the file system where the name is taken, without a gap between looking and doing.
 * Some (of memory sticks) have no second names: there a look must do. */
static int take_free_name(const ap_draft *draft) {
    if (link(draft->path, draft->target) == 0) {
        return unlink(draft->path) == 0 ? 0 : errno;
    }
    if (errno == EEXIST || access(draft->target, F_OK) == 0) {
        return EEXIST;
    }
    return rename(draft->path, draft->target) == 0 ? 0 : errno;
}

ap_status ap_draft_finish(ap_draft *draft, bool replace, ap_error *err) {
    int reason = fchmod(draft->fd, draft->mode) != 0 || fsync(draft->fd) != 0 ? errno : 0;
    if (close(draft->fd) != 0 && reason == 0) {
        reason = errno;
    }
    draft->fd = -1;
    if (reason == 0) {
        reason = !replace ? take_free_name(draft) : rename(draft->path, draft->target) != 0 ? errno : 0;
    }
    if (reason == 0) {
        draft->path[0] = '\0';
        reason = sync_folder(draft->target);
    }
    ap_draft_drop(draft);
    if (reason == EEXIST) {
        return ap_error_set(err, AP_E_USAGE, "'%s' exists already: choose another name or move it away", draft->given);
    }
    return reason == 0 ? AP_OK : ap_error_from_errno(err, reason, "write", draft->given);
}

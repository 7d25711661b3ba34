/* A workbook's zip, read by libzip through the file that was looked at first.
 *
 * A zip's own figures are claims: libzip takes memory for as many entries as the end record names, so these are looked at
 * before it sees the file, and what a part unpacks to is counted as it comes out. Limits: 1. entries; 2. bytes of the
 * directory; 3. bytes of one part; 4. the ratio of unpacked to packed bytes, from 32 MiB on (a long and even sheet packs
 * to about 1:50, a bomb of deflate to 1:1030). Only stored and deflated parts are read: ECMA-376-2 annex B and ODF 1.3
 * part 2 section 3.3 name no others. */
#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zip.h>

#include "text/workbook_parts.h"

enum { ENTRIES_MAX = 4096, DIRECTORY_MAX = 4 * 1024 * 1024, RATIO_FROM = 32 * 1024 * 1024, RATIO_MAX = 400 };
/* The end record: APPNOTE 6.3.10, 4.3.16; its comment is at most 65535 bytes; 4.3.14 and 4.3.15 for its long form. */
enum { END_SIZE = 22, TAIL_MAX = END_SIZE + 65535 + 20, LONG_END_SIZE = 56 };

struct ap_package {
    zip_t *zip;
    uint64_t part_max;
};

struct ap_part {
    zip_file_t *file;
    const ap_package *package;
    uint64_t packed, read;
    char name[AP_PART_NAME_MAX];
};

static uint64_t little(const unsigned char *at, size_t bytes) {
    uint64_t value = 0;
    for (size_t i = bytes; i > 0; i--) {
        value = value << 8 | at[i - 1];
    }
    return value;
}

static bool read_at(int fd, unsigned char *bytes, size_t len, uint64_t offset) {
    size_t have = 0;
    while (have < len) {
        ssize_t got = pread(fd, bytes + have, len - have, (off_t)(offset + have));
        if (got < 0 && errno == EINTR) {
            continue;
        }
        if (got <= 0) {
            return false;
        }
        have += (size_t)got;
    }
    return true;
}

static ap_status check_claims(uint64_t entries, uint64_t directory, ap_error *err) {
    if (entries > ENTRIES_MAX || directory > DIRECTORY_MAX) {
        return ap_error_set(
            err, AP_E_LIMIT,
            "the file claims %llu parts in a directory of %llu bytes (%d and %d at most): a workbook has "
            "a few dozen; save the sheet as CSV",
            (unsigned long long)entries, (unsigned long long)directory, ENTRIES_MAX, DIRECTORY_MAX);
    }
    return AP_OK;
}

/* Every end record in the tail must keep to the limits: which of several one libzip takes does not matter then. */
static ap_status check_directory(int fd, uint64_t size, ap_error *err) {
    size_t len = size < TAIL_MAX ? (size_t)size : TAIL_MAX;
    unsigned char *tail = malloc(len + 1);
    if (!tail) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the end of a zip");
    }
    ap_status status = AP_OK;
    bool seen = false;
    if (!read_at(fd, tail, len, size - len)) {
        status = ap_error_set(err, AP_E_IO, "its end cannot be read");
    }
    for (size_t at = 0; status == AP_OK && at + 20 <= len; at++) {
        if (tail[at] != 'P' || tail[at + 1] != 'K') {
            continue;
        }
        if (tail[at + 2] == 5 && tail[at + 3] == 6 && at + END_SIZE <= len) {
            uint64_t entries = little(tail + at + 10, 2);
            uint64_t directory = little(tail + at + 12, 4);
            seen = true;
            bool is_long = entries == 0xFFFF || directory == 0xFFFFFFFF;
            status = is_long ? AP_OK : check_claims(entries, directory, err);
        } else if (tail[at + 2] == 6 && tail[at + 3] == 7) {
            unsigned char end[LONG_END_SIZE];
            if (read_at(fd, end, sizeof end, little(tail + at + 8, 8)) && memcmp(end, "PK\6\6", 4) == 0) {
                status = check_claims(little(end + 32, 8), little(end + 40, 8), err);
            }
        }
    }
    free(tail);
    if (status == AP_OK && !seen) {
        status = ap_error_set(err, AP_E_INPUT, "its end is missing: it was cut short; copy or send the file again");
    }
    return status;
}

/* "EncryptedPackage" in the UTF-16 of an OLE directory: MS-OFFCRYPTO 2.3.4.4. */
static bool is_encrypted_ole(int fd) {
    static const char name[] = "E\0n\0c\0r\0y\0p\0t\0e\0d\0P\0a\0c\0k\0a\0g\0e";
    unsigned char block[64 * 1024];
    size_t kept = 0;
    for (uint64_t at = 0; at < (uint64_t)64 * 1024 * 1024;) {
        ssize_t got = pread(fd, block + kept, sizeof block - kept, (off_t)at);
        if (got <= 0) {
            return false;
        }
        at += (uint64_t)got;
        size_t len = kept + (size_t)got;
        for (size_t i = 0; i + sizeof name <= len; i++) {
            if (block[i] == 'E' && memcmp(block + i, name, sizeof name) == 0) {
                return true;
            }
        }
        kept = len < sizeof name ? len : sizeof name;
        memmove(block, block + len - kept, kept);
    }
    return false;
}

static ap_status check_kind(int fd, ap_error *err) {
    char head[4096];
    ssize_t got = pread(fd, head, sizeof head, 0);
    if (got < 0) {
        return ap_error_set(err, AP_E_IO, "it cannot be read");
    }
    ap_str text = {head, (size_t)got};
    const char *kind = ap_text_kind_of_file(text);
    if (text.len >= 8 && memcmp(head, "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", 8) == 0) {
        return is_encrypted_ole(fd)
                   ? ap_error_set(err, AP_E_INPUT,
                                  "it is protected by a password: open it in the spreadsheet program and save a copy "
                                  "without one")
                   : ap_error_set(
                         err, AP_E_INPUT,
                         "it is an old binary spreadsheet (.xls): open it in the spreadsheet program and save it "
                         "as .xlsx, .ods or CSV");
    }
    if (text.len < 4 || memcmp(head, "PK", 2) != 0) {
        return ap_error_set(err, AP_E_INPUT, "it is %s, not a workbook", kind ? kind : "text");
    }
    return AP_OK;
}

static ap_status open_zip(ap_package *package, int *fd, ap_error *err) {
    int code = 0;
    package->zip = zip_fdopen(*fd, 0, &code);
    if (package->zip) {
        *fd = -1; /* the zip's now */
        return AP_OK;
    }
    zip_error_t error;
    zip_error_init_with_code(&error, code);
    ap_status status = code == ZIP_ER_MEMORY ? AP_E_MEMORY : code == ZIP_ER_READ ? AP_E_IO : AP_E_INPUT;
    status =
        ap_error_set(err, status, "it is a damaged zip (%s): copy or send the file again", zip_error_strerror(&error));
    zip_error_fini(&error);
    return status;
}

ap_status ap_package_open(ap_package **out, const char *path, uint64_t part_max, ap_error *err) {
    ap_status status = AP_OK;
    struct stat info;
    ap_package *package = calloc(1, sizeof *package);
    if (!package) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a workbook");
    }
    package->part_max = part_max;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (fd < 0) {
        int saved = errno;
        status = saved == ENOENT || saved == ENOTDIR
                     ? ap_error_set(err, AP_E_NOT_FOUND, "there is no such file: check the name and the folder")
                     : ap_error_from_errno(err, saved, "open", path);
    } else if (fstat(fd, &info) != 0) {
        status = ap_error_from_errno(err, errno, "look at", path);
    } else if (!S_ISREG(info.st_mode)) {
        status = ap_error_set(err, AP_E_INPUT, "it is not a file");
    } else {
        status = check_kind(fd, err);
        status = status == AP_OK ? check_directory(fd, (uint64_t)info.st_size, err) : status;
        status = status == AP_OK ? open_zip(package, &fd, err) : status;
    }
    if (fd >= 0) {
        close(fd);
    }
    if (status != AP_OK) {
        ap_package_close(package);
        return status;
    }
    *out = package;
    return AP_OK;
}

void ap_package_close(ap_package *package) {
    if (package) {
        if (package->zip) {
            zip_discard(package->zip);
        }
        free(package);
    }
}

static zip_int64_t locate(const ap_package *package, const char *name) {
    zip_int64_t at = zip_name_locate(package->zip, name, 0);
    return at >= 0 ? at : zip_name_locate(package->zip, name, ZIP_FL_NOCASE);
}

bool ap_package_has(const ap_package *package, const char *name) {
    return locate(package, name) >= 0;
}

static ap_status check_part(const zip_stat_t *info, const char *name, ap_error *err) {
    const zip_uint64_t need = ZIP_STAT_COMP_SIZE | ZIP_STAT_COMP_METHOD | ZIP_STAT_ENCRYPTION_METHOD;
    if ((info->valid & need) != need) {
        return ap_error_set(err, AP_E_INPUT, "its part '%s' is damaged", name);
    }
    if (info->encryption_method != ZIP_EM_NONE) {
        return ap_error_set(err, AP_E_INPUT, "its part '%s' is protected by a password: save a copy without one", name);
    }
    if (info->comp_method != ZIP_CM_STORE && info->comp_method != ZIP_CM_DEFLATE) {
        return ap_error_set(err, AP_E_INPUT,
                            "its part '%s' is packed in a way no workbook uses (method %u): save it anew in the "
                            "spreadsheet program",
                            name, info->comp_method);
    }
    return AP_OK;
}

ap_status ap_part_open(ap_part **out, ap_package *package, const char *name, ap_error *err) {
    zip_stat_t info;
    zip_stat_init(&info);
    zip_int64_t at = locate(package, name);
    if (at < 0 || zip_stat_index(package->zip, (zip_uint64_t)at, 0, &info) != 0) {
        return ap_error_set(err, AP_E_INPUT, "its part '%s' is missing", name);
    }
    ap_status status = check_part(&info, name, err);
    if (status != AP_OK) {
        return status;
    }
    ap_part *part = calloc(1, sizeof *part);
    if (!part) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a part of a workbook");
    }
    part->file = zip_fopen_index(package->zip, (zip_uint64_t)at, 0);
    if (!part->file) {
        free(part);
        return ap_error_set(err, AP_E_INPUT, "its part '%s' cannot be read: %s", name, zip_strerror(package->zip));
    }
    part->package = package;
    part->packed = info.comp_size;
    snprintf(part->name, sizeof part->name, "%s", name);
    *out = part;
    return AP_OK;
}

void ap_part_close(ap_part *part) {
    if (part) {
        zip_fclose(part->file);
        free(part);
    }
}

ap_status ap_part_read(ap_part *part, char *bytes, size_t cap, size_t *got, ap_error *err) {
    zip_int64_t n = zip_fread(part->file, bytes, cap);
    if (n < 0) {
        return ap_error_set(err, AP_E_INPUT, "its part '%s' is damaged (%s): copy or send the file again", part->name,
                            zip_file_strerror(part->file));
    }
    part->read += (uint64_t)n;
    if (part->read > part->package->part_max) {
        return ap_error_set(err, AP_E_LIMIT, "its part '%s' unpacks to more than %llu MiB: save the sheet as CSV",
                            part->name, (unsigned long long)(part->package->part_max >> 20));
    }
    if (part->read > RATIO_FROM && part->read / RATIO_MAX > part->packed) {
        return ap_error_set(
            err, AP_E_LIMIT,
            "its part '%s' unpacks to more than %d times its size, which no log does: save the sheet as CSV",
            part->name, RATIO_MAX);
    }
    *got = (size_t)n;
    return AP_OK;
}

#include "support/fault_vfs.h"

#include <sqlite3.h>
#include <string.h>

#include "book/handle.h"

typedef struct fault_file {
    sqlite3_file base;
    sqlite3_file *real; /* behind this struct */
} fault_file;

static sqlite3_vfs *usual;
static sqlite3_vfs vfs;
static struct { int n, code, lasting, count, struck, readonly; } fault;

static int strikes(void) {
    fault.count++;
    if (fault.n > 0 && (fault.count == fault.n || (fault.lasting && fault.count > fault.n))) {
        fault.struck = 1;
        return fault.code;
    }
    return SQLITE_OK;
}

static sqlite3_file *real_of(sqlite3_file *file) {
    return ((fault_file *)file)->real;
}

static int fault_close(sqlite3_file *file) {
    return real_of(file)->pMethods->xClose(real_of(file));
}

static int fault_read(sqlite3_file *file, void *bytes, int count, sqlite3_int64 at) {
    return real_of(file)->pMethods->xRead(real_of(file), bytes, count, at);
}

static int fault_write(sqlite3_file *file, const void *bytes, int count, sqlite3_int64 at) {
    int rc = strikes();
    if (rc != SQLITE_OK) {
        /* A write that fails may have written a part. */
        if (count > 1) {
            real_of(file)->pMethods->xWrite(real_of(file), bytes, count / 2, at);
        }
        return rc;
    }
    return real_of(file)->pMethods->xWrite(real_of(file), bytes, count, at);
}

static int fault_truncate(sqlite3_file *file, sqlite3_int64 size) {
    int rc = strikes();
    return rc != SQLITE_OK ? rc : real_of(file)->pMethods->xTruncate(real_of(file), size);
}

static int fault_sync(sqlite3_file *file, int flags) {
    int rc = strikes();
    return rc != SQLITE_OK ? rc : real_of(file)->pMethods->xSync(real_of(file), flags);
}

static int fault_size(sqlite3_file *file, sqlite3_int64 *size) {
    return real_of(file)->pMethods->xFileSize(real_of(file), size);
}

static int fault_lock(sqlite3_file *file, int level) {
    return real_of(file)->pMethods->xLock(real_of(file), level);
}

static int fault_unlock(sqlite3_file *file, int level) {
    return real_of(file)->pMethods->xUnlock(real_of(file), level);
}

static int fault_reserved(sqlite3_file *file, int *out) {
    return real_of(file)->pMethods->xCheckReservedLock(real_of(file), out);
}

static int fault_control(sqlite3_file *file, int op, void *arg) {
    return real_of(file)->pMethods->xFileControl(real_of(file), op, arg);
}

static int fault_sector(sqlite3_file *file) {
    return real_of(file)->pMethods->xSectorSize(real_of(file));
}

static int fault_device(sqlite3_file *file) {
    return real_of(file)->pMethods->xDeviceCharacteristics(real_of(file));
}

static const sqlite3_io_methods methods = {
    .iVersion = 1,
    .xClose = fault_close,
    .xRead = fault_read,
    .xWrite = fault_write,
    .xTruncate = fault_truncate,
    .xSync = fault_sync,
    .xFileSize = fault_size,
    .xLock = fault_lock,
    .xUnlock = fault_unlock,
    .xCheckReservedLock = fault_reserved,
    .xFileControl = fault_control,
    .xSectorSize = fault_sector,
    .xDeviceCharacteristics = fault_device,
};

static int fault_open(sqlite3_vfs *self, const char *name, sqlite3_file *file, int flags, int *out_flags) {
    (void)self;
    fault_file *it = (fault_file *)file;
    memset(it, 0, sizeof *it);
    it->real = (sqlite3_file *)(it + 1);
    if (fault.readonly && (flags & SQLITE_OPEN_MAIN_DB)) {
        flags = (flags & ~(SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE)) | SQLITE_OPEN_READONLY;
    }
    int rc = usual->xOpen(usual, name, it->real, flags, out_flags);
    if (rc == SQLITE_OK) {
        it->base.pMethods = &methods;
    }
    return rc;
}

static int fault_delete(sqlite3_vfs *self, const char *name, int sync) {
    (void)self;
    int rc = strikes();
    return rc != SQLITE_OK ? rc : usual->xDelete(usual, name, sync);
}

void fault_vfs_start(void) {
    usual = sqlite3_vfs_find(NULL);
    vfs = *usual;
    vfs.zName = "fault";
    vfs.pNext = NULL;
    vfs.szOsFile = usual->szOsFile + (int)sizeof(fault_file);
    vfs.xOpen = fault_open;
    vfs.xDelete = fault_delete;
    sqlite3_vfs_register(&vfs, 0);
    ap_book_set_vfs("fault");
    fault_vfs_fail(0, 0, 0);
    fault_vfs_readonly(0);
}

void fault_vfs_stop(void) {
    ap_book_set_vfs(NULL);
    sqlite3_vfs_unregister(&vfs);
}

void fault_vfs_fail(int n, int code, int lasting) {
    fault.n = n;
    fault.code = code;
    fault.lasting = lasting;
    fault.count = 0;
    fault.struck = 0;
}

int fault_vfs_count(void) {
    return fault.count;
}

int fault_vfs_struck(void) {
    return fault.struck;
}

void fault_vfs_readonly(int on) {
    fault.readonly = on;
}

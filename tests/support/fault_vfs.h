/* A file system for SQLite that fails when a test says so. */
#ifndef AP_TESTS_FAULT_VFS_H
#define AP_TESTS_FAULT_VFS_H

/* Registers "fault" over the usual VFS and makes the books use it. */
void fault_vfs_start(void);
void fault_vfs_stop(void);
/* The n-th change of a file from now (write, sync, truncate, delete; from 1) fails with the SQLite code, and with `lasting` all
 * later ones too. 0 = none fails. */
void fault_vfs_fail(int n, int code, int lasting);
int fault_vfs_count(void);  /* changes since the last fault_vfs_fail() */
int fault_vfs_struck(void); /* one has failed */
/* Files can be opened for reading only. */
void fault_vfs_readonly(int on);

#endif

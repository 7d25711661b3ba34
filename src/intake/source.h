/* One log file: opened, named for what it is when it is not text, digested and copied beside the book.
 *
 * The digest and the copy are made in one reading, in a thread of their own while the rows are read (SHA-256 costs about as
 * much as all of the parsing). The copy has a temporary name until the import is in the book; then it is BOOK-logs/SHA256. */
#ifndef AP_INTAKE_SOURCE_H
#define AP_INTAKE_SOURCE_H

#include "base/str.h"

enum { AP_SHA256_HEX = 64 };
typedef struct ap_source ap_source;

/* `path` "-" is standard input, spooled to a nameless temporary file first. `copy_folder` NULL = no copy is made.
 * Errors  AP_E_NOT_FOUND, AP_E_IO; AP_E_INPUT: a folder, a device, an empty file, neither text nor a workbook: what it is
 *         and what to do. */
AP_MUST_USE ap_status ap_source_open(ap_source **out, const char *path, const char *copy_folder, ap_error *err);
void ap_source_close(ap_source *source); /* removes a copy that was not kept */

int64_t ap_source_size(const ap_source *source);
/* A spreadsheet workbook: opened by the path below, not read as text. */
bool ap_source_is_workbook(const ap_source *source);
/* A path that leads to the source's bytes while it is open. */
const char *ap_source_path(const ap_source *source);
/* Reads at `offset`; *got = 0 at the end. Positions are the caller's, so that a file can be read twice. */
AP_MUST_USE ap_status ap_source_read_at(char *bytes, size_t cap, size_t *got, const ap_source *source, int64_t offset,
                                        ap_error *err);

/* Begins the digest in the background; without a call, _digest does it at once. */
void ap_source_digest_start(ap_source *source);
/* Waits for the digest; `hex` gets 64 digits and a NUL. AP_E_INPUT when the file changed while it was read. */
AP_MUST_USE ap_status ap_source_digest(char hex[AP_SHA256_HEX + 1], ap_source *source, ap_error *err);
/* The rows are read and the digest is made: lets go of the file, so that a folder of thousands does not use up descriptors. */
void ap_source_let_go(ap_source *source);
/* After the commit: the copy gets its name. A copy that is already there is left alone. */
AP_MUST_USE ap_status ap_source_keep_copy(ap_source *source, ap_error *err);

#endif

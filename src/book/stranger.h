/* A book that another crew made, or somebody who means harm: read, not trusted. */
#ifndef AP_BOOK_STRANGER_H
#define AP_BOOK_STRANGER_H

#include "book/book.h"

/* Opens it so that not a byte of it or beside it is written, and only when it is whole: its tables are those of this program, made with
 * the very words it makes them with (no name is a view, a virtual table, has generated columns or CHECKs of its own), and no other table or
 * index is there; then SQLite's check of the file and its references. Views, triggers and functions of its own are never run. What
 * stands in its cells is not judged: SQLite holds no CHECK of a file that is open for reading only. Let it go through the import.
 * Errors  AP_E_BOOK: another version, damaged, or with other tables; AP_E_BUSY: a change is under way; those of ap_book_open(). */
AP_MUST_USE ap_status ap_book_open_stranger(ap_book **out, const char *path, ap_error *err);

#endif

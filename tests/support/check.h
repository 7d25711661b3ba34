/* Checks that cmocka 1.1.5 lacks. Every close check carries the source of its expected value. */
#ifndef AP_TESTS_CHECK_H
#define AP_TESTS_CHECK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/str.h"

/* |got - want| <= tolerance, else fails with file, line, both values and the source. */
#define check_close(got, want, tolerance, source)                                                                      \
    check_close_at((got), (want), (tolerance), (source), __FILE__, __LINE__)
void check_close_at(double got, double want, double tolerance, const char *source, const char *file, int line);

/* The status is AP_OK, else fails with the error's text. */
#define check_ok(status, err) check_ok_at((status), (err), __FILE__, __LINE__)
void check_ok_at(ap_status status, const ap_error *err, const char *file, int line);

/* A refusal: the code, and a text that says `says`. */
#define check_refused(status, code, err, says) check_refused_at((status), (code), (err), (says), __FILE__, __LINE__)
void check_refused_at(ap_status status, ap_status code, const ap_error *err, const char *says, const char *file,
                      int line);

#define check_str(got, want) check_str_at((got), (want), __FILE__, __LINE__)
void check_str_at(ap_str got, const char *want, const char *file, int line);

/* A fresh empty folder for this test; removed by check_folder_remove(). */
void check_folder_make(char *path, size_t size);
void check_folder_remove(const char *path);

/* A small table of tests/: comma-separated, '#' comment lines skipped, first line the header. Cells are views. */
typedef struct check_table {
    ap_buf text;
    ap_str *cells;
    size_t rows; /* without the header */
    size_t columns;
} check_table;
void check_table_load(check_table *table, const char *path); /* fails the test when unreadable */
ap_str check_table_get(const check_table *table, size_t row, const char *column);
double check_table_number(const check_table *table, size_t row, const char *column);
void check_table_release(check_table *table);

#endif

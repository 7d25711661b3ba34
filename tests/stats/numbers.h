/* Readers for the tables of tests/stats/data that are not plain comma-separated tables. */
#ifndef AP_TESTS_STATS_NUMBERS_H
#define AP_TESTS_STATS_NUMBERS_H

#include "support/check.h"

#include "base/sink.h"

#define STATS_DATA "tests/stats/data/"

typedef struct numbers {
    ap_buf text;
    double *at;
    size_t n;
} numbers;

static inline void numbers_release(numbers *set) {
    ap_buf_release(&set->text);
    free(set->at);
    memset(set, 0, sizeof *set);
}

static inline void numbers_load(numbers *set, const char *path) {
    ap_error err;
    ap_error_clear(&err);
    memset(set, 0, sizeof *set);
    ap_buf_init(&set->text, 4u << 20);
    check_ok(ap_file_read(&set->text, path, 4u << 20, &err), &err);
    set->at = calloc(set->text.len + 1, sizeof *set->at);
    assert_non_null(set->at);
}

/* Every number from `from` up to `stop` (NULL: the end), into set->at; words between them are passed over. */
static inline void numbers_scan(numbers *set, const char *from, const char *stop) {
    set->n = 0;
    while (*from && (!stop || from < stop)) {
        char *end = NULL;
        double value = strtod(from, &end);
        if (end > from && isfinite(value)) {
            set->at[set->n++] = value;
            from = end;
        } else {
            from++;
        }
    }
}

/* The text behind `mark`; fails the test when it is not there. */
static inline const char *numbers_after(const numbers *set, const char *mark) {
    const char *found = strstr(set->text.ptr, mark);
    assert_non_null(found);
    return found + strlen(mark);
}

/* The number behind the first colon behind `mark`. */
static inline double numbers_value(const numbers *set, const char *mark) {
    const char *colon = strchr(numbers_after(set, mark), ':');
    assert_non_null(colon);
    return strtod(colon + 1, NULL);
}

/* The start of a line, counted from 1; fails the test when there are not so many. */
static inline const char *numbers_line(const numbers *set, size_t line) {
    const char *at = set->text.ptr;
    for (size_t i = 1; i < line; i++) {
        at = strchr(at, '\n');
        assert_non_null(at);
        at++;
    }
    return at;
}

/* "name,1,2,3" line whose first cell is `name`: its numbers into set->at. */
static inline void numbers_row(numbers *set, const char *name) {
    char mark[64];
    snprintf(mark, sizeof mark, "\n%s,", name);
    const char *from = numbers_after(set, mark);
    const char *stop = strchr(from, '\n');
    numbers_scan(set, from, stop);
}

/* A column of a plain table; free() it. */
static inline double *numbers_column(const check_table *table, const char *name) {
    double *column = calloc(table->rows + 1, sizeof *column);
    assert_non_null(column);
    for (size_t i = 0; i < table->rows; i++) {
        column[i] = check_table_number(table, i, name);
    }
    return column;
}

#endif

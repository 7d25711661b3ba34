/* Status codes and the one explicit error record.
 *
 * A function that can fail returns ap_status and fills a caller-owned ap_error with a sentence: what, where, and
 * what to do. Nothing below cli/ prints or exits. Every `err` may be NULL when the caller wants the code only. */
#ifndef AP_BASE_STATUS_H
#define AP_BASE_STATUS_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/forbid.h"

#if defined(__GNUC__)
#define AP_MUST_USE __attribute__((warn_unused_result))
#define AP_PRINTF(fmt_at, args_at) __attribute__((format(printf, fmt_at, args_at)))
#else
#define AP_MUST_USE
#define AP_PRINTF(fmt_at, args_at)
#endif

typedef enum ap_status {
    AP_OK = 0,
    AP_E_USAGE,     /* the command line is wrong */
    AP_E_INPUT,     /* a file or a value from outside cannot be read */
    AP_E_DOMAIN,    /* the numbers contradict each other or the method does not cover them */
    AP_E_NOT_FOUND, /* a named thing that must exist does not */
    AP_E_AMBIGUOUS, /* a name fits more than one thing; the message lists them */
    AP_E_BOOK,      /* not a book, a newer book, a damaged book */
    AP_E_BUSY,      /* another writer holds the book */
    AP_E_LIMIT,     /* a bound on size, time or matching effort was reached */
    AP_E_IO,        /* disk, pipe, permission */
    AP_E_MEMORY,    /* allocation failed */
    AP_E_CHILD,     /* a child process failed, hung or is missing */
    AP_E_INTERNAL   /* a promise of our own was broken */
} ap_status;

enum { AP_ERROR_TEXT_MAX = 1024 };

typedef struct ap_error {
    ap_status code;
    char text[AP_ERROR_TEXT_MAX];
} ap_error;

/* Exit codes of the program (docs: README, "Exit codes"). */
enum { AP_EXIT_DONE = 0, AP_EXIT_ATTENTION = 1, AP_EXIT_USAGE = 2, AP_EXIT_UNUSABLE = 3, AP_EXIT_MACHINE = 4 };

/* Sets the record and returns `code`, so that a failing function can end with `return ap_error_set(err, ...)`. */
ap_status ap_error_set(ap_error *err, ap_status code, const char *format, ...) AP_PRINTF(3, 4);
#ifdef __clang_analyzer__
/* The analyzer does not look into other files: this tells it that an error is never AP_OK. */
#define ap_error_set(err, code, ...) ((void)(ap_error_set)((err), (code), __VA_ARGS__), (code))
#endif
ap_status ap_error_setv(ap_error *err, ap_status code, const char *format, va_list args) AP_PRINTF(3, 0);

/* Puts context in front of the text already there ("unable to read 'june.csv': " ...); returns the record's code. */
ap_status ap_error_wrap(ap_error *err, ap_status code, const char *format, ...) AP_PRINTF(3, 4);

/* Sets the record from errno-style `saved_errno`: "unable to VERB 'SUBJECT': reason". ENOMEM becomes AP_E_MEMORY. */
ap_status ap_error_from_errno(ap_error *err, int saved_errno, const char *verb, const char *subject);

void ap_error_clear(ap_error *err);

/* The exit code a status ends the program with. */
int ap_status_exit_code(ap_status status);

#endif

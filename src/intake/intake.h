/* Log files -> checked picks -> book. The one entry of the room.
 *
 * A row is stored whole or set aside whole; blank means not recorded; the same file again adds nothing (unless not one row of
 * it went in, or its import was undone); the same pick with other values is a conflict for a person. One call is one transaction: it is all in the book, or nothing is. A file that
 * cannot be used at all (binary, empty, without a header) is reported and the others still go in. */
#ifndef AP_INTAKE_INTAKE_H
#define AP_INTAKE_INTAKE_H

#include "book/imports.h"
#include "intake/profile.h"
#include "text/when.h"

/* What a bare number means in a column without a unit. */
typedef enum ap_intake_units {
    AP_INTAKE_UNITS_NONE = 0, /* refused, row by row */
    AP_INTAKE_UNITS_US,       /* lb, ft, diameters in inches */
    AP_INTAKE_UNITS_METRIC    /* kg, m, diameters in centimetres */
} ap_intake_units;

struct ap_plan; /* intake/header.h */

/* Called now and then; never decides anything. */
typedef void (*ap_intake_progress_fn)(void *context, const char *path, int64_t rows, int64_t bytes);

typedef struct ap_intake_options {
    ap_book_author author; /* a date after author.today is in the future */
    ap_date_order dates;   /* AP_DATES_UNSETTLED: settled by the file as a whole */
    ap_intake_units units_of;
    char delimiter;      /* 0 = sniffed */
    bool no_copy;        /* no copy of the log beside the book */
    bool dry_run;        /* everything is read and judged, nothing is kept */
    bool again;          /* with dry_run: also a file the book has already */
    const char *rejects; /* rows set aside are written here, NULL = nowhere */
    const ap_profile
        *profile;      /* how the logs are read; NULL = canonical columns, or a kept profile that claims the header */
    bool own_columns;  /* canonical columns whatever a kept profile claims: a log this program wrote */
    const char *shown; /* what the log is called instead of its path; NULL = its path */
    ap_str sheet;      /* of a workbook; none = the first with a header */
    ap_intake_progress_fn progress;
    void *progress_context;
    /* Called for each file once its columns are known, before its first row. */
    void (*planned)(void *context, const char *path, const struct ap_plan *plan);
    void *planned_context;
    /* Called for each pick stored new, before the commit; its row number and name are set, job and tree are as the book writes them.
     * The pick lives until the call returns. */
    void (*stored)(void *context, const ap_pick *pick);
    /* Called behind the last one, in the transaction that stores them; an error takes all of them back. NULL = not at all. */
    ap_status (*stored_all)(void *context, ap_error *err);
    void *stored_context;
} ap_intake_options;

typedef enum ap_intake_outcome {
    AP_INTAKE_READ,    /* its rows were read */
    AP_INTAKE_KNOWN,   /* the book has this very file: nothing added */
    AP_INTAKE_UNUSABLE /* not a log that can be read: `says` has what it is and what to do */
} ap_intake_outcome;

/* rows = counts.stored + unchanged + set_aside + conflicts + blank + totals + headers + skipped. */
typedef struct ap_intake_file {
    ap_str path;
    ap_intake_outcome outcome;
    ap_str says;
    ap_str sha256;
    int64_t bytes;
    ap_str dialect;
    ap_str date_order;
    int64_t known_import; /* the import that holds it, when KNOWN */
    int64_t rows;         /* behind the header */
    ap_file_counts counts;
    int64_t blank;   /* rows without anything in them */
    int64_t totals;  /* total and average rows */
    int64_t headers; /* the header row once more, headings of a text log */
    int64_t skipped; /* rows the profile passes over */
    ap_str profile;  /* the name of the profile it was read with; none = canonical columns */
    int64_t warnings;
} ap_intake_file;

typedef enum ap_intake_problem_kind {
    AP_INTAKE_SET_ASIDE,
    AP_INTAKE_CONFLICT,
    AP_INTAKE_WARNING
} ap_intake_problem_kind;

typedef struct ap_intake_problem {
    ap_intake_problem_kind kind;
    size_t file;  /* index into files */
    int64_t line; /* 0 = the file as a whole */
    int column;   /* from 1; 0 = the row as a whole */
    ap_str field;
    ap_str text;
    ap_str reason;
    ap_str remedy;
} ap_intake_problem;

/* The first this many of each kind are kept here for printing; all of them are in the book. */
enum { AP_INTAKE_KEPT = 1000 };

typedef struct ap_intake_result {
    ap_arena arena;
    ap_intake_file *files;
    size_t file_count;
    size_t file_cap;
    ap_intake_problem *problems; /* in the order of files and lines */
    size_t problem_count;
    size_t problem_cap;
    size_t kept[3];        /* of each kind, by ap_intake_problem_kind */
    ap_file_counts totals; /* over all files */
    int64_t warnings;
    int64_t import_id;      /* 0 when nothing was stored or all was rolled back */
    ap_str rejects_written; /* the files of rejects, "; " between; none when no row went there */
} ap_intake_result;

void ap_intake_result_init(ap_intake_result *result);
void ap_intake_result_release(ap_intake_result *result);

/* Reads files, folders (each regular file inside, in order of name; names with a leading dot are passed over) and "-"
 * (standard input) into the book.
 *
 * Errors  AP_E_INPUT when not one file could be used (the text is the first file's); AP_E_NOT_FOUND, AP_E_IO for a path that
 *         cannot be opened when it is the only one; AP_E_BUSY, AP_E_BOOK, AP_E_IO, AP_E_MEMORY: the book is as it was. *out
 *         is filled as far as it got, in every case. A book already in a transaction is AP_E_INTERNAL. */
AP_MUST_USE ap_status ap_intake_files(ap_intake_result *out, ap_book *book, const char *const *paths, size_t count,
                                      const ap_intake_options *options, ap_error *err);

#endif

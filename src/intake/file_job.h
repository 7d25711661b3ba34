/* One file on its way through the pipeline: what its stages share. */
#ifndef AP_INTAKE_FILE_JOB_H
#define AP_INTAKE_FILE_JOB_H

#include "intake/batch.h"
#include "intake/carry.h"
#include "intake/dates.h"
#include "intake/session.h"
#include "intake/whole_file.h"

enum { AP_DOUBTS_MAX = 16 };

typedef struct ap_doubt {
    int column;
    ap_str field;
    char text[AP_FAULT_TEXT_MAX];
    size_t text_len;
    char says[AP_FAULT_REASON_MAX];
} ap_doubt;

typedef struct ap_file_job {
    ap_session *session;
    ap_intake_file *entry;
    const char *name; /* as given */
    const char *path; /* as a person reads it */
    ap_source *source;
    ap_arena arena;
    const ap_profile *profile; /* NULL = canonical columns */
    ap_str sheet;       /* of a workbook whose sheets are read one by one; none = the import's or the profile's */
    ap_buf *next_sheet; /* the name of the one that comes next is put here */
    ap_rows *rows;
    ap_plan plan;
    ap_dates dates;
    ap_error dates_error;
    bool dates_failed; /* late dates could not be settled: those rows are set aside */
    ap_row_reader *reader;
    ap_carry carry;
    ap_whole_file whole;
    int64_t file_id;
    bool digest_known;
    char sha256[AP_SHA256_HEX + 1];
    ap_buf name_text;
    ap_doubt doubts[AP_DOUBTS_MAX];
    size_t doubt_count;
} ap_file_job;

/* Reads rows into a batch: the log's side. Touches the source, the rows, the dates and the reader, never the book. */
void ap_file_fill(void *context, ap_batch *batch);
/* Judges and stores a batch and counts what became of its rows: the book's side. */
AP_MUST_USE ap_status ap_file_use(void *context, ap_batch *batch, ap_error *err);
/* A fresh stream over the file. */
AP_MUST_USE ap_status ap_file_rows(ap_rows **out, const ap_file_job *file, ap_error *err);
/* The profile of the import, else the one kept profile that claims the file's header ("use when").
 * Errors  AP_E_AMBIGUOUS: two kept profiles claim it. */
AP_MUST_USE ap_status ap_file_choose_profile(ap_file_job *file, ap_error *err);
/* Adds to a refusal the one kept profile that would read the file. */
void ap_file_name_profile(ap_file_job *file, ap_error *err);
/* A warning about a row, or about the file (line 0): into the book and the report. */
AP_MUST_USE ap_status ap_file_warn(ap_file_job *file, int64_t line, int column, ap_str field, ap_str text, ap_str says,
                                   ap_error *err);

#endif

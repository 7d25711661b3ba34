/* A pick that is in no log, from a few answers: lines "field: answer" with the names of a log's columns.
 *
 *   T1 "not known" (also "unknown", "?", nothing) is an answer: the field is blank.
 *   T2 A quantity may be a range: "between 10 and 14 ft", "10 to 14 ft"; a unit behind the second figure holds for both.
 *   T3 Lines that are blank or begin with # are skipped. What a log would set aside is refused in the same words.
 *   T4 Neither weight need be known. job and pick may be left out: the pick is then called by the write-up alone.
 *
 * Everything lives in the arena or in the text. */
#ifndef AP_INTAKE_TOLD_PICK_H
#define AP_INTAKE_TOLD_PICK_H

#include "base/settings.h"
#include "intake/judge.h"

enum { AP_TOLD_RANGES = 24, AP_TOLD_TEXT_MAX = 1 << 16 };

typedef struct ap_told_range {
    int column;
    double low, high; /* SI */
} ap_told_range;

typedef struct ap_told_pick {
    ap_pick pick; /* every range at its middle */
    ap_told_range ranges[AP_TOLD_RANGES];
    size_t range_count;
} ap_told_pick;

/* Errors: AP_E_INPUT with the line. */
AP_MUST_USE ap_status ap_told_pick_read(ap_told_pick *out, ap_arena *arena, ap_book *book, const ap_settings *settings,
                                        ap_str text, ap_date today, ap_doubt_fn doubt, void *context, ap_error *err);

/* For readings whose doubts nobody waits for. */
void ap_told_no_doubt(void *context, int column, ap_str field, ap_str text, const char *says);

/* The questions of `--ask`, in order: a field and what is asked; NULL behind the last. */
typedef struct ap_told_question {
    const char *field;
    const char *asks;
} ap_told_question;
extern const ap_told_question ap_told_questions[];

#endif

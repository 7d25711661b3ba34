/* What a profile makes of a log, and the profiles a book keeps: as pages and as JSON. */
#ifndef AP_REPORT_PROFILE_PAGE_H
#define AP_REPORT_PROFILE_PAGE_H

#include "book/profiles.h"
#include "intake/header.h"
#include "intake/intake.h"
#include "intake/profile_plan.h"
#include "page/doc.h"
#include "page/json.h"

enum { AP_CHECK_PICKS = 5, AP_CHECK_COLUMNS = 256 };

/* One column of the log and what it feeds. */
typedef struct ap_check_column {
    int number; /* from 1; 0 = a constant */
    ap_str header;
    ap_str field;  /* none = nothing reads it */
    ap_str unit;   /* of bare numbers; none = they need one of their own */
    ap_str remark; /* what becomes of its cells */
} ap_check_column;

/* Gathered while a dry import runs; texts live in the arena. */
typedef struct ap_profile_check {
    ap_arena *arena;
    const ap_profile *profile;
    ap_check_column columns[AP_CHECK_COLUMNS];
    size_t column_count;
    ap_pick picks[AP_CHECK_PICKS];
    size_t pick_count;
    ap_sample_result samples[AP_PROFILE_SAMPLES_MAX];
    size_t sample_count;
    size_t samples_failed;
} ap_profile_check;

void ap_check_columns(ap_profile_check *check, const ap_plan *plan);
/* Keeps the first AP_CHECK_PICKS picks. */
void ap_check_pick(ap_profile_check *check, const ap_pick *pick);

void ap_profile_check_page(ap_doc *doc, const ap_profile_check *check, const ap_intake_result *result);
void ap_profile_check_json(ap_json *json, const ap_profile_check *check, const ap_intake_result *result);
void ap_profile_list_page(ap_doc *doc, const ap_kept_profile *kept, size_t count);
void ap_profile_list_json(ap_json *json, const ap_kept_profile *kept, size_t count);

#endif

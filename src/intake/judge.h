/* Is a row plausible? Bounds and relations come from the book's tables; outside 'refuse' the row is set aside, outside 'warn'
 * it is stored and the warning with it. */
#ifndef AP_INTAKE_JUDGE_H
#define AP_INTAKE_JUDGE_H

#include "base/settings.h"
#include "book/book.h"
#include "intake/fault.h"
#include "intake/header.h"

typedef struct ap_judge ap_judge;

/* What a blank planned_as or measured_as means comes from the settings. */
AP_MUST_USE ap_status ap_judge_new(ap_judge **out, ap_book *book, const ap_settings *settings, ap_date today,
                                   ap_error *err);
void ap_judge_free(ap_judge *judge);

/* Called for every doubt about a row that is stored all the same. */
typedef void (*ap_doubt_fn)(void *context, int column, ap_str field, ap_str text, const char *says);
/* Adds to the fault; doubts are told only while the fault is empty. */
void ap_judge_pick(ap_judge *judge, const ap_pick *pick, const ap_plan *plan, const ap_row *row, ap_fault *fault,
                   ap_doubt_fn doubt, void *context);

#endif

/* The file of rows set aside: the reason in front, then every cell as it stood, under the header as it stood. Mended in a
 * spreadsheet it can be imported as it is: a column 'reason' is passed over.
 *
 * Files with different headers go to different files: rejects.csv, rejects-2.csv ... Each is written beside its name and
 * renamed at the end, so that a failed import leaves none. */
#ifndef AP_INTAKE_REJECTS_H
#define AP_INTAKE_REJECTS_H

#include "intake/header.h"

typedef struct ap_rejects ap_rejects;

AP_MUST_USE ap_status ap_rejects_new(ap_rejects **out, const char *path, ap_error *err);
/* Removes what was not finished. */
void ap_rejects_free(ap_rejects *rejects);
/* Rows that follow belong under this header, written with this delimiter. */
void ap_rejects_file(ap_rejects *rejects, const ap_plan *plan, char delimiter);
AP_MUST_USE ap_status ap_rejects_row(ap_rejects *rejects, const ap_row *row, ap_str reason, ap_str remedy,
                                     ap_error *err);
/* Gives the files their names; *names gets them, "; " between. */
AP_MUST_USE ap_status ap_rejects_finish(ap_str *names, ap_arena *arena, ap_rejects *rejects, ap_error *err);

#endif

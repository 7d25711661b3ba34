/* Fills the result: what became of each file, and the problems a person is shown. */
#ifndef AP_INTAKE_REPORT_H
#define AP_INTAKE_REPORT_H

#include "intake/intake.h"

/* A new file's entry; NULL when memory is out (the arena then says so). Pointers live until the next call. */
ap_intake_file *ap_report_file(ap_intake_result *result, ap_str path);
/* Keeps a problem of the newest file while there is room; texts are copied and cut to a line. */
void ap_report_problem(ap_intake_result *result, const ap_intake_problem *problem);
/* Is there still room for one of this kind? Spares the work of wording it. */
bool ap_report_wants(const ap_intake_result *result, ap_intake_problem_kind kind);
/* After a rollback: nothing of it is in the book. */
void ap_report_nothing_kept(ap_intake_result *result);

#endif

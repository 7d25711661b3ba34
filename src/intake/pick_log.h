/* Picks as rows of a log in the program's own columns: what the import reads, written.
 *
 *   P1 Every column of fields.def, in its order. A quantity's header names a unit; a cell that was logged in another one carries its own.
 *   P2 Importing the log gives every value back bit by bit, and the unit and last digit it was logged with.
 *   P3 A cell that a spreadsheet would run is guarded by an apostrophe, which the import takes off again.
 *   P4 A species is written as logged where a new book reads that as the same species, else by its common name.
 *   P5 A pick whose number starts anew each day keeps the whole of its name behind the job ("2026-10-05/17").
 */
#ifndef AP_INTAKE_PICK_LOG_H
#define AP_INTAKE_PICK_LOG_H

#include "base/pick.h"
#include "base/sink.h"
#include "book/book.h"

typedef struct ap_pick_log ap_pick_log;

/* `units` are those of the headers. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_pick_log_new(ap_pick_log **out, ap_unit_system units, ap_error *err);
void ap_pick_log_free(ap_pick_log *log);
void ap_pick_log_header(ap_sink *sink, const ap_pick_log *log);
/* One row. Errors  AP_E_MEMORY; AP_E_LIMIT for a row longer than the import takes. That the sink fails is the sink's to tell. */
AP_MUST_USE ap_status ap_pick_log_row(ap_sink *sink, ap_pick_log *log, const ap_pick *pick, ap_error *err);
/* Numbers so far that no text gives back: the nearest was written. */
int64_t ap_pick_log_rounded(const ap_pick_log *log);

#endif

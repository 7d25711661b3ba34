/* An empty log: a CSV that import takes as it is, and a sheet to print and fill by hand. */
#ifndef AP_REPORT_BLANK_LOG_H
#define AP_REPORT_BLANK_LOG_H

#include "base/pick.h"
#include "base/sink.h"

/* The header row, all fields in the order of the field table, the unit in the name; `legs` 1..AP_LEG_MAX. */
void ap_blank_log_csv(ap_sink *sink, ap_unit_system units, int legs);
/* One landscape sheet, A4 or Letter, a row a pick; self-contained, no script. `company` may be none. */
void ap_blank_log_html(ap_sink *sink, ap_str company, ap_unit_system units, int legs);

#endif

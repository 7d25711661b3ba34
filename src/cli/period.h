/* --month, --since, --until: the period of a report. */
#ifndef AP_CLI_PERIOD_H
#define AP_CLI_PERIOD_H

#include "cli/cli.h"
#include "report/sentences.h"

#define AP_CLI_PERIOD_OPTIONS                                                                                          \
    {"month", "YYYY-MM", "one calendar month"}, {"since", "DATE", "picks of this day and later"}, {                    \
        "until", "DATE", "picks of this day and earlier"                                                               \
    }

/* Opens the book for reading and reads its picks up to `until`. Release the roster also after an error. */
AP_MUST_USE ap_status ap_cli_open_roster(ap_roster *out, ap_cli *cli, ap_date until, ap_error *err);
/* The same with what the statistics of the error read, which is sooner done; all of it where `by` asks for more. */
AP_MUST_USE ap_status ap_cli_open_errors(ap_roster *out, ap_cli *cli, ap_date until, const ap_by *by, size_t by_count,
                                         ap_error *err);
AP_MUST_USE ap_status ap_cli_get_period(ap_period *out, const ap_cli *cli, ap_error *err);

#endif

/* --month, --since, --until: the period of a report. */
#ifndef AP_CLI_PERIOD_H
#define AP_CLI_PERIOD_H

#include "cli/cli.h"
#include "report/sentences.h"

#define AP_CLI_PERIOD_OPTIONS                                                                                          \
    {"month", "YYYY-MM", "one calendar month"}, {"since", "DATE", "picks of this day and later"}, {                    \
        "until", "DATE", "picks of this day and earlier"                                                               \
    }

AP_MUST_USE ap_status ap_cli_get_period(ap_period *out, const ap_cli *cli, ap_error *err);

#endif

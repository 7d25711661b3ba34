#include "cli/period.h"

ap_status ap_cli_get_period(ap_period *out, const ap_cli *cli, ap_error *err) {
    *out = (ap_period){AP_DATE_NONE, AP_DATE_NONE};
    ap_status status = ap_cli_get_date(&out->since, cli, "since", err);
    if (status == AP_OK) {
        status = ap_cli_get_date(&out->until, cli, "until", err);
    }
    ap_str month = ap_cli_get(cli, "month");
    if (status == AP_OK && month.ptr) {
        if (out->since != AP_DATE_NONE || out->until != AP_DATE_NONE) {
            return ap_error_set(err, AP_E_USAGE, "say either --month or --since and --until");
        }
        if (!ap_month_from_iso(&out->since, &out->until, month)) {
            return ap_error_set(err, AP_E_USAGE, "--month '%.*s' is not a month; write it as 2026-10",
                                AP_STR_ARG(month));
        }
    }
    if (status == AP_OK && out->since != AP_DATE_NONE && out->until != AP_DATE_NONE && out->until < out->since) {
        return ap_error_set(err, AP_E_USAGE, "--until lies before --since");
    }
    return status;
}

ap_status ap_cli_open_roster(ap_roster *out, ap_cli *cli, ap_date until, ap_error *err) {
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    return status == AP_OK ? ap_roster_load(out, cli->book, until, cli->names, err) : status;
}

ap_status ap_cli_open_errors(ap_roster *out, ap_cli *cli, ap_date until, const ap_by *by, size_t by_count,
                             ap_error *err) {
    bool setup = false;
    for (size_t k = 0; k < by_count; k++) {
        setup = setup || by[k] == AP_BY_SETUP;
    }
    if (setup) {
        return ap_cli_open_roster(out, cli, until, err);
    }
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    return status == AP_OK ? ap_roster_load_errors(out, cli->book, until, cli->names, err) : status;
}

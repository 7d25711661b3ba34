#include "cli/out_file.h"

#include <unistd.h>

ap_status ap_cli_draft_open(ap_draft *out, const ap_cli *cli, const char *path, ap_error *err) {
    const ap_status status = ap_draft_open(out, path, err);
    if (status != AP_OK || ap_cli_has(cli, "replace") || access(path, F_OK) != 0) {
        return status;
    }
    ap_draft_drop(out);
    return ap_error_set(err, AP_E_USAGE, "'%s' exists already: choose another name, or write over it with --replace",
                        path);
}

ap_status ap_cli_draft_end(ap_draft *draft, const ap_cli *cli, ap_status status, ap_error *err) {
    if (status == AP_OK) {
        status = ap_draft_finish(draft, ap_cli_has(cli, "replace"), err);
    }
    ap_draft_drop(draft);
    return status;
}

#include "cli/find_associations.h"

#include "cli/period.h"
#include "report/associations_page.h"
#include "report/weights_page.h"

static ap_status write_associations(ap_cli *cli, const ap_associations *found, ap_period period, ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        ap_json_put_period(&json, period);
        ap_json_key(&json, "associations");
        ap_associations_json(&json, found);
        ap_json_put_int(&json, "groups_left_out", (int64_t)found->left_out);
        ap_json_object_end(&json);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "What goes with what", ap_say_period(&cli->arena, period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_doc_answer(doc, ap_associations_answer(doc, found));
    ap_associations_put(doc, "associations", found, AP_ASSOCIATION_MAX);
    return ap_cli_write(cli, doc, err);
}

ap_status ap_cli_associations(ap_cli *cli, ap_error *err) {
    ap_roster roster = {0};
    ap_period period;
    ap_associations found;
    ap_status status = ap_cli_get_period(&period, cli, err);
    if (status == AP_OK) {
        status = ap_cli_open_roster(&roster, cli, period.until, err);
    }
    if (status == AP_OK) {
        size_t first;
        size_t end;
        ap_roster_slice(&roster, period.since, period.until, &first, &end);
        status = ap_associations_find(&found, &cli->arena, &roster, first, end, err);
    }
    if (status == AP_OK) {
        status = write_associations(cli, &found, period, err);
    }
    ap_roster_release(&roster);
    return status;
}

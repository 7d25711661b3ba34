/* An import from its options to its page: of logs, and of another book's picks. */
#ifndef AP_CLI_IMPORT_WORK_H
#define AP_CLI_IMPORT_WORK_H

#include "cli/cli.h"
#include "intake/intake.h"
#include "report/merged_page.h"

typedef struct ap_import_work {
    const char *const *paths;
    size_t count;
    ap_intake_options options; /* what is told of its picks is filled in */
    const char *title;         /* of the page */
    /* Called behind the last pick, in the transaction that stores them; an error takes all of them back. NULL = not at all. */
    ap_status (*also)(void *context, ap_error *err);
    void *also_context;
    const ap_merged *merged; /* of a merge, told behind the import; NULL else */
} ap_import_work;

/* Imports, writes page, JSON or CSV with the certain findings of the picks just stored, and sets cli->attention. *result is initialised;
 * release it also after an error. Statuses as ap_intake_files(). */
AP_MUST_USE ap_status ap_cli_import(ap_intake_result *result, ap_cli *cli, ap_import_work *work, ap_error *err);

#endif

/* One pick with everything that is known and worked out of it: for `pick` and for write-ups. */
#ifndef AP_CLI_WHOLE_PICK_H
#define AP_CLI_WHOLE_PICK_H

#include "cli/cli.h"
#include "report/pick_page.h"

/* Start from {.settings = &cli->settings, .names = cli->names}; the book is open. AP_E_NOT_FOUND, AP_E_AMBIGUOUS as
 * ap_book_get_pick(). */
AP_MUST_USE ap_status ap_cli_read_whole(ap_whole_pick *whole, ap_cli *cli, ap_str name, ap_error *err);

#endif

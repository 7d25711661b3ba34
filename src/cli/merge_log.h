/* The picks of another book as a log that this book's import reads, and what the two books understand otherwise. */
#ifndef AP_CLI_MERGE_LOG_H
#define AP_CLI_MERGE_LOG_H

#include "cli/cli.h"
#include "report/merged_page.h"

/* Writes `other`'s picks to `stream`, people as logged. A blank that says net or gross by that book's settings and cranes, and something
 * else by this one's, is filled; what else is understood otherwise is counted in *merged. Names live in cli->arena.
 * Errors: AP_E_IO, AP_E_MEMORY, those of reading picks. */
AP_MUST_USE ap_status ap_merge_log_write(FILE *stream, ap_merged *merged, ap_cli *cli, ap_book *other, ap_error *err);

#endif

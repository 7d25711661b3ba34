/* --out FILE with --replace: a file that a command writes as a draft. */
#ifndef AP_CLI_OUT_FILE_H
#define AP_CLI_OUT_FILE_H

#include "base/draft.h"
#include "cli/cli.h"

#define AP_CLI_REPLACE_OPTION                                                                                          \
    { "replace", NULL, "write over FILE" }

/* A draft of `path`. Errors: AP_E_USAGE when such a file is there and --replace is not given; those of ap_draft_open(). */
AP_MUST_USE ap_status ap_cli_draft_open(ap_draft *out, const ap_cli *cli, const char *path, ap_error *err);
/* Gives it its name when `status` is AP_OK, else removes it; returns what it came to. */
AP_MUST_USE ap_status ap_cli_draft_end(ap_draft *draft, const ap_cli *cli, ap_status status, ap_error *err);

#endif

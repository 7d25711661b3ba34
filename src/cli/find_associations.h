/* findings --associations: what goes with what. */
#ifndef AP_CLI_FIND_ASSOCIATIONS_H
#define AP_CLI_FIND_ASSOCIATIONS_H

#include "cli/cli.h"

AP_MUST_USE ap_status ap_cli_associations(ap_cli *cli, ap_error *err);

#endif

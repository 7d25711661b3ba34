/* rule phrases | rule phrase:NAME | rule try TEXT | rule set phrase:NAME KEY=VALUE ...: the phrase rules. */
#ifndef AP_CLI_RULE_PHRASES_H
#define AP_CLI_RULE_PHRASES_H

#include "cli/cli.h"

/* Whether the words after `rule` are about phrases. */
bool ap_cli_about_phrases(const ap_cli *cli);
AP_MUST_USE ap_status ap_cli_phrases(ap_cli *cli, ap_error *err);

#endif

/* Every command, each in the file of its name (cmd_NAME.c). */
#ifndef AP_CLI_COMMANDS_H
#define AP_CLI_COMMANDS_H

#include "cli/cli.h"

extern const ap_command ap_command_action;
extern const ap_command ap_command_amend;
extern const ap_command ap_command_backup;
extern const ap_command ap_command_blank_log;
extern const ap_command ap_command_calc;
extern const ap_command ap_command_check;
extern const ap_command ap_command_crane;
extern const ap_command ap_command_evidence;
extern const ap_command ap_command_export;
extern const ap_command ap_command_factors;
extern const ap_command ap_command_density;
extern const ap_command ap_command_findings;
extern const ap_command ap_command_import;
extern const ap_command ap_command_init;
extern const ap_command ap_command_merge;
extern const ap_command ap_command_pick;
extern const ap_command ap_command_problems;
extern const ap_command ap_command_profile;
extern const ap_command ap_command_review;
extern const ap_command ap_command_rule;
extern const ap_command ap_command_set;
extern const ap_command ap_command_sling;
extern const ap_command ap_command_species;
extern const ap_command ap_command_trend;
extern const ap_command ap_command_undo;
extern const ap_command ap_command_weight_sheet;
extern const ap_command ap_command_weights;
extern const ap_command ap_command_writeup;

#endif

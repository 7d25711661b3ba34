/* The one table of commands. */
#include "cli/commands.h"

/* One a line, in the order of the help's groups. */
/* clang-format off */
const ap_command *const ap_commands[] = {
    &ap_command_import,
    &ap_command_undo,
    &ap_command_review,
    &ap_command_findings,
    &ap_command_writeup,
    &ap_command_action,
    &ap_command_pick,
    &ap_command_weights,
    &ap_command_factors,
    &ap_command_trend,
    &ap_command_density,
    &ap_command_weight_sheet,
    &ap_command_problems,
    &ap_command_amend,
    &ap_command_init,
    &ap_command_set,
    &ap_command_crane,
    &ap_command_sling,
    &ap_command_species,
    &ap_command_profile,
    &ap_command_rule,
    &ap_command_blank_log,
    &ap_command_check,
    &ap_command_backup,
    &ap_command_merge,
    &ap_command_export,
    &ap_command_evidence,
    &ap_command_calc,
    NULL,
};
/* clang-format on */

const ap_command *ap_command_find(ap_str name) {
    for (size_t i = 0; ap_commands[i]; i++) {
        if (ap_str_equal_word(name, ap_commands[i]->name)) {
            return ap_commands[i];
        }
    }
    return NULL;
}

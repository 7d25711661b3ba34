/* "key=value" words of a change. */
#ifndef AP_CLI_PAIRS_H
#define AP_CLI_PAIRS_H

#include "base/units.h"
#include "cli/cli.h"

/* Reads the words from `first` on: values[i] of keys[i], trimmed; none = not given, empty = to be taken away. At least one
 * must be given. AP_E_USAGE for a word without '=', a key that is not there (the keys are listed), one given twice. */
AP_MUST_USE ap_status ap_cli_get_pairs(ap_str *values, const char *const *keys, size_t count, const ap_cli *cli,
                                       size_t first, ap_error *err);
/* One value as a quantity of `dim`, in SI; NaN for none or empty. A number without its unit is refused. */
AP_MUST_USE ap_status ap_cli_pair_quantity(double *out, ap_str value, const char *key, ap_dim dim, ap_error *err);

#endif

/* Numbers and shares on the command line. */
#ifndef AP_CLI_AMOUNT_H
#define AP_CLI_AMOUNT_H

#include "cli/cli.h"

/* A number >= 0 with a decimal point and nothing else; ".15" is what people type for 0.15. */
bool ap_cli_read_amount(double *out, ap_str text);
/* --option as a number >= 0 with a decimal point ("0.15", ".15", "410"); `fallback` when it was not given (NAN: it must
 * be). A sign, a unit or anything behind the digits is refused. */
AP_MUST_USE ap_status ap_cli_get_amount(double *out, const ap_cli *cli, const char *option, double fallback,
                                        ap_error *err);
/* The same, a whole number of at most `most`. */
AP_MUST_USE ap_status ap_cli_get_whole(uint64_t *out, const ap_cli *cli, const char *option, double fallback,
                                       double most, ap_error *err);
/* "0.15", "15%", "-5 %": of whatever size and sign; `fallback` as above. */
AP_MUST_USE ap_status ap_cli_get_part(double *out, const ap_cli *cli, const char *option, double fallback,
                                      ap_error *err);
/* "85%", "85 %" or "0.85". NaN when the option was not given. */
AP_MUST_USE ap_status ap_cli_get_share(double *out, const ap_cli *cli, const char *option, ap_error *err);

/* --option as a quantity with its unit ("12in", "16 ft 3 in", "0.6 m", "63 lb/ft3"); SI of `dim`. NaN when it was not given
 * and is not `needed`. *unit, which may be NULL, is the unit as written. A bare number is refused: no unit is guessed. */
AP_MUST_USE ap_status ap_cli_get_quantity(double *out, ap_unit *unit, const ap_cli *cli, const char *option, ap_dim dim,
                                          bool needed, ap_error *err);
/* A length with the size of its last written digit, in metres. */
AP_MUST_USE ap_status ap_cli_get_length(double *out_m, double *step_m, const ap_cli *cli, const char *option,
                                        bool needed, ap_error *err);

#endif

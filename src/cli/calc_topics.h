/* The topics of `calc`, each in the file of its name (calc_NAME.c) and in the table of cmd_calc.c. */
#ifndef AP_CLI_CALC_TOPICS_H
#define AP_CLI_CALC_TOPICS_H

#include "cli/cli.h"
#include "report/calc_page.h"

extern const ap_command ap_calc_topic_density;
extern const ap_command ap_calc_topic_capacity;
extern const ap_command ap_calc_topic_drop;
extern const ap_command ap_calc_topic_hang;
extern const ap_command ap_calc_topic_rate;
extern const ap_command ap_calc_topic_runs;
extern const ap_command ap_calc_topic_sling;
extern const ap_command ap_calc_topic_tolerance;
extern const ap_command ap_calc_topic_volume;
extern const ap_command ap_calc_topic_weight;

/* Without --units and without a book a page is written in the system of the unit that was typed first. */
void ap_calc_units_as_written(ap_cli *cli, ap_unit written);

/* An error of the mechanics, its SI quantities as the page would show them; *err may be NULL. */
ap_status ap_calc_refuse(ap_cli *cli, ap_status status, ap_error *err);

/* Writes what was worked out as a page, JSON or CSV. */
AP_MUST_USE ap_status ap_calc_write(ap_cli *cli, const ap_calc *calc, ap_error *err);

/* A topic of plain numbers: no further word, then work out, then write. */
AP_MUST_USE ap_status ap_calc_run(ap_cli *cli, ap_status (*work_out)(ap_calc *out, ap_cli *cli, ap_error *err),
                                  ap_error *err);

#endif

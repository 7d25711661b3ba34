/* Private to the `pick` command. */
#ifndef AP_CLI_PICK_PARTS_H
#define AP_CLI_PICK_PARTS_H

#include "cli/cli.h"
#include "derive/record.h"
#include "figure/figure.h"
#include "report/pick_page.h"

/* Wood and reconstruction of the pick read. */
AP_MUST_USE ap_status ap_pick_reconstruct(ap_whole_pick *whole, ap_cli *cli, ap_error *err);
/* The pick with the values of --suppose, read and judged as `amend` would; nothing is written. */
AP_MUST_USE ap_status ap_pick_suppose(ap_supposed *out, const ap_whole_pick *whole, ap_cli *cli, ap_error *err);
/* Every derived figure as a record, and in which cell of the log each field stood. */
AP_MUST_USE ap_status ap_pick_work_out(ap_record_list *records, int cells[AP_COLUMN_COUNT], const ap_whole_pick *whole,
                                       ap_cli *cli, ap_error *err);

/* What --figure names: "text", or a file by its ending; false when it is neither. */
bool ap_pick_figure_format(ap_figure_format *format, ap_str where);
/* The figure that --figure asks for, with what is supposed when something is. Does nothing without the option. */
AP_MUST_USE ap_status ap_pick_draw(const ap_whole_pick *whole, ap_cli *cli, ap_error *err);

#endif

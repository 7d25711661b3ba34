#include "base/sink.h"
#include "cli/amount.h"
#include "cli/calc_topics.h"
#include "intake/load_chart.h"
#include "report/calc_lift.h"
#include "text/quantity_list.h"

static ap_status get_chart(ap_calc_capacity *ask, ap_cli *cli, ap_error *err) {
    const char *path = ap_cli_get(cli, "chart").ptr;
    const ap_load_chart_options as_written = {.ton = AP_UNIT_NONE};
    ap_load_chart chart;
    ap_buf text;
    ap_buf_init(&text, AP_LOAD_CHART_BYTES_MAX);
    ap_status status = ap_cli_get_length(&ask->at.radius_m, &ask->at.radius_step_m, cli, "radius", true, err);
    if (status == AP_OK) {
        status = ap_cli_get_length(&ask->at.boom_m, &ask->at.boom_step_m, cli, "boom", false, err);
    }
    if (status == AP_OK) {
        status = ap_file_read(&text, path, AP_LOAD_CHART_BYTES_MAX, err);
    }
    if (status == AP_OK) {
        status = ap_load_chart_read(&chart, &cli->arena, ap_buf_str(&text), path, &as_written, err);
    }
    if (status == AP_OK) {
        ask->rows = chart.rows;
        ask->row_count = chart.count;
    }
    ap_buf_release(&text);
    return status;
}

static ap_status get_deductions(ap_calc_capacity *ask, const ap_cli *cli, ap_error *err) {
    static const ap_quantity_rules rules = {.dim = AP_DIM_LOAD, .decimal = '.'};
    ap_str text = ap_cli_get(cli, "deduct");
    ap_refusal why;
    size_t at = 0;
    if (!text.ptr) {
        return ap_error_set(err, AP_E_USAGE,
                            "--deduct is missing: block, slings and stowed gear are part of what the chart counts; "
                            "--deduct 0lb says there is none");
    }
    if (!ap_quantity_list_read(ask->deductions_kg, &ask->deduction_count, AP_CALC_DEDUCTIONS_MAX, NULL, text, &rules,
                               &why, &at)) {
        ap_str part = ap_quantity_list_part(text, at);
        return ap_error_set(err, AP_E_USAGE, "--deduct '%.*s': %s%s%s", AP_STR_ARG(part.ptr ? part : text), why.reason,
                            why.remedy[0] ? "; " : "", why.remedy);
    }
    return AP_OK;
}

static ap_status get_ask(ap_calc_capacity *ask, ap_unit *unit, ap_cli *cli, ap_error *err) {
    bool chart = ap_cli_has(cli, "chart");
    ask->capacity_kg = ask->at.radius_m = ask->at.boom_m = NAN;
    if (chart == ap_cli_has(cli, "capacity")) {
        return ap_error_set(err, AP_E_USAGE,
                            "give --capacity, or --chart and --radius; see 'afterpick calc capacity --help'");
    }
    ap_status status = chart ? get_chart(ask, cli, err)
                             : ap_cli_get_quantity(&ask->capacity_kg, unit, cli, "capacity", AP_DIM_LOAD, true, err);
    if (status == AP_OK) {
        ap_unit of_piece = AP_UNIT_NONE;
        status = ap_cli_get_quantity(&ask->piece_kg, &of_piece, cli, "piece", AP_DIM_LOAD, false, err);
        *unit = *unit ? *unit : of_piece;
    }
    return status == AP_OK ? get_deductions(ask, cli, err) : status;
}

static ap_status work_out(ap_calc *out, ap_cli *cli, ap_error *err) {
    ap_calc_capacity ask = {0};
    ap_unit unit = AP_UNIT_NONE;
    ap_status status = get_ask(&ask, &unit, cli, err);
    ap_calc_units_as_written(cli, unit);
    return status == AP_OK ? ap_calc_capacity_use(out, &cli->arena, ap_cli_units(cli), &ask, err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    return ap_calc_run(cli, work_out, err);
}

static const ap_cli_option options[] = {
    {"capacity", "W", "rated capacity from the load chart, gross"},
    {"chart", "FILE", "in its place: a load chart as a CSV table"},
    {"radius", "R", "with --chart"},
    {"boom", "L", "with --chart that has boom lengths"},
    {"deduct", "W,W", "block, slings, stowed gear: 380lb,40lb"},
    {"piece", "W", "what is to hang, without block and slings"},
    {0},
};

const ap_command ap_calc_topic_capacity = {
    .name = "calc capacity",
    .group = "A SINGLE FIGURE",
    .summary = "what is left of a rated capacity, and the share a piece takes",
    .usage = "(--capacity W | --chart FILE --radius R [--boom L]) --deduct W,W [--piece W]",
    .about = NULL,
    .example = "afterpick calc capacity --capacity 6000lb --deduct 380lb,40lb --piece 3420lb",
    .options = options,
    .run = run,
};

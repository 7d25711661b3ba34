#include "cli/calc_wood.h"
#include "report/calc_wood.h"

static ap_status get_rule(ap_volume_rule *out, const ap_cli *cli, ap_error *err) {
    ap_str method = ap_str_trim(ap_cli_get(cli, "method"));
    *out = method.ptr ? ap_volume_rule_find(method) : AP_VOLUME_NONE;
    return !method.ptr || *out != AP_VOLUME_NONE
               ? AP_OK
               : ap_error_set(err, AP_E_USAGE, "--method '%.*s' is none of conic, smalian, neiloid, huber, newton",
                              AP_STR_ARG(method));
}

static ap_status work_out(ap_calc *out, ap_cli *cli, ap_error *err) {
    ap_stem stem;
    ap_volume_rule rule = AP_VOLUME_NONE;
    ap_status status = get_rule(&rule, cli, err);
    if (status == AP_OK) {
        status = ap_calc_get_stem(&stem, cli, rule, err);
    }
    if (status == AP_OK) {
        status = ap_calc_volume(out, &cli->arena, ap_cli_units(cli), &stem, rule, ap_cli_has(cli, "butt-piece"), err);
    }
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    return ap_calc_run(cli, work_out, err);
}

static const ap_cli_option options[] = {
    AP_CALC_STEM_OPTIONS,
    {"method", "NAME", "conic, smalian, neiloid (two ends), huber (mid), newton (all)"},
    {0},
};

const ap_command ap_calc_topic_volume = {
    .name = "calc volume",
    .group = "A SINGLE FIGURE",
    .summary = "volume and balance point of a stem piece from its diameters and length",
    .usage = "--butt 12in --tip 10in [--mid 11in] --length 16ft [--method smalian] [--butt-piece]",
    .about = "Without --method: Newton when a mid diameter is given, else the frustum of a cone. The others stand "
             "beside it.",
    .example = "afterpick calc volume --butt 12in --tip 10in --length 16ft",
    .options = options,
    .run = run,
};

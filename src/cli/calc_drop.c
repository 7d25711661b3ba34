#include "cli/amount.h"
#include "cli/calc_topics.h"
#include "mech/stiffness.h"
#include "report/calc_lift.h"
#include "text/quantity_list.h"

/* Given as such, or from the kind of sling, its limit and its length: then the stiffest of its kind. */
static ap_status get_stiffness(double *out, const char **from, const ap_cli *cli, ap_error *err) {
    ap_str text = ap_cli_get(cli, "stiffness");
    ap_refusal why;
    if (text.ptr) {
        *from = "";
        return ap_stiffness_read(out, text, &why)
                   ? AP_OK
                   : ap_error_set(err, AP_E_USAGE, "--stiffness '%.*s': %s%s%s", AP_STR_ARG(text), why.reason,
                                  why.remedy[0] ? "; " : "", why.remedy);
    }
    if (!ap_cli_has(cli, "kind")) {
        return ap_error_set(err, AP_E_USAGE,
                            "give --stiffness, or --kind, --wll and --length; see 'afterpick calc drop --help'");
    }
    int kind = ap_word_find(AP_VOC_LEG_KIND, ap_cli_get(cli, "kind"));
    if (!kind) {
        return ap_error_set(err, AP_E_USAGE, "--kind '%.*s' is none of eye, adjustable, chain, wire, round, balancer",
                            AP_STR_ARG(ap_cli_get(cli, "kind")));
    }
    double wll = NAN;
    double length = NAN;
    ap_stiffness stiffness;
    ap_status status = ap_cli_get_quantity(&wll, NULL, cli, "wll", AP_DIM_LOAD, true, err);
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&length, NULL, cli, "length", AP_DIM_LENGTH, true, err);
    }
    if (status == AP_OK) {
        status = ap_stiffness_of_leg(&stiffness, kind, wll, length, err);
    }
    if (status == AP_OK) {
        *out = stiffness.most_n_m;
        *from = " (the stiffest of its kind, from memory; its maker's figure goes before it)";
    }
    return status;
}

static ap_status work_out(ap_calc *out, ap_cli *cli, ap_error *err) {
    double weight = NAN;
    double drop = NAN;
    double stiffness = NAN;
    const char *from = "";
    ap_unit unit = AP_UNIT_NONE;
    ap_status status = ap_cli_get_quantity(&weight, NULL, cli, "weight", AP_DIM_FORCE, true, err);
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&drop, &unit, cli, "drop", AP_DIM_LENGTH, true, err);
    }
    if (status == AP_OK) {
        status = get_stiffness(&stiffness, &from, cli, err);
    }
    ap_calc_units_as_written(cli, unit);
    if (status == AP_OK) {
        status = ap_calc_drop(out, &cli->arena, ap_cli_units(cli), weight, drop, stiffness, from, err);
    }
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    return ap_calc_run(cli, work_out, err);
}

static const ap_cli_option options[] = {
    {"weight", "W", "what the leg carries at rest: 4800lb, 5N"},
    {"drop", "H", "how far its attach point falls before it bites: 200mm"},
    {"stiffness", "K", "of the leg: 90N/m, 50lb/in"},
    {"kind", "WORD", "without --stiffness: eye, adjustable, chain, wire, round"},
    {"wll", "W", "with --kind: working load limit"},
    {"length", "L", "with --kind: length of the leg"},
    {0},
};

const ap_command ap_calc_topic_drop = {
    .name = "calc drop",
    .group = "A SINGLE FIGURE",
    .summary = "peak in a leg when a piece drops onto it",
    .usage = "--weight W --drop H (--stiffness K | --kind WORD --wll W --length L)",
    .about = NULL,
    .example = "afterpick calc drop --weight 5N --drop 200mm --stiffness 90N/m",
    .options = options,
    .run = run,
};

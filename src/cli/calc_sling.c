#include "base/pick.h"
#include "cli/amount.h"
#include "cli/calc_topics.h"
#include "report/calc_lift.h"
#include "text/quantity.h"

static ap_status get_word(int *out, const ap_cli *cli, const char *option, ap_vocabulary vocabulary, const char *known,
                          ap_error *err) {
    ap_str word = ap_str_trim(ap_cli_get(cli, option));
    *out = word.ptr ? ap_word_find(vocabulary, word) : 0;
    return !word.ptr || *out
               ? AP_OK
               : ap_error_set(err, AP_E_USAGE, "--%s '%.*s' is none of %s", option, AP_STR_ARG(word), known);
}

static ap_status get_words(ap_calc_sling *ask, const ap_cli *cli, ap_error *err) {
    ap_status status = get_word(&ask->hitch, cli, "hitch", AP_VOC_HITCH, "choker, cow, timber, basket, none", err);
    return status == AP_OK ? get_word(&ask->kind, cli, "kind", AP_VOC_LEG_KIND,
                                      "eye, adjustable, chain, wire, round, balancer", err)
                           : status;
}

/* With or without "deg". */
static ap_status get_angle(double *out, const ap_cli *cli, const char *option, ap_error *err) {
    static const ap_quantity_rules rules = {.dim = AP_DIM_ANGLE, .default_unit = AP_UNIT_DEG, .decimal = '.'};
    ap_str text = ap_cli_get(cli, option);
    ap_quantity quantity = {.value = NAN};
    ap_refusal why;
    if (text.ptr && !ap_quantity_read(&quantity, text, &rules, &why)) {
        return ap_error_set(err, AP_E_USAGE, "--%s '%.*s': %s%s%s", option, AP_STR_ARG(text), why.reason,
                            why.remedy[0] ? "; " : "", why.remedy);
    }
    *out = text.ptr ? quantity.value : NAN;
    return AP_OK;
}

static ap_status get_ask(ap_calc_sling *ask, ap_unit *unit, const ap_cli *cli, ap_error *err) {
    uint64_t legs = 0;
    ap_status status = ap_cli_get_quantity(&ask->tension_n, unit, cli, "tension", AP_DIM_FORCE, false, err);
    if (status == AP_OK) {
        ap_unit of_load = AP_UNIT_NONE;
        status = ap_cli_get_quantity(&ask->load_n, &of_load, cli, "load", AP_DIM_FORCE, false, err);
        *unit = *unit ? *unit : of_load;
    }
    if (status == AP_OK) {
        status = ap_cli_get_whole(&legs, cli, "legs", 2, 4, err);
    }
    if (status == AP_OK) {
        status = get_angle(&ask->angle_deg, cli, "angle", err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&ask->wll_kg, NULL, cli, "wll", AP_DIM_LOAD, false, err);
    }
    if (status == AP_OK) {
        status = get_angle(&ask->choke_deg, cli, "choke-angle", err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_amount(&ask->factor, cli, "factor", 1.0, err);
    }
    ask->legs = (int)legs;
    return status == AP_OK ? get_words(ask, cli, err) : status;
}

static ap_status work_out(ap_calc *out, ap_cli *cli, ap_error *err) {
    ap_calc_sling ask = {0};
    ap_unit unit = AP_UNIT_NONE;
    ap_status status = get_ask(&ask, &unit, cli, err);
    ap_calc_units_as_written(cli, unit);
    return status == AP_OK ? ap_calc_sling_use(out, &cli->arena, ap_cli_units(cli), &ask, err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    return ap_calc_run(cli, work_out, err);
}

static const ap_cli_option options[] = {
    {"tension", "T", "in the leg, as worked out: no angle factor is put on it"},
    {"load", "W", "in place of --tension: the weight on all legs"},
    {"legs", "N", "with --load: equal legs, 2 unless said"},
    {"angle", "DEG", "of the leg above level"},
    {"wll", "W", "working load limit on the tag"},
    {"hitch", "WORD", "choker, cow, timber, basket, none"},
    {"kind", "WORD", "eye, adjustable, chain, wire, round, balancer"},
    {"choke-angle", "DEG", "angle of choke"},
    {"factor", "NUMBER", "the company's own on the limit, 1 unless said"},
    {0},
};

const ap_command ap_calc_topic_sling = {
    .name = "calc sling",
    .group = "A SINGLE FIGURE",
    .summary = "what a leg carries and how much of its limit that is",
    .usage =
        "(--tension T | --load W --angle DEG [--legs N]) [--wll W] [--hitch WORD] [--choke-angle DEG] [--factor F]",
    .about = NULL,
    .example = "afterpick calc sling --load 4000lb --legs 2 --angle 60 --wll 5300lb --hitch choker --choke-angle 100",
    .options = options,
    .run = run,
};

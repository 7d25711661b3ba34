#include "base/pick.h"
#include "cli/amount.h"
#include "cli/calc_topics.h"
#include "report/hang_page.h"
#include "report/recon_page.h"
#include "text/quantity_list.h"

enum { LEGS_MOST = AP_SPACE_LEGS_MAX };

/* One value for each leg, or one for all of them; `out` is left as it is when the option was not given. */
static ap_status get_list(double out[LEGS_MOST], int *count, ap_unit *unit, const ap_cli *cli, const char *option,
                          ap_dim dim, ap_error *err) {
    ap_str text = ap_cli_get(cli, option);
    const ap_quantity_rules rules = {
        .dim = dim, .default_unit = dim == AP_DIM_ANGLE ? AP_UNIT_DEG : AP_UNIT_NONE, .decimal = '.'};
    double values[LEGS_MOST];
    size_t got = 0;
    size_t at = 0;
    ap_refusal why;
    if (!text.ptr) {
        return AP_OK;
    }
    bool read = dim == AP_DIM_NONE ? ap_stiffness_list_read(values, &got, LEGS_MOST, text, &why, &at)
                                   : ap_quantity_list_read(values, &got, LEGS_MOST, unit, text, &rules, &why, &at);
    if (!read) {
        ap_str part = ap_quantity_list_part(text, at);
        return ap_error_set(err, AP_E_USAGE, "--%s '%.*s': %s%s%s", option, AP_STR_ARG(part.ptr ? part : text),
                            why.reason, why.remedy[0] ? "; " : "", why.remedy);
    }
    if (*count == 0) {
        *count = (int)got;
    } else if (got != 1 && (int)got != *count) {
        return ap_error_set(err, AP_E_USAGE, "--%s has %zu values for %d legs; give one for each, or one for all",
                            option, got, *count);
    }
    for (int i = 0; i < *count; i++) {
        out[i] = values[got == 1 ? 0 : i];
    }
    return AP_OK;
}

/* Words for each leg, or one for all. */
static ap_status get_words(int out[LEGS_MOST], int count, const ap_cli *cli, const char *option,
                           ap_vocabulary vocabulary, ap_error *err) {
    ap_str text = ap_cli_get(cli, option);
    if (!text.ptr) {
        return AP_OK;
    }
    int got = 0;
    for (;; got++) {
        ap_str word = ap_quantity_list_part(text, (size_t)got);
        if (!word.ptr) {
            break;
        }
        if (got == count) {
            return ap_error_set(err, AP_E_USAGE, "--%s has more words than the %d legs", option, count);
        }
        out[got] = ap_word_find(vocabulary, word);
        if (!out[got]) {
            ap_buf known;
            ap_buf_init(&known, 512);
            for (int w = 1; w <= ap_word_count(vocabulary); w++) {
                ap_buf_appendf(&known, "%s%s", w > 1 ? ", " : "", ap_word_get(vocabulary, w));
            }
            ap_status status = ap_error_set(err, AP_E_USAGE, "--%s '%.*s' is none of %.*s", option, AP_STR_ARG(word),
                                            AP_STR_ARG(ap_buf_str(&known)));
            ap_buf_release(&known);
            return status;
        }
    }
    if (got != 1 && got != count) {
        return ap_error_set(err, AP_E_USAGE, "--%s has %d words for %d legs; give one for each, or one for all", option,
                            got, count);
    }
    for (int i = got; i < count; i++) {
        out[i] = out[0];
    }
    return AP_OK;
}

typedef struct lists {
    double length[LEGS_MOST], at[LEGS_MOST], off[LEGS_MOST], side[LEGS_MOST], stiffness[LEGS_MOST], wll[LEGS_MOST];
    double choke[LEGS_MOST];
    int kind[LEGS_MOST], hitch[LEGS_MOST], state[LEGS_MOST];
} lists;

static ap_status get_legs(ap_hang_ask *ask, ap_unit *unit, const ap_cli *cli, ap_error *err) {
    lists l = {.off = {0.0}};
    int n = 0;
    for (int i = 0; i < LEGS_MOST; i++) {
        l.stiffness[i] = l.wll[i] = l.choke[i] = NAN;
    }
    if (!ap_cli_has(cli, "lengths") || !ap_cli_has(cli, "at")) {
        return ap_error_set(err, AP_E_USAGE, "--%s is missing; see 'afterpick calc hang --help'",
                            ap_cli_has(cli, "lengths") ? "at" : "lengths");
    }
    ap_status status = get_list(l.length, &n, unit, cli, "lengths", AP_DIM_LENGTH, err);
    if (status == AP_OK) {
        status = get_list(l.at, &n, NULL, cli, "at", AP_DIM_LENGTH, err);
    }
    if (status == AP_OK) {
        status = get_list(l.off, &n, NULL, cli, "off", AP_DIM_LENGTH, err);
    }
    if (status == AP_OK) {
        status = get_list(l.side, &n, NULL, cli, "side", AP_DIM_LENGTH, err);
    }
    if (status == AP_OK) {
        status = get_list(l.stiffness, &n, NULL, cli, "stiffness", AP_DIM_NONE, err);
    }
    if (status == AP_OK) {
        status = get_list(l.wll, &n, NULL, cli, "wll", AP_DIM_LOAD, err);
    }
    if (status == AP_OK) {
        status = get_list(l.choke, &n, NULL, cli, "choke-angle", AP_DIM_ANGLE, err);
    }
    if (status == AP_OK) {
        status = get_words(l.kind, n, cli, "kind", AP_VOC_LEG_KIND, err);
    }
    if (status == AP_OK) {
        status = get_words(l.hitch, n, cli, "hitch", AP_VOC_HITCH, err);
    }
    if (status == AP_OK) {
        status = get_words(l.state, n, cli, "states", AP_VOC_LEG_STATE, err);
    }
    ask->leg_count = n;
    for (int i = 0; i < n; i++) {
        ask->legs[i] = (ap_hang_ask_leg){l.at[i],  l.length[i], l.off[i],  l.side[i],  l.stiffness[i],
                                         l.wll[i], l.choke[i],  l.kind[i], l.hitch[i], l.state[i]};
    }
    return status;
}

/* Degrees with or without their sign or word; NaN when not given. */
static ap_status get_angle(double *out, const ap_cli *cli, const char *option, ap_error *err) {
    int one = 1;
    *out = NAN;
    double values[LEGS_MOST] = {NAN};
    ap_status status = get_list(values, &one, NULL, cli, option, AP_DIM_ANGLE, err);
    *out = values[0];
    return status;
}

static ap_status get_rest(ap_hang_ask *ask, const ap_cli *cli, ap_error *err) {
    ap_status status = ap_cli_get_quantity(&ask->cg_m, NULL, cli, "cg", AP_DIM_LENGTH, true, err);
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&ask->cg_side_m, NULL, cli, "cg-side", AP_DIM_LENGTH, false, err);
        ask->cg_side_m = isnan(ask->cg_side_m) ? 0.0 : ask->cg_side_m;
    }
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&ask->weight_n, NULL, cli, "weight", AP_DIM_FORCE, true, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&ask->piece_m, NULL, cli, "piece", AP_DIM_LENGTH, false, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&ask->preload_n, NULL, cli, "preload", AP_DIM_FORCE, false, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&ask->rigging_kg, NULL, cli, "rigging", AP_DIM_LOAD, false, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&ask->capacity_kg, NULL, cli, "capacity", AP_DIM_LOAD, false, err);
    }
    if (status == AP_OK && !isnan(ask->capacity_kg) && isnan(ask->rigging_kg)) {
        status = ap_error_set(err, AP_E_USAGE,
                              "--capacity needs --rigging: block and slings are part of what the chart counts");
    }
    return status == AP_OK ? get_angle(&ask->lean_deg, cli, "lean", err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_hang_ask ask = {0};
    ap_hang_worked worked;
    ap_unit unit = AP_UNIT_NONE;
    ap_status status = ap_cli_need_words(cli, 0, 0, "no further word", err);
    if (status == AP_OK) {
        status = get_legs(&ask, &unit, cli, err);
    }
    if (status == AP_OK) {
        status = get_rest(&ask, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_calc_units_as_written(cli, unit);
    status = ap_hang_work(&worked, &ask, err);
    if (status != AP_OK) {
        return ap_calc_refuse(cli, status, err);
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_hang_page_json(&json, &cli->arena, &ask, &worked);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "How it hangs", AP_STR_NONE);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_hang_page(doc, &ask, &worked);
    return ap_cli_write(cli, doc, err);
}

static const ap_cli_option options[] = {
    {"lengths", "L,L", "of the legs, attach point to hook: 6m,8m"},
    {"at", "X,X", "their attach points from the butt, along the axis"},
    {"cg", "X", "centre of gravity from the butt"},
    {"weight", "W", "of the piece: 4800lb, 2200kg, 1000N"},
    {"lean", "DEG", "of the piece before the cut, tip higher positive"},
    {"piece", "L", "length of the piece, for the tip and the swing"},
    {"off", "R,R", "attach points off the axis toward the hook: the radius there"},
    {"side", "Z,Z", "attach points to the side, either sign"},
    {"cg-side", "Z", "centre of gravity to the side"},
    {"stiffness", "K,K", "of the legs: 90N/m, 50lb/in"},
    {"kind", "WORD,WORD", "eye, adjustable, chain, wire, round, balancer"},
    {"wll", "W,W", "working load limits on the tags"},
    {"hitch", "WORD,WORD", "choker, cow, timber, basket, none"},
    {"choke-angle", "DEG,DEG", "angle of choke"},
    {"states", "WORD,WORD", "before the cut: tight, snug, slack"},
    {"preload", "W", "pull on the piece before it parts"},
    {"rigging", "W", "block and slings, for the load on the hook"},
    {"capacity", "W", "rated capacity from the load chart, gross"},
    {0},
};

const ap_command ap_calc_topic_hang = {
    .name = "calc hang",
    .group = "A SINGLE FIGURE",
    .summary = "how a piece hangs on 1 to 4 legs, what each carries, how it turns",
    .usage = "--lengths L,L --at X,X --cg X --weight W [--lean DEG] ...",
    .about = "A value for each leg in one order, with commas between (semicolons when a\n"
             "value has a comma); one value stands for all. Any unit. The legs are straight\n"
             "before the cut unless --states says otherwise.",
    .example = "afterpick calc hang --lengths 6m,8m --at 0m,10m --cg 5m --weight 1000N --lean 20 --piece 12m",
    .options = options,
    .run = run,
};

#include "cli/amount.h"
#include "cli/calc_topics.h"

#define COUNT_MOST 1e6 /* more trees than there are; beyond, the shift of the noncentral t is out of reach */

static ap_status work_out(ap_calc *out, ap_cli *cli, ap_error *err) {
    uint64_t n = 0;
    double content = 0;
    double confidence = 0;
    ap_status status = ap_cli_get_whole(&n, cli, "n", NAN, COUNT_MOST, err);
    if (status == AP_OK) {
        status = ap_cli_get_part(&content, cli, "content", 0.95, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_part(&confidence, cli, "confidence", 0.90, err);
    }
    return status == AP_OK ? ap_calc_tolerance(out, &cli->arena, n, content, confidence, err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    return ap_calc_run(cli, work_out, err);
}

static const ap_cli_option options[] = {
    {"n", "COUNT", "independent values (trees)"},
    {"content", "SHARE", "share to cover, 0.95 unless said"},
    {"confidence", "SHARE", "0.90 unless said"},
    {0},
};

const ap_command ap_calc_topic_tolerance = {
    .name = "calc tolerance",
    .group = "A SINGLE FIGURE",
    .summary = "k of a tolerance limit: how far beyond the average to plan",
    .usage = "--n 8 [--content 0.95] [--confidence 0.90]",
    .example = "afterpick calc tolerance --n 8 --content 0.95 --confidence 0.95",
    .options = options,
    .run = run,
};

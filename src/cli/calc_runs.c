#include "cli/amount.h"
#include "cli/calc_topics.h"

static ap_status work_out(ap_calc *out, ap_cli *cli, ap_error *err) {
    double sd = 0;
    double bias = 0;
    double over = 0;
    uint64_t run = 0;
    uint64_t picks = 0;
    ap_status status = ap_cli_get_part(&sd, cli, "sd", NAN, err);
    if (status == AP_OK) {
        status = ap_cli_get_part(&bias, cli, "bias", 0, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_part(&over, cli, "over", 0.10, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_whole(&run, cli, "run", 4, 10000, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_whole(&picks, cli, "picks", 0, 1e7, err);
    }
    return status == AP_OK ? ap_calc_runs(out, &cli->arena, sd, bias, over, run, picks, err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    return ap_calc_run(cli, work_out, err);
}

static const ap_cli_option options[] = {
    {"sd", "NUMBER", "spread of ln(ratio) between picks"},
    {"bias", "NUMBER", "average of ln(ratio), 0 unless said"},
    {"over", "SHARE", "heavier than planned by more than this, 0.10 unless said"},
    {"run", "COUNT", "how many in a row, 4 unless said"},
    {"picks", "COUNT", "the chance within so many"},
    {0},
};

const ap_command ap_calc_topic_runs = {
    .name = "calc runs",
    .group = "A SINGLE FIGURE",
    .summary = "how often a run of heavier picks comes by chance",
    .usage = "--sd 0.15 [--over 0.10] [--run 4] [--bias 0] [--picks 500]",
    .example = "afterpick calc runs --sd 0.15 --over 0.10 --run 4",
    .options = options,
    .run = run,
};

#include "cli/amount.h"
#include "cli/calc_topics.h"

#define COUNT_MOST 1e9

static ap_status work_out(ap_calc *out, ap_cli *cli, ap_error *err) {
    uint64_t events = 0;
    uint64_t picks = 0;
    double level = 0;
    ap_status status = ap_cli_get_whole(&events, cli, "events", NAN, COUNT_MOST, err);
    if (status == AP_OK) {
        status = ap_cli_get_whole(&picks, cli, "picks", NAN, COUNT_MOST, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_part(&level, cli, "level", 0.95, err);
    }
    return status == AP_OK ? ap_calc_rate(out, &cli->arena, events, picks, level, err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    return ap_calc_run(cli, work_out, err);
}

static const ap_cli_option options[] = {
    {"events", "COUNT", "how often it happened"},
    {"picks", "COUNT", "out of so many picks"},
    {"level", "SHARE", "of the interval, 0.95 unless said"},
    {0},
};

const ap_command ap_calc_topic_rate = {
    .name = "calc rate",
    .group = "A SINGLE FIGURE",
    .summary = "events a pick, with the exact interval",
    .usage = "--events 3 --picks 410 [--level 0.95]",
    .example = "afterpick calc rate --events 3 --picks 410",
    .options = options,
    .run = run,
};

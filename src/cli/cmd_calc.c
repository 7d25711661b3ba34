#include "cli/amount.h"
#include "cli/commands.h"
#include "report/calc_page.h"

#define COUNT_MOST 1e9

static ap_status tolerance(ap_calc *out, ap_cli *cli, ap_error *err) {
    uint64_t n = 0;
    double content = 0;
    double confidence = 0;
    ap_status status = ap_cli_get_whole(&n, cli, "n", NAN, COUNT_MOST, err);
    if (status == AP_OK) {
        status = ap_cli_get_amount(&content, cli, "content", 0.95, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_amount(&confidence, cli, "confidence", 0.90, err);
    }
    return status == AP_OK ? ap_calc_tolerance(out, &cli->arena, n, content, confidence, err) : status;
}

static ap_status runs(ap_calc *out, ap_cli *cli, ap_error *err) {
    double sd = 0;
    double bias = 0;
    double over = 0;
    uint64_t run = 0;
    uint64_t picks = 0;
    ap_status status = ap_cli_get_amount(&sd, cli, "sd", NAN, err);
    if (status == AP_OK) {
        status = ap_cli_get_amount(&bias, cli, "bias", 0, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_amount(&over, cli, "over", 0.10, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_whole(&run, cli, "run", 4, 10000, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_whole(&picks, cli, "picks", 0, 1e7, err);
    }
    return status == AP_OK ? ap_calc_runs(out, &cli->arena, sd, bias, over, run, picks, err) : status;
}

static ap_status rate(ap_calc *out, ap_cli *cli, ap_error *err) {
    uint64_t events = 0;
    uint64_t picks = 0;
    double level = 0;
    ap_status status = ap_cli_get_whole(&events, cli, "events", NAN, COUNT_MOST, err);
    if (status == AP_OK) {
        status = ap_cli_get_whole(&picks, cli, "picks", NAN, COUNT_MOST, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_amount(&level, cli, "level", 0.95, err);
    }
    return status == AP_OK ? ap_calc_rate(out, &cli->arena, events, picks, level, err) : status;
}

static ap_status work_out(ap_calc *out, ap_cli *cli, ap_error *err) {
    ap_str what = ap_str_from(cli->words[0]);
    if (ap_str_equal_word(what, "tolerance")) {
        return tolerance(out, cli, err);
    }
    if (ap_str_equal_word(what, "runs")) {
        return runs(out, cli, err);
    }
    if (ap_str_equal_word(what, "rate")) {
        return rate(out, cli, err);
    }
    return ap_error_set(err, AP_E_USAGE, "'calc %.*s' is not known; there are tolerance, runs and rate",
                        AP_STR_ARG(what));
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_calc calc;
    ap_status status = ap_cli_need_words(cli, 1, 1, "what to work out: tolerance, runs or rate", err);
    if (status == AP_OK) {
        status = work_out(&calc, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    if (cli->format == AP_CLI_JSON) {
        ap_json json;
        ap_json_init(&json, cli->out, true);
        ap_calc_json(&json, &calc);
        ap_sink_putc(cli->out, '\n');
        return AP_OK;
    }
    ap_doc *doc = ap_cli_doc(cli, "Worked out", AP_STR_NONE);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_calc_page(doc, &calc);
    return ap_cli_write(cli, doc, err);
}

static const ap_cli_option options[] = {
    {"n", "COUNT", "tolerance: independent values (trees)"},
    {"content", "SHARE", "tolerance: share to cover, 0.95 unless said"},
    {"confidence", "SHARE", "tolerance: 0.90 unless said"},
    {"sd", "NUMBER", "runs: spread of ln(ratio) between picks"},
    {"bias", "NUMBER", "runs: average of ln(ratio), 0 unless said"},
    {"over", "SHARE", "runs: heavier than planned by more than this, 0.10 unless said"},
    {"run", "COUNT", "runs: how many in a row, 4 unless said"},
    {"picks", "COUNT", "rate: out of so many picks; runs: the chance within so many"},
    {"events", "COUNT", "rate: how often it happened"},
    {"level", "SHARE", "rate: of the interval, 0.95 unless said"},
    {0},
};

const ap_command ap_command_calc = {
    .name = "calc",
    .group = "LOOK",
    .summary = "one number without a book, with its working and source: tolerance, runs, rate",
    .usage = "tolerance --n 8 | runs --sd 0.15 --over 0.10 --run 4 | rate --events 3 --picks 410",
    .about = NULL,
    .example = "afterpick calc tolerance --n 8 --content 0.95 --confidence 0.95",
    .options = options,
    .run = run,
};

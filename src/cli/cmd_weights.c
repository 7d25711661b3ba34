#include "cli/commands.h"
#include "cli/period.h"
#include "report/weights_page.h"

static ap_status write_table(ap_cli *cli, const ap_roster *roster, const ap_weight_table *table, ap_period period,
                             ap_error *err) {
    if (cli->format == AP_CLI_JSON) {
        ap_json json;
        ap_json_init(&json, cli->out, true);
        ap_weights_json(&json, roster, table, period);
        ap_sink_putc(cli->out, '\n');
        return AP_OK;
    }
    ap_doc *doc = ap_cli_doc(cli, "Estimate error", ap_say_period(&cli->arena, period));
    ap_weights_page(doc, roster, table);
    return ap_cli_write(cli, doc, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_by by[AP_WEIGHTS_BY_MAX] = {AP_BY_SPECIES};
    size_t by_count = 1;
    ap_period period;
    ap_roster roster = {0};
    ap_weight_table table;
    ap_status status = ap_cli_need_words(cli, 0, 0, "nothing", err);
    if (status == AP_OK && ap_cli_has(cli, "by")) {
        status = ap_weights_parse_by(by, &by_count, ap_cli_get(cli, "by"), err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_period(&period, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        status = ap_roster_load(&roster, cli->book, period.until, cli->names, err);
    }
    if (status == AP_OK) {
        size_t first;
        size_t end;
        ap_roster_slice(&roster, period.since, period.until, &first, &end);
        status = ap_weights(&table, &cli->arena, &roster, first, end, by, by_count, err);
    }
    if (status == AP_OK) {
        status = write_table(cli, &roster, &table, period, err);
    }
    ap_roster_release(&roster);
    return status;
}

static const ap_cli_option options[] = {
    {"by", "NAMES", "up to four of species, cut, basis, piece, estimator, crew, crane, ..."},
    AP_CLI_PERIOD_OPTIONS,
    {0},
};

const ap_command ap_command_weights = {
    .name = "weights",
    .group = "LOOK",
    .summary = "the estimate error: measured against planned, by group",
    .usage = "[--by species,cut,...] [--month YYYY-MM | --since DATE --until DATE]",
    .about =
        "Groupings: species, cut, basis, piece, estimator, crew, crane, condition, foliage, setup, month, job, tree.\n"
        "A ratio above 1 is heavier than planned. Gross is made net with the rigging weight before anything is "
        "compared.",
    .example = "afterpick --book demo/demo.book weights --by species,cut --since 2026-08-01",
    .options = options,
    .run = run,
};

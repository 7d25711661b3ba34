#include "cli/amount.h"
#include "cli/calc_wood.h"
#include "report/calc_wood.h"

static ap_status get_figure(double *out, const ap_cli *cli, const char *option, ap_error *err) {
    *out = NAN;
    return ap_cli_has(cli, option) ? ap_cli_get_amount(out, cli, option, NAN, err) : AP_OK;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_calc calc;
    ap_calc_wood wood = {.gravity = NAN, .moisture_pct = NAN};
    ap_status status = ap_cli_need_words(cli, 0, 8, "at most one species", err);
    if (status == AP_OK) {
        status = get_figure(&wood.gravity, cli, "gravity", err);
    }
    if (status == AP_OK) {
        status = get_figure(&wood.moisture_pct, cli, "moisture", err);
    }
    if (status == AP_OK && cli->word_count) {
        status = ap_calc_get_species(&wood.species, cli, err);
    }
    if (status == AP_OK) {
        status = ap_calc_density(&calc, &cli->arena, ap_cli_units(cli), &wood, err);
    }
    return status == AP_OK ? ap_calc_write(cli, &calc, err) : ap_calc_refuse(cli, status, err);
}

static const ap_cli_option options[] = {
    {"gravity", "NUMBER", "basic specific gravity (dry weight, green volume) in place of the table's"},
    {"moisture", "PERCENT", "of the dry weight, in place of the table's: 68"},
    {0},
};

const ap_command ap_calc_topic_density = {
    .name = "calc density",
    .group = "A SINGLE FIGURE",
    .summary = "green density of a species by the handbook, or of a gravity and moisture",
    .usage = "[SPECIES] [--gravity 0.6] [--moisture 68]",
    .about = "A name that may mean several species is never chosen in silence: all readings are offered.",
    .example = "afterpick calc density 'white oak'",
    .options = options,
    .run = run,
};

#include "cli/calc_wood.h"

#include "book/species.h"
#include "cli/amount.h"

ap_status ap_calc_get_stem(ap_stem *out, ap_cli *cli, ap_volume_rule rule, ap_error *err) {
    bool ends = rule != AP_VOLUME_HUBER;
    bool mid = rule == AP_VOLUME_HUBER || rule == AP_VOLUME_NEWTON;
    ap_unit unit = AP_UNIT_NONE;
    ap_status status = ap_cli_get_quantity(&out->butt_diameter_m, NULL, cli, "butt", AP_DIM_LENGTH, ends, err);
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&out->mid_diameter_m, NULL, cli, "mid", AP_DIM_LENGTH, mid, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&out->tip_diameter_m, NULL, cli, "tip", AP_DIM_LENGTH, ends, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&out->length_m, &unit, cli, "length", AP_DIM_LENGTH, true, err);
    }
    if (status == AP_OK) {
        ap_calc_units_as_written(cli, unit);
    }
    return status;
}

ap_status ap_calc_get_species(const ap_species **out, ap_cli *cli, ap_error *err) {
    ap_str name = ap_str_from(cli->words[0]);
    for (size_t i = 1; i < cli->word_count; i++) {
        name = ap_arena_printf(&cli->arena, "%.*s %s", AP_STR_ARG(name), cli->words[i]);
    }
    const char *variable = getenv("AFTERPICK_BOOK");
    bool named = cli->book_path || (variable && *variable);
    ap_status status = AP_OK;
    if (!cli->book) {
        status = named ? ap_cli_open(cli, AP_BOOK_READ, err) : ap_book_open_seed(&cli->book, err);
    }
    return status == AP_OK ? ap_book_species_find(out, cli->book, name, err) : status;
}

#include "book/assumptions.h"
#include "cli/amount.h"
#include "cli/calc_wood.h"
#include "report/calc_wood.h"

/* The figure the company of a book that was named has accepted; NaN and no words when there is none. */
static ap_status get_accepted(ap_wood_given *given, ap_str *from, ap_cli *cli, ap_error *err) {
    ap_assumptions all;
    if (!cli->company.settings) { /* no book was named */
        return AP_OK;
    }
    ap_status status = ap_book_assumptions_read(&all, &cli->arena, cli->book, err);
    const ap_assumption *held = status == AP_OK ? ap_assumption_in_force(&all, given->species->id, cli->today) : NULL;
    if (held) {
        char day[AP_ISO_SIZE];
        ap_date_to_iso(day, held->since);
        given->accepted_kg_m3 = held->density_kg_m3;
        given->accepted_lowers = held->lowers_weight;
        *from = ap_arena_printf(&cli->arena, "%.*s, your own figure since %s%s", AP_STR_ARG(given->species->common),
                                day, held->lowers_weight ? ", LOWERS PLANNED WEIGHT" : "");
    }
    return status;
}

/* The density: --density, else the company's accepted figure, else the handbook's. */
static ap_status get_density(ap_wood_given *given, ap_str *from, ap_cli *cli, ap_error *err) {
    ap_status status = ap_cli_get_quantity(&given->accepted_kg_m3, NULL, cli, "density", AP_DIM_DENSITY, false, err);
    bool stated = status == AP_OK && !isnan(given->accepted_kg_m3);
    *from = AP_STR_LIT("as given");
    if (stated && !(given->accepted_kg_m3 > 0)) {
        return ap_error_set(err, AP_E_USAGE, "--density must be above zero");
    }
    if (status == AP_OK && cli->word_count) {
        status = ap_calc_get_species(&given->species, cli, err);
    } else if (status == AP_OK && !stated) {
        status =
            ap_error_set(err, AP_E_USAGE, "a weight needs a species or --density; see 'afterpick calc weight --help'");
    }
    if (status == AP_OK && !stated) {
        *from =
            ap_arena_printf(&cli->arena, "%.*s, green with bark, by the handbook", AP_STR_ARG(given->species->common));
        status = get_accepted(given, from, cli, err);
    }
    return status;
}

static ap_status get_piece(ap_pick *pick, ap_cli *cli, ap_error *err) {
    ap_stem stem;
    double share = NAN;
    ap_pick_clear(pick);
    ap_status status = ap_calc_get_stem(&stem, cli, AP_VOLUME_NONE, err);
    if (status == AP_OK) {
        status = ap_cli_get_quantity(&share, NULL, cli, "brush", AP_DIM_SHARE, false, err);
    }
    if (status == AP_OK && !isnan(share) && !(share >= 0 && share < 1)) {
        status = ap_error_set(err, AP_E_USAGE, "--brush is a share of the whole weight, from 0 to below 100%%");
    }
    if (status != AP_OK) {
        return status;
    }
    pick->length_m = stem.length_m;
    pick->butt_diameter_m = stem.butt_diameter_m;
    pick->mid_diameter_m = stem.mid_diameter_m;
    pick->tip_diameter_m = stem.tip_diameter_m;
    pick->brush_share = share;
    pick->piece = share > 0 ? AP_PIECE_LIMB : AP_PIECE_TRUNK;
    return AP_OK;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_calc calc;
    ap_pick pick;
    ap_wood wood;
    ap_str from = AP_STR_NONE;
    ap_settings settings;
    ap_wood_given given = AP_WOOD_GIVEN_NOTHING;
    ap_settings_defaults(&settings);
    ap_status status = ap_cli_need_words(cli, 0, 8, "at most one species", err);
    if (status == AP_OK) {
        status = get_piece(&pick, cli, err);
    }
    if (status == AP_OK) {
        status = get_density(&given, &from, cli, err);
    }
    if (status == AP_OK) {
        const ap_company company = {.settings = cli->company.settings ? cli->company.settings : &settings};
        given.place = ap_cli_has(cli, "butt-piece") ? AP_WOOD_LOWEST : AP_WOOD_PLACE_UNKNOWN;
        ap_wood_work_out(&wood, &pick, &given, &company);
        status = ap_calc_weight(&calc, &cli->arena, ap_cli_units(cli), &wood, from, err);
    }
    return status == AP_OK ? ap_calc_write(cli, &calc, err) : ap_calc_refuse(cli, status, err);
}

static const ap_cli_option options[] = {
    AP_CALC_STEM_OPTIONS,
    {"brush", "SHARE", "of the whole weight that is brush: 20%"},
    {"density", "DENSITY", "in place of the species': 63lb/ft3, 1010kg/m3"},
    {0},
};

const ap_command ap_calc_topic_weight = {
    .name = "calc weight",
    .group = "A SINGLE FIGURE",
    .summary = "weight of a piece from its dimensions and species or density",
    .usage = "[SPECIES] --butt 12in --tip 10in [--mid 11in] --length 16ft [--density D] [--brush 20%] [--butt-piece]",
    .about = "With --book (or AFTERPICK_BOOK) local names and the densities that company has accepted are used, and "
             "said so.",
    .example = "afterpick calc weight 'white oak' --butt 12in --tip 10in --length 16ft",
    .options = options,
    .run = run,
};

#include "book/species.h"
#include "cli/amount.h"
#include "cli/commands.h"
#include "mech/density.h"
#include "page/json.h"

typedef struct listing {
    ap_table *table; /* NULL: JSON */
    ap_json *json;
    ap_doc *doc;
} listing;

static void put_json(ap_json *json, const ap_species *species) {
    ap_json_put_text(json, "common", species->common);
    ap_json_put_text(json, "scientific", species->scientific);
    ap_json_put_text(json, "symbol", species->symbol);
    ap_json_put_bool(json, "hardwood", species->hardwood);
    ap_json_put_bool(json, "placeholder", species->placeholder);
    ap_json_put_number(json, "density_kg_m3", species->density_kg_m3);
    ap_json_put_number(json, "ceiling_kg_m3", species->ceiling_kg_m3);
    ap_json_put_text(json, "source", species->source);
}

static ap_status list_one(void *context, const ap_species *species, ap_error *err) {
    listing *list = context;
    (void)err;
    if (list->json) {
        ap_json_object_begin(list->json);
        put_json(list->json, species);
        ap_json_object_end(list->json);
        return AP_OK;
    }
    ap_table_row(list->table);
    ap_table_text(list->table, species->common);
    ap_table_text(list->table, species->scientific);
    ap_table_text(list->table, species->symbol);
    ap_table_value(list->table, species->density_kg_m3);
    if (species->placeholder) {
        ap_table_row_mark(list->table, AP_STR_LIT("group value"));
    }
    return AP_OK;
}

static ap_table *species_table(ap_doc *doc) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("common"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("scientific"), .label = AP_STR_LIT("botanical name"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("symbol"), .label = AP_STR_LIT("symbol"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("density"),
         .label = AP_STR_LIT("green, with bark"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_DENSITY},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("species"), AP_STR_LIT("Green density by the handbook"), columns, 4);
    ap_table_has_marks(table);
    return table;
}

static ap_status list_all(ap_cli *cli, ap_error *err) {
    listing list = {0};
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        list.json = &json;
        ap_json_object_begin(&json);
        ap_json_key(&json, "species");
        ap_json_array_begin(&json);
        ap_status status = ap_book_each_species(cli->book, list_one, &list, err);
        ap_json_array_end(&json);
        ap_json_object_end(&json);
        ap_cli_json_end(cli);
        return status;
    }
    list.doc = ap_cli_doc(cli, "Species", AP_STR_NONE);
    ap_doc_answer(list.doc,
                  AP_STR_LIT("The species of this book; 'afterpick species NAME' tells what a written name means."));
    list.table = species_table(list.doc);
    ap_status status = ap_book_each_species(cli->book, list_one, &list, err);
    ap_doc_caution(list.doc,
                   AP_STR_LIT("Handbook averages of sound green wood; a tree differs. Values marked as a group's stand "
                              "for several species."));
    return status == AP_OK ? ap_cli_write(cli, list.doc, err) : status;
}

static ap_str say_density(ap_doc *doc, const ap_species *species) {
    const char *weak = ap_species_weak_text(species);
    return ap_doc_printf(doc, "green density %s bark: %.*s%s%s%s",
                         isnan(species->bark_density_kg_m3) ? "without" : "with",
                         AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, species->density_kg_m3, false)),
                         weak[0] ? " (" : "", weak, weak[0] ? ": weak)" : "");
}

static ap_status show_one(ap_cli *cli, ap_error *err) {
    const ap_species *species = NULL;
    ap_buf aliases;
    ap_buf_init(&aliases, 1u << 16);
    ap_status status = ap_book_species_find(&species, cli->book, ap_str_from(cli->words[0]), err);
    if (status == AP_OK) {
        status = ap_book_species_aliases(&aliases, cli->book, species->id, err);
    }
    ap_json json;
    if (status == AP_OK && ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        put_json(&json, species);
        ap_json_put_text(&json, "aliases", ap_buf_str(&aliases));
        ap_json_object_end(&json);
        ap_cli_json_end(cli);
    } else if (status == AP_OK) {
        ap_doc *doc = ap_cli_doc(cli, "Species", AP_STR_NONE);
        ap_doc_answer(doc, ap_doc_printf(doc, "'%s' is %.*s (%.*s, %.*s).", cli->words[0], AP_STR_ARG(species->common),
                                         AP_STR_ARG(species->scientific), AP_STR_ARG(species->symbol)));
        if (cli->format == AP_CLI_CSV) {
            listing list = {.table = species_table(doc)};
            status = list_one(&list, species, err);
        }
        ap_doc_list_item(doc, say_density(doc, species));
        ap_doc_list_item(
            doc, ap_doc_printf(doc, "no sound wood of it is heavier than %.*s",
                               AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, species->ceiling_kg_m3, false))));
        if (ap_buf_str(&aliases).len) {
            ap_doc_list_item(doc, ap_doc_printf(doc, "also written: %.*s", AP_STR_ARG(ap_buf_str(&aliases))));
        }
        ap_doc_list_item(doc, ap_doc_printf(doc, "source: %.*s", AP_STR_ARG(species->source)));
        status = status == AP_OK ? ap_cli_write(cli, doc, err) : status;
    }
    ap_buf_release(&aliases);
    return status;
}

/* species teach "LOCAL NAME" SPECIES --why TEXT */
static ap_status teach(ap_cli *cli, ap_error *err) {
    ap_str why;
    ap_str name = ap_str_trim(ap_str_from(cli->words[1]));
    const ap_species *species = NULL;
    const ap_book_author author = ap_cli_author(cli);
    ap_status status = ap_cli_begin_change(&why, cli, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_species_find(&species, cli->book, ap_str_from(cli->words[2]), err);
    ap_str common = status == AP_OK ? ap_arena_str(&cli->arena, species->common) : AP_STR_NONE;
    if (status == AP_OK) {
        status = ap_book_species_teach(cli->book, name, species, why, &author, err);
    }
    status = ap_book_end(cli->book, status, err);
    if (status != AP_OK) {
        return status;
    }
    if (!cli->quiet) {
        ap_cli_say(cli, cli->out, "'%.*s' now means %.*s\n", AP_STR_ARG(name), AP_STR_ARG(common));
    }
    return AP_OK;
}

static ap_status get_figure(double *out, const ap_cli *cli, const char *option, ap_error *err) {
    return ap_cli_get_amount(out, cli, option, NAN, err);
}

/* What was said of the wood, and what follows from it: wood without bark, for bark is not known. */
static ap_status describe(ap_species *out, ap_cli *cli, ap_error *err) {
    ap_str group = ap_str_trim(ap_cli_get(cli, "group"));
    ap_str source = ap_str_trim(ap_cli_get(cli, "source"));
    *out = (ap_species){.common = ap_str_trim(ap_str_from(cli->words[1])),
                        .scientific = ap_str_trim(ap_cli_get(cli, "scientific")),
                        .hardwood = ap_str_equal_word(group, "hardwood")};
    ap_status status = get_figure(&out->gravity, cli, "gravity", err);
    if (status == AP_OK) {
        status = get_figure(&out->moisture_pct, cli, "moisture", err);
    }
    if (status == AP_OK && !out->hardwood && !ap_str_equal_word(group, "softwood")) {
        status = ap_error_set(err, AP_E_USAGE, "say --group hardwood or --group softwood");
    }
    if (status == AP_OK && ap_str_is_blank(source)) {
        status = ap_error_set(err, AP_E_USAGE, "say where gravity and moisture come from: --source \"...\"");
    }
    if (status == AP_OK) {
        status = ap_density_green(&out->density_kg_m3, out->gravity, out->moisture_pct, err);
    }
    if (status == AP_OK) {
        status = ap_density_ceiling(&out->ceiling_kg_m3, out->gravity, err);
    }
    if (status == AP_OK && !(out->density_kg_m3 > 100 && out->density_kg_m3 < 1600 && out->gravity > 0.1)) {
        status = ap_error_set(err, AP_E_DOMAIN, "a green density of %.0f kg/m3 at gravity %.3g is no wood",
                              out->density_kg_m3, out->gravity);
    }
    out->source = ap_arena_printf(&cli->arena, "entered: %.*s; density by Wood Handbook FPL-GTR-282 Eq 4-14, no bark",
                                  AP_STR_ARG(source));
    return status;
}

/* species add NAME --gravity 0.5 --moisture 82 --group hardwood --source TEXT --why TEXT */
static ap_status add(ap_cli *cli, ap_error *err) {
    ap_str why;
    ap_species species;
    const ap_book_author author = ap_cli_author(cli);
    ap_status status = describe(&species, cli, err);
    if (status == AP_OK) {
        status = ap_cli_begin_change(&why, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_species_add(cli->book, &species, why, &author, err);
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out,
                   "'%.*s' is a species of this book now: %.0f kg/m3 green without bark, a weak figure until "
                   "pieces of it are weighed\n",
                   AP_STR_ARG(species.common), species.density_kg_m3);
    }
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    if (cli->word_count && strcmp(cli->words[0], "add") == 0) {
        ap_status status = ap_cli_need_words(cli, 2, 2, "a name, in quotes if it has two words", err);
        return status == AP_OK ? add(cli, err) : status;
    }
    if (cli->word_count && strcmp(cli->words[0], "teach") == 0) {
        ap_status status = ap_cli_need_words(cli, 3, 3, "a local name and a species", err);
        return status == AP_OK ? teach(cli, err) : status;
    }
    ap_status status = ap_cli_need_words(cli, 0, 1, "at most one name", err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status != AP_OK) {
        return status;
    }
    return cli->word_count ? show_one(cli, err) : list_all(cli, err);
}

static const ap_cli_option options[] = {
    {"why", "TEXT", "the reason for a name taught or a species added; kept in the book"},
    {"gravity", "NUMBER", "add: basic specific gravity (dry weight, green volume)"},
    {"moisture", "PERCENT", "add: green moisture, of the dry weight"},
    {"group", "WORD", "add: hardwood or softwood"},
    {"scientific", "NAME", "add: botanical name"},
    {"source", "TEXT", "add: where gravity and moisture come from"},
    {0},
};

const ap_command ap_command_species = {
    .name = "species",
    .group = "SET UP",
    .summary = "the species, what a written name means, and local names",
    .usage = "[NAME] | teach LOCAL-NAME SPECIES --why TEXT | add NAME --gravity 0.5 --moisture 82 --group hardwood "
             "--source TEXT --why TEXT",
    .about = "A name that may mean several species is never chosen in silence: all readings are offered.",
    .example = "afterpick --book demo/demo.book species 'N. red oak'",
    .options = options,
    .run = run,
};

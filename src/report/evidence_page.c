#include "report/evidence_page.h"

static ap_status species_of(const ap_species **out, const ap_evidence_item *item, ap_book *book, ap_error *err) {
    *out = NULL;
    return item->kind == AP_EVIDENCE_SPECIES ? ap_book_species_get(out, book, item->species_id, err) : AP_OK;
}

static void put_word(ap_json *json, const char *key, const char *word) {
    if (word[0]) {
        ap_json_put_text(json, key, ap_str_from(word));
    }
}

static void put_figure(ap_json *json, const ap_evidence_item *item, const ap_species *species) {
    ap_evidence_words words = ap_evidence_class_words(item);
    ap_json_put_text(json, "kind", ap_str_from(words.kind));
    if (species) {
        ap_json_put_text(json, "symbol", species->symbol);
        ap_json_put_text(json, "scientific", species->scientific);
        ap_json_put_number(json, "handbook_kg_m3", round(species->density_kg_m3 * 1e4) / 1e4);
    }
    put_word(json, "condition", words.condition);
    put_word(json, "piece", words.piece);
    put_word(json, "foliage", words.foliage);
    put_word(json, "group", words.group);
    ap_json_put_number(json, "log_shift", item->log_shift);
    ap_json_put_number(json, "se_log", item->se_log);
    ap_json_put_int(json, "trees", item->trees);
    ap_json_put_int(json, "picks", item->picks);
}

ap_status ap_evidence_write(ap_sink *sink, const ap_evidence_file *file, ap_book *book, ap_error *err) {
    ap_json json;
    ap_json_init(&json, sink, false);
    ap_json_object_begin(&json);
    ap_json_put_text(&json, "format", AP_STR_LIT("afterpick-evidence"));
    ap_json_put_int(&json, "version", 1);
    ap_json_put_text(&json, "origin", file->origin);
    ap_json_object_end(&json);
    ap_sink_putc(sink, '\n');
    ap_status status = AP_OK;
    for (size_t i = 0; status == AP_OK && i < file->count; i++) {
        const ap_species *species = NULL;
        status = species_of(&species, &file->items[i], book, err);
        if (status == AP_OK) {
            ap_json_init(&json, sink, false);
            ap_json_object_begin(&json);
            put_figure(&json, &file->items[i], species);
            ap_json_object_end(&json);
            ap_sink_putc(sink, '\n');
        }
    }
    return status;
}

static const ap_evidence_set *set_of(const ap_evidence *evidence, int64_t id) {
    for (size_t i = 0; i < evidence->set_count; i++) {
        if (evidence->sets[i].id == id) {
            return &evidence->sets[i];
        }
    }
    return NULL;
}

/* "northern red oak", "butt piece, middle not taped", "dead wood", "limb, leaf on, hardwood" */
static ap_str what_text(ap_doc *doc, const ap_evidence_item *item, const ap_species *species) {
    ap_evidence_words words = ap_evidence_class_words(item);
    switch (item->kind) {
    case AP_EVIDENCE_SPECIES:
        return species->common;
    case AP_EVIDENCE_BUTT:
        return AP_STR_LIT("butt piece, middle not taped");
    case AP_EVIDENCE_CONDITION:
        return ap_doc_printf(doc, "%s wood", words.condition);
    case AP_EVIDENCE_BRUSH:
        break;
    }
    const char *leaves = !words.foliage[0]                        ? "foliage not recorded"
                         : strcmp(words.foliage, "leaf_on") == 0  ? "leaf on"
                         : strcmp(words.foliage, "leaf_off") == 0 ? "leaf off"
                                                                  : words.foliage;
    return ap_doc_printf(doc, "brush: %s, %s, %s", words.piece[0] ? words.piece : "piece not recorded", leaves,
                         words.group);
}

static void put_sets(ap_doc *doc, const ap_evidence *evidence) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("origin"), .label = AP_STR_LIT("origin"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("imported_on"), .label = AP_STR_LIT("taken in"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("why"), .label = AP_STR_LIT("why"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("removed_on"), .label = AP_STR_LIT("taken out"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("removed_why"), .label = AP_STR_LIT("why out"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("sets"), AP_STR_LIT("Sets of evidence"), columns, 5);
    for (size_t i = 0; i < evidence->set_count; i++) {
        const ap_evidence_set *set = &evidence->sets[i];
        ap_table_row(table);
        ap_table_text(table, set->origin);
        ap_table_date(table, set->imported_on);
        ap_table_text(table, set->why);
        ap_table_date(table, set->removed_on);
        ap_table_text(table, set->removed_why);
    }
    ap_table_empty(table, AP_STR_LIT("None: 'afterpick evidence import FILE --why ...' takes one in."));
}

static ap_status put_figures(ap_doc *doc, const ap_evidence_view *view, ap_error *err) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("what"), .label = AP_STR_LIT("what"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("origin"), .label = AP_STR_LIT("origin"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("shift"), .label = AP_STR_LIT("heavier (+) than the table"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("give_or_take"), .label = AP_STR_LIT("give or take"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("figures"), AP_STR_LIT("What it says"), columns, 6);
    ap_status status = AP_OK;
    for (size_t i = 0; status == AP_OK && i < view->evidence->item_count; i++) {
        const ap_evidence_item *item = &view->evidence->items[i];
        const ap_evidence_set *set = set_of(view->evidence, item->set_id);
        const ap_species *species = NULL;
        status = species_of(&species, item, view->book, err);
        if (status == AP_OK && set) {
            ap_table_row(table);
            ap_table_text(table, what_text(doc, item, species));
            ap_table_text(table, set->origin);
            ap_table_text(table, ap_doc_printf(doc, "%+.1f %%", 100 * expm1(item->log_shift)));
            ap_table_text(table, ap_doc_printf(doc, "%.1f %%", 100 * hypot(item->se_log, view->company_sd)));
            ap_table_value(table, (double)item->trees);
            ap_table_value(table, (double)item->picks);
        }
    }
    ap_table_empty(table, AP_STR_LIT("No evidence of others counts."));
    return status;
}

ap_status ap_evidence_page(ap_doc *doc, const ap_evidence_view *view, ap_error *err) {
    size_t counting = 0;
    for (size_t i = 0; i < view->evidence->set_count; i++) {
        counting += view->evidence->sets[i].removed_on == AP_DATE_NONE;
    }
    ap_doc_answer(doc, ap_doc_printf(doc, "%zu set%s of evidence of others count%s in the densities.", counting,
                                     counting == 1 ? "" : "s", counting == 1 ? "s" : ""));
    put_sets(doc, view->evidence);
    ap_status status = put_figures(doc, view, err);
    ap_doc_caution(
        doc, AP_STR_LIT("Somebody else's trees, tapes and indicators. It moves a figure only where your own weighed "
                        "trees leave room, and gives no figure where you have weighed none."));
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_paragraph(doc, ap_doc_printf(doc,
                                        "Each origin's figure is one more normal look at the effect: its own standard "
                                        "error and %.2f between companies (ln; our choice, no source) together are the "
                                        "give or take (one standard deviation).",
                                        view->company_sd));
    ap_doc_working_end(doc);
    return status;
}

ap_status ap_evidence_json(ap_json *json, const ap_evidence_view *view, ap_error *err) {
    const ap_evidence *evidence = view->evidence;
    ap_status status = AP_OK;
    ap_json_object_begin(json);
    ap_json_put_number(json, "company_sd_log", view->company_sd);
    ap_json_key(json, "sets");
    ap_json_array_begin(json);
    for (size_t i = 0; i < evidence->set_count; i++) {
        const ap_evidence_set *set = &evidence->sets[i];
        ap_json_object_begin(json);
        ap_json_put_text(json, "origin", set->origin);
        ap_json_put_text(json, "sha256", set->sha256);
        ap_json_put_date(json, "imported_on", set->imported_on);
        ap_json_put_text(json, "who", set->who);
        ap_json_put_text(json, "why", set->why);
        ap_json_put_date(json, "removed_on", set->removed_on);
        ap_json_put_text(json, "removed_why", set->removed_why);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_key(json, "figures");
    ap_json_array_begin(json);
    for (size_t i = 0; status == AP_OK && i < evidence->item_count; i++) {
        const ap_species *species = NULL;
        const ap_evidence_set *set = set_of(evidence, evidence->items[i].set_id);
        status = species_of(&species, &evidence->items[i], view->book, err);
        if (status == AP_OK && set) {
            ap_json_object_begin(json);
            ap_json_put_text(json, "origin", set->origin);
            put_figure(json, &evidence->items[i], species);
            ap_json_object_end(json);
        }
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
    return status;
}

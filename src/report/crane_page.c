#include "report/crane_page.h"

#include "report/entry_history.h"

#include "base/pick.h"

enum { CHART_SHOWN = 60 };

ap_status ap_crane_list_read(ap_crane_list *out, ap_arena *arena, ap_book *book, const ap_company *company,
                             ap_error *err) {
    ap_crane_use *uses = NULL;
    size_t use_count = 0;
    *out = (ap_crane_list){0};
    ap_status status = ap_book_crane_uses(&uses, &use_count, &out->left_out, arena, book, err);
    if (status != AP_OK) {
        return status;
    }
    out->items = ap_arena_alloc_array(arena, company->crane_count + use_count + 1, sizeof *out->items);
    if (!out->items) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the cranes");
    }
    for (size_t e = 0, u = 0; e < company->crane_count || u < use_count;) {
        const ap_crane *entry = e < company->crane_count ? &company->cranes[e] : NULL;
        const ap_crane_use *use = u < use_count ? &uses[u] : NULL;
        int order = entry && use ? ap_str_compare_nocase(entry->name, use->name) : entry ? -1 : 1;
        entry = order <= 0 ? entry : NULL;
        use = order >= 0 ? use : NULL;
        out->items[out->count++] = (ap_crane_seen){.name = use     ? use->name
                                                           : entry ? entry->name
                                                                   : AP_STR_NONE,
                                                   .entry = entry,
                                                   .use = use};
        e += order <= 0;
        u += order >= 0;
    }
    return AP_OK;
}

const ap_crane_seen *ap_crane_list_find(const ap_crane_list *list, ap_str name) {
    name = ap_str_trim(name);
    for (size_t i = 0; i < list->count; i++) {
        if (ap_str_compare_nocase(list->items[i].name, name) == 0) {
            return &list->items[i];
        }
    }
    return NULL;
}

ap_str ap_crane_list_near(const ap_crane_list *list, ap_str name) {
    ap_str near = AP_STR_NONE;
    unsigned best = 3;
    for (size_t i = 0; i < list->count; i++) {
        unsigned distance = ap_str_distance(name, list->items[i].name, 2);
        near = distance < best ? list->items[i].name : near;
        best = distance < best ? distance : best;
    }
    return near;
}

static ap_str word_of(int weighed_as) {
    const char *word = weighed_as ? ap_word_get(AP_VOC_WEIGHED_AS, weighed_as) : NULL;
    return word ? ap_str_from(word) : AP_STR_NONE;
}

static const ap_calibration *last_calibration(const ap_crane *crane) {
    return crane && crane->calibration_count ? &crane->calibrations[crane->calibration_count - 1] : NULL;
}

void ap_cranes_page(ap_doc *doc, const ap_crane_list *list) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("crane"), .label = AP_STR_LIT("crane"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("last"), .label = AP_STR_LIT("last pick"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("block_weight"), .label = AP_STR_LIT("block"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("weighed_as"), .label = AP_STR_LIT("shows"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("calibrated_on"), .label = AP_STR_LIT("calibrated"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("factor"), .label = AP_STR_LIT("true / shown"), .kind = AP_CELL_NUMBER, .digits = 3},
        {.key = AP_STR_LIT("chart_rows"), .label = AP_STR_LIT("chart rows"), .kind = AP_CELL_COUNT},
    };
    size_t bare = 0;
    for (size_t i = 0; i < list->count; i++) {
        bare += !list->items[i].entry;
    }
    ap_doc_answer(doc, list->count == 0 ? AP_STR_LIT("No pick of this book names a crane, and none is entered.")
                       : bare           ? ap_doc_printf(doc,
                                                        "Nothing is entered for %zu of %zu cranes; one whole: afterpick "
                                                                  "crane NAME.",
                                                        bare, list->count)
                              : ap_doc_printf(doc, "%zu crane%s; one whole: afterpick crane NAME.", list->count,
                                              list->count == 1 ? "" : "s"));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("cranes"), AP_STR_LIT("Cranes of the logs and of the company"),
                                   columns, sizeof columns / sizeof columns[0]);
    ap_table_empty(table, AP_STR_LIT("no crane"));
    for (size_t i = 0; i < list->count; i++) {
        const ap_crane_seen *seen = &list->items[i];
        const ap_calibration *calibration = last_calibration(seen->entry);
        ap_table_row(table);
        ap_table_text(table, seen->name);
        ap_table_value(table, seen->use ? (double)seen->use->picks : 0);
        ap_table_date(table, seen->use ? seen->use->last : AP_DATE_NONE);
        ap_table_value(table, seen->entry ? seen->entry->block_weight_kg : (double)NAN);
        ap_table_text(table, seen->entry ? word_of(seen->entry->weighed_as) : AP_STR_NONE);
        ap_table_date(table, calibration ? calibration->on : AP_DATE_NONE);
        ap_table_value(table, calibration ? calibration->factor : (double)NAN);
        ap_table_value(table, seen->entry && seen->entry->chart_count ? (double)seen->entry->chart_count : (double)NAN);
    }
    if (list->left_out) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%zu more names in the logs are not listed.", list->left_out));
    }
}

static void put_defaults(ap_doc *doc, const ap_crane *crane, const ap_company *company) {
    static const char *const setting[] = {"not known", "net", "gross"};
    const ap_settings *s = company->settings;
    if (crane && !isnan(crane->block_weight_kg)) {
        ap_doc_list_item(doc,
                         ap_doc_printf(doc, "block and slings, where a log has no weight of them: %.*s",
                                       AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, crane->block_weight_kg, false))));
    } else {
        ap_doc_list_item(doc, ap_doc_printf(doc, "block and slings: not entered; the company's %.*s counts",
                                            AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, s->block_weight_kg, false))));
    }
    if (crane && crane->weighed_as) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "a measured weight that does not say is taken as %.*s",
                                            AP_STR_ARG(word_of(crane->weighed_as))));
    } else {
        ap_doc_list_item(doc, ap_doc_printf(doc,
                                            "a measured weight that does not say: not entered; by the company's "
                                            "setting it is %s",
                                            setting[s->weighed_as]));
    }
    if (crane && !isnan(crane->band)) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "the indicator's largest error, where no calibration says: %.*s",
                                            AP_STR_ARG(ap_doc_percent(doc, crane->band, 1))));
    }
    if (!crane || crane->calibration_count == 0) {
        ap_doc_list_item(doc, AP_STR_LIT("calibration: none entered; no weight is corrected"));
    }
    if (!crane || crane->chart_count == 0) {
        ap_doc_list_item(doc, AP_STR_LIT("load chart: none entered; only logged capacities count"));
    }
}

static void put_calibrations(ap_doc *doc, const ap_crane *crane) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("on"), .label = AP_STR_LIT("from"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("factor"), .label = AP_STR_LIT("true / shown"), .kind = AP_CELL_NUMBER, .digits = 3},
        {.key = AP_STR_LIT("band"), .label = AP_STR_LIT("largest error left"), .kind = AP_CELL_PERCENT, .digits = 1},
        {.key = AP_STR_LIT("source"), .label = AP_STR_LIT("by"), .kind = AP_CELL_TEXT},
    };
    if (crane->calibration_count == 0) {
        return;
    }
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("calibrations"), AP_STR_LIT("Calibrations of the load indicator"),
                                   columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < crane->calibration_count; i++) {
        const ap_calibration *c = &crane->calibrations[i];
        ap_table_row(table);
        ap_table_date(table, c->on);
        ap_table_value(table, c->factor);
        ap_table_value(table, c->band);
        ap_table_text(table, c->source);
    }
    ap_doc_paragraph(doc,
                     AP_STR_LIT("Weights read on the indicator from such a day until the next are multiplied by its "
                                "factor; what was read stays in the book. Earlier ones are left as they are."));
}

void ap_crane_chart_table(ap_doc *doc, const ap_crane *crane) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("boom"),
         .label = AP_STR_LIT("boom"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LENGTH,
         .digits = 2},
        {.key = AP_STR_LIT("radius"),
         .label = AP_STR_LIT("radius"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LENGTH,
         .digits = 2},
        {.key = AP_STR_LIT("capacity"),
         .label = AP_STR_LIT("capacity, gross"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LOAD},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("chart"), AP_STR_LIT("Load chart"), columns, 3);
    ap_table_empty(table, AP_STR_LIT("no load chart is entered"));
    for (size_t i = 0; crane && i < crane->chart_count; i++) {
        ap_table_row(table);
        ap_table_value(table, crane->chart[i].boom_m);
        ap_table_value(table, crane->chart[i].radius_m);
        ap_table_value(table, crane->chart[i].capacity_kg);
    }
}

static bool same_boom(const ap_capacity_row *a, const ap_capacity_row *b) {
    return (isnan(a->boom_m) && isnan(b->boom_m)) || fabs(a->boom_m - b->boom_m) <= 1e-9 * a->boom_m;
}

/* One row a boom length, for a chart too long to show. */
static void put_booms(ap_doc *doc, const ap_crane *crane) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("boom"),
         .label = AP_STR_LIT("boom"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LENGTH,
         .digits = 1},
        {.key = AP_STR_LIT("rows"), .label = AP_STR_LIT("rows"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("from"),
         .label = AP_STR_LIT("shortest radius"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LENGTH,
         .digits = 1},
        {.key = AP_STR_LIT("most"), .label = AP_STR_LIT("capacity"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("to"),
         .label = AP_STR_LIT("longest radius"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LENGTH,
         .digits = 1},
        {.key = AP_STR_LIT("least"), .label = AP_STR_LIT("capacity"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("booms"), AP_STR_LIT("Load chart by boom length"), columns,
                                   sizeof columns / sizeof columns[0]);
    for (size_t first = 0, end = 0; first < crane->chart_count; first = end) {
        for (end = first; end < crane->chart_count && same_boom(&crane->chart[first], &crane->chart[end]); end++) {
        }
        ap_table_row(table);
        ap_table_value(table, crane->chart[first].boom_m);
        ap_table_value(table, (double)(end - first));
        ap_table_value(table, crane->chart[first].radius_m);
        ap_table_value(table, crane->chart[first].capacity_kg);
        ap_table_value(table, crane->chart[end - 1].radius_m);
        ap_table_value(table, crane->chart[end - 1].capacity_kg);
    }
    ap_doc_paragraph(doc, AP_STR_LIT("Every row: --csv."));
}

void ap_crane_page(ap_doc *doc, const ap_crane_seen *crane, const ap_company *company, const ap_entry_change *changes,
                   size_t change_count) {
    if (crane->use) {
        ap_doc_answer(doc, ap_doc_printf(doc, "%.*s is on %lld pick%s, %.*s to %.*s.", AP_STR_ARG(crane->name),
                                         (long long)crane->use->picks, crane->use->picks == 1 ? "" : "s",
                                         AP_STR_ARG(ap_doc_date(doc, crane->use->first)),
                                         AP_STR_ARG(ap_doc_date(doc, crane->use->last))));
    } else {
        ap_doc_answer(doc,
                      ap_doc_printf(doc, "%.*s is entered; no pick of this book names it.", AP_STR_ARG(crane->name)));
    }
    put_defaults(doc, crane->entry, company);
    if (crane->entry) {
        put_calibrations(doc, crane->entry);
        if (crane->entry->chart_count > CHART_SHOWN) {
            put_booms(doc, crane->entry);
        } else if (crane->entry->chart_count) {
            ap_crane_chart_table(doc, crane->entry);
        }
    }
    ap_entry_history_put(doc, changes, change_count);
    if (crane->entry && crane->entry->chart_count) {
        ap_doc_caution(doc, AP_STR_LIT("A copy for looking back. The chart in the cab rules, with its notes and "
                                       "deductions."));
    }
}

static void put_crane(ap_json *json, const ap_crane_seen *seen) {
    const ap_crane *crane = seen->entry;
    ap_json_put_text(json, "crane", seen->name);
    ap_json_put_int(json, "picks", seen->use ? seen->use->picks : 0);
    ap_json_put_date(json, "first", seen->use ? seen->use->first : AP_DATE_NONE);
    ap_json_put_date(json, "last", seen->use ? seen->use->last : AP_DATE_NONE);
    ap_json_put_bool(json, "entered", crane != NULL);
    ap_json_put_number(json, "block_weight_kg", crane ? crane->block_weight_kg : (double)NAN);
    ap_json_put_text(json, "weighed_as", crane ? word_of(crane->weighed_as) : AP_STR_NONE);
    ap_json_put_number(json, "band", crane ? crane->band : (double)NAN);
    ap_json_key(json, "calibrations");
    ap_json_array_begin(json);
    for (size_t i = 0; crane && i < crane->calibration_count; i++) {
        ap_json_object_begin(json);
        ap_json_put_date(json, "on", crane->calibrations[i].on);
        ap_json_put_number(json, "factor", crane->calibrations[i].factor);
        ap_json_put_number(json, "band", crane->calibrations[i].band);
        ap_json_put_text(json, "source", crane->calibrations[i].source);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "chart_rows", crane ? (int64_t)crane->chart_count : 0);
}

void ap_cranes_json(ap_json *json, const ap_crane_list *list) {
    ap_json_object_begin(json);
    ap_json_key(json, "cranes");
    ap_json_array_begin(json);
    for (size_t i = 0; i < list->count; i++) {
        ap_json_object_begin(json);
        put_crane(json, &list->items[i]);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}

void ap_crane_json(ap_json *json, const ap_crane_seen *crane, const ap_entry_change *changes, size_t change_count) {
    ap_json_object_begin(json);
    put_crane(json, crane);
    ap_json_key(json, "chart");
    ap_json_array_begin(json);
    for (size_t i = 0; crane->entry && i < crane->entry->chart_count; i++) {
        ap_json_object_begin(json);
        ap_json_put_number(json, "boom_m", crane->entry->chart[i].boom_m);
        ap_json_put_number(json, "radius_m", crane->entry->chart[i].radius_m);
        ap_json_put_number(json, "capacity_kg", crane->entry->chart[i].capacity_kg);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_entry_history_json(json, changes, change_count);
    ap_json_object_end(json);
}

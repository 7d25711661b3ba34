#include "report/similar_page.h"

#include "report/sentences.h"

/* "the same species, piece and cut, planned within a factor of 1.5" */
static ap_str say_shared(ap_doc *doc, const ap_similar *similar) {
    ap_str says = AP_STR_NONE;
    for (int by = 0; by < AP_BY_COUNT; by++) {
        if (similar->by[by]) {
            says =
                ap_doc_printf(doc, "%.*s%s%s", AP_STR_ARG(says), says.len ? ", " : "the same ", ap_by_label((ap_by)by));
        }
    }
    return similar->by_size ? ap_doc_printf(doc, "%.*s%splanned within a factor of %.1f", AP_STR_ARG(says),
                                            says.len ? ", " : "", AP_SIMILAR_SIZE)
                            : says;
}

static ap_str say_standing(ap_doc *doc, const ap_fact *fact, const ap_similar *similar) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_str median = ap_say_ratio(&arena, similar->median_ratio);
    ap_str low = ap_say_signed(&arena, similar->quarter);
    ap_str high = ap_say_signed(&arena, similar->three_quarters);
    ap_str says = ap_doc_printf(doc, "Half of %.*s came in between %.*s and %.*s of plan, the middle one %.*s",
                                AP_STR_ARG(ap_say_count(doc, similar->compared, "weighed pick")), AP_STR_ARG(low),
                                AP_STR_ARG(high), AP_STR_ARG(median));
    if (fact->compared == AP_COMPARED) {
        says = ap_doc_printf(doc, "%.*s; %zu of them were heavier against plan than this one (%.*s)", AP_STR_ARG(says),
                             similar->heavier, AP_STR_ARG(ap_say_signed(&arena, ap_fact_ratio(fact))));
    }
    ap_arena_release(&arena);
    return ap_doc_printf(doc, "%.*s.", AP_STR_ARG(says));
}

static void put_table(ap_doc *doc, const ap_roster *roster, const ap_similar *similar) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_PICK},
        {.key = AP_STR_LIT("date"), .label = AP_STR_LIT("date"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("planned"), .label = AP_STR_LIT("planned"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("measured"), .label = AP_STR_LIT("measured"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("ratio"), .label = AP_STR_LIT("against plan"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("moved"), .label = AP_STR_LIT("moved"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("similar"), AP_STR_LIT("The latest picks like it"), columns, 6);
    ap_table_has_marks(table);
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    for (size_t i = 0; i < similar->shown_count; i++) {
        const ap_fact *fact = &roster->facts[similar->shown[i]];
        ap_table_row(table);
        ap_table_text(table, ap_str_from(fact->rest->name));
        ap_table_date(table, fact->date);
        ap_table_value(table, fact->planned_net_kg);
        ap_table_value(table, fact->measured_net_kg);
        ap_table_value(table, fact->compared == AP_COMPARED ? ap_fact_ratio(fact) : NAN);
        ap_table_text(table, fact->rest->movement ? ap_say_movement(&arena, fact->rest->movement) : AP_STR_NONE);
        if (fact->near_miss == AP_YESNO_YES) {
            ap_table_row_mark(table, AP_STR_LIT("near miss"));
        }
    }
    ap_arena_release(&arena);
}

void ap_similar_put(ap_doc *doc, const ap_roster *roster, size_t fact, const ap_similar *similar) {
    if (similar->picks == 0) {
        ap_doc_answer(doc, AP_STR_LIT("The book holds no pick like it."));
        return;
    }
    ap_doc_answer(doc, ap_doc_printf(doc, "%.*s like it: %.*s.", AP_STR_ARG(ap_say_count(doc, similar->picks, "pick")),
                                     AP_STR_ARG(say_shared(doc, similar))));
    if (similar->compared) {
        ap_doc_paragraph(doc, say_standing(doc, &roster->facts[fact], similar));
    }
    if (similar->moved_logged) {
        ap_str moved = similar->moved ? ap_doc_printf(doc, "%zu of %zu with a movement logged did not stay still",
                                                      similar->moved, similar->moved_logged)
                       : similar->moved_logged == 1
                           ? AP_STR_LIT("The one with a movement logged stayed still")
                           : ap_doc_printf(doc, "All %zu with a movement logged stayed still", similar->moved_logged);
        ap_str missed = similar->near_misses == 0 ? AP_STR_LIT("none was")
                                                  : ap_doc_printf(doc, "%zu %s", similar->near_misses,
                                                                  similar->near_misses == 1 ? "was" : "were");
        ap_doc_paragraph(
            doc, ap_doc_printf(doc, "%.*s; %.*s logged as a near miss.", AP_STR_ARG(moved), AP_STR_ARG(missed)));
    }
    put_table(doc, roster, similar);
}

void ap_similar_json(ap_json *json, const ap_roster *roster, const ap_similar *similar) {
    ap_json_key(json, "similar");
    ap_json_object_begin(json);
    ap_json_key(json, "by");
    ap_json_array_begin(json);
    for (int by = 0; by < AP_BY_COUNT; by++) {
        if (similar->by[by]) {
            ap_json_text(json, ap_str_from(ap_by_name((ap_by)by)));
        }
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "picks", (int64_t)similar->picks);
    ap_json_put_int(json, "compared", (int64_t)similar->compared);
    ap_json_put_int(json, "heavier", (int64_t)similar->heavier);
    ap_json_put_number(json, "median_ratio", similar->median_ratio);
    ap_json_put_number(json, "quarter_ratio", similar->quarter);
    ap_json_put_number(json, "three_quarter_ratio", similar->three_quarters);
    ap_json_put_int(json, "moved_logged", (int64_t)similar->moved_logged);
    ap_json_put_int(json, "moved", (int64_t)similar->moved);
    ap_json_put_int(json, "near_misses", (int64_t)similar->near_misses);
    ap_json_key(json, "latest");
    ap_json_array_begin(json);
    for (size_t i = 0; i < similar->shown_count; i++) {
        ap_json_text(json, ap_str_from(roster->facts[similar->shown[i]].rest->name));
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
